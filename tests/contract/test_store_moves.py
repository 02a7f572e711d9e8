"""What the club expects of its store when it moves: all goes along, and what is up stays there."""

from __future__ import annotations

from sqlite3 import Connection

import pytest

from bot.club.changes import (
    EraseMember,
    MarkClosed,
    NoteServer,
    OpenDay,
    QueueNotice,
    Relocate,
    SaveMember,
)
from bot.club.ports import Notice, Store
from bot.club.state import Club, ClubSettings, Day, Member
from bot.storage import SqliteStore, open_store
from bot.storage.memory import Leaver, RoomMemory
from tests.bot.storage.samples import MONDAY, NOON, day_number, new_club, new_member

POST = "day:{}:2026-11-23"


async def posted_day(store: Store, club: Club) -> Day:
    """Have the club's first day up, under the reference `old`."""
    post = QueueNotice(club.id, POST.format(club.id), "room", b"posted")
    await store.save([OpenDay(day_number(club, 0)), post])
    await send_all(store, "old")
    day = await store.load_day(club.id, MONDAY)
    assert day is not None
    return day


async def send_all(store: Store, reference: str) -> list[tuple[str, str, str]]:
    """Have all that waits sent; return where, under which key and what."""
    waiting = await store.load_notices()
    for notice in waiting:
        await store.mark_sent(notice.id, reference, NOON)
    return [told(each) for each in waiting]


def told(notice: Notice) -> tuple[str, str, str]:
    return notice.room_id, notice.room_key, notice.reply.decode()


async def test_a_club_that_moves_is_the_same_club_in_another_room(store: Store) -> None:
    club = await new_club(store)
    member = await new_member(store, club, "ada")
    await store.save([Relocate(club.id, "elm"), NoteServer(club.id, "street")])
    moved = await store.load_club("web", "elm")
    assert moved is not None
    assert (moved.id, moved.room_id, moved.home, moved.server) == (
        club.id,
        "elm",
        "maple",
        "street",
    )
    assert await store.load_clubs() == (moved,)
    assert await store.reload_club(club.id) == moved
    assert await store.load_clubs_of("web", member.user_id) == (moved,)


async def test_what_comes_from_a_room_that_a_club_has_left_finds_the_club(store: Store) -> None:
    club, other = await new_club(store), await new_club(store, "oak")
    for room_id in ("elm", "ash"):
        await store.save([Relocate(club.id, room_id)])
    for room_id in ("maple", "elm", "ash"):
        found = await store.load_club("web", room_id)
        assert found is not None
        assert (found.id, found.room_id) == (club.id, "ash")
    assert await store.load_club("matrix", "maple") is None
    # The last one that left it, until a new one is founded there.
    await store.save([Relocate(other.id, "elm")])
    await store.save([Relocate(other.id, "oak")])
    found = await store.load_club("web", "elm")
    assert found is not None
    assert found.id == other.id
    new = await store.add_club("web", "elm", ClubSettings("New"))
    assert new.id not in (club.id, other.id)
    assert await store.load_club("web", "elm") == new


async def test_a_room_that_has_a_club_takes_no_other(store: Store) -> None:
    club, other = await new_club(store), await new_club(store, "elm")
    with pytest.raises(Exception, match="club"):
        await store.save([SaveMember(Member(0, club.id, "u9", "Ada")), Relocate(club.id, "elm")])
    assert await store.load_clubs() == (club, other)
    assert await store.find_members(club.id, "u9") == ()


async def test_what_is_up_is_mended_where_it_is_and_what_waits_goes_along(store: Store) -> None:
    club, other = await new_club(store), await new_club(store, "oak")
    for each in (club, other):
        await store.save([QueueNotice(each.id, "solved", "room", b"solved")])
    await send_all(store, "old")
    waiting = QueueNotice(club.id, "results", "room", b"results")
    await store.save([waiting, Relocate(club.id, "elm", farewell=b"gone")])
    for each in (club, other):
        await store.save([QueueNotice(each.id, "solved", "mend", b"mended")])
    assert await send_all(store, "new") == [
        ("maple", "solved", "mended"),
        ("oak", "solved", "mended"),
        ("elm", "results@1", "results"),
        ("maple", "left:0", "gone"),
    ]


