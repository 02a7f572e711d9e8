"""The plan of a week: what each day asks for, how it is typed, and what fits it."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from bot.club.acts import PlanWeek
from bot.club.plan import DayPlan, fits, plan_for, plan_of_weekday, plans_of, relaxed
from bot.club.planning import change_plan, outdated_picks, plan_shown
from bot.club.ports import Picked
from bot.club.refusal import RefusedError
from bot.club.replies import InputRefused
from bot.club.setting_up import change_settings
from bot.club.state import ClubSettings, DayWish, Puzzle
from bot.commands import table as commands
from tests.bot.club.stories import DAY, MONDAY, crook_puzzle, settings_with

PLAIN = settings_with(levels=(1, 1, 2, 2, 3, 3, 2))
SATURDAY = 5


def planned(settings: ClubSettings, *lines: str) -> ClubSettings:
    for line in lines:
        act = commands.parse(f"club plan {line}", {}, in_open=False)
        assert isinstance(act, PlanWeek), act
        settings = change_plan(settings, act)
    return settings


def test_levels_follow_the_weekday_from_monday() -> None:
    entries = [plan_for(MONDAY + number * DAY, PLAIN) for number in range(8)]
    assert [each.lowest for each in entries] == [1, 1, 2, 2, 3, 3, 2, 1]
    assert plans_of(PLAIN) == (DayPlan(1, 1), DayPlan(2, 2), DayPlan(3, 3))


def test_a_theme_above_the_days_level_raises_it() -> None:
    settings = planned(PLAIN, "week theme=naked-triple", "sat level=2-4")
    assert {(each.lowest, each.highest) for each in plans_of(settings)} == {(3, 3), (3, 4)}
    assert {each.theme for each in plans_of(settings)} == {"naked-triple"}


def test_a_day_may_have_a_theme_and_a_pattern_of_its_own_or_none() -> None:
    settings = planned(
        PLAIN,
        "week theme=naked-triple pattern=half-turn",
        "mon theme=pointing level=2",
        "tue theme=none pattern=any",
        "sat pattern=diagonal",
    )
    assert plan_of_weekday(0, settings) == DayPlan(2, 2, "pointing", "half-turn")
    assert plan_of_weekday(1, settings) == DayPlan(1, 1)
    assert plan_of_weekday(2, settings) == DayPlan(3, 3, "naked-triple", "half-turn")
    assert plan_of_weekday(SATURDAY, settings) == DayPlan(3, 3, "naked-triple", "diagonal")
    again = planned(settings, "mon-sat theme=week pattern=week")
    assert plan_of_weekday(SATURDAY, again) == DayPlan(3, 3, "naked-triple", "half-turn")


def test_several_days_are_planned_at_once_and_others_stay() -> None:
    settings = planned(PLAIN, "mon-wed sun level=4")
    assert settings.levels == (4, 4, 4, 2, 3, 3, 4)
    assert planned(PLAIN, "weekend level=5").levels[SATURDAY:] == (5, 5)
    assert planned(PLAIN, "level=2").levels == (2,) * 7


def test_the_weeks_effort_rises_until_it_is_steady_again() -> None:
    rising = planned(PLAIN, "week rising")
    assert rising.rising
    assert planned(rising, "steady") == PLAIN


def test_themes_are_read_as_people_write_them() -> None:
    for text in ("naked-triple", "Naked Triple", "naked triples", "NAKED_TRIPLES"):
        assert planned(PLAIN, f"week theme={text}").theme == "naked-triple"


@pytest.mark.parametrize(
    ("line", "problem"),
    [
        ("mon level=0", "value"),
        ("mon level=7", "value"),
        ("mon level=3-2", "value"),
        ("mon level=two", "value"),
        ("mon theme=guessing", "value"),
        ("mon theme=last-digit", "never-needed"),
        ("week theme=Last Threes", "never-needed"),
        ("week pattern=round", "value"),
        ("mon rising", "value"),
        ("mon colour=green", "wish"),
        ("week theme=naked-pair level=9", "value"),
    ],
)
def test_a_wish_that_cannot_be_is_refused_and_nothing_is_taken(line: str, problem: str) -> None:
    with pytest.raises(RefusedError) as caught:
        planned(PLAIN, line)
    reply = caught.value.reply
    assert isinstance(reply, InputRefused)
    assert (reply.command, reply.problem) == ("club plan", problem)


def test_levels_set_with_the_settings_take_the_place_of_ranges() -> None:
    ranged = planned(PLAIN, "sat level=3-5 theme=x-wing")
    plain, _ = change_settings(ranged, (("levels", "1,1,2,2,3,4,2"),))
    assert plan_of_weekday(SATURDAY, plain) == DayPlan(4, 4, "x-wing")


@pytest.mark.parametrize(
    ("entry", "is_fit"),
    [
        (DayPlan(3, 3), True),
        (DayPlan(2, 4), True),
        (DayPlan(1, 2), False),
        (DayPlan(4, 6), False),
        (DayPlan(3, 3, "naked-pair"), True),
        (DayPlan(3, 3, "naked-triple"), False),
        (DayPlan(3, 3, "", "half-turn"), True),
        (DayPlan(3, 3, "", "quarter-turn"), True),
        (DayPlan(3, 3, "", "mirror"), False),
    ],
)
def test_a_puzzle_fits_an_entry_in_level_theme_and_pattern(entry: DayPlan, is_fit: bool) -> None:
    assert fits(replace(crook_puzzle(), pattern="quarter-turn"), entry) is is_fit


def test_a_club_by_logic_alone_gets_no_puzzle_that_needs_the_one_solution() -> None:
    club = replace(settings_with(levels=(3, 5, 5, 5, 5, 5, 5)), uniqueness=False)
    assert [plan_of_weekday(weekday, club).by_logic for weekday in (0, 1)] == [False, True]
    rectangle = replace(crook_puzzle(), level=5, needs=("x-chain", "unique-rectangle"))
    chain = replace(rectangle, needs=("x-chain",))
    entry = plan_of_weekday(1, club)
    assert [fits(each, entry) for each in (rectangle, chain)] == [False, True]
    assert fits(rectangle, plan_of_weekday(1, replace(club, uniqueness=True)))
    with pytest.raises(RefusedError):
        planned(club, "mon theme=unique-rectangle")


def test_what_will_do_in_an_entrys_stead_ends_at_anything_at_all() -> None:
    stages = relaxed(DayPlan(4, 4, "x-wing", "diagonal"))
    assert stages == (
        DayPlan(4, 4, "x-wing", "diagonal"),
        DayPlan(4, 4, "x-wing"),
        DayPlan(4, 4),
        DayPlan(1, 6),
    )


def test_the_plan_tells_how_many_in_stock_fit_each_day_disguises_counted_once() -> None:
    pair = replace(crook_puzzle(), form="one")
    stock = (pair, replace(pair, givens="1" * 81), Puzzle(0, "2" * 81, "", 2))
    shown = plan_shown(planned(PLAIN, "fri theme=naked-pair"), stock)
    assert [day.stock for day in shown.days] == [0, 0, 1, 1, 1, 1, 1]
    assert not any(day.is_raised for day in shown.days)
    raised = plan_shown(planned(PLAIN, "mon theme=naked-pair"), stock).days[0]
    assert (raised.lowest, raised.is_raised, raised.stock) == (3, True, 1)


def test_picks_made_for_another_plan_are_out_of_date() -> None:
    picks = [Picked(crook_puzzle(), MONDAY + number * DAY) for number in range(7)]
    friday = planned(PLAIN, "fri theme=naked-pair")
    assert outdated_picks(picks, PLAIN, friday) == (MONDAY + 4 * DAY,)
    assert outdated_picks(picks, PLAIN, PLAIN) == ()
    assert len(outdated_picks(picks, PLAIN, planned(PLAIN, "rising"))) == 7


def test_a_club_saved_before_there_were_plans_has_one_from_its_levels() -> None:
    old = ClubSettings("Maple", levels=(1, 1, 2, 2, 3, 3, 2), theme="naked-pair")
    assert old.wishes == (DayWish(),) * 7
    assert plan_of_weekday(0, old) == DayPlan(3, 3, "naked-pair")
