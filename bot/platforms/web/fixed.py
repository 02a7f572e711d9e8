"""What a room of the page is asked as every platform's is, where the page has but one answer: it
is our own, so nothing is lacking, and the config alone says which rooms there are and who leads.
"""

from __future__ import annotations

from bot.platforms.message import Lacking, Place


class FixedRooms:
    """`rooms_stay`: what a leader is told who would move a club."""

    def __init__(self, rooms_stay: str) -> None:
        self._rooms_stay = rooms_stay

    def lacking(self, room_id: str) -> Lacking | None:
        """Lack nothing: the page is our own."""
        return Lacking()

    def in_charge(self, room_id: str) -> tuple[str, ...]:
        """Know of nobody whom neither config nor club names."""
        return ()

    async def is_up(self, room_id: str, reference: str) -> bool:
        """Have every post of ours up: nobody takes one from the page."""
        return True

    def server_of(self, room_id: str) -> str:
        """Know of nothing around a room."""
        return ""

    async def find_place(self, room_id: str, named: str, user_id: str) -> Place:
        """Find none: the config has a club in each room of the page."""
        return Place(how=self._rooms_stay)
