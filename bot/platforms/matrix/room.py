"""The club's room in Matrix, open or encrypted: one object serves all rooms of one account.

What comes in waits in the journal until it is answered, so a crash loses nothing; what goes out has
a key and goes out once. Private answers go to a direct room of each member. This file knows its
library, the journal's port and `message`; it never looks into what is said.
"""

from __future__ import annotations

import asyncio
import logging
from collections.abc import Callable
from contextlib import ExitStack
from dataclasses import dataclass
from datetime import datetime
from functools import partial
from hashlib import sha256
from pathlib import Path

from bot.platforms.clubs import Clubs
from bot.platforms.matrix.caring import Caring
from bot.platforms.matrix.direct import DirectRooms
from bot.platforms.matrix.door import PLATFORM, Door
from bot.platforms.matrix.errors import UnencryptedError
from bot.platforms.matrix.following import Following, carry_out
from bot.platforms.matrix.hearing import Hearing
from bot.platforms.matrix.invitations import Invitations
from bot.platforms.matrix.journal import Draft, InboxEvent, Journal
from bot.platforms.matrix.lanes import patiently
from bot.platforms.matrix.layout import (
    lay_out_answer,
    lay_out_edit,
    lay_out_notice,
    lay_out_post,
    lay_out_thread,
    lay_out_under,
)
from bot.platforms.matrix.line import Line
from bot.platforms.matrix.naming import find_place
from bot.platforms.matrix.outbox import Outbox
from bot.platforms.matrix.patience import Patience, Wait
from bot.platforms.matrix.queue_told import QueueTold
from bot.platforms.matrix.rights import lacking_in, leaders_in
from bot.platforms.matrix.server import Server
from bot.platforms.matrix.session import hold_folder, load_session
from bot.platforms.matrix.settings import MatrixSettings
from bot.platforms.matrix.stream import Stream
from bot.platforms.matrix.words import MatrixWords
from bot.platforms.message import (
    Answerer,
    Incoming,
    Lacking,
    Message,
    Place,
    PlatformRefusedError,
    RoomError,
    RoomGoneError,
    RoomUnreachableError,
)

FAREWELL_SECONDS = 5.0

_LOG = logging.getLogger("ninebark.matrix")


@dataclass(frozen=True, slots=True)
class _SignedIn:
    """What the room works with from a start to its end."""

    line: Line
    invitations: Invitations
    following: Following
    hearing: Hearing


