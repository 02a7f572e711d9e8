"""What the club expects of its store: results, puzzles, the outbox, what is kept of a member."""

from __future__ import annotations

import json
from datetime import timedelta

import msgspec
from msgspec.structs import replace

from bot.club.ports import (
    EraseMember,
    OpenDay,
    QueueNotice,
    SaveEntry,
    SavePuzzle,
    Store,
)
from bot.club.state import Board, Charge, Club, MemberSolve
from tests.bot.storage.samples import (
    MINUTE,
    MONDAY,
    NOON,
    ONE_DAY,
    day_number,
    full_entry,
    new_club,
    new_day,
    new_member,
    puzzle_number,
)

# --- results ---


async def test_a_result_counts_seconds_from_the_start_and_hints_by_step(store: Store) -> None:
    club = await new_club(store)
    day = await new_day(store, club, 0)
    ada = await new_member(store, club, "ada")
    await store.save([SaveEntry("ada", full_entry(day, ada))])
    (result,) = await store.load_results(club.id, None, None)
    assert (result.member_id, result.name, result.date, result.level) == (ada.id, "Ada", MONDAY, 1)
    assert result.raw == 600
    assert result.added == 15 + 30 + 15 + 60
    assert result.hints == 2
    assert result.tries == 2
    assert result.verdict == "accepted"
    assert result.is_ranked


async def test_who_never_started_the_clock_is_timed_from_the_post(store: Store) -> None:
    club = await new_club(store)
    day = await new_day(store, club, 0)
    ada = await new_member(store, club, "ada")
    assert day.posted_at is not None
    finished_at = day.posted_at + timedelta(seconds=90, milliseconds=900)
    entry = MemberSolve(0, day.id, ada.id, Board("." * 81), finished_at=finished_at)
    await store.save([SaveEntry("ada", entry)])
    (result,) = await store.load_results(club.id, None, None)
    assert result.raw == 90


async def test_results_are_of_the_dates_asked_for_by_date_and_only_finished_ones(
    store: Store,
) -> None:
    club = await new_club(store)
    ada, ben = await new_member(store, club, "ada"), await new_member(store, club, "ben")
    for number in (2, 0, 1):
        day = await new_day(store, club, number)
        entry = MemberSolve(0, day.id, ada.id, Board("." * 81), finished_at=day.due_at + MINUTE)
        unfinished = MemberSolve(
            0, day.id, ben.id, Board("." * 81), charges=(Charge("wrong", 0, 60),)
        )
        await store.save([SaveEntry("ada", entry), SaveEntry("ben", unfinished)])

    async def dates(first: int | None, last: int | None) -> list[int]:
        results = await store.load_results(
            club.id,
            None if first is None else MONDAY + first * ONE_DAY,
            None if last is None else MONDAY + last * ONE_DAY,
        )
        assert {result.name for result in results} <= {"Ada"}
        return [(result.date - MONDAY).days for result in results]

    assert await dates(None, None) == [0, 1, 2]
    assert await dates(1, 2) == [1, 2]
    assert await dates(None, 0) == [0]
    assert await dates(3, None) == []


# --- puzzles ---


async def test_the_queue_keeps_its_order_and_its_dates(store: Store) -> None:
    club = await new_club(store)
    await store.save([SavePuzzle(puzzle_number(2), club_id=club.id, is_queued=True)])
    await store.save([SavePuzzle(puzzle_number(1), club_id=club.id, day=MONDAY, is_queued=True)])
    queue = await store.load_queue(club.id)
    assert [queued.puzzle.givens for queued in queue] == [
        puzzle_number(2).givens,
        puzzle_number(1).givens,
    ]
    assert [queued.day for queued in queue] == [None, MONDAY]


async def test_the_stock_is_what_the_club_has_not_had_and_has_not_queued(store: Store) -> None:
    club, other = await new_club(store), await new_club(store, "elm")
    for number in (1, 2, 3):
        await store.save([SavePuzzle(puzzle_number(number))])
    await store.save([SavePuzzle(puzzle_number(2), club_id=club.id, is_queued=True)])
    await store.save([OpenDay(day_number(club, 0, puzzle_number(1)))])

    async def stock(club_id: int) -> list[str]:
        return [puzzle.givens for puzzle in await store.load_stock(club_id)]

    assert await stock(club.id) == [puzzle_number(3).givens]
    assert await stock(other.id) == [puzzle_number(number).givens for number in (1, 2, 3)]


