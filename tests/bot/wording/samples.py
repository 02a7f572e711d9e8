"""One reply of each kind, and of its variants, from an invented club: for tests and for reading."""

from __future__ import annotations

import asyncio
from datetime import UTC, date, datetime

from msgspec.structs import replace

from bot.club import (
    asking,
    photos,
    planning_questions,
    practising,
    printing,
    putting_questions,
)
from bot.club import replies as r
from bot.club.facts import (
    CoverPicture,
    DayFacts,
    Findings,
    GridPicture,
    HintPicture,
    Lacks,
    Position,
    Praise,
    SkillFacts,
    SkillsPicture,
    StepFacts,
    Table,
    TablePicture,
    TableRow,
    facts_of_step,
)
from bot.club.facts_planning import (
    ComingDay,
    Landing,
    Planned,
    PlannedDay,
    Waiting,
    WeekPlanned,
)
from bot.club.links import (
    BoardLinkGiven,
    InvitationEnded,
    InvitationGiven,
    InvitationRefused,
    NameProblem,
    NoBoardLink,
    NoInvitation,
)
from bot.club.problems import Problem
from bot.club.technique_week import LessonPosted, WeekTold
from bot.club.turning import study_turning
from bot.club.until import Until
from bot.club.wishes import LookShown, PuzzleClosing, ReminderShown
from bot.commands.table import COMMANDS
from bot.photo.told import PhotoProblem
from bot.platforms.message import Duty
from bot.wording import commands as wording
from engine import claims
from engine.board.grid import parse_grid
from engine.solving.paths import find_steps
from engine.techniques import technique_with
from tests.bot.club.stories import easy_puzzle, open_story
from tests.bot.wording.lesson_samples import lesson_samples

GIVENS = "53..7....6..195....98....6.8...6...34..8.3..17...2...6.6....28....419..5....8..79"
"""The encyclopaedia example, in SQLite's documentation (`lang_with`) and PuLP's example too."""

CROOK = ".395...8...18.937.....1.9541..4..5.3........7..7...86...67.82...1..9...5.....1..8"
"""Crook, A Pencil-and-Paper Algorithm, Notices AMS 56(4), 2009, p. 463, after all singles."""

DAY = date(2026, 11, 24)
POSTED = datetime(2026, 11, 24, 18, 0, tzinfo=UTC)
CLOSES = datetime(2026, 11, 25, 18, 0, tzinfo=UTC)
LINES = ("row 3", "row 8")
ZONE = "Europe/London"
QUESTIONS_AHEAD = (
    Planned(on=DAY, is_weekly=True, technique="naked-triple"),
    Planned(on=DAY, technique="x-wing", until=Until(weekday=4, hour="20:00")),
    Planned(on=DAY, position=Position(CROOK), until=Until(on=DAY), mark="none"),
    Planned(on=DAY, is_weekly=True, until=Until(hour="20:00"), mark="pattern"),
    Planned(on=DAY, until=Until(days=0, hour="20:00")),
)
PUZZLE = Position(GIVENS)
BOARD = Position(
    "534.7....6..195....98....6.8...6...34..8.3..17...2...6.6....28....419..5....8..79"
)


def step_at(text: str, technique: str) -> tuple[StepFacts, Position]:
    """Return the first instance of a technique at a position."""
    grid = parse_grid(text)
    step = find_steps(grid, technique_with(technique))[0]
    return facts_of_step(grid.layout, step), Position.of(grid)


PAIR, AT_PAIR = step_at(CROOK, "naked-pair")
SHEET_DAYS = tuple(
    printing.SheetDay(
        date=date(2026, 11, 23 + number),
        level=2,
        givens=CROOK,
        lines=("row 2", "row 7"),
        credit="Our own" if number else "",
        is_open=number == 1,
        is_coming=number == 2,
    )
    for number in range(3)
)
SINGLE, AT_SINGLE = step_at(GIVENS, "naked-single")


def day(*, sealed: bool = False, theme: str | None = None, credit: str = "") -> DayFacts:
    return DayFacts(
        club="Hedgerow Sudoku Club", date=DAY, givens=GIVENS, level=1, theme=theme, lines=LINES,
        sealed=sealed, closes_at=CLOSES, zone=ZONE, credit=credit,
    )  # fmt: skip


def board_picture(position: Position = BOARD, *, with_candidates: bool = False) -> GridPicture:
    return GridPicture(GIVENS, position, with_candidates=with_candidates, lines=LINES)


