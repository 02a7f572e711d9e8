"""What is said of photos: what was read on one, what to look at again, and why one cannot be read.

Doubtful cells are named neutrally, and never called wrong: most are right, and what clashes may be
a member's own mistake, which is theirs to find.
"""

from __future__ import annotations

from pathlib import Path

from bot.photo.told import PhotoProblem, PhotoReading
from bot.wording.prose import join_words, sentences
from engine import layout_with

TODAYS = "today's puzzle"
"""What a photo is compared with, where nothing else is named."""

THE_ONE_GIVEN = "the puzzle you gave"

_INSTALL = "pip install 'ninebark[photo]' (in a checkout: '.[photo]')"

NO_PHOTOS = f"Photos of paper can't be read yet. To read them: {_INSTALL}"

HOW = "Get the whole grid into the picture, lay the paper flat, and take it in good light."

_PROBLEMS = {
    PhotoProblem.TOO_MANY_BYTES: "This file is too big. I can read photos of up to 15 MB.",
    PhotoProblem.TOO_MANY_PIXELS: "This picture is too large. I can read photos of up to "
    "50 megapixels, or up to 16 if they aren't JPEGs.",
    PhotoProblem.TOO_SMALL: f"This picture is too small to read. {HOW}",
    PhotoProblem.PHONES_OWN: "This photo is a HEIC file, and I can't read those. Send it as a "
    "JPEG. A screenshot of the photo works too.",
    PhotoProblem.NO_PICTURE: "I can't read this file as a picture. Send a photo as a JPEG, PNG "
    "or WEBP file.",
    PhotoProblem.BROKEN: "This picture is damaged, or a part of it is missing. Please send it "
    "again.",
    PhotoProblem.NO_GRID: f"I can't find a grid in this photo. {HOW}",
    PhotoProblem.TWO_GRIDS: "I see more than one grid in this photo. Take a photo of just one.",
    PhotoProblem.TOO_BLURRED: "This photo is too blurred for me to read. Hold the phone still, "
    "tap the grid to focus, and take it again.",
    PhotoProblem.TOO_MUCH_WORK: f"I couldn't make this photo out in time. {HOW}",
    PhotoProblem.NOT_INSTALLED: "I can't read photos yet: the libraries for it aren't installed. "
    f"Install them with: {_INSTALL}",
}


def offer_photos(command: str) -> str:
    """Say that a photo of the paper can be sent for a command."""
    return (
        f"If you solve on paper, send me a photo of it: {command} photo tells you how. I show you "
        "what I read before any of it counts."
    )


def tell_photo_problem(problem: PhotoProblem, puzzle: str = TODAYS) -> str:
    """Say why a photo became no board, and what would help; `puzzle` is what it was to show."""
    if problem is PhotoProblem.OTHER_SIZE:
        return (
            f"I can only read photos of 9x9 and 6x6 grids, and {puzzle} is neither. Type your grid "
            "instead."
        )
    if problem is PhotoProblem.ANOTHER_PUZZLE:
        return (
            f"There's a grid in this photo, but it isn't {puzzle}: the givens are different. If "
            f"it should be, try again. {HOW}"
        )
    return _PROBLEMS[problem]


def tell_photo(reading: PhotoReading) -> str:
    """Say what was left out of a reading, and which cells somebody should look at."""
    left_out = tell_left_out(reading.struck, has_marks=bool(reading.marked))
    return sentences(ask_to_look(reading.doubtful), left_out)


def ask_to_look(doubtful: tuple[str, ...]) -> str:
    """Name the cells to look at again, and say nothing of what stands there; empty for none."""
    return f"Please look at {join_words(doubtful)}." if doubtful else ""


def tell_left_out(struck: tuple[str, ...], *, has_marks: bool) -> str:
    """Say what of a photo was left out: what is crossed out, and small marks; empty for nothing."""
    left = []
    if struck:
        left.append(f"what's crossed out in {join_words(struck)}")
    if has_marks:
        left.append("small marks")
    return f"I've left out {join_words(left)}." if left else ""


def draw_reading(reading: PhotoReading) -> str:
    """Write a reading as rows with rulers; digits may clash, as they may on paper."""
    layout = layout_with(len(reading.grid))
    size, wide, high = layout.size, layout.box_width, layout.box_height
    ruler = "+".join(["-" * wide] * (size // wide))
    lines = []
    for row in range(size):
        if row and row % high == 0:
            lines.append(ruler)
        digits = reading.grid[row * size : (row + 1) * size]
        lines.append("|".join(digits[at : at + wide] for at in range(0, size, wide)))
    return "\n".join(lines)


def unreadable_file(file: Path, reason: str) -> str:
    """Say that a file cannot be opened."""
    why = f" ({reason})" if reason else ""
    return f"I can't open {file}{why}. Name a photo. Example: ninebark read photo.jpg"
