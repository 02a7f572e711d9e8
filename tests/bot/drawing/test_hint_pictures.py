"""A hint's picture shows what its rung may show, by shape, and keeps the rest to itself."""

from __future__ import annotations

import msgspec
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from bot.club.facts import HintPicture, Position, StepFacts, facts_of_step
from bot.drawing import draw, draw_canvas
from bot.drawing.canvas import Canvas
from bot.drawing.fonts import Face
from bot.drawing.geometry import SIDE, Rect, board_of
from bot.drawing.grid import candidate_size, marked_size, start_board
from bot.drawing.shapes import digit_shape
from bot.drawing.theme import Look, Paint, index_of, theme_of
from engine.board.layout import CLASSIC, MIDDLE, SMALL, Layout
from engine.board.step import Bound, CellConstraint, HouseConstraint, Step
from tests.bot.drawing.scenes import hint, steps_by_technique

TECHNIQUES = sorted(steps_by_technique())
ELIMINATING = sorted(
    technique for technique, (_, step) in steps_by_technique().items() if step.removes
)


@pytest.mark.parametrize("technique", TECHNIQUES)
def test_where_depends_on_the_first_house_alone(technique: str) -> None:
    _, step = steps_by_technique()[technique]
    bare = StepFacts("another", 2, step.houses[:1], (), (), (), (), (), (), ())
    assert draw(hint(technique, "where"), "dark") == draw(hint(technique, "where", bare), "dark")


def test_where_shows_no_candidate() -> None:
    drawn = draw_canvas(hint("naked-pair", "where"), "light").drawn
    assert not {pair for pair in drawn if pair.front in (Paint.CANDIDATE, Paint.PLATE)}
    assert {pair for pair in drawn if pair.back is Paint.BAND}


@pytest.mark.parametrize("technique", TECHNIQUES)
def test_which_does_not_depend_on_what_follows(technique: str) -> None:
    _, step = steps_by_technique()[technique]
    # By its cover lines a fin is told from the rest, by what is cited one set from the other.
    has_marks = step.technique.startswith("finned-") or step.technique.endswith("als-xz")
    covers, constraints = (step.covers, step.constraints) if has_marks else (("row 9",), ())
    whole = draw(hint(technique, "which"), "light")
    for other in (
        msgspec.structs.replace(step, removes=(), covers=covers, constraints=constraints),
        msgspec.structs.replace(step, removes=(("r1c1", 1), ("r9c9", 4)), places=()),
        msgspec.structs.replace(step, places=(("r5c5", 5),), trace=()),
    ):
        assert draw(hint(technique, "which", other), "light") == whole


@pytest.mark.parametrize("technique", TECHNIQUES)
def test_why_shows_what_follows(technique: str) -> None:
    _, step = steps_by_technique()[technique]
    nothing = msgspec.structs.replace(step, removes=(), places=(), constraints=())
    assert draw(hint(technique, "why"), "light") != draw(hint(technique, "why", nothing), "light")


@pytest.mark.parametrize("technique", ELIMINATING)
def test_only_why_strikes_candidates(technique: str) -> None:
    for rung, strikes in (("where", False), ("which", False), ("why", True)):
        drawn = draw_canvas(hint(technique, rung), "light").drawn
        assert any(pair.front is Paint.SLASH for pair in drawn) is strikes


def test_which_shows_no_candidate_of_three_that_are_settled_at_once() -> None:
    for technique, shows in (("last-three", False), ("naked-single", True)):
        drawn = draw_canvas(hint(technique, "which"), "light").drawn
        assert any(pair.front is Paint.PLATE_INK for pair in drawn) is shows


def test_only_why_boxes_placements_and_rings_the_digits_behind_them() -> None:
    for rung, boxes in (("where", False), ("which", False), ("why", True)):
        drawn = draw_canvas(hint("hidden-single", rung), "light").drawn
        assert any(pair.front is Paint.BOX for pair in drawn) is boxes


