"""Photos to read, made on the spot from fixed seeds, with what stands on them."""

from __future__ import annotations

from functools import cache

import numpy as np

from engine import Grid, parse_grid
from tests.bench.photo.camera import Shot, photograph
from tests.bench.photo.hands import own_supplies
from tests.bench.photo.paper import Content, Sheet, draw, fill
from tests.bench.photo.scoring import digit_of

# The encyclopaedia example, also in SQLite's documentation (`lang_with`) and PuLP's example.
PUZZLE = "53..7....6..195....98....6.8...6...34..8.3..17...2...6.6....28....419..5....8..79"
# Crook, A Pencil-and-Paper Algorithm for Solving Sudoku Puzzles, Notices AMS 56(4), 2009, p. 463.
OTHER = ".395........8...7.....1.9.41..4....3...........7...86...67.82...1..9...5.....1..8"
# Of six rows, made by `ninebark make --layout 6x6 --level 1 --seed 5`.
SMALL = ".3...4.126.....2...6..4.6...5..4...."


def puzzle(text: str = PUZZLE) -> Grid:
    """Return a puzzle as a grid."""
    return parse_grid(text)


@cache
def sheet(kind: str, seed: int, text: str = PUZZLE, mistakes: int = 0) -> tuple[Sheet, Content]:
    """Return a sheet with a puzzle, partly filled in."""
    random = np.random.default_rng(seed)
    content = fill(puzzle(text), random, mistakes=mistakes)
    return draw(kind, content, own_supplies(), random)


@cache
def photo(kind: str, seed: int, text: str = PUZZLE, mistakes: int = 0) -> tuple[Shot, Content]:
    """Return a photo of about a megapixel of such a sheet."""
    drawn, content = sheet(kind, seed, text, mistakes)
    random = np.random.default_rng(seed + 1)
    shot = photograph(drawn.page, random, megapixels=1.2, is_screen=kind == "screen")
    return shot, content


def misread(grid: str, content: Content) -> int:
    """Return how many cells of a grid as read hold something else than its paper does."""
    written = map(digit_of, content.kinds.tolist())
    return sum(
        mark != (str(digit) if digit else ".") for mark, digit in zip(grid, written, strict=True)
    )
