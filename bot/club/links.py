"""Decisions on links: a member asks for one to their own board of the open day.

The link itself is no fact of the club's: its secret is made where it is handed over, kept as a
digest, and told once. A reply says only what it is for, so that what is saved gives nothing away.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from bot.club.acts import Event, OfADay
from bot.club.course import Course, Decision, load_nothing
from bot.club.deciding import no_puzzle
from bot.club.replies import Reply
from bot.club.state import Scene


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


def decide_link(scene: Scene, event: Event, act: AskLink, wider: None) -> Decision:
    """Grant the link. It is not kept: asked again, there is a new one."""
    day = scene.today
    if day is None:
        return Decision(no_puzzle(scene, event.acted_at), is_kept=False)
    zone = scene.club.settings.zone
    given = BoardLinkGiven(date=day.date, closes_at=day.closes_at, zone=zone)
    return Decision(given, is_kept=False)


LINK = Course(AskLink, decide_link, load_nothing)
