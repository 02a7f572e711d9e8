"""Sentences on input that cannot be used, shared by the club's refusals and the engine's errors."""

from __future__ import annotations

from bot.wording.prose import clean_text, join_words, sentences

EXAMPLE_GRID = "23..7.....8..56.215....8.7.....14.....75.34.....68.....2.1....965.83..1.....4..86"
"""The grid of every example that needs a whole one: made by `ninebark make`, level 3."""

_FEW_CELLS = 6


def with_example(text: str, example: str) -> str:
    """Add an example that works, where there is one."""
    return sentences(text, f"Example: {example}" if example else "")


def clip_words(cells: tuple[str, ...]) -> str:
    """Name cells, or the first of many."""
    if len(cells) <= _FEW_CELLS:
        return join_words(cells)
    return f"{', '.join(cells[:_FEW_CELLS])} and {len(cells) - _FEW_CELLS} more cells"


def no_cell(text: str, size: int) -> str:
    """Say that a text names no cell of a grid with rows of `size`."""
    return f"There is no cell {clean_text(text, 20)}. Rows and columns run from 1 to {size}."


def two_solutions(cells: tuple[str, ...]) -> str:
    """Say that there is more than one solution, and in which cells two of them differ."""
    differ = f" Two of them differ in {clip_words(cells)}." if cells else ""
    return f"This grid has more than one solution.{differ} A given may be missing."
