"""Dates as people write them, the bot's own ways among them, and what is no one date."""

from __future__ import annotations

import re
from collections import Counter
from datetime import date, timedelta
from itertools import chain

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.club.acts import (
    Act,
    HandIn,
    PlanWeek,
    PreviewDays,
    QueuePuzzle,
    RuleResult,
    ShowReport,
    ShowTable,
    ShowWalkthrough,
    SwapPuzzle,
    Talk,
    WithdrawDay,
)
from bot.club.replies import InputRefused, Reply
from bot.commands.dates import Calendar, write_dates
from bot.commands.table import parse
from bot.wording import phrase
from bot.wording.times import format_date, format_full_date, format_short_date, format_weekday_date
from tests.bot.club.stories import EASY

SATURDAY = date(2026, 11, 28)
TUESDAY = date(2026, 11, 24)


def read(line: str, *, in_open: bool = False, **fields: str) -> Act | Reply:
    return parse(line, fields, in_open=in_open, today=SATURDAY)


WRITTEN = [
    "2026-11-24", "2026/11/24", "2026.11.24", "24 November 2026", "24 november", "24 Nov", "Nov 24",
    "November 24th, 2026", "24th of November", "the 24th of November 2026", "24. November 2026",
    "24.11.", "24.11.2026", "24.11.26", "24/11", "11/24/2026", "Tuesday 24 November",
    "Tuesday, 24 November 2026", "Tue 24 Nov", "tuesday", "Tue", "last Tuesday", "on Tuesday",
    "date=24 Nov",
]  # fmt: skip


@pytest.mark.parametrize("text", WRITTEN)
def test_a_day_that_has_been_is_read_however_it_is_written(text: str) -> None:
    assert read(f"walkthrough {text}") == ShowWalkthrough(TUESDAY)
    assert read(f"club report {text}") == ShowReport(TUESDAY)
    assert read(f"/walkthrough {text}", in_open=True) == ShowWalkthrough(TUESDAY)


@pytest.mark.parametrize(
    ("line", "act"),
    [
        ("walkthrough yesterday", ShowWalkthrough(date(2026, 11, 27))),
        ("walkthrough 30 Nov", ShowWalkthrough(date(2026, 11, 30))),
        ("walkthrough 31 Dec", ShowWalkthrough(date(2026, 12, 31))),
        ("walkthrough 3 January", ShowWalkthrough(date(2027, 1, 3))),
        ("walkthrough 29 Feb 2028", ShowWalkthrough(date(2028, 2, 29))),
        ("club preview tomorrow", PreviewDays(date(2026, 11, 29), count=1)),
        ("club preview tuesday", PreviewDays(date(2026, 12, 1), count=1)),
        ("club preview 3", PreviewDays(count=3)),
        ("club swap sat", SwapPuzzle(SATURDAY)),
        ("club withdraw 1 December sure", WithdrawDay(date(2026, 12, 1), sure=True)),
        ("hand-in yesterday 534678912 345286179",
         HandIn("534678912 345286179", date(2026, 11, 27))),
        ("hand-in 534678912 345286179 24 Nov", HandIn("534678912 345286179", TUESDAY)),
        (f"club queue {EASY} for tuesday credit=On Monday in May 2026",
         QueuePuzzle(EASY, date(2026, 12, 1), "On Monday in May 2026")),
        ("club result Anna accept Saw it yesterday, on Tuesday",
         RuleResult("Anna", "accept", "Saw it yesterday, on Tuesday")),
        ("club result Wednesday accept 24 Nov Seen", RuleResult("Wednesday", "accept", "Seen",
                                                               TUESDAY)),
        ("club plan mon-wed fri level=2", PlanWeek((0, 1, 2, 4), (("level", "2"),))),
        ("club plan week level=2 from=7 December", PlanWeek((), (("level", "2"),),
                                                           date(2026, 12, 7))),
        ("leaderboard 24 November 2026", ShowTable("day", TUESDAY)),
        ("leaderboard tuesday", ShowTable("day", TUESDAY)),
        ("leaderboard November 2026", ShowTable("month", date(2026, 11, 1))),
        ("leaderboard december", ShowTable("month", date(2025, 12, 1))),
        ("leaderboard week 48", ShowTable("week", date(2026, 11, 23))),
        ("leaderboard yesterday", ShowTable("day", ago=1)),
    ],
)  # fmt: skip
def test_each_command_reads_dates_on_its_own_side_of_today(line: str, act: Act) -> None:
    assert read(line) == act


def test_the_date_of_a_form_is_read_too() -> None:
    queued = read("club queue", grid=EASY, date="tuesday", credit="")
    assert isinstance(queued, QueuePuzzle)
    assert queued.day == date(2026, 12, 1)


@pytest.mark.parametrize(
    "text",
    ["3/4", "next Friday", "Monday 24 November", "31 November", "30 Feb", "24", "13/13", "soon",
     "24 Nov or 25 Nov", "2026-13-01"],
)  # fmt: skip
def test_what_is_no_one_date_is_refused_with_examples_that_work(text: str) -> None:
    refused = read(f"walkthrough {text}")
    assert isinstance(refused, InputRefused)
    told = phrase(refused).text
    for example in ("24 November", "24.11.", "2026-11-24", "tuesday", "yesterday"):
        assert example in told
        assert read(f"walkthrough {example}") == ShowWalkthrough(
            date(2026, 11, 27) if example == "yesterday" else TUESDAY
        )


@pytest.mark.parametrize(
    "said",
    ["walkthrough tuesday was great", "walkthrough on Friday?", "hand in yesterday please",
     "leaderboard night on tuesday", "today, may 5 people come?"],
)  # fmt: skip
def test_dates_make_no_command_of_talk(said: str) -> None:
    assert read(said, in_open=True) == Talk(said)


FORMS = (format_date, format_full_date, format_weekday_date, format_short_date, date.isoformat)


@given(st.dates(date(2020, 1, 1), date(2090, 1, 1)), st.integers(-150, 150), st.booleans())
def test_every_date_that_the_bot_writes_is_read_back(
    today: date, days: int, is_ahead: bool
) -> None:
    on_date = today + timedelta(days=days)
    for form in FORMS:
        read_back = write_dates(form(on_date), Calendar(today, is_ahead=is_ahead))
        assert read_back == on_date.isoformat(), form


WORDS = (
    "24", "5", "31.", "nov", "november", "may", "2026", "24/11", "24.11.2026", "2026-11-24",
    "tuesday", "yesterday", "on", "date=", "x", "-", ".",
)  # fmt: skip
TEXTS = st.lists(
    st.tuples(st.sampled_from(WORDS), st.sampled_from(("", " ", "  ", "\n"))), max_size=8
).map(lambda parts: "".join(chain.from_iterable(parts)))


def test_a_text_is_changed_in_its_date_alone(fired: Counter[str]) -> None:
    @given(TEXTS)
    def check(text: str) -> None:
        fired["changed" if check_text(text) else "kept"] += 1

    check()
    assert min(fired["changed"], fired["kept"]) >= 10


def check_text(text: str) -> bool:
    """Hold a text to what was made of it; return whether it was changed."""
    written = write_dates(text, Calendar(SATURDAY))
    found = [
        each
        for each in re.finditer(r"20[0-9]{2}-[0-9]{2}-[0-9]{2}", written)
        if text.startswith(written[: each.start()]) and text.endswith(written[each.end() :])
    ]
    assert written == text or found
    return written != text
