"""What a member wishes for: pictures in dark or light, and to be reminded of an open puzzle.

A reminder comes in private, an hour before a puzzle closes that the member has begun and not
solved. It is decided like all that is due: by what holds then.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Literal

from msgspec.structs import replace

from bot.club.acts import Act, Event
from bot.club.course import Course, Decision, load_nothing
from bot.club.notices import opaque
from bot.club.ports import Change, QueueNotice, SaveMember
from bot.club.replies import encode_reply
from bot.club.reply import Reply
from bot.club.state import Club, Day, Look, Member, MemberSolve, Scene


@dataclass(frozen=True, slots=True)
class ChooseLook(Act):
    """Have pictures in a look from now on; empty: as the club has it. None: ask how it is."""

    look: Look | None = None


@dataclass(frozen=True, slots=True)
class SetReminder(Act):
    """Want to be reminded from now on, or no longer. None: ask how it is."""

    reminds: bool | None = None


class LookShown(Reply, frozen=True, kw_only=True):
    """In which look a member's pictures come. `is_own`: by their own wish."""

    look: Literal["light", "dark"]
    is_own: bool


class ReminderShown(Reply, frozen=True, kw_only=True):
    """Whether a member is reminded."""

    reminds: bool


class PuzzleClosing(Reply, frozen=True, kw_only=True):
    """The reminder itself."""

    date: date
    closes_at: datetime
    zone: str


def _member(scene: Scene, event: Event) -> Member:
    name = event.name.strip() or event.user_id
    return scene.member or Member(0, event.club_id, event.user_id, name)


def decide_look(scene: Scene, event: Event, act: ChooseLook, nothing: None) -> Decision:
    """Keep the look that the member wishes for, or show which it is."""
    member = _member(scene, event)
    look = member.look if act.look is None else act.look
    shown = LookShown(look=look or scene.club.settings.look, is_own=bool(look))
    return Decision(shown, _changed(member, replace(member, look=look)))


def decide_reminder(scene: Scene, event: Event, act: SetReminder, nothing: None) -> Decision:
    """Keep whether the member is reminded, or show whether they are."""
    member = _member(scene, event)
    reminds = member.reminds if act.reminds is None else act.reminds
    shown = ReminderShown(reminds=reminds)
    return Decision(shown, _changed(member, replace(member, reminds=reminds)))


def _changed(before: Member, after: Member) -> tuple[SaveMember, ...]:
    return () if after == before else (SaveMember(after),)


def look_after(scene: Scene, changes: Sequence[Change] = ()) -> Look:
    """Return how who acts in a scene wishes to see pictures, once the changes are made."""
    saved = (change.member for change in changes if isinstance(change, SaveMember))
    member = next(saved, scene.member)
    return member.look if member else ""


def reminders(
    club: Club, day: Day, entries: Sequence[tuple[Member, MemberSolve]]
) -> tuple[QueueNotice, ...]:
    """Return a private line to each who has begun a day's puzzle, not solved it, and wishes it.
    Decided again, nobody is told twice: its key is the same."""
    closing = PuzzleClosing(date=day.date, closes_at=day.closes_at, zone=club.settings.zone)
    return tuple(
        QueueNotice(
            club.id,
            f"remind:{club.id}:{day.date.isoformat()}:{opaque(club, member.user_id)}",
            "member",
            encode_reply(closing),
            user_id=member.user_id,
        )
        for member, entry in entries
        if member.reminds and entry.started_at is not None and entry.finished_at is None
    )


LOOK = Course(ChooseLook, decide_look, load_nothing)
REMINDER = Course(SetReminder, decide_reminder, load_nothing)
