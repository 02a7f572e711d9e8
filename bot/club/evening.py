"""The evening: a leader takes the club through a puzzle that is over, frame by frame.

The leader has a desk in private; the club has one message in a thread, which each move changes. A
frame may be asked about before it is shown: that puts the club's question, which members answer as
any other. Where the lesson stands is kept, so it can be left and taken up, by any leader.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Literal

from msgspec import structs

from bot.club.acts import Act, Event
from bot.club.asked import Asked
from bot.club.asking import QuestionUp, next_number, reveal_changes, saved_question
from bot.club.course import Course, Decision
from bot.club.facts import GridPicture, HintPicture
from bot.club.frames import Frame, Reel, frame_at, make_reel, picture_of
from bot.club.loading import Loading
from bot.club.ports import Change, QueueNotice
from bot.club.refusal import RefusedError
from bot.club.replies import DayUnknown, decode_reply, encode_reply
from bot.club.reply import Reply
from bot.club.state import Club, Day, Scene
from bot.club.taught import SaveLesson, Taught

Move = Literal["", "next", "back", "ask", "show", "end"]


@dataclass(frozen=True, slots=True)
class HoldLesson(Act):
    """Begin a lesson on the puzzle of a day, None for the latest, or take up the one under way; or
    make a `move` in it. A button names the `frame` that it leads to; as typed it is None."""

    day: date | None = None
    move: Move = ""
    frame: int | None = None


class LessonOpened(Reply, frozen=True, kw_only=True):
    """What the thread hangs under, with the whole path, of which no word is said. `stay`: during
    which of the club's stays in a room it is held."""

    number: int
    day: date
    level: int
    reel: Reel
    stay: int = 0


class LessonFrame(Reply, frozen=True, kw_only=True):
    """What the club sees of a lesson. `question`: the number of the question that is put of the
    frame, or was; where it was, with how many `tried` and how many `seen` it."""

    day: date
    frame: Frame
    picture: GridPicture | HintPicture
    is_asking: bool = False
    question: int = 0
    tried: int = 0
    seen: int = 0


class LessonDesk(Reply, frozen=True, kw_only=True):
    """What the leader sees: the `number` of the frame that is up, and what comes next, which the
    club does not see yet. None where nothing comes.

    `question`: as `LessonFrame` has it, with the tries so far. `is_new`: the lesson begins with it,
    `left` is the day of the one that ends by that. `replaced`: the club's question that the new
    one takes the place of, which was not revealed. `cannot_ask`: there is no one find to ask for.
    """

    day: date
    number: int
    last: int
    coming: Frame | None = None
    picture: GridPicture | HintPicture | None = None
    is_asking: bool = False
    question: int = 0
    tried: int = 0
    seen: int = 0
    is_new: bool = False
    left: date | None = None
    replaced: int = 0
    cannot_ask: bool = False


class LessonEnded(Reply, frozen=True, kw_only=True):
    """The lesson is over; `question` is the number of its question that is still open, 0: none."""

    day: date
    question: int = 0


class LessonLater(Reply, frozen=True, kw_only=True):
    """A lesson on a puzzle that is still open would give it away; `instead`: the latest day that is
    over."""

    day: date
    closes_at: datetime
    zone: str
    instead: date | None = None


class NoLesson(Reply, frozen=True, kw_only=True):
    """No lesson is under way to make a move in, or none on the puzzle of the `day` that a button
    names; or, where `is_too_early`, none can begin, as no day of the club is over."""

    day: date | None = None
    is_too_early: bool = False


