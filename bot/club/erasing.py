"""The mark that stays of somebody who had their data erased while a puzzle was open.

It tells that somebody took part in it before, to the bot alone and only when they act again; it
goes as the day closes. Each has a salt of its own, so that equal people have unlike marks.
"""

from __future__ import annotations

import secrets
from datetime import timedelta
from hashlib import blake2b

KEEP_COPIES = timedelta(days=7)
"""A dated copy of the data goes so much later, and with it the last of somebody erased."""

Mark = tuple[bytes, bytes]
"""The salt, and the digest of a user id with it."""


def new_mark(user_id: str) -> Mark:
    """Return a mark of a person, another one each time."""
    salt = secrets.token_bytes(16)
    return salt, _digest(user_id, salt)


def is_mark_of(mark: Mark, user_id: str) -> bool:
    """Tell whether a mark is this person's, in a time that does not depend on the answer."""
    salt, digest = mark
    return secrets.compare_digest(_digest(user_id, salt), digest)


def _digest(user_id: str, salt: bytes) -> bytes:
    return blake2b(user_id.encode(), digest_size=32, salt=salt).digest()
