"""Replies of a lesson on a puzzle that is over, in all their variants, for `samples`."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, datetime

from bot.club.evening import (
    LessonDesk,
    LessonEnded,
    LessonFrame,
    LessonLater,
    LessonOpened,
    NoLesson,
)
from bot.club.facts import Position, StepFacts
from bot.club.frames import Frame, Reel, picture_of
from bot.club.reply import Reply

At = tuple[StepFacts, Position]


def lesson_samples(
    day: date, closes_at: datetime, givens: str, single: At, pair: At
) -> list[Reply]:
    """Return them for a puzzle, with a single and a find that are taken somewhere."""
    return list(_samples(day, closes_at, givens, single, pair))


def _samples(day: date, closes_at: datetime, givens: str, single: At, pair: At) -> Iterator[Reply]:
    (step, at), (find, at_find) = single, pair
    reel = Reel(givens, (step,), (at,), (0,), Position(givens), True)
    yield LessonOpened(number=1, day=day, level=3, reel=reel)
    start = Frame(0, 9, givens, Position(givens))
    together = Frame(2, 9, givens, at, first=4, steps=(step, step), positions=(at, at))
    struck = (("r1c1", 4, 2),)
    turns = tuple(
        Frame(3, 9, givens, at_find, 6, (find,), (at_find,), struck, turns)
        for turns in ("", "first", "again")
    )
    ends = tuple(
        Frame(9, 9, givens, Position(givens), is_solved=is_solved) for is_solved in (True, False)
    )
    for frame in (start, together, *turns, *ends):
        shown = picture_of(frame, is_asking=False)
        yield LessonFrame(day=day, frame=frame, picture=shown)
        if frame.number:
            yield LessonDesk(day=day, number=frame.number - 1, last=9, coming=frame, picture=shown)
    find_frame = turns[1]
    asking, shown = picture_of(find_frame, is_asking=True), picture_of(find_frame, is_asking=False)
    yield LessonFrame(day=day, frame=find_frame, picture=asking, is_asking=True, question=4)
    desk = LessonDesk(
        day=day, number=3, last=9, coming=find_frame, picture=shown, is_asking=True, question=4
    )
    yield desk
    for tried, seen in ((0, 0), (1, 1), (1, 0), (7, 3), (7, 7), (7, 0)):
        counted = {"question": 4, "tried": tried, "seen": seen}
        yield LessonFrame(day=day, frame=find_frame, picture=shown, **counted)
        yield LessonDesk(
            day=day, number=3, last=9, coming=find_frame, picture=shown, is_asking=True,
            replaced=3, **counted,
        )  # fmt: skip
    first = {"number": 0, "last": 9, "coming": together, "picture": shown}
    yield LessonDesk(day=day, is_new=True, **first)
    yield LessonDesk(day=day, is_new=True, left=day, **first)
    yield LessonDesk(day=day, cannot_ask=True, **first)
    yield LessonDesk(day=day, number=9, last=9)
    yield LessonEnded(day=day)
    yield LessonEnded(day=day, question=4)
    for instead in (None, day):
        yield LessonLater(day=day, closes_at=closes_at, zone="Europe/London", instead=instead)
    yield NoLesson(day=day)
    yield NoLesson()
    yield NoLesson(is_too_early=True)
