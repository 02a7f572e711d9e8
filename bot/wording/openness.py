"""Words on what was said in the open room and would spoil the puzzle for others there."""

from __future__ import annotations

from bot.club.replies import Reply


def said_in_open(reply: Reply) -> str:
    """Return the note for a reply to digits said in the open, whatever its kind; else nothing."""
    if not reply.was_public:
        return ""
    if reply.was_removed:
        return (
            "You wrote it in the open room; I took it away there, so that it doesn't spoil the "
            "puzzle for others."
        )
    return (
        "You wrote it in the open room and I may not remove it there: please delete it yourself, "
        "and answer privately next time."
    )
