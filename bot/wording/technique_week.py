"""Words for a technique week: planned, its lesson on Monday, and on Sunday what came of it."""

from __future__ import annotations

from datetime import date

from bot.club.facts_planning import WeekPlanned
from bot.club.technique_week import LessonPosted, WeekTold
from bot.platforms.message import Button, Message
from bot.wording.buttons import Phrases
from bot.wording.prose import capitalise, count_of, number_word, paragraphs, sentences
from bot.wording.techniques import a_technique, read_lesson, technique_name
from bot.wording.times import format_date
from engine import technique_with


def tell_week(week: WeekPlanned) -> str:
    """Tell what goes up when, a line each, and what could not be found for it."""
    lines = [f"A technique week: {technique_name(week.technique)}."]
    lines.append(f"{_when(week.lesson_on, is_up=week.is_lesson_up)}: the lesson")
    if week.question_on is not None:
        lines.append(f"{_when(week.question_on, is_up=week.is_question_up)}: a question")
    lines.append(
        f"{format_date(week.sums_on)}: how many needed help before and now manage alone; no names"
    )
    return paragraphs("\n".join(lines), sentences(_without_question(week), _puzzles(week)))


def _when(on_date: date, *, is_up: bool) -> str:
    return f"{format_date(on_date)} (it is up)" if is_up else format_date(on_date)


def _without_question(week: WeekPlanned) -> str:
    if week.question_on is not None:
        return ""
    if not week.can_practise:
        return "I know too few positions of it to practise at, so there is no question either."
    return "It begins too late in the week for a question."


def _puzzles(week: WeekPlanned) -> str:
    name = a_technique(week.technique)
    needing = f"need{'s' if week.fitting == 1 else ''}"
    if not week.fitting:
        return (
            f"I have no puzzle in stock that needs {name}. I'll try to make some in time, but "
            "they are rare. On a day for which I have none you get the nearest there is; you can "
            "also queue your own with club queue, or choose another theme."
        )
    if technique_with(week.technique).level == 1:
        return f"{capitalise(count_of(week.fitting, 'puzzle'))} in stock {needing} it."
    if not week.clean:
        return (
            f"I have no puzzle in stock that turns on {name} and nothing else; "
            f"{count_of(week.fitting, 'puzzle')} {needing} it among other things."
        )
    if week.clean < week.puzzles:
        return (
            f"Of {number_word(week.puzzles)} puzzles, I have {number_word(week.clean)} in stock "
            f"that {'turns' if week.clean == 1 else 'turn'} on {name} and nothing else. I'll "
            "try to make the others in time; where I cannot, they need other techniques as well."
        )
    return f"I have enough puzzles in stock that turn on {name} and nothing else."


def week_buttons(week: WeekPlanned | None) -> tuple[Button, ...]:
    """Return what takes the lessons of a week back, where one is planned."""
    return () if week is None else (Button("No lessons", "club plan lessons=no"),)


# --- in the room ---


def _onward(technique: str, *, can_practise: bool) -> tuple[Button, ...]:
    lesson = Button("The whole lesson", f"help {technique}", is_main=not can_practise)
    if not can_practise:
        return (lesson,)
    return (Button("Practise this", f"practice {technique}", is_main=True), lesson)


def _lesson_posted(reply: LessonPosted) -> Message:
    name, lesson = technique_name(reply.technique), read_lesson(reply.technique)
    warm_up = (
        f"To warm up, each for yourself: practice {reply.technique}" if reply.can_practise else ""
    )
    return Message(
        paragraphs(
            f"This week we look at one technique: {name}. {lesson.reminder}",
            f"How to spot it. {lesson.spotting}",
            f"In the picture. {lesson.worked}",
            sentences(
                "This week's puzzles turn on it, where I have them, the easiest first.",
                f"The whole lesson: help {reply.technique}",
            ),
            warm_up,
        ),
        buttons=_onward(reply.technique, can_practise=reply.can_practise),
    )


def _week_told(reply: WeekTold) -> Message:
    name = a_technique(reply.technique)
    tried = (
        f"{capitalise(number_word(reply.tried))} of you tried it in practice or on the question."
        if reply.tried
        else ""
    )
    gained = (
        f"{capitalise(number_word(reply.gained))} of you needed help with {name} before, and now "
        "manage alone."
        if reply.gained
        else ""
    )
    more = (
        f"It stays in practice, for whoever wants more of it: practice {reply.technique}"
        if reply.can_practise
        else ""
    )
    return Message(
        paragraphs(
            sentences(f"That was our week of {technique_name(reply.technique)}.", tried, gained),
            more,
        ),
        buttons=_onward(reply.technique, can_practise=reply.can_practise),
    )


PHRASES: Phrases = {LessonPosted: _lesson_posted, WeekTold: _week_told}
