"""What a photo told: the values that leave this room, free of the libraries that read photos.

The bot itself takes these alone, so that it holds none of those libraries before a photo comes, and
works without them.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from importlib.util import find_spec

LIBRARIES = ("cv2", "numpy")

MOST_BYTES = 15_000_000
"""More than any phone's photo; what platforms send is smaller."""


class PhotoProblem(StrEnum):
    """Why a photo became no board; the value is its id."""

    TOO_MANY_BYTES = "too-many-bytes"
    TOO_MANY_PIXELS = "too-many-pixels"
    TOO_SMALL = "too-small"
    PHONES_OWN = "phones-own"
    """A kind of file that few but phones read (HEIC)."""
    NO_PICTURE = "no-picture"
    BROKEN = "broken"
    NO_GRID = "no-grid"
    TWO_GRIDS = "two-grids"
    TOO_BLURRED = "too-blurred"
    ANOTHER_PUZZLE = "another-puzzle"
    OTHER_SIZE = "other-size"
    """The puzzle has more or fewer rows than grids that can be read."""
    TOO_MUCH_WORK = "too-much-work"
    NOT_INSTALLED = "not-installed"


@dataclass(frozen=True, slots=True)
class PhotoReading:
    """A photo as read. Where `problem` is set nothing else is told.

    `puzzle` is the key of the puzzle that its givens are of, where any was looked for. `turned` is
    by how many degrees, clockwise, the grid lies turned in the picture. `grid` has what is written,
    a dot for an open cell, one with small marks alone or with something struck; what clashes is
    shown as it stands. `doubtful`, `struck` and `marked` are cells by name.
    """

    problem: PhotoProblem | None = None
    puzzle: str | None = None
    turned: int = 0
    grid: str = ""
    doubtful: tuple[str, ...] = ()
    struck: tuple[str, ...] = ()
    marked: tuple[str, ...] = ()


def can_read_photos() -> bool:
    """Say whether the libraries of the extra `photo` are there, without loading them."""
    return all(find_spec(name) is not None for name in LIBRARIES)
