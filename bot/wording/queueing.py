"""Words for the queue: what waits in it, and what becomes of a puzzle put in or taken out."""

from __future__ import annotations

from bot.club.facts import Findings
from bot.club.facts_planning import Landing, Waiting
from bot.club.replies import PuzzleQueued, PuzzleUnqueued, QueueAsked, QueueShown
from bot.platforms.message import Button, Field, Form, Message
from bot.wording.buttons import Phrases
from bot.wording.explaining import Commands, CommandWords
from bot.wording.planning import PATTERN_NAMES, QUEUE, levels_words, needs_words
from bot.wording.planning_questions import list_planned
from bot.wording.prose import clean_text, count_of, join_words, paragraphs, sentences
from bot.wording.technique_week import tell_week
from bot.wording.techniques import technique_name
from bot.wording.times import format_weekday_date, tell_minutes
from bot.wording.unusable import EXAMPLE_GRID
from engine import CLASSIC


def tell_findings(findings: Findings) -> str:
    """Say what judging a puzzle found."""
    spare = "none to spare" if findings.is_minimal else "some could be spared"
    turns = len(findings.turning)
    kinds = join_words(dict.fromkeys(technique_name(each) for each in findings.turning))
    turning = (
        f"It turns {'once' if turns == 1 else f'{turns} times'}: {kinds}."
        if turns
        else "It does not turn: singles lead all the way."
    )
    return sentences(
        f"One solution, {findings.givens} givens ({spare}), {tell_minutes(findings.minutes)}.",
        turning,
    )


def queued_when(reply: PuzzleQueued) -> str:
    """Say what a queued puzzle waits for."""
    if reply.day is not None:
        return f"for {format_weekday_date(reply.day)}"
    if reply.wait_level is not None:
        level = reply.wait_level
        return f"as number {reply.place}, for the next free day planned for level {level}"
    return f"as number {reply.place} in the queue, for the next free day"


def _tell_landing(reply: PuzzleQueued) -> str:
    """Say on which day it goes up, as things stand, and what it is not of the plan for that day."""
    landing = reply.landing
    if landing is None:
        return ""
    day = format_weekday_date(landing.date)
    return sentences(
        f"As things stand, that is {day}." if reply.day is None else "",
        f"The plan for that day is {_planned(landing)}." if landing.misses else "",
        f"It takes the place of {_instead(landing)}." if landing.instead else "",
    )


def _planned(landing: Landing) -> str:
    wishes = [levels_words(landing.lowest, landing.highest)]
    if landing.theme:
        wishes.append(technique_name(landing.theme))
    if landing.pattern:
        wishes.append(PATTERN_NAMES[landing.pattern])
    return join_words(wishes)


def _instead(landing: Landing) -> str:
    assert landing.instead is not None
    level, needs = landing.instead
    return f"the level {level} puzzle that you saw for that day ({needs_words(needs)})"


def tell_mismatch(reply: QueueAsked) -> str:
    """Say why a puzzle does not go where it was to go, and what it would take the place of."""
    landing = reply.landing
    said = (
        f"This puzzle is level {reply.level} ({needs_words(reply.needs)}), but it is meant for a "
        f"day of level {reply.wait_level}."
    )
    if landing is None:
        return f"{said} All of those in the coming weeks already have a puzzle in the queue."
    place = f" It would take the place of {_instead(landing)}." if landing.instead else ""
    return (
        f"{said} As things stand, that is "
        f"{format_weekday_date(landing.date)}, planned for {_planned(landing)}.{place}"
    )


def sure_line(reply: QueueAsked) -> str:
    """Return the line that queues a puzzle at another level all the same."""
    return f"club queue {reply.mark} level={reply.wait_level} sure"


def _queue_asked(reply: QueueAsked) -> Message:
    return Message(
        text=paragraphs(
            tell_mismatch(reply), "It is not queued yet. Shall I queue it all the same?"
        ),
        buttons=(
            Button("Yes, queue it", sure_line(reply), is_main=True),
            Button("See the coming days", "club preview"),
            QUEUE,
        ),
    )


