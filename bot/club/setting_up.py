"""The club's settings as a leader types and reads them; all are checked before any is taken."""

from __future__ import annotations

from collections.abc import Callable

from msgspec.structs import replace

from bot.club.leaders import GROUP
from bot.club.notations import EVERYBODY
from bot.club.planning import refuse_odd_theme, refuse_value
from bot.club.problems import Problem
from bot.club.refusal import refuse
from bot.club.settings import SETTINGS, ClubSettings

_BY_NAME = {setting.name: setting for setting in SETTINGS}

HALVES = {"leader-people": False, "leader-roles": True}
"""What sets the people, or the groups, of `leaders` alone, as a platform's own lists of them do."""


def change_settings(
    settings: ClubSettings,
    changes: tuple[tuple[str, str], ...],
    read_leader: Callable[[str], str] = str,
) -> tuple[ClubSettings, tuple[str, ...]]:
    """Return the settings with all the changes, and the names of those that differ now.

    All or nothing. `read_leader` returns the id of a leader as typed, or raises ValueError.
    RefusedError names the setting that is unknown or the value that does not fit.
    """
    changed = settings
    for typed, value in changes:
        name, text = _whole(changed, typed, value)
        setting = _BY_NAME.get(name)
        if setting is None:
            raise refuse("club setup", Problem.SETTING, name)
        try:
            changed = setting.with_value(changed, setting.notation.parse(text.strip()))
        except ValueError as error:
            raise refuse_value("club setup", f"{name}={text}", error) from None
        if name == "leaders":
            changed = replace(changed, leaders=_leaders_in(changed, read_leader))
        if name == "ping":
            changed = replace(changed, ping=_groups_in(changed, read_leader))
        if name == "levels":
            changed = without_ranges(changed)
    refuse_odd_theme("club setup", settings, changed)
    before, after = dict(written_settings(settings)), written_settings(changed)
    return changed, tuple(name for name, text in after if before[name] != text)


def _whole(settings: ClubSettings, name: str, text: str) -> tuple[str, str]:
    """Return a setting's name and value, of half a setting together with its other half."""
    if name not in HALVES:
        return name, text
    others = (each for each in settings.leaders if each.startswith(GROUP) != HALVES[name])
    return "leaders", ",".join((*others, "" if text.strip().lower() == "none" else text))


def _leaders_in(settings: ClubSettings, read_leader: Callable[[str], str]) -> tuple[str, ...]:
    """Return the leaders by their ids, each once. RefusedError names who is nobody there."""
    found: dict[str, None] = {}
    for text in settings.leaders:
        try:
            found[read_leader(text)] = None
        except ValueError:
            raise refuse("club setup", Problem.LEADER, text) from None
    return tuple(found)


def _groups_in(settings: ClubSettings, read_id: Callable[[str], str]) -> tuple[str, ...]:
    """Return the groups to call by their ids, each once. RefusedError names what is none."""
    found: dict[str, None] = {}
    for text in settings.ping:
        try:
            found[text if text == EVERYBODY else _group(read_id(text))] = None
        except ValueError as error:
            raise refuse_value("club setup", f"ping={text}", error) from None
    return tuple(found)


def _group(text: str) -> str:
    if not text.startswith(GROUP):
        raise ValueError("a group")
    return text


def without_ranges(settings: ClubSettings) -> ClubSettings:
    """Return the settings with one level for each weekday, as `levels` has it."""
    if not any(wish.up_to for wish in settings.wishes):
        return settings
    return replace(settings, wishes=tuple(replace(wish, up_to=0) for wish in settings.wishes))


def written_settings(settings: ClubSettings) -> tuple[tuple[str, str], ...]:
    """Return (name, value) of every setting, as `club setup` would take it."""
    return tuple((each.name, each.notation.format(each.of(settings))) for each in SETTINGS)