@dataclass(frozen=True, slots=True)
class _Held:
    """A lesson under way as it stands, with the club's question."""

    opened: LessonOpened
    taught: Taught
    asked: Asked | None = None

    @property
    def question(self) -> Asked | None:
        """The club's question, where this lesson has put it."""
        asked = self.asked
        return asked if asked and asked.number == self.taught.question else None

    def frame(self, number: int) -> Frame:
        return frame_at(self.opened.reel, number)

    def shown(self) -> LessonFrame:
        """Return what the club sees."""
        taught, frame = self.taught, self.frame(self.taught.frame)
        picture = picture_of(frame, is_asking=taught.is_asking)
        shown = LessonFrame(
            day=self.opened.day, frame=frame, picture=picture, is_asking=taught.is_asking
        )
        if taught.question == 0 or taught.frame != taught.asked:
            return shown
        shown = structs.replace(shown, question=taught.question)
        if taught.is_asking or self.question is None:
            return shown
        return structs.replace(shown, tried=self.question.tried, seen=self.question.seen)

    def desk(self) -> LessonDesk:
        """Return what the leader sees."""
        taught, last = self.taught, self.opened.reel.last
        desk = LessonDesk(day=self.opened.day, number=taught.frame, last=last)
        if taught.is_asking or taught.frame < last:
            coming = self.frame(taught.frame if taught.is_asking else taught.frame + 1)
            picture = picture_of(coming, is_asking=False)
            desk = structs.replace(desk, coming=coming, picture=picture)
        if not taught.is_asking:
            return desk
        now = self.question or Asked(taught.question, b"")
        return structs.replace(
            desk, is_asking=True, question=now.number, tried=now.tried, seen=now.seen
        )


# --- what is loaded ---


@dataclass(frozen=True, slots=True)
class ToTeach:
    """The lesson under way in the room where the club meets, and the club's question. `number`: of
    the lesson kept last. `day`, `reel`: what a new one is about. `over`: the latest day that is
    over."""

    held: _Held | None = None
    asked: Asked | None = None
    number: int = 0
    day: Day | None = None
    reel: Reel | None = None
    over: Day | None = None

    def is_under_way(self, act: HoldLesson) -> bool:
        """Say whether an act is about the lesson under way."""
        return self.held is not None and act.day in (None, self.held.opened.day)


async def load_to_teach(loading: Loading, scene: Scene, event: Event, act: HoldLesson) -> ToTeach:
    """Load the lesson under way; where a new one begins, its day and path."""
    club = scene.club
    kept = await loading.store.load_lesson(club.id)
    asked = await loading.store.load_question(club.id, event.user_id)
    wider = ToTeach(asked=asked, number=kept.number if kept else 0)
    if kept is not None and not kept.is_over:
        opened = decode_reply(kept.reply)
        assert isinstance(opened, LessonOpened)
        if opened.stay == club.stay:
            wider = replace(wider, held=_Held(opened, kept, asked))
    if act.move or wider.is_under_way(act):
        return wider
    days = await loading.store.load_days(club.id)
    over = _latest_over(days)
    day = over if act.day is None else (await loading.named_day(club, event, act.day))[0]
    wider = replace(wider, day=day, over=over)
    if day is None or not day.is_closed:
        return wider
    return replace(wider, reel=loading.studies.of(make_reel, day.puzzle.givens, club.settings))


def _latest_over(days: Sequence[Day]) -> Day | None:
    return next((day for day in reversed(days) if day.is_closed and day.posted_at), None)


# --- what is decided ---


def decide_lesson(scene: Scene, event: Event, act: HoldLesson, wider: ToTeach) -> Decision:
    """Begin a lesson, take it up, or make a move in it."""
    if not act.move and not wider.is_under_way(act):
        return _begin(scene.club, act, wider)
    if wider.held is None or not wider.is_under_way(act):
        raise RefusedError(NoLesson(day=act.day))
    if not act.move:
        return Decision(wider.held.desk())
    if act.move == "end":
        return _end(scene.club, wider.held)
    return _move(scene.club, event, act, wider.held)


