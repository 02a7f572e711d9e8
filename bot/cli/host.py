"""The host's side of the command line: try, run, check, backup, restore."""

from __future__ import annotations

import argparse
import asyncio
import logging
import os
import sys
from collections.abc import Coroutine, Sequence
from pathlib import Path
from typing import Any

from bot.cli.engine import FAILED, FINE, WRONG_INPUT, complain, say
from bot.club.state import Club
from bot.drawing.pen import can_print
from bot.photo.told import can_read_photos
from bot.platforms.links import without_secrets
from bot.platforms.message import RoomError
from bot.settings import ConfigError, Settings
from bot.storage import SqliteStore, backup_store, open_store, restore_store
from bot.storage.errors import StorageError
from bot.wiring import running as wiring
from bot.wiring.demo import run_demo
from bot.wiring.platform import Access, Host, Told
from bot.wiring.platforms import BY_NAME, explain_failure, read_settings
from bot.wiring.side_by_side import PlatformFailedError
from bot.wording import photo, sheets, terminal


def run_until_done(work: Coroutine[Any, Any, int]) -> int:
    """Run async work; turn the expected failures into words and an exit code."""
    try:
        return asyncio.run(work)
    except StorageError as error:
        complain(terminal.storage_error(error))
        # What may pass by itself is tried again by the guide's service, which gives up on 2.
        return FAILED if error.may_pass else WRONG_INPUT
    except PlatformFailedError as error:
        return _complain_of(explain_failure(error.platform, error.failure))


def _complain_of(told: Told) -> int:
    complain(told.text)
    return WRONG_INPUT if told.is_input else FAILED


def read_config(path: Path) -> Settings | None:
    """Return the checked config; None after a complaint."""
    try:
        return read_settings(path)
    except ConfigError as error:
        complain(terminal.config_error(error))
        return None


def host_of(settings: Settings) -> Host:
    """Return what the host has set up."""
    return Host(settings.folder, settings.clubs, os.environ)


def _read_accesses(settings: Settings) -> Sequence[Access] | None:
    """Return how each platform of the config is reached; None after a complaint."""
    accesses = []
    for name, own in settings.platforms.items():
        try:
            accesses.append(BY_NAME[name].access(own, host_of(settings)))
        except RoomError as error:
            _complain_of(explain_failure(name, error))
            return None
    return accesses


class KeepSecrets(logging.Formatter):
    """Takes secrets out of every line, whoever logged it: a second lock. A platform's library may
    log all that it sends, people's links included."""

    def __init__(self, layout: str, secrets: Sequence[str]) -> None:
        super().__init__(layout)
        self._secrets = secrets

    def format(self, record: logging.LogRecord) -> str:
        """Return the line without what nobody may read there."""
        line = without_secrets(super().format(record))
        for secret in self._secrets:
            line = line.replace(secret, "[token]")
        return line


def _set_up_log(level: str, *, secrets: Sequence[str] = ()) -> None:
    layout = "%(asctime)s %(levelname)s %(name)s: %(message)s"
    out = logging.StreamHandler(sys.stderr)
    out.setFormatter(KeepSecrets(layout, secrets))
    logging.basicConfig(level=level.upper(), handlers=[out])


def try_out(arguments: argparse.Namespace) -> int:
    """Serve the demo club until it is ended."""
    if not 0 <= arguments.port <= 65535:
        complain(terminal.port_wrong(arguments.port))
        return WRONG_INPUT
    _set_up_log("warning")
    return run_until_done(
        run_demo(
            port=arguments.port,
            folder=arguments.data,
            open_browser=not arguments.no_browser,
            announce=say,
        )
    )


def run(arguments: argparse.Namespace) -> int:
    """Run the clubs of a config until they are ended; a config that cannot work starts nothing."""
    settings = read_config(arguments.config)
    if settings is None:
        return WRONG_INPUT
    accesses = _read_accesses(settings)
    if accesses is None:
        return WRONG_INPUT
    secrets = [access.secret for access in accesses if access.secret]
    _set_up_log(settings.log_level, secrets=secrets)
    return run_until_done(wiring.run_clubs(settings, accesses, announce=say))


def check(arguments: argparse.Namespace) -> int:
    """Say whether the config could be served as it is; return the exit code."""
    settings = read_config(arguments.config)
    if settings is None:
        return WRONG_INPUT

    async def look() -> int:
        async with open_store(wiring.database_path(settings), alone=False) as store:
            clubs = await store.load_clubs()
            for entry in settings.clubs:
                is_known = await store.load_club(entry.platform, entry.room) is not None
                leaders = BY_NAME[entry.platform].leaders
                say(terminal.club_line(entry, leaders, is_known=is_known))
            # Each is looked at by itself: what is wrong with one hides nothing of another.
            codes = [await _check(name, settings, store, clubs) for name in settings.platforms]
        if not can_read_photos():
            say(photo.NO_PHOTOS)
        if not can_print():
            say(sheets.NOT_INSTALLED)
        code = max(codes, default=FINE)
        if code == FINE:
            say(terminal.CONFIG_FINE)
        return code

    return run_until_done(look())


async def _check(name: str, settings: Settings, store: SqliteStore, clubs: Sequence[Club]) -> int:
    """Say how things stand on a platform; return FINE where every club could work there."""
    host = host_of(settings)
    rooms = [club.room_id for club in clubs if club.platform == name]
    for entry in host.clubs_on(name):
        # A club may have moved out of the room that the config names.
        if await store.load_club(name, entry.room) is None:
            rooms.append(entry.room)
    try:
        checked = await BY_NAME[name].check(
            settings.platforms[name], host, tuple(dict.fromkeys(rooms)), store
        )
    except RoomError as error:
        return _complain_of(explain_failure(name, error))
    code = FINE if checked.is_fine else FAILED
    if checked.failure is not None:
        code = _complain_of(checked.failure)
    for line in checked.lines:
        say(line)
    return code


def backup(arguments: argparse.Namespace) -> int:
    """Copy the database of a config to a new file."""
    settings = read_config(arguments.config)
    if settings is None:
        return WRONG_INPUT

    async def copy() -> int:
        await backup_store(wiring.database_path(settings), arguments.file)
        say(terminal.backed_up(arguments.file))
        return FINE

    return run_until_done(copy())


def restore(arguments: argparse.Namespace) -> int:
    """Put a copy in the place of a config's database, which is kept beside it."""
    settings = read_config(arguments.config)
    if settings is None:
        return WRONG_INPUT

    async def put_back() -> int:
        kept = await restore_store(arguments.file, wiring.database_path(settings))
        say(terminal.restored(arguments.file, kept))
        return FINE

    return run_until_done(put_back())
