"""Decisions on answers, handed in or said in the open room: scene in, reply and changes out."""

from __future__ import annotations

from dataclasses import dataclass, field

from msgspec import structs

from bot.club import notices
from bot.club.acts import Event, HandIn, Misread, OnDay, Overheard, Talk
from bot.club.answers import Answerable, answers, choose_answerable, hand_in, spoken_answer
from bot.club.course import AnyCourse, Course, Decision, load_nothing
from bot.club.deciding import Retelling, is_after, is_told_late, no_puzzle, saving
from bot.club.loading import Loading
from bot.club.refusal import RefusedError
from bot.club.replies import ClockNotStarted, DayUnknown, TalkHeard
from bot.club.saying import known_days
from bot.club.showing import fresh_entry, is_covered
from bot.club.state import Day, Member, MemberSolve, Result, Scene
from bot.club.table import Bests, results_on


def as_seen(scene: Scene, event: Event) -> Scene:
    """Return the scene with a day that is not known to be up as the open one, for who answers it or
    presses what is under it: they have seen it."""
    day = scene.unconfirmed
    if day is None or not day.due_at <= event.acted_at < day.closes_at:
        return scene
    match event.act:
        case OnDay(day=named) | HandIn(day=named) if named == day.date:
            pass
        case HandIn(text=text) | Talk(text=text) if answers(text, day):
            pass
        case _:
            return scene
    if scene.today is not None:
        scene = structs.replace(scene, earlier=scene.today, earlier_entry=scene.entry)
    return structs.replace(scene, today=day, entry=scene.unconfirmed_entry)


@dataclass(frozen=True, slots=True)
class ToAnswer:
    """`named`, `named_entry`: the posted day of the date that the act names, and the member's entry
    on it. `results`: of all days that the answer may be for. `bests`: the member's."""

    named: Day | None = None
    named_entry: MemberSolve | None = None
    results: tuple[Result, ...] = ()
    bests: Bests = ()
    retelling: Retelling = field(default_factory=Retelling)


async def load_to_answer(
    loading: Loading, scene: Scene, event: Event, act: HandIn | Talk
) -> ToAnswer:
    """Load what an answer is judged by; nothing for plain talk."""
    if isinstance(act, Talk) and spoken_in(scene, event, act) is None:
        return ToAnswer()
    club, wanted = scene.club, act.day if isinstance(act, HandIn) else None
    named, entry = await loading.named_day(club, event, wanted)
    if scene.today is not None and wanted == scene.today.date:
        named, entry = scene.today, scene.entry
    days = [day for day in (named, *known_days(scene)) if day is not None]
    results: list[Result] = []
    for on_date in {day.date for day in days}:
        results += await loading.store.load_results(club.id, on_date, on_date)
    own = (entry, scene.entry, scene.earlier_entry)
    told_late = {each.day_id for each in own if each and is_told_late(each, event)}
    overtaken = {each.date for each in results if is_after(each, event)}
    entries: list[tuple[Member, MemberSolve]] = []
    for day_id in told_late | {day.id for day in days if day.date in overtaken}:
        entries += await loading.store.load_entries(day_id)
    retelling = Retelling(tuple(entries), loading.leaders_of(club))
    bests = await loading.store.load_bests(club.id, event.user_id)
    return ToAnswer(named, entry, tuple(results), bests, retelling)


def days_to_answer(
    scene: Scene, event: Event, act: HandIn | Talk, wider: ToAnswer
) -> tuple[Answerable, ...]:
    """Return the days that an answer may be for, the newest first; just the named one.

    What is said of a closed day's puzzle is talk: everybody may know it.
    """
    if isinstance(act, HandIn) and act.day is not None:
        if wider.named is None:
            raise RefusedError(DayUnknown(date=act.day))
        days = [(wider.named, wider.named_entry)]
    else:
        pairs = ((scene.today, scene.entry), (scene.earlier, scene.earlier_entry))
        days = [
            (day, entry)
            for day, entry in pairs
            if day is not None and (isinstance(act, HandIn) or event.acted_at < day.closes_at)
        ]
    return tuple(
        Answerable(day, entry or fresh_entry(day, scene.came_back), results_on(wider.results, day))
        for day, entry in days
    )


def spoken_in(scene: Scene, event: Event, act: Talk) -> str | None:
    """Return the answer that was said in the open room, None for plain talk."""
    if not event.in_open:
        return None
    return spoken_answer(act.text, known_days(scene), event.acted_at)


def decide_answer(scene: Scene, event: Event, act: HandIn | Talk, wider: ToAnswer) -> Decision:
    """Judge an answer; the first right one is told to the room, without the answer."""
    told, answerables = wider.retelling, days_to_answer(scene, event, act, wider)
    text = spoken_in(scene, event, act) if isinstance(act, Talk) else act.text
    if text is None:
        return Decision(TalkHeard(), is_kept=False)
    if not answerables:
        raise RefusedError(no_puzzle(scene, event.acted_at))
    club, answerable = scene.club, choose_answerable(text, answerables, event.acted_at)
    day = answerable.day
    if event.acted_at < day.closes_at and is_covered(day, answerable.entry):
        raise RefusedError(ClockNotStarted(command="hand-in", sealed=True, board_of=day.date))
    handed = hand_in(
        answerable,
        text,
        event.acted_at,
        club.settings,
        name=event.name.strip() or event.user_id,
        bests=wider.bests,
    )
    reply = structs.replace(handed.reply, board_of=answerable.day.date)
    if handed.entry == answerable.entry:
        return Decision(reply)
    changes = list(saving(scene.member, event, handed.entry))
    if answerable.entry.finished_at is not None:
        changes += notices.result_retold(
            club,
            answerable.day,
            event.user_id,
            told.entries,
            handed.entry,
            told.leaders,
        )
    elif handed.result is not None:
        results = (*answerable.results, handed.result)
        by_then = [each for each in results if not is_after(each, event)]
        if not handed.result.is_late:
            changes += notices.member_solved(
                club, answerable.day, event.user_id, handed.result, by_then
            )
        if len(by_then) < len(results):
            changes += notices.places_overtaken(
                club, answerable.day, told.entries, event.user_id, handed.entry
            )
        if handed.result.verdict == "flagged":
            changes += notices.result_flagged(
                club, answerable.day, event.user_id, handed.result, told.leaders
            )
        if answerable.day.is_closed and not handed.result.is_late:
            changes += notices.results_mended(club, answerable.day)
    return Decision(reply, tuple(changes))


def _decide_misread(scene: Scene, event: Event, act: Misread, nothing: None) -> Decision:
    return Decision(act.refused, is_kept=False)


def _decide_overheard(scene: Scene, event: Event, act: Overheard, nothing: None) -> Decision:
    return Decision(TalkHeard(), is_kept=False)


HAND_IN = Course(HandIn, decide_answer, load_to_answer)
SAID: tuple[AnyCourse, ...] = (
    Course(Talk, decide_answer, load_to_answer),
    Course(Misread, _decide_misread, load_nothing),
    Course(Overheard, _decide_overheard, load_nothing),
)
"""The courses of what is said in the open room and is no command."""
