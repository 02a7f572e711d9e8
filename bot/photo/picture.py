"""The bytes of a photo become a grey picture, under limits, and nothing else of them is kept.

What a file says of itself is read before any pixel is: its kind, and how large it is. EXIF is used
to turn the picture upright and dropped with all else that the file tells.
"""

from __future__ import annotations

import io
import struct
import warnings

import numpy as np
from PIL import ExifTags
from PIL import Image as Pictures

from bot.photo.cells import Image
from bot.photo.told import MOST_BYTES, PhotoProblem

MOST_PIXELS = 50_000_000
"""Of a JPEG, which is taken apart at a fraction of its size. Another kind may have a third."""

LONGEST_SIDE = 2400
"""A photo is made smaller until both sides are within this: a grid's cells are still large."""

SHORTEST_SIDE = 120
"""Smaller pictures hold no grid that can be read."""

_KINDS = ("JPEG", "PNG", "WEBP")
_UPRIGHT = {
    2: Pictures.Transpose.FLIP_LEFT_RIGHT,
    3: Pictures.Transpose.ROTATE_180,
    4: Pictures.Transpose.FLIP_TOP_BOTTOM,
    5: Pictures.Transpose.TRANSPOSE,
    6: Pictures.Transpose.ROTATE_270,
    7: Pictures.Transpose.TRANSVERSE,
    8: Pictures.Transpose.ROTATE_90,
}
"""What sets a picture upright, by what EXIF says of how it lies."""

_PHONES_OWN = (b"heic", b"heix", b"hevc", b"heim", b"heis", b"mif1", b"msf1")


class PictureError(Exception):
    """A file is no photo that can be read."""

    def __init__(self, problem: PhotoProblem) -> None:
        super().__init__(problem.value)
        self.problem = problem


def open_picture(content: bytes) -> Image:
    """Return a photo in grey, upright and of moderate size. Raises PictureError."""
    if len(content) > MOST_BYTES:
        raise PictureError(PhotoProblem.TOO_MANY_BYTES)
    if content[4:8] == b"ftyp" and content[8:12] in _PHONES_OWN:
        raise PictureError(PhotoProblem.PHONES_OWN)
    try:
        # The library's own bound is above ours, and a warning where ours is an answer.
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            picture = Pictures.open(io.BytesIO(content), formats=_KINDS)
    except Pictures.DecompressionBombError:
        raise PictureError(PhotoProblem.TOO_MANY_PIXELS) from None
    except (OSError, ValueError, SyntaxError):
        raise PictureError(PhotoProblem.NO_PICTURE) from None
    return _take_apart(picture)


def _take_apart(picture: Pictures.Image) -> Image:
    most = MOST_PIXELS if picture.format == "JPEG" else MOST_PIXELS // 3
    if picture.width * picture.height > most:
        raise PictureError(PhotoProblem.TOO_MANY_PIXELS)
    if min(picture.size) < SHORTEST_SIDE:
        raise PictureError(PhotoProblem.TOO_SMALL)
    try:
        # A JPEG comes at a half, a quarter or an eighth at once, never smaller than asked for.
        picture.draft("L", (LONGEST_SIDE, LONGEST_SIDE))
        picture.load()
        upright = _find_upright(picture)
        grey = _on_white(picture)
        image = np.asarray(grey if upright is None else grey.transpose(upright), dtype=np.uint8)
    except (
        OSError, ValueError, SyntaxError, IndexError, EOFError, Pictures.DecompressionBombError
    ):  # fmt: skip
        raise PictureError(PhotoProblem.BROKEN) from None
    if min(image.shape) < SHORTEST_SIDE:
        raise PictureError(PhotoProblem.TOO_SMALL)
    return image


def _find_upright(picture: Pictures.Image) -> Pictures.Transpose | None:
    """Return what sets a picture upright; None where it lies as it should, or nobody can say.

    Only this one value is looked at: a file may tell any nonsense besides, and still be a photo.
    """
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            lies = picture.getexif().get(ExifTags.Base.Orientation)
    except (SyntaxError, struct.error, TypeError, KeyError):
        return None
    return _UPRIGHT.get(lies) if isinstance(lies, int) else None


def _on_white(picture: Pictures.Image) -> Pictures.Image:
    """Return a picture in grey and small, what is transparent in it white."""
    is_clear = "A" in picture.getbands() or "transparency" in picture.info
    if is_clear or picture.mode == "P":
        picture = picture.convert("RGBA")
    elif picture.mode.startswith("I"):
        # Of sixteen bits the library takes the lower eight as they are, and all else for white.
        picture = picture.point(lambda bright: bright * (1 / 256)).convert("L")
    elif picture.mode != "L":
        picture = picture.convert("L")
    # Smaller first: what follows copies the picture.
    picture.thumbnail((LONGEST_SIDE, LONGEST_SIDE), Pictures.Resampling.BOX)
    if picture.mode == "RGBA":
        paper = Pictures.new("RGBA", picture.size, "white")
        picture = Pictures.alpha_composite(paper, picture).convert("L")
    return picture
