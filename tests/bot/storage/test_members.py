"""Who is known to a club, from the database."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

from bot.storage import open_store
from tests.bot.storage.samples import new_club, new_member

NOON = datetime(2026, 11, 23, 12, tzinfo=UTC)


async def test_the_names_of_a_clubs_members_are_told_by_user_id(tmp_path: Path) -> None:
    async with open_store(tmp_path / "club.db", now=lambda: NOON) as store:
        club, other = await new_club(store), await new_club(store, "elm")
        await new_member(store, club, "u1", "Ada")
        await new_member(store, club, "u2", "Ada")
        await new_member(store, other, "u1", "Grace")
        assert await store.load_member_names(club.id) == {"u1": "Ada", "u2": "Ada"}
