"""Steps on the way through random puzzles of diagonal and irregular layouts, for the laws."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import islice
from random import Random

from engine.board.applying import apply_steps
from engine.board.grid import Grid
from engine.board.layout import DIAGONAL, MIDDLE, SMALL, Layout, diagonal_layout
from engine.board.layout_names import irregular_layout
from engine.board.step import Step
from engine.making.puzzles import minimal_puzzle
from engine.techniques import LADDER

LOOPS = """
    111122222
    314444225
    311144225
    331664445
    336666775
    388669755
    388699775
    389999975
    888897775
"""
STEPS = "112223 411233 411223 444433 555666 555666"
OTHER_LAYOUTS: dict[str, Layout] = {
    "diagonal": DIAGONAL,
    "irregular 9x9": irregular_layout(LOOPS),
    "irregular 6x6": irregular_layout(STEPS),
    "diagonal 4x4": diagonal_layout(SMALL),
    "diagonal 6x6": diagonal_layout(MIDDLE),
    "diagonal, irregular 6x6": diagonal_layout(
        irregular_layout("111222 111222 334555 344565 344566 334666")
    ),
}


def steps_on_the_way(
    layout: Layout, seed: int, *, most: int = 2, most_level: int = 5
) -> Iterator[tuple[Grid, Grid, Step]]:
    """Yield (puzzle, position, step): at each position the first steps of each technique.

    Above the highest level only what goes on where nothing below does.
    """
    puzzle = position = minimal_puzzle(Random(seed), layout)
    while not position.is_complete:
        first: tuple[Step, ...] = ()
        for technique in LADDER:
            if first and technique.level > most_level:
                break
            steps = tuple(technique.find(position))
            first = first or steps
            yield from ((puzzle, position, step) for step in islice(steps, most))
        assert first, repr(position)
        position = apply_steps(position, first)
