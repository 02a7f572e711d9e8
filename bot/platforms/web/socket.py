"""One tab of the web room: its socket, what it sends and is sent, and its limits.

A frame that is too long, too fast or not understood is answered with a refusal, and the socket
lives on. Acts of one tab are answered one after another, in the order in which they came, by a
worker of its own, so that reading (and the heartbeat) never waits for an answer.
"""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator, Awaitable, Callable
from contextlib import suppress
from datetime import datetime

import msgspec
from aiohttp import WSMsgType, web

from bot.platforms.web.door import Visitor, Who
from bot.platforms.web.frames import (
    Act,
    FromPage,
    Refused,
    ToPage,
    Touch,
    encode,
    parse_frame,
)
from bot.platforms.web.guard import LINE_LIMIT
from bot.platforms.web.pace import Bucket, MemberPaces
from bot.platforms.web.refusals import WebProblem

WAITING_ACTS = 16
"""Acts of one tab that may wait for their answer."""

WAITING_FRAMES = 2000
"""Frames that may wait for a slow tab before it is dropped; it comes back and resumes."""

ANSWER_SECONDS = 10.0
"""How long a stopping room waits for the answers under way."""

FLUSH_SECONDS = 2.0

Hear = Callable[["Tab", Act | Touch, datetime], Awaitable[None]]


class Tab:
    """A connected tab; `visitor` is who has entered by it, and `paces` are all members'."""

    def __init__(
        self, socket: web.WebSocketResponse, now: Callable[[], datetime], paces: MemberPaces
    ) -> None:
        self.visitor: Visitor | None = None
        self._is_deaf = False
        self._is_closed = False
        self._socket = socket
        self._now = now
        self._bucket = Bucket(now)
        self._paces = paces
        self._acts: asyncio.Queue[tuple[Act | Touch, datetime]] = asyncio.Queue(WAITING_ACTS)
        self._frames: asyncio.Queue[bytes] = asyncio.Queue(WAITING_FRAMES)
        self._tasks: list[asyncio.Task[None]] = []

    @property
    def room_id(self) -> str:
        """The room that was entered, empty before."""
        return self.visitor.room_id if self.visitor is not None else ""

    @property
    def user_id(self) -> str:
        """Who has entered, empty before."""
        return self.visitor.user_id if self.visitor is not None else ""

    @property
    def who(self) -> Who:
        """Whose board it shows; asked only of a tab that somebody entered by."""
        assert self.visitor is not None, "nobody has entered"
        return self.visitor.who

    def send(self, frame: bytes) -> None:
        """Put a frame in the queue; a tab that does not keep up is dropped."""
        if self._is_deaf:
            return
        try:
            self._frames.put_nowait(frame)
        except asyncio.QueueFull:
            self._is_deaf = True
            self._tasks.append(asyncio.create_task(self._drop()))

    def tell(self, value: ToPage) -> None:
        """Queue a frame as `send` does, made into JSON."""
        self.send(encode(value))

    def start(self, hear: Hear) -> None:
        """Begin to send, and to have acts answered by `hear`, one after another."""
        self._tasks.append(asyncio.create_task(self._write()))
        self._tasks.append(asyncio.create_task(self._work(hear)))

    def take(self, act: Act | Touch, at: datetime) -> None:
        """Line an act up to be answered."""
        try:
            self._acts.put_nowait((act, at))
        except asyncio.QueueFull:
            self.tell(Refused(WebProblem.TOO_FAST, act.id))

    async def read(self) -> AsyncIterator[tuple[FromPage, datetime]]:
        """Yield the frames that are fit to act on, with the moment each came."""
        async for received in self._socket:
            if received.type not in (WSMsgType.TEXT, WSMsgType.BINARY):
                continue
            at = self._now()
            size = len(received.data)
            if isinstance(received.data, str) and size <= LINE_LIMIT:
                size = len(received.data.encode("utf-8", "surrogatepass"))
            frame = self._understand(received.data, size)
            if frame is not None:
                yield frame, at

    async def finish(self) -> None:
        """Answer what is under way, send what waits, and close."""
        with suppress(TimeoutError):
            async with asyncio.timeout(ANSWER_SECONDS):
                await self._acts.join()
        await self.close()

    async def close(self) -> None:
        """Send what waits, for FLUSH_SECONDS at most, then close; acts not answered yet are
        dropped."""
        if not self._socket.closed:
            with suppress(TimeoutError):
                async with asyncio.timeout(FLUSH_SECONDS):
                    await self._frames.join()
        self._is_deaf = self._is_closed = True
        for task in self._tasks:
            task.cancel()
        await asyncio.gather(*self._tasks, return_exceptions=True)
        await self._drop()

    async def settle(self) -> None:
        """Answer what was read before the tab went away; the answers are kept for its return."""
        if not self._is_closed:
            await self._acts.join()

    def _understand(self, text: str | bytes, size: int) -> FromPage | None:
        if size > LINE_LIMIT:
            self.tell(Refused(self._spent(None) or WebProblem.TOO_LONG, _id_in(text), LINE_LIMIT))
            return None
        try:
            frame = parse_frame(text)
        except (msgspec.DecodeError, UnicodeError, RecursionError):
            self.tell(Refused(self._spent(None) or WebProblem.MALFORMED))
            return None
        if (problem := self._spent(frame)) is not None:
            self.tell(Refused(problem, getattr(frame, "id", "")))
            return None
        return frame

    def _spent(self, frame: FromPage | None) -> WebProblem | None:
        """Count a frame; return the problem where there were too many of its kind."""
        if self.visitor is None:
            is_fine = self._bucket.take()
        else:
            pace = self._paces.taps if isinstance(frame, Touch) else self._paces.acts
            is_fine = pace.take("\0".join(self.who))
        return None if is_fine else WebProblem.TOO_FAST

    async def _write(self) -> None:
        while True:
            frame = await self._frames.get()
            try:
                await self._socket.send_str(frame.decode())
            except ConnectionError:
                self._is_deaf = True
            finally:
                self._frames.task_done()

    async def _work(self, hear: Hear) -> None:
        while True:
            act, at = await self._acts.get()
            try:
                await hear(self, act, at)
            finally:
                self._acts.task_done()

    async def _drop(self) -> None:
        with suppress(ConnectionError):
            await self._socket.close(code=1001)


def _id_in(text: str | bytes) -> str:
    """Return the id of a refused act, so that the page knows which line to give back."""
    try:
        frame = parse_frame(text)
    except (msgspec.DecodeError, UnicodeError, RecursionError):
        return ""
    return getattr(frame, "id", "")
