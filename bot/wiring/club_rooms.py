"""The clubs of one platform by their rooms, while the bot runs: founded, lost, found again.

Every platform whose clubs can be founded or lost from outside has one of these.
"""

from __future__ import annotations

from bot.club.state import Club
from bot.commands.table import name_of
from bot.founding import Founding
from bot.platforms.clubs import Clubs
from bot.storage.meant import SqliteMeant
from bot.wiring.platform import RoomNeeds


class ClubRooms:
    """`load` makes one; `as_clubs` is what its room is given. `clubs` and `left`: the ids of the
    clubs that meet in a room, and that have met there last."""

    def __init__(
        self, platform: str, needs: RoomNeeds, clubs: dict[str, int], left: dict[str, int]
    ) -> None:
        self._platform = platform
        self._needs = needs
        self._clubs = clubs
        self._left = left
        needs.served.watch(self.moved)

    @classmethod
    async def load(cls, platform: str, needs: RoomNeeds) -> ClubRooms:
        """Return the clubs of a platform that the store knows."""
        clubs = await needs.store.load_clubs()
        own = {each.room_id: each.id for each in clubs if each.platform == platform}
        return cls(platform, needs, own, await needs.store.load_left_rooms(platform))

    def as_clubs(self) -> Clubs:
        """Return the clubs as a room sees them: founded by its leaders, lost and found by it."""
        founding = Founding(self._needs.store, self._needs.answer, self.open)
        return Clubs(
            self._clubs.keys(),
            founding,
            self.place_changed,
            self.clubs_of,
            self.present,
            self.server_of,
            self.clubs_in,
            self.led_by,
            begins_clock,
            SqliteMeant(self._needs.store.database, self._platform, self._needs.now),
        )

    def place_changed(self, room_id: str, is_there: bool) -> None:
        """Have the club of a room rest, or come back. Rooms without a club don't matter."""
        club_id = self._clubs.get(room_id)
        if club_id is not None and is_there:
            self._needs.schedule.come_back(club_id)
        elif club_id is not None:
            self._needs.schedule.rest(club_id)

    def open(self, club: Club) -> None:
        """Take up a club that was founded just now."""
        self._clubs[club.room_id] = club.id
        self._needs.schedule.wake()

    def moved(self, club_id: int, room_id: str) -> None:
        """Note that a club meets in another room from now on; those elsewhere don't matter."""
        for left, there in tuple(self._clubs.items()):
            if there == club_id:
                del self._clubs[left]
                self._left[left] = club_id
                self._clubs[room_id] = club_id

    def present(self, room_id: str) -> str:
        """Return where the club meets that has left a room; the room itself where there is none."""
        club_id = self._left.get(room_id)
        if club_id is None or room_id in self._clubs:
            return room_id
        return next((room for room, there in self._clubs.items() if there == club_id), room_id)

    async def clubs_of(self, user_id: str) -> tuple[str, ...]:
        """Return the rooms of the clubs that know a person."""
        known = await self._needs.store.load_clubs_of(self._platform, user_id)
        return tuple(club.room_id for club in known)

    async def led_by(self, user_id: str) -> tuple[str, ...]:
        """Return the rooms of the clubs whose own list of leaders names a person."""
        clubs = await self._needs.store.load_clubs()
        found = (each for each in clubs if each.platform == self._platform)
        return tuple(club.room_id for club in found if user_id in club.settings.leaders)

    async def clubs_in(self, server: str) -> tuple[str, ...]:
        """Return the rooms of the clubs that were part of something, such as a server."""
        clubs = await self._needs.store.load_clubs()
        found = (each for each in clubs if each.platform == self._platform)
        return tuple(club.room_id for club in found if club.server == server)

    async def server_of(self, room_id: str) -> str:
        """Return what a club's room was part of when that was told last."""
        club = await self._needs.store.load_club(self._platform, room_id)
        return "" if club is None else club.server


def begins_clock(line: str) -> bool:
    """Tell whether a line begins a member's clock."""
    return name_of(line) == "start"
