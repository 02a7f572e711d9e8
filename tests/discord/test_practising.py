"""Practice in Discord: a position for one member alone, answered by form, helped with and shown."""

from __future__ import annotations

from tests.discord.conftest import Bench
from tests.doubles.discord.people import answer_of, form_of
from tests.doubles.discord.world import Channel


async def test_a_position_is_missed_helped_with_shown_and_followed_by_another(
    bench: Bench, club: Channel
) -> None:
    ada = bench.double.person("Ada", club)
    await bench.start()
    shown = answer_of(await ada.command("practice", technique="naked-pair"))
    assert shown.is_private
    assert "Is there a naked pair here?" in shown.text
    assert shown.alts
    await bench.restart()
    form = form_of(await ada.press(shown, "I see it"))
    missed = answer_of(await ada.submit(form, find="none"))
    assert "There is a naked pair here" in missed.text
    helped = answer_of(await ada.press(missed, "A hint"))
    assert "Have a good look at" in helped.text
    over = answer_of(await ada.press(helped, "Show me"))
    assert over.is_private
    assert "I'll show you a naked pair again soon." in over.text
    page = answer_of(await ada.press(over, "My page"))
    assert "Naked pair: met 1, found alone 0, needed help 1" in page.text
    following = answer_of(await ada.press(over, "Next"))
    assert "Is there" in following.text
    assert following.alts != shown.alts
