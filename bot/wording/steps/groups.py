"""The reason of two almost locked sets: cells with one digit more than they are, linked by one."""

from __future__ import annotations

from bot.wording.prose import join_words, sentences
from bot.wording.sight import cell_names
from engine import Cell, Grid, Step, pattern_parts


def tell_almost_locked(step: Step, grid: Grid) -> str:
    sets = pattern_parts.find_sets(step, grid)
    if sets is None:
        raise ValueError(f"{step.key} is no pair of almost locked sets")
    struck = sorted({digit for _, digit in grid.layout.pairs(step.removes)})
    digits = join_words(struck, "or")
    return sentences(
        _tell_set(grid, sets.first),
        _tell_set(grid, sets.second),
        f"Every {sets.shared} of the one sees every {sets.shared} of the other, so one set at "
        f"least has to do without {sets.shared}.",
        "That set is left with as many digits as cells and needs them all.",
        f"So {digits} is in one of the two for certain, and a cell that sees every {digits} of "
        f"both cannot be {digits}."
        if len(struck) == 1
        else f"So for {digits} alike: it is in one of the two for certain, and a cell that sees "
        "all its places in both cannot hold it.",
    )


def _tell_set(grid: Grid, cells: tuple[Cell, ...]) -> str:
    digits = join_words(pattern_parts.digits_of(grid, cells))
    held = "holds" if len(cells) == 1 else "hold between them"
    return f"{cell_names(grid, cells)} {held} {digits}, one digit more than cells."
