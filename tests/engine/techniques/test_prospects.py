"""Where subsets and single-digit patterns can strike at all, against filling houses by trying."""

from __future__ import annotations

from collections import Counter
from functools import cache

from engine.board.layout import CLASSIC, iterate_bits
from engine.inference.prefilter import doomed_places, tight_houses
from tests.corpus import Sample, samples_by_technique

SAMPLES = [sample for samples in samples_by_technique().values() for sample in samples[:4]]
ROWS = [sum(1 << cell for cell in house.cells) for house in CLASSIC.rows]


def can_fill(held: list[set[int]]) -> bool:
    """Say whether the cells can take different digits, each one that it holds."""
    if not held:
        return True
    first, *rest = sorted(held, key=len)
    return any(can_fill([digits - {digit} for digits in rest]) for digit in first)


def loses_something(held: list[set[int]]) -> bool:
    """Say whether some digit of some cell is part of no way to fill the cells with all digits."""
    if len(set().union(*held)) != len(held):
        return bool(held)
    return any(
        not can_fill([digits - {digit} for digits in held[:cell] + held[cell + 1 :]])
        for cell in range(len(held))
        for digit in held[cell]
    )


def held_in(sample: Sample, cells: tuple[int, ...]) -> list[set[int]]:
    return [digits for cell in cells if (digits := set(sample.grid.candidates_at(cell)))]


def test_the_tight_houses_are_those_that_lose_something_when_they_are_filled() -> None:
    verdicts: Counter[tuple[int, bool]] = Counter()
    for sample in SAMPLES:
        tight = set(tight_houses(sample.grid))
        for house in CLASSIC.houses:
            held = held_in(sample, house.cells)
            loses = loses_something(held)
            verdicts[len(held), loses] += 1
            assert loses == (house in tight), (sample, house)
    # Houses of three to eight open cells came up with either answer.
    assert all(verdicts[cells, loses] for cells in range(3, 9) for loses in (False, True)), verdicts


@cache
def seen_cells(cell: int) -> int:
    return sum(1 << peer for peer in range(81) if peer != cell and CLASSIC.peers[cell] >> peer & 1)


def placements(places: int, rows: list[int]) -> list[int]:
    """Return every way (a cell mask) to put a digit once into each of the rows."""
    if not rows:
        return [0]
    return [
        1 << cell | rest
        for cell in iterate_bits(places & rows[0])
        for rest in placements(places & ~seen_cells(cell), rows[1:])
    ]


def test_the_doomed_places_are_those_that_no_way_to_place_the_digit_uses() -> None:
    doomed = 0
    for sample in SAMPLES[::2]:
        for digit in CLASSIC.digits:
            plane = sample.grid.plane(digit)
            used = 0
            for way in placements(plane, [row for row in ROWS if plane & row]):
                used |= way
            assert doomed_places(CLASSIC, plane) == plane & ~used, (sample, digit)
            doomed += (plane & ~used).bit_count()
    assert doomed > 50
