"""Decisions on links: to a member's own board of the open day, and for whom a leader invites.

The link itself is no fact of the club's: its secret is made where it is handed over, kept as a
digest, and told once. A reply says only what it is for, so that what is saved gives nothing away.
Whether links lead anywhere is not the club's to know: whoever hands them over may say that not.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum

from bot.club.acts import Act, Event, OfADay
from bot.club.course import Course, Decision, load_nothing
from bot.club.deciding import no_puzzle
from bot.club.replies import Reply
from bot.club.state import Club, Scene


@dataclass(frozen=True, slots=True)
class AskLink(OfADay):
    """Ask for a link that opens one's own board on another screen."""


class BoardLinkGiven(Reply, frozen=True):
    """A link to the member's board of `date`, good until a day after `closes_at`."""

    date: date
    closes_at: datetime
    zone: str


class NoBoardLink(Reply, frozen=True):
    """Links lead nowhere: the host has set no address, or the board is on this very page."""

    is_here: bool


@dataclass(frozen=True, slots=True)
class InviteMember(Act):
    """Make somebody the link by which they come into the room, in the place of one before."""

    name: str


@dataclass(frozen=True, slots=True)
class EndInvitation(Act):
    """Take back somebody's link, and show out whoever came by it."""

    name: str


class InvitationGiven(Reply, frozen=True):
    """A link into the room of `club`, to sign `member` in."""

    member: str
    club: str


class InvitationEnded(Reply, frozen=True):
    """`was_there`: there was a link, and it is good no more."""

    member: str
    was_there: bool = True


class NameProblem(StrEnum):
    """Why nobody is invited under a name, as the page would let nobody in under it."""

    UNREADABLE = "unreadable"
    RESERVED = "reserved"
    TAKEN = "taken"
    MIXED = "mixed"


NameProblemOf = Callable[[str, Club, Mapping[str, str]], NameProblem | None]
"""Returns what is wrong with a name, beside those of whom a club knows, by user id."""


class InvitationRefused(Reply, frozen=True):
    """There is no link for `member`: people would not know by that name who it is."""

    member: str
    problem: NameProblem


class NoInvitation(Reply, frozen=True):
    """Nobody comes in here by a link of ours."""


def decide_link(scene: Scene, event: Event, act: AskLink, wider: None) -> Decision:
    """Grant the link. It is not kept: asked again, there is a new one."""
    day = scene.today
    if day is None:
        return Decision(no_puzzle(scene, event.acted_at), is_kept=False)
    zone = scene.club.settings.zone
    given = BoardLinkGiven(date=day.date, closes_at=day.closes_at, zone=zone)
    return Decision(given, is_kept=False)


LINK = Course(AskLink, decide_link, load_nothing)


def decide_invitation(scene: Scene, event: Event, act: InviteMember, wider: None) -> Decision:
    """Grant the link. It is not kept: asked again, there is a new one."""
    given = InvitationGiven(member=act.name, club=scene.club.settings.name)
    return Decision(given, is_kept=False)


def decide_ending(scene: Scene, event: Event, act: EndInvitation, wider: None) -> Decision:
    """Have the link taken back."""
    return Decision(InvitationEnded(member=act.name), is_kept=False)


INVITE = Course(InviteMember, decide_invitation, load_nothing)
UNINVITE = Course(EndInvitation, decide_ending, load_nothing)
