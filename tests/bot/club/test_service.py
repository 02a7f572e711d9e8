"""The service on the fake store: one answer an act, saved once, by the stamp of the act."""

from __future__ import annotations

import asyncio
from datetime import timedelta
from itertools import cycle

import pytest

from bot.club.acts import Event, StartClock
from bot.club.due import ClosingDue
from bot.club.facts import CoverPicture, GridPicture
from bot.club.plan import DayPlan
from bot.club.ports import Store, WithdrawNotice
from bot.club.replies import (
    AnswerAlready,
    AnswerRight,
    AnswerSwapped,
    AnswerWrong,
    BoardChecked,
    BoardShown,
    ClockNotStarted,
    ClockStarted,
    CommandUnknown,
    DayPosted,
    DayUnknown,
    GivensDiffer,
    HintOffered,
    HintShown,
    InputRefused,
    MemberSolved,
    NoPuzzleOpen,
    OtherPuzzle,
    PaperForm,
    PersonalPage,
    Reply,
    ResultsPosted,
    TableShown,
    TalkHeard,
    TodayShown,
    UndoEmpty,
)
from bot.club.state import Puzzle
from bot.wording import phrase
from tests.bot.club.stories import (
    CROOK,
    CROOK_SOLUTION,
    DAY,
    EASY,
    EASY_SOLUTION,
    MINUTE,
    MONDAY,
    NOON,
    SEVENTEEN,
    AtOnce,
    Story,
    crook_puzzle,
    easy_puzzle,
    half_solved,
    open_story,
    settings_with,
    seventeen_puzzle,
)

# Columns 3 and 7 of the encyclopaedia example, which have one given each; read by hand.
EASY_KEY = "428963175" + "935478261"
# Rows 2 and 5 of Crook's solution.
CROOKS_KEY = "541829376" + "365982417"


async def easy_story(**settings: object) -> Story:
    return await open_story(easy_puzzle(), settings=settings_with(**settings))


# --- the clock ---


async def test_a_hint_before_the_clock_is_refused_with_the_line_to_repeat() -> None:
    story = await easy_story()
    for line, command in (
        ("hint", "hint"),
        ("hint board", "hint board"),
        ("hint paper", "hint paper"),
        ("hint box 5", "hint box 5"),
        ("hint for 7", "hint for 7"),
        (f"hint {EASY}", "hint paper"),
        ("check", "check"),
    ):
        assert await story.say(line) == ClockNotStarted(
            command=command, sealed=False, board_of=MONDAY
        )
    assert await story.store.find_members(story.club.id, "ada") == ()


async def test_today_and_board_never_touch_the_clock() -> None:
    story = await easy_story()
    await story.hears(TodayShown, "today")
    await story.hears(BoardShown, "board")
    await story.hears(BoardShown, "place r1c3 4")
    assert (await story.entry()).started_at is None
    await story.later(minutes=5).hears(ClockStarted, "start")
    await story.later(minutes=5).hears(TodayShown, "today")
    assert (await story.entry()).started_at == NOON + 5 * MINUTE


async def test_starting_twice_keeps_the_first_start() -> None:
    story = await easy_story()
    await story.hears(ClockStarted, "start")
    again = await story.later(minutes=5).hears(ClockStarted, "start")
    assert (again.was_running, again.started_at) == (True, NOON)


async def test_who_has_solved_the_puzzle_starts_no_clock_and_is_told_so() -> None:
    story = await easy_story()
    await story.hears(ClockStarted, "start")
    await story.later(minutes=5).hears(AnswerRight, f"hand-in {EASY_KEY}")
    before = await story.entry()
    told = await story.later(minutes=5).hears(TodayShown, "start")
    assert told.solved
    assert await story.entry() == before


async def test_time_runs_by_the_stamp_of_the_act_not_by_its_arrival() -> None:
    story = await easy_story()
    await story.hears(ClockStarted, "start", at=NOON + MINUTE)
    story.later(minutes=30)
    right = await story.hears(AnswerRight, f"hand-in {EASY_KEY}", at=NOON + 11 * MINUTE)
    assert right.raw == 600