async def test_a_puzzle_added_again_is_there_once_with_its_first_words(store: Store) -> None:
    club = await new_club(store)
    await store.save([SavePuzzle(msgspec.structs.replace(puzzle_number(1), credit="Ada"))])
    await store.save([SavePuzzle(msgspec.structs.replace(puzzle_number(1), credit="Ben"))])
    (puzzle,) = await store.load_stock(club.id)
    assert puzzle.credit == "Ada"
    assert puzzle.needs == ("hidden-single",)


async def test_a_credit_given_with_the_queue_stands_but_not_in_another_club(store: Store) -> None:
    club, other = await new_club(store), await new_club(store, "elm")

    async def queue(of: Club, credit: str) -> str:
        puzzle = msgspec.structs.replace(puzzle_number(1), credit=credit)
        await store.save([SavePuzzle(puzzle, club_id=of.id, is_queued=True)])
        (queued,) = await store.load_queue(of.id)
        return queued.puzzle.credit

    assert [await queue(club, credit) for credit in ("", "Ada", "", "Ben")] == [
        "", "Ada", "Ada", "Ben",
    ]  # fmt: skip
    assert await queue(other, "Cat") == "Ben"


async def test_a_puzzle_keeps_how_often_it_turns(store: Store) -> None:
    club = await new_club(store)
    puzzles = [
        replace(puzzle_number(n), turns=turns) for n, turns in enumerate((None, 0, 1, 12), 1)
    ]
    await store.save([SavePuzzle(each) for each in puzzles])
    assert [each.turns for each in await store.load_stock(club.id)] == [None, 0, 1, 12]


async def test_a_disguise_of_what_a_club_has_had_is_not_in_its_stock(store: Store) -> None:
    club, other = await new_club(store), await new_club(store, "elm")
    plain, disguised, fresh = (
        msgspec.structs.replace(puzzle_number(number), form=form)
        for number, form in ((1, "one"), (2, "one"), (3, "three"))
    )
    day = msgspec.structs.replace(day_number(club, 0), puzzle=plain)
    await store.save([SavePuzzle(each) for each in (plain, disguised, fresh)])
    await store.save([SavePuzzle(plain), OpenDay(day)])
    assert [each.form for each in await store.load_stock(club.id)] == ["three"]
    assert [each.form for each in await store.load_stock(other.id)] == ["one", "one", "three"]


# --- the outbox ---


async def test_notices_wait_oldest_first_until_they_are_sent(store: Store) -> None:
    club = await new_club(store)
    for key in ("b", "a", "c"):
        await store.save([QueueNotice(club.id, key, "room", key.encode())])
    notices = await store.load_notices()
    assert [(notice.key, notice.reply, notice.club) for notice in notices] == [
        ("b", b"b", club),
        ("a", b"a", club),
        ("c", b"c", club),
    ]
    assert [notice.key for notice in await store.load_notices(limit=2)] == ["b", "a"]
    await store.mark_sent(notices[1].id, "post 1", NOON)
    assert [notice.key for notice in await store.load_notices()] == ["b", "c"]


async def test_a_key_is_sent_once_even_when_queued_again_later(store: Store) -> None:
    club = await new_club(store)
    notice = QueueNotice(club.id, "k", "room", b"first")
    await store.save([notice])
    await store.save([with_reply(notice, b"second")])
    (waiting,) = await store.load_notices()
    assert waiting.reply == b"first"
    await store.mark_sent(waiting.id, "post 1", NOON)
    await store.save([with_reply(notice, b"third")])
    assert await store.load_notices() == ()


def with_reply(notice: QueueNotice, reply: bytes) -> QueueNotice:
    return QueueNotice(notice.club_id, notice.key, notice.audience, reply)


async def test_a_mend_of_what_is_sent_knows_the_post_to_replace(store: Store) -> None:
    club = await new_club(store)
    await store.save([QueueNotice(club.id, "results", "room", b"first")])
    (waiting,) = await store.load_notices()
    await store.mark_sent(waiting.id, "post 7", NOON)
    await store.save([QueueNotice(club.id, "results", "mend", b"better")])
    (mend,) = await store.load_notices()
    assert (mend.audience, mend.reply, mend.post_ref) == ("mend", b"better", "post 7")
    await store.mark_sent(mend.id, "post 7", NOON)
    assert await store.load_notices() == ()


