"""What is said in the open room and gives an open puzzle away, in whatever dress.

The text and the puzzle decide, not what is answered. Digits count in any script, as emoji or as
words; what stands between them does not, and labels such as `row 3` may. A text tells where it
holds both marked lines, or more than TOO_MANY right digits in the order in which people read a
grid, or at their cells. Every step here is linear in the text's length.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

from bot.club.boards import digit_in, layout_of

TOO_MANY = 20
"""So many right digits may be said aloud; with one more the line is taken away."""

_PIECE = 5
"""Digits in a row that are taken for part of the solution; by chance 1 of 700 such pieces is."""

_STRAY = 24
"""Digits of something else, a label or the time, that may stand between two parts."""

_CHAINS = 8
_NAMES = ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine")
_WORDS = {word: str(digit) for digit, word in enumerate(_NAMES, start=1)}
_WORD = re.compile(rf"\b({'|'.join(_WORDS)})\b", re.IGNORECASE)
_CELL = re.compile(r"\br[ \t]?([1-9])[ \t]?c[ \t]?([1-9])(?![0-9])", re.IGNORECASE)
_MARK = re.compile(rf"{_CELL.pattern}[^0-9a-z]{{0,6}}([1-9])(?![0-9])", re.IGNORECASE)
_LABEL = re.compile(
    r"\b(?:rows?|columns?|cols?|box(?:es)?|blocks?|lines?|[rcb])[ \t]{0,3}#?[1-9](?![0-9])"
    r"|^[ \t]{0,9}[1-9][ \t]{0,3}[:.)\]|-]",
    re.IGNORECASE | re.MULTILINE,
)
_DRAWN = re.compile(r"[0-9._*|+\-\s]{81,}")
_NOT_MARKS = re.compile(r"[|+\-\s]")
_IGNORED = dict.fromkeys(map(ord, "\ufe0f\u20e3\u200b\u200c\u200d\u2060\ufeff"))


@dataclass(frozen=True, slots=True)
class Told:
    """A text as it tells: its plain form, and its digits with and without labels."""

    plain: str
    streams: tuple[str, ...]


@lru_cache(maxsize=4096)
def _plain_mark(mark: str) -> str:
    digit = unicodedata.digit(mark, -1)
    return str(digit) if digit >= 0 else unicodedata.normalize("NFKC", mark)


def read_text(text: str) -> Told:
    """Return what a text says in plain digits."""
    plain = "".join(map(_plain_mark, text.translate(_IGNORED)))
    plain = _WORD.sub(lambda found: _WORDS[found[1].lower()], plain)
    bare = _LABEL.sub(" ", _CELL.sub(" ", plain))
    return Told(plain, tuple(re.sub(r"[^0-9]", "", each) for each in (plain, bare)))


def tells(text: str, givens: str, solution: str, lines: tuple[str, str]) -> bool:
    """Say whether a text gives a puzzle away to those who read it."""
    told = read_text(text)
    if lines_within(told, solution, lines) is not None:
        return True
    if any(_most_in_order(stream, solution) > TOO_MANY for stream in told.streams):
        return True
    return _marks_at_cells(told, givens, solution)


def lines_within(told: Told, solution: str, lines: tuple[str, str]) -> str | None:
    """Return the digits of both marked lines in the order in which a text holds them."""
    first, second = (_digits_of(solution, name) for name in lines)
    for stream in told.streams:
        one, other = stream.find(first), stream.find(second)
        if one >= 0 and other >= 0:
            return first + second if one <= other else second + first
    return None


def is_whole(told: Told, solution: str) -> bool:
    """Say whether a text holds every digit of a solution, row by row."""
    return any(_longest_chain(stream, solution) == len(solution) for stream in told.streams)


def _digits_of(solution: str, house: str) -> str:
    layout = layout_of(solution)
    return "".join(solution[cell] for cell in layout.parse_house(house).cells)


def _readings(solution: str) -> Iterator[tuple[str, ...]]:
    """Yield the houses of each kind in their order, as digits: rows, columns, boxes."""
    layout = layout_of(solution)
    boxes = tuple(house for house in layout.houses if house.kind == "box")
    for houses in (layout.rows, layout.columns, boxes):
        yield tuple("".join(solution[cell] for cell in house.cells) for house in houses)


def _most_in_order(stream: str, solution: str) -> int:
    """Return how many right digits stand in a reading's order, or in whole houses in any order."""
    most = 0
    for houses in _readings(solution):
        whole = [house for house in houses if house in stream]
        most = max(most, sum(map(len, whole)), _longest_chain(stream, "".join(houses)))
    return most


def _longest_chain(stream: str, reading: str) -> int:
    """Return how many digits of a reading a stream holds in order, in pieces close together."""
    places: dict[str, list[int]] = {}
    for place in range(len(reading) - _PIECE + 1):
        places.setdefault(reading[place : place + _PIECE], []).append(place)
    chains: list[tuple[int, int, int]] = []  # where in the stream and the reading, digits so far
    most = 0
    for at in range(len(stream) - _PIECE + 1):
        for place in places.get(stream[at : at + _PIECE], ()):
            chains = [chain for chain in chains if at - chain[0] <= _STRAY + _PIECE]
            held = max((_joined(chain, at, place) for chain in chains), default=0)
            chains.append((at, place, held or _PIECE))
            chains = sorted(chains, key=lambda chain: -chain[2])[:_CHAINS]
            most = max(most, held or _PIECE)
    return most


def _joined(chain: tuple[int, int, int], at: int, place: int) -> int:
    """Return the digits held with one more piece, 0 where it does not come after the chain."""
    stood, placed, held = chain
    if (at, place) == (stood + 1, placed + 1):
        return held + 1
    if at >= stood + _PIECE and place >= placed + _PIECE:
        return held + _PIECE
    return 0


def _marks_at_cells(told: Told, givens: str, solution: str) -> bool:
    """Say whether too many digits are said with their cells: `r4c5=7`, or a grid drawn with blanks.

    The givens alone are no secret.
    """
    layout = layout_of(solution)
    right = {
        (int(row) - 1) * layout.size + int(column) - 1
        for row, column, digit in _MARK.findall(told.plain)
        if max(int(row), int(column)) <= layout.size
        and solution[(int(row) - 1) * layout.size + int(column) - 1] == digit
    }
    for drawn in _DRAWN.findall(told.plain):
        marks = _NOT_MARKS.sub("", drawn)
        if len(marks) == len(solution):
            held = {cell for cell, mark in enumerate(marks) if mark == solution[cell]}
            written = sum(mark in "123456789" for mark in marks)
            right |= held if 2 * len(held) > written else set()  # else it is another puzzle
    return len(right) > TOO_MANY and any(not digit_in(givens, cell) for cell in right)
