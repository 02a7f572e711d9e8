"""Has every request of a client of the library's wait for its turn, and every refusal counted.

All requests with the bot's token go through here, those that the library makes by itself and its
further tries as well. What has a token of its own does not: answers to commands, presses and forms,
which the service counts against no limit of the bot's. The turn is waited for before the library's
own queues, a channel's own, so that a walkthrough in there keeps no new puzzle waiting behind it.
"""

from __future__ import annotations

from collections.abc import Callable, Coroutine
from contextvars import ContextVar
from types import SimpleNamespace
from typing import Any

import aiohttp

from bot.platforms.discord.pace import REFUSALS_WITHIN, Pace, rank_now

LIMITED = 429
REFUSED = frozenset({401, 403, LIMITED})
"""What the service counts of an address."""

Request = Callable[..., Coroutine[Any, Any, Any]]


def seconds_in(header: str) -> float:
    """Return for how long a refusal asks to hold: 0 for what is no number, and no longer than
    refusals count."""
    try:
        seconds = float(header)
    except ValueError:
        return 0.0
    return min(seconds, REFUSALS_WITHIN) if seconds > 0.0 else 0.0


class _Turn:
    """The turn of one request: `is_used` by a try, which `is_under_way` until it is answered."""

    __slots__ = ("is_under_way", "is_used")

    def __init__(self) -> None:
        self.is_used = False
        self.is_under_way = False


_TURN: ContextVar[_Turn | None] = ContextVar("turn", default=None)


class Traffic:
    """What a client asks of the service, at one pace."""

    def __init__(self, pace: Pace) -> None:
        self._pace = pace

    def paced(self, request: Request) -> Request:
        """Return the library's way to ask the service, waiting for its turn first."""

        async def ask_in_turn(*arguments: Any, **options: Any) -> Any:
            await self._pace.turn(rank_now())
            turn = _Turn()
            before = _TURN.set(turn)
            try:
                return await request(*arguments, **options)
            finally:
                _TURN.reset(before)
                self._end(turn)

        return ask_in_turn

    def trace(self) -> aiohttp.TraceConfig:
        """Return what the library's connections tell us of each try by."""
        trace = aiohttp.TraceConfig()
        trace.on_request_start.append(self._on_start)
        trace.on_request_end.append(self._on_end)
        return trace

    async def _on_start(
        self, session: aiohttp.ClientSession, context: SimpleNamespace, _: object
    ) -> None:
        turn = _TURN.get()
        if turn is None:
            return
        self._end(turn)
        if turn.is_used:
            await self._pace.turn(rank_now())
        await self._pace.begin(rank_now())
        turn.is_used = turn.is_under_way = True

    async def _on_end(
        self,
        session: aiohttp.ClientSession,
        context: SimpleNamespace,
        ended: aiohttp.TraceRequestEndParams,
    ) -> None:
        turn = _TURN.get()
        if turn is None:
            return
        if ended.response.status in REFUSED:
            self._note_refusal(ended.response)
        self._end(turn)

    def _note_refusal(self, response: aiohttp.ClientResponse) -> None:
        is_global = "X-RateLimit-Global" in response.headers
        hold = seconds_in(response.headers.get("Retry-After", "")) if is_global else 0.0
        self._pace.refused(by_limit=response.status == LIMITED, hold=hold)

    def _end(self, turn: _Turn) -> None:
        if turn.is_under_way:
            turn.is_under_way = False
            self._pace.over()
