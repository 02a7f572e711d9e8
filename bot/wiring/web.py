"""The web room's part of the wiring: its table, its page, and who is known to the clubs on it."""

from __future__ import annotations

import ipaddress
import secrets
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from bot import assets
from bot.club.links import NameProblem
from bot.club.notations import whole
from bot.club.state import Club
from bot.config_tables import PlatformTable, list_of, text
from bot.exchange import draw_again
from bot.photo.told import can_read_photos
from bot.platforms.links import Links
from bot.platforms.message import RoomError
from bot.platforms.web.address import PublicAddress, parse_address
from bot.platforms.web.door import PLATFORM, PageClubs, Place
from bot.platforms.web.front import LOOPBACK, Front, Listening, Network, parse_network
from bot.platforms.web.guard import clean_name, user_id_of
from bot.platforms.web.names import People, find_problem
from bot.platforms.web.refusals import AddressTakenError, WebProblem
from bot.platforms.web.room import WebRoom
from bot.storage.web import MEMORY, SqliteRoomLog
from bot.wiring.platform import OpenRoom, Platform, RoomNeeds, Told
from bot.wording import web as words


@dataclass(frozen=True, slots=True)
class WebAccess:
    """The `[web]` table: where the page listens; port 0 takes any that is free. `address` is what
    the host's proxy in front of it is called, None where nobody comes from elsewhere; `proxies` are
    believed when they say where a request came from."""

    host: str = "127.0.0.1"
    port: int = 8317
    address: PublicAddress | None = None
    proxies: tuple[Network, ...] = LOOPBACK
    platform = PLATFORM
    secret = ""

    @property
    def origin(self) -> str:
        """Where links lead, empty without an address."""
        return "" if self.address is None else self.address.origin

    async def make_room(self, needs: RoomNeeds) -> OpenRoom:
        """Return the page for the clubs of the config."""
        store = needs.store
        clubs = [club for club in needs.clubs if club.platform == PLATFORM]

        async def name_of(room_id: str) -> str | None:
            club = await store.load_club(PLATFORM, room_id)
            return None if club is None else club.settings.name

        async def people_of(room_id: str) -> People:
            club = await store.load_club(PLATFORM, room_id)
            if club is None:
                return People()
            return People(club.settings.leaders, await store.load_member_names(club.id))

        places = {club.room: Place(club.settings.name, club.settings.leaders) for club in clubs}
        front = None if self.address is None else Front(self.address, self.proxies)
        room = WebRoom(
            PageClubs(
                places,
                name_of,
                people_of,
                needs.boards,
                self._links(needs),
                takes_photos=can_read_photos(),
            ),
            at=Listening(self.host, self.port, front),
            shipped=assets.path(),
            log=SqliteRoomLog(store.database, draw=draw_again),
            now=needs.now,
            token=secrets.token_hex,
            words=words.WEB,
        )
        place = str(self.address or "")

        def announce() -> Sequence[str]:
            return [words.page_ready(club.settings.name, place or room.url) for club in clubs]

        return OpenRoom(room, announce)

    def _links(self, needs: RoomNeeds) -> Links | None:
        return None if self.address is None else needs.links


def _loopback(value: Any) -> str:
    try:
        if value == "localhost" or ipaddress.ip_address(value).is_loopback:
            return str(value)
    except ValueError:
        pass
    raise ValueError(value)


def _address(value: Any) -> PublicAddress:
    return parse_address(text(value))


def _network(value: Any) -> Network:
    return parse_network(text(value))


_NAME_PROBLEMS = {
    WebProblem.NAME: NameProblem.UNREADABLE,
    WebProblem.NAME_RESERVED: NameProblem.RESERVED,
    WebProblem.NAME_MIXED: NameProblem.MIXED,
}


def _name_problem(name: str, club: Club, known: Mapping[str, str]) -> NameProblem | None:
    settings = club.settings
    people = People(settings.leaders, known)
    problem = find_problem(clean_name(name), people, (settings.name,), words.NAMES)
    return None if problem is None else _NAME_PROBLEMS.get(problem, NameProblem.TAKEN)


def _explain(error: RoomError) -> Told | None:
    if isinstance(error, AddressTakenError):
        return Told(words.address_taken(error.host, error.port), is_input=False)
    return None


WEB = Platform(
    name=PLATFORM,
    title=words.TITLE,
    leaders=words.LEADERS,
    table=PlatformTable(
        keys={
            "host": (_loopback, 'host = "127.0.0.1"'),
            "port": (whole(0, 65535).check, "port = 8317"),
            "address": (_address, 'address = "https://club.example.org"'),
            "proxies": (list_of(_network), 'proxies = ["127.0.0.1", "::1"]'),
        },
        make=lambda values, folder: WebAccess(**values),
        founds_clubs=False,
        # Members of every club come to their boards by it.
        is_for_all=lambda own: own.address is not None,
    ),
    access=lambda own, host: own,
    explain=_explain,
    memory=MEMORY,
    leader_id=user_id_of,
    name_problem=_name_problem,
)
