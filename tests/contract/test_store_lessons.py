"""What every store keeps of a lesson, and of the message in a thread that it changes."""

from __future__ import annotations

from collections.abc import AsyncIterator
from pathlib import Path

import pytest

from bot.club.changes import QueueNotice, Relocate
from bot.club.ports import Notice, Store
from bot.club.taught import SaveLesson, Taught
from tests.bot.storage.kinds import KINDS, open_kind
from tests.bot.storage.samples import NOON, new_club


@pytest.fixture(params=KINDS)
async def store(request: pytest.FixtureRequest, tmp_path: Path) -> AsyncIterator[Store]:
    async with open_kind(request.param, tmp_path) as opened:
        yield opened


async def _send(store: Store, reference: str) -> Notice:
    (notice,) = await store.load_notices()
    await store.mark_sent(notice.id, reference, NOON)
    return notice


async def test_a_lesson_is_kept_as_it_stands_and_apart_from_other_clubs(store: Store) -> None:
    club, other = await new_club(store, "elm"), await new_club(store, "oak")
    first = Taught(1, b"{}", 3, is_asking=True, question=7, asked=3)
    for lesson in (Taught(1, b"{}"), first):
        await store.save([SaveLesson(club.id, lesson)])
    assert await store.load_lesson(club.id) == first
    assert await store.load_lesson(other.id) is None
    await store.save([SaveLesson(club.id, Taught(2, b"[]", is_over=True))])
    assert await store.load_lesson(club.id) == Taught(2, b"[]", is_over=True)


async def test_what_hangs_under_a_post_waits_for_it_and_is_then_replaced(store: Store) -> None:
    club = await new_club(store)
    await store.save(
        [
            QueueNotice(club.id, "lesson:1", "room", b"opened"),
            QueueNotice(club.id, "frame:1", "under", b"first", under="lesson:1"),
        ]
    )
    assert (await _send(store, "post 1")).key == "lesson:1"
    # Moved on before it was out: it goes out once, with the newer words.
    await store.save([QueueNotice(club.id, "frame:1", "mend", b"second")])
    sent = await _send(store, "post 2")
    assert (sent.audience, sent.post_ref, sent.reply) == ("under", "post 1", b"second")
    await store.save([QueueNotice(club.id, "frame:1", "mend", b"third")])
    mended = await _send(store, "post 2")
    assert (mended.audience, mended.post_ref, mended.reply) == ("mend", "post 2", b"third")


async def test_what_hangs_under_a_post_stays_with_it_when_the_club_moves(store: Store) -> None:
    club = await new_club(store)
    await store.save([QueueNotice(club.id, "lesson:1", "room", b"opened")])
    await _send(store, "post 1")
    await store.save([QueueNotice(club.id, "frame:1", "under", b"first", under="lesson:1")])
    await store.save([Relocate(club.id, "elm")])
    sent = await _send(store, "post 2")
    assert (sent.room_id, sent.post_ref) == ("maple", "post 1")


async def test_what_hangs_under_nothing_yet_goes_along_with_a_move(store: Store) -> None:
    club = await new_club(store)
    await store.save(
        [
            QueueNotice(club.id, "lesson:1", "room", b"opened"),
            QueueNotice(club.id, "frame:1", "under", b"first", under="lesson:1"),
            Relocate(club.id, "elm"),
        ]
    )
    rooms = [(await _send(store, f"post {number}")).room_id for number in (1, 2)]
    assert rooms == ["elm", "elm"]
