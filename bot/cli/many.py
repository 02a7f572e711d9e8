"""Many grids at once: by all cores where that is quicker, in order, with a bar meanwhile."""

from __future__ import annotations

import argparse
import sys
import time
from collections.abc import Callable, Generator, Iterable, Iterator, Sequence
from contextlib import closing
from dataclasses import dataclass, field
from itertools import chain, islice
from pathlib import Path
from typing import TypeVar

from bot.cli.engine import complain
from bot.cli.progress import StatusLine
from bot.grid_input import GridInput, InputError, find_grids, is_file
from bot.stock.at_once import count_cores, work_at_once
from bot.wording import many_terminal, terminal
from engine import Layout

MANY = 40
"""From so many on the other cores are asked to help: they take a moment to start."""

BEGUN_FOR_EACH = 50
"""How many grids are begun for each core: one that takes long holds up no other."""

T = TypeVar("T")
R = TypeVar("R")


@dataclass(slots=True)
class Reading:
    """The grids of the command line's arguments, read as they are asked for.

    An argument that cannot be read is complained of, and costs no other its grids.
    """

    arguments: Sequence[str]
    layout: Layout | None = None
    is_wrong: bool = False

    def __iter__(self) -> Iterator[GridInput]:
        for text in self.arguments:
            try:
                yield from find_grids(text, sys.stdin, self.layout)
            except InputError as error:
                self.is_wrong = True
                complain(terminal.input_error(error))


@dataclass(slots=True)
class Course:
    """How far many grids are. `whole` is None where nobody knows how many come; of `done`, so many
    were done `before`."""

    whole: int | None
    before: int = 0
    done: int = field(init=False)
    line: StatusLine = field(init=False)

    def __post_init__(self) -> None:
        self.done = self.before
        self.line = StatusLine(sys.stderr, time.monotonic)

    def follow(self, work: Callable[[T], R], pieces: Iterable[T]) -> Generator[tuple[T, R]]:
        """Yield (piece, what the work made of it), piece after piece, each counted as done when
        the next is asked for. Close it to stop what is under way."""
        with closing(_work_through(work, pieces, self.show)) as results:
            for piece, result in results:
                self.line.clear()
                yield piece, result
                self.done += 1
                self.show()
        self.line.clear()

    def show(self) -> None:
        """Show how far it is."""
        self.line.show(
            lambda seconds: many_terminal.progress(
                self.done, self.whole, seconds, before=self.before
            )
        )


def _work_through(
    work: Callable[[T], R], pieces: Iterable[T], show: Callable[[], None]
) -> Generator[tuple[T, R]]:
    coming = iter(pieces)
    first = list(islice(coming, MANY))
    cores = count_cores()
    if len(first) < MANY or cores == 1:
        for piece in chain(first, coming):
            yield piece, work(piece)
        return
    show()
    yield from work_at_once(
        work,
        chain(first, coming),
        cores=cores,
        begun_for_each=BEGUN_FOR_EACH,
        on_wait=show,
    )


def parse_after(text: str) -> int:
    """Read how many grids are left out. Raises ArgumentTypeError."""
    if not text.isdecimal():
        raise argparse.ArgumentTypeError(many_terminal.not_a_number(text))
    return int(text)


def count_lines(arguments: Sequence[str]) -> int | None:
    """Return how many grids there are, a line each; None where one of the arguments is no file."""
    if not all(map(is_file, arguments)):
        return None
    count = 0
    for name in arguments:
        with Path(name).open("rb") as lines:
            count += sum(1 for line in lines if line.strip() and not line.lstrip().startswith(b"#"))
    return count
