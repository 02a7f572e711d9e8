"""Reads what somebody says that they see: a pattern, what follows from it, or a part of either.

As people write it: `r3c6-1 r5c6-1`, `r3c6 not 1`, `r4c5=7`, `149 in r1c6 r2c6 r9c6`, `naked triple
col 6`. Its words are taken one by one and never read again, so a long line costs what it is long.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import product

from bot.club.problems import Missing, Problem
from bot.commands.arguments import ArgumentError, read_cell, read_house
from engine import CLASSIC, LADDER, Cell, claims

_TOKEN = re.compile(
    r"(?P<house>(?:row|column|col|box|block) ?[0-9]{1,3}(?![0-9c]))"
    r"|(?P<houses>(?:rows|columns|cols|boxes|blocks) [1-9](?:(?:, ?| and | ?& ?| )[1-9](?![0-9]))*)"
    r"|(?P<cell>r[0-9]{1,9}c[0-9]{1,9})"
    r"|(?P<line>[rcb][1-9](?![0-9a-z]))"
    r"|(?P<strike><>|!=|≠|[-\u2212\u2013])"
    r"|(?P<place>=(?!>)|:)"
    r"|(?P<stop>[;.]|=>|[\u2192\u21d2])"
    r"|(?P<join>[,/+&])"
    r"|(?P<digits>[0-9]{1,9})"
    r"|(?P<word>[^\W\d_]+(?:['\u2019][a-z]+)?)"
    r"|(?P<other>[^\s(){}\[\]\"'\u2019?!*_`])"
)
_WORDS = {
    "strike": "not no without lose loses cannot can't cant isn't isnt aren't arent minus never "
    "strike strikes remove removes eliminate eliminates cross",
    "place": "is are be must equals holds takes gets",
    "stop": "so then therefore hence thus because since means leaves makes",
    "join": "and or",
    "": "a an the of in at on to from with by can could i see there it its that this these those "
    "cell cells digit digits candidate candidates only have has hold as both all out off for find "
    "my answer form forms you just also too here goes go one place places",
}
_KIND_OF = {word: kind for kind, words in _WORDS.items() for word in words.split()}
_LETTERS = {"r": "row", "c": "column", "b": "box"}
_TECHNIQUES = {technique.id: technique.id for technique in LADDER}
_TECHNIQUES |= {technique.id + "s": technique.id for technique in LADDER}
_LONGEST = max(each.count("-") for each in _TECHNIQUES) + 1

Item = tuple[str, tuple[int, ...]]
"""A kind and its cells or digits; a house by its index."""


def read_claim(text: str) -> claims.Said:
    """Read a claim in words. Raises ArgumentError."""
    technique, rest = _take_technique(text.lower().replace("\u2019", "'"))
    reading = _Reading()
    for item in _joined(_items(rest)):
        reading.take(*item)
    reading.end()
    said = claims.Said(
        technique,
        tuple(dict.fromkeys(reading.cells)),
        tuple(sorted(set(reading.digits))),
        tuple(dict.fromkeys(reading.houses)),
        reading.removes,
        tuple(dict.fromkeys(reading.places)),
    )
    if not (said.has_pattern or said.has_consequence):
        raise ArgumentError(Problem.MISSING, Missing.CLAIM)
    return said


def _take_technique(text: str) -> tuple[str, str]:
    """Take a technique's name out of a text; return its id or nothing, and the rest."""
    words = list(re.finditer(r"[a-z]+", text))
    for first in range(len(words)):
        for last in range(min(first + _LONGEST, len(words)) - 1, first - 1, -1):
            name = "-".join(word[0] for word in words[first : last + 1])
            if name in _TECHNIQUES:
                rest = f"{text[: words[first].start()]} ; {text[words[last].end() :]}"
                return _TECHNIQUES[name], rest
    return "", text


def _items(text: str) -> Iterator[Item]:
    for token in _TOKEN.finditer(" ".join(text.split())):
        kind, written = str(token.lastgroup), token[0]
        match kind:
            case "cell":
                yield "cells", _read_cells(written)
            case "digits":
                yield "digits", tuple(_read_digits(written))
            case "house":
                yield "house", (read_house(re.sub(r"(?<=[a-z])(?=[0-9])", " ", written)).index,)
            case "houses":
                sort = written.split()[0].removesuffix("s").removesuffix("e")
                for number in re.findall("[1-9]", written):
                    yield "house", (read_house(f"{sort} {number}").index,)
            case "line":
                yield "house", (read_house(f"{_LETTERS[written[0]]} {written[1]}").index,)
            case "word" if written in _KIND_OF:
                if _KIND_OF[written]:
                    yield _KIND_OF[written], ()
            case "word" | "other":
                raise ArgumentError(Problem.CLAIM, written)
            case _:
                yield kind, ()


