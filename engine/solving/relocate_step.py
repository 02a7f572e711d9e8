"""A step that was found further on, as its technique finds it where it is taken."""

from __future__ import annotations

from engine.board.grid import Grid
from engine.board.step import Step
from engine.inference.minimal_evidence import with_what_stands
from engine.solving.sweeping import finds_at
from engine.techniques import technique_with
from engine.techniques.tracing import told_trace


def refound(grid: Grid, step: Step) -> Step:
    """Return the same instance as it stands at this position, where it follows.

    One of its kind that strikes as much will do as well. Where there is none (another step has
    reduced its pattern to something simpler) the reasoning still holds, and what it no longer
    strikes is left out.
    """
    if step.trace:
        return told_trace(grid, step)
    removes = step.removes & grid.candidates
    as_much = None
    for found in finds_at(grid, technique_with(step.technique)):
        if not removes & ~found.removes and found.places == step.places:
            if found.key == step.key:
                return found
            as_much = as_much or found
    return as_much or with_what_stands(grid, step)


def as_found_first(grid: Grid, step: Step) -> Step:
    """Return the first kept step as its technique finds it at the position.

    A trace further on need not be among those that are found at once; then the simplest of these
    does as well, since nothing more than what it strikes is promised of it.
    """
    if not step.trace:
        return refound(grid, step)
    traces = tuple(finds_at(grid, technique_with(step.technique)))
    return next((found for found in traces if found.assumed == step.assumed), traces[0])
