"""A lesson as a member reads it: how a technique works, its worked position, positions to try.

What is shown beside the words is drawn from the lesson's own position, never from an open puzzle.
Where no position is told by its digits alone, those to try are among the ones to practise at, shown
as pictures with what was struck before.
"""

from __future__ import annotations

from functools import cache

from bot.club.exercises import Base, bases_by_technique, practised_techniques
from bot.club.facts import GridPicture, Position
from bot.club.lessons import position_of_lesson, worked_picture
from bot.club.replies import HelpShown
from bot.platforms.message import Button, Message
from bot.wording.before import tell_before, tell_by_eye
from bot.wording.buttons import HELP
from bot.wording.prose import capitalise, count_of, paragraphs, sentences
from bot.wording.slips import slip_shown
from bot.wording.techniques import read_lesson, technique_name
from bot.wording.worded import Worded
from engine import RANKS, count_solutions, format_grid

EXERCISES = 3
"""So many positions to try stand below a lesson, where there are as many."""


def lesson_message(technique: str) -> Message:
    """Return the lesson's words, with its position as text."""
    lesson = read_lesson(technique)
    return Message(
        text=paragraphs(
            f"{capitalise(technique_name(technique))}. {lesson.reminder}",
            f"How to spot it. {lesson.spotting}",
            f"A common slip. {lesson.slip}",
            f"In the position below: {lesson.worked}",
        ),
        code=lesson.drawn,
        buttons=(HELP,),
    )


def lesson_parts(reply: HelpShown) -> tuple[Worded, ...]:
    """Word what follows a lesson: its worked position as it is on paper and then with what the
    technique does, and positions to try."""
    technique = reply.topic
    if technique not in RANKS:
        return ()
    before = tell_before(technique)
    paper, by_eye = tuple[Worded, ...](), read_lesson(technique).by_eye
    if by_eye:
        told = paragraphs(
            "The same position as you may have it on paper, with two-place marks.",
            sentences("Before it.", before) if before else "",
            sentences("By eye.", by_eye, tell_by_eye(technique)),
        )
        paper, before = (Worded(Message(told), _on_paper(technique), "on-paper"),), ""
    shown = Worded(
        Message(sentences("Here it is with all its candidates, and with what goes by it.", before)),
        worked_picture(technique),
    )
    return (*paper, shown, *slip_shown(technique), *_exercises(technique))


def _on_paper(technique: str) -> GridPicture:
    """Return the worked position with two-place marks, the house marked where there is one."""
    worked = worked_picture(technique)
    return GridPicture(
        worked.givens,
        worked.position,
        with_candidates=True,
        marks="two-place",
        keeps_marks=True,
        houses=worked.step.houses[:1],
    )


def practise_button(technique: str) -> tuple[Button, ...]:
    """Return what leads on to practice, nothing where there are too few positions for it."""
    if technique not in practised_techniques():
        return ()
    return (Button("Practise this", f"practice {technique}", is_main=True),)


def _exercises(technique: str) -> tuple[Worded, ...]:
    written = read_lesson(technique).exercises
    more = practise_button(technique)
    onward = f"For more of them, in private: practice {technique}" if more else ""
    if written:
        told = paragraphs("Now you: each of these holds one as well.", onward)
        return (Worded(Message(told, code="\n".join(written), buttons=more)),)
    drawn = exercise_pictures(technique)
    *first, last = [_to_try(number, len(drawn)) for number in range(1, len(drawn) + 1)]
    end = Message(paragraphs(last, onward), buttons=more)
    return tuple(
        Worded(message, picture, "exercise")
        for message, picture in zip((*map(Message, first), end), drawn, strict=True)
    )


def _to_try(number: int, count: int) -> str:
    if count == 1:
        return "Now you: this one holds one as well."
    if number > 1:
        return f"Exercise {number} of {count}."
    return f"Now you: each of these {count_of(count, 'position')} holds one as well."


@cache
def exercise_pictures(technique: str) -> tuple[GridPicture, ...]:
    """Return positions to try of a lesson that has none in writing: those to practise at that least
    was struck at, one solution each, without the worked one."""
    worked = format_grid(position_of_lesson(technique))
    able = (base for base in bases_by_technique()[technique] if base.digits != worked)
    found: list[GridPicture] = []
    for base in sorted(able, key=_struck):
        if len(found) < EXERCISES and count_solutions(base.digits) == 1:
            at = Position.of(base.to_grid())
            found.append(GridPicture(at.givens, at, with_candidates=True, keeps_marks=True))
    return tuple(found)


def _struck(base: Base) -> int:
    return len(base.struck)
