"""The reason of two almost locked sets: cells with one digit more than they are, linked by one
digit or by two."""

from __future__ import annotations

from bot.wording.prose import join_words, sentences
from bot.wording.sight import cell_names
from engine import Cell, Grid, Step, pattern_parts


def tell_almost_locked(step: Step, grid: Grid) -> str:
    sets = pattern_parts.find_sets(step, grid)
    if sets is None:
        raise ValueError(f"{step.key} is no pair of almost locked sets")
    if len(sets.shared) == 2:
        return _tell_linked_twice(grid, sets)
    (shared,) = sets.shared
    struck = sorted({digit for _, digit in grid.layout.pairs(step.removes)})
    digits = join_words(struck, "or")
    return sentences(
        _tell_set(grid, sets.first),
        _tell_set(grid, sets.second),
        f"Every {shared} of the one sees every {shared} of the other, so one set at least has to "
        f"do without {shared}.",
        "That set is left with as many digits as cells and needs them all.",
        f"So {digits} is in one of the two for certain, and a cell that sees every {digits} of "
        f"both cannot be {digits}."
        if len(struck) == 1
        else f"So for {digits} alike: it is in one of the two for certain, and a cell that sees "
        "all its places in both cannot hold it.",
    )


def _tell_linked_twice(grid: Grid, sets: pattern_parts.SetPair) -> str:
    one, other = sets.shared
    return sentences(
        _tell_set(grid, sets.first),
        _tell_set(grid, sets.second),
        f"Every {one} of the one sees every {one} of the other, and likewise every {other}.",
        f"So neither digit can be in both sets, and no set can do without both: one has the {one}, "
        f"the other the {other}, and each needs all its other digits.",
        f"What sees every {one} of both cannot be {one}, and likewise for {other}; any other digit "
        "of a set goes from what sees all its places there.",
    )


def _tell_set(grid: Grid, cells: tuple[Cell, ...]) -> str:
    digits = join_words(pattern_parts.digits_of(grid, cells))
    held = "holds" if len(cells) == 1 else "hold between them"
    return f"{cell_names(grid, cells)} {held} {digits}, one digit more than cells."
