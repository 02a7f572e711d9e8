"""Decisions on a club's move to another room of its platform, named by a leader who leads there.

The move is one change that is saved with all that is to be said of it: the former room is told
where the club went, the new one that it came, and what is open goes up there anew.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from bot.club import notices
from bot.club.acts import Act, Event
from bot.club.changes import Change, QueueNotice, Relocate
from bot.club.course import Course, Decision
from bot.club.due import next_post_of
from bot.club.facts import NOT_THERE, Lacks
from bot.club.loading import Loading
from bot.club.ports import Place
from bot.club.questions import ask_room
from bot.club.replies import ClubArrived, ClubLeft, ClubMoved, MoveRefused, encode_reply
from bot.club.state import Club, Day, Scene


@dataclass(frozen=True, slots=True)
class MoveClub(Act):
    """Have the club meet in another room; `place` names it as typed."""

    place: str = ""


@dataclass(frozen=True, slots=True)
class ToMove:
    """The `place` that is meant; whether it `has_club`; the `days` that are open, and those of them
    that somebody has solved; what the bot `lacks` in the room that would be left."""

    place: Place
    has_club: bool
    days: tuple[Day, ...]
    solved: frozenset[int]
    lacks: Lacks


async def load_to_move(loading: Loading, scene: Scene, event: Event, act: MoveClub) -> ToMove:
    """Load the room that is meant, and what is open."""
    club, store = scene.club, loading.store
    find = loading.rooms.find_place
    place = loading.studies.of(ask_room, find, club, act.place, event.user_id)
    there = await store.load_club(club.platform, place.room_id)
    days = await store.load_days(club.id, open_only=True)
    solved = [day.id for day in days if await store.load_results(club.id, day.date, day.date)]
    return ToMove(
        place,
        there is not None and there.room_id == place.room_id,
        days,
        frozenset(solved),
        loading.lacks_in(club),
    )


def decide_move(scene: Scene, event: Event, act: MoveClub, wider: ToMove) -> Decision:
    """Move the club, or say why not."""
    club, place = scene.club, wider.place
    if why := _why_not(scene, act, wider):
        refused = MoveRefused(
            why=why, named=act.place, title=place.title, lacks=place.lacks, how=place.how
        )
        return Decision(refused)
    up = [day for day in wider.days if day.posted_at is not None]
    next_at = next_post_of(club, wider.days, event.acted_at)
    left = encode_reply(ClubLeft(club=club.settings.name, title=place.title))
    arrived = ClubArrived(
        club=club.settings.name,
        next_at=next_at,
        zone=club.settings.zone,
        is_open=bool(up),
    )
    reply = ClubMoved(
        club=club.settings.name,
        title=place.title,
        next_at=next_at,
        zone=club.settings.zone,
        is_open=bool(up),
    )
    keys = keys_left(club, wider.days)
    changes: list[Change] = [
        Relocate(
            club.id,
            place.room_id,
            farewell=b"" if NOT_THERE in wider.lacks.duties else left,
            left=tuple((key, left) for key in keys),
        ),
        QueueNotice(club.id, f"arrived:{club.id}:{club.stay + 1}", "room", encode_reply(arrived)),
    ]
    for day in up:
        changes += posted_anew(club, day, is_solved=day.id in wider.solved)
    return Decision(reply, tuple(changes))


def keys_left(club: Club, days: Iterable[Day]) -> tuple[str, ...]:
    """Return the keys of what a club that moves does not leave standing: the welcome, and of the
    open `days` what is pressed and what grows."""
    of_days = (
        key for day in days for key in (notices.post_key(club, day), notices.solvers_key(club, day))
    )
    return (f"begun:{club.id}", *of_days)


def posted_anew(club: Club, day: Day, *, is_solved: bool) -> tuple[QueueNotice, ...]:
    """Return what has an open day up in the room that the club moves into."""
    grown = notices.one_line(club, day) if is_solved else ()
    return (notices.day_post(club, day), *grown)


def posted_again(club: Club, day: Day) -> tuple[Change, ...]:
    """Return what has an open day up once more in the club's room, where somebody took its post
    away: a stay in the same room, so that nobody takes the new post for the old one."""
    post = notices.day_post(club, day)
    return Relocate(club.id, club.room_id, left=((post.key, post.reply),)), post


def _why_not(scene: Scene, act: MoveClub, wider: ToMove) -> str:
    """Return why the club cannot move there, empty where it can."""
    place = wider.place
    if not act.place:
        return "unnamed"
    if not place.room_id:
        return "unknown"
    if place.room_id == scene.club.room_id:
        return "here"
    if not place.is_led:
        return "not-led"
    if wider.has_club:
        return "taken"
    return "lacks" if place.lacks.rights else ""


MOVE = Course(MoveClub, decide_move, load_to_move)
