"""Words for handing in. No digit of the solution is ever repeated here, right or wrong."""

from __future__ import annotations

from datetime import date

from bot.club.replies import (
    AnswerAlready,
    AnswerNearlyRight,
    AnswerRight,
    AnswerSwapped,
    AnswerUnfinished,
    AnswerWrong,
    HelpShown,
)
from bot.platforms.message import Button, Message
from bot.wording.buttons import (
    BOARD,
    HAND_IN,
    HINT,
    TODAY,
    Phrases,
    answer_form,
    of_day,
    table_of_week,
)
from bot.wording.charges import charge_sentence
from bot.wording.explaining import Commands, CommandWords
from bot.wording.prose import count_of, paragraphs, sentences
from bot.wording.times import format_date, format_length


def _time(reply: AnswerRight) -> str:
    since = " since the post (you did not start a clock)" if reply.timed_from_post else ""
    if not reply.added:
        return f"Your time: {format_length(reply.raw)}{since}, nothing added."
    return (
        f"Your time: {format_length(reply.raw)}{since}, and {format_length(reply.added)} added: "
        f"{format_length(reply.adjusted)} adjusted."
    )


def _standing(reply: AnswerRight) -> str:
    if reply.is_late:
        return "The day had closed, so it is kept as a late answer, which does not rank."
    if reply.is_unranked:
        return (
            "You had your data erased while this puzzle was open, so this result is kept, but "
            "does not rank."
        )
    if reply.is_flagged:
        return (
            "That was very fast, so a leader will look at it before it ranks. I will let you know."
        )
    if reply.rank is None:
        return ""
    return f"You are number {reply.rank} of {reply.of} so far."


def _answer_right(reply: AnswerRight) -> Message:
    helped = f"{count_of(reply.hints, 'hint')}" if reply.hints else "No hints"
    tries = f"right on try {reply.tries + 1}" if reply.tries else "right first time"
    best = "Your best at this level." if reply.is_personal_best else ""
    return Message(
        text=paragraphs(
            f"Right. You solved the puzzle for {format_date(reply.date)}.",
            sentences(_time(reply), f"{helped}, {tries}.", _standing(reply), best),
        ),
        buttons=(
            table_of_week(reply.date),
            Button("Walkthrough", f"walkthrough {reply.date.isoformat()}"),
        ),
    )


def _answer_wrong(reply: AnswerWrong) -> Message:
    again = "That is the same answer as before." if reply.is_again else ""
    return Message(
        text=paragraphs(
            f"Not yet. {count_of(reply.tries, 'wrong try', 'wrong tries')} so far.",
            sentences(
                again,
                charge_sentence(reply.seconds, reply.total),
                "You can hand in as often as you like.",
            ),
        ),
        buttons=(HAND_IN, HINT, BOARD),
    )


def _answer_swapped(reply: AnswerSwapped) -> Message:
    first, second = reply.lines
    return Message(
        text=paragraphs(
            "The other way round? Those look like the right lines in the wrong order. "
            f"It is {first} first, then {second}. This did not count as a try.",
            "" if reply.closed is None else _not_todays(reply.closed),
        ),
        form=answer_form(reply.lines, reply.closed),
        buttons=(BOARD,) if reply.closed is None else (TODAY,),
    )


def _answer_nearly_right(reply: AnswerNearlyRight) -> Message:
    first, second = reply.lines
    return Message(
        text=paragraphs(
            "Nearly. A digit or two are off: look again at "
            f"{first} and {second}. This did not count as a try.",
            _not_todays(reply.closed),
        ),
        form=answer_form(reply.lines, reply.closed),
        buttons=(TODAY, Button("Walkthrough", f"walkthrough {reply.closed.isoformat()}")),
    )


def _not_todays(closed: date) -> str:
    return f"I took it as yours for {format_date(closed)}, but that puzzle has closed."


def _answer_already(reply: AnswerAlready) -> Message:
    rank = f" Your rank so far: {reply.rank}." if reply.rank is not None else ""
    return Message(
        text=paragraphs(
            f"You have already solved the puzzle for {format_date(reply.date)}: "
            f"{format_length(reply.raw)} on the clock, {format_length(reply.adjusted)} adjusted. "
            f"Later answers change nothing.{rank}",
        ),
        buttons=(table_of_week(reply.date),),
    )


def _answer_unfinished(reply: AnswerUnfinished) -> Message:
    first, second = reply.lines
    return Message(
        text=f"Type the digits of {first}, then {second}: 18 in all, spaces are fine. "
        f"Your board here still has {count_of(reply.open_cells, 'open cell')}; once it is full, "
        "Hand in takes it as your answer.",
        form=answer_form(reply.lines, reply.day),
        buttons=(BOARD if reply.day is None else of_day(BOARD, reply.day),),
    )


def _hand_in_help(reply: HelpShown) -> str:
    return (
        "hand-in gives your answer: the digits of the two marked lines in the order named under "
        "the puzzle, 18 in all, or a whole grid, or simply your finished board. I tell you "
        f"whether it is right. A wrong answer adds {format_length(reply.wrong_cost)}; try as often "
        "as you like. The first right answer counts. Example: hand-in 236971845 784356921"
    )


PHRASES: Phrases = {
    AnswerAlready: _answer_already,
    AnswerNearlyRight: _answer_nearly_right,
    AnswerRight: _answer_right,
    AnswerSwapped: _answer_swapped,
    AnswerUnfinished: _answer_unfinished,
    AnswerWrong: _answer_wrong,
}

COMMANDS: Commands = {
    "hand-in": CommandWords(
        purpose="Hand in the digits of the two marked lines, or your finished board.",
        example="hand-in 236971845 173249586",
        help=_hand_in_help,
        overview=("hand-in", "give your answer"),
        options={
            "answer": "The digits of the two marked lines; "
            "leave it out for a form or your full board"
        },
    ),
}
