"""The host's side of the command line: try, run, check, backup, restore."""

from __future__ import annotations

import argparse
import asyncio
import getpass
import logging
import os
import sys
from collections.abc import Coroutine, Iterable
from pathlib import Path
from typing import Any

from bot.cli.engine import FAILED, FINE, WRONG_INPUT, complain, say
from bot.club.state import Club
from bot.platforms.matrix.refusals import (
    ExtraMissingError,
    SessionLostError,
    SignedOutError,
    StoreInUseError,
)
from bot.platforms.message import PlatformRefusedError, Refusal, RoomError
from bot.settings import ConfigError, Settings, read_settings
from bot.storage import backup_store, open_store, restore_store
from bot.storage.errors import StorageError
from bot.storage.matrix import SqliteMatrixJournal
from bot.wiring import running as wiring
from bot.wiring.discord import DiscordAccess, TokenMissingError, read_access
from bot.wiring.matrix import PASSWORD_VARIABLE, matrix_access, sign_in_and_look
from bot.wording import discord as discord_words
from bot.wording import matrix as matrix_words
from bot.wording import terminal


def run_until_done(work: Coroutine[Any, Any, int]) -> int:
    """Run async work; turn the expected failures into words and an exit code."""
    try:
        return asyncio.run(work)
    except StorageError as error:
        complain(terminal.storage_error(error))
        return WRONG_INPUT
    except wiring.AddressTakenError as error:
        complain(terminal.address_taken(error.host, error.port))
        return WRONG_INPUT
    except (ExtraMissingError, SignedOutError, SessionLostError, StoreInUseError) as error:
        complain(matrix_words.problem(error) or str(error))
        return WRONG_INPUT
    except PlatformRefusedError as error:
        complain(discord_words.refused(error))
        return WRONG_INPUT if error.problem == Refusal.TOKEN else FAILED
    except RoomError as error:
        complain(discord_words.out_of_reach(error))
        return FAILED


def read_config(path: Path) -> Settings | None:
    try:
        return read_settings(path)
    except ConfigError as error:
        complain(terminal.config_error(error))
        return None


def _read_discord(settings: Settings) -> DiscordAccess | None:
    """Return the access to Discord; None where the config has none, or after a complaint."""
    if settings.discord is None:
        return None
    try:
        return read_access(settings.discord, os.environ)
    except TokenMissingError as error:
        complain(discord_words.token_missing(error.path, error.reason))
        return None


class _KeepSecret(logging.Formatter):
    """Takes a secret out of every line, whoever logged it: a second lock."""

    def __init__(self, layout: str, secret: str) -> None:
        super().__init__(layout)
        self._secret = secret

    def format(self, record: logging.LogRecord) -> str:
        line = super().format(record)
        return line.replace(self._secret, "[token]") if self._secret else line


def _set_up_log(level: str, *, secret: str = "") -> None:
    layout = "%(asctime)s %(levelname)s %(name)s: %(message)s"
    out = logging.StreamHandler(sys.stderr)
    out.setFormatter(_KeepSecret(layout, secret))
    logging.basicConfig(level=level.upper(), handlers=[out])


def try_out(arguments: argparse.Namespace) -> int:
    if not 0 <= arguments.port <= 65535:
        complain(terminal.port_wrong(arguments.port))
        return WRONG_INPUT
    _set_up_log("warning")
    return run_until_done(
        wiring.run_demo(
            port=arguments.port,
            folder=arguments.data,
            open_browser=not arguments.no_browser,
            announce=say,
        )
    )


def run(arguments: argparse.Namespace) -> int:
    settings = read_config(arguments.config)
    if settings is None:
        return WRONG_INPUT
    access = _read_discord(settings)
    if settings.discord is not None and access is None:
        return WRONG_INPUT
    _set_up_log(settings.log_level, secret=access.token if access else "")
    return run_until_done(wiring.run_clubs(settings, announce=say, discord=access))


