"""Words for what help adds to the time. The figures come from the club's settings."""

from __future__ import annotations

from bot.wording.prose import capitalise, join_words
from bot.wording.rungs import RUNGS
from bot.wording.times import format_length


def costs_sentence(costs: tuple[int, int, int, int]) -> str:
    """Say what the four rungs add."""
    told = join_words(
        f"{capitalise(name)} {format_length(cost)}" for name, cost in zip(RUNGS, costs, strict=True)
    )
    return f"Each rung adds to your time, once: {told}."


def charge_sentence(seconds: int, total: int) -> str:
    """Say what was just added, and how much that makes on this puzzle."""
    if seconds:
        return f"{format_length(seconds)} added; {format_length(total)} in all on this puzzle."
    return f"Nothing added; {format_length(total)} in all on this puzzle."
