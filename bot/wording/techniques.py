"""The techniques by name, and the lessons: what each is called and how it works in general.

The first paragraph of a lesson is the reminder that the second rung of a hint gives, so it holds
no digit and no cell. Nothing here looks at a position.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
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
    "x-wing": "X-wing",
    "swordfish": "swordfish",
    "jellyfish": "jellyfish",
    "skyscraper": "skyscraper",
    "two-string-kite": "two-string kite",
    "turbot-fish": "turbot fish",
    "empty-rectangle": "empty rectangle",
    "xy-wing": "XY-wing",
    "xyz-wing": "XYZ-wing",
    "w-wing": "W-wing",
    "finned-x-wing": "finned X-wing",
    "finned-swordfish": "finned swordfish",
    "finned-jellyfish": "finned jellyfish",
    "simple-colouring": "simple colouring",
    "two-cluster-colouring": "two-cluster colouring",
    "remote-pair": "remote pair",
    "unique-rectangle": "unique rectangle",
    "hidden-rectangle": "hidden rectangle",
    "bug-plus-one": "BUG plus one",
    "x-chain": "X-chain",
    "xy-chain": "XY-chain",
    "als-xz": "ALS-XZ",
    "long-xy-chain": "long XY-chain",
    "large-als-xz": "large ALS-XZ",
    "alternating-inference-chain": "alternating inference chain",
    "cell-forcing-chain": "cell forcing chain",
    "house-forcing-chain": "house forcing chain",
    "traced-contradiction": "traced contradiction",
}
"""What people call each technique; a test compares this table with the ladder."""


VARIANTS: dict[str, str] = {
    "sashimi": "sashimi",
    "sees-both-colours": "sees both colours",
    "meets-its-own-colour": "meets its own colour",
    "meets-both-colours": "meets both colours",
    "continuous-loop": "continuous loop",
    "type-1": "type 1",
    "type-2": "type 2",
    "type-3": "type 3",
    "type-4": "type 4",
    "type-6": "type 6",
}
"""What people call the kinds of a technique."""


def kind_name(technique: str, variant: str) -> str:
    """Return the name with the kind where there is one: `unique rectangle, type 1`."""
    kind = VARIANTS.get(variant, variant.replace("-", " "))
    return f"{technique_name(technique)}, {kind}" if kind else technique_name(technique)


def technique_name(technique: str) -> str:
    """Return a technique's name for people: `naked-pair` gives `naked pair`."""
    return NAMES.get(technique, technique.replace("-", " "))


@cache
def lesson(technique: str) -> str:
    """Return the lesson's text. Raises FileNotFoundError where none is written."""
    return assets.path("lessons", f"{technique}.md").read_text(encoding="utf-8")


@dataclass(frozen=True, slots=True)
class Lesson:
    """The parts of a lesson, each on one line; `drawn` is the worked position as lines of text."""

    reminder: str
    spotting: str
    drawn: str
    worked: str
    slip: str


_LESSON = re.compile(
    r"# [^\n]+\n\n(?P<reminder>.+?)\n\n## How to spot it\n\n(?P<spotting>.+?)"
    r"\n\n## A worked position\n\n```\n(?P<drawn>.+?)\n```\n\n(?P<worked>.+?)"
    r"\n\n## A common slip\n\n(?P<slip>.+?)\n*",
    re.DOTALL,
)


@cache
def read_lesson(technique: str) -> Lesson:
    """Return a lesson by its parts. Raises ValueError where one is missing."""
    found = _LESSON.fullmatch(lesson(technique))
    if found is None:
        raise ValueError(f"the lesson on {technique} lacks a part")
    parts = {name: " ".join(text.split()) for name, text in found.groupdict().items()}
    return Lesson(**(parts | {"drawn": found["drawn"]}))


def reminder(technique: str) -> str:
    """Return the lesson's first paragraph, on one line."""
    return read_lesson(technique).reminder
