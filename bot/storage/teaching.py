"""The part of the store that keeps the club's question, lesson and week, and practice."""

from __future__ import annotations

from bot.club.agenda import Agenda
from bot.club.asked import Asked
from bot.club.exercises import Sighting
from bot.club.practised import Practised
from bot.club.spacing import Skill
from bot.club.taught import Taught
from bot.club.weeks_kept import KeptWeek, Learner
from bot.storage.connection import Database
from bot.storage.lessons import find_lesson
from bot.storage.practice import list_seen, list_skills, load_practice
from bot.storage.questions import find_agenda, find_question
from bot.storage.weeks import find_week, list_learners


class TeachingStore:
    """Each method is one hop to the database thread, as the rest of the store's."""

    database: Database

    async def load_question(self, club_id: int, user_id: str) -> Asked | None:
        """Return the club's question, with a member's tries; None where none was ever put."""
        return await self.database.read(lambda link: find_question(link, club_id, user_id))

    async def load_agenda(self, club_id: int) -> Agenda:
        """Return what is to come of the club's questions, the next one first."""
        return await self.database.read(lambda link: find_agenda(link, club_id))

    async def load_lesson(self, club_id: int) -> Taught | None:
        """Return the club's lesson, which may be over; None where none was ever held."""
        return await self.database.read(lambda link: find_lesson(link, club_id))

    async def load_practice(self, club_id: int, user_id: str) -> Practised:
        """Return what is kept of a member's practice."""
        return await self.database.read(lambda link: load_practice(link, club_id, user_id))

    async def load_seen(self, club_id: int, user_id: str, technique: str) -> tuple[Sighting, ...]:
        """Return the positions of a technique that a member was shown within a year."""
        return await self.database.read(lambda link: list_seen(link, club_id, user_id, technique))

    async def load_skills(self, club_id: int) -> tuple[Skill, ...]:
        """Return how the club's members stand, without saying who."""
        return await self.database.read(lambda link: list_skills(link, club_id))

    async def load_week(self, club_id: int) -> KeptWeek | None:
        """Return the club's last technique week, None where it had none."""
        return await self.database.read(lambda link: find_week(link, club_id))

    async def load_learners(self, club_id: int, technique: str) -> tuple[Learner, ...]:
        """Return the club's members with how they stand with a technique, by their ids."""
        return await self.database.read(lambda link: list_learners(link, club_id, technique))
