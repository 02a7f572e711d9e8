"""Private answers in Discord: a press changes the message that it is under, and an answer that
comes below takes the buttons of those above it.
"""

from __future__ import annotations

from tests.discord.conftest import Bench, daily_posts
from tests.doubles.discord.people import Person, answer_of, form_of
from tests.doubles.discord.shown import Shown, show
from tests.doubles.discord.world import Channel


def private(person: Person) -> list[Shown]:
    return [each for each in person.sees() if each.is_private]


async def test_a_hint_climbs_in_one_message(bench: Bench, club: Channel) -> None:
    await bench.start()
    await bench.tick()
    (post,) = daily_posts(club)
    ada = bench.double.person("Ada", club)
    shown = answer_of(await ada.press(post, "Start my clock"))
    for label in ("Hint", "From my board", "More: What", "More: Which", "More: Why", "My board"):
        before, shown = shown, answer_of(await ada.press(shown, label))
        assert shown.id == before.id
        assert (shown.text, shown.commands) != (before.text, before.commands)
    assert [each.text for each in private(ada)] == [shown.text]
    # The picture is of what the message says now.
    assert len(shown.alts) == 1


async def test_slow_answers_and_forms_change_the_answer_they_come_from_too(
    bench: Bench, club: Channel
) -> None:
    house = await bench.start()
    await bench.tick()
    ada = bench.double.person("Ada", club)
    shown = answer_of(await ada.command("start"))
    form = form_of(await ada.press(shown, "Hand in"))
    wrong = answer_of(await ada.submit(form, answer="1" * 18))
    assert (wrong.id, "Not yet" in wrong.text) == (shown.id, True)
    offered = answer_of(await ada.command("hint"))
    house.rooms["discord"]._answers._defer_after = 0.0
    where = answer_of(await ada.press(offered, "From my board"))
    what = answer_of(await ada.press(where, "More: What"))
    assert offered.id == where.id == what.id
    assert "What, rung 2" in what.text


async def test_settings_change_under_a_leaders_hand(bench: Bench, club: Channel) -> None:
    await bench.start()
    await bench.tick()
    rowan = bench.double.person("Rowan", club, leads=True)
    page = answer_of(await rowan.command("club setup"))
    menu = next(each for each in page.controls if each.options)
    value = menu.options[-1][1]
    changed = answer_of(await rowan.choose(page, menu.label, value))
    assert changed.id == page.id
    assert [each.id for each in private(rowan)] == [page.id]


async def test_an_answer_below_takes_the_buttons_of_those_above(
    bench: Bench, club: Channel
) -> None:
    await bench.start()
    await bench.tick()
    ada, ben = (bench.double.person(name, club) for name in ("Ada", "Ben"))
    await ben.command("start")
    for name in ("start", "board", "hint"):
        await ada.command(name)
    await bench.double.until(
        lambda: [bool(each.controls) for each in private(ada)] == [False, False, True],
        "the buttons to go",
    )
    *above, last = private(ada)
    assert all(each.text and each.alts for each in above), "nothing else is taken"
    assert all(each.controls for each in private(ben))
    # What was pressed meanwhile is as it was left.
    where = answer_of(await ada.press(last, "From my board"))
    await ada.command("today")
    await bench.double.until(lambda: not private(ada)[-2].controls, "the buttons to go")
    left = private(ada)[-2]
    assert (left.id, left.text, left.alts) == (where.id, where.text, where.alts)
    # What the service lets nobody edit any more is left as it is: refusals are counted.
    bench.later(minutes=16)
    await ada.command("board")
    await ada.command("me")
    await bench.double.until(lambda: not private(ada)[-2].controls, "the buttons to go")
    assert private(ada)[-3].controls
    assert all(status < 400 for _, _, status in bench.double.rest.requests)


async def test_of_several_messages_a_press_changes_its_own(bench: Bench, club: Channel) -> None:
    await bench.start()
    await bench.tick()
    ada = bench.double.person("Ada", club)
    await ada.command("start")
    form = form_of(await ada.press(answer_of(await ada.command("hint")), "I have more on paper"))
    asked = await ada.submit(form, messages=2)
    echo, where = map(show, asked.messages)
    what = answer_of(await ada.press(where, "More"))
    assert what.id == where.id
    assert private(ada)[-2] == echo
