"""The root of all that the club answers. The members of the family are in `bot.club.replies`."""

from __future__ import annotations

from datetime import date

from msgspec import Struct


class Reply(Struct, frozen=True, tag=True, kw_only=True):
    """The root of the family; `replies.decode_reply` finds the member by its tag.

    `was_public`: what it answers gives digits away and was said in the open room; `was_removed`:
    and taken away there. `board_of`: the day whose board its buttons act on, where a puzzle was
    open; pressed later they do nothing to the next one. `undoes`: the name of the board that its
    button to undo takes a change back from, where it has one; pressed again it takes back no more.
    """

    was_public: bool = False
    was_removed: bool = False
    board_of: date | None = None
    undoes: str = ""
