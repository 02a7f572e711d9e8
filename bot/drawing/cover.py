"""The cover of a sealed day: the emblem, the club's name, the date and the level.

The emblem is a flower head of the ninebark: nine florets on stalks, and two leaves. Nothing of
the puzzle is known here, so nothing of it can show.
"""

from __future__ import annotations

from bot.club.facts import CoverPicture
from bot.drawing.canvas import Canvas
from bot.drawing.fonts import Face, fitted
from bot.drawing.geometry import Rect
from bot.drawing.shapes import disc_shape, florets_shape, stalks_shape
from bot.drawing.theme import Look, Paint, Use
from bot.wording import labels

WIDTH, HEIGHT = 720, 540
_FLORET = 62
_EMBLEM = (300, 270)
_HEADS = (
    (118, 38), (182, 38),
    (86, 88), (150, 80), (214, 88),
    (54, 142), (118, 134), (182, 134), (246, 142),
)  # fmt: skip
"""The middles of the nine florets, inside the emblem."""


def draw_cover_picture(picture: CoverPicture, look: Look) -> Canvas:
    """Draw what stands for a sealed day's puzzle: no cell of it."""
    canvas = Canvas(WIDTH, HEIGHT, look)
    canvas.frame(Rect(14, 14, WIDTH - 14, HEIGHT - 14), Paint.INK, 6)
    canvas.frame(Rect(26, 26, WIDTH - 26, HEIGHT - 26), Paint.THIN, 2)
    draw_emblem(canvas, (WIDTH - _EMBLEM[0]) // 2, 48)
    middle = WIDTH // 2
    club = fitted(picture.club, Face.HEAVY, 44, WIDTH - 120)
    canvas.text(club, middle, 362, Paint.INK, face=Face.HEAVY, size=44, align="middle")
    day = labels.format_weekday_date(picture.date)
    canvas.text(day, middle, 418, Paint.INK, size=30, align="middle")
    level = labels.format_level(picture.level)
    canvas.text(level, middle, 466, Paint.SOFT, size=30, align="middle")
    return canvas


def draw_emblem(canvas: Canvas, left: int, top: int) -> None:
    """Draw the flowers of the emblem, `left` and `top` in pixels."""
    stalks = stalks_shape(*_EMBLEM, _HEADS)
    canvas.shape(stalks, left, top, Paint.LEAF, Use.GRAPHIC)
    florets = florets_shape(*_EMBLEM, _HEADS, _FLORET)
    canvas.shape(florets, left, top, Paint.FLORET, Use.GRAPHIC)
    heart = disc_shape(12)
    for x, y in _HEADS:
        canvas.shape(heart, left + x - 6, top + y - 6, Paint.FLORET_HEART, Use.GRAPHIC)
