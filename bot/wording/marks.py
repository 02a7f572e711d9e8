"""The marks of a hint's picture in words: rings, squares, and the lines of chains."""

from __future__ import annotations

from bot.wording.prose import count_of, join_words, sentences
from bot.wording.sight import cell_names
from engine import Grid, Link, LinkKind, Node, Step, pattern_parts

LINES_LIMIT = 420
"""Characters that the lines may take, so that the grid can be read out as well."""

_STROKES = {LinkKind.STRONG: "solid", LinkKind.WEAK: "dashed"}


def tell_marks(step: Step, grid: Grid, *, is_whole: bool = False) -> str:
    """Say what has which mark, as far as the picture shows it: `is_whole` on the last rung."""
    ringed = pattern_parts.second_marks(step, grid)
    broken = ""
    if is_whole and step.assumed is not None:
        ringed |= pattern_parts.placed_by_trace(step, grid)
        found = pattern_parts.find_break(pattern_parts.end_of_trace(grid, step))
        if found is not None:
            place = found.house.name if found.house else cell_names(grid, found.cells)
            broken = f"Marked, where it breaks: {place}."
    assumed = grid.layout.bit(*step.assumed) if step.assumed is not None else 0
    within = grid.candidates if is_whole else step.pattern & grid.candidates
    return sentences(
        f"In a square: {_tell_candidates(grid, assumed)}." if assumed else "",
        f"Ringed: {_tell_candidates(grid, ringed)}." if ringed else "",
        broken,
        _tell_numbers(step, grid),
        _tell_lines(grid, pattern_parts.links_within(step, grid, within)),
    )


def _tell_numbers(step: Step, grid: Grid) -> str:
    """Say what the numbers on the lines are, and which ends are outlined."""
    if not pattern_parts.number_links(step):
        return ""
    if len(step.chains) > 1:
        return "The number on a line says which case it belongs to."
    ends = pattern_parts.ends_of_walk(step)
    names = join_words(f"{end.digit} in {cell_names(grid, end.cells)}" for end in ends)
    return sentences(
        f"The start and the end, heavily outlined: {names}." if ends else "",
        "Lines from cell to cell are numbered from the start.",
    )


def _tell_candidates(grid: Grid, candidates: int) -> str:
    """Write `8 in r3c6 and r4c5, 9 in r1c1`."""
    layout = grid.layout
    planes = ((digit, layout.plane(candidates, digit)) for digit in layout.digits)
    return ", ".join(
        f"{digit} in {cell_names(grid, layout.cells_in(plane))}" for digit, plane in planes if plane
    )


def _tell_lines(grid: Grid, lines: tuple[tuple[Link, ...], ...]) -> str:
    """Write `Lines: 8 r2c4 solid to r7c4, dashed to r7c6, solid to r3c6.`, at most a share."""
    told: list[str] = []
    room, left = LINES_LIMIT, 0
    for number, line in enumerate(line for line in lines if line):
        text = _tell_line(grid, line)
        room -= len(text) + 2
        if room < 0 and number:
            left += len(line)
        else:
            told.append(text)
    rest = f" And {count_of(left, 'line')} more." if left else ""
    return f"Lines: {'; '.join(told)}.{rest}" if told else ""


def _tell_line(grid: Grid, line: tuple[Link, ...]) -> str:
    parts: list[str] = []
    at: Node | None = None
    for link in line:
        lead = "" if link.first == at else f"{_tell_end(grid, link.first, at)} "
        told = _tell_end(grid, link.second, link.first)
        parts.append(f"{lead}{_STROKES[link.kind]} to {told}")
        at = link.second
    return ", ".join(parts)


def _tell_end(grid: Grid, node: Node, before: Node | None) -> str:
    """Write `8 r2c4`, or `r2c4` where the digit is still the same; a group as `r1c1+r1c2`."""
    cells = "+".join(map(grid.layout.format_cell, node.cells))
    return cells if before is not None and before.digit == node.digit else f"{node.digit} {cells}"
