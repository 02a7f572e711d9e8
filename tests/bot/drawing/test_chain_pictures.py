"""Chains and marks in pictures: told by shape, beside what is written, as far as a rung allows."""

from __future__ import annotations

from itertools import pairwise
from math import hypot

import msgspec
import pytest
from PIL import Image, ImageChops

from bot.club.facts import HintPicture, LinkFacts, StepFacts
from bot.drawing import draw_canvas
from bot.drawing.geometry import CELL_INSET, Rect, board_of
from bot.drawing.hint import draw_hint_picture
from bot.drawing.routes import Router
from bot.drawing.theme import Look, Paint, Pair, Use, index_of, theme_of
from engine.board.layout import CLASSIC
from engine.inference.pattern_parts import WALKED
from tests.bot.drawing.contrast import contrast
from tests.bot.drawing.scenes import hint, steps_by_technique

BOARD = board_of(CLASSIC)
CHAINED = sorted(name for name, (_, step) in steps_by_technique().items() if step.chains)


def _grey(picture: HintPicture, look: Look) -> Image.Image:
    return draw_canvas(picture, look).image.convert("RGB").convert("L")


def _link_pixels(picture: HintPicture) -> int:
    image = draw_canvas(picture, "light").image
    return image.histogram()[index_of(Paint.LINK)]


def _without_chains(name: str) -> StepFacts:
    return msgspec.structs.replace(steps_by_technique()[name][1], chains=())


@pytest.mark.parametrize("name", CHAINED)
def test_the_links_of_every_chain_are_drawn(name: str) -> None:
    _, step = steps_by_technique()[name]
    links = {link for line in step.chains for link in line}
    assert _link_pixels(hint(name, "why")) > 20 * len(links)
    assert _link_pixels(hint(name, "why", _without_chains(name))) == 0


def test_which_draws_no_link_to_what_is_struck() -> None:
    """A forcing chain runs into its victim; the third rung leaves that last link out."""
    for name in ("cell-forcing-chain", "house-forcing-chain"):
        _, step = steps_by_technique()[name]
        ends = {(line[-1].second, line[-1].second_digit) for line in step.chains}
        assert {(cells[0], digit) for cells, digit in ends} == set(step.removes)
        shorter = msgspec.structs.replace(step, chains=tuple(line[:-1] for line in step.chains))
        which = draw_canvas(hint(name, "which"), "light").image
        assert which.tobytes() == draw_canvas(hint(name, "which", shorter), "light").image.tobytes()


def _between(one: str, other: str, digit: int) -> Rect:
    """Return the strip between two places of a digit in one row, without the places themselves."""
    near, far = (BOARD.slot_rect(CLASSIC.parse_cell(name), digit) for name in (one, other))
    return Rect(near.right + 2, near.top - 40, far.left - 2, near.bottom + 40)


def _one_link(kind: str) -> HintPicture:
    """Return a picture of an otherwise empty grid with one link, from r5c2 to r5c8."""
    pattern = (("r5c2", 5), ("r5c8", 5))
    step = StepFacts(
        "x-chain", 5, ("row 1",), (), ("r5c2", "r5c8"), (5,), pattern, (), (), (),
        chains=((LinkFacts(("r5c2",), 5, ("r5c8",), 5, kind),),),
    )  # fmt: skip
    text = "." * 81
    return msgspec.structs.replace(hint("naked-pair", "why"), givens=text, step=step, position=
        msgspec.structs.replace(hint("naked-pair", "why").position, grid=text))  # fmt: skip


def _covered_columns(kind: str) -> list[bool]:
    """Return for each column of pixels along a link whether the line covers any of it."""
    image = draw_hint_picture(_one_link(kind), "light").image
    strip = image.crop(_between("r5c2", "r5c8", 5))
    marked = strip.point([255 if index == index_of(Paint.LINK) else 0 for index in range(256)])
    return [
        marked.crop((x, 0, x + 1, marked.height)).getbbox() is not None
        for x in range(marked.width - 20)  # the arrow head is at the end
    ]


