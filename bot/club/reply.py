"""The root of all that the club answers. The members of the family are in `bot.club.replies`."""

from __future__ import annotations

from msgspec import Struct


class Reply(Struct, frozen=True, tag=True, kw_only=True):
    """The root of the family; `replies.decode_reply` finds the member by its tag."""
