"""How often somebody may ask, and how many at once; and that the counts stay small."""

from __future__ import annotations

from contextlib import ExitStack

from bot.platforms.web.pace import BURST, KEYS_LIMIT, Bucket, Crowd, Pace
from tests.bot.platforms.conftest import HandClock


def test_a_burst_is_let_through_and_then_one_every_half_second() -> None:
    clock = HandClock()
    bucket = Bucket(clock.now)
    assert [bucket.take() for _ in range(BURST + 1)] == [True] * BURST + [False]
    clock.wind(0.5)
    assert [bucket.take(), bucket.take()] == [True, False]
    clock.wind(3600)
    assert [bucket.take() for _ in range(BURST + 1)] == [True] * BURST + [False]


def test_a_clock_set_back_does_not_lock_a_tab_out() -> None:
    clock = HandClock()
    bucket = Bucket(clock.now)
    bucket.take()
    clock.wind(-3600)
    assert bucket.take()
    for _ in range(BURST):
        bucket.take()
    clock.wind(0.5)
    assert bucket.take()


def test_each_key_has_a_bucket_of_its_own() -> None:
    clock = HandClock()
    pace = Pace(clock.now, burst=2, per_second=1.0)
    assert [pace.take("a") for _ in range(3)] == [True, True, False]
    assert [pace.take("b") for _ in range(3)] == [True, True, False]
    clock.wind(1)
    assert [pace.take("a"), pace.take("a"), pace.take("b")] == [True, False, True]


def test_no_more_than_so_many_keys_are_remembered_and_the_longest_unseen_goes_first() -> None:
    pace = Pace(HandClock().now, burst=1, per_second=1.0)
    assert pace.take("first")
    assert pace.take("second")
    for number in range(3 * KEYS_LIMIT):
        pace.take(str(number))
        assert not pace.take("first")
    assert len(pace) == KEYS_LIMIT
    assert pace.take("second")


def test_a_crowd_is_held_for_each_key_and_in_all_and_forgets_who_left() -> None:
    crowd = Crowd(each=2, all_=3)
    with ExitStack() as inside:
        assert [inside.enter_context(crowd.place(key)) for key in "aaabb"] == [
            True, True, False, True, False,
        ]  # fmt: skip
        assert len(crowd) == 3
    assert len(crowd) == 0
    with crowd.place("b") as is_free:
        assert is_free
