"""What follows from a step: the same few words for every technique."""

from __future__ import annotations

from bot.wording.prose import join_words
from bot.wording.sight import cell_names
from engine import Cell, Grid, Step


def conclusion_of(step: Step, grid: Grid) -> str:
    """Say what follows: `So r4c5 is 7.`, or `So r5c3 and r8c3 lose 2 and 8; r9c3 loses 2.`"""
    layout = grid.layout
    if step.places:
        placed = join_words(f"{layout.format_cell(cell)} is {digit}" for cell, digit in step.places)
        return f"So {placed}."
    digits_by_cell: dict[Cell, list[int]] = {}
    for cell, digit in layout.pairs(step.removes):
        digits_by_cell.setdefault(cell, []).append(digit)
    cells_by_digits: dict[tuple[int, ...], list[Cell]] = {}
    for cell, digits in digits_by_cell.items():
        cells_by_digits.setdefault(tuple(digits), []).append(cell)
    clauses = [
        f"{cell_names(grid, cells)} {'loses' if len(cells) == 1 else 'lose'} {join_words(digits)}"
        for digits, cells in cells_by_digits.items()
    ]
    return f"So {'; '.join(clauses)}."
