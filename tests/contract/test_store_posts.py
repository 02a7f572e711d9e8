"""What the club expects of its store: a day's post marks the day, a member's entries by date."""

from __future__ import annotations

from msgspec.structs import replace

from bot.club.ports import (
    OpenDay,
    QueueNotice,
    SaveEntry,
    Store,
    WithdrawDay,
    WithdrawNotice,
)
from bot.club.state import Board, MemberSolve
from tests.bot.storage.samples import (
    MONDAY,
    NOON,
    ONE_DAY,
    day_number,
    entries_of,
    new_club,
    new_day,
    new_member,
    puzzle_number,
)


async def test_a_days_post_marks_that_day_posted_with_its_reference(store: Store) -> None:
    club, other = await new_club(store), await new_club(store, "elm")
    for each in (club, other):
        day = day_number(each, 0)
        post = QueueNotice(each.id, f"day:{each.id}:{day.date.isoformat()}", "room", b"posted")
        await store.save([OpenDay(day), post, QueueNotice(each.id, "solved", "room", b"solved")])
    for notice in await store.load_notices():
        if notice.club.id == club.id:
            await store.mark_sent(notice.id, f"post of {notice.key}", NOON)
    posted = await store.load_day(club.id, MONDAY)
    assert posted is not None
    assert (posted.posted_at, posted.post_ref) == (NOON, f"post of day:{club.id}:2026-11-23")
    waiting = await store.load_day(other.id, MONDAY)
    assert waiting is not None
    assert waiting.posted_at is None


async def test_a_days_post_marked_again_keeps_the_first_time(store: Store) -> None:
    club = await new_club(store)
    day = day_number(club, 0)
    post = QueueNotice(club.id, f"day:{club.id}:{day.date.isoformat()}", "room", b"posted")
    await store.save([OpenDay(day), post])
    (notice,) = await store.load_notices()
    await store.mark_sent(notice.id, "first", NOON)
    await store.mark_sent(notice.id, "second", NOON + ONE_DAY)
    posted = await store.load_day(club.id, MONDAY)
    assert posted is not None
    assert (posted.posted_at, posted.post_ref) == (NOON, "first")


async def test_a_members_entries_come_by_date_and_are_theirs_alone(store: Store) -> None:
    club = await new_club(store)
    ada, ben = await new_member(store, club, "ada"), await new_member(store, club, "ben")
    for number in (1, 0):
        day = await new_day(store, club, number)
        mark = str(number + 1)
        for member in (ada, ben):
            board = Board(mark + "." * 80)
            await store.save([SaveEntry(member.user_id, MemberSolve(0, day.id, member.id, board))])
    entries = await entries_of(store, club, "ada")
    assert [entry.board.grid[0] for entry in entries] == ["1", "2"]
    assert {entry.member_id for entry in entries} == {ada.id}
    assert await entries_of(store, club, "nobody") == ()


async def test_a_notice_withdrawn_is_never_sent_nor_queued_again(store: Store) -> None:
    club, other = await new_club(store), await new_club(store, "elm")
    for each in (club, other):
        await store.save([QueueNotice(each.id, "day", "room", b"posted")])
    await store.save([WithdrawNotice(club.id, "day"), WithdrawNotice(club.id, "unknown")])
    await store.save([QueueNotice(club.id, "day", "room", b"again")])
    assert [notice.club for notice in await store.load_notices()] == [other]


async def test_a_mend_of_a_key_that_nothing_was_queued_under_says_nothing(store: Store) -> None:
    club, other = await new_club(store), await new_club(store, "elm")
    await store.save([QueueNotice(other.id, "solved", "room", b"first")])
    await store.save([QueueNotice(club.id, "solved", "mend", b"nobody")])
    assert [notice.club for notice in await store.load_notices()] == [other]


async def test_withdrawing_leaves_alone_what_was_sent(store: Store) -> None:
    club = await new_club(store)
    await store.save([QueueNotice(club.id, "results", "room", b"first")])
    (notice,) = await store.load_notices()
    await store.mark_sent(notice.id, "post 7", NOON)
    await store.save([WithdrawNotice(club.id, "results")])
    await store.save([QueueNotice(club.id, "results", "mend", b"better")])
    (mend,) = await store.load_notices()
    assert (mend.audience, mend.post_ref) == ("mend", "post 7")


async def test_a_withdrawn_day_leaves_its_date_free_and_its_puzzle_known(store: Store) -> None:
    club, other = await new_club(store), await new_club(store, "elm")
    member = await new_member(store, club, "ada")
    day, kept = await new_day(store, club, 0), await new_day(store, other, 0)
    await store.save(
        [
            SaveEntry("ada", MemberSolve(0, day.id, member.id, Board("." * 81))),
            QueueNotice(club.id, "walkthrough", "thread", b"steps", day_id=day.id),
        ]
    )
    await store.save([WithdrawDay(day.id)])
    assert await store.load_day(club.id, MONDAY) is None
    assert await entries_of(store, club, "ada") == ()
    assert await store.load_day(other.id, MONDAY) == kept
    (withdrawn,) = await store.load_withdrawn(club.id)
    assert (withdrawn.day, withdrawn.puzzle) == (MONDAY, day.puzzle)
    assert await store.load_withdrawn(other.id) == ()
    assert day.puzzle not in await store.load_stock(club.id)
    (waiting,) = await store.load_notices()
    assert (waiting.key, waiting.post_ref) == ("walkthrough", None)


async def test_the_next_edition_of_a_date_is_marked_by_a_post_of_its_own(store: Store) -> None:
    club = await new_club(store)
    first = await new_day(store, club, 0)
    await store.save([WithdrawDay(first.id)])
    again = replace(day_number(club, 0, puzzle_number(7)), edition=2)
    keys = [f"day:{club.id}:2026-11-23", f"day:{club.id}:2026-11-23/2"]
    await store.save([OpenDay(again), *(QueueNotice(club.id, key, "room", b"") for key in keys)])
    late, post = await store.load_notices()
    await store.mark_sent(late.id, "old", NOON)
    waiting = await store.load_day(club.id, MONDAY)
    assert waiting is not None
    assert (waiting.edition, waiting.posted_at) == (2, None)
    await store.mark_sent(post.id, "new", NOON)
    posted = await store.load_day(club.id, MONDAY)
    assert posted is not None
    assert (posted.edition, posted.post_ref) == (2, "new")
