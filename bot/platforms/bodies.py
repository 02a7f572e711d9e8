"""What comes over HTTP from outside, and no more of it than is wanted.

How much there is, the other side may say and be wrong: what counts is what came.
"""

from __future__ import annotations

from typing import Protocol

from aiohttp import StreamReader

_CHUNK = 64 * 1024


class HasBody(Protocol):
    """A request or a response of the library's, whose body is still to be read."""

    @property
    def content(self) -> StreamReader:
        """Return the body, as it comes."""


async def read_body(source: HasBody, most: int) -> bytes | None:
    """Return a body; None as soon as it is more than `most` bytes."""
    body = bytearray()
    async for chunk in source.content.iter_chunked(_CHUNK):
        body += chunk
        if len(body) > most:
            return None
    return bytes(body)
