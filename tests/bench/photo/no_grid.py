"""Pictures without a grid: real ones, parts of them, and what comes near a grid but is none."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray

from bot.photo.cells import Image
from tests.bench.photo.hands import Supplies
from tests.bench.photo.paper import put
from tests.bench.photo.samples import FIRST_SEED

EXAMPLES = Path("/usr/share/doc/opencv-doc/examples/data")
"""Where Debian's package `opencv-doc` puts its pictures."""

GRIDS = {"sudoku.png"}


def find_pictures(count: int, supplies: Supplies) -> Iterator[tuple[str, bytes]]:
    """Yield so many pictures, each with its kind: whole ones first, then parts and drawings."""
    files = sorted(each for each in EXAMPLES.glob("*.[jp][pn]g") if each.name not in GRIDS)
    yield from (("real", each.read_bytes()) for each in files[:count])
    for number in range(len(files), count):
        random = np.random.default_rng(FIRST_SEED * 2 + number)
        if files and number % 2:
            picture = _part(files[int(random.integers(len(files)))], random)
            yield "part", _pack(picture, random)
        else:
            way = number // 2 % len(_DRAWINGS)
            yield _DRAWINGS[way].__name__, _pack(_DRAWINGS[way](supplies, random), random)


def _pack(picture: Image, random: np.random.Generator) -> bytes:
    quality = [cv2.IMWRITE_JPEG_QUALITY, int(random.integers(50, 95))]
    return cv2.imencode(".jpg", picture, quality)[1].tobytes()


def _part(file: Path, random: np.random.Generator) -> Image:
    picture = cv2.imread(str(file), cv2.IMREAD_GRAYSCALE)
    assert picture is not None
    high, wide = picture.shape
    top, left = (int(random.integers(0, max(side // 3, 1))) for side in (high, wide))
    part = picture[top : top + max(high * 2 // 3, 1), left : left + max(wide * 2 // 3, 1)]
    scale = float(random.uniform(500, 1400)) / max(part.shape)
    part = np.asarray(cv2.resize(part, None, fx=scale, fy=scale), np.uint8)
    return np.asarray(np.rot90(part, int(random.integers(4))), np.uint8)


def _paper(random: np.random.Generator) -> NDArray[np.float32]:
    return np.full((900, 700), float(random.uniform(0.6, 0.97)), np.float32)


def _finish(page: NDArray[np.float32], random: np.random.Generator) -> Image:
    angle = float(random.normal(0, 6))
    turn = cv2.getRotationMatrix2D((page.shape[1] / 2, page.shape[0] / 2), angle, 0.95)
    turned = cv2.warpAffine(page, turn, page.shape[::-1], borderMode=cv2.BORDER_REPLICATE)
    noisy = turned * 250 + random.normal(0, 4, page.shape)
    return np.clip(noisy, 0, 255).astype(np.uint8)


def _rule(page: NDArray[np.float32], rows: int, columns: int, cell: tuple[int, int]) -> None:
    high, wide = rows * cell[0], columns * cell[1]
    page[50 : 52 + high : cell[0], 50 : 52 + wide] = 0.2
    page[50 : 52 + high, 50 : 52 + wide : cell[1]] = 0.2


def empty_table(supplies: Supplies, random: np.random.Generator) -> Image:
    """Draw a table of nine by nine, or of another size, with nothing in it."""
    page = _paper(random)
    size = int(random.integers(5, 13))
    _rule(page, size, size, (600 // size, 600 // size))
    return _finish(page, random)


def calendar(supplies: Supplies, random: np.random.Generator) -> Image:
    """Draw a month: seven columns, one number after the other."""
    page = _paper(random)
    _rule(page, 5, 7, (110, 84))
    printer = supplies.printers[int(random.integers(len(supplies.printers)))]
    for day in range(1, 32):
        row, column = divmod(day + 1, 7)
        for place, mark in enumerate(f"{day}".replace("0", "8")):
            middle = np.array([50 + column * 84 + 30 + 22 * place, 50 + row * 110 + 50])
            put(page, printer(int(mark), random), middle, 30, 0, 0.85)
    return _finish(page, random)


def crossword(supplies: Supplies, random: np.random.Generator) -> Image:
    """Draw a square of black and white cells."""
    page = _paper(random)
    size = int(random.integers(8, 14))
    cell = 600 // size
    _rule(page, size, size, (cell, cell))
    for row in range(size):
        for column in range(size):
            if random.random() < 0.25:
                page[50 + row * cell : 50 + (row + 1) * cell, 50 + column * cell :][:, :cell] = 0.1
    return _finish(page, random)


def board(supplies: Supplies, random: np.random.Generator) -> Image:
    """Draw a board of squares, dark and light."""
    size = int(random.choice([6, 8, 9, 10]))
    squares = np.kron(np.indices((size, size)).sum(axis=0) % 2, np.ones((70, 70)))
    page = cv2.copyMakeBorder(
        squares.astype(np.float32) * 0.7 + 0.15, 60, 60, 60, 60, cv2.BORDER_CONSTANT, value=0.9
    )
    return _finish(np.asarray(page, np.float32), random)


def text(supplies: Supplies, random: np.random.Generator) -> Image:
    """Draw a page of numbers in lines, without any rule."""
    page = _paper(random)
    printer = supplies.printers[int(random.integers(len(supplies.printers)))]
    tall = float(random.uniform(14, 34))
    for y in np.arange(60, 860, tall * 1.8):
        for x in np.arange(60, 640, tall * 0.8):
            if random.random() < 0.85:
                digit = int(random.integers(1, 10))
                put(page, printer(digit, random), np.array([x, y]), tall, 0, 0.85)
    return _finish(page, random)


def sums(supplies: Supplies, random: np.random.Generator) -> Image:
    """Draw a table full of numbers with several digits each."""
    page = _paper(random)
    rows, columns = int(random.integers(7, 12)), int(random.integers(5, 9))
    cell = (780 // rows, 600 // columns)
    _rule(page, rows, columns, cell)
    printer = supplies.printers[int(random.integers(len(supplies.printers)))]
    for row in range(rows):
        for column in range(columns):
            for place in range(3):
                at = [50 + (column + 0.25 + 0.25 * place) * cell[1], 50 + (row + 0.5) * cell[0]]
                digit = int(random.integers(1, 10))
                put(page, printer(digit, random), np.array(at), cell[0] * 0.35, 0, 0.85)
    return _finish(page, random)


def noise(supplies: Supplies, random: np.random.Generator) -> Image:
    """Draw cloth or clouds."""
    rough = random.uniform(0, 1, (700, 700)).astype(np.float32)
    soft = cv2.GaussianBlur(rough, (0, 0), float(random.uniform(0.5, 12)))
    low, high = float(soft.min()), float(soft.max())
    return _finish(np.asarray((soft - low) / (high - low), np.float32), random)


_DRAWINGS = (empty_table, calendar, crossword, board, text, sums, noise)