SKILLS = SkillsPicture(
    (SkillFacts("pointing", 4, 4, 0, False), SkillFacts("naked-pair", 6, 3, 3, True))
)
COVER = CoverPicture("Hedgerow Sudoku Club", DAY, 3)
LACKS = Lacks(tuple((duty.value, f"right to {duty}") for duty in Duty), "Ask whoever may give it.")
ROWS = (
    TableRow(1, "Hazel", 3, 2330, 2210, 2, streak=3),
    TableRow(2, "Rowan", 3, 2615, 2615, 0, streak=3),
    TableRow(2, "Sorrel", 3, 2615, 2555, 1),
    TableRow(4, "Bryony", 1, 840, 780, 1, late=1),
    TableRow(0, "Linden", 0, 0, 0, 0, late=1),
)
WEEK = Table(
    "Hedgerow Sudoku Club", "week", date(2026, 11, 23), date(2026, 11, 29), ROWS, ("Rowan",)
)
DAY_ROWS = (
    TableRow(1, "Rowan", 1, 615, 615, 0),
    TableRow(2, "Hazel", 1, 770, 650, 1, wrong=1),
    TableRow(0, "Linden", 0, 0, 0, 0, late=1),
)
ONE_DAY = Table("Hedgerow Sudoku Club", "day", DAY, DAY, DAY_ROWS)
EMPTY_MONTH = Table("Hedgerow Sudoku Club", "month", date(2026, 11, 1), date(2026, 11, 30), ())


def shown(rung: int, *, seconds: int = 15, is_kept: bool = False) -> r.HintShown:
    costs = (15, 30, 60, 120)
    picture = HintPicture(CROOK, AT_PAIR, PAIR, ("where", "what", "which", "why")[rung - 1])
    return r.HintShown(
        rung=rung, step=PAIR, position=AT_PAIR, seconds=seconds, total=sum(costs[:rung]),
        picture=None if rung == 2 else picture, next_cost=None if rung == 4 else costs[rung],
        is_kept=is_kept,
    )  # fmt: skip


def board_shown(change: str, **facts: object) -> r.BoardShown:
    plain: dict[str, object] = {
        "day": day(), "picture": board_picture(), "marks": (), "clashes": (), "open_cells": 50,
        "undo_left": 1, "as_text": False,
    } | facts  # fmt: skip
    return r.BoardShown(change=change, **plain)  # type: ignore[arg-type] # facts by name


def right(**facts: object) -> r.AnswerRight:
    plain: dict[str, object] = {
        "date": DAY, "raw": 725, "added": 105, "adjusted": 830, "hints": 1, "tries": 1, "rank": 2,
        "of": 5, "is_late": False, "is_flagged": False, "timed_from_post": False,
    } | facts  # fmt: skip
    return r.AnswerRight(**plain)  # type: ignore[arg-type] # facts by name


def refused(command: str, problem: str, **facts: object) -> r.InputRefused:
    return r.InputRefused(command=command, problem=Problem(problem), **facts)  # type: ignore[arg-type] # facts by name


def help_on(topic: str, *, is_leader: bool = False, sealed: bool = False) -> r.HelpShown:
    return r.HelpShown(
        topic=topic, is_leader=is_leader, sealed=sealed, costs=(15, 30, 60, 120), wrong_cost=60
    )


PLANNED_WEEK = WeekPlanned(
    technique="naked-triple", lesson_on=DAY, is_lesson_up=False, question_on=DAY,
    is_question_up=False, sums_on=DAY, can_practise=True, puzzles=7, fitting=12, clean=9,
)  # fmt: skip
TECHNIQUE_WEEKS = (
    PLANNED_WEEK,
    replace(PLANNED_WEEK, is_lesson_up=True, is_question_up=True, clean=3),
    replace(PLANNED_WEEK, clean=1, question_on=None),
    replace(PLANNED_WEEK, technique="remote-pair", question_on=None, can_practise=False, clean=0),
    replace(PLANNED_WEEK, technique="hidden-quad", fitting=0, clean=0),
    replace(PLANNED_WEEK, technique="hidden-single", fitting=1, clean=0),
)

FINDINGS = Findings(26, True, 12, ("pointing", "naked-pair", "naked-pair"))


def queued(**facts: object) -> r.PuzzleQueued:
    plain: dict[str, object] = {
        "day": None, "wait_level": None, "place": 1, "level": 3, "needs": ("naked-pair",),
        "effort": 31.5, "findings": FINDINGS, "credit": "", "picture": board_picture(PUZZLE),
    } | facts  # fmt: skip
    return r.PuzzleQueued(**plain)  # type: ignore[arg-type] # facts by name


RULED = r.encode_reply(
    r.RulingTold(date=DAY, verdict="accepted", reason="Solved it at our meeting")
).decode()

LANDING = Landing(date=DAY, lowest=2, highest=3, theme="claiming", pattern="",
                  misses=("level", "theme"), instead=(2, ("claiming",)))  # fmt: skip


def queue_asked(**facts: object) -> r.QueueAsked:
    plain: dict[str, object] = {
        "landing": LANDING, "wait_level": 2, "level": 1, "needs": (), "mark": "puzzle-4f3a9c12d0",
    } | facts  # fmt: skip
    return r.QueueAsked(**plain)  # type: ignore[arg-type] # facts by name


def coming(**facts: object) -> ComingDay:
    plain: dict[str, object] = {
        "date": DAY, "level": 2, "needs": ("pointing",), "theme": "pointing", "effort": 20.0,
        "pattern": "half-turn", "source": "stock", "credit": "", "picture": board_picture(PUZZLE),
    } | facts  # fmt: skip
    return ComingDay(**plain)  # type: ignore[arg-type] # facts by name


