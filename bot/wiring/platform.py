"""What a platform is to the rest of Ninebark: a record, and what it is given and gives.

`bot.wiring.platforms` lists the records. What is particular to a platform is in its folder of
`bot/platforms` and in the modules that bear its name here, in `bot/wording` and in `bot/storage`;
all else goes through its record.
"""

from __future__ import annotations

from collections.abc import Awaitable, Callable, Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Generic, Protocol

from bot.club.links import NameProblemOf
from bot.config_tables import Own, PlatformTable
from bot.platforms.boards import Boards
from bot.platforms.links import Links
from bot.platforms.message import Answerer, Room, RoomError
from bot.schedule import Schedule
from bot.settings import ClubConfig
from bot.storage import SqliteStore
from bot.storage.memory import RoomMemory
from bot.wiring.served_rooms import ServedRooms


@dataclass(frozen=True, slots=True)
class Host:
    """What the host has set up: the data folder, the clubs of the config (of every platform), and
    the environment that secrets may come from."""

    folder: Path
    clubs: Sequence[ClubConfig]
    environment: Mapping[str, str]

    def clubs_on(self, platform: str) -> tuple[ClubConfig, ...]:
        """Return the config's clubs of one platform."""
        return tuple(club for club in self.clubs if club.platform == platform)


@dataclass(frozen=True, slots=True)
class RoomNeeds:
    """What a room is made with: the parts of the running bot, and the clubs of the config."""

    store: SqliteStore
    schedule: Schedule
    answer: Answerer
    now: Callable[[], datetime]
    clubs: Sequence[ClubConfig]
    boards: Boards
    links: Links
    served: ServedRooms


@dataclass(frozen=True, slots=True)
class OpenRoom:
    """A room, and what the host is told once it has started."""

    room: Room
    announce: Callable[[], Sequence[str]]


class Access(Protocol):
    """How one platform is reached, by the config and the host's environment."""

    @property
    def platform(self) -> str:
        """The platform's name."""

    @property
    def secret(self) -> str:
        """What no log may hold; empty where there is nothing."""

    @property
    def origin(self) -> str:
        """Where a browser anywhere reaches the page that this platform is, without a slash at the
        end; empty where it is none, or cannot be reached."""

    async def make_room(self, needs: RoomNeeds) -> OpenRoom:
        """Return the room for all the clubs there, not yet started. Raises RoomError."""


@dataclass(frozen=True, slots=True)
class Told:
    """What the host is told of a failure. `is_input`: what the host gave is wrong."""

    text: str
    is_input: bool = False


@dataclass(frozen=True, slots=True)
class Checked:
    """What `ninebark check` found: lines to tell, and what is wrong where it could not look."""

    lines: Sequence[str] = ()
    is_fine: bool = True
    failure: Told | None = None


Check = Callable[[Own, Host, Collection[str], SqliteStore], Awaitable[Checked]]
"""Looks from outside whether clubs in these rooms could be served; changes nothing there."""


async def nothing_to_check(
    own: object, host: Host, room_ids: Collection[str], store: SqliteStore
) -> Checked:
    """Find all well, for a platform that is on this machine."""
    return Checked()


@dataclass(frozen=True, slots=True)
class Platform(Generic[Own]):
    """One platform. `Own` is what its table in the config is made into.

    - `name`: in the config and the database; `title`: in what is told to the host.
    - `leaders`: who leads a club for which the config names nobody, in words.
    - `access`: raises RoomError where something is missing to reach it.
    - `explain`: says what a failure means; None for one that is not of this platform alone.
    - `memory`: what the store keeps for its room, None where there is nothing.
    - `leader_id`: the user id of a leader as the config or a club's settings name them; raises
      ValueError for nobody there.
    - `name_problem`: why nobody can come in under a name that a leader gives them.
    """

    name: str
    title: str
    leaders: str
    table: PlatformTable[Own]
    access: Callable[[Own, Host], Access]
    explain: Callable[[RoomError], Told | None] = lambda error: None
    check: Check[Own] = nothing_to_check
    memory: RoomMemory | None = None
    leader_id: Callable[[str], str] = str
    name_problem: NameProblemOf = lambda name, club, known: None
