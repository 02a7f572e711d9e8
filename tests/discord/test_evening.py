"""A leader's lesson in Discord: one message in a thread, moved from a private desk."""

from __future__ import annotations

from tests.discord.conftest import Bench
from tests.doubles.discord.people import Person, answer_of, form_of
from tests.doubles.discord.shown import Shown, show
from tests.doubles.discord.world import Channel

LINE = "2026-11-24"


def _lesson(bench: Bench) -> Channel:
    """Return the thread of the lesson."""
    threads = [each for each in bench.double.world.channels.values() if "Together" in each.name]
    assert len(threads) == 1, [each.name for each in threads]
    return threads[0]


def _frame(bench: Bench) -> Shown:
    """Return the one message in the lesson's thread."""
    (message,) = _lesson(bench).messages.values()
    return show(message)


async def _on_wednesday(bench: Bench) -> None:
    """Have the puzzles of Monday and Tuesday over."""
    await bench.start()
    for _ in range(2):
        await bench.tick()
        bench.later(days=1)
    await bench.tick()


async def _move(bench: Bench, rowan: Person, desk: Shown, label: str) -> Shown:
    moved = answer_of(await rowan.press(desk, label))
    assert moved.id == desk.id, "the desk changes in its place"
    await bench.tick()
    return moved


async def test_a_lesson_moves_one_message_through_restarts_and_a_question(
    bench: Bench, club: Channel
) -> None:
    rowan = bench.double.person("Rowan", club, leads=True)
    ada, ben = bench.double.person("Ada", club), bench.double.person("Ben", club)
    await _on_wednesday(bench)
    desk = answer_of(await rowan.command("club lesson", date=LINE))
    assert desk.is_private
    assert [each.label for each in desk.controls] == ["Next", "End the lesson"]
    await bench.tick()
    posts = len(club.messages)
    assert "as it went up" in _frame(bench).text
    while "puzzle turns" not in desk.text:
        desk = await _move(bench, rowan, desk, "Next")
    await bench.restart()
    assert "puzzle turns" not in _frame(bench).text
    assert [each.label for each in desk.controls] == ["Next", "Ask", "Back", "End the lesson"]
    desk = await _move(bench, rowan, desk, "Ask")
    asked = _frame(bench)
    assert "what can you do here? Have a good look at box 9." in asked.text
    assert asked.alts
    form = form_of(await ada.press(asked, "My answer"))
    assert "all of it" in answer_of(await ada.submit(form, find="r1c7-6")).text
    assert "does not follow" in answer_of(await ben.command("see", find="r1c1=9")).text
    assert (
        "two members have tried it, and one of them saw it"
        in (await _move(bench, rowan, desk, "How many so far")).text
    )
    await _move(bench, rowan, desk, "Show")
    shown = _frame(bench)
    assert "Two of you tried it, and one saw it." in shown.text
    assert "puzzle turns" in shown.text
    assert not shown.controls
    assert shown.alts != asked.alts
    assert len(club.messages) == posts


async def test_a_lesson_goes_on_in_a_thread_that_fell_asleep(bench: Bench, club: Channel) -> None:
    rowan = bench.double.person("Rowan", club, leads=True)
    await _on_wednesday(bench)
    desk = answer_of(await rowan.command("club lesson", date=LINE))
    await bench.tick()
    before = _frame(bench)
    _lesson(bench).is_asleep = True
    taken_up = answer_of(await rowan.command("club lesson"))
    assert taken_up.text.partition("Comes next")[2] == desk.text.partition("Comes next")[2]
    await _move(bench, rowan, taken_up, "Next")
    assert _frame(bench).id == before.id
    assert _frame(bench).text != before.text