def check(arguments: argparse.Namespace) -> int:
    settings = read_config(arguments.config)
    if settings is None:
        return WRONG_INPUT

    async def look() -> int:
        async with open_store(wiring.database_path(settings), alone=False) as store:
            clubs = await store.load_clubs()
            journal = SqliteMatrixJournal(store.database)
            limits = await journal.count_limits()
            count, kept = await journal.count_unreadable(), await journal.load_unreadable()
        known = {(club.platform, club.room_id) for club in clubs}
        for entry in settings.clubs:
            is_known = (entry.platform, entry.room) in known
            say(terminal.club_line(entry, is_known=is_known))
        # Each is looked at by itself: what is wrong with one hides nothing of another.
        code = FINE if settings.discord is None else await _check_discord(settings, clubs)
        if settings.matrix is not None:
            code = max(code, await _check_matrix(settings, clubs, limits))
            for line in matrix_words.unreadable(count, kept):
                say(line)
        if code == FINE:
            say(terminal.CONFIG_FINE)
        return code

    return run_until_done(look())


async def _check_discord(settings: Settings, clubs: Iterable[Club]) -> int:
    """Say how things stand in Discord; return the exit code, FINE where every club could work."""
    from bot.platforms.discord.check import look_around  # loads the library, which takes long

    access = _read_discord(settings)
    if access is None:
        return FAILED
    rooms = [club.room_id for club in clubs if club.platform == "discord"]
    rooms += [entry.room for entry in settings.clubs if entry.platform == "discord"]
    try:
        found = await look_around(
            access.token, dict.fromkeys(rooms), api=access.api, gateway=access.gateway
        )
    except PlatformRefusedError as error:
        complain(discord_words.refused(error))
        return WRONG_INPUT if error.problem == Refusal.TOKEN else FAILED
    except RoomError as error:
        complain(discord_words.out_of_reach(error))
        return FAILED
    for line in discord_words.findings(found):
        say(line)
    is_fine = all(place.is_there and not place.missing for place in found.places)
    return FINE if is_fine else FAILED


async def _check_matrix(settings: Settings, clubs: Iterable[Club], limits: int) -> int:
    """Sign in to Matrix if need be, and say how things stand; return the exit code."""
    assert settings.matrix is not None
    access = matrix_access(settings.matrix, settings.folder, settings.clubs)
    rooms = [club.room_id for club in clubs if club.platform == "matrix"]
    rooms += [entry.room for entry in settings.clubs if entry.platform == "matrix"]
    try:
        found, is_signed = await sign_in_and_look(
            access, _ask_password, tuple(dict.fromkeys(rooms))
        )
    except RoomError as error:
        complain(matrix_words.check_failed(error))
        return FAILED
    for line in matrix_words.findings(found, is_signed=is_signed, limits=limits):
        say(line)
    is_fine = is_signed and all(place.may_post and place.may_redact for place in found.places)
    return FINE if is_fine else FAILED


def _ask_password() -> str:
    """Take the password from the environment, or ask for it where somebody can type it."""
    given = os.environ.get(PASSWORD_VARIABLE, "")
    if given or not sys.stdin.isatty():
        return given
    return getpass.getpass(matrix_words.PASSWORD_PROMPT)


def backup(arguments: argparse.Namespace) -> int:
    settings = read_config(arguments.config)
    if settings is None:
        return WRONG_INPUT

    async def copy() -> int:
        await backup_store(wiring.database_path(settings), arguments.file)
        say(terminal.backed_up(arguments.file))
        return FINE

    return run_until_done(copy())


def restore(arguments: argparse.Namespace) -> int:
    settings = read_config(arguments.config)
    if settings is None:
        return WRONG_INPUT

    async def put_back() -> int:
        kept = await restore_store(arguments.file, wiring.database_path(settings))
        say(terminal.restored(arguments.file, kept))
        return FINE

    return run_until_done(put_back())
