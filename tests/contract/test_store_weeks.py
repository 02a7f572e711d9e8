"""What every store keeps of a technique week, and how it tells who stands where."""

from __future__ import annotations

from collections.abc import AsyncIterator
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import pytest

from bot.club.asked import SaveQuestion, SaveTry
from bot.club.ports import EraseMember, Store
from bot.club.practised import SaveSkill
from bot.club.spacing import Grade, graded
from bot.club.weeks_kept import KeptWeek, Learner, SaveWeek
from tests.bot.storage.kinds import KINDS, open_kind
from tests.bot.storage.samples import NOON, new_club, new_member

DAY = timedelta(days=1)
MISSED = graded(None, "x-wing", Grade.AGAIN, NOON, is_alone=False)
GAINED = graded(MISSED, "x-wing", Grade.GOOD, NOON + DAY, is_alone=True)


@pytest.fixture(params=KINDS)
async def store(request: pytest.FixtureRequest, tmp_path: Path) -> AsyncIterator[Store]:
    async with open_kind(request.param, tmp_path) as opened:
        yield opened


async def test_a_club_has_one_week_at_a_time(store: Store) -> None:
    elm, oak = await new_club(store, "elm"), await new_club(store, "oak")
    assert await store.load_week(elm.id) is None
    week = KeptWeek(date(2026, 11, 23), "x-wing", NOON)
    later = replace(week, question=3, asked_at=NOON + 2 * DAY, is_told=True)
    for each in (week, later):
        await store.save([SaveWeek(elm.id, each)])
        assert await store.load_week(elm.id) == each
    assert await store.load_week(oak.id) is None


async def test_members_are_told_of_with_their_skill_and_tries_and_go_with_them(
    store: Store,
) -> None:
    elm, oak = await new_club(store, "elm"), await new_club(store, "oak")
    ids = [(await new_member(store, elm, name)).id for name in ("ada", "ben", "cleo")]
    await new_member(store, oak, "dora")
    assert GAINED.gained_at == NOON + DAY
    await store.save(
        [
            SaveSkill(elm.id, "ada", GAINED),
            SaveQuestion(elm.id, 1, b"{}"),
            SaveTry(elm.id, "ben", 2, saw=True),
        ]
    )
    learners = (
        Learner(ids[0], GAINED),
        Learner(ids[1], None, tried=True, saw=True),
        Learner(ids[2]),
    )
    assert await store.load_learners(elm.id, "x-wing") == learners
    assert (await store.load_learners(elm.id, "naked-pair"))[0] == Learner(ids[0])
    await store.save([EraseMember(elm.id, "ada")])
    assert await store.load_learners(elm.id, "x-wing") == learners[1:]
