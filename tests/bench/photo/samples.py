"""Photos with known content, each from its own frozen seed: the same number, the same photo."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from random import Random

import numpy as np

from engine import Grid, parse_grid
from engine.board.layout import MIDDLE
from engine.making.puzzles import minimal_puzzle
from tests.bench.photo.camera import Shot, photograph
from tests.bench.photo.hands import Supplies
from tests.bench.photo.paper import KINDS, Content, draw, fill
from tests.corpus import FOLDER

FIRST_SEED = 3_600_000
"""Of the photos that count: nothing is ever tuned on these. Whoever has looked at what goes wrong
on them, and mends it, sets another: those from 1,800,000 on were looked at."""

MEGAPIXELS = (1.0, 1.0, 1.5, 1.5, 2.0, 2.0, 3.0, 3.0, 4.0, 4.0, 4.0, 8.0, 12.0)


@dataclass(frozen=True, slots=True)
class Sample:
    """A photo, what kind it is of, and what stands on it."""

    kind: str
    content: Content
    shot: Shot


@cache
def puzzles() -> tuple[str, ...]:
    """Return the puzzles that sheets are made of."""
    lines = (FOLDER / "puzzles.tsv").read_text(encoding="utf-8").splitlines()
    givens = (line.split("\t")[0] for line in lines if not line.startswith("#"))
    return tuple(each for each in givens if len(each) == 81)


def small_puzzle(number: int) -> Grid:
    """Return a puzzle of six rows."""
    return minimal_puzzle(Random(FIRST_SEED + number), MIDDLE)


def make_sample(
    number: int,
    supplies: Supplies,
    *,
    most_megapixels: float = 12.0,
    exact_megapixels: float | None = None,
    is_small: bool = False,
) -> Sample:
    """Return the photo of a number: kinds take turns, and every third has a mistake in it.
    `is_small`: it has six rows."""
    random = np.random.default_rng(FIRST_SEED * (4 if is_small else 1) + number)
    kind = KINDS[number % 3]
    puzzle = parse_grid(puzzles()[int(random.integers(len(puzzles())))])
    if is_small:
        puzzle = small_puzzle(number)
    mistakes = int(number // 3 % 3 == 0)
    content = fill(puzzle, random, mistakes=mistakes)
    sheet, content = draw(kind, content, supplies, random)
    megapixels = min(float(random.choice(MEGAPIXELS)), most_megapixels)
    shot = photograph(
        sheet.page, random, megapixels=exact_megapixels or megapixels, is_screen=kind == "screen"
    )
    return Sample(kind, content, shot)


def other_puzzle(number: int, content: Content) -> str:
    """Return a puzzle that is not the one of a photo."""
    every = puzzles()
    random = np.random.default_rng(FIRST_SEED - 1 - number)
    while parse_grid(chosen := every[int(random.integers(len(every)))]) == content.puzzle:
        pass
    return chosen


def find_samples(
    count: int, supplies: Supplies, *, most_megapixels: float = 12.0, is_small: bool = False
) -> Iterator[Sample]:
    """Yield so many photos, as `make_sample` does."""
    for number in range(count):
        yield make_sample(number, supplies, most_megapixels=most_megapixels, is_small=is_small)
