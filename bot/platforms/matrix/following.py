"""Follows a club's room that was closed in favour of another (a tombstone) into that one.

Who closes a room says where it goes on; that counts from who leads there, and where the new room
says that it goes on from the old one. The move itself is theirs, as if they had typed it. Nothing
is remembered here that the rooms' state does not tell again.
"""

from __future__ import annotations

import logging
from collections.abc import Callable
from typing import Protocol

from bot.platforms.clubs import Clubs
from bot.platforms.matrix.door import Door
from bot.platforms.matrix.news import Closing
from bot.platforms.matrix.rights import lacking_in
from bot.platforms.matrix.server import Server
from bot.platforms.matrix.words import MatrixWords
from bot.platforms.message import (
    Answerer,
    Incoming,
    Message,
    RoomError,
    RoomUnreachableError,
)

_LOG = logging.getLogger("ninebark.matrix")

Ask = Callable[[Incoming], None]
"""Has an act carried out, and its answer told to who asked. It does not wait."""


class Tell(Protocol):
    """`tell` of a room."""

    async def __call__(self, room_id: str, user_id: str, message: Message, *, key: str) -> str:
        """Write to one person."""


class Following:
    """`ask` gets each move that is due, once while the process lives."""

    def __init__(
        self, server: Server, door: Door, clubs: Clubs, *, words: MatrixWords, ask: Ask
    ) -> None:
        self._server = server
        self._door = door
        self._clubs = clubs
        self._words = words
        self._ask = ask
        self._entered: set[str] = set()
        self._done: set[str] = set()

    def leads_to(self, room_id: str) -> bool:
        """Tell whether a club's room was closed in favour of this one, by who may."""
        return any(closing.room_id == room_id for _, closing in self._due())

    async def go_on(self) -> None:
        """Do for each closed room what can be done now; asked after each sync."""
        for left, closing in self._due():
            try:
                await self._follow(left, closing)
            except RoomError as problem:
                _LOG.warning("%s goes on in %s: %s", left, closing.room_id, problem)

    def _due(self) -> list[tuple[str, Closing]]:
        places = self._server.places
        closed = ((room_id, places.closing_of(room_id)) for room_id in self._clubs.room_ids)
        return [
            (room_id, closing)
            for room_id, closing in closed
            if closing is not None and self._door.leads(room_id, closing.sender)
        ]

    async def _follow(self, left: str, closing: Closing) -> None:
        places, room_id = self._server.places, closing.room_id
        if room_id in self._done:
            return
        if not places.is_in(room_id):
            await self._enter(room_id, closing.sender)
            return
        if places.predecessor_of(room_id) != left:
            self._done.add(room_id)
            _LOG.warning("%s does not go on from %s, whatever that says", room_id, left)
            if room_id in self._entered:
                await self._server.leave(room_id)
        elif not lacking_in(places, room_id, self._server.user_id, self._words).rights:
            self._done.add(room_id)
            line = self._words.move_line.format(room_id)
            self._ask(self._door.let_closing_in(left, closing, line))

    async def _enter(self, room_id: str, by: str) -> None:
        """Enter a room; where that is not allowed yet, an invitation is waited for."""
        if room_id in self._entered:
            return
        self._entered.add(room_id)
        try:
            await self._server.join_by(room_id, by)
        except RoomUnreachableError:
            self._entered.discard(room_id)
            raise


async def carry_out(wish: Incoming, clubs: Clubs, answer: Answerer, tell: Tell) -> None:
    """Have a club move, and tell who wished for it what came of that."""
    for number, message in enumerate(await answer(wish)):
        room_id, key = clubs.present(wish.room_id), f"{wish.event_id}:{number}"
        try:
            await tell(room_id, wish.user_id, message, key=key)
        except RoomError as problem:
            _LOG.warning("%s was not told of a move: %s", wish.user_id, problem)
