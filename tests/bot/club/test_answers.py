"""Handing in: times, ranks, swapped lines, late answers, earlier days, what is too quick."""

from __future__ import annotations

from datetime import datetime, timedelta

import pytest
from msgspec.structs import replace

from bot.club.answers import Answerable, choose_answerable, hand_in, result_of
from bot.club.charging import with_charge
from bot.club.refusal import RefusedError
from bot.club.replies import (
    AnswerAlready,
    AnswerRight,
    AnswerSwapped,
    AnswerUnfinished,
    AnswerWrong,
    InputRefused,
)
from bot.club.showing import fresh_entry
from bot.club.state import Board, Day, MemberSolve, Puzzle, Result
from bot.club.table import personal_bests
from tests.bot.club.stories import (
    CROOK_SOLUTION,
    DAY,
    EASY_SOLUTION,
    MINUTE,
    MONDAY,
    NOON,
    crook_puzzle,
    easy_puzzle,
    settings_with,
)

SETTINGS = settings_with()
LINES = ("row 3", "row 7")
# Rows 3 and 7 of the published solutions, read by hand.
KEY = "198342567961537284"
CROOKS_KEY = "782613954956748231"


def day_of(puzzle: Puzzle, number: int = 0) -> Day:
    due_at = NOON + number * DAY
    return Day(
        1 + number, 1, MONDAY + number * DAY, puzzle, LINES, False, due_at, due_at + DAY, due_at
    )


EASY_DAY = day_of(easy_puzzle())


def started(day: Day = EASY_DAY, **changes: object) -> MemberSolve:
    return replace(
        fresh_entry(day), **{"id": 1, "member_id": 7, "started_at": day.due_at, **changes}
    )


def right(entry: MemberSolve, at: datetime, **how: object) -> AnswerRight:
    handed = hand_in(
        Answerable(EASY_DAY, entry, how.pop("results", ())),  # type: ignore[arg-type]
        KEY,
        at,
        how.pop("settings", SETTINGS),  # type: ignore[arg-type]
        name="Ada",
        **how,  # type: ignore[arg-type]
    )
    assert isinstance(handed.reply, AnswerRight), handed.reply
    return handed.reply


def result(member_id: int, adjusted: int, **changes: object) -> Result:
    plain = Result(member_id, f"m{member_id}", MONDAY, 1, adjusted, 0, 0, 0, False, "ranked")
    return replace(plain, **changes)


def test_time_is_from_the_clock_and_charges_are_added() -> None:
    entry, _ = with_charge(started(), "hint:x", 1, 15)
    entry, _ = with_charge(entry, "wrong", 1, 60)
    reply = right(entry, NOON + timedelta(minutes=9, seconds=3, milliseconds=900))
    assert (reply.raw, reply.added, reply.adjusted, reply.hints) == (543, 75, 618, 1)
    assert not reply.timed_from_post


def test_who_never_started_is_timed_from_the_post() -> None:
    reply = right(fresh_entry(EASY_DAY), NOON + 90 * MINUTE)
    assert (reply.raw, reply.timed_from_post) == (5400, True)


def test_equal_times_share_a_rank_and_slower_ones_come_after() -> None:
    others = (result(1, 300), result(2, 540), result(3, 600, is_late=True), result(4, 100))
    reply = right(started(), NOON + 9 * MINUTE, results=others)
    assert (reply.rank, reply.of) == (3, 4)


def test_each_wrong_answer_costs_and_counts() -> None:
    entry, total = started(), 0
    for tries, wrong in ((1, KEY[:-2] + "48"), (2, KEY[:-2] + "44")):
        handed = hand_in(Answerable(EASY_DAY, entry), wrong, NOON + MINUTE, SETTINGS, name="Ada")
        entry, total = handed.entry, total + 60
        assert handed.reply == AnswerWrong(tries=tries, seconds=60, total=total)
    assert right(entry, NOON + 2 * MINUTE).tries == 2


def test_the_same_wrong_answer_twice_costs_and_counts_once() -> None:
    entry = started()
    for text, seconds in ((KEY[:-2] + "48", 60), (f"{KEY[:9]} {KEY[9:-2]}-48", 0)):
        handed = hand_in(Answerable(EASY_DAY, entry), text, NOON + MINUTE, SETTINGS, name="Ada")
        entry = handed.entry
        assert handed.reply == AnswerWrong(tries=1, seconds=seconds, total=60, is_again=not seconds)
    reply = right(entry, NOON + 2 * MINUTE)
    assert (reply.added, reply.tries) == (60, 1)


def test_a_clock_started_before_the_puzzle_could_be_seen_counts_from_the_post() -> None:
    late = replace(EASY_DAY, posted_at=NOON + 240 * MINUTE)
    begun = replace(fresh_entry(late), started_at=NOON + 30 * MINUTE)
    handed = hand_in(Answerable(late, begun), KEY, NOON + 250 * MINUTE, SETTINGS, name="Ada")
    assert isinstance(handed.reply, AnswerRight)
    assert (handed.reply.raw, handed.reply.timed_from_post) == (600, False)


def test_an_answer_stamped_before_the_clock_that_reached_us_first_counts_from_the_post() -> None:
    begun = started(started_at=NOON + 10 * MINUTE)
    reply = right(begun, NOON + 10 * MINUTE - timedelta(seconds=5))
    assert (reply.raw, reply.timed_from_post) == (595, True)