def test_a_strong_link_is_solid_and_a_weak_one_dashed() -> None:
    """By shape alone: along the way the dashed line leaves gaps where the solid one has none."""
    solid, dashed = _covered_columns("strong"), _covered_columns("weak")
    changes = sum(one is not other for one, other in pairwise(dashed))
    assert sum(solid) / len(solid) > 0.8
    assert sum(dashed) / len(dashed) < 0.75
    assert changes > 2 * sum(one is not other for one, other in pairwise(solid))
    assert changes >= 20


@pytest.mark.parametrize("look", ["light", "dark"])
def test_no_line_hides_what_is_written(look: Look) -> None:
    """All that stands in a cell without the chain stands there with it, pixel by pixel."""
    for name in CHAINED:
        with_it = draw_canvas(hint(name, "why"), look).image
        without = draw_canvas(hint(name, "why", _without_chains(name)), look).image
        if steps_by_technique()[name][1].technique.endswith("-colouring"):
            continue  # its rings are told by its links
        plain = {index_of(p) for p in (Paint.CARD, Paint.HOUSE, Paint.PATTERN, Paint.SETTLED)}
        written = without.point([0 if index in plain else 255 for index in range(256)])
        changed = ImageChops.difference(with_it, without).point([0] + [255] * 255)
        hidden = ImageChops.multiply(written, changed)
        for cell in range(CLASSIC.cell_count):
            rect = BOARD.cell_rect(cell).inset(CELL_INSET)
            assert hidden.crop(rect).getbbox() is None, (name, CLASSIC.format_cell(cell))


def test_a_line_bends_away_from_a_digit_in_its_way() -> None:
    sheet = Image.new("L", (720, 720), 0)
    start, end = Rect(100, 300, 118, 318), Rect(500, 300, 518, 318)
    free = Router(sheet, BOARD.outside).route(start, end, is_dashed=False, has_head=True)
    assert {round(y) for _, y in free.points} == {309}
    sheet.paste(255, (290, 290, 330, 330))
    bent = Router(sheet, BOARD.outside).route(start, end, is_dashed=False, has_head=True)
    assert all(not (290 <= x < 330 and 290 <= y < 330) for x, y in bent.points)


