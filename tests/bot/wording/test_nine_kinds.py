"""The nine kinds of reasoning, as a teacher says them (facts.md, common practice): at positions of
our own, what the told text has to name. That it is true, `told` checks clause by clause."""

from __future__ import annotations

import re

import pytest

from bot.wording.steps import explain
from engine import find_walkthrough
from engine.board.grid import position_of
from engine.solving.paths import find_steps
from tests.bot.wording.test_story import told
from tests.bot.wording.told import find_untrue

Struck = tuple[tuple[str, int], ...]

CROSSING = ".65.1.....4.8..3.....7.5.....4..763..16.3.94..736..8.....5.1.....1..3.8.....7.59."
GAPS = ".5..14.9.1..8.2..4824976......7...46..2..8.1.......9....8...7....6.2....2.1......"
BOTH = "....82..1..6.15..4123647958..2571.49...2961.7.71438..521..53496....64512564129873"
FOUR = "1352467987649..2138..731564....631..3.1..74.6..6...37......28.141...9625..8...9.7"
AT_ONCE = ".6531.....4.8..3.....7.51....41.763..16.3.947.736..8.....5.1.....1..3.8.....7.591"
TWOS = "...5..41...3194.5.....8.6...7.3.85.25.......4.32.......8...2.....6.1.9..3......46"
TWOS_STRUCK = (("r1c1", 6), ("r1c2", 6), ("r5c2", 1), ("r5c3", 1), ("r6c1", 1))
LINES = "1735962846581427394927836518456291739673158423218745967.49....5..64....8..92.14.7"

KINDS: dict[str, tuple[str, Struck, str, tuple[str, ...]]] = {
    "crossing lines": (
        CROSSING, (), "hidden-single",
        ("The 3s of row 2 and columns 5 and 6 leave one place in box 2, r1c4.",),
    ),
    "a locked triple": (
        GAPS, (), "locked-triple",
        ("Row 3 has only three open cells, r3c7, r3c8 and r3c9, for 1, 3 and 5, and all lie in "
         "box 3.", "So in box 3 r1c7 and r1c9 lose 3; r2c7 and r2c8 lose 3 and 5."),
    ),
    "a naked pair that also points": (
        BOTH, (), "locked-pair",
        ("Two cells of both box 6 and row 6 use up two digits.",
         "in box 6 r4c7 loses 6; in row 6 r6c1 loses 6"),
    ),
    "a pair seen from the other side": (
        FOUR, (), "naked-pair",
        ("Row 5 has four open cells, for 2, 5, 8 and 9.", "r5c4 can be 5 or 8 (column 4 has 2 and "
         "9)", "r5c8 5 or 8 (column 8 has 2 and 9)",
         "2 and 9 are barred from these two, so they go in r5c2 and r5c5."),
    ),
    "three settled at once": (
        AT_ONCE, (), "last-three",
        ("5 goes in r5c1: r5c6 sees it in r3c6; r5c4 sees it in r7c4. 8 goes in r5c6: r5c4 sees "
         "it in r2c4. That leaves 2 for r5c4.",),
    ),
    "a triple of three two-candidate cells": (
        TWOS, TWOS_STRUCK, "naked-triple",
        ("r1c2 can be 2 or 9", "r2c2 2 or 6", "r5c2 6 or 9",
         "None holds all three, yet together they use up three digits of column 2: whichever "
            "digit one takes leaves the others one each."),
    ),
    "a hidden pair by crossing lines": (
        LINES, (), "hidden-pair",
        ("In box 9, 1 and 2 can only go in r7c8 and r8c8. The 1s and 2s of row 9 and column 7 bar "
         "the rest.",),
    ),
}  # fmt: skip


@pytest.mark.parametrize("kind", KINDS)
def test_a_reason_names_what_a_teacher_names(kind: str) -> None:
    text, struck, technique, named = KINDS[kind]
    grid = position_of(text, struck)
    steps = {explain(step, grid): step for step in find_steps(grid, technique)}
    fitting = [why for why in steps if all(each in why for each in named)]
    assert fitting, "\n".join(steps)
    assert find_untrue(fitting[0], steps[fitting[0]], grid) is None


def lines_of(puzzle: str) -> dict[int, tuple[str, str]]:
    """Return by its number each step's technique and line that a walkthrough tells in full."""
    taken, chapters = told(find_walkthrough(puzzle))
    numbered = re.findall(r"^([0-9]+)\. ([A-Z].*)$", "\n".join(c.text for c in chapters), re.M)
    return {
        int(number): (taken[int(number) - 1][0].technique, line)
        for number, line in numbered
        if ":" in line and not line.startswith("If ")
    }


def test_of_two_places_that_are_marked_one_goes_and_the_other_is_settled() -> None:
    """Two-place marks: which digit, which box, which two places, and what went when."""
    lines = lines_of(
        "...........3.5.1.....4.16..5...8.9..7.2..3..1.....4.62...8......76..24....5....93"
    )
    assert lines[6][1] == (
        "Hidden single: The 3s of row 5 and column 9 leave two places in box 6, r4c8 and r6c7. "
        "It left r6c7 in step 5, which settles r4c8. So r4c8 is 3."
    )


def test_claiming_lays_a_triple_bare_and_the_triple_then_confines() -> None:
    """Which strike came first, what it left, and what the triple takes from the box beside it."""
    lines = lines_of(
        "....4.6....3..8....546..27..8.1.2...2...37...7...8.9...27...5....8..4..9.......61"
    )
    assert [lines[number][0] for number in (6, 7, 8, 9)] == [
        "claiming", "claiming", "naked-triple", "pointing",
    ]  # fmt: skip
    triple, pointing = lines[8][1], lines[9][1]
    assert "1 left it in step 6, 6 in step 7" in triple
    assert "r5c2 can be 4 or 9" in triple
    assert "r6c2 3 or 4" in triple
    assert triple.endswith("So r1c2 and r2c2 lose 9; r8c2 loses 3.")
    assert "In box 1, 9 can only go in r1c1, r2c1 and r3c1: it left r1c2 and r2c2 in step 8." in (
        pointing
    )
