"""A photo to a reading: found, straightened, cut, read, registered, and what is doubtful told.

A pure function of the photo's bytes and of the givens that it may show. It knows no solution, keeps
nothing, and answers what cannot be read with a problem, never with a guess.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from bot.photo.cells import Image, Ink, find_ink, flatten, split
from bot.photo.doubts import look
from bot.photo.finder import (
    SIZES,
    Candidate,
    as_dark_on_light,
    come_near,
    find_candidates,
    make_small,
    overlap,
)
from bot.photo.network import MARKS, STRUCK, load_network
from bot.photo.picture import PictureError, open_picture
from bot.photo.registering import (
    Registered,
    find_upright,
    givens_of,
    register,
    shows_puzzle,
)
from bot.photo.sharpness import SHARP_GRID, SHARP_PICTURE, find_sharpness
from bot.photo.straightener import straighten
from bot.photo.told import PhotoProblem, PhotoReading
from engine import Grid, layout_with

_MOST_CANDIDATES = 4
_MOST_DOUBTFUL = 0.2
"""Of a blurred grid nobody wants to look at more than such a share of the cells again."""

LEAST_LINES = 0.6
"""A grid shows at least such a share of its lines once they are followed."""


def read_photo(content: bytes, puzzles: Mapping[str, Grid]) -> PhotoReading:
    """Return what a photo shows. `puzzles` are those that it may show; with none, any will do."""
    sizes = {puzzle.layout.size for puzzle in puzzles.values()} & set(SIZES)
    if puzzles and not sizes:
        return PhotoReading(PhotoProblem.OTHER_SIZE)
    try:
        image = open_picture(content)
    except PictureError as error:
        return PhotoReading(error.problem)
    found: list[tuple[Candidate, Registered, Ink]] = []
    is_blurred = shows_another = False
    for candidate in find_candidates(image, sizes or SIZES)[:_MOST_CANDIDATES]:
        if any(overlap(candidate, other) for other, *_ in found):
            continue
        ink = _cut(image, candidate)
        if ink is None:
            continue
        registered = _register(ink, candidate.size, puzzles)
        if registered is not None and (not puzzles or registered.is_known):
            found.append((candidate, registered, _upright(ink, registered.turns, candidate.size)))
        elif registered is not None:
            shows_another = True
        is_blurred |= find_sharpness(ink) < SHARP_GRID
    if len(found) > 1:
        return PhotoReading(PhotoProblem.TWO_GRIDS)
    if found:
        _, registered, cells = found[0]
        surely = replace(registered, chances=load_network().tell_surely(cells))
        reading = _tell(surely, cells, puzzles)
        is_doubtful = len(reading.doubtful) > _MOST_DOUBTFUL * len(reading.grid)
        return PhotoReading(PhotoProblem.TOO_BLURRED) if is_blurred and is_doubtful else reading
    if shows_another:
        return PhotoReading(PhotoProblem.ANOTHER_PUZZLE)
    if is_blurred or find_sharpness((make_small(image) / 255).astype(np.float32)) < SHARP_PICTURE:
        return PhotoReading(PhotoProblem.TOO_BLURRED)
    return PhotoReading(PhotoProblem.NO_GRID)


def _cut(image: Image, candidate: Candidate) -> NDArray[np.float32] | None:
    """Return a candidate's ink, straightened; None where its lines are not there after all."""
    image, candidate = come_near(image, candidate)
    image = as_dark_on_light(image, candidate)
    straight = straighten(image, candidate)
    if straight.lines < LEAST_LINES:
        return None
    return find_ink(flatten(image, straight.crossings), candidate.size)


def _register(
    ink: NDArray[np.float32], size: int, puzzles: Mapping[str, Grid]
) -> Registered | None:
    """Return the turn and puzzle of a grid, or, of another puzzle, the turn in which it reads best.

    None where it reads badly in each turn: then it is hardly a grid.
    """
    turned = []
    for turns in range(4):
        turned.append(load_network().tell(_upright(ink, turns, size)))
        known = register(turned[-1], turns, puzzles)
        if known is not None and known.is_known:
            return known
    upright = find_upright(turned)
    return upright if shows_puzzle(upright.chances) else None


def _upright(ink: NDArray[np.float32], turns: int, size: int) -> Ink:
    """Return the cells of a grid set upright that lies turned by so many quarters to the right."""
    return split(np.ascontiguousarray(np.rot90(ink, turns)), size)


def _tell(registered: Registered, cells: Ink, puzzles: Mapping[str, Grid]) -> PhotoReading:
    puzzle = puzzles[registered.puzzle] if registered.puzzle is not None else None
    layout = puzzle.layout if puzzle else layout_with(len(registered.chances))
    looked = look(registered.chances, cells, layout, givens_of(puzzle) if puzzle else None)
    names = [layout.format_cell(cell) for cell in range(layout.cell_count)]

    def named(chosen: np.ndarray) -> tuple[str, ...]:
        return tuple(names[cell] for cell in np.flatnonzero(chosen))

    digits = [kind if 0 < kind < MARKS else 0 for kind in looked.kinds.tolist()]
    return PhotoReading(
        puzzle=registered.puzzle,
        turned=registered.turns * 90,
        grid="".join(str(digit) if digit else "." for digit in digits),
        doubtful=named(looked.doubtful),
        struck=named(looked.kinds == STRUCK),
        marked=named(looked.kinds == MARKS),
    )
