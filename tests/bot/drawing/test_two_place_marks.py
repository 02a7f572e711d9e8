"""Two-place marks: the small digits that people note on paper, as a mode of every picture."""

from __future__ import annotations

import re

import pytest
from msgspec.structs import replace

from bot import wording
from bot.club.facts import GridPicture, HintPicture, Marks, Position, facts_of_step
from bot.drawing import draw_canvas
from bot.drawing.geometry import board_of
from engine import Grid, find_hint
from engine.board.layout import CLASSIC
from engine.inference.witnesses import find_two_places
from tests.bot.drawing.scenes import hint
from tests.corpus import load_samples


def noted(grid: Grid) -> set[tuple[int, int]]:
    """Return the (cell, digit) pairs that have one other place in their box, by plain counting."""
    return {
        (cell, digit)
        for box in grid.layout.boxes
        for digit in grid.layout.digits
        for places in [[c for c in box.cells if digit in grid.candidates_at(c)]]
        if len(places) == 2
        for cell in places
    }


def test_two_place_marks_are_digits_with_two_places_in_a_box() -> None:
    for sample in load_samples()[::25]:
        assert set(sample.grid.layout.pairs(find_two_places(sample.grid))) == noted(sample.grid)


def written(picture: GridPicture | HintPicture) -> set[tuple[int, int]]:
    """Return the places of candidates in which something is drawn, in open cells."""
    canvas, board = draw_canvas(picture, "light").image, board_of(CLASSIC)
    grid = picture.position.to_grid()
    return {
        (cell, digit)
        for cell in CLASSIC.cells_in(grid.open_cells)
        for digit in CLASSIC.digits
        if len(set(canvas.crop(board.slot_rect(cell, digit)).tobytes())) > 1
    }


def read_out(alt: str) -> set[tuple[int, int]]:
    """Return the (cell, digit) pairs that an alternative text reads, as its rows have them."""
    found = set()
    for number, row in re.findall(r"row ([1-9]): (.*)", alt):
        parts = re.findall(r"\([1-9 ]+\)|[1-9]|blank|\.", row)
        for column, part in enumerate(parts):
            if part.startswith("("):
                cell = (int(number) - 1) * 9 + column
                found |= {(cell, int(digit)) for digit in re.findall("[1-9]", part)}
    return found


@pytest.mark.parametrize("marks", ["all", "two-place", "none"])
def test_a_board_shows_the_marks_asked_for_and_its_text_reads_them(marks: Marks) -> None:
    for sample in load_samples()[::400]:
        position = Position.of(sample.grid)
        picture = GridPicture(position.grid, position, with_candidates=True, marks=marks)
        grid = sample.grid
        expected = {
            "all": set(CLASSIC.pairs(grid.candidates)), "two-place": noted(grid), "none": set(),
        }[marks]  # fmt: skip
        assert written(picture) == expected
        alt = wording.describe(picture)
        if "…" not in alt and (read := read_out(alt)):
            assert read == expected


@pytest.mark.parametrize("rung", ["which", "why"])
@pytest.mark.parametrize("technique", ["naked-triple", "hidden-triple", "pointing", "x-wing"])
def test_a_hint_keeps_its_pattern_and_what_it_strikes_whatever_the_marks(
    technique: str, rung: str
) -> None:
    whole = hint(technique, rung)
    grid = whole.position.to_grid()
    named = {(CLASSIC.parse_cell(cell), digit) for cell, digit in whole.step.pattern}
    if rung == "why":
        named |= {(CLASSIC.parse_cell(cell), digit) for cell, digit in whole.step.removes}
    assert written(replace(whole, marks="two-place")) == noted(grid) | named
    assert written(replace(whole, marks="none")) == named


def test_the_first_rung_and_a_single_show_no_more_in_any_mode() -> None:
    grid = hint("hidden-single", "which").position.to_grid()
    step = find_hint(grid)
    assert step is not None
    facts = facts_of_step(grid.layout, step)
    for rung in ("where", "which", "why"):
        whole = HintPicture("." * 81, Position.of(grid), facts, rung)
        for marks in ("two-place", "none"):
            assert written(replace(whole, marks=marks)) <= written(whole)
