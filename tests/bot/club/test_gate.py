"""Nothing unpaid tells: a free reply knows the board, the givens and what was paid for."""

from __future__ import annotations

import ast
import asyncio
import json
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

import bot.club
from bot.club.replies import (
    BoardFull,
    ExportMade,
    HintOffered,
    HintShown,
    KnownNoted,
    MistakeShown,
    PersonalPage,
)
from bot.storage import open_store
from tests.bot.club.stories import (
    CROOK_AFTER_SINGLES,
    EASY,
    EASY_SOLUTION,
    MONDAY,
    Story,
    crook_puzzle,
    easy_puzzle,
    open_story,
)
from tests.bot.club.two_worlds import SEEN, Twins, lines, open_worlds, twins

WORLDS, MANY = 60, 2500
LEAST, MOST = 10, 30
"""Lines said in a pair of worlds."""


def law_of(examples: int) -> None:
    @settings(
        max_examples=examples,
        deadline=None,
        derandomize=True,
        database=None,
        suppress_health_check=list(HealthCheck),
    )
    @given(st.data())
    def holds(draws: st.DataObject) -> None:
        pair = draws.draw(twins())
        said = draws.draw(st.lists(lines(pair), min_size=LEAST, max_size=MOST))

        async def live() -> None:
            worlds = await open_worlds(pair)
            for line in said:
                if worlds.is_parted:
                    worlds = await open_worlds(pair)
                await worlds.say(line)

        asyncio.run(live())

    SEEN.clear()
    holds()
    print(f"\nthe gate, {examples} pairs of worlds: {dict(SEEN)}")  # noqa: T201


def test_a_reply_that_costs_nothing_is_the_same_whichever_solution_is_right() -> None:
    law_of(WORLDS)
    assert SEEN["same, free"] >= 10 * WORLDS, SEEN
    for kind in ("HintOffered", "HintShown", "BoardFull", "ExportMade", "KnownNoted", "PhotoRead"):
        assert SEEN[kind] >= 1, SEEN
    assert SEEN["parted"] >= WORLDS * 3 // 5, SEEN


@pytest.mark.long
def test_a_reply_that_costs_nothing_is_the_same_in_ten_times_as_many_worlds() -> None:
    law_of(MANY)
    assert SEEN["same, free"] >= 25000, SEEN


async def test_the_law_holds_on_the_real_store(tmp_path: Path) -> None:
    # r1c8 and r1c9 are 1 and 2, or 2 and 1: the solutions differ in 14 cells.
    second = EASY_SOLUTION.translate(str.maketrans("12", "21"))
    open_cells = [cell for cell in range(81) if EASY_SOLUTION[cell] in "12345"]
    givens = "".join("." if cell in open_cells else mark for cell, mark in enumerate(EASY_SOLUTION))
    async with open_store(tmp_path / "a.db") as one, open_store(tmp_path / "b.db") as other:
        worlds = await open_worlds(Twins(givens, EASY_SOLUTION, second), one, other)
        for line in (
            "hint board",
            "place r1c8 1",
            "hint",
            "hint board",
            "hint known",
            "hint row 1",
        ):
            await worlds.say(line)
            if worlds.is_parted:
                break
        assert len(worlds.said) >= 5, worlds.said


def test_the_solution_is_read_at_the_gate_and_for_answers_and_nowhere_else() -> None:
    folder = Path(bot.club.__file__).parent
    readers = {
        path.name
        for path in folder.glob("*.py")
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Attribute) and node.attr == "solution"
    }
    # `saying` looks at what was said to everybody, which is no question to the club; `printing`
    # makes a leader's sheet, without the answer of a day that is open.
    assert readers == {"gate.py", "answers.py", "saying.py", "printing.py"}


# --- one by one ---


async def easy_story() -> Story:
    story = await open_story(easy_puzzle())
    await story.say("start")
    return story


async def seconds_for(story: Story, line: str) -> int:
    before = (await story.entry()).added_seconds
    await story.say(line)
    return (await story.entry()).added_seconds - before


@pytest.mark.parametrize("digit", range(1, 10))
async def test_a_hint_under_way_says_nothing_of_a_digit_written_since(digit: int) -> None:
    # r1c6 is 8 in the published solution, and the cell of the first hint: going on with it was
    # offered for 8 alone.
    story = await easy_story()
    told = await story.hears(HintShown, "hint board")
    assert "r1c6" in told.step.cells
    await story.say(f"place r1c6 {digit}")
    assert await story.hears(HintOffered, "hint") == HintOffered(
        board_of=MONDAY,
        is_published=False,
        costs=(15, 30, 60, 120),
        in_progress=1,
        number=1,
    )
    assert await seconds_for(story, "hint board sure") == 15


@pytest.mark.parametrize("digit", [1, 2, 4])
async def test_reading_a_hint_again_says_nothing_of_a_digit_elsewhere(digit: int) -> None:
    # r1c3 is 4 in the published solution; neither 1 nor 2 clashes with a given there.
    story = await easy_story()
    told = await story.hears(HintShown, "hint board")
    assert "r1c3" not in told.step.cells
    await story.say(f"place r1c3 {digit}")
    again = await story.hears(HintShown, "hint board")
    assert (again.step, again.position, again.seconds) == (told.step, told.position, 0)


