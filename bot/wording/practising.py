"""Words for practice: a position to find a technique at, help with it, and what comes of it."""

from __future__ import annotations

from bot.club.clock import local_date
from bot.club.practising import (
    WHERE,
    ExerciseHelped,
    ExerciseMissed,
    ExerciseOver,
    ExerciseShown,
    ExerciseWanted,
    NoExercise,
)
from bot.platforms.message import Button, Form, Message
from bot.wording.asking import FIND_FIELD, tell_judged
from bot.wording.buttons import PRACTICE, Phrases
from bot.wording.explaining import Commands, CommandWords
from bot.wording.prose import capitalise, number_word, paragraphs, sentences
from bot.wording.rungs import where, which, why
from bot.wording.techniques import a_technique, reminder, technique_name
from bot.wording.times import format_date
from engine import claims, technique_with

ANSWER = Button("I see it", "see practice", is_main=True)
NONE = Button("There is none", "see practice none")
HELP = Button("A hint", "practice hint")
SHOW = Button("Show me", "practice show")
OTHER = Button("Another one", "practice next")
NEXT = Button("Next", "practice next", is_main=True)

_UNDER_WAY = (ANSWER, NONE, HELP, SHOW)
_RIGHT = (
    claims.Judgement.RIGHT,
    claims.Judgement.RIGHT_AND_MORE,
    claims.Judgement.ANOTHER,
)


_HOW_TO_PLACE = "Say which digit goes where, such as see r4c5=7."
_HOW_TO_STRIKE = (
    "Say what goes by it, such as see r3c6-1 r5c6-1, or which cells you see, such as see "
    "149 in r1c6 r2c6 r9c6."
)


def _shown(reply: ExerciseShown) -> Message:
    asked = a_technique(reply.technique)
    is_single = technique_with(reply.technique).level == 1
    plain = (
        "This one is only to be seen with all candidates, so here they are."
        if reply.needs_marks
        else ""
    )
    return Message(
        paragraphs(
            f"Still this one: is there {asked}?" if reply.is_again else f"Is there {asked} here?",
            plain,
            f"{_HOW_TO_PLACE if is_single else _HOW_TO_STRIKE} If there is none: see none.",
        ),
        buttons=(*_UNDER_WAY, OTHER),
    )


def _helped(reply: ExerciseHelped) -> Message:
    told = where(reply.step) if reply.rung == WHERE else which(reply.step)
    return Message(told, buttons=_UNDER_WAY)


def _missed(reply: ExerciseMissed) -> Message:
    name, judged = a_technique(reply.technique), reply.judged
    if judged is None:
        told = f"There is {name} here. Have another look."
    elif judged.judgement in _RIGHT:
        told = f"That is right, but it is not {name}. Is there one?"
    else:
        told = tell_judged(judged)
    return Message(told, buttons=_UNDER_WAY)


def _over(reply: ExerciseOver) -> Message:
    name = a_technique(reply.technique)
    if reply.step is None:
        found = f"There is no {technique_name(reply.technique)} here."
        told = found if reply.is_shown else f"Yes, that is right: {found[0].lower()}{found[1:]}"
    else:
        reason = why(reply.step, reply.picture.position)
        told = reason if reply.is_shown else paragraphs(_praise(reply), reason)
    again = reminder(reply.technique) if reply.is_shown and reply.step is None else ""
    late = "This one was over already, so it isn't counted." if reply.is_late else ""
    return Message(
        paragraphs(told, again, sentences(late, _when(reply, name))),
        buttons=(NEXT, Button("My page", "me")),
    )


def _praise(reply: ExerciseOver) -> str:
    if reply.tries > 1:
        return f"Yes, you found it, in {number_word(reply.tries)} tries."
    return "Yes, you found it."


def _when(reply: ExerciseOver, name: str) -> str:
    if reply.again_at is None or reply.is_late:
        return ""
    if reply.is_today:
        return f"I'll show you {name} again soon."
    return f"I'll show you {name} again on {format_date(local_date(reply.again_at, reply.zone))}."


def _wanted(reply: ExerciseWanted) -> Message:
    name = capitalise(technique_name(reply.technique))
    return Message(
        f"{name}: what do you see? Example: see r3c6-1 r5c6-1, or see none",
        form=Form(name, "see practice", (FIND_FIELD,), send_label="Say it"),
    )


def _none_under_way(reply: NoExercise) -> Message:
    return Message(
        "There is no position to work on right now. For the next one: practice", buttons=(PRACTICE,)
    )


PHRASES: Phrases = {
    ExerciseShown: _shown,
    ExerciseHelped: _helped,
    ExerciseMissed: _missed,
    ExerciseOver: _over,
    ExerciseWanted: _wanted,
    NoExercise: _none_under_way,
}

COMMANDS: Commands = {
    "practice": CommandWords(
        purpose="Practise a technique, for you alone.",
        example="practice naked-triple",
        help=(
            "practice shows you a position for the technique that is due, and practice "
            "naked-triple one for that. Answer with see; now and then there is none to find, and "
            "then see none is right. practice hint helps, practice show tells it, and practice "
            "next brings another. practice bare shows the digits alone, practice two-place the "
            "digits with just two places in a box, practice all every candidate. What you "
            "needed help with comes again sooner."
        ),
        options={"technique": "A technique; or hint, show, next, bare, two-place, all"},
        overview=("practice", "a position to practise a technique at"),
    ),
}