async def test_a_sealed_day_shows_a_cover_until_the_clock_starts() -> None:
    story = await easy_story(sealed=True)
    posted = story.post_with(DayPosted)
    assert isinstance(posted.picture, CoverPicture)
    assert EASY not in repr(posted)
    for line in ("board", "place r1c3 4", "undo", "rule-out r1c3 1", f"board {EASY}", "check"):
        reply = await story.hears(ClockNotStarted, line)
        assert reply.sealed
    today = await story.hears(TodayShown, "today text")
    assert (today.is_cover, today.as_text) == (True, False)
    assert EASY not in repr(today)
    started = await story.hears(ClockStarted, "start")
    assert started.day.givens == EASY
    assert isinstance((await story.hears(TodayShown, "today")).picture, GridPicture)
    cover_still = await story.hears(TodayShown, "today", by="ben")
    assert cover_still.is_cover


async def test_an_answer_before_the_clock_starts_on_a_sealed_day_is_not_judged() -> None:
    story = await easy_story(sealed=True)
    for answer in (EASY_KEY, EASY_KEY[::-1], ""):
        asked = await story.hears(ClockNotStarted, f"hand-in {answer}")
        assert (asked.command, asked.sealed) == ("hand-in", True)
    assert await story.store.find_members(story.club.id, "ada") == ()
    said = await story.say(EASY_KEY, in_open=True)
    assert isinstance(said, ClockNotStarted)
    assert said.was_public, "it is the answer all the same, and taken away"
    await story.hears(ClockStarted, "start")
    right = await story.later(minutes=5).hears(AnswerRight, f"hand-in {EASY_KEY}")
    assert (right.raw, right.added, right.tries) == (300, 0, 0)
    # Once the day is over everybody may have seen the puzzle.
    story.later(days=1)
    await story.tick()
    assert (await story.hears(AnswerRight, f"hand-in {MONDAY} {EASY_KEY}", by="ben")).is_late


async def test_before_the_first_post_there_is_no_puzzle_and_the_next_is_named() -> None:
    story = await open_story()
    story.now = NOON - MINUTE
    reply = await story.hears(NoPuzzleOpen, "today")
    assert (reply.next_at, reply.paused) == (NOON, False)
    assert isinstance(await story.say("hand-in 123"), NoPuzzleOpen)


async def test_while_the_days_post_is_on_its_way_the_next_puzzle_is_due_now() -> None:
    story = await open_story(easy_puzzle(), crook_puzzle())
    story.later(days=1)
    for due in await story.service.due(story.club, story.now):
        await story.service.carry_out(due)
    reply = await story.hears(NoPuzzleOpen, "start")
    assert reply.next_at == story.now


async def test_between_midnight_and_post_time_today_is_the_open_puzzle() -> None:
    story = await easy_story()
    story.now = NOON + timedelta(hours=20)
    assert (await story.hears(TodayShown, "today")).day.date == MONDAY


# --- the board ---


async def test_undo_with_nothing_to_undo_says_so() -> None:
    story = await easy_story()
    await story.hears(UndoEmpty, "undo")
    await story.say("place r1c3 4")
    undone = await story.hears(BoardShown, "undo")
    assert (undone.change, undone.undo_left, undone.picture.position.grid) == ("undone", 0, EASY)


async def test_a_board_shows_candidates_once_something_is_struck() -> None:
    story = await easy_story()
    assert not (await story.hears(BoardShown, "board")).picture.with_candidates
    struck = await story.hears(BoardShown, "rule-out r1c3 1 2")
    assert struck.picture.with_candidates
    assert struck.picture.position.removed == (("r1c3", 1), ("r1c3", 2))


@pytest.mark.parametrize(
    ("line", "change", "marks"),
    [
        ("place r1c3 0", "rubbed", (("r1c3", 0),)),
        ("place r1c4 6 r1c3 0", "placed", (("r1c4", 6),)),
        ("place r1c3 4", "placed", ()),
        ("row 1 534678...", "row", (("r1c4", 6), ("r1c6", 8))),
        ("row 1 53..7....", "rubbed", (("r1c3", 0),)),
        ("rule-out r1c4 2", "ruled-out", (("r1c4", 2),)),
    ],
)
async def test_a_board_tells_what_has_changed_and_nothing_else(
    line: str, change: str, marks: tuple[tuple[str, int], ...]
) -> None:
    story = await easy_story()
    await story.say("place r1c3 4")
    shown = await story.hears(BoardShown, line)
    assert (shown.change, shown.marks) == (change, marks)


async def test_a_clash_is_allowed_on_the_board_and_shown() -> None:
    story = await easy_story()
    shown = await story.hears(BoardShown, "place r1c3 5")
    assert shown.clashes == ((5, "row 1"), (5, "box 1"))


