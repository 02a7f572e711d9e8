"""The sheet of a week: what it holds of what was up and what is to come, and how it comes."""

from __future__ import annotations

import sys

import pytest

from bot.club.fake_store import FakeStore
from bot.club.ports import Store
from bot.club.printing import SheetMade
from bot.club.problems import Problem
from bot.club.replies import DayPosted, InputRefused, LeadersOnly, decode_reply, encode_reply
from bot.exchange import compose
from bot.platforms.message import Attachment
from bot.wording import phrase
from bot.wording.printing import print_sheet
from tests.bot import paper
from tests.bot.club.stories import DAY, MONDAY, Story, open_story, settings_with
from tests.bot.club.test_leading_puzzles import stocked_story


async def on_tuesday(store: Store) -> Story:
    """Return a club whose first day is over and whose second is open."""
    story = await stocked_story(store)
    await story.tick()
    await story.later(days=1).tick()
    return story


async def test_a_week_is_printed_as_it_was_up_and_as_it_goes_up(store: Store) -> None:
    story = await on_tuesday(store)
    sheet = await story.hears(SheetMade, "club sheet per-page=6 paper=letter", leads=True)
    assert [day.date for day in sheet.days] == [MONDAY + number * DAY for number in range(7)]
    assert [day.is_open for day in sheet.days] == [False, True, *[False] * 5]
    assert [day.is_coming for day in sheet.days] == [False, False, *[True] * 5]
    # What is open is still to be found out.
    assert [bool(day.answer) for day in sheet.days] == [True, False, *[True] * 5]
    assert decode_reply(encode_reply(sheet)) == sheet
    told = phrase(sheet).text
    assert "Tuesday 24 November is still open, so its answer isn't on it." in told
    assert "what goes up, unless you change it" in told
    for _ in range(5):
        await story.later(days=1).tick()
    posted = [reply.day for _, _, reply in story.posts if isinstance(reply, DayPosted)]
    assert {day.date: day.givens for day in posted} == {day.date: day.givens for day in sheet.days}


async def test_the_sheet_of_a_week_comes_as_a_file(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    story = await on_tuesday(FakeStore())
    line = "club sheet 2026-11-25 per-page=6 paper=letter"
    sheet = await story.hears(SheetMade, line, leads=True)
    (message,) = await compose(sheet, story.club.settings)
    file = message.file
    assert isinstance(file, Attachment)
    assert (file.name, file.kind) == ("week-of-2026-11-23.pdf", "application/pdf")
    assert paper.problems_of(file.raw) == []
    first, second, answers = paper.read_pages(file.raw)
    grids = [grid.text for grid in (*first.grids, *second.grids)]
    assert grids == [day.givens for day in sheet.days]
    assert [round(side) for side in first.size] == [216, 279]
    assert "Tuesday 24 November, level 3" in first.words
    assert "week of 23 November 2026" in first.words
    assert f"Answer: {', then '.join(sheet.days[0].lines)}" in first.words
    told = [day.answer for day in sheet.days if day.answer]
    assert [grid.text for grid in answers.grids] == told
    assert "Tuesday" not in answers.words
    monkeypatch.setitem(sys.modules, "fpdf", None)
    (message,) = await compose(sheet, story.club.settings)
    assert message.file is None
    assert "pip install 'ninebark[print]'" in message.text


async def test_the_next_week_can_be_printed_before_it_begins() -> None:
    story = await on_tuesday(FakeStore())
    sheet = await story.hears(SheetMade, "club sheet next answers=none", leads=True)
    assert sheet.monday == MONDAY + 7 * DAY
    # Of twelve puzzles seven are for this week.
    assert len(sheet.days) == 5
    assert [day.answer for day in sheet.days] == [""] * 5
    told = phrase(sheet).text
    assert "Nothing is there yet for Saturday 5 December and Sunday 6 December." in told
    assert "open" not in told


async def test_exercises_are_added_the_same_all_week() -> None:
    story = await on_tuesday(FakeStore())
    line = "club sheet practice=naked-triple"
    sheet = await story.hears(SheetMade, line, leads=True)
    assert len({each.position for each in sheet.exercises}) == 4
    assert {each.step.technique for each in sheet.exercises} == {"naked-triple"}
    assert "7 puzzles and 4 exercises" in phrase(sheet).text
    named, printed = print_sheet(sheet)
    assert named == "week-of-2026-11-23"
    assert printed.grids[-1].found.startswith("Naked triple: ")
    line = "club sheet practice=Naked triple answers=none"
    again = await story.later(minutes=5).hears(SheetMade, line, leads=True)
    assert again.exercises == sheet.exercises
    assert print_sheet(again)[1].grids[-1].found == ""
    without = settings_with(uniqueness=False)
    story = await open_story(settings=without)
    refused = await story.hears(InputRefused, "club sheet practice=unique-rectangle", leads=True)
    assert refused.problem is Problem.UNIQUENESS


@pytest.mark.parametrize(
    "line", ["practice=guessing", "per-page=7", "paper=a3", "answers=aloud", "yesteryear"]
)
async def test_what_cannot_be_read_is_told_with_an_example(line: str) -> None:
    story = await on_tuesday(FakeStore())
    refused = await story.hears(InputRefused, f"club sheet {line}", leads=True)
    assert line.removeprefix("practice=") in phrase(refused).text
    assert "club sheet next" in phrase(refused).text


@pytest.mark.parametrize(
    ("option", "expected"),
    [
        ("per-page=7", "a number from 1 to 6"),
        ("paper=a3", "a4 or letter"),
        ("answers=aloud", "last, below or none"),
    ],
)
async def test_an_option_that_cannot_be_had_is_told_with_what_can(
    option: str, expected: str
) -> None:
    story = await on_tuesday(FakeStore())
    refused = await story.hears(InputRefused, f"club sheet {option}", leads=True)
    assert expected in phrase(refused).text


async def test_a_week_without_puzzles_and_a_member_get_no_sheet() -> None:
    story = await on_tuesday(FakeStore())
    refused = await story.hears(InputRefused, "club sheet 2025-01-06", leads=True)
    assert refused.problem is Problem.MISSING
    await story.hears(LeadersOnly, "club sheet")
