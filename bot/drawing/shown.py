"""What one rung may show of a step: chosen here once, so that no drawing can tell too much.

`where` shows the first house alone. A chain that is walked has no houses beyond that: its links
from cell to cell have numbers and its two ends a heavy outline. `which` adds the pattern, and of a
chain the links between candidates of the pattern; only `why` looks at what follows. What a rung
hides is not in the value at all.
"""

from __future__ import annotations

from dataclasses import dataclass

from bot.club.facts import StepFacts, step_of_facts
from engine import Cell, Grid, House, Layout, Link, Step, pattern_parts, witnesses

_SINGLES_LEVEL = 1
"""At this level only the pattern's own candidates are shown: the digits are the reason."""

_UNDIRECTED = frozenset(
    {"simple-colouring", "two-cluster-colouring", "remote-pair", "als-xz", "large-als-xz"}
)
"""Their links are read either way, so they have no arrow heads."""


@dataclass(frozen=True, slots=True)
class Shown:
    """What one rung may show. `rings` and `squares` are candidates told apart by their mark.

    Rings: fins, the second colour, the second of two sets, what a trace places. Squares: what a
    trace assumes. `pattern` and `removes` are drawn as they are but for these.
    """

    houses: tuple[House, ...] = ()
    covers: tuple[House, ...] = ()
    cells: tuple[Cell, ...] = ()
    pattern: int = 0
    rings: int = 0
    squares: int = 0
    others: int = 0
    removes: int = 0
    places: tuple[tuple[Cell, int], ...] = ()
    witnesses: tuple[Cell, ...] = ()
    links: tuple[Link, ...] = ()
    numbers: tuple[tuple[Link, int], ...] = ()
    ends: tuple[Cell, ...] = ()
    is_directed: bool = True


def shown_by(rung: str, facts: StepFacts, grid: Grid) -> Shown:
    """Return what a rung shows. Raises ValueError for a rung without a picture."""
    layout = grid.layout
    step = step_of_facts(layout, facts)
    houses = tuple(dict.fromkeys(step.houses_in(layout)))
    if rung == "where":
        return Shown(houses=houses[:1])
    if rung not in ("which", "why"):
        raise ValueError(f"the rung {rung!r} has no picture")
    pattern = 0 if pattern_parts.is_told_by_candidates(step) else step.pattern & grid.candidates
    which = Shown(
        houses=() if step.technique in pattern_parts.WALKED else houses,
        cells=step.cells,
        pattern=pattern,
        rings=pattern_parts.second_marks(step, grid),
        squares=_assumed(step, layout) & grid.candidates,
        others=_others(step, grid) & ~pattern,
        links=_each_once(pattern_parts.links_within(step, grid, pattern)),
        numbers=tuple(pattern_parts.number_links(step).items()),
        ends=tuple(cell for node in pattern_parts.ends_of_walk(step) for cell in node.cells),
        is_directed=step.technique not in _UNDIRECTED,
    )
    return which if rung == "which" else _with_what_follows(which, step, grid)


def _others(step: Step, grid: Grid) -> int:
    """Return the candidates that may be shown besides the pattern."""
    if pattern_parts.is_told_by_candidates(step):
        return 0
    if step.level != _SINGLES_LEVEL:
        return grid.candidates
    within = 0
    for cell in step.cells:
        within |= grid.layout.cell_bits[cell]
    return grid.candidates & within


def _with_what_follows(which: Shown, step: Step, grid: Grid) -> Shown:
    layout = grid.layout
    places = dict(step.places)
    settled = 0
    for cell in places:
        settled |= layout.cell_bits[cell]
    removes = step.removes & grid.candidates & ~settled
    broken = (
        pattern_parts.find_break(pattern_parts.end_of_trace(grid, step))
        if step.assumed is not None
        else None
    )
    broken_houses = (broken.house,) if broken and broken.house is not None else ()
    covers = dict.fromkeys((*(layout.houses[index] for index in step.covers), *broken_houses))
    gone = settled | removes
    return Shown(
        houses=which.houses,
        covers=tuple(house for house in covers if house not in which.houses),
        cells=tuple(
            cell
            for cell in dict.fromkeys((*which.cells, *(broken.cells if broken else ())))
            if cell not in places
        ),
        pattern=which.pattern & ~gone,
        rings=(which.rings | pattern_parts.placed_by_trace(step, grid)) & ~gone,
        squares=which.squares & ~settled,
        others=which.others & ~gone,
        removes=removes,
        places=tuple(
            (cell, digit) for cell, digit in places.items() if grid.open_cells >> cell & 1
        ),
        witnesses=witnesses.find_witnesses(grid, step.constraints)
        if step.level == _SINGLES_LEVEL
        else (),
        links=_each_once(pattern_parts.links_within(step, grid, grid.candidates)),
        numbers=which.numbers,
        ends=which.ends,
        is_directed=which.is_directed,
    )


def _assumed(step: Step, layout: Layout) -> int:
    return layout.bit(*step.assumed) if step.assumed is not None else 0


def _each_once(lines: tuple[tuple[Link, ...], ...]) -> tuple[Link, ...]:
    return tuple(dict.fromkeys(link for line in lines for link in line))