def test_which_and_why_differ_only_where_the_step_acts() -> None:
    # Crook 2009, p. 463: the pair 2, 8 at r3c3, r4c3, so r5c3, r8c3 and r9c3 lose candidates.
    which = draw_canvas(hint("naked-pair", "which"), "light").image
    why = draw_canvas(hint("naked-pair", "why"), "light").image
    board = board_of(CLASSIC)
    changed = {
        CLASSIC.format_cell(cell)
        for cell in CLASSIC.cells_in(CLASSIC.all_cells)
        if which.crop(board.cell_rect(cell)).tobytes() != why.crop(board.cell_rect(cell)).tobytes()
    }
    assert changed == {"r5c3", "r8c3", "r9c3"}


def test_a_rung_without_a_picture_is_refused() -> None:
    with pytest.raises(ValueError, match="what"):
        draw(hint("naked-pair", "what"), "light")


GROUNDS = (Paint.HOUSE, Paint.PATTERN, Paint.SETTLED, Paint.MARKED)


def shape_alone(canvas: Canvas) -> Image.Image:
    """Return the picture in grey, with every tint of a cell taken back to the plain cell."""
    palette = bytearray(theme_of(canvas.look).palette)
    plain = palette[3 * index_of(Paint.CARD) : 3 * index_of(Paint.CARD) + 3]
    for paint in GROUNDS:
        palette[3 * index_of(paint) : 3 * index_of(paint) + 3] = plain
    sheet = canvas.image.copy()
    sheet.putpalette(bytes(palette))
    return sheet.convert("RGB").convert("L")


def strongly_different(one: Image.Image, other: Image.Image) -> int:
    """Return how many pixels differ by more than a quarter of the range of grey."""
    pairs = zip(one.tobytes(), other.tobytes(), strict=True)
    return sum(abs(left - right) > 64 for left, right in pairs)


def _along_the_top(rect: Rect, first: int, end: int) -> Rect:
    return Rect(rect.left + 10, rect.top + first, rect.right - 10, rect.top + end)


@pytest.mark.parametrize("look", ["light", "dark"])
@pytest.mark.parametrize(
    ("technique", "place"),
    [
        ("naked-pair", "outline"),
        ("naked-pair", "plate"),
        ("naked-pair", "slash"),
        ("naked-pair", "band of a line"),
        ("pointing", "frame of a box"),
        ("hidden-single", "placement"),
    ],
)
def test_meaning_is_told_by_shape_without_any_colour(
    technique: str, place: str, look: Look
) -> None:
    _, step = steps_by_technique()[technique]
    board = board_of(CLASSIC)
    house = CLASSIC.parse_house(step.houses[0])
    first = board.cell_rect(CLASSIC.parse_cell(step.cells[0]))
    if place == "outline":
        rect = _along_the_top(first, 2, 9)
    elif place == "plate":
        rect = board.slot_rect(CLASSIC.parse_cell(step.cells[0]), step.digits[0])
    elif place == "slash":
        name, digit = step.removes[0]
        rect = board.slot_rect(CLASSIC.parse_cell(name), digit)
    elif place == "band of a line":
        rect = board.band_rects(house)[0]
    elif place == "frame of a box":
        rect = _along_the_top(board.house_rect(house), -7, -3)
    else:
        rect = _along_the_top(first, 4, 11)
    bare = StepFacts(technique, 2, (), (), (), (), (), (), (), ())
    marked = shape_alone(draw_canvas(hint(technique, "why"), look))
    plain = shape_alone(draw_canvas(hint(technique, "why", bare), look))
    assert strongly_different(marked.crop(rect), plain.crop(rect)) >= 25


LAYOUTS = (SMALL, MIDDLE, CLASSIC)


