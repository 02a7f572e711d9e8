"""What was told of a step or a mistake, as shapes for a page that draws them on its own live grid.

What a rung may show is chosen by `shown`, as for the pictures; a page is sent nothing beyond it.
Cells become numbers from 0, row by row, houses their sort and number.
"""

from __future__ import annotations

from typing import Any

from bot.club.facts import HintPicture
from bot.club.replies import HintShown, MistakeShown
from bot.drawing.shown import Shown, shown_by
from engine import House, Layout, Link, LinkKind

Shape = dict[str, Any]
"""The fields of `bot.platforms.boards.Shapes` by name, those that are empty left out."""

_RUNGS = {1: "where", 2: "where", 3: "which", 4: "why"}


def shapes_told(told: HintShown | MistakeShown, givens: str) -> Shape:
    """Return the shapes of what was told; the second rung of a hint shows what the first did."""
    if isinstance(told, MistakeShown):
        return _mistake_shapes(told)
    rung = _RUNGS[told.rung]
    picture = told.picture or HintPicture(givens, told.position, told.step, rung)
    grid = picture.position.as_written()
    return _without_empty(_shapes_of(shown_by(rung, picture.step, grid), grid.layout))


def _mistake_shapes(told: MistakeShown) -> Shape:
    shape: Shape = {}
    if told.region is not None:
        shape["houses"] = (house_line(told.region),)
    if told.cell is not None and told.picture is not None:
        shape["cells"] = (told.picture.position.shape.parse_cell(told.cell),)
    return shape


def house_line(name: str) -> tuple[str, int]:
    """Return a house's sort and number of its name, `row 4`."""
    sort, number = name.rsplit(" ", 1)
    return sort, int(number)


def _shapes_of(shown: Shown, layout: Layout) -> Shape:
    numbers = dict(shown.numbers)
    pattern_cells = {*shown.cells, *shown.ends}
    marked = shown.rings | shown.squares
    return {
        "houses": _lines(shown.houses),
        "covers": _lines(shown.covers),
        "cells": tuple(cell for cell in shown.cells if cell not in shown.ends),
        "ends": shown.ends,
        "plates": tuple(layout.pairs(shown.pattern & ~marked)),
        "rings": tuple(layout.pairs(shown.rings & ~shown.squares)),
        "squares": tuple(layout.pairs(shown.squares)),
        "struck": tuple(layout.pairs(shown.removes)),
        "others": tuple(
            mark for mark in layout.pairs(shown.others & ~marked) if mark[0] in pattern_cells
        ),
        "places": shown.places,
        "witnesses": shown.witnesses,
        "links": tuple(_drawn(link, numbers.get(link, 0)) for link in shown.links),
        "is_directed": shown.is_directed,
    }


def _drawn(link: Link, number: int) -> Shape:
    return {
        "cells": link.first.cells,
        "digit": link.first.digit,
        "other_cells": link.second.cells,
        "other_digit": link.second.digit,
        "is_strong": link.kind is LinkKind.STRONG,
        "number": number,
    }


def _lines(houses: tuple[House, ...]) -> tuple[tuple[str, int], ...]:
    return tuple(house_line(house.name) for house in houses)


def _without_empty(shape: Shape) -> Shape:
    return {name: value for name, value in shape.items() if value not in ((), None)}
