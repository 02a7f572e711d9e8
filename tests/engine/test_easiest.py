"""Of the singles at a position a hint takes the one that is the easiest to see."""

from __future__ import annotations

from engine.board.grid import Grid, parse_grid
from engine.board.layout import CLASSIC
from engine.solving.easiest import SINGLES, find_singles
from engine.solving.hints import find_hint
from engine.solving.narrowing import Narrowing
from engine.solving.sweeping import find_stages
from engine.techniques import LADDER, technique_with
from tests.corpus import load_puzzles
from tests.engine.techniques.checking import drawn, note
from tests.engine.techniques.test_last_three import STRAIGHT

FOUR_LINES_OR_TWO = """
...|...|...
...|1..|...
...|...|1..
---+---+---
...|...|.1.
.1.|...|...
...|...|...
---+---+---
..1|...|234
...|...|567
...|...|...
"""
"""In box 1 two rows and two columns leave r1c1 to the 1; in box 9 two columns leave it r9c9."""

BARRED_BY_TWO_ROWS = STRAIGHT.replace("...|...|...", "8..|...|...", 1).replace(
    "\n...|...|...\n---", "\n...|8..|...\n---", 1
)
"""The position of the last three, and two 8s more: box 3 has one place for its own."""


def order(grid: Grid, narrowing: Narrowing | None = None) -> list[str]:
    return [
        f"{step.technique}: {note(grid.layout, step)}" for step in find_singles(grid, narrowing)
    ]


def test_of_hidden_singles_the_one_that_the_fewest_lines_show_comes_first() -> None:
    grid = drawn(FOUR_LINES_OR_TWO)
    assert order(grid) == [
        "hidden-single: box 9, column 9: 1 at r9c9 -> r9c9=1",
        "hidden-single: box 1, row 1, column 1: 1 at r1c1 -> r1c1=1",
    ]
    hint = find_hint(grid)
    assert hint is not None
    assert CLASSIC.format_cell(hint.cells[0]) == "r9c9"


def test_what_was_struck_is_harder_to_see_than_what_stands() -> None:
    grid = drawn(FOUR_LINES_OR_TWO.replace("|.1.", "|...", 1)).eliminate(
        CLASSIC.bit(CLASSIC.parse_cell("r9c8"), 1)
    )
    assert order(grid)[:2] == [
        "hidden-single: box 1, row 1, column 1: 1 at r1c1 -> r1c1=1",
        "hidden-single: box 9: 1 at r9c9 -> r9c9=1",
    ]


def test_the_house_in_which_the_least_bars_the_digit_leads() -> None:
    grid = drawn(BARRED_BY_TWO_ROWS)
    assert order(grid)[0] == "hidden-single: row 1, box 3, column 9: 8 at r1c9 -> r1c9=8"


def test_three_settled_at_once_come_where_no_box_has_a_hidden_single() -> None:
    assert order(drawn(STRAIGHT))[0].startswith("last-three: row 1: 789")
    techniques = [each.split(":")[0] for each in order(drawn(BARRED_BY_TWO_ROWS))]
    assert techniques[0] == "hidden-single"
    assert techniques.index("last-three") > techniques.count("hidden-single") - 1


def test_asked_for_a_house_its_easiest_single_is_the_hint() -> None:
    narrowing = Narrowing(house=CLASSIC.parse_house("box 1"))
    assert order(drawn(FOUR_LINES_OR_TWO), narrowing)[0].startswith("hidden-single: box 1")


def test_every_single_there_is_comes_in_some_place_and_comes_once() -> None:
    in_a_line_alone = 0
    for puzzle in load_puzzles()[::40]:
        grid = parse_grid(puzzle.text)
        for position in [grid, *(stage.position for stage in find_stages(grid, LADDER))]:
            wanted = [step.key for each in SINGLES for step in each.find(position)]
            assert sorted(step.key for step in find_singles(position)) == sorted(wanted)
            hidden = list(technique_with("hidden-single").find(position))
            houses = [position.layout.houses[step.houses[0]] for step in hidden]
            in_a_line_alone += bool(hidden) and all(house.is_line for house in houses)
    assert in_a_line_alone > 5