def test_a_second_line_does_not_lie_on_the_first() -> None:
    router = Router(Image.new("L", (720, 720), 0), BOARD.outside)
    start, end = Rect(100, 300, 118, 318), Rect(500, 300, 518, 318)
    one = router.route(start, end, is_dashed=False, has_head=True)
    other = router.route(start, end, is_dashed=True, has_head=True)
    middle = one.points[len(one.points) // 2]
    assert min(hypot(x - middle[0], y - middle[1]) for x, y in other.points) > 5


@pytest.mark.parametrize("look", ["light", "dark"])
@pytest.mark.parametrize(
    ("name", "marked"),
    [("finned-x-wing", "fin"), ("simple-colouring-sees-both-colours", "colour"), ("als-xz", "set")],
)
def test_the_second_mark_is_a_ring_and_not_a_plate_without_any_colour(
    name: str, marked: str, look: Look
) -> None:
    """A plate fills its square, a ring leaves the ground around its digit: dark shares differ."""
    canvas = draw_canvas(hint(name, "which"), look)
    _, step = steps_by_technique()[name]
    plate, outline = index_of(Paint.PLATE), index_of(Paint.OUTLINE)
    filled = ringed = 0
    for cell, digit in step.pattern:
        rect = BOARD.slot_rect(CLASSIC.parse_cell(cell), digit)
        counts = canvas.image.crop(rect).histogram()
        (x, y), out = rect.middle, 2
        around = ((x, rect.top - out), (x, rect.bottom + 1), (rect.left - out, y))
        if counts[plate] > 100:
            filled += 1
        elif all(canvas.image.getpixel(at) == outline for at in around):
            ringed += 1
            assert counts[plate] == 0
    assert filled + ringed == len(step.pattern)
    assert filled
    assert ringed, marked


def test_what_a_trace_tries_stands_in_a_square_and_is_struck_only_at_last() -> None:
    _, step = steps_by_technique()["traced-contradiction"]
    assert step.assumed is not None
    cell, digit = step.assumed
    slot = BOARD.slot_rect(CLASSIC.parse_cell(cell), digit)
    for rung, is_struck in (("which", False), ("why", True)):
        canvas = draw_canvas(hint("traced-contradiction", rung), "light")
        edge = canvas.image.crop((slot.left - 2, slot.top + 4, slot.left, slot.bottom - 4))
        assert set(edge.tobytes()) == {index_of(Paint.OUTLINE)}
        assert (Pair(Paint.SLASH, Paint.PATTERN, Use.GRAPHIC) in canvas.drawn) is is_struck


@pytest.mark.parametrize("look", ["light", "dark"])
def test_lines_stand_out_from_every_ground_that_they_run_over(look: Look) -> None:
    colours = theme_of(look).colours
    grounds = set()
    for name in CHAINED:
        drawn = draw_canvas(hint(name, "why"), look).drawn
        grounds |= {pair.back for pair in drawn if pair.front is Paint.LINK}
    assert {Paint.CARD, Paint.HOUSE, Paint.PATTERN} <= grounds
    for ground in grounds:
        assert contrast(colours[Paint.LINK], colours[ground]) >= Use.GRAPHIC.value


def test_a_group_is_outlined() -> None:
    name = "empty-rectangle"
    _, step = steps_by_technique()[name]
    group = next(link.second for line in step.chains for link in line if len(link.second) > 1)
    slots = [BOARD.slot_rect(CLASSIC.parse_cell(cell), step.digits[0]) for cell in group]
    single = msgspec.structs.replace(
        step,
        chains=tuple(
            tuple(
                msgspec.structs.replace(link, first=link.first[:1], second=link.second[:1])
                for link in line
            )
            for line in step.chains
        ),
    )
    around = (
        min(slot.left for slot in slots) - 6, min(slot.top for slot in slots) - 6,
        max(slot.right for slot in slots) + 6, max(slot.bottom for slot in slots) + 6,
    )  # fmt: skip
    counts = [
        draw_canvas(hint(name, "which", facts), "light").image.crop(around).histogram()
        for facts in (step, single)
    ]
    outlined, bare = (count[index_of(Paint.LINK)] for count in counts)
    assert outlined > bare + 30


def _number_pixels(name: str, rung: str) -> bool:
    drawn = draw_canvas(hint(name, rung), "light").drawn
    return Pair(Paint.PLATE_INK, Paint.LINK, Use.TEXT) in drawn


@pytest.mark.parametrize("name", CHAINED)
def test_the_links_of_a_chain_that_is_walked_have_numbers_and_no_others(name: str) -> None:
    _, step = steps_by_technique()[name]
    hops = {link for line in step.chains for link in line if link.first != link.second}
    is_numbered = step.technique in WALKED and bool(hops)
    assert _number_pixels(name, "why") is is_numbered
    if len(step.chains) == 1:
        assert _number_pixels(name, "which") is is_numbered


def test_both_ends_of_a_chain_have_a_heavy_outline_and_its_other_cells_a_double_one() -> None:
    _, step = steps_by_technique()["long-xy-chain"]
    image = draw_canvas(hint("long-xy-chain", "which"), "light").image
    ends = {*step.chains[0][0].first, *step.chains[0][-1].second}
    for name in step.cells:
        left, top, _, _ = BOARD.cell_rect(CLASSIC.parse_cell(name))
        edge = [image.getpixel((left + inset, top + 20)) for inset in range(-1, 5)]
        inked = [pixel == index_of(Paint.OUTLINE) for pixel in edge]
        assert inked == ([True] * 6 if name in ends else [True, True, False, False, True, True])
