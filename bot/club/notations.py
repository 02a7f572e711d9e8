"""How a setting's value is written: typed in the room as text, and in the config as TOML has it.

Both ways of a notation end in the same check, so what one takes the other takes too, and as the
same value. Every reader here raises ValueError for what does not fit, and knows no club.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import time
from enum import StrEnum
from typing import Any

from bot.club.themes import NO_THEME, read_theme
from bot.club.zones import read_zone

_YES, _NO = ("yes", "on", "true"), ("no", "off", "false")


class Form(StrEnum):
    """What kind of thing a setting's value is."""

    TEXT = "text"
    CHOICE = "choice"
    WHOLE = "whole"
    NUMBER = "number"
    LIST = "list"
    IDS = "ids"
    GROUPS = "groups"
    TIME = "time"
    ZONE = "zone"
    THEME = "theme"


@dataclass(frozen=True, slots=True)
class Fits:
    """What fits, for those who wrote something else: numbers from `low` to `high`, or so many
    characters; a list of `count` such values, or one for all of them."""

    form: Form
    low: float = 0
    high: float = 0
    count: int = 0
    or_one: bool = False


@dataclass(frozen=True, slots=True)
class Notation:
    """`parse` reads what a leader types, `format` writes it so that `parse` reads it again, and
    `check` takes a plain value of TOML. `choices` are all the texts there are, where they are few;
    `fits` says what does.
    """

    parse: Callable[[str], Any]
    format: Callable[[Any], str]
    check: Callable[[Any], Any]
    fits: Fits
    choices: tuple[str, ...] = ()


def written(
    read: Callable[[str], Any],
    fits: Fits,
    write: Callable[[Any], str] = str,
    choices: tuple[str, ...] = (),
) -> Notation:
    """Return the notation of what is a text in TOML too; spaces around it are dropped."""

    def check(value: Any) -> Any:
        if not isinstance(value, str):
            raise ValueError("a text")
        return read(value.strip())

    return Notation(check, write, check, fits, choices)


def words(longest: int) -> Notation:
    """Return the notation of a line of 1 to `longest` characters, a single space between words."""

    def read(text: str) -> str:
        line = " ".join(text.split())
        if not 0 < len(line) <= longest:
            raise ValueError(f"1 to {longest} characters")
        return line

    return written(read, Fits(Form.TEXT, 1, longest))


def one_of(*choices: str) -> Notation:
    """Return the notation of one of a few words, in small letters or capitals; where one has a
    hyphen, a space does as well."""

    def read(text: str) -> str:
        found = "-".join(text.lower().split())
        if found not in choices:
            raise ValueError(f"one of {choices}")
        return found

    return written(read, Fits(Form.CHOICE), choices=choices)


def switch() -> Notation:
    """Return the notation of yes and no, true and false in TOML."""

    def parse(text: str) -> bool:
        if text.lower() not in _YES + _NO:
            raise ValueError("yes or no")
        return text.lower() in _YES

    def check(value: Any) -> bool:
        if not isinstance(value, bool):
            raise ValueError("true or false")
        return value

    texts = ("yes", "no")
    return Notation(parse, lambda value: texts[not value], check, Fits(Form.CHOICE), texts)


def whole(lowest: int, highest: int) -> Notation:
    """Return the notation of a whole number."""

    def check(value: Any) -> int:
        if isinstance(value, bool) or not isinstance(value, int) or not lowest <= value <= highest:
            raise ValueError(f"a whole number from {lowest} to {highest}")
        return value

    return Notation(lambda text: check(int(text)), str, check, Fits(Form.WHOLE, lowest, highest))


def number(lowest: float, highest: float) -> Notation:
    """Return the notation of a number that may have decimals."""

    def check(value: Any) -> float:
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise ValueError("a number")
        if not lowest <= value <= highest:
            raise ValueError(f"a number from {lowest} to {highest}")
        return float(value)

    fits = Fits(Form.NUMBER, lowest, highest)
    return Notation(lambda text: check(float(text)), lambda value: f"{value:g}", check, fits)


def so_many(count: int, each: Notation, *, or_one: bool = False) -> Notation:
    """Return the notation of `count` values, commas or spaces between them; a list in TOML.

    `or_one`: a single value stands for as many of it.
    """

    def listed(values: list[Any], read: Callable[[Any], Any]) -> tuple[Any, ...]:
        if or_one and len(values) == 1:
            values = values * count
        if len(values) != count:
            raise ValueError(f"{count} values")
        return tuple(read(value) for value in values)

    def check(value: Any) -> tuple[Any, ...]:
        if or_one and not isinstance(value, list):
            value = [value]
        if not isinstance(value, list):
            raise ValueError("a list")
        return listed(value, each.check)

    return Notation(
        lambda text: listed(re.split(r"\s*,\s*|\s+", text.strip()), each.parse),
        lambda values: ",".join(each.format(value) for value in values),
        check,
        Fits(Form.LIST, each.fits.low, each.fits.high, count, or_one),
    )


EVERYBODY = "room"
"""All who are in the club's room, where groups are named."""


def groups() -> Notation:
    """Return the notation of any number of groups, as `ids` has them."""
    return replace(ids(), fits=Fits(Form.GROUPS))


def ids() -> Notation:
    """Return the notation of any number of ids, each once; `none` for nobody."""

    def kept(parts: list[str]) -> tuple[str, ...]:
        found = tuple(dict.fromkeys(part.strip() for part in parts))
        return () if found == ("none",) else found

    def check(value: Any) -> tuple[str, ...]:
        if not isinstance(value, list) or not all(isinstance(each, str) for each in value):
            raise ValueError("a list of texts")
        if not all(each.strip() for each in value):
            raise ValueError("an empty text")
        return kept(value)

    return Notation(
        lambda text: kept([part for part in text.split(",") if part.strip()]),
        lambda values: ",".join(values) or "none",
        check,
        Fits(Form.IDS),
    )


_TIME = re.compile(r"([0-9]{1,2})(?:[:.h]([0-9]{2}))?(?:([ap])\.?m\.?|h)?")
_TIMES = {"noon": time(12), "midday": time(12), "midnight": time(0)}


def read_time(text: str) -> time:
    """Read a time of day: `18:00`, `18.30`, `18h30`, `6pm`, `6:30 pm`, `noon`. Raises ValueError.

    An hour alone is one where it can be no other: 13 to 23 are in the afternoon.
    """
    plain = "".join(text.lower().split())
    if plain in _TIMES:
        return _TIMES[plain]
    found = _TIME.fullmatch(plain)
    if found is None:
        raise ValueError(f"{text!r} is no time such as 18:00")
    hour, half = int(found[1]), found[3]
    if half and not 1 <= hour <= 12:
        raise ValueError(f"{text!r} has no such hour")
    if not half and found[2] is None and hour <= 12:
        raise ValueError(f"{text!r} may be before noon or after it")
    if half:
        hour = hour % 12 + (12 if half == "p" else 0)
    return time(hour, int(found[2] or 0))


def post_time() -> Notation:
    """Return the notation of a time of day, kept as `HH:MM`."""
    return written(lambda text: f"{read_time(text):%H:%M}", Fits(Form.TIME))


def zone() -> Notation:
    """Return the notation of a time zone, kept by its IANA name."""
    return written(read_zone, Fits(Form.ZONE))


def theme() -> Notation:
    """Return the notation of a technique that puzzles can turn on; None for none."""

    def read(text: str) -> str | None:
        found = read_theme(text)
        return None if found == NO_THEME else found

    return written(read, Fits(Form.THEME), lambda value: value or NO_THEME)
