"""What holds for every picture: its form, its size, the same bytes for the same facts."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from datetime import date
from io import BytesIO

import pytest
from msgspec.structs import replace
from PIL import Image

from bot.club.clock import Period
from bot.club.facts import (
    CoverPicture,
    GridPicture,
    Picturable,
    Position,
    Table,
    TablePicture,
    TableRow,
)
from bot.drawing import draw, draw_canvas
from bot.drawing.geometry import board_of
from bot.drawing.table import figures_of_day
from bot.wording import labels
from engine.board.layout import CLASSIC, MIDDLE, SMALL, Layout
from tests.bot.drawing.scenes import (
    CROOK,
    CROOK_LATER,
    FOUR,
    SIX,
    board,
    every_picture,
    puzzle,
    table,
)

MOST_BYTES = 60 * 1024


@pytest.mark.parametrize(("name", "picture"), tuple(every_picture()))
def test_a_picture_is_a_small_png_in_both_looks(name: str, picture: Picturable) -> None:
    light, dark = draw(picture, "light"), draw(picture, "dark")
    for encoded in (light, dark):
        opened = Image.open(BytesIO(encoded))
        assert (opened.format, opened.mode) == ("PNG", "P")
        assert len(encoded) <= MOST_BYTES
    assert light != dark
    assert draw(picture, "light") == light


def test_many_threads_draw_the_same_bytes() -> None:
    pictures = [picture for _, picture in every_picture()][:24] * 2
    alone = [draw(picture, "light") for picture in pictures]
    with ThreadPoolExecutor(8) as threads:
        together = list(threads.map(lambda picture: draw(picture, "light"), pictures))
    assert together == alone


@pytest.mark.parametrize(
    ("text", "layout"), [(FOUR, SMALL), (SIX, MIDDLE), (CROOK, CLASSIC)], ids=["4", "6", "9"]
)
def test_a_grid_of_any_size_fills_the_same_board(text: str, layout: Layout) -> None:
    opened = Image.open(BytesIO(draw(GridPicture(text, Position(text), True), "light")))
    assert opened.size == (720, 720)
    places = board_of(layout)
    for cell in layout.cells_in(layout.all_cells):
        whole = places.cell_rect(cell)
        slots = [places.slot_rect(cell, digit) for digit in layout.digits]
        assert len(set(slots)) == layout.size
        for slot in slots:
            assert whole.left < slot.left
            assert whole.top < slot.top
            assert slot.right < whole.right
            assert slot.bottom < whole.bottom


def test_a_given_and_a_placed_digit_look_different() -> None:
    given = draw_canvas(GridPicture(CROOK_LATER, Position(CROOK_LATER)), "light").image
    placed = draw_canvas(GridPicture(CROOK, Position(CROOK_LATER)), "light").image
    rect = board_of(CLASSIC).cell_rect(CLASSIC.parse_cell("r2c3"))
    assert given.crop(rect).tobytes() != placed.crop(rect).tobytes()


def test_marked_lines_have_arrow_heads_at_both_ends() -> None:
    marked = draw_canvas(puzzle(), "light").image
    bare = draw_canvas(
        GridPicture(CROOK, Position(CROOK), caption="Tuesday 24 November 2026"), "light"
    )
    places = board_of(CLASSIC)
    for rect in places.band_rects(CLASSIC.parse_house("row 2")):
        assert marked.crop(rect).tobytes() != bare.image.crop(rect).tobytes()
    for rect in places.band_rects(CLASSIC.parse_house("row 3")):
        assert marked.crop(rect).tobytes() == bare.image.crop(rect).tobytes()


def test_a_board_with_a_digit_twice_in_a_house_is_shown_as_it_stands() -> None:
    twice = "55" + "." * 79
    assert draw(GridPicture("." * 81, Position(twice), True), "light")


def test_struck_candidates_are_left_out() -> None:
    whole = draw_canvas(GridPicture(CROOK, Position(CROOK_LATER), True), "light").image
    less = draw_canvas(board(), "light").image
    slot = board_of(CLASSIC).slot_rect(CLASSIC.parse_cell("r1c1"), 6)
    assert len(set(whole.crop(slot).tobytes())) > 1
    assert len(set(less.crop(slot).tobytes())) == 1


def test_the_cover_depends_on_club_date_and_level_alone() -> None:
    one = CoverPicture("The Thursday Pencils", date(2026, 11, 24), 4)
    assert draw(one, "dark") == draw(CoverPicture(one.club, one.date, one.level), "dark")
    others = {
        draw(CoverPicture("Another Club", one.date, one.level), "dark"),
        draw(CoverPicture(one.club, date(2026, 11, 25), one.level), "dark"),
        draw(CoverPicture(one.club, one.date, 5), "dark"),
    }
    assert len(others | {draw(one, "dark")}) == 4


def test_the_table_of_a_day_shows_just_what_differs_that_day() -> None:
    row = TableRow(1, "Rosalind", 1, 900, 840, 1, wrong=1)

    def drawn(period: Period, row: TableRow) -> bytes:
        day = date(2026, 11, 24)
        shown = TablePicture(Table("The Thursday Pencils", period, day, day, (row,)))
        return draw_canvas(shown, "light").image.tobytes()

    on_the_day = drawn("day", row)
    assert drawn("day", replace(row, streak=4, solved=2)) == on_the_day
    assert drawn("day", replace(row, wrong=2)) != on_the_day
    assert drawn("day", replace(row, hints=2)) != on_the_day
    assert drawn("week", replace(row, streak=4)) != drawn("week", row)


def test_a_late_answer_in_the_table_of_a_day_has_no_times() -> None:
    late = TableRow(0, "Linden", 0, 0, 0, 0, late=1)
    assert figures_of_day(late) == ("", "", labels.LATE, "", "", "")


def test_a_long_table_ends_with_how_many_more_there_are() -> None:
    heights = [draw_canvas(table(rows=rows), "light").image.height for rows in (24, 25, 26, 40)]
    assert heights[0] < heights[1] < heights[2] == heights[3]
