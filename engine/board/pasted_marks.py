"""Makes plain what people paste: each character in its plain form, with its place in the text.

Digits in other dress become digits, marks for a blank a dot, and what programs put around cells
(quotes, brackets, `null`, keys) means nothing any more. A text that was read in another encoding
than it was written in is taken as it was meant where that is beyond doubt. Nothing here knows how
cells stand in rows.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import partial

from engine.board.layout import Layout

BLANKS = frozenset(".0_*?xX#·•∙⋅○□▢◻␣-")
DIVIDERS = frozenset("|¦!+=:;,/\\¯‾‖\"'`[](){}<>") | frozenset(map(chr, range(0x2500, 0x2580)))
"""Marks between cells or boxes that mean nothing by themselves; box drawing among them."""

_IGNORED = "\u2060"
_INVISIBLE = frozenset("\ufe0f\ufe0e\u20e3\u200b\u200c\u200d\u2060\ufeff\x00")
"""What a keycap, a browser or another encoding adds to a character."""

_SQUARES = dict.fromkeys("⬜⬛◽◾▫▪🔲🔳⚪", ".")
_DASHES = dict.fromkeys("\u2010\u2011\u2012\u2013\u2014\u2212", "-")
_QUOTES = dict.fromkeys("“”„‟\u2018\u2019\u201a\u201b«»", "'")
_BARS = dict.fromkeys("｜❘∣", "|")  # noqa: RUF001 - they are here for looking like a bar
_PLAIN = _SQUARES | _DASHES | _QUOTES | _BARS

_NAMES = ("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine")
_EMOJI = {name: str(digit) for digit, name in enumerate(_NAMES)} | dict.fromkeys(
    (f"{colour}_{size}_square" for colour in ("white", "black") for size in ("large", "small")), "."
)
_ONLY_DIVIDERS = re.compile(r"[\s+=|\-_:]*")
_FENCE = re.compile(r"\s*(?:`{3}|~{3}|\"{3}|'{3}).*")
_CITED = re.compile(r"\s*> ?")
_QUOTED = re.compile(r"[\s\[({]*[\"']([^\"']*)[\"'][\s\])},;]*")
BRACKETS = "[](){}<>\"'"

_OLD_BOX = dict.fromkeys("³º", "|") | dict.fromkeys("ÄÅÍÎÉÈÌËÊÚÀÙÃ\u00b4ÂÁ»¿¹¼", "─")
"""Box drawing of old screens as it looks in Latin-1: single and double lines."""

_OLD_DIGITS = frozenset("¹³¼")
"""Those of them that may be meant for digits, where nothing else is of the kind."""


@dataclass(frozen=True, slots=True)
class Line:
    """A line with its characters made plain, and where each of them stands in the pasted text."""

    text: str
    places: tuple[int, ...]

    def part(self, start: int, end: int | None = None) -> Line:
        """Return a part of the line, as a slice."""
        return Line(self.text[start:end], self.places[start:end])


def plain_lines(text: str) -> list[Line]:
    """Split a text into lines of plain characters; fences and lines of brackets are left out."""
    lines: list[Line] = []
    marks: list[str] = []
    places: list[int] = []
    for index, character in enumerate(_as_meant(text)):
        if character in "\n\r\u2028\u2029":
            lines.append(Line("".join(marks), tuple(places)))
            marks, places = [], []
            continue
        plain = _plain(character)
        marks.extend(plain)
        places.extend([index] * len(plain))
    lines.append(Line("".join(marks), tuple(places)))
    lines = _uncited([line for line in lines if not _FENCE.fullmatch(line.text)])
    return _unquoted([line for line in lines if not _only_brackets(line.text)])


def _plain(character: str) -> str:
    if character in _INVISIBLE:
        return ""
    if character in BLANKS or character in DIVIDERS:
        return character
    digit = unicodedata.digit(character, -1)
    if digit >= 0:
        return str(digit)
    return _PLAIN.get(character) or unicodedata.normalize("NFKC", character)


def _as_meant(text: str) -> str:
    """Return the text with what stands for something else replaced by it; no place is moved."""
    for pattern, plain in _MEANT:
        text = pattern.sub(partial(_instead, plain), text)
    foreign = frozenset(mark for mark in text if not mark.isascii() and mark not in _INVISIBLE)
    if foreign and foreign <= _OLD_BOX.keys() and (foreign - _OLD_DIGITS or foreign == {"³"}):
        return "".join(_OLD_BOX.get(mark, mark) for mark in text)
    return text


def _instead(plain: Mapping[str, str] | str, found: re.Match[str]) -> str:
    """Return as many characters as were found, of which only those with a meaning count."""
    meant = plain if isinstance(plain, str) else plain[found[1]]
    return meant.rjust(len(found[0]), _IGNORED)


_MEANT: tuple[tuple[re.Pattern[str], Mapping[str, str] | str], ...] = (
    (re.compile(r"\r\n"), "\n"),
    (re.compile(r"\A(?:ï»¿|ÿþ|þÿ)"), ""),
    (re.compile("â[\x94\x95”•][\x82\u201a\x83ƒ\x91\u2018]"), "|"),
    (re.compile("â[\x94\x95”•].", re.DOTALL), "─"),
    (re.compile("Â(?=[·¦\xa0])"), ""),
    (re.compile(r"\\([nrt])"), {"n": "\n", "r": "\n", "t": "\t"}),
    (re.compile(rf":({'|'.join(_EMOJI)}):"), _EMOJI),
    (re.compile(r"\"[A-Za-z_][A-Za-z_ ]{0,40}\"(?=\s{0,9}:)"), ""),
    (
        re.compile(
            r"(?<![A-Za-z0-9])(?:null|none|nil|nan)(?![A-Za-z0-9])"
            r"|(?<![\"'])(?:\"\"|'')(?![\"'])",
            re.IGNORECASE,
        ),
        ".",
    ),
)
"""What stands for something else, and for what: line ends and signs of another encoding, escapes,
names of emoji, keys, and what programs write for nothing."""


def _uncited(lines: Sequence[Line]) -> list[Line]:
    """Take the `>` of a cited text off its lines, where all have it."""
    starts = [_CITED.match(line.text) for line in lines if line.text.strip()]
    if not starts or None in starts:
        return list(lines)
    cut = [(line, _CITED.match(line.text)) for line in lines]
    return [line if start is None else line.part(start.end()) for line, start in cut]


def _only_brackets(text: str) -> bool:
    """Say whether a line holds brackets or quotes and no cell. Commas alone are a table's."""
    return any(mark in BRACKETS for mark in text) and not text.strip(BRACKETS + " \t,;:")


def _unquoted(lines: Sequence[Line]) -> list[Line]:
    """Take the quotes off rows of which each has its own."""
    rows = [line for line in lines if line.text.strip()]
    found = [(line, _QUOTED.fullmatch(line.text)) for line in rows]
    inside = [line.part(*quoted.span(1)) for line, quoted in found if quoted is not None]
    return inside if inside and len(inside) == len(rows) else list(lines)


def only_divides(text: str) -> bool:
    """Say whether a line holds nothing but rulers' marks, or nothing."""
    return bool(_ONLY_DIVIDERS.fullmatch(text))


def value_of(mark: str, layout: Layout) -> int | None:
    """Return the digit, 0 for a blank, None for anything else."""
    if mark in BLANKS:
        return 0
    return int(mark) if mark in layout.marks else None
