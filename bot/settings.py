"""The host's one config file: read, checked key by key, and turned into values.

A wrong key or value raises ConfigError with what was found, what was expected and an example that
works; `bot.wording.terminal` makes the sentence. Nothing here opens a database or a port.
"""

from __future__ import annotations

import difflib
import ipaddress
import json
import re
import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path
from typing import Any

from bot.club.notations import one_of, switch, whole
from bot.club.plan import theme_at_odds
from bot.club.settings import SETTINGS, ClubSettings, Penalties

PLATFORMS = ("web", "discord", "matrix")
"""The platforms that this version can serve."""


@dataclass(frozen=True, slots=True)
class ClubEntry:
    """One `[[club]]` of the config: where it is, and its settings when it is first added."""

    platform: str
    room: str
    settings: ClubSettings


@dataclass(frozen=True, slots=True)
class DiscordSettings:
    """The `[discord]` table. The token itself is never in the config.

    `api`, `gateway`: other addresses than the service's own, for a proxy or a test.
    """

    token_file: Path | None = None
    api: str | None = None
    gateway: str | None = None


@dataclass(frozen=True, slots=True)
class MatrixSettings:
    """The `[matrix]` table. Neither password nor token is ever in the config.

    `inviters` may bring the bot into rooms, as the leaders of the clubs in Matrix may.
    """

    homeserver: str
    user: str
    prefix: str = "!"
    inviters: tuple[str, ...] = ()
    encrypt: bool = True


@dataclass(frozen=True, slots=True)
class Settings:
    """The whole config. `folder` holds the database and is relative to the config's own folder."""

    folder: Path
    log_level: str
    web_host: str
    web_port: int
    clubs: tuple[ClubEntry, ...]
    discord: DiscordSettings | None = None
    """None: no club of this config is in Discord, and none can be founded there."""
    matrix: MatrixSettings | None = None
    """None: no club of this config is in Matrix, and none can be founded there."""


class ConfigProblem(StrEnum):
    """What can be wrong with the config."""

    MISSING_FILE = "missing-file"
    TOML = "toml"
    UNKNOWN_KEY = "unknown-key"
    MISSING_KEY = "missing-key"
    VALUE = "value"
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


def _text(value: Any) -> str:
    if not isinstance(value, str) or not value.strip():
        raise ValueError(value)
    return value.strip()


def _list_of(read_one: Callable[[Any], Any]) -> Callable[[Any], Any]:
    def read(value: Any) -> tuple[Any, ...]:
        if not isinstance(value, list):
            raise ValueError(value)
        return tuple(read_one(each) for each in value)

    return read


def _loopback(value: Any) -> str:
    try:
        if value == "localhost" or ipaddress.ip_address(value).is_loopback:
            return str(value)
    except ValueError:
        pass
    raise ValueError(value)


def _address(*schemes: str) -> Callable[[Any], str]:
    def read(value: Any) -> str:
        if not isinstance(value, str) or not value.startswith(tuple(f"{s}://" for s in schemes)):
            raise ValueError(value)
        return value

    return read


def _matrix_user(value: Any) -> str:
    if not isinstance(value, str) or not re.fullmatch(r"@[^:\s]+:\S+", value):
        raise ValueError(value)
    return value


def _prefix(value: Any) -> str:
    if not isinstance(value, str) or not re.fullmatch(r"[^\w\s]{1,3}", value):
        raise ValueError(value)
    return value


def _toml(value: Any) -> str:
    """Return a value as the config has it."""
    if isinstance(value, tuple):
        return f"[{', '.join(map(_toml, value))}]"
    return json.dumps(value, ensure_ascii=False)


def _club_keys(*, is_penalty: bool) -> dict[str, tuple[Callable[[Any], Any], str]]:
    """Return the keys that set what `club setup` sets too."""
    return {
        each.key: (each.notation.check, f"{each.key} = {_toml(each.example)}")
        for each in SETTINGS
        if each.is_penalty == is_penalty
    }