async def test_a_days_post_gives_up_its_key_and_the_new_one_is_the_days(store: Store) -> None:
    club = await new_club(store)
    day, key = await posted_day(store, club), POST.format(club.id)
    walkthrough = QueueNotice(club.id, "walkthrough", "thread", b"steps", day_id=day.id)
    left = Relocate(club.id, "elm", left=((key, b"moved"), ("begun", b"never up")))
    await store.save([left, QueueNotice(club.id, key, "room", b"posted anew")])
    between = await store.load_day(club.id, MONDAY)
    assert between is not None
    assert (between.posted_at, between.post_ref) == (NOON, None)
    await store.save([walkthrough, MarkClosed(day.id)])
    assert await send_all(store, "new") == [
        ("maple", key, "moved"),
        ("elm", f"{key}@1", "posted anew"),
    ], "a thread waits for the post that it hangs under"
    after = await store.load_day(club.id, MONDAY)
    assert after is not None
    assert (after.posted_at, after.post_ref) == (day.posted_at, "new")
    (notice,) = await store.load_notices()
    assert (notice.room_id, notice.post_ref) == ("elm", "new")


async def test_a_club_that_comes_back_says_what_it_says_under_keys_of_its_own(store: Store) -> None:
    club = await new_club(store)
    await posted_day(store, club)
    key = POST.format(club.id)
    for room_id in ("elm", "maple"):
        again = QueueNotice(club.id, key, "room", b"again")
        await store.save([Relocate(club.id, room_id, left=((key, b"moved"),)), again])
        said = await send_all(store, room_id)
    assert said == [("elm", f"{key}@1", "moved"), ("maple", f"{key}@2", "again")]
    found = await store.load_club("web", "elm")
    assert found is not None
    assert found.room_id == found.home == "maple"


async def test_what_was_on_its_way_as_a_club_moved_is_said_in_the_new_room() -> None:
    async with open_store(None, now=lambda: NOON) as store:
        await sends_anew(store)


async def test_a_post_that_may_be_up_where_a_club_was_is_looked_for_and_mended() -> None:
    async with open_store(None, now=lambda: NOON) as store:
        club = await new_club(store)
        key = POST.format(club.id)
        post = QueueNotice(club.id, key, "room", b"posted")
        await store.save([OpenDay(day_number(club, 0)), post])
        (begun,) = await store.load_notices()
        await store.begin_attempt(begun.id, NOON)
        await store.save([Relocate(club.id, "elm", left=((key, b"moved"),))])
        left, new = await store.load_notices()
        assert (told(left), told(new)) == (("maple", key, "moved"), ("elm", f"{key}@1", "posted"))
        attempt = await store.begin_attempt(left.id, NOON)
        assert attempt is not None
        # Where it is not found it is over: nothing is said there.
        assert attempt.is_again
        assert attempt.is_over
        await store.mark_sent(left.id, "old", NOON)
        (mend, _) = await store.load_notices()
        assert (mend.audience, mend.post_ref, told(mend)) == ("mend", "old", told(left))


async def sends_anew(store: SqliteStore) -> None:
    club = await new_club(store)
    key = POST.format(club.id)
    await store.save([OpenDay(day_number(club, 0)), QueueNotice(club.id, key, "room", b"posted")])
    (begun,) = await store.load_notices()
    assert await store.begin_attempt(begun.id, NOON) is not None
    await store.save([Relocate(club.id, "elm")])
    # It arrives where the club is no more.
    await store.mark_sent(begun.id, "old", NOON)
    assert await store.begin_attempt(begun.id, NOON) is None
    (notice,) = await store.load_notices()
    assert told(notice) == ("elm", f"{key}@1", "posted")
    attempt = await store.begin_attempt(notice.id, NOON)
    assert attempt is not None
    assert not attempt.is_again
    await store.mark_sent(notice.id, "new", NOON)
    day = await store.load_day(club.id, MONDAY)
    assert day is not None
    assert day.post_ref == "new"


async def test_an_erasure_and_an_export_look_in_every_room_that_a_club_had() -> None:
    looked: list[tuple[str, str]] = []

    def erase(link: Connection, room_id: str, leaver: Leaver) -> None:
        looked.append((room_id, leaver.user_id))

    def export(link: Connection, room_id: str, user_id: str) -> dict[str, object]:
        return {"sent": [f"{user_id} in {room_id}"], "private_room": "chat"}

    def move(link: Connection, left: str, room_id: str) -> None:
        looked.append((left, room_id))

    memory = RoomMemory("web", erase, export, lambda link, now: None, move)
    async with open_store(None, now=lambda: NOON, memories=(memory,)) as store:
        club = await new_club(store)
        await new_member(store, club, "ada")
        for room_id in ("elm", "maple", "ash"):
            await store.save([Relocate(club.id, room_id)])
        kept = await store.export_member(club.id, "ada")
        assert kept["sent"] == ["ada in ash", "ada in maple", "ada in elm"]
        assert kept["private_room"] == "chat"
        assert looked == [("maple", "elm"), ("elm", "maple"), ("maple", "ash")]
        looked.clear()
        await store.save([EraseMember(club.id, "ada")])
        assert looked == [("ash", "ada"), ("maple", "ada"), ("elm", "ada")]
