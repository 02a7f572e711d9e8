"""The ladder: every technique once, in teaching order. The order has meaning, so it is a list.

To add a technique: one file here with a `find_*` generator, one line in LADDER, one sentence
function in `bot.wording`, one lesson in `assets/lessons`. A completeness test names what is missing.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from engine.grid import Grid
from engine.step import Step


@dataclass(frozen=True, slots=True)
class Technique:
    """One rung of the ladder. `find` yields every instance at a position and changes nothing."""

    id: str
    level: int
    find: Callable[[Grid], Iterator[Step]]


LADDER: tuple[Technique, ...] = ()
