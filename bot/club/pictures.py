"""The facts of a picture as JSON, so that it can be drawn again: what is kept in its place."""

from __future__ import annotations

import msgspec

from bot.club.facts import Picturable
from bot.club.versions import VERSION, upgrades_from


class _Kept(msgspec.Struct):
    version: int
    picture: msgspec.Raw


_DECODER: msgspec.json.Decoder[Picturable] = msgspec.json.Decoder(Picturable)
_KEPT = msgspec.json.Decoder(_Kept)


def encode_picture(facts: Picturable) -> bytes:
    """Write a picture's facts with their version; `decode_picture` is the inverse."""
    return msgspec.json.encode({"version": VERSION, "picture": facts})


def decode_picture(text: bytes) -> Picturable:
    """Read what `encode_picture` wrote, in this version or an older one.

    Raises FutureVersionError; msgspec.DecodeError for anything else.
    """
    kept = _KEPT.decode(text)
    upgrades = upgrades_from(kept.version)
    if not upgrades:
        return _DECODER.decode(kept.picture)
    facts = msgspec.json.decode(kept.picture, type=dict)
    for upgrade in upgrades:
        facts = upgrade.picture(facts)
    return _DECODER.decode(msgspec.json.encode(facts))