class MatrixRoom:
    """The Room of `bot.platforms.message`, for all `clubs`. `folder` holds the sign-in."""

    platform = PLATFORM
    offers_themes = False

    def __init__(
        self,
        settings: MatrixSettings,
        folder: Path,
        clubs: Clubs,
        *,
        journal: Journal,
        words: MatrixWords,
        now: Callable[[], datetime],
        wait: Wait = asyncio.sleep,
    ) -> None:
        self._settings = settings
        self._folder = folder
        self._clubs = clubs
        self._journal = journal
        self._words = words
        self._now = now
        self._wait = wait
        self._held = ExitStack()
        self._lacking: dict[str, Lacking | None] = {}
        self._complained: set[str] = set()
        self._has_begun = False
        self._signed_in: _SignedIn | None = None
        self._listening: asyncio.Task[None] | None = None
        self._refusal: PlatformRefusedError | None = None

    async def start(self, answer: Answerer) -> None:
        """Sign in and listen. Raises SessionLostError, StoreInUseError, PlatformRefusedError.

        A homeserver that is away just now is waited for in the background.
        """
        self._held.enter_context(hold_folder(self._folder))
        try:
            await self._begin(answer)
        except BaseException:
            await self.stop()
            raise

    async def _begin(self, answer: Answerer) -> None:
        settings = self._settings
        session = load_session(self._folder, settings.user, settings.homeserver)
        signed_in = self._put_together(
            Server(session, self._folder, encrypt=settings.encrypt), answer
        )
        self._signed_in = signed_in
        stream = Stream(
            signed_in.line.server,
            self._journal,
            now=self._now,
            wait=self._wait,
            heard=partial(self._heard, signed_in),
        )
        try:
            await stream.begin()
        except PlatformRefusedError:
            raise
        except RoomError as problem:
            _LOG.warning("the homeserver is out of reach: %s", problem)
        except Exception:
            # Whatever it is, listening goes on, and the clubs elsewhere are none the worse.
            _LOG.exception("the first sync could not be taken in")
        self._listening = asyncio.create_task(self._listen(stream), name="matrix stream")

    def _put_together(self, server: Server, answer: Answerer) -> _SignedIn:
        settings, rooms = self._settings, self._clubs.room_ids
        patience = Patience(self._journal, self._wait)
        direct = DirectRooms(server, self._journal, self._words, self._wait, patience, self._clubs)
        outbox = Outbox(server, self._journal, patience)
        caring = Caring(server, self._folder, settings.inviters, self._now)
        line = Line(server, self._journal, outbox, direct, caring)
        door = Door(
            server.places, direct, clubs=self._clubs, allowed=settings.inviters, now=self._now
        )
        hearing = Hearing(
            line,
            door,
            answer=answer,
            clubs=self._clubs,
            words=self._words,
            prefix=settings.prefix,
            now=self._now,
            wait=self._wait,
        )
        queue = QueueTold(line, hearing.lanes, self._words, self._now, self._wait)
        direct.openings.tell_queue = queue.tell

        def move(wish: Incoming) -> None:
            hearing.lanes.put(
                f"move of {wish.room_id}", partial(carry_out, wish, self._clubs, answer, self.tell)
            )

        following = Following(server, door, self._clubs, words=self._words, ask=move)
        invitations = Invitations(
            server, direct, settings.inviters, rooms, following.leads_to, self._words.declined
        )
        return _SignedIn(line, invitations, following, hearing)

    @property
    def is_connected(self) -> bool:
        """Whether the homeserver has answered since the start."""
        return self._has_begun

    async def stop(self) -> None:
        """Let acts under way be answered, for FAREWELL_SECONDS at most, then sign off, the device
        kept."""
        signed_in = self._signed_in
        if self._listening is not None and signed_in is not None:
            await signed_in.hearing.lanes.finish(FAREWELL_SECONDS)
            self._listening.cancel()
            await asyncio.gather(self._listening, return_exceptions=True)
            self._listening = None
        if signed_in is not None:
            await signed_in.line.server.close()
        self._held.close()

    async def ended(self) -> None:
        """Wait until the listening is over for good. Raises PlatformRefusedError."""
        if self._listening is not None:
            await asyncio.wait((self._listening,))
        if self._refusal is not None:
            raise self._refusal

    # --- the Room ---

    async def post(
        self, room_id: str, message: Message, *, key: str, may_wait: bool = False
    ) -> str:
        """Post in a club's room, once per key; its reactions follow. Raises RoomError; where the
        room is encrypted and we are not able to, UnencryptedError."""
        signed_in = self._require(room_id)
        outbox = signed_in.line.outbox
        pieces = lay_out_post(message, self._words, self._settings.prefix)
        key = f"post:{key}"
        try:
            reference = await outbox.deliver(room_id, key, room_id, pieces, at_most=1)
        except UnencryptedError:
            self._complain(signed_in, room_id)
            raise
        # The post is up: whoever answers it at once must not have to wait for its reactions.
        if len(pieces) > 1:
            rest = partial(outbox.finish, room_id, key)
            signed_in.hearing.lanes.put(f"rest of {room_id}", partial(patiently, rest, self._wait))
        return reference

    async def find_post(self, room_id: str, key: str) -> str | None:
        """Return the event of the post with this key, from our own book; None where none is out."""
        return await self._require(room_id).line.outbox.find(room_id, f"post:{key}")

    async def stamp_of(self, room_id: str, reference: str) -> datetime | None:
        """Ask the homeserver for its stamp of a post of ours. Raises RoomError."""
        line, _ = await self._post_of_ours(room_id, reference)
        return await line.server.stamp_of(room_id, reference)

    async def is_up(self, room_id: str, reference: str) -> bool:
        """Ask the homeserver for a post, of which nothing is left where it was taken away."""
        return await self._require(room_id).line.server.has_content(room_id, reference)

    async def edit(self, room_id: str, reference: str, message: Message, *, key: str) -> str:
        """Replace a post of ours, unless it says this already. Raises RoomError."""
        line, post = await self._post_of_ours(room_id, reference)
        piece = lay_out_edit(message, self._words, self._settings.prefix, reference)
        said = repr((piece.content, message.picture))
        await line.outbox.deliver_newest(room_id, f"edit:{reference}", piece, said)
        # Its reactions stay, and mean what it says now; one that it lacks tells that it is over.
        left = post.commands[len(piece.commands) :]
        await self._journal.change_commands(reference, (*piece.commands, *left))
        return reference

    async def post_thread(
        self, room_id: str, reference: str, title: str, messages: tuple[Message, ...], *, key: str
    ) -> str:
        """Write a thread under a post of ours, once per key. Raises RoomError."""
        line, _ = await self._post_of_ours(room_id, reference)
        pieces = lay_out_thread(title, messages, self._words, under=reference)
        return await line.outbox.deliver(room_id, f"thread:{key}", room_id, pieces)

    async def post_under(
        self, room_id: str, reference: str, title: str, message: Message, *, key: str
    ) -> str:
        """Write one event in a thread, which has no title here, once per key. Raises RoomError."""
        line, _ = await self._post_of_ours(room_id, reference)
        pieces = lay_out_under(message, self._words, self._settings.prefix, under=reference)
        return await line.outbox.deliver(room_id, f"post:{key}", room_id, pieces)

    async def tell(self, room_id: str, user_id: str, message: Message, *, key: str) -> str:
        """Write to one person's private room, opened where there is none yet, once per key."""
        line = self._require(room_id).line
        target = await line.direct.ensure(room_id, user_id)
        pieces = lay_out_answer(message, self._words, is_quiet=False)
        return await line.outbox.deliver(room_id, f"tell:{user_id}:{key}", target, pieces)

    async def remove(self, room_id: str, message_id: str) -> bool:
        """Redact a message that we have heard; False where it is another room's or we may not."""
        line = self._require(room_id).line
        said = await self._journal.load_event(message_id)
        if said is None or self._clubs.present(said.room_id) != room_id:
            return False
        transaction_id = sha256(f"remove {message_id}".encode()).hexdigest()[:40]
        try:
            await line.outbox.remove(said.room_id, message_id, transaction_id)
        except RoomUnreachableError:
            raise
        except RoomError as problem:
            _LOG.warning("an answer in the open stays there: %s", problem)
            return False
        return True

    def lacking(self, room_id: str) -> Lacking | None:
        """Return what the bot may not do in a club's room, by the room's state."""
        if self._signed_in is None or not self._has_begun:
            return None
        places, us = self._signed_in.line.server.places, self._settings.user
        return lacking_in(places, room_id, us, self._words)

    def server_of(self, room_id: str) -> str:
        """There is nothing around a room."""
        return ""

    async def find_place(self, room_id: str, named: str, user_id: str) -> Place:
        """Return the room that somebody names, as its state has it for them."""
        signed_in = self._signed_in
        if signed_in is None:
            raise RoomUnreachableError("not connected yet")
        server, leads = signed_in.line.server, signed_in.hearing.door.leads
        return await find_place(server, named, user_id, self._words, leads)

    def in_charge(self, room_id: str) -> tuple[str, ...]:
        """Return who is in a room with the power to lead."""
        if self._signed_in is None:
            return ()
        return leaders_in(self._signed_in.line.server.places, room_id, self._settings.user)

    # --- listening ---

    async def _listen(self, stream: Stream) -> None:
        try:
            await stream.run()
        except PlatformRefusedError as refusal:
            self._refusal = refusal
            _LOG.warning("the homeserver refuses the bot: %s", refusal)

    async def _heard(
        self, signed_in: _SignedIn, touched: frozenset[str], waiting: tuple[InboxEvent, ...]
    ) -> None:
        """Go on with all that a sync may have changed; `touched` are the rooms that it tells of."""
        if not self._has_begun:
            self._has_begun = True
            resume = partial(patiently, signed_in.line.outbox.resume, self._wait)
            signed_in.hearing.lanes.put("unsent", resume)
        signed_in.line.direct.heard()
        for chat in await signed_in.line.direct.review(touched):
            greet = partial(signed_in.hearing.meeting.greet, chat)
            signed_in.hearing.lanes.put(chat.user_id, partial(patiently, greet, self._wait))
        await self._notice_places(signed_in)
        await signed_in.following.go_on()
        await signed_in.invitations.answer()
        await signed_in.hearing.take_up(waiting)
        signed_in.line.caring.take_up(signed_in.hearing.lanes)

    async def _notice_places(self, signed_in: _SignedIn) -> None:
        server = signed_in.line.server
        for room_id in tuple(self._clubs.room_ids):
            is_there, lacking = server.places.is_in(room_id), self.lacking(room_id)
            if room_id not in self._lacking or self._lacking[room_id] != lacking:
                if not is_there:
                    _LOG.warning("the bot is not in the club's room %s", room_id)
                self._clubs.place_changed(room_id, is_there)
            self._lacking[room_id] = lacking
        if server.is_encrypting:
            return
        for room_id in server.places.rooms():
            is_private = await signed_in.line.direct.find(room_id) is not None
            if server.places.is_encrypted(room_id) and not is_private:
                self._complain(signed_in, room_id)

    def _complain(self, signed_in: _SignedIn, room_id: str) -> None:
        """Tell the leaders, outside the room, that it is encrypted and we cannot follow; once."""
        if room_id in self._complained:
            return
        self._complained.add(room_id)
        line, places = signed_in.line, signed_in.line.server.places

        async def tell_leaders() -> None:
            text = self._words.unencrypted.format(places.title_of(room_id))
            for user_id in leaders_in(places, room_id, self._settings.user):
                key = f"unencrypted:{user_id}"
                if await line.outbox.find(room_id, key) is not None:
                    continue
                try:
                    target = await line.direct.ensure(room_id, user_id)
                    await line.outbox.deliver(room_id, key, target, (lay_out_notice(text),))
                except RoomError as problem:
                    _LOG.warning("a leader could not be told: %s", problem)
                    self._complained.discard(room_id)

        _LOG.warning("the room %s is encrypted, and the bot cannot encrypt", room_id)
        signed_in.hearing.lanes.put("leaders", tell_leaders)

    # --- small things ---

    def _require(self, room_id: str) -> _SignedIn:
        if self._refusal is not None:
            raise self._refusal
        if self._signed_in is None or not self._has_begun:
            raise RoomUnreachableError("not connected yet")
        if not self._signed_in.line.server.places.is_in(room_id):
            raise RoomGoneError(f"the bot is not in {room_id!r}")
        return self._signed_in

    async def _post_of_ours(self, room_id: str, reference: str) -> tuple[Line, Draft]:
        """Return the line, and a post of ours that is there."""
        line = self._require(room_id).line
        draft = await line.journal.find_sent(reference)
        if draft is None or draft.room_id != room_id or not draft.key.startswith("post:"):
            raise RoomError(f"room {room_id!r} has no post {reference!r}")
        return line, draft
