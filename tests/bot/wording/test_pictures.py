"""Alternative text holds what the picture shows, no more, and fits every platform."""

from __future__ import annotations

import re

from bot import wording
from bot.club.facts import GridPicture, HintPicture, Position, Table, TablePicture, TableRow
from bot.wording.pictures import ALT_LIMIT
from engine.board.grid import parse_grid
from engine.board.layout import CLASSIC
from tests.bot.wording.clauses import lines_named
from tests.bot.wording.samples import (
    AT_PAIR,
    AT_SINGLE,
    COVER,
    CROOK,
    DAY,
    GIVENS,
    LINES,
    PAIR,
    SINGLE,
    WEEK,
    board_picture,
    step_at,
)
from tests.corpus import load_puzzles, load_samples


def _digits_read(alt: str) -> str:
    """Return the grid that a text without candidates reads out."""
    marks = {"blank": "."}
    rows = re.findall(r"^row [1-9]: (.*)$", alt, re.MULTILINE)
    return "".join(marks.get(word, word) for row in rows for word in row.split())


def _candidates_read(alt: str) -> list[tuple[int, ...]]:
    """Return what each cell is read to hold: its candidates, or nothing where it is filled."""
    held = []
    for row in re.findall(r"^row [1-9]: (.*)$", alt, re.MULTILINE):
        for cell in re.findall(r"\(([1-9 ]*)\)|([1-9])", row):
            held.append(tuple(int(digit) for digit in cell[0].replace(" ", "")))
    return held


def test_a_puzzle_is_read_out_with_its_marked_lines() -> None:
    alt = wording.describe(GridPicture(GIVENS, Position(GIVENS), lines=LINES))
    assert alt.startswith("Marked: row 3 and row 8.\nrow 1: 5 3 blank blank 7 blank")
    assert _digits_read(alt) == GIVENS
    assert "placed" not in alt


def test_placed_digits_are_told_apart_from_givens() -> None:
    alt = wording.describe(board_picture())
    assert "Not given but placed: row 1 column 3." in alt


def test_candidates_are_read_out_where_the_picture_shows_them() -> None:
    picture = board_picture(with_candidates=True)
    grid = picture.position.to_grid()
    expected = [grid.candidates_at(cell) for cell in range(CLASSIC.cell_count)]
    assert _candidates_read(wording.describe(picture)) == expected


def test_a_board_with_a_digit_twice_in_a_house_is_read_out_as_it_stands() -> None:
    clashing = "55" + GIVENS[2:]
    assert _digits_read(wording.describe(GridPicture(GIVENS, Position(clashing)))) == clashing


def test_a_hint_on_a_pair_is_read_by_its_rung() -> None:
    where, which, why = (
        wording.describe(HintPicture(CROOK, AT_PAIR, PAIR, rung))
        for rung in ("where", "which", "why")
    )
    assert where.startswith("Marked: column 3. Have a good look at column 3.\nrow 1: blank 3 9")
    assert "2 and 8 in r3c3 and r4c3" in which
    assert "r5c3" not in which
    assert "So r5c3 and r8c3 lose 2 and 8; r9c3 loses 2." in why


def test_a_single_is_read_with_the_candidates_of_its_own_cell_only() -> None:
    which = wording.describe(HintPicture(GIVENS, AT_SINGLE, SINGLE, "which"))
    assert which.count("(") == 2  # the houses after the pattern, and the one open cell shown
    why = wording.describe(HintPicture(GIVENS, AT_SINGLE, SINGLE, "why"))
    assert "So r5c5 is 5. Ringed, since they explain it: " in why


def test_three_settled_at_once_are_read_without_the_candidates_that_give_them_away() -> None:
    text = ".6.3...7..8....93..73.8..1.347..8...298547163651..34.75369.4.21814.3..59729851346"
    step, position = step_at(text, "last-three")
    which = wording.describe(HintPicture(text, position, step, "which"))
    assert "2, 8 and 9 in r6c4, r6c5 and r6c8" in which
    assert which.count("(") == 1  # the house after the pattern, and no open cell


def test_the_ringed_digits_are_those_that_the_reason_names() -> None:
    step, position = step_at(GIVENS, "hidden-single")
    why = wording.rungs(step, position)["why"]
    alt = wording.describe(HintPicture(GIVENS, position, step, "why"))
    ringed = re.search(r"Ringed, since they explain it: ([^.]*)\.", alt)
    assert ringed is not None
    grid, digit = position.to_grid(), step.digits[0]
    named = re.search(rf"{digit}s? of ([^.]*) leaves? one place", why)
    assert named is not None
    lines = lines_named(named[1])
    cells = [grid.layout.parse_cell(name) for name in re.findall("r[1-9]c[1-9]", ringed[1])]
    assert all(grid.digit_at(cell) == digit for cell in cells)
    for line in lines:
        assert any(grid.layout.parse_house(line).mask >> cell & 1 for cell in cells), line
    assert len(cells) == len(lines)


def test_every_text_of_a_grid_fits_even_with_all_candidates() -> None:
    pictures = [
        GridPicture(puzzle.text, Position(puzzle.text), with_candidates=True, lines=LINES)
        for puzzle in load_puzzles()
    ]
    pictures += [
        GridPicture(puzzle.text, Position(puzzle.solution), lines=LINES)
        for puzzle in load_puzzles()
    ]
    pictures += [GridPicture("." * 81, Position("." * 81), with_candidates=True, lines=LINES)]
    lengths = [len(wording.describe(picture)) for picture in pictures]
    assert max(lengths) <= ALT_LIMIT
    for picture in pictures[:50]:
        held = _candidates_read(wording.describe(picture))
        grid = picture.position.to_grid()
        assert held == [grid.candidates_at(cell) for cell in range(CLASSIC.cell_count)]


def test_an_empty_grid_falls_back_to_its_digits() -> None:
    empty = "." * 81
    alt = wording.describe(GridPicture(empty, Position(empty), with_candidates=True))
    assert _digits_read(alt) == empty


def test_corpus_positions_are_read_without_loss() -> None:
    for sample in load_samples()[::20]:
        position = Position.of(sample.grid)
        alt = wording.describe(GridPicture(sample.text, position))
        assert parse_grid(_digits_read(alt)).placed == sample.grid.placed


def test_a_table_is_read_row_by_row() -> None:
    alt = wording.describe(TablePicture(WEEK))
    assert alt.splitlines()[0] == "Hedgerow Sudoku Club. The week of 23 to 29 November 2026."
    assert "2. Rowan: 3 solved, 43 min 35 s, " in alt
    assert "2. Sorrel: 3 solved" in alt
    assert alt.endswith("Most improved: Rowan.")


def test_a_long_table_is_cut_at_a_row_and_says_so() -> None:
    rows = tuple(TableRow(n, f"Member {n}", 5, 3000 + n, 2900, 3, streak=5) for n in range(1, 60))
    alt = wording.describe(TablePicture(Table("Club", "week", DAY, DAY, rows, ("Member 3",))))
    assert len(alt) <= ALT_LIMIT
    read = len(re.findall(r"^[0-9]+\. Member", alt, re.MULTILINE))
    assert 5 < read < 59
    assert f"{59 - read} more in the whole table." in alt
    assert alt.endswith("Most improved: Member 3.")


def test_a_cover_tells_nothing_of_the_puzzle() -> None:
    alt = wording.describe(COVER)
    assert alt == (
        "Cover of a sealed puzzle: Hedgerow Sudoku Club, 24 November 2026, level 3. "
        "Nothing of the puzzle is shown."
    )
