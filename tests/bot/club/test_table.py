"""The table: ranks that equal results share, late answers, streaks, bests, most improved."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from bot.club.facts import TableRow
from bot.club.state import Result
from bot.club.table import (
    is_personal_best,
    most_improved,
    personal_bests,
    rank_of,
    rank_rows,
    streaks_of,
    sum_up,
    table_of,
)
from tests.bot.club.stories import DAY, MONDAY


def result(member_id: int, number: int, adjusted: int, **changes: object) -> Result:
    plain = Result(
        member_id, f"m{member_id}", MONDAY + number * DAY, 1, adjusted, 0, 0, 0, False, "ranked"
    )
    return replace(plain, **changes)


def ranks_of(results: Sequence[Result]) -> tuple[TableRow, ...]:
    return rank_rows(sum_up(results, None, None).sums)


def improved(results: Sequence[Result]) -> tuple[str, ...]:
    return most_improved(sum_up(results, MONDAY, None).sums)


RESULTS = st.lists(
    st.builds(
        result,
        st.integers(1, 6),
        st.integers(0, 6),
        st.integers(1, 4),
        is_late=st.booleans(),
        verdict=st.sampled_from(["ranked", "flagged", "accepted", "unranked"]),
    ),
    max_size=25,
    unique_by=lambda each: (each.member_id, each.date),
)


@given(RESULTS)
def test_a_rank_is_one_more_than_how_many_did_better(results: list[Result]) -> None:
    rows = ranks_of(results)
    ranked = [row for row in rows if row.rank]
    for row in ranked:
        better = [
            other
            for other in ranked
            if other.solved > row.solved
            or (other.solved == row.solved and other.adjusted < row.adjusted)
        ]
        assert row.rank == 1 + len(better)
    assert list(rows) == sorted(rows, key=lambda row: row.rank or 1000)


@given(RESULTS, st.randoms(use_true_random=False))
def test_the_order_in_which_results_come_does_not_matter(results: list[Result], random) -> None:  # type: ignore[no-untyped-def]
    shuffled = list(results)
    random.shuffle(shuffled)
    assert ranks_of(results) == ranks_of(shuffled)


@given(RESULTS)
def test_every_answer_counts_once_as_solved_or_late_or_not_at_all(results: list[Result]) -> None:
    rows = {row.name: row for row in ranks_of(results)}
    for member_id in {each.member_id for each in results}:
        own = [each for each in results if each.member_id == member_id]
        solved = [each for each in own if not each.is_late and each.verdict in RANKING]
        late = [each for each in own if each.is_late and each.verdict != "unranked"]
        row = rows.get(f"m{member_id}")
        if row is None:
            assert not solved
            assert not late
        else:
            assert (row.solved, row.late) == (len(solved), len(late))
            assert row.adjusted == sum(each.raw for each in solved)
            assert (row.rank == 0) is (not solved)


RANKING = ("ranked", "accepted")


def test_more_puzzles_come_before_less_time_and_equal_results_share_a_rank() -> None:
    rows = ranks_of(
        [
            result(1, 0, 100),
            result(2, 0, 400),
            result(2, 1, 400),
            result(3, 0, 300),
            result(3, 1, 500),
            result(4, 0, 90),
            result(5, 0, 10, is_late=True),
        ]
    )
    assert [(row.rank, row.name) for row in rows] == [
        (1, "m2"),
        (1, "m3"),
        (3, "m4"),
        (4, "m1"),
        (0, "m5"),
    ]


def test_added_seconds_decide_and_both_times_are_shown() -> None:
    (row,) = ranks_of([result(1, 0, 100, added=75, hints=2)])
    assert (row.raw, row.adjusted, row.hints) == (100, 175, 2)


def test_wrong_answers_are_counted_of_what_ranks() -> None:
    (row,) = ranks_of([result(1, 0, 100, tries=2), result(1, 1, 100, tries=1, is_late=True)])
    assert (row.wrong, row.late) == (2, 1)


def test_the_rank_of_a_day_skips_what_does_not_rank() -> None:
    results = [
        result(1, 0, 10, verdict="flagged"),
        result(2, 0, 20, is_late=True),
        result(3, 0, 30),
        result(4, 0, 30),
        result(5, 0, 40, verdict="accepted"),
    ]
    assert [rank_of(results, member_id) for member_id in range(1, 7)] == [
        None,
        None,
        1,
        1,
        3,
        None,
    ]


def dates(*numbers: int) -> list[date]:
    return [MONDAY + number * DAY for number in numbers]


def test_streaks_follow_the_puzzles_dates() -> None:
    week = dates(0, 1, 2, 3, 4)
    assert streaks_of(week, dates(0, 1, 2, 3, 4)) == (5, 5)
    assert streaks_of(week, dates(0, 1, 3, 4)) == (2, 2)
    assert streaks_of(week, dates(0, 1, 2)) == (0, 3)
    assert streaks_of(week, []) == (0, 0)


def test_a_date_without_a_puzzle_breaks_no_streak() -> None:
    assert streaks_of(dates(0, 1, 4, 5), dates(0, 1, 4, 5)) == (4, 4)


def test_an_older_puzzle_that_is_still_open_beside_todays_breaks_no_streak() -> None:
    open_dates = dates(1, 2)
    assert streaks_of(dates(0, 1, 2), dates(0), still_open=open_dates) == (1, 1)
    assert streaks_of(dates(0, 1, 2), dates(0, 2), still_open=open_dates) == (2, 2)


def test_a_puzzle_that_is_still_open_breaks_no_streak_and_can_add_to_it() -> None:
    (open_date,) = dates(2)
    assert streaks_of(dates(0, 1, 2), dates(0, 1), still_open=[open_date]) == (2, 2)
    assert streaks_of(dates(0, 1, 2), dates(0, 1, 2), still_open=[open_date]) == (3, 3)


def test_personal_bests_are_by_level_and_only_of_what_ranks() -> None:
    results = [
        result(1, 0, 300),
        result(1, 1, 200),
        result(1, 2, 900, level=3),
        result(1, 3, 50, is_late=True),
        result(1, 4, 40, verdict="unranked"),
    ]
    assert personal_bests(results) == (
        (1, 200, MONDAY + DAY),
        (3, 900, MONDAY + 2 * DAY),
    )
    bests = personal_bests(results)
    assert is_personal_best(bests, result(1, 5, 199))
    assert not is_personal_best(bests, result(1, 5, 200))
    assert not is_personal_best(bests, result(1, 5, 1, level=2))


def five_then_three(member_id: int, before: int, within: int) -> list[Result]:
    earlier = [result(member_id, number, before) for number in range(-5, 0)]
    return earlier + [result(member_id, number, within) for number in range(3)]


def test_most_improved_is_against_ones_own_average() -> None:
    # From 1000 to 600 is 40 %, from 300 to 240 is 20 %: the slower member improved more.
    results = five_then_three(1, 300, 240) + five_then_three(2, 1000, 600)
    assert improved(results) == ("m2",)


def test_two_members_of_one_name_are_two_when_it_comes_to_who_improved_most() -> None:
    quick = [replace(each, name="Ada") for each in five_then_three(1, 1000, 600)]
    slow = [replace(each, name="Ada") for each in five_then_three(2, 300, 240)]
    between = five_then_three(3, 100, 70)
    assert improved(quick + slow + between) == ("Ada",)


def test_equal_improvement_is_shared_and_getting_slower_is_none() -> None:
    results = five_then_three(1, 300, 240) + five_then_three(2, 1000, 800)
    assert improved(results) == ("m1", "m2")
    assert improved(five_then_three(1, 300, 300)) == ()
    assert improved(five_then_three(1, 300, 900)) == ()


def test_most_improved_needs_five_results_before_and_three_within() -> None:
    whole = five_then_three(1, 300, 200)
    assert improved(whole) == ("m1",)
    assert improved(whole[1:]) == ()
    assert improved(whole[:-1]) == ()
    late = [*whole[:-1], replace(whole[-1], is_late=True)]
    assert improved(late) == ()


def test_only_the_last_five_results_before_the_period_count() -> None:
    long_ago = [result(1, number, 10) for number in range(-20, -5)]
    assert improved(long_ago + five_then_three(1, 300, 240)) == ("m1",)


def test_a_table_holds_just_its_period_and_the_streaks_of_all_time() -> None:
    results = [result(1, number, 100) for number in range(-3, 2)]
    week = sum_up(results, MONDAY, MONDAY + 6 * DAY, puzzle_dates=dates(-3, -2, -1, 0, 1))
    table = table_of("Maple", "week", week)
    (row,) = table.rows
    assert (row.solved, row.streak) == (2, 5)


def test_a_table_of_a_past_week_is_as_it_stood_at_its_end() -> None:
    results = five_then_three(1, 300, 240)
    after = [result(1, number, 9000) for number in range(7, 12)]
    puzzles = dates(*range(-5, 3), *range(7, 12))
    then, now = (
        table_of("Maple", "week", sum_up(known, MONDAY, MONDAY + 6 * DAY, puzzle_dates=puzzles))
        for known in (results, results + after)
    )
    assert now == then
    assert (now.rows[0].streak, now.most_improved) == (8, ("m1",))


def test_the_table_of_all_time_has_no_first_date_and_nobody_who_improved() -> None:
    results = five_then_three(1, 300, 200)
    of_all_time = sum_up(results, None, None, puzzle_dates=dates(*range(-5, 3)))
    table = table_of("Maple", "all", of_all_time)
    assert [(row.solved, row.streak) for row in table.rows] == [(8, 8)]
    assert table.most_improved == ()
