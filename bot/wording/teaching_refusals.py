"""Words for a question, a find, an exercise or a sheet that cannot be had.

They belong to the table of `bot.wording.refusals`, which says what else can be wrong with a line.
"""

from __future__ import annotations

from collections.abc import Callable
from difflib import get_close_matches
from typing import get_args

from bot.club.facts_sheets import MOST_A_PAGE, Answers, PaperSize
from bot.club.problems import Problem
from bot.club.replies import InputRefused
from bot.wording.prose import capitalise, join_words, quote
from bot.wording.techniques import a_technique, technique_name
from engine import RANKS

_NAMED = 3
"""So many cells are named."""

_NEAR = 0.7
"""How like a technique's name a word is that may be meant for it."""


def _claim(reply: InputRefused) -> str:
    return (
        f"I cannot make sense of {quote(reply.text)} there. Say what goes, such as r3c6-1 r5c6-1, "
        "or what you see, such as 149 in r1c6 r2c6 r9c6."
    )


def _no_find(reply: InputRefused) -> str:
    about = f" for {quote(reply.text)}" if reply.text else ""
    return (
        f"I have no position to ask about{about}. Name a technique, such as naked-triple, or a day "
        "that is over and whose puzzle turned somewhere, or paste a position of your own."
    )


def _until(reply: InputRefused) -> str:
    return (
        f"I cannot read {quote(reply.text)} as a time to come. Try until=20:00, until=friday, "
        "until=friday 20:00, or until=daily for the hour of the daily puzzle."
    )


def _marking(reply: InputRefused) -> str:
    return (
        f"I cannot mark {quote(reply.text)}. Write mark=none for nothing, mark=house for the house "
        "to look at, or mark=pattern for all cells of the pattern."
    )


def _every(reply: InputRefused) -> str:
    return f"{quote(reply.text)} is no day of the week. Write it like every=wednesday or every=wed."


def _planned_day(reply: InputRefused) -> str:
    return (
        f"A question for later can't be about {quote(reply.text)}. Leave that out, and it will be "
        "about the latest puzzle that is over by then; or name a technique."
    )


def _not_there(reply: InputRefused) -> str:
    what = f"no {technique_name(reply.text)}" if reply.text else "nothing to find"
    return (
        f"I see {what} at this position, so there is nothing to ask. Look at it again, or ask "
        "about another."
    )


def _struck_true(reply: InputRefused) -> str:
    cells = join_words(reply.cells[:_NAMED])
    return (
        f"With these candidates the puzzle cannot be finished: too many are gone from {cells}. "
        "Please check them, or paste the digits alone."
    )


def _still_open(reply: InputRefused) -> str:
    return (
        "That is the puzzle that is open now, and a question would give some of it away. Ask about "
        "it once its day is over, or about another position."
    )


def _sheet(reply: InputRefused) -> str:
    return (
        f"I cannot print with {quote(reply.text)}: per-page is a number from 1 to {MOST_A_PAGE}, "
        f"paper is {join_words(PaperSize, 'or')}, and answers is "
        f"{join_words(get_args(Answers), 'or')}."
    )


def _no_exercise(reply: InputRefused) -> str:
    name = "-".join(reply.text.lower().replace("-", " ").split())
    if name in RANKS:
        told = f"I have too few positions with {a_technique(name)} for you to practise on."
        return f"{told} {_another(reply, 'another')}"
    near = join_words(get_close_matches(name, RANKS, n=2, cutoff=_NEAR), "or")
    meant = f" Did you mean {near}?" if near else ""
    return f"No technique goes by {quote(reply.text)}.{meant} {_another(reply, 'one')}"


def by_uniqueness(reply: InputRefused) -> str:
    """Say why a technique is not practised in a club that does without uniqueness."""
    return (
        f"{capitalise(a_technique(reply.text))} takes for granted that a puzzle has just one "
        f"solution, and this club has chosen not to. {_another(reply, 'another')}"
    )


def _another(reply: InputRefused, which: str) -> str:
    if reply.command != "practice":
        return f"Name {which}, such as practice=naked-triple."
    return f"Name {which}, or write practice alone, and I'll choose."


TEACHING_PROBLEMS: dict[Problem, Callable[[InputRefused], str]] = {
    Problem.CLAIM: _claim,
    Problem.NO_FIND: _no_find,
    Problem.UNTIL: _until,
    Problem.MARKING: _marking,
    Problem.EVERY: _every,
    Problem.PLANNED_DAY: _planned_day,
    Problem.NOT_THERE: _not_there,
    Problem.STRUCK_TRUE: _struck_true,
    Problem.STILL_OPEN: _still_open,
    Problem.SHEET: _sheet,
    Problem.NO_EXERCISE: _no_exercise,
}