def test_swapped_lines_cost_nothing() -> None:
    handed = hand_in(
        Answerable(EASY_DAY, started()), KEY[9:] + KEY[:9], NOON + MINUTE, SETTINGS, name="Ada"
    )
    assert handed.reply == AnswerSwapped(lines=LINES)
    assert handed.entry == started()


def test_a_later_answer_right_or_wrong_changes_nothing() -> None:
    first = hand_in(Answerable(EASY_DAY, started()), KEY, NOON + 9 * MINUTE, SETTINGS, name="Ada")
    assert first.result is not None
    for text in (KEY, "1" * 18, "x", ""):
        again = hand_in(
            Answerable(EASY_DAY, first.entry, (first.result,)),
            text,
            NOON + 20 * MINUTE,
            SETTINGS,
            name="Ada",
        )
        assert again.reply == AnswerAlready(date=MONDAY, raw=540, adjusted=540, rank=1)
        assert again.entry == first.entry
        assert again.result is None


def test_an_unfinished_board_costs_nothing_and_a_finished_one_is_an_answer() -> None:
    almost = started(board=Board("." + EASY_SOLUTION[1:]))
    handed = hand_in(Answerable(EASY_DAY, almost), "", NOON + MINUTE, SETTINGS, name="Ada")
    assert handed.reply == AnswerUnfinished(open_cells=1, lines=LINES, day=EASY_DAY.date)
    assert handed.entry == almost
    done = started(board=Board(EASY_SOLUTION))
    handed = hand_in(Answerable(EASY_DAY, done), "  ", NOON + MINUTE, SETTINGS, name="Ada")
    assert isinstance(handed.reply, AnswerRight)
    wrong = started(board=Board(EASY_SOLUTION[:-2] + "97"))
    handed = hand_in(Answerable(EASY_DAY, wrong), "", NOON + MINUTE, SETTINGS, name="Ada")
    assert isinstance(handed.reply, AnswerWrong)


def test_what_cannot_be_read_is_refused_and_is_no_try() -> None:
    with pytest.raises(RefusedError) as caught:
        hand_in(Answerable(EASY_DAY, started()), KEY[:-1], NOON + MINUTE, SETTINGS, name="Ada")
    assert caught.value.reply == InputRefused(
        command="hand-in", problem="length", found=17, expected=18
    )


def test_from_the_closing_moment_on_an_answer_is_late_and_does_not_rank() -> None:
    just = right(started(), EASY_DAY.closes_at - timedelta(milliseconds=1))
    assert (just.is_late, just.rank) == (False, 1)
    late = right(started(), EASY_DAY.closes_at, results=(result(1, 300),))
    assert (late.is_late, late.rank, late.of) == (True, None, 1)


def test_a_day_closed_in_our_books_still_takes_what_was_stamped_in_time() -> None:
    closed = replace(EASY_DAY, is_closed=True)
    handed = hand_in(
        Answerable(closed, started()), KEY, closed.closes_at - MINUTE, SETTINGS, name="Ada"
    )
    assert isinstance(handed.reply, AnswerRight)
    assert handed.reply.rank == 1


def test_an_implausibly_quick_answer_waits_for_the_leader() -> None:
    settings = settings_with(quick=1.5)  # 51 open cells: 76.5 seconds
    quick = right(started(), NOON + timedelta(seconds=76), settings=settings)
    assert (quick.is_flagged, quick.rank, quick.of) == (True, None, 0)
    plain = right(started(), NOON + timedelta(seconds=77), settings=settings)
    assert (plain.is_flagged, plain.rank) == (False, 1)


def test_a_personal_best_beats_every_earlier_result_of_the_level() -> None:
    at = NOON + 9 * MINUTE

    def is_best(*earlier: Result) -> bool:
        return right(started(), at, bests=personal_bests(earlier)).is_personal_best

    assert not is_best()
    assert is_best(result(7, 541), result(7, 900))
    assert not is_best(result(7, 540))
    assert not is_best(result(7, 900, level=2))
    assert not is_best(result(7, 900, is_late=True))


def test_an_answer_is_for_the_newest_day_unless_it_fits_the_earlier_one() -> None:
    tuesday = day_of(crook_puzzle(), 1)
    today, earlier = Answerable(tuesday, fresh_entry(tuesday)), Answerable(EASY_DAY, started())
    for text, chosen in (
        (CROOKS_KEY, today),
        (CROOK_SOLUTION, today),
        (KEY, earlier),
        (EASY_SOLUTION, earlier),
        ("1" * 18, today),
        (KEY[9:] + KEY[:9], earlier),
        (KEY[:-2] + KEY[-1] + KEY[-2], earlier),
        (CROOKS_KEY[9:] + CROOKS_KEY[:9], today),
        ("nonsense", today),
        ("", today),
    ):
        assert choose_answerable(text, (today, earlier), NOON + DAY + MINUTE) is chosen, text


def test_the_result_is_what_the_reply_told() -> None:
    handed = hand_in(Answerable(EASY_DAY, started()), KEY, NOON + 9 * MINUTE, SETTINGS, name="Ada")
    assert handed.result == result_of(EASY_DAY, handed.entry, "Ada")
    assert handed.result == Result(
        7, "Ada", MONDAY, 1, 540, 0, 0, 0, False, "ranked", NOON + 9 * MINUTE
    )
