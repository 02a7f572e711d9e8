"""The reason of two almost locked sets: cells with one digit more than they are, linked by one
digit or by two."""

from __future__ import annotations

from bot.wording.prose import in_lines, join_words
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
    return in_lines(
        _tell_set(grid, sets.first),
        _tell_set(grid, sets.second),
        f"Every {shared} in one set sees every {shared} in the other, so at least one of the sets "
        f"has to do without {shared}. "
        "That set is then left with as many digits as cells, and needs them all.",
        f"So one of the two sets certainly holds {digits}, and a cell that sees every {digits} in "
        f"both cannot be {digits}."
        if len(struck) == 1
        else f"So for {digits} alike: one of the two sets certainly holds it, and a cell that sees "
        "all its places in both cannot hold it.",
    )


def _tell_linked_twice(grid: Grid, sets: pattern_parts.SetPair) -> str:
    one, other = sets.shared
    return in_lines(
        _tell_set(grid, sets.first),
        _tell_set(grid, sets.second),
        f"Every {one} in one set sees every {one} in the other, and it is the same with {other}.",
        "So neither digit can be in both sets, and neither set can do without both: one has the "
        f"{one}, the other the {other}, and each needs all its other digits.",
        f"Whatever sees every {one} in both cannot be {one}, and the same goes for {other}; any "
        "other digit of a set goes from every cell that sees all its places there.",
    )


def _tell_set(grid: Grid, cells: tuple[Cell, ...]) -> str:
    digits = join_words(pattern_parts.digits_of(grid, cells))
    held = "holds" if len(cells) == 1 else "between them hold"
    return f"{cell_names(grid, cells)} {held} {digits}, one more digit than there are cells."
