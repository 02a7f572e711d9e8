"""The host's invitation on the command line: a link into a club's room, for its first leader."""

from __future__ import annotations

import argparse

from bot.cli.engine import FINE, WRONG_INPUT, complain, say
from bot.cli.host import host_of, read_config, run_until_done
from bot.cli.puzzles import Shelf, choose_club, clubs_of
from bot.storage.rows import utc_now
from bot.wiring import running as wiring
from bot.wiring.links import links_of
from bot.wiring.platforms import BY_NAME
from bot.wording import terminal


def invite(arguments: argparse.Namespace) -> int:
    """Print a link for somebody, and write the sheet with it where one is wanted."""
    settings = read_config(arguments.config)
    if settings is None:
        return WRONG_INPUT
    # The others may need a secret that this command can do without.
    homes = [
        BY_NAME[name].access(own, host_of(settings))
        for name, own in settings.platforms.items()
        if BY_NAME[name].table.is_for_all(own)
    ]
    shelf = Shelf(wiring.database_path(settings), settings)

    async def make() -> int:
        async with shelf.open() as store:
            links = links_of(store, utc_now, homes)
            clubs = [each for each in await clubs_of(shelf, store) if each.platform == links.home]
            if not clubs:
                complain(terminal.NO_ROOM_FOR_LINKS)
                return WRONG_INPUT
            club = choose_club(clubs, arguments.room)
            if club is None:
                return WRONG_INPUT
            problem = await links.name_problem(club, arguments.name)
            if problem is not None:
                complain(terminal.nobody_invited(problem))
                return WRONG_INPUT
            link = await links.invite(club, " ".join(arguments.name.split()))
        if arguments.sheet is not None and link.sheet is not None:
            try:
                arguments.sheet.write_bytes(link.sheet.raw)
            except OSError as error:
                complain(terminal.sheet_unwritable(arguments.sheet, error.strerror or ""))
                return WRONG_INPUT
        say(link.address)
        return FINE

    return run_until_done(make())
