"""What the bot may not do in a club's room: told once to who leads, until it changes.

What was not done meanwhile waits in the outbox; it goes out when the right is back.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime

from bot.club.facts import Lacks
from bot.club.notices import opaque
from bot.club.ports import Change, NoteLeader, QueueNotice, SaveLacking
from bot.club.replies import PostRefused, PuzzleMissing, Reply, RightsMissing, encode_reply
from bot.club.state import Club

MOST_LED_BY = 5
"""So many of those who lead by the platform's rights are remembered."""


def rights_noted(
    club: Club, lacks: Lacks, leaders: Sequence[str], at: datetime
) -> tuple[Change, ...]:
    """Return what a look at the bot's rights changes: leaders are told of any that is missing now
    and was not before. Where nobody is known to tell, it is looked at again."""
    before, now = set(club.lacking), set(lacks.duties)
    if before == now or (now > before and not leaders):
        return ()
    noted = SaveLacking(club.id, tuple(dict.fromkeys(lacks.duties)))
    if now <= before:
        return (noted,)
    said = RightsMissing(club=club.settings.name, lacks=lacks)
    return (noted, *to_leaders(club, f"rights:{club.id}:{int(at.timestamp())}", said, leaders))


def puzzle_missing(club: Club, on_date: date, leaders: Sequence[str]) -> tuple[QueueNotice, ...]:
    """Return what leaders are told, once, where a date has no puzzle."""
    said = PuzzleMissing(club=club.settings.name, date=on_date)
    return to_leaders(club, f"missing:{club.id}:{on_date.isoformat()}", said, leaders)


def post_refused(club: Club, key: str, leaders: Sequence[str]) -> tuple[QueueNotice, ...]:
    """Return what leaders are told, once, where the platform refuses what has a key."""
    said = PostRefused(club=club.settings.name, is_puzzle=key.startswith("day:"))
    return to_leaders(club, f"refused:{key}", said, leaders)


def to_leaders(
    club: Club, key: str, said: Reply, leaders: Sequence[str]
) -> tuple[QueueNotice, ...]:
    """Return a private line to each leader, once a key."""
    return tuple(
        QueueNotice(
            club.id, f"{key}:{opaque(club, leader)}", "member", encode_reply(said), user_id=leader
        )
        for leader in leaders
    )


def leader_noted(club: Club, user_id: str, *, leads: bool) -> tuple[Change, ...]:
    """Return what a leader's command changes: whoever gives one by the platform's rights is told
    what waits for leaders, as long as they have those."""
    return () if leads == (user_id in club.led_by) else (NoteLeader(club.id, user_id, leads),)


def led_by(club: Club, change: NoteLeader) -> tuple[str, ...]:
    """Return who leads by the platform's rights after a change, the last one last."""
    others = tuple(each for each in club.led_by if each != change.user_id)
    return (*others, change.user_id)[-MOST_LED_BY:] if change.leads else others
