"""A real photo of a printed newspaper grid, from Debian's package `opencv-doc`, and what is done
to it: turned, dimmed, compressed, and filled in with held-out handwriting.
"""

from __future__ import annotations

from collections.abc import Iterator

import cv2
import numpy as np
from numpy.typing import NDArray

from bot.photo.cells import Image
from bot.photo.finder import find_candidates
from bot.photo.straightener import straighten
from engine import format_grid, parse_grid, solve
from tests.bench.photo.camera import Shot
from tests.bench.photo.hands import Supplies
from tests.bench.photo.no_grid import EXAMPLES
from tests.bench.photo.paper import Content, fill
from tests.bench.photo.samples import FIRST_SEED

FILE = EXAMPLES / "sudoku.png"

GIVENS = "...6.47..7.6.....9.....5.8..7..2..938.......543..1..7..5.2.....3.....2.8..23.1..."
"""As anybody can read them in the photo."""


def is_there() -> bool:
    """Say whether the package is installed."""
    return FILE.exists()


def load() -> Image:
    """Return the photo."""
    photo = cv2.imread(str(FILE), cv2.IMREAD_GRAYSCALE)
    assert photo is not None
    return np.asarray(photo, np.uint8)


def find_versions() -> Iterator[tuple[str, bytes, int]]:
    """Yield the photo as it is and as it could have been worse, and by how much it is turned."""
    photo = load()

    def png(image: NDArray[np.generic]) -> bytes:
        return cv2.imencode(".png", np.asarray(image, np.uint8))[1].tobytes()

    yield "as it is", FILE.read_bytes(), 0
    for turns, way in enumerate(
        (cv2.ROTATE_90_CLOCKWISE, cv2.ROTATE_180, cv2.ROTATE_90_COUNTERCLOCKWISE), start=1
    ):
        yield f"turned by {turns * 90}", png(np.asarray(cv2.rotate(photo, way))), turns * 90
    for share in (0.5, 0.35, 0.2):
        yield f"dimmed to {share:.0%}", png(photo * share), 0
    for quality in (50, 30, 20):
        packed = cv2.imencode(".jpg", photo, [cv2.IMWRITE_JPEG_QUALITY, quality])[1]
        yield f"JPEG {quality}", packed.tobytes(), 0
    smaller = cv2.resize(photo, None, fx=0.6, fy=0.6, interpolation=cv2.INTER_AREA)
    yield "at 0.6 of its size", png(np.asarray(smaller)), 0


def can_be_solved() -> bool:
    """Say whether the grid has the one solution that handwriting is taken from."""
    return solve(parse_grid(GIVENS)) is not None


def find_inked(count: int, supplies: Supplies) -> Iterator[tuple[Content, Shot]]:
    """Yield the photo with held-out handwriting inked into it, so often."""
    photo = load()
    candidate = find_candidates(photo, {9})[0]
    crossings = straighten(photo, candidate).crossings.astype(np.float64)
    puzzle = parse_grid(GIVENS)
    for number in range(count):
        random = np.random.default_rng(FIRST_SEED * 3 + number)
        content = fill(puzzle, random)
        # What is neither given nor a digit is left out: the paper has neither marks nor strokes.
        kinds = np.where(content.kinds < 10, content.kinds, 0)
        content = Content(puzzle, kinds)
        inked = _ink(photo, crossings, content, supplies, random)
        yield content, Shot(cv2.imencode(".png", inked)[1].tobytes(), 0)


def _ink(
    photo: Image,
    crossings: NDArray[np.float64],
    content: Content,
    supplies: Supplies,
    random: np.random.Generator,
) -> Image:
    """Return the photo with a content's digits written where the grid has room for them."""
    tall_cell, ink = 60, np.zeros(photo.shape, np.float32)
    hand = supplies.hands[int(random.integers(len(supplies.hands)))]
    tall = float(random.uniform(0.45, 0.75)) * tall_cell
    dark = float(random.uniform(0.4, 0.8))
    givens = format_grid(content.puzzle)
    for cell, kind in enumerate(content.kinds.tolist()):
        if kind == 0 or givens[cell] != ".":
            continue
        row, column = divmod(cell, 9)
        corners = crossings[[row, row, row + 1, row + 1], [column, column + 1, column + 1, column]]
        square = np.array([[0, 0], [60, 0], [60, 60], [0, 60]], np.float32)
        to_photo = cv2.getPerspectiveTransform(square, corners.astype(np.float32))
        page = np.ones((tall_cell, tall_cell), np.float32)
        glyph = hand(kind, random)
        middle = np.array([30.0, 30.0]) + random.normal(0, 3, 2)
        _write(page, glyph, middle, tall * float(random.uniform(0.88, 1.12)), random)
        laid = cv2.warpPerspective(1 - page, to_photo, photo.shape[::-1], flags=cv2.INTER_AREA)
        ink = np.maximum(ink, laid)
    soft = cv2.GaussianBlur(ink, (0, 0), 0.7)
    noise = random.normal(0, 1.0, photo.shape)
    return np.clip(photo * (1 - dark * soft) + noise * (soft > 0.05), 0, 255).astype(np.uint8)


def _write(
    page: NDArray[np.float32],
    glyph: NDArray[np.float32],
    middle: NDArray[np.float64],
    tall: float,
    random: np.random.Generator,
) -> None:
    scale = min(tall / glyph.shape[0], 50 / glyph.shape[1])
    rows, columns = glyph.shape
    turn = cv2.getRotationMatrix2D((columns / 2, rows / 2), float(random.normal(0, 5)), scale)
    turn[:, 2] += middle - (columns / 2, rows / 2)
    drawn = cv2.warpAffine(glyph, turn, page.shape[::-1], flags=cv2.INTER_LINEAR)
    page -= np.minimum(drawn, page)
