"""The picture of how a member stands with the techniques that they practise: a bar each.

A bar is as long as positions were met, and filled as far as they were found alone. Past `MOST_BARS`
the picture only says how many more there are.
"""

from __future__ import annotations

from bot.club.facts import SkillFacts, SkillsPicture
from bot.drawing.canvas import Canvas
from bot.drawing.fonts import Face, fitted
from bot.drawing.geometry import Rect
from bot.drawing.theme import Look, Paint
from bot.wording import labels

MOST_BARS = 25
WIDTH = 640
_EDGE, _ROW, _HEAD, _FOOT = 24, 40, 76, 16
_TITLE_SIZE, _SIZE, _SMALL = 30, 22, 18
_NAME_WIDTH = 250
_BAR_LEFT, _BAR_WIDTH, _BAR_HEIGHT = 282, 150, 18
_DUE_RIGHT = WIDTH - _EDGE
_TOLD_LEFT = _BAR_LEFT + _BAR_WIDTH + 14


def draw_skills_picture(picture: SkillsPicture, look: Look) -> Canvas:
    """Draw a bar for each technique: MOST_BARS at most, the others counted below."""
    shown, left = picture.skills[:MOST_BARS], len(picture.skills) - MOST_BARS
    canvas = Canvas(WIDTH, _HEAD + _ROW * (len(shown) + (left > 0)) + _FOOT, look)
    canvas.text(labels.PRACTICE, _EDGE, 38, Paint.INK, face=Face.HEAVY, size=_TITLE_SIZE)
    longest = max((skill.met for skill in shown), default=1)
    for index, skill in enumerate(shown):
        _draw_bar(canvas, skill, _HEAD + index * _ROW + _ROW // 2, longest)
    if left > 0:
        y = _HEAD + len(shown) * _ROW + _ROW // 2
        canvas.text(labels.format_more(left), _EDGE, y, Paint.SOFT, size=_SIZE)
    return canvas


def _draw_bar(canvas: Canvas, skill: SkillFacts, y: int, longest: int) -> None:
    name = fitted(labels.format_technique(skill.technique), Face.MEDIUM, _SIZE, _NAME_WIDTH)
    canvas.text(name, _EDGE, y, Paint.INK, size=_SIZE)
    unit, top = _BAR_WIDTH / max(longest, 1), y - _BAR_HEIGHT // 2
    right, filled = (round(_BAR_LEFT + unit * count) for count in (skill.met, skill.alone))
    whole = Rect(_BAR_LEFT, top, max(right, _BAR_LEFT + 6), top + _BAR_HEIGHT)
    canvas.frame(whole, Paint.INK, 2)
    if skill.alone:
        canvas.line(Rect(_BAR_LEFT, top, filled, top + _BAR_HEIGHT), Paint.INK)
    canvas.text(labels.format_alone(skill), _TOLD_LEFT, y, Paint.SOFT, size=_SMALL)
    if skill.is_due:
        canvas.text(
            labels.DUE, _DUE_RIGHT, y, Paint.INK, face=Face.HEAVY, size=_SMALL, align="right"
        )