async def test_a_pasted_grid_becomes_the_board_and_undo_brings_the_old_one_back() -> None:
    story = await easy_story()
    await story.say("start")
    half = half_solved(EASY, 20)
    hint = await story.hears(HintShown, "hint paste", fields={"grid": half})
    assert hint.echo is not None
    assert hint.echo.position.grid == half == (await story.entry()).board.grid
    back = await story.hears(BoardShown, "undo")
    assert back.picture.position.grid == EASY


async def test_a_grid_alone_is_kept_as_the_board_and_asks_for_no_hint() -> None:
    story = await easy_story()
    await story.say("start")
    half = half_solved(EASY, 20)
    shown = await story.hears(BoardShown, half.replace(".", "x"))
    assert shown.change == "pasted"
    assert shown.picture.position.grid == half == (await story.entry()).board.grid
    assert (await story.entry()).charges == ()


async def test_a_paste_without_text_gives_the_form_filled_with_the_board() -> None:
    story = await easy_story()
    await story.say("place r1c3 4")
    form = await story.hears(PaperForm, "paste")
    assert form.lines[0] == "534.7...."
    assert not form.then_hint


# --- bad input: each with its clear answer, and nothing lost ---


@pytest.mark.parametrize(
    ("line", "problem"),
    [
        (f"hint paste {EASY[:-1]}", "length"),
        (f"paste a{EASY[1:]}", "character"),
        (f"paste {EASY[:2]}5{EASY[3:]}", "repeated"),
        ("r0c10=7", "cell"),
        ("place r1c1 9", "given"),
        ("rule-out r1c1 9", "filled"),
        ("row 1 53..8....", "given"),
        ("hand-in 12345678912345678", "length"),
        ("hand-in 12345678912345678x", "character"),
        ("leaderboard year", "period"),
    ],
)
async def test_bad_input_is_named_and_changes_nothing(line: str, problem: str) -> None:
    story = await easy_story()
    await story.say("start")
    await story.say("place r1c3 4")
    before = await story.entry()
    reply = await story.hears(InputRefused, line)
    assert reply.problem == problem
    assert await story.entry() == before


async def test_a_row_of_ten_cells_is_named_by_its_row() -> None:
    story = await easy_story()
    await story.say("start")
    rows = [EASY[start : start + 9] for start in range(0, 81, 9)]
    rows[3] += "."
    for said, command in (("paste", "paste"), ("hint paste", "hint paste")):
        refused = await story.hears(InputRefused, said, fields={"grid": "\n".join(rows)})
        assert (refused.command, refused.house, refused.found) == (command, "row 4", 10)
        assert phrase(refused).text.startswith(
            "Row 4 has 10 cells, and a row has 9. Nothing was changed."
        )


async def test_a_pasted_grid_with_one_given_mistyped_names_the_slip() -> None:
    story = await easy_story()
    await story.say("start")
    before = await story.entry()
    reply = await story.hears(GivensDiffer, f"hint 58{EASY[2:]}")
    assert reply.slips == (("r1c2", 8, 3),)
    assert await story.entry() == before


async def test_three_slips_are_named_and_four_are_another_puzzle() -> None:
    story = await easy_story()
    three = await story.hears(GivensDiffer, f"paste .......{EASY[7:]}")
    assert three.slips == (("r1c1", 0, 5), ("r1c2", 0, 3), ("r1c5", 0, 7))
    four = await story.hears(OtherPuzzle, f"paste ..........{EASY[10:]}")
    assert (four.differing, four.givens) == (4, 30)


async def test_a_pasted_grid_of_another_puzzle_is_refused() -> None:
    story = await easy_story()
    await story.say("start")
    before = await story.entry()
    reply = await story.hears(OtherPuzzle, f"hint {SEVENTEEN}")
    assert reply.givens == 30
    assert reply.differing > 3
    assert await story.entry() == before


async def test_an_unknown_command_names_the_nearest() -> None:
    story = await easy_story()
    assert await story.say("stat") == CommandUnknown(text="stat", nearest="start", board_of=MONDAY)


# --- the same event twice ---


