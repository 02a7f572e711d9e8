"""The techniques that puzzles can turn on, as leaders name them, and the levels that they reach."""

from __future__ import annotations

from engine import LADDER

HIGHEST_LEVEL = max(technique.level for technique in LADDER)
THEMES = tuple(technique.id for technique in LADDER if not technique.is_shortcut)
"""Techniques that a puzzle can need."""
_SHORTCUTS = frozenset(technique.id for technique in LADDER if technique.is_shortcut)

NO_THEME = "none"


class NeverNeededError(ValueError):
    """A technique of the ladder that no puzzle needs: whatever it places, others place too."""

    def __init__(self, technique: str) -> None:
        super().__init__(technique)
        self.technique = technique


def read_theme(text: str) -> str:
    """Return a technique's id, `none` for no theme. Raises ValueError for what can be no theme, as
    NeverNeededError where that is a technique."""
    theme = "-".join(text.lower().replace("_", " ").replace("-", " ").split())
    if theme in (NO_THEME, "no", "off"):
        return NO_THEME
    for each in (theme, theme.removesuffix("s")):
        if each in THEMES:
            return each
        if each in _SHORTCUTS:
            raise NeverNeededError(each)
    raise ValueError(text)
