"""The host's one config file: read, checked key by key, and turned into values.

A wrong key or value raises ConfigError with what was found, what was expected and an example that
works; `bot.wording.terminal` makes the sentence. Nothing here opens a database or a port.
"""

from __future__ import annotations

import difflib
import json
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path
from typing import Any

from bot.club.notations import one_of
from bot.club.plan import theme_at_odds
from bot.club.settings import SETTINGS, ClubSettings, Penalties
from bot.club.themes import NeverNeededError
from bot.config_tables import Keys, PlatformTable, text


@dataclass(frozen=True, slots=True)
class ClubConfig:
    """One `[[club]]` of the config: where it is, and its settings when it is first added."""

    platform: str
    room: str
    settings: ClubSettings


@dataclass(frozen=True, slots=True)
class Settings:
    """The whole config. `folder` holds the database and is relative to the config's own folder."""

    folder: Path
    log_level: str
    clubs: tuple[ClubConfig, ...]
    platforms: Mapping[str, Any]
    """Of each platform that is served, what its table was made into."""


class ConfigProblem(StrEnum):
    """What can be wrong with the config."""

    MISSING_FILE = "missing-file"
    TOML = "toml"
    UNKNOWN_KEY = "unknown-key"
    MISSING_KEY = "missing-key"
    VALUE = "value"
    NEVER_NEEDED = "never-needed"
    """A theme that no puzzle needs; `found` is the technique."""
    NO_CLUB = "no-club"
    TWICE = "twice"
    """Two clubs in one room."""


class ConfigError(Exception):
    """The config is wrong. `where` names the table, `key` the key, `example` a line that works."""

    def __init__(
        self,
        path: Path,
        problem: ConfigProblem,
        *,
        where: str = "",
        key: str = "",
        found: str = "",
        nearest: str = "",
        example: str = "",
    ) -> None:
        super().__init__(f"{path.name}: {problem} {where} {key} {found}".rstrip())
        self.path = path
        self.problem = problem
        self.where = where
        self.key = key
        self.found = found
        self.nearest = nearest
        self.example = example


def _toml(value: Any) -> str:
    """Return a value as the config has it."""
    if isinstance(value, tuple):
        return f"[{', '.join(map(_toml, value))}]"
    return json.dumps(value, ensure_ascii=False)


def _club_keys(*, is_penalty: bool) -> Keys:
    """Return the keys that set what `club setup` sets too."""
    return {
        each.key: (each.notation.check, f"{each.key} = {_toml(each.example)}")
        for each in SETTINGS
        if each.is_penalty == is_penalty
    }


TOP_KEYS: Keys = {
    "data": (text, 'data = "data"'),
    "log": (one_of("debug", "info", "warning", "error").check, 'log = "info"'),
}
CLUB_KEYS: Keys = {
    "room": (text, 'room = "main"'),
    **_club_keys(is_penalty=False),
}
PENALTY_KEYS = _club_keys(is_penalty=True)
_REQUIRED = ("platform", "room", "name")


def _read_table(
    path: Path,
    where: str,
    table: Any,
    keys: Keys,
    tables: tuple[str, ...] = (),
) -> dict[str, Any]:
    if not isinstance(table, dict):
        raise ConfigError(
            path, ConfigProblem.VALUE, key=where, found=repr(table), example=f"[{where}]"
        )
    values: dict[str, Any] = {}
    for key, value in table.items():
        if key in tables:
            continue
        if key not in keys:
            near = difflib.get_close_matches(key, [*keys, *tables], n=1)
            raise ConfigError(
                path,
                ConfigProblem.UNKNOWN_KEY,
                where=where,
                key=key,
                nearest=near[0] if near else "",
                example=keys[near[0]][1] if near and near[0] in keys else "",
            )
        read, example = keys[key]
        try:
            values[key] = read(value)
        except NeverNeededError as error:
            raise ConfigError(
                path,
                ConfigProblem.NEVER_NEEDED,
                where=where,
                key=key,
                found=error.technique,
                example=example,
            ) from None
        except ValueError:
            raise ConfigError(
                path, ConfigProblem.VALUE, where=where, key=key, found=repr(value), example=example
            ) from None
    return values


def _read_club(path: Path, table: Any, platforms: Mapping[str, PlatformTable[Any]]) -> ClubConfig:
    keys = {**_platform_key(platforms), **CLUB_KEYS}
    values = _read_table(path, "club", table, keys, ("penalties",))
    for key in _REQUIRED:
        if key not in values:
            raise ConfigError(
                path, ConfigProblem.MISSING_KEY, where="club", key=key, example=keys[key][1]
            )
    penalties = Penalties(
        **_read_table(path, "club.penalties", table.get("penalties", {}), PENALTY_KEYS)
    )
    platform, room = values.pop("platform"), values.pop("room")
    if example := platforms[platform].find_fault(room):
        raise ConfigError(
            path, ConfigProblem.VALUE, where="club", key="room", found=repr(room), example=example
        )
    settings = ClubSettings(penalties=penalties, **values)
    if theme := theme_at_odds(settings):
        # Such a theme rests on there being just one solution.
        raise ConfigError(
            path,
            ConfigProblem.VALUE,
            where="club",
            key="theme",
            found=repr(theme),
            example="uniqueness = true",
        )
    return ClubConfig(platform, room, settings)


def _platform_key(platforms: Mapping[str, PlatformTable[Any]]) -> Keys:
    return {"platform": (one_of(*platforms).check, f'platform = "{next(iter(platforms))}"')}


def _read_platform(path: Path, name: str, table: Any, own: PlatformTable[Any]) -> Any:
    values = _read_table(path, name, table, own.keys)
    for key in own.required:
        if key not in values:
            raise ConfigError(
                path, ConfigProblem.MISSING_KEY, where=name, key=key, example=own.keys[key][1]
            )
    return own.make(values, path.parent)


def read_settings(path: Path, platforms: Mapping[str, PlatformTable[Any]]) -> Settings:
    """Read and check a config file. `platforms` are those that can be served, by their names.

    Raises ConfigError.
    """
    try:
        with path.open("rb") as file:
            table = tomllib.load(file)
    except FileNotFoundError:
        raise ConfigError(path, ConfigProblem.MISSING_FILE) from None
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        raise ConfigError(path, ConfigProblem.TOML, found=str(error)) from None
    top = _read_table(path, "", table, TOP_KEYS, (*platforms, "club"))
    named = {
        name: _read_platform(path, name, table[name], own)
        for name, own in platforms.items()
        if name in table
    }
    entries = table.get("club", [])
    is_enough = entries or any(platforms[name].founds_clubs for name in named)
    if not isinstance(entries, list) or not is_enough:
        raise ConfigError(
            path, ConfigProblem.NO_CLUB, example=_platform_key(platforms)["platform"][1]
        )
    clubs = tuple(_read_club(path, entry, platforms) for entry in entries)
    places = [(club.platform, club.room) for club in clubs]
    for platform, room in places:
        if places.count((platform, room)) > 1:
            raise ConfigError(
                path, ConfigProblem.TWICE, where="club", key="room", found=f"{platform} {room}"
            )
    served = {platform for platform, _ in places}
    served |= {
        name
        for name, own in named.items()
        if platforms[name].founds_clubs or platforms[name].is_for_all(own)
    }
    return Settings(
        folder=path.parent / top.get("data", "data"),
        log_level=top.get("log", "info"),
        clubs=clubs,
        platforms={
            name: named[name] if name in named else _read_platform(path, name, {}, own)
            for name, own in platforms.items()
            if name in served
        },
    )
