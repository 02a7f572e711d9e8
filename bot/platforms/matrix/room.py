"""The club's room in Matrix, open or encrypted: one object serves all rooms of one account.

What comes in waits in the journal until it is answered, so a crash loses nothing; what goes out has
a key and goes out once. Private answers go to a direct room of each member. This file knows its
library, the journal's port and `message`; it never looks into what is said.
"""

from __future__ import annotations

import asyncio
import logging
from collections.abc import Awaitable, Callable, Collection
from contextlib import ExitStack
from datetime import datetime
from functools import partial
from hashlib import sha256
from pathlib import Path

from bot.platforms.matrix.direct import DirectRooms
from bot.platforms.matrix.door import LEADER_POWER, PLATFORM, Door
from bot.platforms.matrix.errors import UnencryptedError
from bot.platforms.matrix.hearing import Founder, Hearing
from bot.platforms.matrix.invitations import Invitations
from bot.platforms.matrix.journal import Draft, InboxEvent, Journal
from bot.platforms.matrix.layout import (
    lay_out_answer,
    lay_out_edit,
    lay_out_notice,
    lay_out_post,
    lay_out_thread,
)
from bot.platforms.matrix.outbox import Outbox, Wait
from bot.platforms.matrix.server import Server
from bot.platforms.matrix.session import hold_folder, load_session
from bot.platforms.matrix.stream import FIRST_REST, LONGEST_REST, Stream
from bot.platforms.matrix.words import MatrixWords
from bot.platforms.message import (
    Answerer,
    Message,
    PlatformRefusedError,
    RoomError,
    RoomGoneError,
    RoomUnreachableError,
)

FAREWELL_SECONDS = 5.0

PlaceChanged = Callable[[str, bool], None]

_LOG = logging.getLogger("ninebark.matrix")


