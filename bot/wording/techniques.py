"""The techniques by name, and the lessons: what each is called and how it works in general.

The first paragraph of a lesson is the reminder that the second rung of a hint gives, so it holds
no digit and no cell. Nothing here looks at a position.
"""

from __future__ import annotations

from functools import cache

from bot import assets

NAMES: dict[str, str] = {
    "last-digit": "last digit",
    "last-three": "last three",
    "hidden-single": "hidden single",
    "naked-single": "naked single",
    "pointing": "pointing",
    "claiming": "claiming",
    "locked-pair": "locked pair",
    "locked-triple": "locked triple",
    "naked-pair": "naked pair",
    "hidden-pair": "hidden pair",
    "naked-triple": "naked triple",
    "hidden-triple": "hidden triple",
    "naked-quad": "naked quad",
    "hidden-quad": "hidden quad",
}
"""What people call each technique; a test compares this table with the ladder."""


def technique_name(technique: str) -> str:
    """Return a technique's name for people: `naked-pair` gives `naked pair`."""
    return NAMES.get(technique, technique.replace("-", " "))


@cache
def lesson(technique: str) -> str:
    """Return the lesson's text. Raises FileNotFoundError where none is written."""
    return assets.path("lessons", f"{technique}.md").read_text(encoding="utf-8")


def reminder(technique: str) -> str:
    """Return the lesson's first paragraph, on one line."""
    for block in lesson(technique).split("\n\n"):
        if block.strip() and not block.lstrip().startswith("#"):
            return " ".join(block.split())
    raise ValueError(f"the lesson on {technique} has no first paragraph")
