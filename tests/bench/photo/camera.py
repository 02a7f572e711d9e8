"""A camera that photographs pages: turned, at a slant, bent, shaded, dim, shaken, compressed."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from tests.bench.photo.paper import Page


@dataclass(frozen=True, slots=True)
class Shot:
    """The bytes of a photo, and by how many degrees, clockwise, the page lies turned in it."""

    content: bytes
    turned: int


def photograph(
    page: Page,
    random: np.random.Generator,
    *,
    megapixels: float,
    harshness: float = 1.0,
    is_screen: bool = False,
) -> Shot:
    """Return a photo of a page as a JPEG."""
    long = float(np.sqrt(megapixels * 1e6 * 4 / 3))
    wide, high = round(long * 0.75), round(long)
    turns = int(random.choice([0, 0, 0, 0, 1, 2, 3]))
    photo = _see(page, (wide, high), turns, harshness, random)
    photo = _light(photo, harshness, random)
    if is_screen:
        photo = _shimmer(photo, random)
    photo = _shake(photo, harshness, random)
    colours = np.stack([photo * tint for tint in random.uniform(0.88, 1.0, 3)], axis=2)
    quality = int(random.integers(45, 93))
    grey = np.clip(colours, 0, 255).astype(np.uint8)
    packed = cv2.imencode(".jpg", grey, [cv2.IMWRITE_JPEG_QUALITY, quality])[1]
    return Shot(packed.tobytes(), turns * 90)


def _see(
    page: Page,
    size: tuple[int, int],
    turns: int,
    harshness: float,
    random: np.random.Generator,
) -> NDArray[np.float32]:
    """Return the page on a table, as seen from where the camera is held."""
    wide, high = size
    rows, columns = page.shape
    turn = np.radians(turns * 90 + float(random.normal(0, 5 * harshness)))
    part = float(random.uniform(0.72, 1.02))
    lying = turns % 2 == 1
    scale = part * min(wide / (rows if lying else columns), high / (columns if lying else rows))
    corners = np.array([[0, 0], [columns, 0], [columns, rows], [0, rows]], np.float64)
    middle = corners - (columns / 2, rows / 2)
    rotation = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
    seen = middle @ rotation.T * scale
    seen *= 1 + random.uniform(-0.07, 0.07, (4, 1)) * harshness
    seen += (wide / 2, high / 2) + random.normal(0, 0.02, 2) * (wide, high)
    back = cv2.getPerspectiveTransform(seen.astype(np.float32), corners.astype(np.float32))
    x, y = np.meshgrid(np.arange(wide, dtype=np.float32), np.arange(high, dtype=np.float32))
    bottom = back[2, 0] * x + back[2, 1] * y + back[2, 2]
    u = ((back[0, 0] * x + back[0, 1] * y + back[0, 2]) / bottom).astype(np.float32)
    v = ((back[1, 0] * x + back[1, 1] * y + back[1, 2]) / bottom).astype(np.float32)
    bend = random.normal(0, 10 * harshness, 2)
    phase, waves = random.uniform(0, 2 * np.pi, 2), random.uniform(0.4, 1.0, 2)
    moved_u = u + np.float32(bend[0]) * np.sin(np.pi * waves[0] * v / rows + phase[0])
    moved_v = v + np.float32(bend[1]) * np.sin(np.pi * waves[1] * u / columns + phase[1])
    if scale < 0.8:
        page = np.asarray(cv2.GaussianBlur(page, (0, 0), 0.4 / scale), np.float32)
    drawn = cv2.remap(
        page, moved_u.astype(np.float32), moved_v.astype(np.float32), cv2.INTER_LINEAR,
        borderMode=cv2.BORDER_CONSTANT, borderValue=-1,
    )  # fmt: skip
    table = _lay_table((high, wide), random)
    return np.where(drawn < 0, table, drawn).astype(np.float32)


def _lay_table(shape: tuple[int, int], random: np.random.Generator) -> NDArray[np.float32]:
    """Return a table: plain, grained or cluttered, darker or lighter than paper."""
    base = float(random.uniform(0.12, 0.85))
    grain = random.normal(0, float(random.uniform(0.02, 0.12)), (shape[0] // 8 + 1, 24))
    table = base + cv2.resize(grain.astype(np.float32), shape[::-1], interpolation=cv2.INTER_CUBIC)
    for _ in range(int(random.integers(0, 5))):
        x, y = int(random.integers(shape[1])), int(random.integers(shape[0]))
        far = random.integers(shape[1] // 12, shape[1] // 3, 2)
        tone = float(random.uniform(0.05, 0.95))
        cv2.rectangle(table, (x, y), (x + int(far[0]), y + int(far[1])), tone, -1)
    return np.asarray(table, np.float32)


def _light(
    photo: NDArray[np.float32], harshness: float, random: np.random.Generator
) -> NDArray[np.float32]:
    """Light a photo: dimly or brightly, from one side, with the shadow of a hand at times."""
    high, wide = photo.shape
    x = np.linspace(-1, 1, wide, dtype=np.float32)[None, :]
    y = np.linspace(-1, 1, high, dtype=np.float32)[:, None]
    slope = random.normal(0, 0.15 * harshness, 2)
    light = 1 + np.float32(slope[0]) * x + np.float32(slope[1]) * y
    light = light - np.float32(random.uniform(0, 0.2)) * (x * x + y * y)
    if random.random() < 0.45:
        angle, edge = float(random.uniform(0, 2 * np.pi)), float(random.normal(0, 0.4))
        off = np.float32(np.cos(angle)) * x + np.float32(np.sin(angle)) * y - np.float32(edge)
        soft = np.float32(random.uniform(0.03, 0.3))
        shadow = np.float32(random.uniform(0.1, 0.45) * min(harshness, 1.5))
        light = light * (1 - shadow / (1 + np.exp(np.clip(-off / soft, -30, 30))))
    bright = float(random.uniform(70, 245))
    return np.asarray(photo * np.clip(light, 0.15, 1.4) * bright, np.float32)


def _shimmer(photo: NDArray[np.float32], random: np.random.Generator) -> NDArray[np.float32]:
    """Add what a screen's own dots do to a photo of it."""
    high, wide = photo.shape
    x = np.arange(wide, dtype=np.float32)[None, :]
    y = np.arange(high, dtype=np.float32)[:, None]
    angle, long = float(random.uniform(0, np.pi)), float(random.uniform(2.5, 12))
    waves = np.sin((np.cos(angle) * x + np.sin(angle) * y).astype(np.float32) * (2 * np.pi / long))
    return np.asarray(photo * (1 + float(random.uniform(0.01, 0.07)) * waves) + 6, np.float32)


def _shake(
    photo: NDArray[np.float32], harshness: float, random: np.random.Generator
) -> NDArray[np.float32]:
    """Blur a photo as an unsteady or ill-focused camera does, and add a sensor's noise."""
    fine = max(photo.shape) / 1600
    blurred = cv2.GaussianBlur(
        photo, (0, 0), 0.4 + float(random.uniform(0, 1.3)) * fine * harshness
    )
    if random.random() < 0.25:
        long = max(round(float(random.uniform(2, 6)) * fine * harshness), 2)
        angle = float(random.uniform(0, np.pi))
        kernel = np.zeros((2 * long + 1, 2 * long + 1), np.float32)
        far = (long * np.cos(angle), long * np.sin(angle))
        ends = [
            (round(long - far[0]), round(long - far[1])),
            (round(long + far[0]), round(long + far[1])),
        ]
        cv2.line(kernel, ends[0], ends[1], 1.0)
        blurred = cv2.filter2D(blurred, -1, kernel / kernel.sum())
    noise = random.standard_normal(photo.shape, dtype=np.float32)
    return np.asarray(blurred + noise * float(random.uniform(1, 7)), np.float32)
