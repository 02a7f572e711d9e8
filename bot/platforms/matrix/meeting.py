"""What is said in a chat that somebody has opened, before it is known which club it is for.

It greets, asks where there are several clubs, and remembers. A line of the chat is handed on when
there is a club for it; a choice is taken only from the chat's own person, among their clubs.
"""

from __future__ import annotations

from dataclasses import replace

from bot.platforms.matrix.journal import DirectRoom, Draft, InboxEvent
from bot.platforms.matrix.layout import Piece, lay_out_answer, lay_out_notice
from bot.platforms.matrix.line import Line
from bot.platforms.matrix.reading import KEYCAPS
from bot.platforms.matrix.words import MatrixWords
from bot.platforms.message import Button, Message

AGAIN = "clubs"
"""The line that asks for the question which club a chat is for."""


class Meeting:
    """`prefix`: the sign before a command in the open room."""

    def __init__(self, line: Line, words: MatrixWords, prefix: str) -> None:
        self._line = line
        self._words = words
        self._prefix = prefix

    async def greet(self, chat: DirectRoom) -> None:
        """Say once in a chat that was opened just now what it is for, or ask. Raises RoomError."""
        target = chat.target or ""
        clubs = await self._line.direct.clubs_of(chat.user_id)
        if not self._line.server.can_read(target):
            await self.explain_unreadable(target)
        elif len(clubs) > 1:
            await self._ask(f"which:{target}", target, clubs)
        elif clubs:
            title = self._line.server.places.title_of(clubs[0])
            await self._say(f"greeting:{target}", target, self._words.greeting.format(title))
        else:
            await self._say_no_club(f"greeting:{target}", target)

    async def settle(self, event: InboxEvent, text: str) -> str | None:
        """Return the club that a line in a chat without one is for; None: it is answered here.

        Raises RoomError.
        """
        clubs, key = await self._line.direct.clubs_of(event.sender), f"answer:{event.event_id}"
        if len(clubs) == 1:
            await self._line.direct.turn_to(clubs[0], event.sender, event.room_id)
            return clubs[0]
        if not clubs:
            await self._say_no_club(f"{key}:which", event.room_id)
        elif (chosen := self._named(text, clubs)) is not None:
            await self._choose(event, chosen)
        else:
            await self._ask(f"{key}:which", event.room_id, clubs)
        return None

    async def ask_again(self, event: InboxEvent) -> bool:
        """Ask once more which club a chat is for; False where there is nothing to choose."""
        clubs = await self._line.direct.clubs_of(event.sender)
        own = await self._line.journal.load_direct("", event.sender)
        if own is None or own.target != event.room_id or len(clubs) < 2:
            return False
        await self._line.direct.turn_to("", event.sender, event.room_id)
        await self._ask(f"answer:{event.event_id}:which", event.room_id, clubs)
        return True

    async def press(self, event: InboxEvent, asked: Draft, choice: int) -> None:
        """Take a reaction to the question as its answer, from the person of the chat."""
        chat = await self._line.direct.find(event.room_id)
        is_theirs = chat is not None and chat.user_id == event.sender
        if not is_theirs or asked.target != event.room_id or choice >= len(asked.commands):
            return
        if asked.commands[choice] in await self._line.direct.clubs_of(event.sender):
            await self._choose(event, asked.commands[choice])

    async def explain_unreadable(self, target: str) -> None:
        """Say in a chat, once and in clear, that the bot reads nothing in it."""
        text = self._words.unreadable_chat.format(self._prefix)
        await self._line.outbox.deliver(
            "", f"unreadable:{target}", target, (lay_out_notice(text),), in_clear=True
        )

    async def _choose(self, event: InboxEvent, room_id: str) -> None:
        await self._line.direct.turn_to(room_id, event.sender, event.room_id)
        title = self._line.server.places.title_of(room_id)
        key = f"answer:{event.event_id}:chosen"
        await self._say(key, event.room_id, self._words.chosen.format(title))

    def _named(self, text: str, clubs: tuple[str, ...]) -> str | None:
        """Return the club that a line names by its number or its name."""
        named = text.strip().casefold()
        titles = [self._line.server.places.title_of(each).strip().casefold() for each in clubs]
        if named.isascii() and named.isdigit() and 1 <= int(named[:3]) <= len(clubs):
            return clubs[int(named[:3]) - 1]
        return clubs[titles.index(named)] if titles.count(named) == 1 else None

    async def _ask(self, key: str, target: str, clubs: tuple[str, ...]) -> None:
        offered = clubs[: len(KEYCAPS)]
        titles = map(self._line.server.places.title_of, offered)
        buttons = tuple(Button(title, str(n)) for n, title in enumerate(titles, start=1))
        message = Message(self._words.which_club, buttons=buttons)
        (piece,) = lay_out_answer(message, self._words, is_quiet=False)
        # A mark stands for the club that it was shown beside, whichever they are in later.
        await self._deliver(key, target, replace(piece, commands=offered))

    async def _say_no_club(self, key: str, target: str) -> None:
        await self._say(key, target, self._words.no_club.format(self._prefix))

    async def _say(self, key: str, target: str, text: str) -> None:
        await self._deliver(key, target, lay_out_notice(text))

    async def _deliver(self, key: str, target: str, piece: Piece) -> None:
        await self._line.outbox.deliver("", key, target, (piece,))
