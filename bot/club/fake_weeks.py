"""Technique weeks in memory: what `bot.club.fake_store` keeps of them."""

from __future__ import annotations

from bot.club.fake_rows import Rows
from bot.club.practised import Practised
from bot.club.weeks_kept import Learner


def list_learners(rows: Rows, club_id: int, technique: str) -> tuple[Learner, ...]:
    """Return a club's members with how they stand with a technique, by their ids."""
    return tuple(
        Learner(
            member_id,
            rows.practised.get(member_id, Practised()).skill_in(technique),
            *map(bool, rows.tries.get(member_id, (0, False))[:2]),
        )
        for member_id, member in sorted(rows.members.items())
        if member.club_id == club_id
    )
