"""The techniques by name, and the lessons: what each is called and how it works in general.

A lesson's title is the name. Its first paragraph is the reminder that the second rung of a hint
gives, so it holds no digit and no cell. Nothing here looks at a position.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache

from bot import assets
from engine import RANKS

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


def never_needed(technique: str) -> str:
    """Say why a technique can be nobody's theme."""
    return (
        f"No puzzle needs {technique_name(technique)}: whatever it places, a hidden or naked "
        "single places too. So it cannot be a theme."
    )


def kind_name(technique: str, variant: str) -> str:
    """Return the name with the kind where there is one: `unique rectangle, type 1`."""
    kind = VARIANTS.get(variant, variant.replace("-", " "))
    return f"{technique_name(technique)}, {kind}" if kind else technique_name(technique)


@cache
def technique_name(technique: str) -> str:
    """Return what people call a technique: its lesson's title, as it stands in a sentence.

    `naked-pair` gives `naked pair`, `x-wing` gives `X-wing`.
    """
    if technique not in RANKS:
        return technique.replace("-", " ")
    title = lesson(technique).partition("\n")[0].removeprefix("# ")
    is_letters = title[1] == "-" or title[1].isupper()
    return title if is_letters else title[0].lower() + title[1:]


def a_technique(technique: str) -> str:
    """Return the name with its article: `an X-wing`, `a naked pair`, plain `pointing`."""
    name = technique_name(technique)
    if technique in ("pointing", "claiming") or technique.endswith("-colouring"):
        return name
    letter = name[0].lower()
    is_vowel = letter in "aeio" or (name[1:2] == "-" and letter in "x") or name.startswith("XY")
    return f"{'an' if is_vowel else 'a'} {name}"


@cache
def lesson(technique: str) -> str:
    """Return the lesson's text. Raises FileNotFoundError where none is written."""
    return assets.path("lessons", f"{technique}.md").read_text(encoding="utf-8")


@dataclass(frozen=True, slots=True)
class Lesson:
    """The parts of a lesson, each on one line, but for a reason in `worked` that is told in lines;
    `drawn` is the worked position as lines of text.

    `exercises` are positions; `by_eye` says what to scan for on paper, where that is told.
    """

    reminder: str
    spotting: str
    drawn: str
    worked: str
    slip: str
    by_eye: str = ""
    exercises: tuple[str, ...] = ()


_LESSON = re.compile(
    r"# [^\n]+\n\n(?P<reminder>.+?)\n\n## How to spot it\n\n(?P<spotting>.+?)"
    r"(?:\n\n## By eye\n\n(?P<by_eye>.+?))?"
    r"\n\n## A worked position\n\n```\n(?P<drawn>.+?)\n```\n\n(?P<worked>.+?)"
    r"\n\n## A common slip\n\n(?P<slip>.+?)(?:\n\n```\n[^`]+\n```)?"
    r"(?:\n\n## Exercises\n\n```\n(?P<exercises>.+?)\n```)?\n*",
    re.DOTALL,
)

_PARAGRAPHS = ("reminder", "spotting", "by_eye", "worked", "slip")


@cache
def read_lesson(technique: str) -> Lesson:
    """Return a lesson by its parts. Raises ValueError where one is missing."""
    found = _LESSON.fullmatch(lesson(technique))
    if found is None:
        raise ValueError(f"the lesson on {technique} lacks a part")
    parts = {name: _unwrapped(found[name] or "") for name in _PARAGRAPHS}
    return Lesson(
        **parts, drawn=found["drawn"], exercises=tuple((found["exercises"] or "").split())
    )


def _unwrapped(paragraph: str) -> str:
    """Return a paragraph on one line; where a line ends in a backslash, the next one stays one."""
    return "\n".join(" ".join(line.split()) for line in paragraph.split("\\\n"))


def reminder(technique: str) -> str:
    """Return the lesson's first paragraph, on one line."""
    return read_lesson(technique).reminder
