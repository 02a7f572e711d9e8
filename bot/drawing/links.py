"""Chains in a picture: solid lines for strong links, dashed for weak ones, groups outlined.

A line runs from candidate to candidate with an arrow head where it arrives, and passes behind
whatever is written. Where links have numbers, in walking order or by case, each stands in a disc on
its line. A solid line says: if not the one, then the other; a dashed one: not both.
"""

from __future__ import annotations

from collections.abc import Iterable

from PIL import Image, ImageChops, ImageFilter

from bot.drawing.canvas import Canvas
from bot.drawing.fonts import Face
from bot.drawing.geometry import CELL_INSET, Board, Rect
from bot.drawing.routes import Curve, Router
from bot.drawing.shown import Shown
from bot.drawing.strokes import disc_into, strokes_shape
from bot.drawing.theme import Paint, index_of
from engine import Cell, Link, LinkKind, Node

_SURFACES = (Paint.CARD, Paint.HOUSE, Paint.PATTERN, Paint.SETTLED)
_HALO = 2  # pixels: what is written keeps so much ground around it
_RADIUS, _NUMBER_SIZE = 9, 13  # not a size
_ANY = [0] + [255] * 255


def draw_links(canvas: Canvas, board: Board, shown: Shown) -> None:
    """Draw the links over a finished picture, with the numbers of those that have one."""
    # Those inside a cell go first: they have the least room.
    links = sorted(shown.links, key=lambda link: link.first.cells != link.second.cells)
    if not links:
        return
    writing = _writing(canvas, board)
    router = Router(writing, board.outside)
    nodes = dict.fromkeys(node for link in links for node in (link.first, link.second))
    groups = [_group_rect(board, node) for node in nodes if len(node.cells) > 1]
    curves = {link: _route(router, board, link, is_directed=shown.is_directed) for link in links}
    labels = _place_labels(
        router, [(curves[link], number) for link, number in shown.numbers if link in curves]
    )
    shape = strokes_shape(canvas.image.size, curves.values(), groups)
    shape = ImageChops.subtract(shape, writing)
    for spot, number in labels:
        disc_into(shape, spot, _radius_of(number))
    canvas.overlay(shape, Paint.LINK, surfaces=_SURFACES)
    for (x, y), number in labels:
        half = _radius_of(number) * 2 // 3
        rect = Rect(x - half, y - half, x + half, y + half)
        canvas.digit(number, rect, Paint.PLATE_INK, face=Face.HEAVY, size=_NUMBER_SIZE)


def _radius_of(number: int) -> int:
    return _RADIUS if number < 10 else _RADIUS + 2


def _place_labels(
    router: Router, numbered: Iterable[tuple[Curve, int]]
) -> list[tuple[tuple[int, int], int]]:
    """Return the middle of each number: on its line, near the middle of it, on nothing written."""
    return [(router.free_spot(curve, _radius_of(number)), number) for curve, number in numbered]


def _writing(canvas: Canvas, board: Board) -> Image.Image:
    """Return 255 where a cell holds anything written or marked, and a little around it."""
    plain = {index_of(paint) for paint in _SURFACES}
    table = [0 if index in plain else 255 for index in range(256)]
    mask = Image.new("L", canvas.image.size, 0)
    for cell in range(board.layout.cell_count):
        rect = board.cell_rect(cell).inset(CELL_INSET)
        mask.paste(canvas.image.crop(rect).point(table), rect)
    return mask.filter(ImageFilter.BoxBlur(_HALO)).point(_ANY)


def _route(router: Router, board: Board, link: Link, *, is_directed: bool) -> Curve:
    start, end = _nearest(board, link)
    return router.route(
        board.slot_rect(start, link.first.digit),
        board.slot_rect(end, link.second.digit),
        is_dashed=link.kind is LinkKind.WEAK,
        has_head=is_directed,
    )


def _nearest(board: Board, link: Link) -> tuple[Cell, Cell]:
    """Return the cells of two ends that lie nearest to each other."""

    def apart(pair: tuple[Cell, Cell]) -> int:
        one, other = (
            board.slot_rect(cell, node.digit).middle
            for cell, node in zip(pair, (link.first, link.second), strict=True)
        )
        return (one[0] - other[0]) ** 2 + (one[1] - other[1]) ** 2

    return min(((a, b) for a in link.first.cells for b in link.second.cells), key=apart)


def _group_rect(board: Board, node: Node) -> Rect:
    """Return the rectangle around all candidates of a group."""
    slots = [board.slot_rect(cell, node.digit) for cell in node.cells]
    return Rect(
        min(slot.left for slot in slots) - 4,
        min(slot.top for slot in slots) - 4,
        max(slot.right for slot in slots) + 4,
        max(slot.bottom for slot in slots) + 4,
    )