def _puzzle_queued(reply: PuzzleQueued) -> Message:
    return Message(
        text=paragraphs(
            f"Queued {queued_when(reply)}: level {reply.level}, {needs_words(reply.needs)}; "
            f"effort {reply.effort:g}.",
            _tell_landing(reply),
            sentences(
                tell_findings(reply.findings),
                f"Credit: {clean_text(reply.credit, 80)}." if reply.credit else "",
            ),
        ),
        buttons=(QUEUE, Button("See the coming days", "club preview")),
    )


def _puzzle_unqueued(reply: PuzzleUnqueued) -> Message:
    left = f"{count_of(reply.left, 'puzzle')} left in it" if reply.left else "it is empty now"
    return Message(
        text=f"Number {reply.place}, level {reply.level}, is out of the queue; {left}. The puzzle "
        "stays in the stock.",
        buttons=(QUEUE,),
    )


def _waits_for(waiting: Waiting) -> str:
    if waiting.day is not None:
        return format_weekday_date(waiting.day)
    if waiting.wait_level is not None:
        return f"next free day of level {waiting.wait_level}"
    return "next free day"


def queue_form(typed: str = "") -> Form:
    """The form in which a puzzle is pasted, with what was typed before to mend."""
    return Form(
        title="Queue a puzzle of your own",
        command="club queue",
        fields=(
            Field(
                name="grid",
                label="The puzzle; or several, a line each",
                value=typed,
                rows=CLASSIC.size,
                placeholder="23..7.....8..56.21... and so on; a dot for an empty cell",
            ),
            Field(
                name="date",
                label="A date or a level; empty: next free day",
                placeholder="2026-11-30, or 2",
            ),
            Field(name="credit", label="Whose puzzle it is (optional)"),
        ),
        send_label="Judge and queue",
    )


def _queue_shown(reply: QueueShown) -> Message:
    week = tell_week(reply.week) if reply.week else ""
    if not reply.waiting:
        return Message(
            text=paragraphs(
                "The queue is empty: the days are filled from the stock, following the plan. "
                "Queue a puzzle of your own with the form, or its 81 digits after: club queue",
                week,
                list_planned(reply.questions),
            ),
            form=queue_form(),
        )
    lines = [
        f"{number}. {_waits_for(each)}: level {each.level}, {needs_words(each.needs)}"
        + (f" ({clean_text(each.credit, 40)})" if each.credit else "")
        for number, each in enumerate(reply.waiting, start=1)
    ]
    return Message(
        text=paragraphs(
            "\n".join(["Waiting in the queue:", *lines]),
            "Take one out by its number: club queue remove 1",
            week,
            list_planned(reply.questions),
        ),
        form=queue_form(),
    )


PHRASES: Phrases = {
    PuzzleQueued: _puzzle_queued,
    PuzzleUnqueued: _puzzle_unqueued,
    QueueAsked: _queue_asked,
    QueueShown: _queue_shown,
}

COMMANDS: Commands = {
    "club queue": CommandWords(
        purpose="Queue a puzzle for a date, a level or the next free day; show the queue; "
        "take one out.",
        example=f"club queue {EXAMPLE_GRID} 2026-11-30 credit=Our own",
        help=(
            "club queue alone shows what waits. With a puzzle it adds it for the next free day; "
            "with a date too, for that date; with level=2, for the next free day planned for that "
            "level. I check it first, and refuse it if it does not have exactly one solution, if "
            "the club has had it before, in whatever disguise, or if I could not give hints on "
            "it. I tell you which day it goes up on, and ask first if that day is planned for "
            "another level. credit=Our own names its author. Several puzzles, one on each line, "
            "are checked one by one. club queue remove 2 takes number 2 out."
        ),
        options={
            "sure": "Even if the day it takes has another level",
            "credit": "Whose puzzle it is, such as Our own",
        },
    ),
}
