"""The question and its tries, in memory: what `bot.club.fake_store` keeps of them."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

from bot.club.asked import Asked, SaveQuestion, SaveTry
from bot.club.fake_rows import Rows
from bot.club.state import Member


def find_question(rows: Rows, club_id: int, user_id: str) -> Asked | None:
    """Return a club's question with a member's tries, None where none was put."""
    asked = rows.questions.get(club_id)
    if asked is None:
        return None
    ours = {each.user_id: rows.tries[each.id] for each in rows.members.values()
            if each.club_id == club_id and each.id in rows.tries}  # fmt: skip
    tries, saw = ours.get(user_id, (0, False))
    seen = sum(each_saw for _, each_saw in ours.values())
    return replace(asked, tries=tries, saw=saw, tried=len(ours), seen=seen)


def find_question_due(rows: Rows, club_id: int, now: datetime) -> int | None:
    """Return the number of a club's question whose find is to be shown by now."""
    asked = rows.questions.get(club_id)
    if asked is None or asked.is_over or asked.over_at is None or asked.over_at > now:
        return None
    return asked.number


def export_try(rows: Rows, member: Member) -> dict[str, object]:
    """Return what is kept of a member's tries, where they have any."""
    if member.id not in rows.tries:
        return {}
    tries, saw = rows.tries[member.id]
    number = rows.questions[member.club_id].number
    return {"questions": [{"question": number, "tries": tries, "saw": saw}]}


def save_question(rows: Rows, change: SaveQuestion) -> None:
    """Put a question; a new one forgets the tries."""
    before = rows.questions.get(change.club_id)
    if before is None or before.number != change.number:
        ours = {each.id for each in rows.members.values() if each.club_id == change.club_id}
        rows.tries = {member: each for member, each in rows.tries.items() if member not in ours}
    rows.questions[change.club_id] = Asked(
        change.number, change.reply, change.is_over, over_at=change.over_at
    )


def save_try(rows: Rows, change: SaveTry) -> None:
    """Note a member's tries."""
    member = rows.member_with(change.club_id, change.user_id)
    if member is None:
        raise LookupError(f"no member {change.user_id} for a try")
    rows.tries[member.id] = (change.tries, change.saw)