@st.composite
def any_hint(draw_value: st.DrawFn) -> HintPicture:
    """Any facts of the right form, whether or not a technique could find them."""
    layout: Layout = draw_value(st.sampled_from(LAYOUTS))
    marks = draw_value(
        st.lists(
            st.sampled_from("." * layout.size + layout.marks),
            min_size=layout.cell_count,
            max_size=layout.cell_count,
        )
    )
    text = "".join(marks)
    cells = st.sampled_from(range(layout.cell_count))
    candidates = st.integers(0, layout.all_candidates)
    houses = st.lists(st.sampled_from(range(len(layout.houses))), max_size=4)
    pairs = st.tuples(cells, st.sampled_from(layout.digits))
    constraints = st.one_of(
        cells.map(lambda cell: CellConstraint(Bound.AT_LEAST_ONE, cell)),  # type: ignore[arg-type]
        pairs.map(lambda pair: HouseConstraint(Bound.AT_LEAST_ONE, pair[0] % layout.size, pair[1])),
    )
    step = Step(
        technique="any",
        level=draw_value(st.integers(1, 6)),
        houses=tuple(draw_value(houses)),
        cells=tuple(draw_value(st.lists(cells, max_size=6))),  # type: ignore[arg-type]
        digits=(1,),
        pattern=draw_value(candidates),
        places=tuple(draw_value(st.lists(pairs, max_size=3))),  # type: ignore[arg-type]
        removes=draw_value(candidates),
        constraints=tuple(draw_value(st.lists(constraints, max_size=3))),
        covers=tuple(draw_value(houses)),
    )
    givens = text if draw_value(st.booleans()) else "." * layout.cell_count
    rung = draw_value(st.sampled_from(("where", "which", "why")))
    return HintPicture(givens, Position(text), facts_of_step(layout, step), rung)


@settings(max_examples=60)
@given(any_hint())
def test_facts_of_any_form_can_be_drawn(picture: HintPicture) -> None:
    for look in ("light", "dark"):
        assert draw_canvas(picture, look).drawn


PHONE, TALL = 360, 9
"""Pixels across as a phone shows a picture, and how tall a digit has to be there."""


@pytest.mark.parametrize("layout", [SMALL, MIDDLE, CLASSIC], ids=repr)
def test_what_a_picture_is_about_can_be_read_on_a_phone(layout: Layout) -> None:
    board = board_of(layout)
    for text in layout.marks:
        left, top, right, bottom = digit_shape(text, Face.HEAVY, marked_size(board), 99).getbbox()
        assert (bottom - top) * PHONE / SIDE >= TALL, text
        assert bottom - top <= board.slot
        assert right - left <= board.slot


@pytest.mark.parametrize("layout", [SMALL, MIDDLE, CLASSIC], ids=repr)
def test_plates_side_by_side_keep_a_gap_on_a_phone(layout: Layout) -> None:
    board = board_of(layout)
    for digit in layout.digits[1:]:
        one, other = board.slot_rect(0, digit - 1), board.slot_rect(0, digit)
        if one.top == other.top:
            assert (other.left - one.right) * PHONE / SIDE >= 1
        else:
            assert (other.top - one.bottom) * PHONE / SIDE >= 1


def test_marks_that_a_picture_is_not_about_step_back() -> None:
    board = board_of(CLASSIC)
    assert candidate_size(board) * 3 <= marked_size(board) * 2


@pytest.mark.parametrize("look", ["light", "dark"])
@pytest.mark.parametrize("digit", CLASSIC.digits)
def test_a_struck_digit_is_plainly_crossed(digit: int, look: Look) -> None:
    """The slash reaches beyond the digit and covers its middle, and the rest of it stays."""
    canvas, board = start_board(CLASSIC, look)
    rect = board.slot_rect(0, digit)
    canvas.struck_digit(digit, rect, size=marked_size(board))
    slot = canvas.image.crop(rect)
    crossed = slot.point([255 if index == index_of(Paint.SLASH) else 0 for index in range(256)])
    left, top, right, bottom = crossed.getbbox()
    assert min(right - left, bottom - top) * PHONE / SIDE >= TALL
    assert crossed.getpixel((slot.width // 2, slot.height // 2)) == 255
    assert slot.histogram()[index_of(Paint.CANDIDATE)] >= 25
