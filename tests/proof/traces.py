"""Checks a traced contradiction line by line, and the links by which a chain is told.

A trace may use the rules only by what its lines cite and by what placing a digit does. Each line
must be proved where the lines before it have led from the assumption, and the end must be a cell
that can hold nothing, or a house without a place for a digit, as the step says which.
"""

from __future__ import annotations

from collections.abc import Iterator
from enum import StrEnum
from itertools import pairwise

from engine.board.layout import Layout
from engine.board.step import Bound, Link, LinkKind, Node, Step
from tests.independent.plain import Candidate, Plain, houses_of, peers_of
from tests.proof.checker import find_faults, read_claim, read_constraint

TRACED = "traced-contradiction"


class TraceFault(StrEnum):
    OTHER_CONCLUSION = "it concludes something else than that the assumption is false"
    NOT_POSSIBLE = "what is assumed is no candidate"
    LINE = "a line does not follow where it stands"
    NO_CONTRADICTION = "the end is no contradiction"
    IDLE_LINE = "the contradiction comes before the last line"
    """Allowed in a trace within a trace: that is found where more has been struck than is told."""


def after(layout: Layout, position: Plain, step: Step) -> Plain:
    """The position after a step."""
    return position.after(
        ((layout.format_cell(cell), digit) for cell, digit in step.places),
        ((layout.format_cell(cell), digit) for cell, digit in layout.pairs(step.removes)),
    )


def find_trace_faults(layout: Layout, position: Plain, step: Step) -> Iterator[object]:
    """Yield what is wrong with a traced contradiction at a position: nothing if it holds."""
    if step.assumed is None or step.places or step.removes != layout.bit(*step.assumed):
        yield TraceFault.OTHER_CONCLUSION
        return
    assumed = layout.format_cell(step.assumed[0]), step.assumed[1]
    if not position.has(assumed):
        yield TraceFault.NOT_POSSIBLE
        return
    reached = position.after({assumed}, ())
    for line in step.trace:
        if is_contradiction(reached):
            yield TraceFault.IDLE_LINE
        if line.technique == TRACED:
            inner = find_trace_faults(layout, reached, line)
            faults = [fault for fault in inner if fault is not TraceFault.IDLE_LINE]
        else:
            faults = list(find_faults(reached, read_claim(layout, reached, line)))
        if faults:
            yield TraceFault.LINE, line, faults
        reached = after(layout, reached, line)
    (breach,) = step.constraints
    scope = read_constraint(layout, reached, breach).scope
    if breach.bound is not Bound.AT_LEAST_ONE or any(can_be(reached, each) for each in scope):
        yield TraceFault.NO_CONTRADICTION


def can_be(position: Plain, candidate: Candidate) -> bool:
    return position.has(candidate) or position.digits.get(candidate[0]) == candidate[1]


def is_contradiction(position: Plain) -> bool:
    """Whether a cell can hold nothing, or a house has no place for a digit."""
    held = {cell: frozenset({digit}) for cell, digit in position.digits.items()}
    held |= position.candidates
    return not all(held.values()) or any(
        len(frozenset().union(*map(held.__getitem__, cells))) < position.shape.size
        for cells in houses_of(position.shape).values()
    )


def find_link_faults(layout: Layout, position: Plain, step: Step) -> Iterator[object]:
    """Yield each told link that does not hold, and each place where a line of links is broken."""
    for line in step.chains:
        for link in line:
            if not link_holds(layout, position, link):
                yield "no such link", link
        for before, behind in pairwise(line):
            if before.second != behind.first:
                yield "the line is broken", before, behind


def link_holds(layout: Layout, position: Plain, link: Link) -> bool:
    """Whether a strong link has its two ends as the only ways of a cell or a house, or a weak link
    two ends that exclude each other.
    """
    ends = [_candidates(layout, node) for node in (link.first, link.second)]
    if ends[0] & ends[1] or not all(position.has(each) for end in ends for each in end):
        return False
    both = ends[0] | ends[1]
    cells, digits = {cell for cell, _ in both}, {digit for _, digit in both}
    if len(digits) > 1:
        if len(cells) > 1:
            return False
        (cell,) = cells
        return link.kind is LinkKind.WEAK or position.candidates[cell] == digits
    (digit,) = digits
    if link.kind is LinkKind.WEAK:
        firsts, seconds = ({cell for cell, _ in end} for end in ends)
        return all(seconds <= peers_of(position.shape, cell) for cell in firsts)
    return any(position.places(house, digit) == cells for house in houses_of(position.shape))


def _candidates(layout: Layout, node: Node) -> frozenset[Candidate]:
    return frozenset((layout.format_cell(cell), node.digit) for cell in node.cells)
