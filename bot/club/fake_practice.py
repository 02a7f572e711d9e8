"""Practice in memory: what `bot.club.fake_store` keeps of it."""

from __future__ import annotations

from dataclasses import replace

from bot.club.exercises import Sighting
from bot.club.fake_rows import Rows
from bot.club.practised import (
    ENTRIES_LOOKED_AT,
    YEAR,
    Practised,
    SaveExercise,
    SaveSkill,
    as_exported,
    needs_of,
)
from bot.club.spacing import Skill
from bot.club.state import Member


def find_practice(rows: Rows, club_id: int, user_id: str) -> Practised:
    """Return what is kept of a member's practice."""
    member = rows.member_with(club_id, user_id)
    if member is None:
        return Practised()
    latest = rows.entries_by(club_id, user_id)[::-1][:ENTRIES_LOOKED_AT]
    needed = tuple(need for entry in latest for need in needs_of(entry.charges))
    return replace(rows.practised.get(member.id, Practised()), needed=needed)


def list_seen(rows: Rows, club_id: int, user_id: str, technique: str) -> tuple[Sighting, ...]:
    """Return the positions of a technique that a member was shown."""
    member = rows.member_with(club_id, user_id)
    return () if member is None else rows.sightings.get((member.id, technique), ())


def list_skills(rows: Rows, club_id: int) -> tuple[Skill, ...]:
    """Return how a club's members stand, without saying who."""
    found = [
        (skill.technique, member_id, skill)
        for member_id, practised in rows.practised.items()
        if rows.members[member_id].club_id == club_id
        for skill in practised.skills
    ]
    return tuple(skill for *_, skill in sorted(found, key=lambda each: each[:2]))


def export_practice(rows: Rows, member: Member) -> dict[str, object]:
    """Return how a member stands with each technique, where they have practised any."""
    skills = rows.practised.get(member.id, Practised()).skills
    return {"practice": [as_exported(skill) for skill in skills]} if skills else {}


def save_skill(rows: Rows, change: SaveSkill) -> None:
    """Note how a member stands with a technique."""
    member_id, kept = _kept(rows, change)
    skills = {skill.technique: skill for skill in (*kept.skills, change.skill)}
    ordered = tuple(skills[technique] for technique in sorted(skills))
    rows.practised[member_id] = replace(kept, skills=ordered)


def save_exercise(rows: Rows, change: SaveExercise) -> None:
    """Note the position that a member was shown last, and that they have seen it."""
    member_id, kept = _kept(rows, change)
    exercise = change.exercise
    rows.practised[member_id] = replace(kept, exercise=exercise)
    sighting = Sighting(exercise.fingerprint, exercise.base, exercise.shown_at)
    before = rows.sightings.get((member_id, exercise.technique), ())
    rows.sightings[member_id, exercise.technique] = (
        *(
            each
            for each in before
            if each.fingerprint != sighting.fingerprint and each.shown_at > exercise.shown_at - YEAR
        ),
        sighting,
    )


def _kept(rows: Rows, change: SaveSkill | SaveExercise) -> tuple[int, Practised]:
    member = rows.member_with(change.club_id, change.user_id)
    if member is None:
        raise LookupError(f"no member {change.user_id} who practises")
    return member.id, rows.practised.get(member.id, Practised())