@pytest.mark.parametrize(
    "line",
    [
        *("start", "place r1c3 4", "undo", "check", "hint board", "hint more"),
        *("hand-in " + "1" * 18, f"hand-in {EASY_KEY}"),
        *("leaderboard", "me", "today", "privacy erase"),
    ],
)
async def test_an_event_delivered_twice_gets_the_same_reply_and_no_second_effect(line: str) -> None:
    story = await easy_story()
    if line != "start":
        await story.say("start")
        await story.say("place r1c4 6")
        await story.say("hint board")
    first = await story.say(line, event_id="once")
    after = await story.entry()
    notices = await story.store.load_notices()
    story.later(minutes=3)
    assert await story.say(line, event_id="once", at=NOON) == first
    assert await story.entry() == after
    assert await story.store.load_notices() == notices


async def test_a_refused_hint_delivered_again_after_the_start_is_still_refused() -> None:
    story = await easy_story()
    first = await story.say("hint board", event_id="early")
    await story.say("start")
    assert await story.say("hint board", event_id="early") == first
    assert (await story.entry()).charges == ()


async def test_many_acts_at_once_are_served_one_after_another() -> None:
    story = await easy_story()
    await story.say("start")

    def act(number: int) -> Event:
        return Event(f"e{number}", story.club.id, "ada", "Ada", False, NOON, NOON, StartClock())

    cells = ("r1c3 4", "r1c4 6", "r1c6 8", "r1c7 9", "r1c8 1", "r1c9 2")
    replies = await asyncio.gather(
        *(story.say(f"place {cell}") for cell in cells),
        *(story.service.answer(act(number)) for number in range(3)),
    )
    assert len(replies) == 9
    assert (await story.entry()).board.grid.startswith("534678912")
    assert len((await story.entry()).history) == 6


async def test_answers_that_come_at_once_rank_as_if_they_had_come_one_by_one() -> None:
    story = await easy_story()
    names = [f"member {number}" for number in range(6)]
    for name in names:
        await story.say("start", by=name)
    replies = await asyncio.gather(
        *(
            story.say(f"hand-in {EASY_KEY}", by=name, at=NOON + (5 + number) * MINUTE)
            for number, name in enumerate(names)
        )
    )
    told = [(each.rank, each.of) for each in replies if isinstance(each, AnswerRight)]
    assert told == [(place, place) for place in range(1, 7)]


async def test_answers_that_come_while_a_day_is_closed_all_stand_in_its_results() -> None:
    story = await easy_story()
    at = NOON + DAY - MINUTE
    story.later(days=1)
    due = await story.service.due(story.club, story.now)
    (closing,) = [
        asyncio.create_task(story.service.carry_out(each))
        for each in due
        if isinstance(each, ClosingDue)
    ]
    names: list[str] = []
    while not closing.done():
        names.append(f"Member {len(names)}")
        right = await story.hears(AnswerRight, f"hand-in {EASY_KEY}", by=names[-1], at=at)
        assert not right.is_late
    await story.tick()
    results = story.post_with(ResultsPosted)
    assert sorted(row.name for row in results.table.rows) == sorted(names)


# --- answers ---


async def test_an_answer_said_in_the_open_counts_and_is_marked_for_removal() -> None:
    story = await easy_story()
    await story.say("start")
    story.later(minutes=9)
    right = await story.hears(AnswerRight, f"I have {EASY_KEY}!", in_open=True)
    assert (right.was_public, right.raw) == (True, 540)
    swapped = f"{EASY_KEY[9:]} {EASY_KEY[:9]}"
    assert (await story.hears(AnswerSwapped, swapped, by="ben", in_open=True)).was_public
    again = await story.hears(AnswerAlready, EASY_KEY, in_open=True)
    assert again.was_public
    wrong = await story.hears(AnswerWrong, "1" * 18, by="cat", in_open=True)
    assert wrong.was_public
    command = await story.hears(AnswerWrong, "hand-in " + "2" * 18, by="cat", in_open=True)
    assert (command.was_public, command.tries) == (True, 2)


async def test_digits_of_the_board_said_in_the_open_are_marked_for_removal_too() -> None:
    story = await easy_story()
    await story.say("start")
    assert (await story.hears(BoardShown, "place r1c3 4", in_open=True)).was_public
    assert not (await story.hears(BoardShown, "place r1c4 6")).was_public
    assert not (await story.hears(BoardShown, "board", in_open=True)).was_public
    half = half_solved(EASY, 20)
    assert (await story.hears(HintShown, f"hint {half}", in_open=True)).was_public
    short = await story.hears(InputRefused, f"hand-in {EASY_KEY[:-1]}", in_open=True)
    assert (short.problem, short.was_public) == ("length", True)


