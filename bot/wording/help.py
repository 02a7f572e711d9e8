"""Help: what there is, and the topics that are no command's; a command's text is with its words.

Figures come from the club's own settings, never from here.
"""

from __future__ import annotations

from bot.club.replies import HelpShown
from bot.platforms.message import Message
from bot.wording.buttons import HAND_IN, HELP, HINT, START, Phrases
from bot.wording.charges import costs_sentence
from bot.wording.commands import COMMANDS, LEADERS_PREFIX
from bot.wording.explaining import Topic
from bot.wording.lessons import lesson_message, lesson_parts
from bot.wording.prose import join_words, paragraphs, quote
from bot.wording.times import format_length
from bot.wording.worded import More
from engine import RANKS


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


def _help_shown(reply: HelpShown) -> Message:
    topic = reply.topic
    if topic in RANKS:
        return lesson_message(topic)
    told = TOPICS.get(topic)
    if told is not None:
        return Message(text=told if isinstance(told, str) else told(reply), buttons=(HELP,))
    unknown = f"There is no help on {quote(topic)}, but this is what there is." if topic else ""
    return Message(text=paragraphs(unknown, _overview(reply)), buttons=(START, HINT, HAND_IN))


PHRASES: Phrases = {HelpShown: _help_shown}
MORE: More = {HelpShown: lesson_parts}
