"""Says in a club's room how many wait for a private room, as one line that changes: what is told
costs the homeserver's patience, too, so it is told anew only when there are twice as many, or none.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import datetime
from functools import partial
from math import ceil

from bot.platforms.matrix.lanes import Lanes, patiently
from bot.platforms.matrix.layout import in_place, lay_out_notice
from bot.platforms.matrix.line import Line
from bot.platforms.matrix.patience import Wait
from bot.platforms.matrix.words import MatrixWords

SECONDS_A_MINUTE = 60

LEAST_TOLD = 2
"""Fewer minutes are not told: who waits rather comes in early."""


@dataclass(frozen=True, slots=True)
class _Told:
    key: str
    count: int


class QueueTold:
    """`tell` is what `Openings.tell_queue` is to be."""

    def __init__(
        self, line: Line, lanes: Lanes, words: MatrixWords, now: Callable[[], datetime], wait: Wait
    ) -> None:
        self._line = line
        self._lanes = lanes
        self._words = words
        self._now = now
        self._wait = wait
        self._told: dict[str, _Told] = {}

    def tell(self, room_id: str, count: int, seconds: float) -> None:
        """Note how many wait, each for so many seconds; say so where it is worth it."""
        told = self._told.get(room_id)
        if count == 0:
            if self._told.pop(room_id, None) is not None and told is not None:
                self._say(room_id, replace(told, count=0), self._words.queue_over)
            return
        if told is not None and count < 2 * told.count:
            return
        key = told.key if told is not None else f"queue:{int(self._now().timestamp() * 1000)}"
        self._told[room_id] = _Told(key, count)
        minutes = max(LEAST_TOLD, ceil(count * seconds / SECONDS_A_MINUTE))
        said = self._words.queued.format(count, minutes, self._line.server.user_id)
        self._say(room_id, self._told[room_id], said)

    def _say(self, room_id: str, told: _Told, text: str) -> None:
        send = partial(self._send, room_id, told, text)
        self._lanes.put(f"queue of {room_id}", partial(patiently, send, self._wait))

    async def _send(self, room_id: str, told: _Told, text: str) -> None:
        outbox, notice = self._line.outbox, lay_out_notice(text)
        reference = await outbox.find(room_id, told.key)
        if reference is None:
            await outbox.deliver(room_id, told.key, room_id, (notice,))
        else:
            changed = in_place((notice,), reference)
            await outbox.deliver(room_id, f"{told.key}:{told.count}", room_id, changed)
