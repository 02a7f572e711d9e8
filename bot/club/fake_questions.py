"""The question and its tries, in memory: what `bot.club.fake_store` keeps of them."""

from __future__ import annotations

from dataclasses import replace

from bot.club.agenda import Agenda, DropPlanned, SavePlanned
from bot.club.asked import Asked, SaveNaming, SaveQuestion, SaveTry
from bot.club.fake_rows import Rows
from bot.club.state import Member


def find_question(rows: Rows, club_id: int, user_id: str) -> Asked | None:
    """Return a club's question with a member's tries, None where none was put."""
    asked = rows.questions.get(club_id)
    if asked is None:
        return None
    ours = {
        each.user_id: (each.name, *rows.tries[each.id])
        for each in sorted(rows.members.values(), key=lambda member: member.id)
        if each.club_id == club_id and each.id in rows.tries
    }
    _, tries, saw, is_named = ours.get(user_id, ("", 0, False, False))
    return replace(
        asked,
        tries=tries,
        saw=saw,
        tried=len(ours),
        seen=sum(saw for _, _, saw, _ in ours.values()),
        is_named=is_named,
        names=tuple(name for name, _, saw, is_named in ours.values() if saw and is_named),
    )


def find_agenda(rows: Rows, club_id: int) -> Agenda:
    """Return what is to come of a club's questions."""
    asked = rows.questions.get(club_id)
    planned = sorted(each for each in rows.planned_questions if each[0] == club_id)
    ahead = tuple(rows.planned_questions[each] for each in planned)
    if asked is None or asked.is_over or asked.over_at is None:
        return Agenda(planned=ahead)
    return Agenda(asked.number, asked.over_at, ahead)


def save_planned(rows: Rows, change: SavePlanned) -> None:
    """Plan a question, in place of the one of its date."""
    rows.planned_questions[change.club_id, change.planned.on] = change.planned


def drop_planned(rows: Rows, change: DropPlanned) -> None:
    """Forget the question that is planned for a date."""
    rows.planned_questions.pop((change.club_id, change.on), None)


def export_try(rows: Rows, member: Member) -> dict[str, object]:
    """Return what is kept of a member's tries, where they have any."""
    if member.id not in rows.tries:
        return {}
    tries, saw, is_named = rows.tries[member.id]
    number = rows.questions[member.club_id].number
    kept = {"question": number, "tries": tries, "saw": saw, "named": is_named}
    return {"questions": [kept]}


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
    *_, is_named = rows.tries.get(member.id, (False,))
    rows.tries[member.id] = (change.tries, change.saw, is_named)


def save_naming(rows: Rows, change: SaveNaming) -> None:
    """Note whether a member wishes to be named; nothing of one who has not tried."""
    member = rows.member_with(change.club_id, change.user_id)
    if member is not None and member.id in rows.tries:
        tries, saw, _ = rows.tries[member.id]
        rows.tries[member.id] = (tries, saw, change.is_named)