def _read_cells(text: str) -> tuple[Cell, ...]:
    """Read `r3c6`, or several of a line at once: `r3c69`."""
    rows, columns = text[1:].split("c")
    names = [f"r{row}c{column}" for row, column in product(rows, columns)]
    if len(set(rows)) < len(rows) or len(set(columns)) < len(columns):
        raise ArgumentError(Problem.CELL, text)
    return tuple(CLASSIC.parse_cell(read_cell(name)) for name in names)


def _read_digits(text: str) -> Iterator[int]:
    for mark in text:
        if mark not in CLASSIC.marks:
            raise ArgumentError(Problem.DIGIT, mark)
        yield int(mark)


def _joined(items: Iterator[Item]) -> Iterator[Item]:
    """Put digits together that are told as a list, `1, 4 and 9` or `1 4 9`; drop what joins."""
    held: list[int] = []
    width, has_join = 0, False
    for kind, values in items:
        if kind == "join":
            has_join = True
            continue
        is_list = kind == "digits" and (has_join or width == len(values) == 1)
        if held and not is_list:
            yield "digits", tuple(held)
            held = []
        if kind == "digits":
            held.extend(values)
            width = len(values)
        else:
            yield kind, values
        has_join = False
    if held:
        yield "digits", tuple(held)


class _Reading:
    """Takes item after item. `run` are cells named in a row of which nothing was said yet, `loose`
    the digits told with them. `mode`: `strike` or `place` was said and its digits are to come; `no`
    was, and they stood before the cells; `done`: they stand behind them, and are the pattern's."""

    def __init__(self) -> None:
        self.removes = 0
        self.places: list[tuple[Cell, int]] = []
        self.cells: list[Cell] = []
        self.digits: list[int] = []
        self.houses: list[int] = []
        self.run: list[Cell] = []
        self.loose: list[int] = []
        self.mode = ""

    def take(self, kind: str, values: tuple[int, ...]) -> None:
        """Take one item of a kind."""
        match kind:
            case "cells":
                self._take_cells([Cell(cell) for cell in values])
            case "digits":
                self._take_digits(list(values))
            case "house":
                self.houses.extend(values)
            case "stop":
                self.end()
            case _ if self.mode != "strike":  # `is not`, `cannot be`
                self.mode = kind

    def end(self) -> None:
        """Take what nothing was said of as the pattern's; a lone `r4c5 7` is placed."""
        if self.mode == "no":
            self._strike(self.run, self.loose)
        elif len(self.run) == len(self.loose) == 1:
            self.places.append((self.run[0], self.loose[0]))
        else:
            self.cells.extend(self.run)
            self.digits.extend(self.loose)
        self.run, self.loose, self.mode = [], [], ""

    def _take_cells(self, cells: list[Cell]) -> None:
        if self.mode == "done":
            self.end()
        elif self.mode == "strike" and self.loose and not self.run:
            self.mode = "no"
        self.run.extend(cells)

    def _take_digits(self, digits: list[int]) -> None:
        if self.mode == "strike" and self.run:
            struck = self.run[-1:] if self.loose else self.run
            self.run = self.run[: -len(struck)]
            self._strike(struck, digits)
            self.mode = ""
            self.end()
        elif self.mode == "no":  # `no 1 in r3c6 and 4 in r5c6`
            self.end()
            self.loose, self.mode = digits, "strike"
        elif self.mode == "place" and len(digits) == len(self.run) == 1 and not self.loose:
            self.places.append((self.run.pop(), digits[0]))
            self.mode = ""
        else:
            if self.loose:
                self.end()
            self.loose.extend(digits)
            self.mode = "done" if self.run else self.mode

    def _strike(self, cells: list[Cell], digits: list[int]) -> None:
        for cell, digit in product(cells, digits):
            self.removes |= CLASSIC.bit(cell, digit)
