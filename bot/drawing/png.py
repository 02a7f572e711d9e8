"""A canvas as the bytes of a PNG: one byte a pixel and a fixed palette, so small and quick."""

from __future__ import annotations

from io import BytesIO

from bot.drawing.canvas import Canvas
from bot.drawing.theme import theme_of

_COMPRESSION = 6


def encode(canvas: Canvas) -> bytes:
    """Return the PNG of a canvas; the same pixels always give the same bytes."""
    sheet = canvas.image.copy()
    sheet.putpalette(theme_of(canvas.look).palette)
    target = BytesIO()
    sheet.save(target, "PNG", compress_level=_COMPRESSION)
    return target.getvalue()
