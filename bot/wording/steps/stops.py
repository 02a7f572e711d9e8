"""A chain as the stops of a walk: a sentence a link, or, where those would be many, a table.

A link within a cell is told with the one that leads there: `So r8c7 is not 5 (row 8) but 2.` The
table has short columns and needs no letters of equal width, so that it reads on a phone, too.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from bot.wording.steps.links import find_strong_house, shared_houses, starts_true, tell_node
from engine import Grid, House, Link, Node

MOST_LINES = 8
"""So many lines at most a chain is told in, what follows from it included; a longer one is a table
beneath a line that says what is supposed."""

_HEAD = "Cell | is | because of"


@dataclass(frozen=True, slots=True)
class Stop:
    """What comes out at a node: whether it holds, by which `house`, and what its cell is or is not
    `then`. The first stop is what is supposed, and has no house."""

    node: Node
    holds: bool
    house: House | None = None
    then: int = 0


def find_stops(grid: Grid, line: Sequence[Link]) -> tuple[Stop, ...]:
    """Return the stops of a chain as it is told, what is supposed leading."""
    holds = starts_true(line)
    stops = [Stop(line[0].first, holds)]
    for link in line:
        holds = not holds
        is_within = link.first.cells == link.second.cells and len(link.first.cells) == 1
        if is_within and not stops[-1].then:
            stops[-1] = replace(stops[-1], then=link.second.digit)
            continue
        stops.append(Stop(link.second, holds, _find_ground(grid, link, is_true=holds)))
    return tuple(stops)


def _find_ground(grid: Grid, link: Link, *, is_true: bool) -> House | None:
    if link.first.digit != link.second.digit:
        return None
    if is_true:
        return find_strong_house(grid, link)
    houses = shared_houses(grid, (*link.first.cells, *link.second.cells))
    return houses[0] if houses else None


def tell_stops(grid: Grid, line: Sequence[Link], number: str = "") -> list[str]:
    """Tell a chain line by line, or as a table; with a `number` its lines carry `2.`, `2.1.` …"""
    stops = find_stops(grid, line)
    told = list(_tell_each(grid, stops))
    if len(told) < MOST_LINES:
        marks = ["", *(str(place) for place in range(1, len(told)))]
        return [_numbered(number, mark, each) for mark, each in zip(marks, told, strict=True)]
    return list(_tabled(grid, stops, number))


def _numbered(number: str, mark: str, text: str) -> str:
    if not number:
        return text
    return f"{number}.{f'{mark}.' if mark else ''} {text}"


def _tell_each(grid: Grid, stops: Sequence[Stop]) -> Iterator[str]:
    """Yield a sentence a stop; what is supposed goes with the first that follows from it."""
    first, *rest = stops
    opening = f"If {tell_node(grid, first.node, holds=first.holds)}, then"
    if first.then:
        why = "" if first.holds else " (nothing else is left there)"
        yield f"{opening} it is {'not ' if first.holds else ''}{first.then}{why}."
    else:
        yield f"{opening} {_tell_stop(grid, rest.pop(0))}."
    for stop in rest:
        yield f"{'Then' if stop.holds else 'So'} {_tell_stop(grid, stop)}."


def _tell_stop(grid: Grid, stop: Stop) -> str:
    """Write `r5c3 is not 1 (column 3) but 7`, `r6c2 is 4 (no other place in row 6), so not 7`."""
    told = tell_node(grid, stop.node, holds=stop.holds)
    if stop.house is not None:
        told += f" ({'no other place in ' if stop.holds else ''}{stop.house.name})"
    if not stop.then:
        return told
    return f"{told}, so not {stop.then}" if stop.holds else f"{told} but {stop.then}"


def _tabled(grid: Grid, stops: Sequence[Stop], number: str) -> Iterator[str]:
    first, *rest = stops
    opening = f"Suppose {tell_node(grid, first.node, holds=first.holds)}."
    yield _numbered(number, "", f"{opening} Each row follows from the one before:")
    yield _HEAD
    rows = [(stop.node, _tell_outcome(stop), _tell_house(stop)) for stop in rest]
    if first.then:
        told = f"not {first.then}" if first.holds else f"{first.then}"
        why = "one digit a cell" if first.holds else "all that is left"
        rows.insert(0, (first.node, told, why))
    for place, (node, told, why) in enumerate(rows, start=1):
        cells = "+".join(map(grid.layout.format_cell, node.cells))
        yield _numbered(number, str(place), f"{cells} | {told} | {why}")


def _tell_outcome(stop: Stop) -> str:
    """Write `not 8, so 1`, `1, so not 8`, `7 in one`."""
    if len(stop.node.cells) > 1:
        return f"{stop.node.digit} in one" if stop.holds else f"not {stop.node.digit}"
    told = f"{'' if stop.holds else 'not '}{stop.node.digit}"
    return f"{told}, so {'not ' if stop.holds else ''}{stop.then}" if stop.then else told


def _tell_house(stop: Stop) -> str:
    if stop.house is None:
        return "the cell"
    return f"last in {stop.house.name}" if stop.holds else stop.house.name
