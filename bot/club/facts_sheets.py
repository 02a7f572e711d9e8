"""What stands on a printed sheet: grids with their words, as texts that need no more deciding.

Whoever words a sheet fills these in; whoever draws it chooses no words of its own.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Literal

from bot.club.facts import Position

MOST_A_PAGE = 6
EXERCISES = 4
"""So many positions to practise at come with a sheet, where some are wanted."""


class PaperSize(StrEnum):
    """What a sheet is printed on."""

    A4 = "a4"
    LETTER = "letter"


Answers = Literal["last", "below", "none"]
"""Where the answers stand: on pages of their own at the end, or upside down below the grids."""


@dataclass(frozen=True, slots=True)
class PrintedGrid:
    """A grid to solve. `lines` names the marked lines. `answer`: the solution as a grid text;
    `found`: what is to be found, in words, where that is no solution; each empty for none."""

    position: Position
    heading: str
    notes: tuple[str, ...] = ()
    lines: tuple[str, ...] = ()
    answer: str = ""
    found: str = ""
    with_candidates: bool = False


@dataclass(frozen=True, slots=True)
class PrintedSheet:
    """A sheet: `title` stands on each page, `answers_title` above the answers."""

    title: str
    grids: tuple[PrintedGrid, ...]
    answers_title: str
    paper: PaperSize = PaperSize.A4
    a_page: int = 2
    answers: Answers = "last"
