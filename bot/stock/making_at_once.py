"""Many puzzles of one recipe by all cores: the same as one after another, in the same order."""

from __future__ import annotations

import time
from collections.abc import Callable, Generator, Sequence
from contextlib import closing
from functools import partial
from itertools import count
from random import Random

from bot.stock.at_once import work_at_once
from bot.stock.workshop import is_stopping
from engine import Grid, Recipe, make_puzzle, making

BEGUN_FOR_EACH = 3
"""How many seeds are begun for each core: those that are not asked for are made in vain."""

Unmade = tuple[making.Tried, tuple[str, ...], str, bool]
"""What an UnmadeError tells: an error of its kind does not come whole from another process."""


def make_at_once(
    recipe: Recipe,
    first_seed: int,
    *,
    like: Sequence[Grid],
    cores: int,
    end: float | None,
    on_wait: Callable[[], None],
) -> Generator[tuple[int, making.Made]]:
    """Yield (seed, puzzle), seed after seed, without end. Close it to stop what is under way.

    `end` is a moment of `time.monotonic`, which all processes of a machine share. Raises what
    `make_puzzle` does, at the turn of the seed that it happened to.
    """
    results = work_at_once(
        partial(_make, recipe, tuple(like), end),
        count(first_seed),
        cores=cores,
        begun_for_each=BEGUN_FOR_EACH,
        on_wait=on_wait,
    )
    with closing(results):
        for seed, result in results:
            if not isinstance(result, making.Made):
                tried, advice, contradiction, is_stopped = result
                raise making.UnmadeError(
                    tried, advice, contradiction=contradiction, is_stopped=is_stopped
                )
            yield seed, result


def _make(
    recipe: Recipe, like: tuple[Grid, ...], end: float | None, seed: int
) -> making.Made | Unmade:
    """Make one puzzle in a process of its own."""

    def should_stop() -> bool:
        return is_stopping() or (end is not None and time.monotonic() > end)

    try:
        return make_puzzle(Random(seed), recipe, seeds=like, should_stop=should_stop)
    except making.UnmadeError as error:
        return error.tried, error.advice, error.contradiction, error.is_stopped
