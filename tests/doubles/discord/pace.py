"""The double's rate limits and its memory for nonces. Limits are off until a test turns them on."""

from __future__ import annotations

import json
import time
from collections import deque
from collections.abc import Callable
from datetime import datetime, timedelta

from aiohttp import web

from tests.doubles.discord.world import Message, moment_of

NONCES_LIVE = timedelta(minutes=5)
EXEMPT = ("/interactions/", "/webhooks/")


class Limits:
    """50 requests a second for the whole bot, 5 messages in 5 seconds a channel."""

    def __init__(self, now: Callable[[], datetime]) -> None:
        self._now = now
        self.is_on = False
        self.a_second = 50
        self.refused = 0
        self._recent: deque[float] = deque()
        self.posted_at: list[float] = []

    def refuse(self, method: str, path: str, values: dict[str, str]) -> web.Response | None:
        if not self.is_on or path.startswith(EXEMPT):
            return None
        at = time.monotonic()
        while self._recent and self._recent[0] <= at - 1.0:
            self._recent.popleft()
        if len(self._recent) >= self.a_second:
            self.refused += 1
            return too_many(self._recent[0] + 1.0 - at, is_global=True)
        self._recent.append(at)
        return None

    def note(
        self, method: str, path: str, values: dict[str, str], response: web.StreamResponse
    ) -> None:
        if method == "POST" and path == "/channels/{channel_id}/messages":
            self.posted_at.append(time.monotonic())

    def remembers_nonce(self, message: Message) -> bool:
        return self._now() - moment_of(message.id) < NONCES_LIVE


def too_many(retry_after: float, *, is_global: bool) -> web.Response:
    body = {"message": "You are being rate limited.", "retry_after": retry_after}
    return web.Response(
        status=429,
        body=json.dumps({**body, "global": is_global}).encode(),
        headers={
            "Content-Type": "application/json",
            "Via": "1.1 double",
            "Retry-After": f"{retry_after:.3f}",
            **({"X-RateLimit-Global": "true"} if is_global else {}),
        },
    )