class MatrixRoom:
    """The Room of `bot.platforms.message`.

    `folder` holds the sign-in. `rooms` are the room ids that have a club, read anew each time;
    `allowed` may bring the bot into rooms; `place_changed` hears of rooms lost and found.
    """

    platform = PLATFORM
    offers_themes = False

    def __init__(
        self,
        *,
        homeserver: str,
        user_id: str,
        folder: Path,
        journal: Journal,
        words: MatrixWords,
        rooms: Collection[str],
        allowed: Collection[str],
        now: Callable[[], datetime],
        prefix: str = "!",
        encrypt: bool = True,
        founder: Founder | None = None,
        place_changed: PlaceChanged | None = None,
        wait: Wait = asyncio.sleep,
    ) -> None:
        self._homeserver = homeserver
        self._user_id = user_id
        self._folder = folder
        self._journal = journal
        self._words = words
        self._rooms = rooms
        self._allowed = allowed
        self._now = now
        self._prefix = prefix
        self._encrypt = encrypt
        self._founder = founder
        self._place_changed = place_changed
        self._wait = wait
        self._held = ExitStack()
        self._there: dict[str, bool] = {}
        self._complained: set[str] = set()
        self._has_begun = False
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
        session = load_session(self._folder, self._user_id, self._homeserver)
        self._server = Server(session, self._folder, encrypt=self._encrypt)
        self._outbox = Outbox(self._server, self._journal, self._wait)
        self._direct = DirectRooms(
            self._server, self._journal, self._words, self._wait, self._rooms
        )
        self._invitations = Invitations(self._server, self._direct, self._allowed, self._rooms)
        self._hearing = Hearing(
            self._server,
            self._journal,
            self._outbox,
            self._direct,
            door=Door(self._server.places, self._direct, rooms=self._rooms, allowed=self._allowed),
            words=self._words,
            prefix=self._prefix,
            answer=answer,
            founder=self._founder,
            now=self._now,
            wait=self._wait,
        )
        stream = Stream(
            self._server, self._journal, now=self._now, wait=self._wait, heard=self._heard
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

    @property
    def is_connected(self) -> bool:
        """Whether the homeserver has answered since the start."""
        return self._has_begun

    async def stop(self) -> None:
        """Let acts under way be answered, for FAREWELL_SECONDS at most, then sign off, the device
        kept."""
        if self._listening is not None:
            await self._hearing.lanes.finish(FAREWELL_SECONDS)
            self._listening.cancel()
            await asyncio.gather(self._listening, return_exceptions=True)
            self._listening = None
        if hasattr(self, "_server"):
            await self._server.close()
        self._held.close()

    async def ended(self) -> None:
        """Wait until the listening is over for good. Raises PlatformRefusedError."""
        if self._listening is not None:
            await asyncio.wait((self._listening,))
        if self._refusal is not None:
            raise self._refusal

    # --- the Room ---

    async def post(self, room_id: str, message: Message, *, key: str) -> str:
        """Post in a club's room, once per key; its reactions follow.

        Raises RoomError, UnencryptedError where the room is encrypted and we are not able to.
        """
        self._require(room_id)
        pieces = lay_out_post(message, self._words, self._prefix)
        key = f"post:{key}"
        try:
            reference = await self._outbox.deliver(room_id, key, room_id, pieces, at_most=1)
        except UnencryptedError:
            self._complain(room_id)
            raise
        # The post is up: whoever answers it at once must not have to wait for its reactions.
        if len(pieces) > 1:
            rest = partial(self._outbox.finish, room_id, key)
            self._hearing.lanes.put(f"rest of {room_id}", partial(self._patiently, rest))
        return reference

    async def find_post(self, room_id: str, key: str) -> str | None:
        """Return the event of the post with this key, from our own book; None where none is out."""
        self._require(room_id)
        return await self._outbox.find(room_id, f"post:{key}")

    async def stamp_of(self, room_id: str, reference: str) -> datetime | None:
        """Ask the homeserver for its stamp of a post of ours. Raises RoomError."""
        await self._load_post(room_id, reference)
        return await self._server.stamp_of(room_id, reference)

    async def edit(self, room_id: str, reference: str, message: Message) -> None:
        """Replace a post of ours, once per content. Raises RoomError."""
        await self._load_post(room_id, reference)
        piece = lay_out_edit(message, self._words, self._prefix, reference)
        content = repr((piece.content, message.picture)).encode()
        key = f"edit:{reference}:{sha256(content).hexdigest()[:20]}"
        await self._outbox.deliver(room_id, key, room_id, (piece,))
        # Its reactions stay: pressed from now on, they mean what the post says now.
        await self._journal.change_commands(reference, piece.commands)

    async def post_thread(
        self, room_id: str, reference: str, title: str, messages: tuple[Message, ...], *, key: str
    ) -> str:
        """Write a thread under a post of ours, once per key. Raises RoomError."""
        await self._load_post(room_id, reference)
        pieces = lay_out_thread(title, messages, self._words, under=reference)
        return await self._outbox.deliver(room_id, f"thread:{key}", room_id, pieces)

    async def tell(self, room_id: str, user_id: str, message: Message, *, key: str) -> str:
        """Write to one person's private room, opened where there is none yet, once per key."""
        self._require(room_id)
        target = await self._direct.ensure(room_id, user_id)
        pieces = lay_out_answer(message, self._words, is_quiet=False)
        return await self._outbox.deliver(room_id, f"tell:{user_id}:{key}", target, pieces)

    async def remove(self, room_id: str, message_id: str) -> bool:
        """Redact a message that we have heard; False where it is another room's or we may not."""
        self._require(room_id)
        said = await self._journal.load_event(message_id)
        if said is None or said.room_id != room_id:
            return False
        transaction_id = sha256(f"remove {message_id}".encode()).hexdigest()[:40]
        try:
            await self._server.redact(room_id, message_id, transaction_id)
        except RoomUnreachableError:
            raise
        except RoomError as problem:
            _LOG.warning("an answer in the open stays there: %s", problem)
            return False
        return True

    # --- listening ---

    async def _listen(self, stream: Stream) -> None:
        try:
            await stream.run()
        except PlatformRefusedError as refusal:
            self._refusal = refusal
            _LOG.warning("the homeserver refuses the bot: %s", refusal)

    async def _heard(self, touched: frozenset[str], waiting: tuple[InboxEvent, ...]) -> None:
        """Go on with all that a sync may have changed; `touched` are the rooms that it tells of."""
        if not self._has_begun:
            self._has_begun = True
            resume = partial(self._patiently, self._outbox.resume)
            self._hearing.lanes.put("unsent", resume)
        self._direct.heard()
        await self._direct.review(touched)
        await self._notice_places()
        await self._invitations.answer()
        await self._hearing.take_up(waiting)

    async def _patiently(self, send: Callable[[], Awaitable[None]]) -> None:
        """Send what is saved, through every outage."""
        rest = FIRST_REST
        while True:
            try:
                await send()
            except RoomUnreachableError as problem:
                _LOG.warning("what is unsent waits: %s", problem)
                await self._wait(rest)
                rest = min(LONGEST_REST, rest * 2)
            except Exception:
                _LOG.exception("what was unsent could not be sent")
                return
            else:
                return

    async def _notice_places(self) -> None:
        for room_id in tuple(self._rooms):
            is_there = self._server.places.is_in(room_id)
            if self._there.get(room_id) != is_there and self._place_changed is not None:
                if not is_there:
                    _LOG.warning("the bot is not in the club's room %s", room_id)
                self._place_changed(room_id, is_there)
            self._there[room_id] = is_there
        if self._server.is_encrypting:
            return
        for room_id in self._server.places.rooms():
            is_private = await self._direct.find(room_id) is not None
            if self._server.places.is_encrypted(room_id) and not is_private:
                self._complain(room_id)

    def _complain(self, room_id: str) -> None:
        """Tell the leaders, outside the room, that it is encrypted and we cannot follow; once."""
        if room_id in self._complained:
            return
        self._complained.add(room_id)

        async def tell_leaders() -> None:
            text = self._words.unencrypted.format(self._server.places.title_of(room_id))
            for user_id in self._server.places.members(room_id):
                if user_id == self._user_id:
                    continue
                if self._server.places.power_of(room_id, user_id) < LEADER_POWER:
                    continue
                key = f"unencrypted:{user_id}"
                if await self._outbox.find(room_id, key) is not None:
                    continue
                try:
                    target = await self._direct.ensure(room_id, user_id)
                    await self._outbox.deliver(room_id, key, target, (lay_out_notice(text),))
                except RoomError as problem:
                    _LOG.warning("a leader could not be told: %s", problem)
                    self._complained.discard(room_id)

        _LOG.warning("the room %s is encrypted, and the bot cannot encrypt", room_id)
        self._hearing.lanes.put("leaders", tell_leaders)

    # --- small things ---

    def _require(self, room_id: str) -> None:
        if self._refusal is not None:
            raise self._refusal
        if not self._has_begun:
            raise RoomUnreachableError("not connected yet")
        if not self._server.places.is_in(room_id):
            raise RoomGoneError(f"the bot is not in {room_id!r}")

    async def _load_post(self, room_id: str, reference: str) -> Draft:
        self._require(room_id)
        draft = await self._journal.find_sent(reference)
        if draft is None or draft.room_id != room_id or not draft.key.startswith("post:"):
            raise RoomError(f"room {room_id!r} has no post {reference!r}")
        return draft
