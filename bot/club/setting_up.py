"""The club's settings as a leader types and reads them; all are checked before any is taken."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any
from zoneinfo import ZoneInfo

from msgspec.structs import replace

from bot.club.clock import parse_post_time
from bot.club.plan import HIGHEST_LEVEL, NO_THEME, read_theme
from bot.club.planning import refuse_odd_theme
from bot.club.refusal import RefusedError
from bot.club.replies import InputRefused
from bot.club.state import ClubSettings

NAME_LIMIT = 60
LONGEST_PENALTY = 3600

_YES, _NO = ("yes", "on", "true"), ("no", "off", "false")


def _read_name(text: str) -> str:
    name = " ".join(text.split())
    if not 0 < len(name) <= NAME_LIMIT:
        raise ValueError("a name of 1 to 60 characters")
    return name


def _read_zone(text: str) -> str:
    if not re.fullmatch(r"[A-Za-z0-9_+\-]+(/[A-Za-z0-9_+\-]+)*", text):
        raise ValueError("no zone's name")  # never a path on the host's disk
    try:
        return ZoneInfo(text).key
    except (OSError, KeyError):
        raise ValueError("no zone of this name") from None


def _read_post_time(text: str) -> str:
    return f"{parse_post_time(text):%H:%M}"


def _read_switch(text: str) -> bool:
    if text.lower() in _YES + _NO:
        return text.lower() in _YES
    raise ValueError("yes or no")


def _read_numbers(text: str, count: int, lowest: int, highest: int) -> tuple[int, ...]:
    numbers = tuple(int(part) for part in text.split(","))
    if len(numbers) != count or not all(lowest <= number <= highest for number in numbers):
        raise ValueError(f"{count} numbers from {lowest} to {highest}")
    return numbers


def _read_theme(text: str) -> str | None:
    theme = read_theme(text)
    return None if theme == NO_THEME else theme


def _read_look(text: str) -> str:
    if text.lower() not in ("light", "dark"):
        raise ValueError("light or dark")
    return text.lower()


def _read_quick(text: str) -> float:
    seconds = float(text)
    if not 0 <= seconds <= 60:
        raise ValueError("seconds an open cell, 0 to 60")
    return seconds


def _read_leaders(text: str) -> tuple[str, ...]:
    ids = tuple(dict.fromkeys(part.strip() for part in text.split(",")))
    return () if ids == ("none",) else tuple(each for each in ids if each)


_PLAIN: dict[str, tuple[str, Callable[[str], Any]]] = {
    "name": ("name", _read_name),
    "zone": ("zone", _read_zone),
    "post-time": ("post_time", _read_post_time),
    "sealed": ("sealed", _read_switch),
    "uniqueness": ("uniqueness", _read_switch),
    "levels": ("levels", lambda text: _read_numbers(text, 7, 1, HIGHEST_LEVEL)),
    "theme": ("theme", _read_theme),
    "look": ("look", _read_look),
    "quick": ("quick", _read_quick),
    "leaders": ("leaders", _read_leaders),
}
_PENALTIES: dict[str, tuple[str, Callable[[str], Any]]] = {
    "rungs": ("rungs", lambda text: _read_numbers(text, 4, 0, LONGEST_PENALTY)),
    "mistakes": ("mistakes", lambda text: _read_numbers(text, 3, 0, LONGEST_PENALTY)),
    "check": ("check", lambda text: _read_numbers(text, 1, 0, LONGEST_PENALTY)[0]),
    "wrong": ("wrong", lambda text: _read_numbers(text, 1, 0, LONGEST_PENALTY)[0]),
}
SETTINGS: tuple[str, ...] = (*_PLAIN, *_PENALTIES)
"""Names of the settings, as `club setup` takes and shows them."""


def change_settings(
    settings: ClubSettings, changes: tuple[tuple[str, str], ...]
) -> tuple[ClubSettings, tuple[str, ...]]:
    """Return the settings with all the changes, and the names of those that differ now.

    All or nothing. RefusedError names the setting that is unknown or the value that does not fit.
    """
    changed = settings
    for name, text in changes:
        try:
            if name in _PLAIN:
                attribute, read = _PLAIN[name]
                changed = replace(changed, **{attribute: read(text.strip())})
                if name == "levels":
                    changed = without_ranges(changed)
            elif name in _PENALTIES:
                attribute, read = _PENALTIES[name]
                penalties = replace(changed.penalties, **{attribute: read(text.strip())})
                changed = replace(changed, penalties=penalties)
            else:
                raise RefusedError(InputRefused(command="club setup", problem="setting", text=name))
        except ValueError:
            raise RefusedError(
                InputRefused(command="club setup", problem="value", text=f"{name}={text}")
            ) from None
    refuse_odd_theme("club setup", settings, changed)
    before, after = dict(written_settings(settings)), written_settings(changed)
    return changed, tuple(name for name, text in after if before[name] != text)


def without_ranges(settings: ClubSettings) -> ClubSettings:
    """Return the settings with one level for each weekday, as `levels` has it."""
    if not any(wish.up_to for wish in settings.wishes):
        return settings
    return replace(settings, wishes=tuple(replace(wish, up_to=0) for wish in settings.wishes))


def written_settings(settings: ClubSettings) -> tuple[tuple[str, str], ...]:
    """Return (name, value) of every setting, as `club setup` would take it."""
    penalties = settings.penalties
    values: dict[str, object] = {
        "name": settings.name,
        "zone": settings.zone,
        "post-time": settings.post_time,
        "sealed": "yes" if settings.sealed else "no",
        "uniqueness": "yes" if settings.uniqueness else "no",
        "levels": settings.levels,
        "theme": settings.theme or "none",
        "look": settings.look,
        "quick": f"{settings.quick:g}",
        "leaders": settings.leaders or "none",
        "rungs": penalties.rungs,
        "mistakes": penalties.mistakes,
        "check": penalties.check,
        "wrong": penalties.wrong,
    }
    return tuple((name, _written(values[name])) for name in SETTINGS)


def _written(value: object) -> str:
    if isinstance(value, tuple):
        return ",".join(str(each) for each in value)
    return str(value)
