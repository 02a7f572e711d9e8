"""Photos with known content, each from its own frozen seed: the same number, the same photo."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache

import numpy as np

from engine import parse_grid
from tests.bench.photo.camera import Shot, photograph
from tests.bench.photo.hands import Supplies
from tests.bench.photo.paper import KINDS, Content, draw, fill
from tests.corpus import FOLDER

FIRST_SEED = 2_700_000
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


def make_sample(
    number: int,
    supplies: Supplies,
    *,
    most_megapixels: float = 12.0,
    exact_megapixels: float | None = None,
) -> Sample:
    """Return the photo of a number: kinds take turns, and every third has a mistake in it."""
    random = np.random.default_rng(FIRST_SEED + number)
    kind = KINDS[number % 3]
    givens = puzzles()[int(random.integers(len(puzzles())))]
    mistakes = int(number // 3 % 3 == 0)
    content = fill(parse_grid(givens), random, mistakes=mistakes)
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
    count: int, supplies: Supplies, *, most_megapixels: float = 12.0
) -> Iterator[Sample]:
    """Yield so many photos."""
    for number in range(count):
        yield make_sample(number, supplies, most_megapixels=most_megapixels)
