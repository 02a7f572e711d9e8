"""A chain's cells in walking order, for the rungs that name a pattern and nothing that follows.

A chain that is told from end to end has its start and its end marked; of a forcing chain there is a
line for each case. Only candidates of the pattern are named: what a chain runs into is left out.
"""

from __future__ import annotations

from collections.abc import Iterable

from bot.club.facts import LinkFacts, StepFacts
from bot.wording.prose import join_words
from engine import pattern_parts

_SPANNED = 4
"""In so many rows and so many columns, and a chain is nowhere in particular."""

_End = tuple[tuple[str, ...], int]


def is_spread_out(step: StepFacts) -> bool:
    """Say whether a chain runs across so much of the board that no house tells where it is."""
    cells = [cell.removeprefix("r").split("c") for cell in step.cells]
    return step.technique in pattern_parts.WALKED and all(
        len({cell[part] for cell in cells}) >= _SPANNED for part in (0, 1)
    )


def tell_walk(step: StepFacts) -> str:
    """Say where to go: one line from start to end, or one for each case of a forcing chain."""
    if len(step.chains) == 1:
        return f"{_tell_from_end_to_end(_stops(step.chains[0]))}."
    pattern = set(step.pattern)
    cases = []
    for line in step.chains:
        stops = [end for end in _ends(line) if {(cell, end[1]) for cell in end[0]} <= pattern]
        if stops:
            (cells, digit), *rest = stops
            further = _names(cells for cells, _ in rest if cells != stops[0][0])
            by_way = f"by way of {join_words(further)}" if further else "at once"
            cases.append(f"with {digit} in {join_words(cells)}, {by_way}")
    return "follow each of these to where they all lead:\n" + ";\n".join(cases) + "."


def _tell_from_end_to_end(stops: list[str]) -> str:
    if len(stops) > 1 and stops[0] == stops[-1]:
        return f"start at {stops[0]}, go round by {join_words(stops[1:-1])}, and come back to it"
    way = f", go by {join_words(stops[1:-1])}," if stops[1:-1] else ""
    return f"start at {stops[0]}{way} and end at {stops[-1]}"


def _stops(line: Iterable[LinkFacts]) -> list[str]:
    """Return the cells of a line, each once in a row, by name."""
    return _names(cells for cells, _ in _ends(line))


def _ends(line: Iterable[LinkFacts]) -> list[_End]:
    found: list[_End] = []
    for link in line:
        if not found:
            found.append((link.first, link.first_digit))
        found.append((link.second, link.second_digit))
    return found


def _names(stops: Iterable[tuple[str, ...]]) -> list[str]:
    """Write each stop, a group as `r1c1 with r1c2`; one that is the same as before is no other."""
    names: list[str] = []
    for cells in stops:
        name = " with ".join(cells)
        if not names or names[-1] != name:
            names.append(name)
    return names