def _begin(club: Club, act: HoldLesson, wider: ToTeach) -> Decision:
    day = wider.day
    if day is None:
        unknown = NoLesson(is_too_early=True) if act.day is None else DayUnknown(date=act.day)
        raise RefusedError(unknown)
    if wider.reel is None:
        over = wider.over.date if wider.over else None
        zone = club.settings.zone
        raise RefusedError(
            LessonLater(day=day.date, closes_at=day.closes_at, zone=zone, instead=over)
        )
    number = wider.number + 1
    opened = LessonOpened(
        number=number, day=day.date, level=day.puzzle.level, reel=wider.reel, stay=club.stay
    )
    held = _Held(opened, Taught(number, encode_reply(opened)), wider.asked)
    left = wider.held.opened.day if wider.held else None
    above = f"lesson:{club.id}:{number}"
    return Decision(
        structs.replace(held.desk(), is_new=True, left=left),
        (
            SaveLesson(club.id, held.taught),
            QueueNotice(club.id, above, "room", held.taught.reply),
            QueueNotice(
                club.id, _key(club, number), "under", encode_reply(held.shown()), under=above
            ),
        ),
    )


def _key(club: Club, number: int) -> str:
    return f"frame:{club.id}:{number}"


def _end(club: Club, held: _Held) -> Decision:
    question = held.question
    is_open = question is not None and not question.is_over
    return Decision(
        LessonEnded(day=held.opened.day, question=held.taught.question if is_open else 0),
        (SaveLesson(club.id, replace(held.taught, is_over=True)),),
    )


def _move(club: Club, event: Event, act: HoldLesson, held: _Held) -> Decision:
    """Make a move; one that leads to where the lesson stands changes nothing."""
    number = _target(act, held)
    if act.move != "ask":
        after, said = _show(club, held, number, event.acted_at)
        desk = after.desk()
    elif held.frame(number).can_be_asked:
        after, said = _ask(club, held, number)
        before = held.asked
        is_lost = after.asked != before and before is not None and not before.is_over
        desk = structs.replace(after.desk(), replaced=before.number if before and is_lost else 0)
    else:
        return Decision(structs.replace(held.desk(), cannot_ask=True))
    changes: list[Change] = list(said)
    if after.taught != held.taught:
        changes.append(SaveLesson(club.id, after.taught))
    shown = after.shown()
    if shown != held.shown():
        key = _key(club, held.taught.number)
        changes.append(QueueNotice(club.id, key, "mend", encode_reply(shown)))
    return Decision(desk, tuple(changes))


_STEPS: dict[Move, int] = {"next": 1, "ask": 1, "back": -1}


def _target(act: HoldLesson, held: _Held) -> int:
    """Return the frame that a move leads to. What is asked about is up already, though hidden."""
    taught, number = held.taught, act.frame
    if number is None:
        is_up = taught.is_asking and act.move != "back"
        number = taught.frame + (0 if is_up else _STEPS.get(act.move, 0))
    return max(0, min(number, held.opened.reel.last))


def _show(club: Club, held: _Held, number: int, at: datetime) -> tuple[_Held, tuple[Change, ...]]:
    """Go to a frame. The question is over once its find was shown."""
    after = replace(held, taught=replace(held.taught, frame=number, is_asking=False))
    question = held.question
    if question is None or question.is_over or number < held.taught.asked:
        return after, ()
    over = replace(question, is_over=True, over_at=min(question.over_at or at, at))
    saved, revealed = reveal_changes(club, over)
    # The thread names nobody: who wishes to be named is, in the room, where it can be taken back.
    return replace(after, asked=over), (saved, revealed) if over.names else (saved,)


def _ask(club: Club, held: _Held, number: int) -> tuple[_Held, tuple[Change, ...]]:
    """Ask about a frame: what was asked there and is not over goes on."""
    taught, last = replace(held.taught, frame=number, is_asking=True), held.question
    if last is not None and not last.is_over and taught.asked == number:
        return replace(held, taught=taught), ()
    frame = held.frame(number)
    picture = picture_of(frame, is_asking=True)
    question = QuestionUp(number=next_number(held.asked), step=frame.steps[0], picture=picture)
    taught = replace(taught, question=question.number, asked=number)
    after = replace(held, taught=taught, asked=Asked(question.number, encode_reply(question)))
    return after, saved_question(club, held.asked, question)


LESSON = Course(HoldLesson, decide_lesson, load_to_teach)
