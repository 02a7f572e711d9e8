"""Grids with known contents, to be filled in by hand and photographed: an honest test of reading.

A page's number says all that is to stand on it, so a photo that is named by the number can be
scored by whoever has the photo alone.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from random import Random

DIGITS, MARKED, STRUCK = 24, 4, 2
"""So many cells of a page get a digit, small marks alone, or a digit that is struck out."""


@dataclass(frozen=True, slots=True)
class KitPage:
    """A page: its number, the printed givens, and what is to be written, cell by cell.

    Of `cells` each is empty, a digit, `x` and a digit to strike out, or `m` and small marks.
    """

    number: int
    givens: str
    cells: tuple[str, ...]


def make_page(number: int, puzzles: Sequence[tuple[str, str]]) -> KitPage:
    """Return a page, numbered from 1, from puzzles that are givens with their solution.

    Every third page has one wrong digit: what is written is read, not what should be.
    """
    random = Random(number)
    givens, solution = puzzles[(number * 7919) % len(puzzles)]
    size = max(map(int, solution))
    open_cells = [cell for cell, mark in enumerate(givens) if mark in ".0"]
    random.shuffle(open_cells)
    digits, rest = open_cells[:DIGITS], open_cells[DIGITS:]
    cells = [""] * len(givens)
    for cell in digits:
        cells[cell] = solution[cell]
    if number % 3 == 0:
        cells[digits[0]] = str(int(solution[digits[0]]) % size + 1)
    for cell in rest[:STRUCK]:
        cells[cell] = f"x{random.randint(1, size)}"
    for cell in rest[STRUCK : STRUCK + MARKED]:
        marks = sorted(random.sample(range(1, size + 1), random.randint(1, 3)))
        cells[cell] = "m" + "".join(map(str, marks))
    return KitPage(number, givens, tuple(cells))
