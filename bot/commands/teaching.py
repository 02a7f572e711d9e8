"""Readers of what members say that they see and want to practise, and of a leader's lesson."""

from __future__ import annotations

import re
from typing import Literal, cast, get_args

from bot.club.acts import Act
from bot.club.asking import NameMe, SayFind
from bot.club.evening import HoldLesson, Move
from bot.club.facts import Marks
from bot.club.practising import Practise
from bot.club.problems import Problem
from bot.commands.arguments import ArgumentError, read_optional_date
from bot.commands.claims import read_claim
from bot.commands.rows import Fields
from engine import RANKS


def read_seeing(rest: str, fields: Fields) -> Act:
    """Read `see r3c6-1`, `see none`, `see question …`, `see practice …`, `see named`.

    Raises ArgumentError.
    """
    word, _, after = rest.partition(" ")
    about: Literal["", "question", "practice"] = ""
    match word.lower():
        case "named" | "unnamed" if not after.strip():
            return NameMe(on=word.lower() == "named")
        case "question":
            about, rest = "question", after
        case "practice":
            about, rest = "practice", after
    said = fields.get("find", rest).strip()
    if said.lower().rstrip(".!") in _NONE:
        return SayFind(says_none=True, about=about)
    return SayFind(read_claim(said) if said else None, about=about)


_NONE = ("none", "nothing", "no", "there is none", "there are none", "nothing here")


def read_practising(rest: str, fields: Fields) -> Act:
    """Read `practice`, `practice naked-triple bare`, `practice hint`. Raises ArgumentError."""
    words = rest.lower().replace("_", "-").split()
    marks = next((_MARKS[word] for word in words if word in _MARKS), None)
    words = [word for word in words if word not in _MARKS]
    match words:
        case []:
            return Practise(marks=marks)
        case [("hint" | "show" | "next") as way] if marks is None:
            return Practise(way=way)
    name = "-".join(words)
    for technique in (name, name.removesuffix("s")):
        if technique in RANKS:
            return Practise(technique, marks)
    raise ArgumentError(Problem.NO_EXERCISE, " ".join(words))


_MARKS: dict[str, Marks] = {"all": "all", "two-place": "two-place", "bare": "none"}
"""How a position is shown: with all candidates, those with two places in a box, or none."""

PRACTICE_WORDS = (*_MARKS, "hint", "show", "next")
"""What may stand in place of a technique, or behind it."""


LESSON_MOVES: tuple[Move, ...] = tuple(move for move in get_args(Move) if move)

_MOVE = re.compile(rf"(?:^|\s)({'|'.join(LESSON_MOVES)})(?:\s+([0-9]{{1,4}}))?\s*$", re.IGNORECASE)


def read_lesson(rest: str, fields: Fields) -> Act:
    """Read `club lesson 2026-11-24 next 5`, each part of which may lack. Raises ArgumentError."""
    found = _MOVE.search(rest)
    if found is None:
        return HoldLesson(read_optional_date(rest))
    move = cast(Move, found[1].lower())
    number = None if found[2] is None else int(found[2])
    return HoldLesson(read_optional_date(rest[: found.start()]), move, number)
