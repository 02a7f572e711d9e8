"""The toy platform's part of the wiring."""

from __future__ import annotations

from dataclasses import dataclass

from bot.platforms.toy.door import PLATFORM
from bot.platforms.toy.room import ToyRoom

from bot.config_tables import PlatformTable, text
from bot.wiring.platform import OpenRoom, Platform, RoomNeeds


@dataclass(frozen=True, slots=True)
class ToyAccess:
    shelf: str = "top"
    platform = PLATFORM
    secret = ""
    origin = ""

    async def make_room(self, needs: RoomNeeds) -> OpenRoom:
        clubs = [club.room for club in needs.clubs if club.platform == PLATFORM]
        room = ToyRoom(clubs, platform=PLATFORM)
        room.now = needs.now()
        return OpenRoom(room, lambda: (f"The toys are on the {self.shelf} shelf",))


TOY = Platform(
    name=PLATFORM,
    title="the toy box",
    leaders="whoever holds the toy",
    table=PlatformTable(
        keys={"shelf": (text, 'shelf = "top"')},
        make=lambda values, folder: ToyAccess(**values),
        founds_clubs=False,
    ),
    access=lambda own, host: own,
)
