"""What an event of a member needs, read in one go: club, member, days, entries, a saved reply.

It runs inside a transaction of the caller.
"""

from __future__ import annotations

import sqlite3
from datetime import datetime

from bot.club.state import Scene
from bot.storage import days, members, outbox


def load_scene(
    link: sqlite3.Connection, club_id: int, user_id: str, acted_at: datetime, event_id: str
) -> Scene:
    """Load all that an event needs, by one state of the database."""
    today = days.find_open_day(link, club_id, acted_at)
    earlier = days.find_day_before(link, club_id, today.due_at if today else acted_at)
    unconfirmed = days.find_unconfirmed_day(link, club_id)
    return Scene(
        club=members.club_with(link, club_id),
        member=members.find_member(link, club_id, user_id),
        today=today,
        entry=members.find_entry(link, today.id, user_id) if today else None,
        earlier=earlier,
        earlier_entry=members.find_entry(link, earlier.id, user_id) if earlier else None,
        saved_reply=outbox.find_reply(link, event_id) if event_id else None,
        came_back=members.days_come_back_to(link, club_id, user_id),
        unconfirmed=unconfirmed,
        unconfirmed_entry=members.find_entry(link, unconfirmed.id, user_id)
        if unconfirmed
        else None,
    )
