"""Which techniques a club's hints and walkthroughs use."""

from __future__ import annotations

from bot.club.state import ClubSettings
from engine import LADDER, WITHOUT_UNIQUENESS, Technique


def ladder_of(settings: ClubSettings) -> tuple[Technique, ...]:
    """Return the ladder, or what is left of it for a club that takes no one solution for granted.

    Puzzles are judged by the whole ladder in every club.
    """
    return LADDER if settings.uniqueness else WITHOUT_UNIQUENESS
