"""A week's question to the club, in Discord: put, answered by form and by command, and shown."""

from __future__ import annotations

from tests.discord.conftest import Bench
from tests.doubles.discord.people import answer_of, form_of
from tests.doubles.discord.world import Channel


async def test_a_weeks_question_is_answered_rightly_nearly_wrongly_and_late(
    bench: Bench, club: Channel
) -> None:
    rowan = bench.double.person("Rowan", club, leads=True)
    ada, ben = bench.double.person("Ada", club), bench.double.person("Ben", club)
    await bench.start()

    # Monday: Rowan puts a question, and says when its find is shown.
    put = answer_of(
        await rowan.command("club ask", technique="naked-triple", until="wednesday 20:00")
    )
    assert put.is_private
    assert "Wednesday 25 November, 20:00" in put.text
    await bench.tick()
    (post,) = [each for each in ada.sees() if "what follows here" in each.text]
    assert [each.label for each in post.controls] == ["My answer"]
    assert "column 6" in post.text
    assert "Wednesday 25 November, 20:00" in post.text
    assert any("column 6" in alt for alt in post.alts)

    # Ada answers nearly, then rightly, and wants to be named; the bot was restarted before.
    await bench.restart()
    form = form_of(await ada.press(post, "My answer"))
    nearly = answer_of(await ada.submit(form, find="r3c6 not 1"))
    assert nearly.is_private
    assert "right, and there is more" in nearly.text
    right = answer_of(await ada.command("see", find="r3c6-1 r5c6-1 r4c6-124 r6c6-4"))
    assert "on your second try" in right.text
    named = answer_of(await ada.press(right, "Name me when it's shown"))
    assert "I'll name you" in named.text

    # Tuesday: Ben is wrong, and hears why.
    bench.later(days=1)
    wrong = answer_of(await ben.command("see", find="124 in r2c6 r7c6 r3c6"))
    assert wrong.is_private
    assert "can also be" in wrong.text

    # Wednesday evening the find is shown by itself, once.
    bench.later(days=1, hours=8)
    await bench.tick()
    await bench.restart()
    await bench.tick()
    (told,) = [each for each in ben.sees() if "tried" in each.text]
    assert "Two members tried, and one saw it: Ada." in told.text
    assert "Ben" not in told.text

    # Thursday: Ben sees it, too late to be counted.
    bench.later(days=1)
    late = answer_of(await ben.command("see", find="naked triple col 6"))
    assert "right" in late.text
    assert "isn't counted" in late.text
