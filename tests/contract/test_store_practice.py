"""What every store keeps of practice, and lets go of with the member."""

from __future__ import annotations

from collections.abc import AsyncIterator
from datetime import timedelta
from pathlib import Path

import pytest

from bot.club.exercises import Sighting
from bot.club.ports import EraseMember, Store
from bot.club.practised import Exercise, Practised, SaveExercise, SaveSkill
from bot.club.spacing import Grade, graded
from tests.bot.storage.kinds import KINDS, open_kind
from tests.bot.storage.samples import NOON, new_club, new_member

MINUTE = timedelta(minutes=1)
X_WING = graded(None, "x-wing", Grade.AGAIN, NOON, is_alone=False)
PAIR = graded(None, "naked-pair", Grade.GOOD, NOON, is_alone=True)


@pytest.fixture(params=KINDS)
async def store(request: pytest.FixtureRequest, tmp_path: Path) -> AsyncIterator[Store]:
    async with open_kind(request.param, tmp_path) as opened:
        yield opened


async def test_the_newest_of_each_skill_and_position_is_kept(store: Store) -> None:
    club = await new_club(store, "elm")
    await new_member(store, club, "ada")
    assert await store.load_practice(club.id, "ada") == Practised()
    first = Exercise("x-wing", b"{}", "one", "base", NOON)
    second = Exercise("x-wing", b"{}", "two", "base", NOON + MINUTE, 2, 1, is_over=True)
    later = graded(X_WING, "x-wing", Grade.GOOD, NOON + timedelta(minutes=5), is_alone=True)
    for change in (first, second):
        await store.save([SaveExercise(club.id, "ada", change)])
    for skill in (X_WING, PAIR, later):
        await store.save([SaveSkill(club.id, "ada", skill)])
    kept = await store.load_practice(club.id, "ada")
    assert kept.exercise == second
    assert kept.skills == (PAIR, later)
    seen = await store.load_seen(club.id, "ada", "x-wing")
    assert seen == (Sighting("one", "base", NOON), Sighting("two", "base", NOON + MINUTE))
    assert await store.load_seen(club.id, "ada", "naked-pair") == ()
    assert kept.skill_in("claiming") is None


async def test_a_position_is_known_to_have_been_shown_for_a_year(store: Store) -> None:
    club = await new_club(store, "elm")
    await new_member(store, club, "ada")
    for number, days in enumerate((0, 1, 300, 365)):
        at = NOON + timedelta(days=days)
        change = Exercise("x-wing", b"{}", f"position {number % 3}", "base", at)
        await store.save([SaveExercise(club.id, "ada", change)])
    seen = await store.load_seen(club.id, "ada", "x-wing")
    assert [each.fingerprint for each in seen] == ["position 1", "position 2", "position 0"]


async def test_skills_of_a_club_are_told_together_and_go_with_the_member(store: Store) -> None:
    elm, oak = await new_club(store, "elm"), await new_club(store, "oak")
    for club, member in ((elm, "ada"), (elm, "ben"), (oak, "ada")):
        await new_member(store, club, member)
        await store.save([SaveSkill(club.id, member, X_WING)])
    await store.save([SaveSkill(elm.id, "ben", PAIR)])
    assert await store.load_skills(elm.id) == (PAIR, X_WING, X_WING)
    await store.save([EraseMember(elm.id, "ben")])
    assert await store.load_skills(elm.id) == (X_WING,)
    assert await store.load_practice(elm.id, "ben") == Practised()
    assert await store.load_skills(oak.id) == (X_WING,)