async def test_a_mend_of_what_was_never_sent_is_sent_as_the_post_itself(store: Store) -> None:
    club = await new_club(store)
    await store.save([QueueNotice(club.id, "results", "room", b"first")])
    await store.save([QueueNotice(club.id, "results", "mend", b"better")])
    (waiting,) = await store.load_notices()
    assert (waiting.audience, waiting.reply) == ("room", b"better")


async def test_a_thread_notice_knows_the_days_post(store: Store) -> None:
    club = await new_club(store)
    day = await new_day(store, club, 0)
    await store.save([QueueNotice(club.id, "walk", "thread", b"steps", day_id=day.id)])
    (waiting,) = await store.load_notices()
    assert waiting.post_ref == "post 0"


async def test_a_notice_to_a_member_names_the_member(store: Store) -> None:
    club = await new_club(store)
    await store.save([QueueNotice(club.id, "ruling", "member", b"told", user_id="ada")])
    (waiting,) = await store.load_notices()
    assert (waiting.audience, waiting.user_id) == ("member", "ada")


# --- what is kept of a member ---


async def test_an_export_holds_the_name_and_every_entry_and_is_json(store: Store) -> None:
    club = await new_club(store)
    member = await new_member(store, club, "ada", "Ada")
    for number in (0, 1):
        day = await new_day(store, club, number)
        await store.save([SaveEntry("ada", full_entry(day, member))])
    text = json.dumps(await store.export_member(club.id, "ada"))
    for kept in ("Ada", "2026-11-23", "2026-11-24", "watched them solve it", "naked-pair"):
        assert kept in text


async def test_an_erased_member_is_gone_with_entries_replies_and_notices(store: Store) -> None:
    club = await new_club(store)
    day = await new_day(store, club, 0)
    for user_id in ("ada", "ben"):
        member = await new_member(store, club, user_id)
        await store.save(
            [
                SaveEntry(user_id, full_entry(day, member)),
                QueueNotice(club.id, f"to {user_id}", "member", b"told", user_id=user_id),
            ],
            event_id=f"event of {user_id}",
            reply=b"board",
            club_id=club.id,
            user_id=user_id,
        )
    await store.save(
        [EraseMember(club.id, "ada")],
        event_id="erasure",
        reply=b"erased",
        club_id=club.id,
        user_id="ada",
    )
    assert await store.find_members(club.id, "ada") == ()
    assert await store.load_entry(day.id, "ada") is None
    assert await store.load_reply("event of ada") is None
    assert [notice.key for notice in await store.load_notices()] == ["to ben"]
    assert [result.name for result in await store.load_results(club.id, None, None)] == ["Ben"]
    assert await store.load_reply("event of ben") == b"board"
    # Delivered again, the erasure itself must not erase somebody who came back.
    assert await store.load_reply("erasure") == b"erased"


# --- a day's post ---


async def test_a_day_is_posted_when_its_own_notice_is_sent_and_once_only(store: Store) -> None:
    club = await new_club(store)
    await store.save(
        [
            OpenDay(day_number(club, 0)),
            QueueNotice(club.id, f"day:{club.id}:2026-11-23", "room", b"up"),
            QueueNotice(club.id, f"solved:{club.id}:2026-11-23:ada", "room", b"solved"),
        ]
    )
    own, other = await store.load_notices()
    await store.mark_sent(other.id, "post 1", NOON + MINUTE)
    before = await store.load_day(club.id, MONDAY)
    assert before is not None
    assert (before.posted_at, before.post_ref) == (None, None)
    for later, reference in ((2, "post 2"), (3, "post 3")):
        await store.mark_sent(own.id, reference, NOON + later * MINUTE)
        after = await store.load_day(club.id, MONDAY)
        assert after is not None
        assert (after.posted_at, after.post_ref) == (NOON + 2 * MINUTE, "post 2")


async def test_a_members_days_come_by_date_and_of_the_club_alone(store: Store) -> None:
    club, other = await new_club(store), await new_club(store, "elm")
    for each in (club, other):
        member = await new_member(store, each, "ada")
        for number in (1, 0):
            day = await new_day(store, each, number)
            await store.save([SaveEntry("ada", full_entry(day, member))])
    days = await store.load_days(club.id)
    assert await store.load_finished_days(club.id, "ada") == days
    assert await store.load_day_ids(club.id, "ada") == {day.id for day in days}
    assert await store.load_finished_days(club.id, "nobody") == ()
    assert await store.load_day_ids(club.id, "nobody") == frozenset()
