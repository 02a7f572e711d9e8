"""The lanes in which what the club says goes out: what is held up in one holds up no other.

A lane is a kind of thing said and who receives it. Inside a lane the order in which things were
decided is kept. A mend is a later state of the post that it mends, so it can never come before it.
"""

from __future__ import annotations

from enum import IntEnum
from typing import NamedTuple

from bot.club.ports import Notice


class Kind(IntEnum):
    """What is said; the lower goes first where several wait for the same room."""

    POST = 0
    ANSWER = 1
    RESULTS = 2
    PRIVATE = 3
    MEND = 4
    WALKTHROUGH = 5


_KINDS = {"mend": Kind.MEND, "member": Kind.PRIVATE, "thread": Kind.WALKTHROUGH}
_KINDS_IN_ROOM = {"day": Kind.POST, "solved": Kind.ANSWER, "solvers": Kind.ANSWER}
_QUIET = frozenset({"solved", "solvers"})
_CALM = frozenset({"solvers"})


class Lane(NamedTuple):
    """`receiver` is a member's user id, or a room that the club has left; empty for its room."""

    kind: Kind
    receiver: str


def lane_of(notice: Notice) -> Lane:
    """Return the lane of a notice. What is said to all and is no post or answer goes as results."""
    kind = _KINDS.get(notice.audience)
    if kind is None:
        kind = _KINDS_IN_ROOM.get(notice.key.partition(":")[0], Kind.RESULTS)
    return Lane(kind, notice.user_id if kind is Kind.PRIVATE else notice.left_room)


def is_quiet(notice: Notice) -> bool:
    """Tell whether the room is told of something without a sound."""
    return notice.key.partition(":")[0] in _QUIET


def is_calm(notice: Notice) -> bool:
    """Tell whether a notice is mended so often in a day that this has to be done at a calm pace."""
    return notice.key.partition(":")[0] in _CALM
