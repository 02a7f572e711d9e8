"""Help: what there is, and the topics that are no command's; a command's text is with its words.

Figures come from the club's own settings, never from here.
"""

from __future__ import annotations

from functools import cache

from bot.club.facts import HintPicture, Position, facts_of_step
from bot.club.replies import HelpShown
from bot.platforms.message import Message
from bot.wording.buttons import HAND_IN, HELP, HINT, START, Phrases
from bot.wording.charges import costs_sentence
from bot.wording.commands import COMMANDS, LEADERS_PREFIX
from bot.wording.explaining import Topic
from bot.wording.prose import capitalise, join_words, paragraphs, quote
from bot.wording.techniques import read_lesson, technique_name
from bot.wording.times import format_length
from bot.wording.worded import More, Worded
from engine import EMPTY_MARKS, RANKS, find_steps, format_grid, parse_grid


def _times(reply: HelpShown) -> str:
    trust = (
        "This club plays sealed days: the puzzle comes to you when you start your clock, so "
        "everybody's time begins with the first look."
        if reply.sealed
        else "On open days anyone can look before starting, so times are on trust. The table is "
        "for the fun of it."
    )
    return paragraphs(
        "Your time runs from start to your right answer, by the moment you sent each, not the "
        "moment it reached me. If you never start, it runs from the post.",
        f"Some help adds seconds, and the sum is your adjusted time. {costs_sentence(reply.costs)} "
        f"A wrong answer adds {format_length(reply.wrong_cost)}. A check, and being told about a "
        "mistake, add a little too. Both times are shown.",
        trust,
        "The table goes by puzzles solved, then by total adjusted time. Late answers are kept but "
        "do not rank. A very fast answer waits until a leader has looked at it.",
    )


def _club(reply: HelpShown) -> str:
    names = [name for name in COMMANDS if name.startswith(LEADERS_PREFIX)]
    return f"club is for leaders: {join_words(names)}. More on each: help club report."


TOPICS: dict[str, Topic] = {
    **{name.replace(" ", "-"): words.help for name, words in COMMANDS.items()},
    "times": _times,
    "seeing": (
        "What I see: commands and buttons meant for me, and what is said in the club's room. Some "
        "platforms show me only what mentions me there, and what is written to me alone. If you "
        "type an answer openly where I can see it, it counts, and I take it away if the platform "
        "lets me. I do the same with anything else that gives an open puzzle away: more than "
        "twenty right digits, or a line that writes digits on a board. I do not take an edited "
        "message as an answer: send a new one instead. What I cannot see: private talk between "
        "members, and paper. If your paper is ahead of your board, tell me with hint, then I have "
        "more on paper."
    ),
    "club": _club,
}
"""What help can be asked about, besides the techniques; a test compares it with the commands."""


def help_topics() -> tuple[str, ...]:
    """Return every word that `help` takes: commands, topics, techniques."""
    return (*TOPICS, *RANKS)


def _overview(reply: HelpShown) -> str:
    listed = [words.overview for words in COMMANDS.values() if words.overview is not None]
    lines = [f"{command}: {what}" for command, what in listed]
    if reply.is_leader:
        lines.append("club: for leaders")
    return paragraphs(
        "A puzzle a day, and help from exactly where you are stuck. Type or press:",
        "\n".join(lines),
        "More on any of them: help hint. Also: help times, help seeing, and every technique by "
        "name: help naked-pair.",
    )


@cache
def _worked_picture(technique: str) -> HintPicture:
    """Return the picture of a lesson's worked position, with what the technique does there."""
    lesson = read_lesson(technique)
    grid = parse_grid(lesson.drawn)
    layout = grid.layout
    grid = grid.with_own(layout.mask_of(map(layout.parse_cell, lesson.own)))
    grid = grid.eliminate(layout.parse_pairs(lesson.struck))
    step = facts_of_step(layout, find_steps(grid, technique)[0])
    givens = "".join(
        EMPTY_MARKS[0] if grid.own >> cell & 1 else mark
        for cell, mark in enumerate(format_grid(grid))
    )
    return HintPicture(givens, Position.of(grid), step, "why")


def _lesson_parts(reply: HelpShown) -> tuple[Worded, ...]:
    """Word what follows a lesson: its worked position as a picture, and positions to try."""
    technique = reply.topic
    if technique not in RANKS:
        return ()
    exercises = read_lesson(technique).exercises
    shown = Worded(
        Message("Here is that position with all its candidates."), _worked_picture(technique)
    )
    if not exercises:
        return (shown,)
    told = "Now you: each of these holds one as well."
    return (shown, Worded(Message(told, code="\n".join(exercises))))


def _lesson_message(technique: str) -> Message:
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


def _help_shown(reply: HelpShown) -> Message:
    topic = reply.topic
    if topic in RANKS:
        return _lesson_message(topic)
    told = TOPICS.get(topic)
    if told is not None:
        return Message(text=told if isinstance(told, str) else told(reply), buttons=(HELP,))
    unknown = f"There is no help on {quote(topic)}, but this is what there is." if topic else ""
    return Message(text=paragraphs(unknown, _overview(reply)), buttons=(START, HINT, HAND_IN))


PHRASES: Phrases = {HelpShown: _help_shown}
MORE: More = {HelpShown: _lesson_parts}
