"""The leader's report and a member's own page: who finished, and no names beside what was asked."""

from __future__ import annotations

from msgspec.structs import replace

from bot import wording
from bot.club.facts import Position
from bot.club.report import commonest_stuck, report_of, technique_depths
from bot.club.self_page import OwnRecord, asked_techniques, page_of, told_techniques
from bot.club.showing import fresh_entry
from bot.club.state import Charge, Day, Member, MemberSolve, Result
from tests.bot.club.stories import DAY, EASY, MINUTE, MONDAY, NOON, easy_puzzle

EASY_DAY = Day(1, 1, MONDAY, easy_puzzle(), ("row 1", "row 2"), False, NOON, NOON + DAY, NOON)
HERE = Position(EASY)


def hints(key: str, rungs: int, technique: str, position: Position = HERE) -> tuple[Charge, ...]:
    return tuple(
        Charge(f"hint:{key}", rung, 15, technique, position if rung == 1 else None)
        for rung in range(1, rungs + 1)
    )


def who(number: int, **changes: object) -> tuple[Member, MemberSolve]:
    entry = replace(fresh_entry(EASY_DAY), id=number, member_id=number, **changes)
    return Member(number, 1, f"u{number}", f"m{number}"), entry


def test_a_report_counts_who_started_finished_and_was_late() -> None:
    report = report_of(
        EASY_DAY,
        [
            who(1, started_at=NOON),
            who(2, started_at=NOON, finished_at=NOON + 10 * MINUTE),
            who(3, finished_at=NOON + 20 * MINUTE, charges=(Charge("wrong", 1, 60),)),
            who(4, started_at=NOON, finished_at=NOON + 2 * DAY, is_late=True),
            who(5),
        ],
    )
    assert (report.started, report.finished, report.late) == (4, 3, 1)
    assert report.median == (600 + 1260) // 2


def test_a_day_that_nobody_solved_has_no_median() -> None:
    assert report_of(EASY_DAY, []).median is None


def test_techniques_say_how_many_asked_and_how_far_down_the_stair() -> None:
    entries = [
        who(1, charges=hints("a", 4, "naked-pair") + hints("b", 1, "naked-pair"))[1],
        who(2, charges=hints("a", 1, "naked-pair"))[1],
        who(3, charges=(*hints("c", 2, "pointing"), Charge("wrong", 1, 60)))[1],
    ]
    assert technique_depths(entries) == (("naked-pair", 2, 25), ("pointing", 1, 20))


def test_the_commonest_stuck_position_needs_three_members() -> None:
    two = [who(number, charges=hints("a", 1, "naked-pair"))[1] for number in (1, 2)]
    assert commonest_stuck(two) == (0, None)
    other = Position(EASY.replace("53", "534", 1)[:81])
    three = [*two, who(3, charges=hints("a", 2, "naked-pair", other))[1]]
    assert commonest_stuck(three) == (3, HERE)
    report = report_of(EASY_DAY, [who(3), *((who(e.id)[0], e) for e in three)])
    assert report.stuck_count == 3
    assert report.picture is not None
    assert report.picture.position == HERE


def test_a_report_names_who_finished_and_who_only_started() -> None:
    report = report_of(
        EASY_DAY,
        [
            who(1, started_at=NOON),
            who(2, started_at=NOON, finished_at=NOON + 10 * MINUTE, verdict="unranked"),
            who(3, started_at=NOON, finished_at=NOON + 2 * DAY, is_late=True),
            who(4, started_at=NOON, finished_at=NOON + MINUTE, verdict="flagged"),
            who(5, started_at=NOON, finished_at=NOON + 20 * MINUTE),
            who(6, finished_at=NOON + 9 * MINUTE, charges=(Charge("wrong", 1, 60),)),
            who(7),
        ],
    )
    assert report.finishers == (
        ("m6", 600, ""),
        ("m5", 1200, ""),
        ("m4", 60, "flagged"),
        ("m2", 600, "unranked"),
        ("m3", 172800, "late"),
    )
    assert report.starters == ("m1",)
    assert "m7" not in repr(report)


def test_no_name_stands_beside_what_was_asked() -> None:
    entries = [
        who(number, started_at=NOON, charges=hints("a", 1, "naked-pair")) for number in (1, 2, 3)
    ]
    asked = report_of(EASY_DAY, entries)
    assert (asked.techniques, asked.is_small) == ((("naked-pair", 3, 10),), False)
    # With two names beside it a count would tell who asked.
    few = report_of(EASY_DAY, entries[:2])
    assert (few.techniques, few.is_small) == ((), True)
    assert not report_of(EASY_DAY, [who(1, started_at=NOON)]).is_small, "nobody asked"


def result(number: int, adjusted: int, **changes: object) -> Result:
    plain = Result(1, "m1", MONDAY + number * DAY, 1, adjusted, 0, 1, 0, False, "ranked")
    return replace(plain, **changes)


def test_the_own_page_shows_streaks_bests_recent_results_and_progress() -> None:
    own = tuple(result(number, 800 - 10 * number) for number in range(8))
    bests = ((1, 730, MONDAY + 7 * DAY),)
    page = page_of("m1", OwnRecord(own, 7, 8, bests, {"naked-pair": 1}), None)
    assert (page.solved, page.late, page.streak, page.best_streak) == (8, 0, 7, 8)
    assert page.bests == bests
    assert [adjusted for _, _, adjusted, _ in page.recent] == [730, 740, 750, 760, 770, 780, 790]
    assert page.asked == (("naked-pair", 1),)
    # Five before the last three: 800 to 760; the last three: 750 to 730.
    assert (page.average_before, page.average_now) == (780, 740)


def test_a_new_members_page_is_empty_and_compares_nothing() -> None:
    page = page_of("m1", OwnRecord((result(0, 100), result(1, 90, is_late=True))), None)
    assert (page.solved, page.late) == (1, 1)
    assert (page.average_before, page.average_now) == (None, None)


def test_a_result_outside_the_ranking_is_on_the_own_page_and_says_so() -> None:
    own = [
        result(0, 100, verdict="unranked"),
        result(1, 90, verdict="flagged"),
        result(2, 80, is_late=True),
        result(3, 70, is_late=True, verdict="unranked"),
    ]
    page = page_of("m1", OwnRecord(tuple(own)), None)
    assert (page.solved, page.late, page.held, page.unranked) == (0, 1, 1, 2)
    assert [why for _, why in page.marks] == ["unranked", "late", "flagged", "unranked"]
    text = wording.phrase(page).text
    assert text.startswith(
        "m1: 0 puzzles solved in time, 1 late, 1 waiting for a leader to look at it and 2 outside "
        "the ranking."
    )
    assert "level 1: 1 min 40 s, 1 hint, outside the ranking" in text
    assert "level 1: 1 min 20 s, 1 hint, late" in text
    assert "in a row" not in text, "there is no run to speak of"


def test_a_technique_counts_once_for_each_step_asked_about() -> None:
    entry = who(1, charges=hints("a", 4, "naked-pair") + hints("b", 1, "naked-pair"))[1]
    assert asked_techniques(entry) == {"naked-pair": 2}
    assert told_techniques(entry) == {"naked-pair": 1}, "the other was not told by name"
    record = OwnRecord(asked={"naked-pair": 2, "x-wing": 2, "pointing": 3})
    page = page_of("m1", record, entry)
    assert page.asked == (("naked-pair", 3), ("pointing", 3), ("x-wing", 2))
