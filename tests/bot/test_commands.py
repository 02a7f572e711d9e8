"""The command table: how lines are read, what is refused, and what is only talk."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.club.acts import (
    Act,
    AskHint,
    CheckBoard,
    HandIn,
    OfADay,
    OnDay,
    PasteGrid,
    PauseClub,
    PlaceDigits,
    PlanWeek,
    PostNow,
    PreviewDays,
    Privacy,
    QueuePuzzle,
    RuleOut,
    RuleResult,
    SetUpClub,
    ShowBoard,
    ShowHelp,
    ShowMe,
    ShowReport,
    ShowTable,
    ShowToday,
    ShowTurning,
    ShowWalkthrough,
    StartClock,
    SwapPuzzle,
    Talk,
    Undo,
    UnqueuePuzzle,
    WithdrawDay,
    WriteRow,
)
from bot.club.handing_in import SAID
from bot.club.replies import CommandUnknown, InputRefused, Reply
from bot.commands.rows import Command, Fields
from bot.commands.table import COMMANDS, COURSES, command_names, name_of, parse
from bot.platforms.message import LINE_LIMIT
from bot.wording import phrase

# The encyclopaedia example, also in SQLite's documentation (`lang_with`) and PuLP's example.
EASY = "53..7....6..195....98....6.8...6...34..8.3..17...2...6.6....28....419..5....8..79"
NINE_LINES = "\n".join(EASY[start : start + 9] for start in range(0, 81, 9))
DAY = date(2026, 11, 24)


def read(line: str, fields: Fields | None = None, *, in_open: bool = False) -> Act | Reply:
    return parse(line, fields or {}, in_open=in_open)


@pytest.mark.parametrize(
    ("line", "act"),
    [
        ("today", ShowToday()),
        ("today text", ShowToday(as_text=True)),
        ("start", StartClock()),
        ("board", ShowBoard()),
        ("board text", ShowBoard(as_text=True)),
        (f"board {EASY}", PasteGrid(EASY)),
        ("place r4c5 7 r6c1 2", PlaceDigits((("r4c5", 7), ("r6c1", 2)))),
        ("place r4c5=7", PlaceDigits((("r4c5", 7),))),
        ("place R4C5 = 7, r6c1: 2;", PlaceDigits((("r4c5", 7), ("r6c1", 2)))),
        ("place r4c5 0 r6c1 .", PlaceDigits((("r4c5", 0), ("r6c1", 0)))),
        ("r4c5=7", PlaceDigits((("r4c5", 7),))),
        ("row 4 53..7....", WriteRow(4, (5, 3, 0, 0, 7, 0, 0, 0, 0))),
        ("row 4: 5 3 _ _ 7 0 0 * ?", WriteRow(4, (5, 3, 0, 0, 7, 0, 0, 0, 0))),
        ("row 4 53…7...", WriteRow(4, (5, 3, 0, 0, 0, 7, 0, 0, 0))),
        ("rule-out r4c5 1 4", RuleOut((("r4c5", 1), ("r4c5", 4)))),
        ("rule-out r4c5 14 r6c1 2", RuleOut((("r4c5", 1), ("r4c5", 4), ("r6c1", 2)))),
        ("undo", Undo()),
        ("check", CheckBoard()),
        ("hint", AskHint()),
        ("hint board", AskHint("board")),
        ("hint board sure", AskHint("board", sure=True)),
        ("hint more", AskHint("more")),
        ("hint paper", AskHint("paper")),
        ("hint known", AskHint("known")),
        ("hint box 5", AskHint("board", house="box 5")),
        ("hint block 5", AskHint("board", house="box 5")),
        ("hint col 3", AskHint("board", house="column 3")),
        ("hint for 7", AskHint("board", digit=7)),
        ("hint row 4 for 7 sure", AskHint("board", house="row 4", digit=7, sure=True)),
        ("hint row 4 for 7 anywhere", AskHint("board", house="row 4", digit=7, anywhere=True)),
        ("hint r4c5", AskHint("board", cell="r4c5")),
        ("hint at r4c5 for 7, please", AskHint("board", cell="r4c5", digit=7)),
        ("hint?", AskHint()),
        ("hints", AskHint()),
        ("Hints?", AskHint()),
        ("hint please", AskHint()),
        ("stuck", AskHint()),
        ("I'm stuck", AskHint()),
        ("I\u2019m really stuck!", AskHint()),
        ("i am still stuck in box 5", AskHint("board", house="box 5")),
        ("stuck at r4c5", AskHint("board", cell="r4c5")),
        ("I'm stuck with the pairs thing", AskHint()),
        ("another hint?", AskHint()),
        (f"hint {EASY}", PasteGrid(EASY, then_hint=True)),
        (f"hint\n{NINE_LINES}", PasteGrid(NINE_LINES, then_hint=True)),
        (f"hint paste {EASY}", PasteGrid(EASY, then_hint=True)),
        (f"hint paste\n{NINE_LINES}", PasteGrid(NINE_LINES, then_hint=True)),
        ("hint paste", PasteGrid("", then_hint=True)),
        ("paste", PasteGrid("")),
        (f"paste\n{NINE_LINES}", PasteGrid(NINE_LINES)),
        ("hand-in", HandIn()),
        ("hand-in 534678912 345286179", HandIn("534678912 345286179")),
        ("hand-in 534678912345286179 2026-11-24", HandIn("534678912345286179", DAY)),
        ("hand-in 2026-11-24 534678912345286179", HandIn("534678912345286179", DAY)),
        ("534678912 345286179", HandIn("534678912 345286179")),
        ("leaderboard", ShowTable("week")),
        ("leader board", ShowTable("week")),
        ("leaderboard this month", ShowTable("month")),
        ("leaderboard all-time", ShowTable("all")),
        ("leaderboard last", ShowTable("week", ago=1)),
        ("leaderboard last month", ShowTable("month", ago=1)),
        ("leaderboard yesterday", ShowTable("day", ago=1)),
        ("leaderboard 2026-W48", ShowTable("week", date(2026, 11, 23))),
        ("leaderboard 2026-w3", ShowTable("week", date(2026, 1, 12))),
        ("leaderboard 2026-12", ShowTable("month", date(2026, 12, 1))),
        ("leaderboard 2026-11-24", ShowTable("day", DAY)),
        ("walkthrough", ShowWalkthrough()),
        ("walkthrough 2026-11-24", ShowWalkthrough(DAY)),
        ("walkthrough 2026-11-24 theme=naked triple", ShowWalkthrough(DAY, "naked triple")),
        ("walkthrough theme=x-wing", ShowWalkthrough(theme="x-wing")),
        ("me", ShowMe()),
        ("privacy", Privacy()),
        ("privacy export", Privacy("export")),
        ("privacy erase", Privacy("erase")),
        ("privacy erase sure", Privacy("erase", sure=True)),
        ("erase sure", Privacy("erase", sure=True)),
        ("help", ShowHelp()),
        ("help rule out", ShowHelp("rule-out")),
        ("club", ShowHelp("club")),
        ("club setup", SetUpClub()),
        (
            "club setup name=The Slow Club zone=Europe/London Post_Time = 18:00",
            SetUpClub(
                (("name", "The Slow Club"), ("zone", "Europe/London"), ("post-time", "18:00"))
            ),
        ),
        ("club queue", QueuePuzzle()),
        (f"club queue {EASY} 2026-11-24", QueuePuzzle(EASY, DAY)),
        (f"club queue {EASY} date=2026-11-24", QueuePuzzle(EASY, DAY)),
        (f"club queue {EASY} credit=Our own", QueuePuzzle(EASY, None, "Our own")),
        (f"club queue {EASY} level=2", QueuePuzzle(EASY, level=2)),
        (f"club queue {EASY} level 2 credit=Our own", QueuePuzzle(EASY, None, "Our own", 2)),
        ("club queue remove 2", UnqueuePuzzle(2)),
        ("club queue take out number 12", UnqueuePuzzle(12)),
        ("club queue remove", UnqueuePuzzle(0)),
        ("club queue drop the first", UnqueuePuzzle(0)),
        ("club plan", PlanWeek()),
        ("club plan week", PlanWeek()),
        ("club plan next", PlanWeek(starts="next")),
        ("club plan next week theme=x-wing", PlanWeek((), (("theme", "x-wing"),), "next")),
        ("club plan this mon level=2", PlanWeek((0,), (("level", "2"),), "this")),
        ("club plan from=next steady", PlanWeek((), (("rising", "no"),), "next")),
        (
            "club plan from=2026-12-07 mon theme=naked pair",
            PlanWeek((0,), (("theme", "naked pair"),), date(2026, 12, 7)),
        ),
        ("club plan next drop", PlanWeek(starts="next", is_dropped=True)),
        (
            "club plan mon level=2 theme=pointing",
            PlanWeek((0,), (("level", "2"), ("theme", "pointing"))),
        ),
        (
            "club plan week theme=naked-triple rising pattern=half-turn",
            PlanWeek((), (("theme", "naked-triple"), ("rising", "yes"), ("pattern", "half-turn"))),
        ),
        (
            "club plan Theme = naked triple steady",
            PlanWeek((), (("theme", "naked triple"), ("rising", "no"))),
        ),
        ("club plan mon-wed, Saturday level=2-3", PlanWeek((0, 1, 2, 5), (("level", "2-3"),))),
        ("club plan sat-mon level=1", PlanWeek((0, 5, 6), (("level", "1"),))),
        ("club plan weekend level=4", PlanWeek((5, 6), (("level", "4"),))),
        ("club preview", PreviewDays()),
        ("club preview 3", PreviewDays(count=3)),
        ("club preview 2026-11-24", PreviewDays(DAY, count=1)),
        ("club swap", SwapPuzzle()),
        ("club swap 2026-11-24", SwapPuzzle(DAY)),
        ("club turning 2026-11-24", ShowTurning(DAY)),
        ("club turning 2026-11-24 theme=naked triple", ShowTurning(DAY, "naked triple")),
        ("club turning theme=w-wing", ShowTurning(theme="w-wing")),
        ("club post-now", PostNow()),
        ("club withdraw", WithdrawDay()),
        ("club withdraw 2026-11-24", WithdrawDay(date(2026, 11, 24))),
        ("club withdraw 2026-11-24 sure", WithdrawDay(date(2026, 11, 24), sure=True)),
        ("club withdraw Sure", WithdrawDay(sure=True)),
        ("club pause", PauseClub()),
        ("club pause off", PauseClub(on=False)),
        ("club report", ShowReport()),
        ("club report 2026-11-24", ShowReport(DAY)),
        (
            "club result Ada Bell unrank 2026-11-24 Solved it together",
            RuleResult("Ada Bell", "unrank", "Solved it together", DAY),
        ),
    ],
)
def test_a_line_is_read_as_its_act(line: str, act: Act) -> None:
    assert read(line) == act


@pytest.mark.parametrize(
    "line",
    ["/Rule_Out R4C5 1", "! rule out r4c5 1", "RULEOUT r4c5 1", "  rule-out   r4c5    1  "],
)
def test_case_spaces_hyphens_and_a_prefix_do_not_matter(line: str) -> None:
    assert read(line) == RuleOut((("r4c5", 1),))


@pytest.mark.parametrize(
    ("line", "nearest"),
    [
        ("stat", "start"),
        ("hnit box 5", "hint"),
        ("handin-", "hand-in"),
        ("walktrough 2026-11-24", "walkthrough"),
        ("club reprot", "club report"),
        ("xyzzy", None),
        ("", None),
        ("/", None),
    ],
)
def test_an_unknown_command_names_the_nearest(line: str, nearest: str | None) -> None:
    reply = read(line)
    assert isinstance(reply, CommandUnknown), reply
    assert reply.nearest == nearest


@pytest.mark.parametrize(
    ("line", "command", "problem", "text"),
    [
        ("r0c10=7", "place", "cell", "r0c10"),
        ("place r0c10=7", "place", "cell", "r0c10"),
        ("place r4c5 10", "place", "digit", "10"),
        ("place r4c5 x", "place", "digit", "x"),
        ("place r4c5", "place", "mark", "r4c5"),
        ("place", "place", "missing", "marks"),
        ("place 7", "place", "cell", "7"),
        ("rule-out r4c5", "rule-out", "mark", "r4c5"),
        ("rule-out r4c5 0", "rule-out", "digit", "0"),
        ("rule-out", "rule-out", "missing", "candidates"),
        ("row 0 53..7....", "row", "row", "0"),
        ("row 10 53..7....", "row", "row", "10"),
        ("row 4", "row", "missing", "digits"),
        ("row 4 53..7...a", "row", "character", "a"),
        ("hint box 10", "hint", "house", "box 10"),
        ("hint somewhere", "hint", "house", "somewhere"),
        ("hint for 0", "hint", "digit", "0"),
        ("hint for 77", "hint", "digit", "77"),
        ("leaderboard year", "leaderboard", "period", "year"),
        ("leaderboard 2026-W54", "leaderboard", "period", "2026-W54"),
        ("leaderboard 2026-02-30", "leaderboard", "period", "2026-02-30"),
        ("walkthrough yesterday", "walkthrough", "date", "yesterday"),
        ("walkthrough 2026-02-30", "walkthrough", "date", "2026-02-30"),
        ("today please", "today", "surplus", "please"),
        ("start now", "start", "surplus", "now"),
        ("privacy forget", "privacy", "surplus", "forget"),
        ("club setup sealt", "club setup", "setting", "sealt"),
        ("club pause maybe", "club pause", "surplus", "maybe"),
        ("club result Ada", "club result", "missing", "verdict"),
        ("club result Ada accept", "club result", "missing", "reason"),
        ("club result accept fine", "club result", "missing", "member"),
    ],
)
def test_a_wrong_argument_says_what_is_wrong_with_it(
    line: str, command: str, problem: str, text: str
) -> None:
    reply = read(line)
    assert isinstance(reply, InputRefused), reply
    assert (reply.command, reply.problem, reply.text) == (command, problem, text)


def test_a_row_of_the_wrong_length_says_both_lengths() -> None:
    reply = read("row 4 53..7...")
    assert isinstance(reply, InputRefused)
    assert (reply.problem, reply.found, reply.expected) == ("length", 8, 9)


@pytest.mark.parametrize(
    ("line", "act"),
    [
        ("start 2026-11-24", StartClock()),
        ("board 2026-11-24", ShowBoard()),
        ("undo 2026-11-24", Undo()),
        ("check 2026-11-24", CheckBoard()),
        ("hint more 2026-11-24", AskHint(way="more")),
        ("hint board sure 2026-11-24", AskHint(way="board", sure=True)),
        ("paste 2026-11-24", PasteGrid("")),
        (f"paste 2026-11-24\n{NINE_LINES}", PasteGrid(NINE_LINES)),
        ("hint paste 2026-11-24", PasteGrid("", then_hint=True)),
        (f"hint paste 2026-11-24\n{NINE_LINES}", PasteGrid(NINE_LINES, then_hint=True)),
    ],
)
def test_what_is_done_on_a_board_may_name_its_day(line: str, act: OfADay) -> None:
    assert read(line) == OnDay(act, DAY)


def test_a_forms_fields_are_read_in_place_of_the_line() -> None:
    assert read("paste", {"grid": NINE_LINES}) == PasteGrid(NINE_LINES)
    assert read("hint paste", {"grid": NINE_LINES}) == PasteGrid(NINE_LINES, then_hint=True)
    assert read("hint paper", {"grid": NINE_LINES}) == PasteGrid(NINE_LINES, then_hint=True)
    assert read("hand-in", {"answer": " 123 "}) == HandIn("123")
    assert read("club queue", {"grid": EASY, "date": "2026-11-24"}) == QueuePuzzle(EASY, DAY)


@pytest.mark.parametrize(
    "said",
    [
        "good morning everyone",
        "me too",
        "check this out",
        "start without me",
        "row 4 is hard",
        "place your bets",
        "hint: look at the corner",
        "hand in your homework",
        "today was tough",
        "undo that!",
        "stuck",
        "I'm stuck in box 5",
        "hint, hint",
        "hint? no thanks",
        "hints are fun",
        "another hint?",
        "help me with this one",
        "stat",
        "534678912 345286179",
        "club night on Friday?",
        "",
    ],
)
def test_in_the_open_room_plain_talk_is_talk(said: str) -> None:
    assert read(said, in_open=True) == Talk(said)


@pytest.mark.parametrize(
    "grid",
    [
        EASY,
        NINE_LINES,
        EASY[1:],
        EASY.replace(".", "x"),
        ",".join(EASY),
        "```\n" + NINE_LINES + "\n```",
        str([[int(mark) for mark in row] for row in NINE_LINES.replace(".", "0").split()]),
        "\n".join(" ".join(row).replace(".", " ") for row in NINE_LINES.split()),
        "\t3\t" + "\t".join(EASY[2:9]).replace(".", "") + "\n" + NINE_LINES[10:],
    ],
)
def test_a_grid_alone_is_the_board_in_private_and_talk_in_the_open_room(grid: str) -> None:
    assert read(grid) == PasteGrid(grid)
    assert read(f"hint\n{grid}") == PasteGrid(grid, then_hint=True)
    assert read(f"paste\n{grid}") == PasteGrid(grid)
    assert read(grid, in_open=True) == Talk(grid)


def test_digits_alone_are_an_answer_and_words_no_grid() -> None:
    assert read(f" {'12' * 9}\n") == HandIn("12" * 9)
    for said in ("?" * 81, "x" * 81, "." * 81, "r4c5", "12:30 - 13:30", "+44 20 7946 0958"):
        assert not isinstance(read(said), PasteGrid)


@pytest.mark.parametrize(
    ("line", "act"),
    [
        ("start", StartClock()),
        ("leaderboard month", ShowTable("month")),
        ("leaderboard last week", ShowTable("week", ago=1)),
        ("leaderboard 2026-W48", ShowTable("week", date(2026, 11, 23))),
        ("hint box 5", AskHint("board", house="box 5")),
        ("hand-in 534678912 345286179", HandIn("534678912 345286179")),
        ("/help hint", ShowHelp("hint")),
        ("club report", ShowReport()),
    ],
)
def test_in_the_open_room_a_command_is_a_command(line: str, act: Act) -> None:
    assert read(line, in_open=True) == act


def test_with_a_prefix_a_wrong_command_is_answered_in_the_open_room_too() -> None:
    assert isinstance(read("/check this out", in_open=True), InputRefused)
    assert isinstance(read("r0c10=7", in_open=True), InputRefused)


def test_a_puzzle_in_a_form_with_a_wrong_date_is_not_lost() -> None:
    fields = {"grid": NINE_LINES, "date": "next Friday", "credit": "Wren"}
    refused = read("club queue", fields)
    assert isinstance(refused, InputRefused)
    assert (refused.problem, refused.text) == ("date", "next Friday")
    assert refused.typed == NINE_LINES


@pytest.mark.parametrize("command", COMMANDS, ids=command_names())
def test_every_example_of_the_table_is_read_by_its_own_command(command: Command) -> None:
    example, name = command.words.example, command.name
    act = read(example)
    assert not isinstance(act, Reply), act
    assert example == name or example.startswith(f"{name} ")
    for parameter in command.parameters:
        if parameter.choices:
            assert parameter.example in parameter.choices


def test_every_name_is_there_once_and_leaders_commands_start_with_club() -> None:
    names = command_names()
    assert len(set(names)) == len(names)
    for command in COMMANDS:
        assert command.leaders_only == command.name.startswith("club ")
        assert command.words.purpose.endswith(".")


PIECES = st.sampled_from(
    [
        *command_names(),
        *("r4c5", "r0c10", "=", "7", "0", ".", "sure", "for", "box", "5", "10", "credit="),
        *("2026-11-24", "2026-99-99", EASY, NINE_LINES, "accept", "²", "٣", "…", "\n", "/"),
    ]
)


@settings(max_examples=600)
@given(
    st.one_of(st.text(), st.lists(PIECES, max_size=6).map(" ".join)),
    st.dictionaries(st.sampled_from(["grid", "answer", "date", "credit"]), st.text(), max_size=2),
    st.booleans(),
)
def test_whatever_is_typed_reading_never_raises(
    line: str, fields: dict[str, str], in_open: bool
) -> None:
    assert read(line, fields, in_open=in_open) is not None


def test_huge_numbers_are_no_trouble() -> None:
    digits = "9" * (LINE_LIMIT - 30)
    for line in (f"place r{digits}c1 1", f"hint box {digits}", f"hint for {digits}"):
        assert isinstance(read(line), InputRefused | CommandUnknown), line[:20]
    assert read(digits) == PasteGrid(digits)  # which says how many cells a grid has
    assert isinstance(read(f"walkthrough {digits}-01-01"), InputRefused)


# --- how long a line may be ---


def too_long(reply: Act | Reply) -> tuple[str, int, int]:
    assert isinstance(reply, InputRefused)
    assert reply.problem == "too-long"
    return reply.command, reply.found, reply.expected


def test_a_line_is_read_up_to_the_limit_and_refused_beyond_it() -> None:
    at_most = "board ".ljust(LINE_LIMIT - 1, ".") + "1"
    assert read(at_most) == PasteGrid(at_most.removeprefix("board "))
    assert too_long(read(at_most + "1")) == ("board", LINE_LIMIT + 1, LINE_LIMIT)
    assert too_long(read("x" * 5000)) == ("help", 5000, LINE_LIMIT)


def test_a_forms_fields_count_with_their_line() -> None:
    fields = {"grid": "." * 3000, "credit": "a" * (LINE_LIMIT - 3010)}
    assert isinstance(read("club queue", fields), QueuePuzzle)
    assert too_long(read("club queue", fields | {"date": " "})) == (
        "club queue", LINE_LIMIT + 1, LINE_LIMIT,
    )  # fmt: skip


def test_long_talk_in_the_open_room_is_talk_and_a_long_command_is_refused() -> None:
    chat = "hand-in date" + " " * 60_000 + "x"
    assert read(chat, in_open=True) == Talk(chat)
    assert too_long(read(f"/{chat}", in_open=True))[0] == "hand-in"
    assert too_long(read(chat))[0] == "hand-in"


def test_a_refused_line_says_the_limit_in_plain_words() -> None:
    refused = read("hint " + "x" * 5205)
    assert isinstance(refused, InputRefused)
    assert phrase(refused).text == (
        "That is 5,210 characters long, and I read up to 4,000 at once. Nothing was changed. "
        "Please send it in smaller parts."
    )


def test_a_line_tells_the_log_its_command_and_nothing_else() -> None:
    for line, name in (
        ("hand-in 534678912", "hand-in"), ("!club queue 53..7", "club queue"), ("hello 7", ""),
        ("r4c5=7", "place"), ("", ""),
    ):  # fmt: skip
        assert name_of(line) == name


def kinds_of(root: type[Act]) -> set[str]:
    """Return the names of the acts; a slotted class stands twice among the subclasses."""
    below = root.__subclasses__()
    return set().union(*map(kinds_of, below)) if below else {root.__name__}


def test_every_act_has_one_course_and_knows_the_command_that_is_its_home() -> None:
    acts = [course.act for course in (*SAID, *COURSES)]
    assert {act.__name__ for act in acts} == kinds_of(Act) - {"OnDay"}
    assert len(acts) == len(set(acts))
    at_home_in_hint = {"paste"}
    assert {course.command for course in COURSES} == set(command_names()) - at_home_in_hint
    assert all(course.command.startswith("club ") is course.leaders_only for course in COURSES)