# Key -> (how to read it, a line that works). `config.example.toml` explains each; a test compares.
TOP_KEYS: Mapping[str, tuple[Callable[[Any], Any], str]] = {
    "data": (_text, 'data = "data"'),
    "log": (one_of("debug", "info", "warning", "error").check, 'log = "info"'),
}
WEB_KEYS: Mapping[str, tuple[Callable[[Any], Any], str]] = {
    "host": (_loopback, 'host = "127.0.0.1"'),
    "port": (whole(0, 65535).check, "port = 8317"),
}
DISCORD_KEYS: Mapping[str, tuple[Callable[[Any], Any], str]] = {
    "token_file": (_text, 'token_file = "discord-token"'),
    "api": (_address("http", "https"), 'api = "https://discord.com/api/v10"'),
    "gateway": (_address("ws", "wss"), 'gateway = "wss://gateway.discord.gg/"'),
}
MATRIX_KEYS: Mapping[str, tuple[Callable[[Any], Any], str]] = {
    "homeserver": (_address("http", "https"), 'homeserver = "https://matrix.example.org"'),
    "user": (_matrix_user, 'user = "@ninebark:example.org"'),
    "prefix": (_prefix, 'prefix = "!"'),
    "inviters": (_list_of(_matrix_user), 'inviters = ["@rowan:example.org"]'),
    "encrypt": (switch().check, "encrypt = true"),
}
CLUB_KEYS: Mapping[str, tuple[Callable[[Any], Any], str]] = {
    "platform": (one_of(*PLATFORMS).check, 'platform = "web"'),
    "room": (_text, 'room = "main"'),
    **_club_keys(is_penalty=False),
}
PENALTY_KEYS = _club_keys(is_penalty=True)
_REQUIRED = ("platform", "room", "name")


def _read_table(
    path: Path,
    where: str,
    table: Any,
    keys: Mapping[str, tuple[Callable[[Any], Any], str]],
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
        except ValueError:
            raise ConfigError(
                path, ConfigProblem.VALUE, where=where, key=key, found=repr(value), example=example
            ) from None
    return values


def _read_club(path: Path, table: Any) -> ClubEntry:
    values = _read_table(path, "club", table, CLUB_KEYS, ("penalties",))
    for key in _REQUIRED:
        if key not in values:
            raise ConfigError(
                path, ConfigProblem.MISSING_KEY, where="club", key=key, example=CLUB_KEYS[key][1]
            )
    penalties = Penalties(
        **_read_table(path, "club.penalties", table.get("penalties", {}), PENALTY_KEYS)
    )
    platform, room = values.pop("platform"), values.pop("room")
    if platform == "matrix" and not room.startswith("!"):
        # An address ("#…") can be given to another room; the id stays.
        example = 'room = "!abcdefgh:example.org"'
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
    return ClubEntry(platform, room, settings)


def _read_discord(path: Path, table: Any) -> DiscordSettings:
    values = _read_table(path, "discord", table, DISCORD_KEYS)
    if "token_file" in values:
        values["token_file"] = path.parent / values["token_file"]
    return DiscordSettings(**values)


def _read_matrix(path: Path, table: Any) -> MatrixSettings:
    values = _read_table(path, "matrix", table, MATRIX_KEYS)
    for key in ("homeserver", "user"):
        if key not in values:
            raise ConfigError(
                path,
                ConfigProblem.MISSING_KEY,
                where="matrix",
                key=key,
                example=MATRIX_KEYS[key][1],
            )
    return MatrixSettings(**{**values, "homeserver": values["homeserver"].rstrip("/")})


def read_settings(path: Path) -> Settings:
    """Read and check a config file. Raises ConfigError."""
    try:
        with path.open("rb") as file:
            table = tomllib.load(file)
    except FileNotFoundError:
        raise ConfigError(path, ConfigProblem.MISSING_FILE) from None
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        raise ConfigError(path, ConfigProblem.TOML, found=str(error)) from None
    top = _read_table(path, "", table, TOP_KEYS, ("web", "discord", "matrix", "club"))
    web = _read_table(path, "web", table.get("web", {}), WEB_KEYS)
    discord = _read_discord(path, table["discord"]) if "discord" in table else None
    matrix = _read_matrix(path, table["matrix"]) if "matrix" in table else None
    entries = table.get("club", [])
    # In Discord and Matrix clubs are founded from a room; else the config is all that names one.
    if not isinstance(entries, list) or not (entries or discord or matrix):
        raise ConfigError(path, ConfigProblem.NO_CLUB)
    clubs = tuple(_read_club(path, entry) for entry in entries)
    if discord is None and any(club.platform == "discord" for club in clubs):
        discord = DiscordSettings()
    if matrix is None and any(club.platform == "matrix" for club in clubs):
        raise ConfigError(
            path,
            ConfigProblem.MISSING_KEY,
            where="matrix",
            key="user",
            example=MATRIX_KEYS["user"][1],
        )
    places = [(club.platform, club.room) for club in clubs]
    for platform, room in places:
        if places.count((platform, room)) > 1:
            raise ConfigError(
                path, ConfigProblem.TWICE, where="club", key="room", found=f"{platform} {room}"
            )
    return Settings(
        folder=path.parent / top.get("data", "data"),
        log_level=top.get("log", "info"),
        web_host=web.get("host", "127.0.0.1"),
        web_port=web.get("port", 8317),
        clubs=clubs,
        discord=discord,
        matrix=matrix,
    )
