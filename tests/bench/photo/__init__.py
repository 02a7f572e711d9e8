"""Photos of paper grids: found, registered, read; what was silently wrong; what costs how much.

Counted on frozen seeds, failures included. With NINEBARK_PHOTO_FROM naming the folder that
`python -m tests.photo_training --from` takes, held-out handwriting and fonts are among what is
read; without it the digits are drawn of arcs alone. `python -m tests.bench photo FOLDER` scores
photos of filled-in pages of `ninebark sheet --kit` instead.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import islice

from bot.photo.reading import read_photo
from engine import parse_grid
from tests.bench.photo import costs, digits, newspaper
from tests.bench.photo.hands import Supplies, find_supplies
from tests.bench.photo.no_grid import find_pictures
from tests.bench.photo.paper import KINDS
from tests.bench.photo.samples import find_samples, other_puzzle, small_puzzle
from tests.bench.photo.scoring import Score, score, sum_up


@dataclass(frozen=True, slots=True)
class Size:
    """How much is counted."""

    photos: int = 900
    others: int = 300
    pictures: int = 1000
    small: int = 90
    """Photos of grids with six rows."""
    inked: int = 60
    written: int = 200
    every: int = 1
    """Of OpenCV's sheet of digits each so many-th."""
    versions: int = 11
    """Of the newspaper's photo."""
    megapixels: float = 12.0


_TOLD_EVERY = 100
"""The whole table takes long: so many photos are counted until a line says how it stands."""

FULL = Size()
SMALL = Size(
    photos=3,
    others=1,
    pictures=3,
    small=1,
    inked=1,
    written=10,
    every=9,
    versions=1,
    megapixels=1.0,
)


@dataclass(slots=True)
class Table:
    """All that was counted, for whoever holds it to bounds, and as lines."""

    scores: list[tuple[str, Score]]
    others_accepted: int = 0
    pictures_accepted: int = 0
    small: list[Score] = field(default_factory=list)
    small_others_accepted: int = 0
    inked: list[Score] = field(default_factory=list)
    in_newspaper: list[tuple[int, int]] = field(default_factory=list)
    """Of each version how many of 81 cells were right, and how many silently false."""

    def all_scores(self) -> list[Score]:
        """Return the scores of photos of every kind."""
        return [each for _, each in self.scores]


def find_figures(size: Size = FULL) -> Iterator[str]:
    """Yield the table, line by line, as it is counted."""
    yield from count(size, find_supplies(), Table([]))


def count(size: Size, supplies: Supplies, table: Table) -> Iterator[str]:
    """Yield the lines of a table and fill it in."""
    yield from _count_photos(size, supplies, table)
    yield from _count_small(size, supplies, table)
    yield from _count_pictures(size, supplies, table)
    yield from _count_newspaper(size, supplies, table)
    yield "digits alone, read right:"
    yield from digits.find_figures(supplies, size.written, size.every)
    yield from costs.find_figures(supplies, size.megapixels)


def _count_photos(size: Size, supplies: Supplies, table: Table) -> Iterator[str]:
    confused: Counter[str] = Counter()
    asked = 0
    for number, sample in enumerate(
        find_samples(size.photos, supplies, most_megapixels=size.megapixels)
    ):
        content, shot = sample.content, sample.shot
        scored = score(read_photo(shot.content, {"today": content.puzzle}), shot.turned, content)
        table.scores.append((sample.kind, scored))
        confused.update(scored.confused)
        turn = size.photos // size.others
        if number % turn == number // turn % turn:  # of each kind
            asked += 1
            another = {"other": parse_grid(other_puzzle(number, content))}
            table.others_accepted += read_photo(shot.content, another).problem is None
        if (number + 1) % _TOLD_EVERY == 0:
            yield f"  after {number + 1}: {sum_up(table.all_scores())}"
    for kind in KINDS:
        yield f"{kind}: {sum_up([each for name, each in table.scores if name == kind])}"
    every = table.all_scores()
    yield f"all kinds: {sum_up(every)}"
    lost, mistakes = sum(each.lost for each in every), sum(each.mistakes for each in every)
    yield f"mistakes silently changed: {lost} of {mistakes}"
    yield f"another puzzle accepted: {table.others_accepted} of {asked}"
    shown = ", ".join(f"{pair} {number}" for pair, number in confused.most_common(8))
    yield f"commonest confusions (! silent, 10 marks, 11 struck): {shown}"


def _count_small(size: Size, supplies: Supplies, table: Table) -> Iterator[str]:
    """Count photos of six rows, each held against its puzzle and against three others."""
    samples = find_samples(size.small, supplies, most_megapixels=size.megapixels, is_small=True)
    for number, sample in enumerate(samples):
        shot, content = sample.shot, sample.content
        reading = read_photo(shot.content, {"today": content.puzzle})
        table.small.append(score(reading, shot.turned, content))
        others = {str(other): small_puzzle(-1 - 3 * number - other) for other in range(3)}
        table.small_others_accepted += read_photo(shot.content, others).problem is None
    yield f"six rows: {sum_up(table.small)}"
    yield f"six rows, three other puzzles accepted: {table.small_others_accepted} of {size.small}"


def _count_pictures(size: Size, supplies: Supplies, table: Table) -> Iterator[str]:
    told: Counter[str] = Counter()
    kinds: Counter[str] = Counter()
    puzzles = {"today": parse_grid(newspaper.GIVENS)}
    for kind, content in find_pictures(size.pictures, supplies):
        kinds[kind] += 1
        known, unknown = read_photo(content, puzzles), read_photo(content, {})
        told[known.problem or "accepted"] += 1
        table.pictures_accepted += known.problem is None
        told["read where no puzzle is known"] += unknown.problem is None
    shown = ", ".join(f"{number} {name}" for name, number in told.most_common())
    yield f"pictures without a grid, {size.pictures} of {len(kinds)} kinds: {shown}"


def _count_newspaper(size: Size, supplies: Supplies, table: Table) -> Iterator[str]:
    if not newspaper.is_there():
        yield "the newspaper's photo is not there: apt-get install opencv-doc"
        return
    puzzle = parse_grid(newspaper.GIVENS)
    for name, content, turned in islice(newspaper.find_versions(), size.versions):
        known = read_photo(content, {"today": puzzle})
        unknown = read_photo(content, {})
        if unknown.problem is not None:
            table.in_newspaper.append((0, 0))
            yield f"newspaper {name}: {unknown.problem}"
            continue
        right = sum(a == b for a, b in zip(unknown.grid, newspaper.GIVENS, strict=True))
        silent = [
            cell
            for cell, (seen, there) in enumerate(zip(unknown.grid, newspaper.GIVENS, strict=True))
            if seen not in (there, ".") and puzzle.layout.format_cell(cell) not in unknown.doubtful
        ]
        table.in_newspaper.append((right, len(silent)))
        yield (
            f"newspaper {name}: {right} of 81 without its givens known, {len(unknown.doubtful)}"
            f" doubtful, {len(silent)} silently false, turn right: {unknown.turned == turned};"
            f" with them {'read' if known.problem is None else known.problem},"
            f" {len(known.doubtful)} doubtful"
        )
    table.inked += [
        score(read_photo(shot.content, {"today": puzzle}), shot.turned, content)
        for content, shot in newspaper.find_inked(size.inked, supplies)
    ]
    yield f"newspaper filled in by held-out hands: {sum_up(table.inked)}"
