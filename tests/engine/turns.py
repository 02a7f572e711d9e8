"""Where a puzzle turns, told by a plain walk over its sweeps."""

from __future__ import annotations

from engine.board.grid import parse_grid
from engine.board.layout import CLASSIC, Layout
from engine.solving.grading import find_sweeps
from engine.techniques import RANKS


def turns_of(puzzle: str, layout: Layout = CLASSIC) -> list[str]:
    """Return the hardest technique of each turning point, which is where singles are stuck, with
    all that is found before one of them works again."""
    turns, run = list[str](), list[str]()
    for stage in find_sweeps(parse_grid(puzzle, layout=layout)).stages:
        if stage.technique.level > 1:
            run.append(stage.technique.id)
        elif run:
            turns.append(max(run, key=RANKS.__getitem__))
            run = []
    if run:  # a technique above level 1 that settles cells, at the very end
        turns.append(max(run, key=RANKS.__getitem__))
    return turns
