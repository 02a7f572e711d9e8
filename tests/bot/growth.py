"""How the cost of reading grows with the length of what is read, as a ratio within one run.

The cost is the processor's time, so other load counts for little; what remains of it only ever
adds, so a text that seems too dear is measured again, and the least counts. What is below the cost
of looking at each character once in a plain loop is taken for that: it is as good as nothing.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass

Read = Callable[[str], object]

TIMES_LONGER = 10
MOST_TIMES_DEARER = 40
"""Between the 10 of what is linear and the 100 of what is quadratic, nearer to the latter."""

TRIES = 6

RUNS = (
    " ", "\n", "\t", "=", "5", ".", "-", "a", "r", "(", "[", "|", "`", "…", ",", "é", "> ", "= ",
    " =", "a ", "a=", "1-", ".a", "+=", " \n", "\n>", "r4c5 ", "level ", "level  =", "date ",
    "date=  ", "row ", "2026-", "2026-11-24", "theme=", "accept ", "\u0301\u0315", "\na:", "*_",
    "\n- ",
)  # fmt: skip
"""What a hostile text is made of, over and over."""

TAILS = ("", "x")
"""What ends it: many a pattern only begins to search where the end does not fit."""


@dataclass(frozen=True, slots=True)
class Growth:
    """The dearest growth seen with a text; `times` is how much dearer a text ten times as long."""

    times: float
    shape: str


def text_of(begin: str, run: str, tail: str, length: int) -> str:
    """Return a text of about `length` characters."""
    return begin + run * (length // len(run)) + tail


def _cost(read: Read, text: str) -> float:
    begin = time.process_time()
    read(text)
    return time.process_time() - begin


def _look_at_each(text: str) -> int:
    count = 0
    for character in text:
        count += character == "\0"
    return count


def growth_of(read: Read, begin: str, run: str, tail: str, length: int) -> float:
    """Return how many times dearer a text of `length` is than one a tenth as long.

    The two are measured by turns until what they cost at least is in proportion, TRIES times at
    most, each time a little longer: none was read before.
    """
    least_short = least_long = float("inf")
    for more in range(0, TRIES * len(run), len(run)):
        short, long = (
            text_of(begin, run, tail, each + more) for each in (length // TIMES_LONGER, length)
        )
        least_short = min(least_short, max(_cost(read, short), _cost(_look_at_each, short)))
        least_long = min(least_long, _cost(read, long))
        if least_long <= MOST_TIMES_DEARER * least_short:
            break
    return least_long / least_short


def growths(
    read: Read, begins: tuple[str, ...], length: int, tails: tuple[str, ...]
) -> Iterator[Growth]:
    """Yield the growth with each text that starts and ends in one of these ways."""
    for begin in begins:
        for run in RUNS:
            for tail in tails:
                times = growth_of(read, begin, run, tail, length)
                yield Growth(times, f"{begin!r} + {run!r} * n + {tail!r}")
