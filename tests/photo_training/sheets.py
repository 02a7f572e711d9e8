"""Sheets to train on: a grid of cells, each with a label, as the straightener would hand it on.

A sheet is drawn with one printer and one writer, gets the faults of a photo (blur, noise, shade,
compression, a grid found not quite where it is), and is cut by the very code that cuts photos.
"""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from bot.photo.cells import Ink, find_ink, flatten, split
from bot.photo.network import BLANK, MARKS, STRUCK
from tests.photo_training.glyphs import Glyph, Glyphs, bend, thicken
from tests.photo_training.strokes import write

SIZE = 9
MARGIN = 0.6
"""So many cells of paper lie around the grid."""


@dataclass(frozen=True, slots=True)
class Sources:
    """What digits are drawn from."""

    printed: list[Glyphs]
    written: list[Glyphs]
    mnist: Glyphs


class Writer:
    """One hand, or one printer: how large, dark and slanted it writes, and from what source."""

    def __init__(self, sources: Sources, random: np.random.Generator, *, prints: bool) -> None:
        self._random = random
        self.prints = prints
        chosen = random.random()
        self._source: Glyphs | None
        if prints:
            self._source = sources.printed[int(random.integers(len(sources.printed)))]
        elif chosen < 0.6:
            self._source = sources.mnist
        elif chosen < 0.8:
            self._source = sources.written[int(random.integers(len(sources.written)))]
        else:
            self._source = None
        self.tall = float(random.uniform(0.42, 0.74) if prints else random.uniform(0.4, 0.85))
        pencil = not prints and random.random() < 0.4
        self.dark = float(random.uniform(0.22, 0.6) if pencil else random.uniform(0.5, 1))
        self._grain = float(random.uniform(0.1, 0.45)) if pencil else 0.0
        self._slant = float(random.normal(0, 0.02 if prints else 0.14))
        self._wide = float(random.uniform(0.9, 1.1) if prints else random.uniform(0.75, 1.3))
        self._loose = 0.01 if prints else float(random.uniform(0.02, 0.09))
        self._pen = int(random.integers(-1, 2)) if prints else int(random.integers(-2, 4))

    def put(
        self, page: NDArray[np.float32], digit: int, at: tuple[float, float], tall: float
    ) -> None:
        """Write a digit, `tall` pixels high, with its middle near `at`."""
        random = self._random
        glyph = write(digit, random) if self._source is None else self._source.pick(digit, random)
        if self.prints:
            glyph = thicken(glyph, self._pen)
        else:
            is_fine = max(glyph.shape) > 40
            if not is_fine:
                glyph = np.asarray(cv2.resize(glyph, None, fx=3, fy=3), np.float32)
            glyph = thicken(glyph, self._pen * (2 if is_fine else 1))
            if random.random() < 0.7:
                glyph = bend(glyph, random)
            tall *= float(random.uniform(0.8, 1.12))
        turn = 0 if self.prints else float(random.normal(0, 0.08))
        scale = tall / glyph.shape[0]
        wide = self._wide if self.prints else self._wide * float(random.uniform(0.9, 1.1))
        x, y = (each + float(random.normal(0, self._loose)) * tall for each in at)
        paste(page, glyph, (x, y), (scale * wide, scale), (turn, self._slant), self.dark)
        if self._grain:
            top, left = max(int(y - tall), 0), max(int(x - tall), 0)
            part = page[top : int(y + tall), left : int(x + tall)]
            part *= 1 - self._grain * random.random(part.shape, dtype=np.float32)


def paste(
    page: NDArray[np.float32],
    glyph: Glyph,
    at: tuple[float, float],
    scale: tuple[float, float],
    bent: tuple[float, float],
    dark: float,
) -> None:
    """Draw a glyph with its middle at a place of a page; `bent` is its turn and its slant."""
    turn, slant = bent
    cos, sin = np.cos(turn), np.sin(turn)
    matrix = np.array([[cos, -sin], [sin, cos]]) @ np.array([[1, -slant], [0, 1]])
    matrix = matrix @ np.diag(scale)
    reach = int(max(glyph.shape[0] * scale[1], glyph.shape[1] * scale[0]) * 0.8) + 3
    left, top = int(at[0]) - reach, int(at[1]) - reach
    rows, columns = glyph.shape
    shift = np.array([at[0] - left, at[1] - top]) - matrix @ np.array([columns / 2, rows / 2])
    drawn = cv2.warpAffine(
        glyph if scale[1] > 0.6 else np.asarray(cv2.blur(glyph, (3, 3)), np.float32),
        np.hstack([matrix, shift[:, None]]),
        (2 * reach, 2 * reach),
        flags=cv2.INTER_LINEAR,
    )
    y0, x0 = max(top, 0), max(left, 0)
    y1, x1 = min(top + 2 * reach, page.shape[0]), min(left + 2 * reach, page.shape[1])
    if y1 > y0 and x1 > x0:
        part = page[y0:y1, x0:x1]
        shown = np.asarray(drawn)[y0 - top : y1 - top, x0 - left : x1 - left] * dark
        np.maximum(part, shown, out=part)