@pytest.mark.parametrize("right", [True, False])
async def test_a_full_board_is_to_be_handed_in_right_or_wrong(right: bool) -> None:
    story = await easy_story()
    grid = EASY_SOLUTION if right else EASY_SOLUTION[:2] + "1" + EASY_SOLUTION[3:]
    for cell in range(81):
        if EASY[cell] == ".":
            await story.say(f"place r{cell // 9 + 1}c{cell % 9 + 1} {grid[cell]}")
    assert await story.say("hint board sure") == BoardFull(board_of=MONDAY)
    assert await seconds_for(story, "hint board sure") == 0


async def test_a_mistake_told_to_its_cell_makes_no_other_digit_of_it_free_to_test() -> None:
    story = await easy_story()
    await story.say("place r1c3 1")
    for line in ("hint board sure", "hint more", "hint more"):
        shown = await story.hears(MistakeShown, line)
    assert shown.cell == "r1c3"
    # As long as it stands, hearing of it again is free.
    assert await seconds_for(story, "hint board sure") == 0
    for digit in (2, 4):  # 4 is right
        await story.say(f"place r1c3 {digit}")
        assert await seconds_for(story, "hint board sure") == 15


async def test_mending_what_was_not_the_mistake_is_not_told_for_nothing() -> None:
    story = await easy_story()
    await story.say("place r1c3 1 r1c4 6")
    assert await seconds_for(story, "hint board sure") == 15
    await story.say("place r2c2 7")
    assert await seconds_for(story, "hint board sure") == 0  # one of the two is wrong still
    await story.say("place r1c4 0")
    assert await seconds_for(story, "hint board sure") == 15  # it was the other one
    await story.say("undo")
    assert await seconds_for(story, "hint board sure") == 0  # this board is known


async def test_an_export_and_the_own_page_hold_back_what_was_not_told_yet() -> None:
    story = await open_story(crook_puzzle())
    await story.say("start")
    await story.say(f"board {CROOK_AFTER_SINGLES}")
    told = await story.hears(HintShown, "hint column 3")
    export = await story.hears(ExportMade, "privacy export")
    assert export.is_less
    for secret in ("naked-pair", "r3c3", '"removes": [\n            ['):
        assert secret not in export.text, secret
    assert (await story.hears(PersonalPage, "me")).asked == ()
    await story.say("hint more")
    assert (await story.hears(PersonalPage, "me")).asked == ((told.step.technique, 1),)
    assert "naked-pair" in (await story.hears(ExportMade, "privacy export")).text
    await story.later(days=1).tick()
    whole = json.loads((await story.hears(ExportMade, "privacy export")).text)
    assert whole["entries"][0]["hint"]["step"]["technique"] == "naked-pair"


async def test_an_export_says_nothing_of_where_a_mistake_is() -> None:
    story = await easy_story()
    await story.say("place r1c3 1 r1c4 6")
    await story.hears(MistakeShown, "hint board sure")
    kept = json.loads((await story.hears(ExportMade, "privacy export")).text)
    assert [each["key"] for each in kept["entries"][0]["charges"]] == ["mistake:1"]


# --- what a rung costs is what its knowledge costs ---


async def crooks_story() -> Story:
    """A member who was told where to look and that it is a naked pair: 45 seconds."""
    story = await open_story(crook_puzzle())
    await story.say("start")
    await story.say(f"board {CROOK_AFTER_SINGLES}")
    await story.say("hint column 3")
    shown = await story.hears(HintShown, "hint more")
    assert (shown.step.technique, shown.known_cost) == ("naked-pair", 180)
    return story


async def test_what_is_said_to_be_known_costs_what_the_rungs_that_tell_it_cost() -> None:
    story = await crooks_story()
    noted = await story.hears(KnownNoted, "hint known")
    assert (noted.seconds, noted.total) == (180, 225)
    entry = await story.entry()
    assert set(noted.struck) == set(entry.board.ruled_out)
    # Crook 2009, p. 463: what the pair strikes.
    assert {("r5c3", 2), ("r5c3", 8), ("r8c3", 2), ("r8c3", 8), ("r9c3", 2)} <= set(noted.struck)


async def test_undo_takes_it_back_from_the_board_and_not_from_the_account() -> None:
    story = await crooks_story()
    await story.say("hint known")
    await story.say("undo")
    entry = await story.entry()
    assert (entry.board.ruled_out, entry.known.removes, entry.added_seconds) == ((), (), 225)
    for line in ("hint column 3", "hint more", "hint more", "hint more"):
        shown = await story.hears(HintShown, line)
        assert (shown.step.technique, shown.seconds) == ("naked-pair", 0)
    assert shown.rung == 4


async def test_ruling_out_by_oneself_costs_nothing_and_counts_the_same() -> None:
    story = await crooks_story()
    await story.say("rule-out r5c3 2 8 r8c3 2 8 r9c3 2")
    entry = await story.entry()
    assert entry.added_seconds == 45
    shown = await story.say("hint column 3")
    assert not (isinstance(shown, HintShown) and shown.step.cells == ("r3c3", "r4c3"))


async def test_told_in_full_is_not_a_full_board() -> None:
    story = await easy_story()
    for _ in range(60):
        reply = await story.say("hint board sure")
        if isinstance(reply, BoardFull):
            break
        for _ in range(3):
            await story.say("hint more")
    assert reply == BoardFull(board_of=MONDAY, open_cells=EASY.count("."))
