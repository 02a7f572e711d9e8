"""Decisions on the queue: what a leader puts in, one puzzle or several, what waits, what goes out.

Each of several puzzles is decided on by itself: one that is refused keeps no other from its place.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date

from msgspec import structs

from bot.club.acts import Act, Event, QueuePuzzle, UnqueuePuzzle
from bot.club.choosing import Supply, landing_of_last
from bot.club.clock import free_from, local_date
from bot.club.course import Course, Decision
from bot.club.due import LOOK_AHEAD, days_to_come
from bot.club.facts import GridPicture, Position
from bot.club.facts_planning import Landing, Planned, Waiting
from bot.club.loading import Loading
from bot.club.plan import missed, plan_for
from bot.club.ports import Queued, SavePuzzle
from bot.club.ports import UnqueuePuzzle as TakeOut
from bot.club.problems import Problem
from bot.club.queue_vetting import Judged, judge_puzzle, judge_puzzles
from bot.club.refusal import RefusedError, refuse, refused_input
from bot.club.replies import (
    InputRefused,
    PuzzleQueued,
    PuzzlesQueued,
    PuzzleUnqueued,
    QueueAsked,
    QueueShown,
)
from bot.club.state import MARK, Puzzle, Scene
from bot.club.week_planning import week_planned
from bot.club.weeks_kept import KeptWeek


@dataclass(frozen=True, slots=True)
class ToQueue:
    """`supply`: what may come next, and what the club had; `judged`: the puzzles to queue; `dates`:
    those of the days to come; `questions`: those that are planned."""

    supply: Supply
    judged: tuple[Judged | InputRefused, ...] = ()
    dates: tuple[date, ...] = ()
    week: KeptWeek | None = None
    questions: tuple[Planned, ...] = ()


async def load_to_queue(loading: Loading, scene: Scene, event: Event, act: QueuePuzzle) -> ToQueue:
    """Load the queue, and have the puzzles judged that are to come into it."""
    supply = await loading.supply(scene.club)
    if not act.text:
        agenda = await loading.store.load_agenda(scene.club.id)
        week = await loading.store.load_week(scene.club.id)
        return ToQueue(supply, week=week, questions=agenda.planned)
    judged = judge_puzzles(
        _named(act.text, supply), lambda text: loading.studies.of(judge_puzzle, text, act.credit)
    )
    days = await loading.store.load_days(scene.club.id)
    return ToQueue(supply, judged, days_to_come(scene.club, days, event.acted_at, LOOK_AHEAD))


def _known(supply: Supply) -> tuple[Puzzle, ...]:
    """Return the puzzles that are there and may be queued."""
    return (*supply.stock, *(each.puzzle for each in supply.withdrawn))


def _named(text: str, supply: Supply) -> str:
    """Return the givens of the puzzle that a mark names; any other text as it is."""
    mark = text.strip()
    if not mark.startswith(MARK):
        return text
    queued = (each.puzzle for each in supply.queue)
    puzzles = (*_known(supply), *queued, *supply.earlier.values())
    return next((each.givens for each in puzzles if each.mark == mark), text)


def decide_queue(scene: Scene, event: Event, act: QueuePuzzle, wider: ToQueue) -> Decision:
    """Show the queue, or put puzzles into it."""
    match wider.judged:
        case ():
            today = local_date(event.acted_at, scene.club.settings.zone)
            return Decision(_queue_shown(scene, wider, today))
        case (only,):
            return Decision(*_queue(scene, event, act, only, wider))
    return _queue_all(scene, event, act, wider)


def _queue_shown(scene: Scene, wider: ToQueue, today: date) -> QueueShown:
    return QueueShown(
        week=week_planned(scene.club.settings, today, wider.week, wider.supply.stock),
        waiting=tuple(
            Waiting(
                day=each.day,
                wait_level=each.level,
                level=each.puzzle.level,
                needs=each.puzzle.needs,
                credit=each.puzzle.credit,
            )
            for each in wider.supply.queue
        ),
        questions=wider.questions,
    )


def _queue_all(scene: Scene, event: Event, act: QueuePuzzle, wider: ToQueue) -> Decision:
    """Queue what can be of several puzzles; from a date on, each on the next that is free."""
    outcomes: list[PuzzleQueued | QueueAsked | InputRefused] = []
    saved: list[SavePuzzle] = []
    for judged in wider.judged:
        if act.day is not None:
            act = replace(act, day=_free_from(act.day, scene, wider))
        try:
            reply, saves = _queue(scene, event, act, judged, wider)
        except RefusedError as refused:
            outcomes.append(refused_input(refused))
            continue
        outcomes.append(reply)
        saved.extend(saves)
        queue = (
            *wider.supply.queue,
            *(Queued(each.puzzle, each.day, each.level) for each in saves if each.is_queued),
        )
        wider = replace(wider, supply=replace(wider.supply, queue=queue))
    return Decision(PuzzlesQueued(outcomes=tuple(outcomes)), tuple(saved))


def _free_from(on_date: date, scene: Scene, wider: ToQueue) -> date:
    """Return the first date from one on that has no puzzle and none queued for it."""
    queued = {each.day for each in wider.supply.queue if each.day is not None}
    return free_from(on_date, queued.union(wider.supply.earlier), scene.club.settings.zone)


def _queue(
    scene: Scene, event: Event, act: QueuePuzzle, judged: Judged | InputRefused, wider: ToQueue
) -> tuple[PuzzleQueued | QueueAsked, tuple[SavePuzzle, ...]]:
    """Return the reply and the change for one puzzle. RefusedError says why it is not queued."""
    if isinstance(judged, InputRefused):
        raise RefusedError(judged)
    puzzle = _with_credit(judged.puzzle, wider.supply)
    _refuse_repeat(puzzle, wider, judged.typed)
    _refuse_time(scene, event, act, wider, judged.typed)
    landing = _landing(puzzle, act, wider)
    is_off = puzzle.level != act.level if landing is None else "level" in landing.misses
    if act.level is not None and is_off and not act.sure:
        asked = QueueAsked(
            landing=landing,
            wait_level=act.level,
            level=puzzle.level,
            needs=puzzle.needs,
            mark=puzzle.mark,
        )
        # Kept for the answer, and unqueued: it is of the stock until then.
        return asked, (SavePuzzle(puzzle, scene.club.id),)
    reply = PuzzleQueued(
        day=act.day,
        wait_level=act.level,
        place=len(wider.supply.queue) + 1,
        level=puzzle.level,
        needs=puzzle.needs,
        effort=puzzle.effort,
        findings=judged.findings,
        credit=puzzle.credit,
        picture=GridPicture(puzzle.givens, Position(puzzle.givens)),
        landing=landing,
    )
    saved = SavePuzzle(puzzle, scene.club.id, act.day, is_queued=True, level=act.level)
    return reply, (saved,)


def _with_credit(puzzle: Puzzle, supply: Supply) -> Puzzle:
    """Return a puzzle with the credit that it had before, where none is given now."""
    earlier = (each.credit for each in _known(supply) if each.givens == puzzle.givens)
    return puzzle if puzzle.credit else structs.replace(puzzle, credit=next(earlier, ""))


def _landing(puzzle: Puzzle, act: QueuePuzzle, wider: ToQueue) -> Landing | None:
    """Return where a puzzle goes up as things stand, if the days to come have a place for it."""
    supply, on_date = wider.supply, act.day
    if on_date is None:
        queue = (*supply.queue, Queued(puzzle, None, act.level))
        on_date = landing_of_last(replace(supply, queue=queue), wider.dates)
    if on_date is None:
        return None
    plan = plan_for(on_date, supply.settings)
    picked = [pick.puzzle for pick in supply.picks if pick.day == on_date]
    return Landing(
        date=on_date,
        lowest=plan.lowest,
        highest=plan.highest,
        theme=plan.theme,
        pattern=plan.pattern,
        misses=missed(puzzle, plan),
        instead=(picked[0].level, picked[0].needs) if picked else None,
    )


def _refuse_repeat(puzzle: Puzzle, wider: ToQueue, typed: str) -> None:
    """Refuse what the club has had or has queued, however it is disguised."""
    same = [
        (day.isoformat(), each.givens)
        for day, each in wider.supply.earlier.items()
        if each.identity == puzzle.identity
    ]
    same += [
        ("", each.puzzle.givens)
        for each in wider.supply.queue
        if each.puzzle.identity == puzzle.identity
    ]
    if same:
        day, givens = same[0]
        is_disguised = givens != puzzle.givens
        raise refuse(
            "club queue", Problem.REPEAT_PUZZLE, day, is_disguised=is_disguised, typed=typed
        )


def _refuse_time(scene: Scene, event: Event, act: QueuePuzzle, wider: ToQueue, typed: str) -> None:
    """Refuse a date that is past or taken, and a level that no day to come is planned for."""
    settings = scene.club.settings
    planned = {level for day in wider.dates for level in plan_for(day, settings).levels}
    if act.level is not None and act.level not in planned:
        raise refuse("club queue", Problem.NO_DAY, str(act.level), typed=typed)
    if act.day is not None:
        is_past = act.day < local_date(event.acted_at, settings.zone)
        is_taken = act.day in wider.supply.earlier
        if is_past or is_taken or any(each.day == act.day for each in wider.supply.queue):
            raise refuse("club queue", Problem.DAY_TAKEN, act.day, typed=typed)


async def load_supply(loading: Loading, scene: Scene, event: Event, act: Act) -> Supply:
    """Load what may come next, and what the club had."""
    return await loading.supply(scene.club)


def decide_unqueue(scene: Scene, event: Event, act: UnqueuePuzzle, supply: Supply) -> Decision:
    """Take a puzzle out of the queue."""
    queue = supply.queue
    if not 1 <= act.place <= len(queue):
        raise refuse("club queue", Problem.QUEUE_PLACE, str(act.place), found=len(queue))
    puzzle = queue[act.place - 1].puzzle
    reply = PuzzleUnqueued(place=act.place, level=puzzle.level, left=len(queue) - 1)
    return Decision(reply, (TakeOut(scene.club.id, puzzle.id),))


QUEUE = Course(QueuePuzzle, decide_queue, load_to_queue)
UNQUEUE = Course(UnqueuePuzzle, decide_unqueue, load_supply)
