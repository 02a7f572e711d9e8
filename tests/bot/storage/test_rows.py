"""Moments in the database: UTC milliseconds, there and back."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta, timezone

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.storage.rows import moment_of, ms_of

_FIRST = datetime(1971, 1, 1)  # noqa: DTZ001 - hypothesis takes its bounds without a zone
_LAST = datetime(2100, 1, 1)  # noqa: DTZ001 - likewise


@given(st.datetimes(_FIRST, _LAST, timezones=st.timezones()))
def test_a_moment_comes_back_in_utc_to_the_millisecond(moment: datetime) -> None:
    back = moment_of(ms_of(moment))
    assert back.tzinfo is UTC
    assert timedelta(0) <= moment - back < timedelta(milliseconds=1)


def test_a_moment_in_another_zone_is_the_same_moment() -> None:
    kathmandu = timezone(timedelta(hours=5, minutes=45))
    assert ms_of(datetime(1970, 1, 1, 5, 45, 1, tzinfo=kathmandu)) == 1000


def test_a_moment_without_a_zone_is_refused() -> None:
    with pytest.raises(ValueError, match="zone"):
        ms_of(datetime(2026, 11, 23, 12, 0))  # noqa: DTZ001 - the mistake under test