def draw_sheet(sources: Sources, random: np.random.Generator) -> tuple[Ink, NDArray[np.uint8]]:
    """Return the cells of a new sheet, and their labels."""
    cell = float(random.uniform(22, 58))
    side = int(cell * (SIZE + 2 * MARGIN))
    page = np.zeros((side, side), np.float32)
    start = MARGIN * cell
    labels = _fill(page, start, cell, sources, random)
    corners = _rule(page, start, cell, random)
    photo = _photograph(page, cell, random)
    found = corners + random.normal(0, float(random.uniform(0, 0.025)) * cell, corners.shape)
    found += random.normal(0, 0.015 * cell, 2)
    flat = flatten(photo, found.astype(np.float32))
    return split(find_ink(flat, SIZE), SIZE), labels


def _fill(
    page: NDArray[np.float32],
    start: float,
    cell: float,
    sources: Sources,
    random: np.random.Generator,
) -> NDArray[np.uint8]:
    printer, hand = (Writer(sources, random, prints=prints) for prints in (True, False))
    marker = Writer(sources, random, prints=random.random() < 0.3)
    share = float(random.uniform(0.1, 0.4))
    labels = np.zeros(SIZE * SIZE, np.uint8)
    for index in range(SIZE * SIZE):
        row, column = divmod(index, SIZE)
        left, top = start + column * cell, start + row * cell
        middle = (left + cell / 2, top + cell / 2)
        kind = random.random()
        if kind < 0.1:
            labels[index] = BLANK
            _smudge(page, middle, cell, random)
        elif kind < 0.2:
            labels[index] = MARKS
            put_marks(page, (left, top), cell, marker, random)
        elif kind < 0.3:
            labels[index] = STRUCK
            hand.put(page, int(random.integers(1, 10)), middle, hand.tall * cell)
            strike(page, middle, hand.tall * cell, hand.dark, random)
        else:
            digit = int(random.integers(1, 10))
            labels[index] = digit
            writer = printer if random.random() < share else hand
            if writer is hand and random.random() < 0.12:
                put_marks(page, (left, top), cell, marker, random, few=True)
                page[int(top) : int(top + cell), int(left) : int(left + cell)] *= 0.6
            writer.put(page, digit, middle, writer.tall * cell)
    return labels


def put_marks(
    page: NDArray[np.float32],
    corner: tuple[float, float],
    cell: float,
    writer: Writer,
    random: np.random.Generator,
    *,
    few: bool = False,
) -> None:
    """Write small digits in a cell: each in its own ninth, or in a line at an edge."""
    count = int(random.integers(1, 4 if few else 7))
    digits = np.sort(random.permutation(9)[:count]) + 1
    tall = cell * float(random.uniform(0.17, 0.27 if count > 2 else 0.31))
    left, top = corner
    if random.random() < 0.55:
        for digit in digits:
            row, column = divmod(int(digit) - 1, 3)
            at = (left + cell * (0.2 + 0.3 * column), top + cell * (0.2 + 0.3 * row))
            writer.put(page, int(digit), at, min(tall, cell * 0.26))
        return
    y = top + cell * float(random.choice([0.22, 0.22, 0.78]))
    step = tall * float(random.uniform(0.75, 1.0))
    x = left + cell * 0.12 + tall * 0.3
    if random.random() < 0.3:
        x = left + cell * 0.9 - step * (count - 1) - tall * 0.2
    for digit in digits:
        if x > left + cell * 0.92:
            x, y = left + cell * 0.12 + tall * 0.3, y + tall * 1.2
        writer.put(page, int(digit), (x, y), tall)
        x += step


def strike(
    page: NDArray[np.float32],
    middle: tuple[float, float],
    tall: float,
    dark: float,
    random: np.random.Generator,
) -> None:
    """Strike a digit out: by a line, a cross, two lines or a scribble."""
    way = random.random()
    half = tall * float(random.uniform(0.5, 0.68))
    at = np.array(middle)
    paths = []
    if way < 0.3:
        paths = [
            [(-0.9, 0.9), (0.9, -0.9)] if random.random() < 0.6 else [(-0.9, -0.9), (0.9, 0.9)]
        ]
    elif way < 0.6:
        paths = [[(-0.8, 0.85), (0.8, -0.85)], [(-0.8, -0.85), (0.8, 0.85)]]
    elif way < 0.75:
        paths = [[(-1, -0.2), (1, -0.25)], [(-1, 0.2), (1, 0.15)]]
    else:
        turns = int(random.integers(5, 10))
        paths = [[(-0.8 + 1.6 * i / turns, -0.8 if i % 2 else 0.8) for i in range(turns + 1)]]
        if random.random() < 0.5:
            paths = [[(y, x) for x, y in paths[0]]]
    pen = max(round(tall * float(random.uniform(0.04, 0.11))), 1)
    layer = np.zeros(page.shape, np.uint8)
    for path in paths:
        points = at + half * (np.array(path) + random.normal(0, 0.12, (len(path), 2)))
        drawn = np.round(points * 8).astype(np.int32)
        cv2.polylines(layer, [drawn], False, 255, pen, cv2.LINE_AA, shift=3)
    np.maximum(page, layer.astype(np.float32) * (dark / 255), out=page)


