"""A file that somebody sent, as an event tells of it: where it is kept, and what opens it.

What an event says of a file is its sender's word, its size too. Its name is not read.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from nio import EncryptionError
from nio.crypto import decrypt_attachment

_ADDRESS = re.compile(r"mxc://([A-Za-z0-9.:\[\]-]{1,255})/([A-Za-z0-9_-]{1,255})")
_LONGEST_KEY = 200
_LARGEST = 2**53


@dataclass(frozen=True, slots=True)
class Seal:
    """What opens an encrypted file, and tells that it is the one that was sent."""

    key: str
    sha256: str
    start: str

    def open(self, sealed: bytes) -> bytes | None:
        """Return what is in a file; None where it is another one, or the seal is none."""
        try:
            return bytes(decrypt_attachment(sealed, self.key, self.sha256, self.start))
        except (EncryptionError, ValueError, TypeError):
            return None


@dataclass(frozen=True, slots=True)
class Media:
    """A file on a homeserver. `size` is what its sender says, 0 where they say nothing."""

    server: str
    media_id: str
    size: int
    seal: Seal | None = None


def read_media(content: Mapping[str, Any]) -> Media | None:
    """Return the file of an event's content; None where it names none that can be fetched."""
    sealed = content.get("file")
    address = sealed.get("url") if isinstance(sealed, dict) else content.get("url")
    found = _ADDRESS.fullmatch(address) if isinstance(address, str) else None
    seal = _seal_of(sealed) if isinstance(sealed, dict) else None
    if found is None or (sealed is not None and seal is None):
        return None
    return Media(found[1], found[2], _size_of(content.get("info")), seal)


def _seal_of(sealed: Mapping[str, Any]) -> Seal | None:
    key, hashes = sealed.get("key"), sealed.get("hashes")
    parts = (
        key.get("k") if isinstance(key, dict) else None,
        hashes.get("sha256") if isinstance(hashes, dict) else None,
        sealed.get("iv"),
    )
    if not all(isinstance(each, str) and len(each) <= _LONGEST_KEY for each in parts):
        return None
    return Seal(*(str(each) for each in parts))


def _size_of(info: object) -> int:
    size = info.get("size") if isinstance(info, dict) else None
    return size if type(size) is int and 0 <= size <= _LARGEST else 0