async def test_what_is_said_of_a_closed_puzzle_is_talk() -> None:
    story = await two_days()
    said = f"yesterday it was {EASY_KEY}"
    assert await story.say(said, in_open=True) == TalkHeard()
    inside = await story.hears(AnswerRight, said, in_open=True, at=NOON + DAY - MINUTE)
    assert inside.date == MONDAY


async def test_plain_talk_is_heard_and_nothing_of_it_is_kept() -> None:
    story = await easy_story()
    reply = await story.hears(TalkHeard, "good morning", in_open=True, event_id="talk")
    assert reply == TalkHeard()
    assert await story.store.load_reply("talk") is None
    assert await story.store.find_members(story.club.id, "ada") == ()


async def test_the_room_hears_who_solved_it_without_the_answer() -> None:
    story = await easy_story()
    await story.say("start")
    await story.later(minutes=9).say(f"hand-in {EASY_KEY}")
    await story.tick()
    key, audience, line = story.posts[-1]
    assert key.startswith(f"solved:{story.club.id}:2026-11-23:")
    assert "ada" not in key
    assert audience == "room"
    assert isinstance(line, MemberSolved)
    assert (line.name, line.rank, line.adjusted) == ("Ada", 1, 540)
    assert EASY_KEY not in repr(line)


async def two_days() -> Story:
    """Monday's easy puzzle is closed and Tuesday's, Crook's, is open; Ada started on Monday."""
    story = await open_story(easy_puzzle(), crook_puzzle())
    await story.say("start")
    story.later(days=1)
    await story.tick()
    return story


async def test_a_hand_in_after_closing_is_kept_as_late_and_does_not_rank() -> None:
    story = await two_days()
    late = await story.later(minutes=5).hears(AnswerRight, f"hand-in {EASY_KEY}")
    assert (late.date, late.is_late, late.rank) == (MONDAY, True, None)
    await story.tick()
    assert [reply for _, _, reply in story.posts if isinstance(reply, MemberSolved)] == []
    assert not [
        reply for _, way, reply in story.posts if way == "mend" and isinstance(reply, ResultsPosted)
    ]
    dated = await story.hears(AnswerAlready, f"hand-in {EASY_KEY} 2026-11-23")
    assert dated.rank is None


async def test_an_answer_stamped_in_time_and_delivered_after_closing_ranks_and_mends() -> None:
    story = await two_days()
    before = story.post_with(ResultsPosted)
    assert before.table.rows == ()
    at = NOON + DAY - MINUTE
    right = await story.hears(AnswerRight, f"hand-in {EASY_KEY}", at=at)
    assert (right.date, right.is_late, right.rank) == (MONDAY, False, 1)
    await story.tick()
    ((key, mended),) = [
        (key, reply)
        for key, way, reply in story.posts
        if way == "mend" and key.startswith("results:")
    ]
    assert key == f"results:{story.club.id}:2026-11-23"
    assert isinstance(mended, ResultsPosted)
    assert mended.is_mended
    assert [row.name for row in mended.table.rows] == ["Ada"]


async def test_a_closed_days_post_is_mended_without_a_word_of_starting() -> None:
    story = await two_days()
    ((key, mended),) = [(key, reply) for key, way, reply in story.posts if way == "mend"]
    assert key == f"day:{story.club.id}:2026-11-23"
    assert isinstance(mended, DayPosted)
    assert mended.is_closed
    assert phrase(mended).buttons == ()


async def test_an_answer_that_fits_today_is_for_today() -> None:
    story = await two_days()
    await story.say("start")
    right = await story.later(minutes=9).hears(AnswerRight, f"hand-in {CROOKS_KEY}")
    assert (right.date, right.is_late, right.rank) == (MONDAY + DAY, False, 1)


async def test_a_wrong_answer_is_charged_to_the_open_day_unless_another_is_named() -> None:
    story = await two_days()
    await story.say("start")
    await story.hears(AnswerWrong, "hand-in " + "1" * 18)
    await story.hears(AnswerWrong, "hand-in " + "1" * 18 + " 2026-11-23")
    assert (await story.entry()).tries == 1
    assert (await story.entry(day=MONDAY + DAY)).tries == 1