def previewed(
    *,
    next_at: datetime | None = CLOSES,
    is_next: bool = True,
    is_swapped: bool = False,
    **facts: object,
) -> r.PuzzlePreviewed:
    return r.PuzzlePreviewed(
        day=coming(**facts), next_at=next_at, zone=ZONE, is_next=is_next, is_swapped=is_swapped
    )


PLANNED = tuple(
    PlannedDay(
        weekday=weekday, lowest=min(3, 1 + weekday // 2), highest=3,
        theme="naked-triple" if weekday % 2 else "", pattern="half-turn" if weekday > 4 else "",
        stock=weekday, is_raised=weekday == 1, has_own=weekday > 4,
    )
    for weekday in range(7)
)  # fmt: skip


WRITTEN: tuple[r.Reply, ...] = (
    r.CommandUnknown(text="plaec r4c5 7", nearest="place"),
    r.CommandUnknown(text="sing", nearest=None),
    refused("place", "cell", text="r0c10"),
    refused("place", "digit", text="12"),
    refused("hint", "house", text="box 12"),
    refused("place", "mark", text="r4c5"),
    refused("row", "row", text="11"),
    refused("walkthrough", "date", text="yesterday"),
    refused("club queue", "day-taken", text="2026-11-20"),
    refused("leaderboard", "period", text="year"),
    refused("help", "topic", text="dragons"),
    refused("paste", "length", found=80, expected=81),
    refused("paste", "row-length", house="row 4", found=10, expected=9),
    refused("hand-in", "length", found=17, expected=18),
    refused("hint paste", "character", text="x"),
    refused("hand-in", "character", text="x"),
    refused("paste", "repeated", digit=7, house="row 4", cells=("r4c2", "r4c7")),
    refused("place", "given", cells=("r1c1",), digit=5),
    refused("place", "given", cells=("r1c1", "r1c2"), digit=5),
    refused("rule-out", "filled", cells=("r1c3",)),
    refused("place", "missing", text="marks"),
    refused("paste", "no-solution"),
    refused("club queue", "many-solutions", cells=("r6c5", "r6c6", "r7c5", "r7c6")),
    refused("club setup", "setting", text="post-tme"),
    refused("club setup", "value", text="post-time=25:00"),
    refused("club setup", "leader", text="@host"),
    refused("club result", "member", text="Robin"),
    refused("club result", "member", text="Robin", found=2),
    refused("club result", "no-result", text="Robin"),
    refused("club queue", "too-hard"),
    refused("club queue", "repeat-puzzle"),
    refused("club queue", "repeat-puzzle", text="2026-11-20", is_disguised=True, typed=GIVENS),
    refused("club queue", "length", found=80, expected=81, typed=GIVENS[:-1]),
    refused("club queue", "complete"),
    refused("club preview", "days", text="90", expected=14),
    refused("club queue", "level", text="9", expected=6),
    refused("club plan", "plan", text="someday"),
    refused("club plan", "wish", text="colour=green"),
    refused("club plan", "value", text="level=9"),
    refused("club plan", "missing", text="wishes"), refused("club plan", "missing", text="theme"),
    refused("club plan", "plan-past", text="2026-11-20"),
    refused("club plan", "no-plan", text="2026-12-07"),
    refused("club setup", "never-needed", text="last-three"),
    refused("see", "claim", text="wombat"),
    refused("club ask", "no-find", text="wombat"),
    refused("club ask", "until", text="wombat"),
    refused("club ask", "every", text="wombat"),
    refused("club ask", "planned-day", text="2026-11-22"),
    refused("club ask", "not-there"),
    refused("club ask", "not-there", text="x-wing"),
    refused("club ask", "struck-true", cells=("r1c2",)),
    refused("club ask", "still-open"),
    refused("club ask", "marking", text="wombat"),
    refused("club sheet", "sheet", text="paper=wombat"),
    refused("practice", "no-exercise", text="wombat"),
    refused("practice", "no-exercise", text="remote-pair"),
    refused("practice", "uniqueness", text="unique-rectangle"),
    refused("club queue", "no-day", text="5"),
    refused("club queue", "queue-place", text="7", found=2),
    refused("club queue", "queue-place", text="7"),
    refused("club swap", "not-coming", text="2026-11-20"),
    refused("club withdraw", "not-early"),
    refused("club post-now", "passed", text="2026-11-20"),
    refused("club withdraw", "not-early", text="2026-11-20"),
    refused("club withdraw", "not-early", text="2026-11-30, 2036-05-01", found=2),
    refused("club swap", "own-puzzle", text="2026-11-26"),
    refused("club swap", "no-other", text="2026-11-26"),
    refused("club queue", "too-many", found=20, expected=14),
    refused("club setup", "uniqueness", text="unique-rectangle"),
    refused("hint", "too-long", found=5210, expected=4000),
    refused("hint", "no-time"),
    refused("walkthrough", "no-time"),
    refused("club turning", "no-time"),
    refused("club queue", "no-time", typed="53..7"),
    refused("start", "surplus", text="now please"),
    r.LeadersOnly(command="club report"),
    r.NoPuzzleOpen(next_at=CLOSES, zone=ZONE, paused=False),
    r.NoPuzzleOpen(next_at=None, zone=ZONE, paused=True),
    r.NoPuzzleOpen(next_at=None, zone=ZONE, paused=False),
    r.ClockNotStarted(command="hint", sealed=False),
    r.ClockNotStarted(command="hint box 5", sealed=True),
    r.WentWrong(reference="3f9a11c2"),
    r.Busy(),
    r.TodayShown(day=day(credit="Our own"), picture=board_picture(PUZZLE), as_text=False,
                 started_at=None, solved=False, is_cover=False),
    r.TodayShown(day=day(), picture=board_picture(PUZZLE), as_text=True, started_at=POSTED,
                 solved=False, is_cover=False),
    r.TodayShown(day=day(), picture=board_picture(PUZZLE), as_text=False, started_at=POSTED,
                 solved=True, is_cover=False),
    r.TodayShown(day=day(sealed=True), picture=COVER, as_text=False, started_at=None,
                 solved=False, is_cover=True),
    r.ClockStarted(day=day(), picture=board_picture(PUZZLE), started_at=POSTED, was_running=False),
    r.ClockStarted(day=day(), picture=board_picture(), started_at=POSTED, was_running=True),
    board_shown("shown"),
    board_shown("placed", marks=(("r1c3", 4), ("r2c2", 7))),
    board_shown("placed", marks=(("r1c3", 5),), clashes=((5, "row 1"), (5, "box 1"))),
    board_shown("row", marks=tuple((f"r4c{c}", c) for c in range(1, 9))),
    board_shown("rubbed", marks=(("r1c3", 0),)),
    board_shown("ruled-out", marks=(("r1c3", 1), ("r1c3", 2)),
                picture=board_picture(with_candidates=True)),
    board_shown("undone", undo_left=0),
    board_shown("pasted"),
    board_shown("shown", as_text=True, open_cells=0),
    r.UndoEmpty(),
    r.RedoEmpty(),
    board_shown("redone"),
    board_shown("small", marks=(("r4c5", 1), ("r4c5", 4))),
    board_shown("small", marks=(("r4c5", 0),)),
    board_shown("allowed", marks=(("r4c5", 1),)),
    board_shown("filled"),
    board_shown("filled", seconds=30, total=75),
    r.GivensDiffer(slips=(("r1c1", 6, 5), ("r4c9", 0, 3))),
    r.OtherPuzzle(differing=21, givens=30),
    r.HintOffered(is_published=False, costs=(15, 30, 60, 120)),
    r.HintOffered(is_published=True, costs=(15, 30, 60, 120)),
    r.HintOffered(is_published=False, costs=(15, 30, 60, 120), in_progress=2),
    r.PaperForm(lines=tuple(GIVENS[i : i + 9] for i in range(0, 81, 9))),
    r.PaperForm(lines=tuple(GIVENS[i : i + 9] for i in range(0, 81, 9)), then_hint=False),
    r.PaperForm(lines=tuple(GIVENS[i : i + 9] for i in range(0, 81, 9)), is_read=True),
    photos.PhotoAsked(),
    photos.PhotoAsked(then_hint=False),
    photos.PhotoNotCome(),
    photos.PhotosPaced(count=6, seconds=60),
    photos.PhotoRead(picture=GridPicture(GIVENS, BOARD)),
    photos.PhotoRead(
        picture=GridPicture(f".{GIVENS[1:]}", Position(f"8{GIVENS[1:]}"), doubtful=("r1c1",)),
        slips=(("r1c1", 8, 5),),
        clashes=((8, "column 1"),),
        struck=("r2c3",),
        has_marks=True,
        then_hint=False,
    ),
    *(photos.PhotoUnread(problem=problem) for problem in PhotoProblem),
    shown(1), shown(2, seconds=30), shown(3, seconds=60), shown(4, seconds=120),
    shown(3, seconds=0, is_kept=True),
    r.HintStuck(highest_level=3),
    r.HintNotThere(house="box 5", digit=7),
    r.HintNotThere(house=None, digit=7),
    r.HintNotThere(house=None, digit=None, cell="r4c5"),
    r.BoardFull(), r.BoardFull(open_cells=51),
    r.MistakeShown(rung=1, kind="digit", region=None, cell=None, seconds=15, total=15,
                   next_cost=30),
    r.MistakeShown(rung=2, kind="ruled-out", region="box 5", cell=None, seconds=30, total=45,
                   next_cost=60),
    r.MistakeShown(rung=3, kind="digit", region="box 5", cell="r4c5", seconds=60, total=105,
                   next_cost=None, picture=GridPicture(GIVENS, BOARD, mistakes=("r4c5",))),
    r.MistakeShown(rung=1, kind="digit", region=None, cell=None, seconds=15, total=15,
                   next_cost=30, count=3),
    r.MistakeShown(rung=3, kind="ruled-out", region="box 5", cell="r4c5", seconds=60, total=105,
                   next_cost=None, count=2),
    r.KnownNoted(step=PAIR, placed=(), rung=2, struck=PAIR.removes, seconds=180, total=225),
    r.KnownNoted(step=SINGLE, placed=SINGLE.places),
    r.KnownNoted(step=SINGLE, placed=(), rung=1, is_recorded=False),
    r.NoHintUnderWay(),
    r.BoardChecked(is_right=True, filled=12, open_cells=39, seconds=30, total=30),
    r.BoardChecked(is_right=True, filled=51, open_cells=0, seconds=0, total=30),
    r.BoardChecked(is_right=False, filled=12, open_cells=39, seconds=30, total=60),
    right(), right(added=0, adjusted=725, hints=0, tries=0, rank=1, is_personal_best=True),
    right(is_late=True, rank=None, timed_from_post=True),
    right(is_flagged=True, rank=None, was_public=True, was_removed=True),
    right(was_public=True),
    r.AnswerWrong(tries=1, seconds=60, total=60),
    r.AnswerWrong(tries=2, seconds=60, total=120, was_public=True, was_removed=True),
    r.AnswerSwapped(lines=LINES),
    r.AnswerSwapped(lines=LINES, closed=DAY),
    r.AnswerNearlyRight(lines=LINES, closed=DAY),
    r.AnswerWrong(tries=1, seconds=0, total=60, is_again=True),
    r.AnswerAlready(date=DAY, raw=725, adjusted=830, rank=2),
    r.AnswerUnfinished(open_cells=12, lines=LINES),
    r.AnswerUnfinished(open_cells=12, lines=LINES, day=DAY),
    r.PuzzleOver(date=DAY),
    r.TableShown(
        table=WEEK, picture=TablePicture(WEEK), current=date(2026, 12, 1),
        earlier=date(2026, 11, 16), later=date(2026, 11, 30),
    ),
    r.PeriodEnded(
        table=WEEK, picture=TablePicture(WEEK), praise=Praise("improved", ("Rowan",)),
        earlier=date(2026, 11, 16),
    ),
    r.PeriodEnded(
        table=WEEK, picture=TablePicture(WEEK), praise=Praise("level", ("Hazel",), level=3)
    ),
    r.PeriodEnded(
        table=WEEK, picture=TablePicture(WEEK), praise=Praise("new", ("Hazel", "Rowan")),
        is_mended=True,
    ),
    r.PeriodEnded(
        table=WEEK, picture=TablePicture(WEEK),
        praise=Praise("hints", ("Rowan", "Sorrel"), hints=1, solved=3),
    ),
    r.PeriodEnded(table=EMPTY_MONTH, picture=None, is_mended=True),
    r.TableShown(table=EMPTY_MONTH, picture=TablePicture(EMPTY_MONTH)),
    r.WalkthroughShown(date=DAY, givens=CROOK, level=3, steps=(PAIR,), positions=(AT_PAIR,),
                       is_solved=True, picture=board_picture()),
    r.WalkthroughLater(date=DAY, closes_at=CLOSES, zone=ZONE),
    r.DayUnknown(date=date(2026, 11, 1)),
    r.PersonalPage(name="Hazel", solved=9, late=1, streak=3, best_streak=5,
                   bests=((1, 410, DAY), (3, 1510, DAY)),
                   recent=((DAY, 1, 830, 1), (DAY, 3, 1510, 0)),
                   asked=(("naked-pair", 3), ("pointing", 1)), average_before=900,
                   average_now=720,
                   skills=SKILLS.skills, picture=SKILLS, weakest=("naked-pair",)),
    r.PersonalPage(name="Linden", solved=0, late=0, streak=0, best_streak=0, bests=(), recent=(),
                   asked=(), average_before=None, average_now=None),
    r.PersonalPage(name="Fern", solved=0, late=1, streak=0, best_streak=0, bests=(),
                   recent=((DAY, 1, 830, 1),), asked=(), average_before=None, average_now=None,
                   unranked=1, held=2, marks=((DAY, "unranked"),)),
    r.PrivacyShown(entries=9),
    r.ErasureAsked(entries=3, open_dates=(DAY,)), r.Erased(entries=3, open_dates=(DAY,)),
    right(rank=None, is_unranked=True),
    r.ExportMade(text='{"name": "Hazel"}'),
    r.ExportMade(text='{"name": "Hazel"}', told=(("2026-11-24T18:00:00+00:00", RULED),)),
    r.ExportMade(text="{}", is_less=True),
    r.ErasureAsked(entries=9), r.ErasureAsked(entries=0),
    r.Erased(entries=9), r.Erased(entries=0),
    help_on(""), help_on("", is_leader=True), help_on("hint"), help_on("hand-in"),
    help_on("times"), help_on("times", sealed=True), help_on("seeing"), help_on("naked-pair"),
    help_on("club-report"), help_on("club-setup"), help_on("club-plan"),
    help_on("club-queue"), help_on("dragons"),
    r.TalkHeard(),
    LookShown(look="dark", is_own=True),
    LookShown(look="light", is_own=False),
    ReminderShown(reminds=True),
    ReminderShown(reminds=False),
    PuzzleClosing(date=DAY, closes_at=CLOSES, zone=ZONE),
    r.SolversShown(date=DAY, count=0, names=(), best=None),
    r.SolversShown(date=DAY, count=1, names=("Hazel",), best=830),
    r.SolversShown(date=DAY, count=12, names=("Hazel", "", "Rowan"), best=725),
    r.ClubShown(settings=(("zone", ZONE), ("post-time", "18:00"), ("sealed", "no")),
                changed=("post-time",), next_at=CLOSES, zone=ZONE, queued=2, stock=54),
    r.ClubShown(settings=(("zone", ZONE), ("wrong", "60"), ("look", "dark"), ("quick", "0")),
                changed=(), next_at=None, zone=ZONE, queued=2, stock=54, shows_all=True),
    queued(day=DAY, credit="Our own"), queued(place=3), queued(wait_level=3),
    queued(findings=Findings(30, False, 4, ()), needs=(), level=1),
    queued(wait_level=2, level=1, needs=(), landing=LANDING), queue_asked(),
    queue_asked(landing=replace(LANDING, instead=None, pattern="half-turn")),
    queue_asked(landing=None),
    r.PuzzlesQueued(outcomes=(queued(), queue_asked())),
    r.PuzzlesQueued(outcomes=(queue_asked(),
                              refused("club queue", "length", found=80, expected=81, typed="1"))),
    r.PuzzlesQueued(outcomes=(
        queued(day=DAY), refused("club queue", "length", found=80, expected=81, typed=GIVENS[:-1]),
        queued(place=2, level=1, needs=()),
    )),
    r.PuzzlesQueued(outcomes=(queued(), queued(place=2))),
    r.PuzzleUnqueued(place=2, level=3, left=1), r.PuzzleUnqueued(place=1, level=3, left=0),
    r.QueueShown(waiting=(
        Waiting(day=DAY, wait_level=None, level=3, needs=("pointing", "naked-triple")),
        Waiting(day=None, wait_level=2, level=2, needs=("pointing",), credit="Our own"),
        Waiting(day=None, wait_level=None, level=1, needs=()),
    )),
    r.QueueShown(waiting=()),
    r.PlanShown(days=PLANNED, theme="naked-triple", pattern="", rising=True, changed=True),
    r.PlanShown(days=PLANNED, theme="", pattern="half-turn", rising=False, changed=False),
    r.PlanShown(days=PLANNED, theme="jellyfish", pattern="", rising=False, changed=False),
    r.PlanShown(days=PLANNED, theme="x-wing", pattern="", rising=False, changed=True, starts=DAY,
                has_own_start=True, then=DAY, own_themes=(0, 5), own_patterns=(5,),
                for_today="club plan this week theme=x-wing"),
    r.PlanShown(days=PLANNED, theme="", pattern="", rising=True, changed=True, starts=DAY,
                is_dropped=True),
    *(
        r.PlanShown(days=PLANNED, theme=each.technique, pattern="", rising=True, changed=True,
                    week=each)
        for each in TECHNIQUE_WEEKS
    ),
    r.QueueShown(waiting=(), week=TECHNIQUE_WEEKS[0]),
    LessonPosted(technique="naked-pair", picture=HintPicture(CROOK, AT_PAIR, PAIR, "why")),
    LessonPosted(technique="remote-pair", picture=HintPicture(CROOK, AT_PAIR, PAIR, "why"),
                 can_practise=False),
    WeekTold(technique="naked-pair", tried=5, gained=3),
    WeekTold(technique="x-wing", tried=14),
    WeekTold(technique="remote-pair", can_practise=False),
    previewed(next_at=None), previewed(is_next=False, is_swapped=True, source="nearest"),
    previewed(source="queue", credit="Our own"), previewed(source="made"),
    previewed(source="picked", is_swapped=True),
    r.DaysPreviewed(days=(coming(), coming(source="queue")), missing=(DAY,), next_at=CLOSES,
                    zone=ZONE),
    r.DaysPreviewed(days=(coming(),), missing=(), next_at=None, zone=ZONE),
    *(
        practising.ExerciseShown(
            technique=technique, picture=GridPicture(CROOK, AT_PAIR, True), step=PAIR,
            is_again=is_again, needs_marks=is_again,
        )
        for technique in ("naked-pair", "x-wing", "pointing", "xy-wing", "simple-colouring")
        for is_again in (False, True)
    ),
    *(
        practising.ExerciseHelped(
            technique="naked-pair", rung=rung, step=PAIR,
            picture=HintPicture(CROOK, AT_PAIR, PAIR, name),
        )
        for rung, name in ((1, "where"), (2, "which"))
    ),
    practising.ExerciseMissed(technique="naked-pair", tries=1),
    *(
        practising.ExerciseMissed(
            technique="naked-pair", judged=asking.FindJudged(judgement=judgement, left=2), tries=1
        )
        for judgement in claims.Judgement
    ),
    *(
        practising.ExerciseOver(
            technique="naked-pair", step=step, tries=tries, is_shown=not tries, is_late=tries > 4,
            picture=HintPicture(CROOK, AT_PAIR, step, "why") if step
            else GridPicture(CROOK, AT_PAIR, True),
            again_at=CLOSES, is_today=tries == 2, zone=ZONE,
        )
        for step in (PAIR, None)
        for tries in (0, 1, 2, 5)
    ),
    practising.ExerciseWanted(technique="x-wing"),
    practising.NoExercise(),
    *lesson_samples(DAY, CLOSES, CROOK, (SINGLE, AT_SINGLE), (PAIR, AT_PAIR)),
    *(
        printing.SheetMade(
            club="Hedgerow Sudoku Club", monday=date(2026, 11, 23), days=days, missing=missing,
            answers=answers,
            exercises=(printing.SheetExercise(position=AT_PAIR, step=PAIR),) if missing else (),
        )
        for days, missing in (
            (SHEET_DAYS, (date(2026, 11, 29),)), (SHEET_DAYS[:1], ()), (SHEET_DAYS[1:2], ()),
        )
        for answers in ("last", "none")
    ),
    asking.QuestionUp(number=3, step=PAIR, picture=GridPicture(CROOK, AT_PAIR, True)),
    asking.QuestionUp(
        number=3, step=PAIR, picture=GridPicture(CROOK, AT_PAIR, True), until=CLOSES, zone=ZONE
    ),
    asking.QuestionUp(
        number=3, step=PAIR, picture=GridPicture(CROOK, AT_PAIR, True), mark="none"
    ),
    asking.QuestionUp(
        number=3,
        step=PAIR,
        picture=GridPicture(CROOK, AT_PAIR, True, cells=PAIR.cells),
        mark="pattern",
    ),
    *(
        planning_questions.QuestionPlanned(planned=planned, next_at=CLOSES, zone=ZONE)
        for planned in QUESTIONS_AHEAD
    ),
    planning_questions.QuestionPlanned(
        planned=QUESTIONS_AHEAD[0], next_at=CLOSES, zone=ZONE, instead=QUESTIONS_AHEAD[1]
    ),
    planning_questions.QuestionDropped(dropped=QUESTIONS_AHEAD[0]),
    planning_questions.QuestionDropped(dropped=QUESTIONS_AHEAD[0], left=QUESTIONS_AHEAD[1:]),
    planning_questions.QuestionDropped(dropped=None),
    planning_questions.QuestionDropped(dropped=None, left=QUESTIONS_AHEAD),
    planning_questions.QuestionMissing(club="The Slow Club", planned=QUESTIONS_AHEAD[0]),
    planning_questions.QuestionMissing(
        club="The Slow Club", planned=QUESTIONS_AHEAD[2], is_open=True
    ),
    r.QueueShown(waiting=(), questions=QUESTIONS_AHEAD),
    putting_questions.QuestionAhead(date=DAY),
    putting_questions.QuestionAhead(date=DAY, is_pasted=True),
    putting_questions.QuestionAhead(date=None, is_pasted=True),
    putting_questions.QuestionPut(number=3),
    putting_questions.QuestionPut(number=3, until=CLOSES, zone=ZONE),
    putting_questions.QuestionPut(number=3, ended=True),
    asking.FindWanted(number=3),
    asking.NamingTold(number=3, is_named=True),
    asking.NamingTold(number=3, is_named=False),
    asking.NamingTold(number=3, is_named=True, has_tried=False),
    asking.QuestionRevealed(
        number=3, step=PAIR, picture=HintPicture(CROOK, AT_PAIR, PAIR, "why"), tried=3, seen=2,
        names=("Rowan", ""),
    ),
    asking.NoQuestion(),
    asking.RevealTold(number=3),
    *(
        asking.QuestionRevealed(
            number=3, step=PAIR, picture=HintPicture(CROOK, AT_PAIR, PAIR, "why"), tried=tried,
            seen=seen,
        )
        for tried, seen in ((0, 0), (1, 1), (1, 0), (7, 3), (7, 7), (7, 0))
    ),
    *(
        asking.FindJudged(number=3, judgement=judgement, left=2, tries=2, is_late=is_late)
        for judgement in claims.Judgement
        for is_late in (False, True)
    ),
    *(
        asking.FindJudged(
            number=3, judgement=claims.Judgement.FAILS, condition=condition, cells=("r9c6", "r2c6"),
            digits=(4, 9), houses=("column 6",), tries=1,
        )
        for condition in claims.Condition
    ),
    r.TurningShown(date=DAY, report=study_turning(CROOK)),
    r.TurningShown(date=DAY, report=study_turning(GIVENS)),
    r.ClubBegun(club="Hedgerow Sudoku Club", next_at=CLOSES, zone=ZONE),
    r.ClubBegun(club="Hedgerow Sudoku Club", next_at=None, zone=ZONE),
    *(
        made(club="Hedgerow Sudoku Club", next_at=next_at, zone=ZONE, is_open=is_open, **more)
        for made, more in ((r.ClubMoved, {"title": "#corner"}), (r.ClubArrived, {}))
        for next_at, is_open in ((CLOSES, True), (None, False))
    ),
    r.ClubLeft(club="Hedgerow Sudoku Club", title="#corner"),
    *(
        r.MoveRefused(why=why, named="corner", title="#corner", lacks=LACKS, how="Pick one.")
        for why in ("unnamed", "unknown", "here", "not-led", "taken", "lacks")
    ),
    r.PostAsked(date=DAY, already=False),
    r.PostAsked(date=DAY, already=True),
    r.PostAsked(date=DAY, already=False, waiting=True),
    r.PostAsked(date=DAY, already=False, ahead=DAY),
    r.PostAsked(date=DAY, already=False, waiting=True, lacks=LACKS),
    r.PuzzleMissing(club="Hedgerow Sudoku Club", date=DAY),
    r.PostRefused(club="Hedgerow Sudoku Club", is_puzzle=True),
    r.PostRefused(club="Hedgerow Sudoku Club", is_puzzle=False),
    r.RightsMissing(club="Hedgerow Sudoku Club", lacks=LACKS),
    BoardLinkGiven(date=DAY, closes_at=CLOSES, zone=ZONE),
    NoBoardLink(is_here=True),
    NoBoardLink(is_here=False),
    *(InvitationRefused("Wren", problem) for problem in NameProblem),
    InvitationGiven(member="Wren", club="Hedgerow Sudoku Club"),
    InvitationEnded(member="Wren"),
    InvitationEnded(member="Wren", was_there=False),
    NoInvitation(),
    r.WithdrawalAsked(date=DAY, members=1),
    r.WithdrawalAsked(date=DAY, members=3),
    r.DayWithdrawn(date=DAY, members=0, next_at=CLOSES, zone=ZONE),
    r.DayWithdrawn(date=DAY, members=2, next_at=None, zone=ZONE),
    r.PostWithdrawn(date=DAY),
    r.ClockDoubted(at=CLOSES, zone=ZONE),
    r.PauseSet(on=True, next_at=None, zone=ZONE),
    r.PauseSet(on=False, next_at=CLOSES, zone=ZONE),
    r.ReportShown(date=DAY, started=7, finished=5, late=1, median=905,
                  practised=(("naked-pair", 3, 5),),
                  techniques=(("naked-pair", 4, 28), ("hidden-single", 1, 10)), stuck_count=3,
                  picture=board_picture(with_candidates=True), flagged=(("Robin", 61, "quick"),),
                  finishers=(("Hazel", 905, ""), ("Robin", 61, "flagged"),
                             ("Wren", 1205, "unranked"), ("Rowan", 90000, "late")),
                  starters=("Moss", "Ivy")),
    r.ReportShown(date=DAY, started=1, finished=0, late=0, median=None, techniques=(),
                  stuck_count=0, picture=None, flagged=(), starters=("Moss",), is_small=True),
    r.ResultRuled(member="Robin", verdict="accepted", reason="Solved it at our meeting", date=DAY,
                  rank=1),
    r.DayPosted(day=day(theme="naked-pair", credit="Our own"), picture=board_picture(PUZZLE)),
    r.DayPosted(day=day(sealed=True), picture=COVER),
    r.MemberSolved(date=DAY, name="Hazel", rank=2, adjusted=830, hints=1, is_late=False),
    r.MemberSolved(date=DAY, name="Rowan", rank=None, adjusted=725, hints=0, is_late=True),
    r.ResultsPosted(date=DAY, table=ONE_DAY, picture=TablePicture(ONE_DAY), late=1, is_mended=True),
    r.ResultsPosted(date=DAY, table=Table("Hedgerow Sudoku Club", "day", DAY, DAY, ()),
                    picture=None, late=0),
    r.ResultFlagged(date=DAY, name="Hazel", raw=42),
    r.RulingTold(date=DAY, verdict="unranked", reason="Please start the clock first"),
    r.WalkthroughPosted(date=DAY, givens=CROOK, level=3, steps=(PAIR,), positions=(AT_PAIR,),
                        is_solved=False),
)  # fmt: skip


async def _say_examples(missing: set[type[r.Reply]]) -> tuple[r.Reply, ...]:
    """Return what the commands with replies of their own answer to their examples."""
    homes = {kind.__module__ for kind in missing}
    story = await open_story(easy_puzzle())
    await story.say("start")
    examples = [
        wording.COMMANDS[command.name].example
        for command in COMMANDS
        if any(course.act.__module__ in homes for course in command.courses)
        and command.name in wording.COMMANDS
    ]
    return tuple([await story.say(line, leads=True) for line in examples])


_MISSING = set(r.reply_kinds()) - {type(reply) for reply in WRITTEN}

SAMPLES = (*(asyncio.run(_say_examples(_MISSING)) if _MISSING else ()), *WRITTEN)
"""Those that are written here, and what an example is answered with where there is none."""
