"""Words for questions that are planned: for which day, about what, until when, and dropped."""

from __future__ import annotations

from collections.abc import Sequence

from bot.club.facts_planning import Planned
from bot.club.planning_questions import QuestionDropped, QuestionMissing, QuestionPlanned
from bot.club.until import Until
from bot.platforms.message import Button, Message
from bot.wording.buttons import Phrases
from bot.wording.planning import QUEUE
from bot.wording.prose import NAME_LIMIT, capitalise, clean_text, sentences
from bot.wording.techniques import a_technique
from bot.wording.times import format_date, format_full_date, format_moment, weekday_name


def _about(planned: Planned) -> str:
    if planned.position is not None:
        return "about a position of your own"
    if planned.technique:
        return f"about a position with {a_technique(planned.technique)}"
    return "about where the latest puzzle turned"


def _when(planned: Planned) -> str:
    if planned.is_weekly:
        return f"every {weekday_name(planned.on.weekday())}"
    return f"on {format_date(planned.on)}"


def _shown(until: Until) -> str:
    """Say when the find is shown, once the question is up."""
    hour = f" at {until.hour}" if until.hour else ""
    if until.on is not None:
        return f"on {format_date(until.on)}{hour}"
    if until.weekday is not None:
        return f"on {weekday_name(until.weekday)}{hour}"
    if until.days == 0:
        return f"the same day{hour}"
    return f"{hour.strip()}" if until.days is None and hour else f"the day after{hour}"


def _tell(planned: Planned) -> str:
    next_on = f", next on {format_date(planned.on)}" if planned.is_weekly else ""
    return f"{_when(planned)} {_about(planned)}{next_on}"


def list_planned(questions: Sequence[Planned]) -> str:
    """List the questions that are planned; empty where none is."""
    if not questions:
        return ""
    lines = [
        f"- {capitalise(_tell(each))}; the find is shown {_shown(each.until)}" for each in questions
    ]
    return "\n".join(
        (
            "Questions that are planned:",
            *lines,
            f"Take one out by its day: {_drop_line(questions[0])}",
        )
    )


def _drop_line(planned: Planned) -> str:
    return f"club ask drop {planned.on.isoformat()}"


def _planned(reply: QuestionPlanned) -> Message:
    planned, instead = reply.planned, reply.instead
    first = format_moment(reply.next_at, reply.zone)
    asked = f"as the puzzle goes up, I'll ask the club {_about(planned)}"
    return Message(
        sentences(
            f"{capitalise(_when(planned))}, {asked}, first on {first}."
            if planned.is_weekly
            else f"On {first}, {asked}.",
            f"The find is shown {_shown(planned.until)}.",
            f"It takes the place of the one planned for that day, {_about(instead)}."
            if instead
            else "",
        ),
        buttons=(QUEUE, Button("Take it out", _drop_line(planned))),
    )


def _dropped(reply: QuestionDropped) -> Message:
    if reply.dropped is None and not reply.left:
        return Message("No question is planned. To plan one: club ask naked-triple every=wednesday")
    done = (
        "I can't tell which one you mean."
        if reply.dropped is None
        else f"Taken out: the question {_when(reply.dropped)}, {_about(reply.dropped)}."
    )
    left = list_planned(reply.left)
    return Message(f"{done}\n\n{left}" if left else done, buttons=(QUEUE,))


def _missing(reply: QuestionMissing) -> Message:
    planned = reply.planned
    why = "its puzzle is open now" if reply.is_open else "I found nothing to ask"
    again = "I try again next week." if planned.is_weekly else ""
    return Message(
        sentences(
            f"The question planned for {format_full_date(planned.on)} in "
            f"{clean_text(reply.club, NAME_LIMIT)}, {_about(planned)}, did not go up: {why}.",
            again,
            "To ask another one now: club ask naked-triple",
        ),
        buttons=(QUEUE,),
    )


PHRASES: Phrases = {
    QuestionPlanned: _planned,
    QuestionDropped: _dropped,
    QuestionMissing: _missing,
}
