"""The techniques that puzzles can turn on, as leaders name them, and the levels that they reach."""

from __future__ import annotations

from engine import LADDER

HIGHEST_LEVEL = max(technique.level for technique in LADDER)
THEMES = tuple(technique.id for technique in LADDER if not technique.is_shortcut)
"""Techniques that a puzzle can need."""

NO_THEME = "none"


def read_theme(text: str) -> str:
    """Return a technique's id, `none` for no theme. Raises ValueError for what can be no theme."""
    theme = "-".join(text.lower().replace("_", " ").replace("-", " ").split())
    if theme in (NO_THEME, "no", "off"):
        return NO_THEME
    if theme not in THEMES:
        theme = theme.removesuffix("s")
    if theme not in THEMES:
        raise ValueError(text)
    return theme
