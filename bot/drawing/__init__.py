"""Pictures from facts: `draw` turns whatever the club wants shown into the bytes of a PNG, and
`draw_sheet` what it wants printed into a PDF.

Nothing is decided here and nothing is read but the facts and the shipped fonts, so the same facts
give the same bytes. Safe to call from several threads at once.
"""

from __future__ import annotations

from bot.club.facts import (
    CoverPicture,
    GridPicture,
    HintPicture,
    Picturable,
    SkillsPicture,
)
from bot.drawing.canvas import Canvas
from bot.drawing.cover import draw_cover_picture
from bot.drawing.grid import draw_grid_picture
from bot.drawing.hint import draw_hint_picture
from bot.drawing.pen import can_print
from bot.drawing.png import encode
from bot.drawing.screen import Size, lay_out
from bot.drawing.sheets import draw_sheet, letters_lacking
from bot.drawing.skills import draw_skills_picture
from bot.drawing.table import draw_table_picture
from bot.drawing.theme import Look

__all__ = [
    "Look",
    "can_print",
    "draw",
    "draw_canvas",
    "draw_frame",
    "draw_sheet",
    "letters_lacking",
]


def draw(picture: Picturable, look: Look) -> bytes:
    """Return the PNG of a picture in one look."""
    return encode(draw_canvas(picture, look))


def draw_frame(picture: Picturable, look: Look, words: tuple[str, str], size: Size) -> bytes:
    """Return the PNG of a picture for a big screen, with a title and a text beside it."""
    return lay_out(draw_canvas(picture, look), *words, size)


def draw_canvas(picture: Picturable, look: Look) -> Canvas:
    """Return the canvas of a picture, which also knows the pairs of paints that it drew."""
    if isinstance(picture, GridPicture):
        return draw_grid_picture(picture, look)
    if isinstance(picture, HintPicture):
        return draw_hint_picture(picture, look)
    if isinstance(picture, CoverPicture):
        return draw_cover_picture(picture, look)
    if isinstance(picture, SkillsPicture):
        return draw_skills_picture(picture, look)
    return draw_table_picture(picture, look)