def _smudge(
    page: NDArray[np.float32],
    middle: tuple[float, float],
    cell: float,
    random: np.random.Generator,
) -> None:
    """Leave in an empty cell what papers have: mostly nothing."""
    if random.random() < 0.8:
        return
    x, y = (round(each + float(random.normal(0, 0.2)) * cell) for each in middle)
    layer = np.zeros(page.shape, np.uint8)
    if random.random() < 0.4:
        cv2.circle(layer, (x, y), max(round(cell * 0.03), 1), 255, -1, cv2.LINE_AA)
        dark = 0.7
    else:
        angle = float(random.uniform(0, 3.14))
        far = cell * float(random.uniform(0.1, 0.3))
        end = (round(x + far * np.cos(angle)), round(y + far * np.sin(angle)))
        cv2.line(layer, (x, y), end, 255, max(round(cell * 0.15), 1), cv2.LINE_AA)
        layer = np.asarray(cv2.GaussianBlur(layer, (0, 0), cell * 0.06), np.uint8)
        dark = float(random.uniform(0.05, 0.2))
    np.maximum(page, layer.astype(np.float32) * (dark / 255), out=page)


def _rule(
    page: NDArray[np.float32], start: float, cell: float, random: np.random.Generator
) -> NDArray[np.float64]:
    """Rule the grid, by a printer or by hand, and return where its lines cross."""
    by_hand = random.random() < 0.35
    at = np.arange(SIZE + 1) * cell + start
    x, y = np.meshgrid(at, at)
    corners = np.stack([x, y], axis=2)
    if by_hand:
        corners = corners + random.normal(0, 0.03 * cell, corners.shape)
    dark = float(random.uniform(0.35, 1))
    thin_dark = dark * float(random.uniform(0.35, 1))
    thin = float(random.uniform(0.02, 0.055)) * cell
    thick = thin * float(random.uniform(1, 3.2))
    box = int(random.choice([3, 3, 3, 2]))
    layers = (np.zeros(page.shape, np.uint8), np.zeros(page.shape, np.uint8))
    for number in range(SIZE + 1):
        is_thick = number % 3 == 0 if box == 3 else number % 2 == 0
        for path in (corners[number], corners[:, number]):
            points = np.round(path * 8).astype(np.int32)
            pen = max(round(thick if is_thick else thin), 1)
            layer = layers[0 if is_thick else 1]
            cv2.polylines(layer, [points], False, 255, pen, cv2.LINE_AA, shift=3)
    for layer, darkness in zip(layers, (dark, thin_dark), strict=True):
        np.maximum(page, layer.astype(np.float32) * (darkness / 255), out=page)
    return corners


def _photograph(
    page: NDArray[np.float32], cell: float, random: np.random.Generator
) -> NDArray[np.uint8]:
    """Return a page as a camera has it: shade, blur, noise, compression."""
    ink = page
    blur = float(random.uniform(0, 0.035)) * cell + 0.3
    ink = np.asarray(cv2.GaussianBlur(ink, (0, 0), blur), np.float32)
    if random.random() < 0.2:
        long = max(round(cell * float(random.uniform(0.03, 0.1))), 1)
        kernel = np.zeros((long, long), np.float32)
        kernel[long // 2 if random.random() < 0.5 else slice(None), :] = 1
        kernel = kernel if random.random() < 0.5 else kernel.T.copy()
        ink = np.asarray(cv2.filter2D(ink, -1, kernel / kernel.sum()), np.float32)
    contrast = float(random.uniform(0.45, 0.97))
    light = float(random.uniform(60, 250))
    slope = random.normal(0, 0.12, 2)
    ramp = np.linspace(-1, 1, page.shape[0], dtype=np.float32)
    shade = np.clip(1 + slope[0] * ramp[:, None] + slope[1] * ramp[None, :], 0.4, 1.3)
    photo = light * shade * (1 - contrast * ink)
    noise = float(random.uniform(0, 7)) * (1 if light > 120 else 0.6)
    photo = photo + random.standard_normal(page.shape, dtype=np.float32) * noise
    grey = np.clip(photo, 0, 255).astype(np.uint8)
    if random.random() < 0.5:
        quality = int(random.integers(25, 92))
        packed = cv2.imencode(".jpg", grey, [cv2.IMWRITE_JPEG_QUALITY, quality])[1]
        grey = np.asarray(cv2.imdecode(packed, cv2.IMREAD_GRAYSCALE), np.uint8)
    return grey
