"""A process that saves acts one after another and says which are acknowledged, until killed.

It saves number FIRST and so on: a member, an entry, a notice and the event's reply, in one
transaction; after each it tells the number.
"""

from __future__ import annotations

import asyncio
from itertools import count
from multiprocessing.connection import Connection
from pathlib import Path

from bot.club.ports import QueueNotice, SaveEntry, SaveMember
from bot.club.state import Board, Member, MemberSolve
from bot.storage import open_store
from tests.bot.storage.samples import new_club, new_day


def names_of(number: int) -> tuple[str, str, str]:
    """Return the user id, the notice's key and the event's id of a number."""
    return f"user {number}", f"notice {number}", f"event {number}"


async def write(path: Path, first: int, telling: Connection) -> None:
    async with open_store(path) as store:
        club = await new_club(store)
        day = await store.load_day(club.id, (await new_day(store, club, 0)).date)
        assert day is not None
        for number in count(first):
            user_id, key, event_id = names_of(number)
            saved = await store.save(
                [
                    SaveMember(Member(0, club.id, user_id, f"Member {number}")),
                    SaveEntry(user_id, MemberSolve(0, day.id, 0, Board("." * 81), tries=number)),
                    QueueNotice(club.id, key, "room", b"solved"),
                ],
                event_id=event_id,
                reply=b"%d" % number,
            )
            if saved:
                telling.send(number)


def write_from(path: Path, first: int, telling: Connection) -> None:
    asyncio.run(write(path, first, telling))
