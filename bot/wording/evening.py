"""Words for a lesson on a puzzle that is over: the leader's desk, and what the club sees of it.

The leader talks beside it, in a voice channel or at a table, so a frame says no more than its step.
"""

from __future__ import annotations

from bot.club.evening import (
    LessonDesk,
    LessonEnded,
    LessonFrame,
    LessonLater,
    LessonOpened,
    NoLesson,
)
from bot.platforms.message import Button, Message
from bot.wording.asking import ANSWER, HOW_TO_ANSWER
from bot.wording.buttons import Phrases
from bot.wording.explaining import Commands, CommandWords
from bot.wording.prose import capitalise, number_word, paragraphs, sentences
from bot.wording.rungs import where
from bot.wording.story import tell_end, tell_frame
from bot.wording.times import format_date, format_full_date, format_moment

# --- what the club sees ---


def _opened(reply: LessonOpened) -> Message:
    return Message(
        f"We're going through the puzzle for {format_full_date(reply.day)} (level {reply.level}) "
        "together. The picture in the thread below changes as we go."
    )


def lesson_title(reply: LessonFrame) -> str:
    """Name the thread of a lesson."""
    return f"Together: the puzzle for {format_full_date(reply.day)}"


def _frame(reply: LessonFrame) -> Message:
    frame = reply.frame
    if reply.is_asking:
        return Message(
            paragraphs(
                f"Question {reply.question}: what can you do here? {where(frame.steps[0])}",
                HOW_TO_ANSWER,
            ),
            buttons=(ANSWER,),
        )
    if frame.steps:
        told = tell_frame(frame)
        return Message(paragraphs(told, _how_many(reply)) if reply.question else told)
    if frame.number == 0:
        return Message(f"This is the puzzle for {format_date(reply.day)}, as it went up.")
    return Message(tell_end(frame))


def _how_many(reply: LessonFrame) -> str:
    if not reply.tried:
        return ""
    if reply.tried == 1:
        return "One of you tried it, and saw it." if reply.seen else "One of you tried it."
    seen = {0: "none of you", reply.tried: "all of you"}.get(reply.seen, number_word(reply.seen))
    return f"{capitalise(number_word(reply.tried))} of you tried it, and {seen} saw it."


# --- the desk ---


def _desk(reply: LessonDesk) -> Message:
    return Message(
        paragraphs(
            _beginning(reply) if reply.is_new else _up_now(reply),
            _coming(reply),
            "There is no single find to ask about next. Next shows it." if reply.cannot_ask else "",
        ),
        buttons=_moves(reply),
    )


def _beginning(reply: LessonDesk) -> str:
    return sentences(
        f"The lesson on the puzzle for {format_full_date(reply.day)} goes up in the room, in a "
        "thread of its own, and begins with the puzzle as it was posted. This is your desk; only "
        "you see it.",
        f"The lesson on the puzzle for {format_date(reply.left)} ends here." if reply.left else "",
    )


def _up_now(reply: LessonDesk) -> str:
    if reply.is_asking:
        return sentences(
            f"Question {reply.question} is up.",
            _tries(reply),
            f"It takes the place of question {reply.replaced}, which was not revealed."
            if reply.replaced
            else "",
        )
    if reply.coming is None:
        return "The last picture is up, and nothing comes after it."
    if reply.number == 0:
        return "The puzzle is up as it was posted."
    return f"Picture {reply.number} of {reply.last} is up."


def _tries(reply: LessonDesk) -> str:
    if not reply.tried:
        return "Nobody has tried it yet."
    if reply.tried == 1:
        return f"So far one member has tried it{', and saw it' if reply.seen else ''}."
    seen = {0: "none", reply.tried: "all"}.get(reply.seen, number_word(reply.seen))
    return f"So far {number_word(reply.tried)} members have tried it, and {seen} of them saw it."


def _coming(reply: LessonDesk) -> str:
    coming = reply.coming
    if coming is None:
        return ""
    if coming.steps:
        told = tell_frame(coming)
    elif coming.is_solved:
        told = "The solved puzzle, to end with."
    else:
        told = "The position from which I know no technique that helps, to end with."
    return f"{'What they are to find' if reply.is_asking else 'Comes next'}:\n{told}"


def _moves(reply: LessonDesk) -> tuple[Button, ...]:
    line, number = f"club lesson {reply.day.isoformat()}", reply.number
    back = Button("Back", f"{line} back {number - 1}")
    end = Button("End the lesson", f"{line} end", is_main=reply.coming is None)
    if reply.is_asking:
        show = Button("Show", f"{line} show {number}", is_main=True)
        return show, Button("How many so far", line), back, end
    moves: tuple[Button, ...] = ()
    if reply.coming is not None:
        moves = (Button("Next", f"{line} next {number + 1}", is_main=True),)
        if reply.coming.can_be_asked:
            moves = (*moves, Button("Ask", f"{line} ask {number + 1}"))
    return (*moves, back, end) if number else (*moves, end)


def _ended(reply: LessonEnded) -> Message:
    again = Button("Hold it again", f"club lesson {reply.day.isoformat()}")
    if not reply.question:
        text = "The lesson is over. Its thread stays in the room."
        return Message(text, buttons=(again,))
    return Message(
        f"The lesson is over. Its thread stays in the room, and question {reply.question} is still "
        "open. When you want the find shown: club reveal",
        buttons=(Button("Reveal it", "club reveal"), again),
    )


# --- where there is none ---


def _later(reply: LessonLater) -> Message:
    text = sentences(
        f"The puzzle for {format_date(reply.day)} is still open, and a lesson would give it away. "
        f"It can begin when the day closes: {format_moment(reply.closes_at, reply.zone)}."
    )
    if reply.instead is None:
        return Message(text)
    line = f"club lesson {reply.instead.isoformat()}"
    return Message(
        f"{text} This works now: {line}",
        buttons=(Button(f"Lesson on {format_date(reply.instead)}", line),),
    )


def _no_lesson(reply: NoLesson) -> Message:
    if reply.is_too_early:
        return Message(
            "No puzzle of this club is over yet, so there is none to go through. Once the first "
            "day has closed, this works: club lesson"
        )
    if reply.day is None:
        return Message(
            "No lesson is under way. To begin one on the latest puzzle that is over: club lesson",
            buttons=(Button("Begin one", "club lesson"),),
        )
    line = f"club lesson {reply.day.isoformat()}"
    return Message(
        f"The lesson on the puzzle for {format_date(reply.day)} is not under way. To begin it: "
        f"{line}",
        buttons=(Button("Begin it", line),),
    )


PHRASES: Phrases = {
    LessonOpened: _opened,
    LessonFrame: _frame,
    LessonDesk: _desk,
    LessonEnded: _ended,
    LessonLater: _later,
    NoLesson: _no_lesson,
}

COMMANDS: Commands = {
    "club lesson": CommandWords(
        purpose="Go through a puzzle that is over with the club, picture by picture.",
        example="club lesson 2026-11-24",
        help=(
            "club lesson 2026-11-24 puts one picture in a thread and gives you a desk that only "
            "you see: Next and Back change the picture, Ask puts what comes next as a question "
            "first, and Show shows it with how many saw it. club lesson alone takes up the lesson "
            "under way, or begins one on the latest puzzle that is over. Also by word: club lesson "
            "next, back, ask, show, end."
        ),
        options={"move": "Where to go in the lesson"},
    ),
}
