"""The hint is the step that a strong teacher would point at: one alone where one will do, of the
lowest technique, and of that the smallest instance that opens a digit.
"""

from __future__ import annotations

import pytest

from engine.board.applying import apply_steps
from engine.board.grid import Grid, parse_grid, position_of
from engine.solving.hint_search import find_kept_steps
from engine.solving.narrowing import Narrowing
from engine.solving.sweeping import finds_at
from engine.techniques import LADDER, Technique, technique_with
from tests.corpus import samples_by_technique, steps_at
from tests.engine.techniques.checking import note

LONG_CHAIN_FIRST = position_of(
    "32.716.5.6..948312.4.253.7681.49.7.3.3216..9....38.1..2..534681.8.629537563871249",
    [("r6c2", 7), ("r6c3", 7)],
)
TWO_STEPS_FIRST = parse_grid(
    ".24.5.....3162...4.89.4....3..91..461..4.63..4.65321..2631954..84.2.3.9191...4.3."
)
FEWER_BY_ANOTHER_WAY = position_of(
    "23145....6....3.5257......416.8....93.21..58678.....418.75.4693456......9.3.684.5",
    [("r2c7", 8), ("r3c7", 8), ("r3c8", 1), ("r4c5", 7), ("r4c6", 7), ("r8c7", 1)],
)
STRIKES_MORE_WHERE_REACHED = position_of(
    "...5..41...3194.5.....8.6...7.3.85.25.......4.32.......8...2.....6.1.9..3......46",
    [("r1c1", 6), ("r1c2", 6)],
)
ASKED_ABOUT_COLUMN_8 = position_of(
    "..1.87.427..1.538.8.69.4...3..5162742..7938..6.7842..34..25.....724.9..8....7.42.",
    [
        ("r1c7", 5), ("r3c2", 5), ("r6c2", 9), ("r7c2", 1), ("r7c2", 3), ("r7c2", 9), ("r7c3", 9),
        ("r7c8", 6), ("r7c9", 6), ("r9c2", 1), ("r9c2", 3), ("r9c9", 6), ("r9c9", 9),
    ],
)  # fmt: skip


def told(grid: Grid, narrowing: Narrowing | None = None) -> list[str]:
    return [note(grid.layout, step) for step in find_kept_steps(grid, narrowing)]


def test_of_several_chains_that_open_a_digit_the_shortest_is_the_hint() -> None:
    assert told(LONG_CHAIN_FIRST) == [
        "column 7, row 3, column 1: 1489 at r3c1 r3c7 r5c7 r8c1 -> r5c1<>4",
        "box 4: 7 at r5c1 -> r5c1=7",
    ]


def test_one_step_that_opens_a_digit_comes_before_two_lower_ones() -> None:
    assert told(TWO_STEPS_FIRST) == [
        "column 8: 78 at r6c8 r7c8 -> r1c8<>78 r2c8<>78 r3c8<>7 r5c8<>78",
        "box 3: 5 at r2c8 -> r2c8=5",
    ]


def test_of_several_ways_to_a_digit_the_one_with_the_fewest_steps_is_kept() -> None:
    assert told(FEWER_BY_ANOTHER_WAY) == [
        "column 2: 79 at r2c2 r2c4 r5c2 r5c6 -> r1c6<>7",
        "column 6, row 1, box 3, column 9: 6789 at r1c6 r1c8 r1c9 r5c6 r8c9 -> r8c6<>7",
        "column 6: 7 at r5c6 -> r5c6=7",
    ]


def test_a_hint_asked_about_a_house_begins_there_and_takes_no_higher_technique() -> None:
    column = ASKED_ABOUT_COLUMN_8.layout.columns[7]
    assert told(ASKED_ABOUT_COLUMN_8, Narrowing(house=column)) == [
        "column 5, column 8, column 9: 6 at r2c5 r2c9 r5c8 r5c9 r8c5 r8c8 -> row 2: row 5: row 8:"
        " r8c7<>6",
        "box 9: 15 at r8c7 r9c9 -> r7c7<>1 r7c8<>1 r7c9<>1 r8c8<>15",
        "row 7: 1 at r7c6 -> r7c6=1",
    ]


def test_each_step_strikes_all_that_it_strikes_where_it_is_taken() -> None:
    position = STRIKES_MORE_WHERE_REACHED
    steps = find_kept_steps(position)
    assert [step.technique for step in steps[:2]] == ["claiming", "naked-triple"]
    for step in steps[:2]:
        there = finds_at(position, technique_with(step.technique))
        assert step.removes == next(found.removes for found in there if found.key == step.key)
        position = apply_steps(position, [step])


BY_SIZE = [technique for technique in LADDER if technique.is_by_size]


@pytest.mark.parametrize("technique", BY_SIZE, ids=str)
def test_what_is_searched_by_size_comes_in_that_order(technique: Technique) -> None:
    sizes: set[int] = set()
    for sample in samples_by_technique()[technique.id][:6]:
        found = [step.size for step in steps_at(sample, technique.id)]
        assert found == sorted(found), sample
        sizes |= set(found)
    assert len(sizes) > 1
