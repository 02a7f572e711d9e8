"""Whether a puzzle that a leader queues can be a day's: read, solved and rated as it was typed."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from msgspec.structs import replace

from bot.club.facts import Findings
from bot.club.problems import Problem
from bot.club.refusal import RefusedError, refusal_of, refuse, refused_input
from bot.club.replies import InputRefused
from bot.club.state import Puzzle
from bot.club.vetting import vet_puzzle
from engine import CLASSIC, EngineError, parse_grid, read_pasted


@dataclass(frozen=True, slots=True)
class Judged:
    """A puzzle that a leader typed, fit to be a day's, and the text of it."""

    puzzle: Puzzle
    findings: Findings
    typed: str


Judge = Callable[[str], Judged]
"""Judges one puzzle as typed, as `judge_puzzle` does."""

MOST_AT_ONCE = 14
"""So many puzzles are judged at once; judging a hard one takes seconds."""

_SHORTEST_WHOLE = 4 * CLASSIC.size
"""No line of one drawn grid is longer."""


def split_puzzles(text: str) -> tuple[str, ...]:
    """Return the puzzles of a pasted text: several where each line or word is a whole one."""
    words = text.split()
    if len(words) > 1 and all(len(word) > _SHORTEST_WHOLE for word in words):
        return tuple(words)
    return (text,)


def judge_puzzles(text: str, judge: Judge) -> tuple[Judged | InputRefused, ...]:
    """Judge each of the puzzles of a text. RefusedError where there are too many of them."""
    texts = split_puzzles(text)
    if len(texts) > MOST_AT_ONCE:
        raise refuse("club queue", Problem.TOO_MANY, found=len(texts), expected=MOST_AT_ONCE)
    outcomes: list[Judged | InputRefused] = []
    for each in texts:
        try:
            outcomes.append(judge(each))
        except RefusedError as refused:
            outcomes.append(replace(refused_input(refused), typed=each))
    return tuple(outcomes)


def judge_puzzle(text: str, credit: str = "") -> Judged:
    """Read, solve and rate a puzzle as typed. RefusedError where it cannot be a day's puzzle."""
    try:
        grid = parse_grid(read_pasted(text).text)
    except EngineError as error:
        raise RefusedError(replace(refusal_of("club queue", error), typed=text)) from None
    vetted = vet_puzzle(grid, credit=" ".join(credit.split()), origin="queued by a leader")
    if vetted.problem is not None:
        raise refuse("club queue", vetted.problem, cells=vetted.cells, typed=text)
    assert vetted.puzzle is not None
    assert vetted.findings is not None
    return Judged(vetted.puzzle, vetted.findings, text)
