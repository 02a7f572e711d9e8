"""Which clock is acted on: one that leaps ahead only once it has stood for a while."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from bot.steady_clock import EVENLY, FAR, KEPT_EVERY, STANDS_AFTER, SteadyClock

NOON = datetime(2026, 11, 23, 12, tzinfo=UTC)
FUTURE = datetime(2036, 5, 1, 9, tzinfo=UTC)
MINUTE = timedelta(minutes=1)
HALF_A_MINUTE = timedelta(seconds=30)


class Machine:
    """A clock that can be set, and the seconds since it was switched on, which cannot."""

    def __init__(self) -> None:
        self.at = NOON
        self.up = 5000.0

    def pass_by(self, span: timedelta) -> None:
        self.at += span
        self.up += span.total_seconds()

    def start(self, seen: datetime | None = None) -> SteadyClock:
        return SteadyClock(lambda: self.at, lambda: self.up, seen)

    def minutes_until_trusted(self, clock: SteadyClock, at_most: int = 30) -> float:
        for half in range(2 * at_most):
            if clock.trusted() is not None:
                return half / 2
            self.pass_by(HALF_A_MINUTE)
        return float("inf")


def test_a_clock_that_runs_evenly_is_trusted_however_rarely_it_is_looked_at() -> None:
    machine = Machine()
    clock = machine.start()
    for span in (timedelta(), HALF_A_MINUTE, timedelta(hours=7), timedelta(days=40)):
        machine.pass_by(span)
        assert clock.trusted() == machine.at


def test_a_clock_in_the_future_for_one_look_is_never_acted_on() -> None:
    machine = Machine()
    clock = machine.start()
    for _ in range(3):
        machine.pass_by(MINUTE)
        right = machine.at
        machine.at = FUTURE
        assert clock.trusted() is None
        assert clock.trusted() is None
        machine.at = right
        assert clock.trusted() == right


def test_a_clock_that_leapt_ahead_is_believed_once_it_has_stood() -> None:
    machine = Machine()
    clock = machine.start()
    machine.at += timedelta(hours=1)  # put right: it was in the wrong zone
    assert machine.minutes_until_trusted(clock) == STANDS_AFTER / MINUTE
    assert clock.trusted() == machine.at


def test_a_clock_that_leaps_again_and_again_does_not_stand() -> None:
    machine = Machine()
    clock = machine.start()
    for _ in range(40):
        machine.at += timedelta(days=1)
        machine.pass_by(HALF_A_MINUTE)
        assert clock.trusted() is None


def test_a_clock_that_is_put_right_a_little_meanwhile_still_stands() -> None:
    machine = Machine()
    clock = machine.start()
    machine.at += timedelta(hours=1)
    assert clock.trusted() is None
    machine.pass_by(MINUTE)
    machine.at += EVENLY
    assert machine.minutes_until_trusted(clock) == STANDS_AFTER / MINUTE - 1


def test_waiting_long_without_a_look_is_not_standing() -> None:
    machine = Machine()
    clock = machine.start()
    machine.at = FUTURE
    machine.up += timedelta(days=1).total_seconds()  # nobody looked meanwhile
    assert clock.trusted() is None


@pytest.mark.parametrize("off", [timedelta(hours=1), timedelta(weeks=3), timedelta(days=900)])
def test_after_a_long_time_off_the_clock_is_trusted_within_minutes(off: timedelta) -> None:
    machine = Machine()
    clock = machine.start(seen=NOON - off)
    assert machine.minutes_until_trusted(clock) == STANDS_AFTER / MINUTE


@pytest.mark.parametrize("off", [timedelta(), KEPT_EVERY, KEPT_EVERY + 9 * MINUTE])
def test_after_a_short_time_off_it_is_trusted_at_once(off: timedelta) -> None:
    assert off < FAR
    assert Machine().start(seen=NOON - off).trusted() == NOON


def test_a_first_start_trusts_the_clock() -> None:
    assert Machine().start().trusted() == NOON


def test_a_clock_that_went_back_is_acted_on_and_its_return_is_no_leap() -> None:
    # A machine without a clock of its own: it starts in the past until it has asked the time.
    machine = Machine()
    machine.at = datetime(1970, 1, 1, tzinfo=UTC)
    clock = machine.start(seen=NOON)
    assert clock.trusted() == machine.at
    machine.pass_by(MINUTE)
    machine.at = NOON + 5 * MINUTE
    assert clock.trusted() == machine.at


def test_a_clock_that_stays_back_is_what_later_leaps_are_measured_by() -> None:
    machine = Machine()
    machine.at = FUTURE
    clock = machine.start()
    machine.at = NOON
    for _ in range(11):
        assert clock.trusted() == machine.at
        machine.pass_by(HALF_A_MINUTE)
    machine.at += timedelta(days=30)
    assert clock.trusted() is None


def test_a_stamp_far_ahead_of_the_clock_is_believed_up_to_now() -> None:
    machine = Machine()
    clock = machine.start()
    machine.pass_by(MINUTE)
    assert clock.believe(NOON) == NOON
    assert clock.believe(machine.at + FAR) == machine.at + FAR
    assert clock.believe(FUTURE) == machine.at
    right, machine.at = machine.at, FUTURE
    assert clock.believe(FUTURE) == right


def test_what_is_kept_is_what_was_believed_and_not_too_often() -> None:
    machine = Machine()
    clock = machine.start()
    assert clock.to_keep() == NOON
    kept = []
    for _ in range(60):
        machine.pass_by(HALF_A_MINUTE)
        kept.append(clock.to_keep())
    assert [each for each in kept if each] == [NOON + n * KEPT_EVERY for n in range(1, 7)]
    machine.at = FUTURE
    assert clock.to_keep() is None