async def test_an_answer_for_a_date_without_a_puzzle_says_so() -> None:
    story = await two_days()
    for named in ("2026-11-22", "2026-12-24"):
        reply = await story.hears(DayUnknown, f"hand-in {EASY_KEY} {named}")
        assert reply.date.isoformat() == named


async def test_after_solving_hints_are_free_and_the_time_stands() -> None:
    story = await easy_story()
    await story.say("start")
    right = await story.later(minutes=9).hears(AnswerRight, f"hand-in {EASY_KEY}")
    await story.later(minutes=5).hears(HintOffered, "hint board")
    hint = await story.hears(HintShown, "hint board sure")
    assert hint.seconds == 0
    assert (await story.hears(BoardChecked, "check")).seconds == 0
    again = await story.hears(AnswerAlready, f"hand-in {EASY_KEY}")
    assert again.adjusted == right.adjusted


async def test_solving_without_a_clock_is_timed_from_the_post_and_no_clock_starts_then() -> None:
    story = await easy_story()
    right = await story.later(minutes=40).hears(AnswerRight, f"hand-in {EASY_KEY}")
    assert (right.timed_from_post, right.raw) == (True, 2400)
    reply: Reply = await story.say("start")
    assert isinstance(reply, TodayShown)
    assert reply.solved
    assert (await story.entry()).started_at is None


async def test_a_finished_board_is_handed_in_without_typing() -> None:
    story = await open_story(crook_puzzle())
    await story.say("start")
    await story.say(f"board {CROOK_SOLUTION}")
    assert (await story.later(minutes=3).hears(AnswerRight, "hand-in")).raw == 180


@pytest.mark.parametrize(("seconds", "is_flagged"), [(101, True), (102, False)])
async def test_an_answer_is_quick_below_the_bound_and_not_at_it(
    seconds: int, is_flagged: bool
) -> None:
    # The published puzzle has 30 givens, so 51 open cells; counted by hand.
    story = await easy_story(quick=2)
    await story.say("start")
    right = await story.later(seconds).hears(AnswerRight, f"hand-in {EASY_KEY}")
    assert (right.is_flagged, right.raw) == (is_flagged, seconds)
    assert right.rank == (None if is_flagged else 1)


async def test_a_day_that_never_went_up_breaks_no_streak(store: Store) -> None:
    story = await open_story(easy_puzzle(), crook_puzzle(), seventeen_puzzle(), store=store)
    await story.say("start")
    await story.later(minutes=9).hears(AnswerRight, f"hand-in {EASY_KEY}")
    story.later(days=1, minutes=-9)
    for due in await story.service.due(story.club, story.now):
        await story.service.carry_out(due)
    unsent = f"day:{story.club.id}:2026-11-24"
    await store.save([WithdrawNotice(story.club.id, unsent)])
    await story.tick()
    story.later(days=1)
    await story.tick()
    days = await store.load_days(story.club.id)
    assert [day.posted_at is not None for day in days] == [True, False, True]
    today = days[-1].puzzle.solution
    await story.later(minutes=9).hears(AnswerRight, f"hand-in {today}")
    page = await story.hears(PersonalPage, "me")
    assert (page.streak, page.best_streak) == (2, 2)
    table = (await story.hears(TableShown, "leaderboard all")).table
    assert [(row.name, row.solved, row.streak) for row in table.rows] == [("Ada", 2, 2)]


class Offering(AtOnce):
    """Makes the same few puzzles again and again."""

    def __init__(self, *puzzles: Puzzle) -> None:
        self._puzzles = cycle(puzzles)

    async def make_puzzle(self, entry: DayPlan, seed: int) -> Puzzle | None:
        return next(self._puzzles)


async def test_a_puzzle_made_that_the_club_has_had_never_goes_up_again() -> None:
    had = easy_puzzle()
    turned = EASY[::-1]
    disguised = Puzzle(0, turned, EASY_SOLUTION[::-1], 1, form=had.form)
    source = Offering(had, disguised, crook_puzzle())
    story = await open_story(had, source=source)
    story.later(days=1)
    await story.tick()
    assert story.post_with(DayPosted).day.givens == CROOK


async def test_where_nothing_new_is_made_the_day_goes_without_and_nothing_comes_twice() -> None:
    story = await open_story(easy_puzzle(), source=Offering(easy_puzzle()))
    story.later(days=1)
    await story.tick()
    assert [day.date for day in await story.store.load_days(story.club.id)] == [MONDAY]
