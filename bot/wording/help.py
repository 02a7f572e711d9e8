"""Help: one text for each command and topic.

A text says what the command is for, how it is written, and what it adds to the time. Figures come
from the club's own settings, never from here.
"""

from __future__ import annotations

from collections.abc import Callable

from bot.club.replies import HelpShown
from bot.platforms.message import Message
from bot.wording.buttons import HAND_IN, HELP, HINT, START, Phrases
from bot.wording.charges import costs_sentence
from bot.wording.prose import capitalise, paragraphs, quote
from bot.wording.settings import SETTING_MEANINGS
from bot.wording.techniques import read_lesson, technique_name
from bot.wording.times import format_length
from engine import RANKS

Topic = Callable[[HelpShown], str]


def _fixed(text: str) -> Topic:
    return lambda reply: text


def _hint(reply: HelpShown) -> str:
    return paragraphs(
        "hint helps from exactly where you are. It asks whether your board here is up to date or "
        "you have more on paper; then it tells as little as will help, one rung at a time: Where "
        "to look, What to look for, Which cells, and Why. Press More for the next rung.",
        f"{costs_sentence(reply.costs)} Reading a rung again is free. A mistake on your board is "
        "named before any new rung, and that costs too: what is free never tells whether your "
        "digits are right.",
        "Narrow it: hint box 5, hint row 2, hint for 7. If you know the step already, rule out "
        "what it rules out, which is free; or press I know that already, and I put it on your "
        "board for what the rungs that tell it cost.",
    )


def _hand_in(reply: HelpShown) -> str:
    return (
        "hand-in gives your answer: the digits of the two marked lines in the order named under "
        "the puzzle, 18 in all, or a whole grid, or simply your finished board. You hear right or "
        f"not yet. A wrong answer adds {format_length(reply.wrong_cost)}; try as often as you "
        "like. The first right answer counts. Example: hand-in 534678912 672195348"
    )


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


TOPICS: dict[str, Topic] = {
    "today": _fixed(
        "today shows the open puzzle again, on any device; it never touches the clock. "
        "today text reads it out row by row, for a screen reader or for copying."
    ),
    "start": _fixed(
        "start sets your clock running and gives you the puzzle privately, as a picture and as "
        "text. Starting twice changes nothing: the first start counts."
    ),
    "board": _fixed(
        "board shows your own board, with what you wrote and what is still possible. "
        "board text reads it out row by row. Nobody else can see it."
    ),
    "place": _fixed(
        "place writes digits on your board, as many as you like: place r4c5 7 r6c1 2. r4c5 is the "
        "cell in row 4, column 5. A 0 rubs a cell out: place r4c5 0."
    ),
    "row": _fixed(
        "row writes a whole row at once, dots for the cells that are open: row 4 53..7...."
    ),
    "rule-out": _fixed(
        "rule-out strikes candidates that you know to be impossible: rule-out r4c5 1 4. Hints "
        "then take them as known."
    ),
    "undo": _fixed("undo takes back the last change of your board, one at a time."),
    "paste": _fixed(
        "paste takes a whole grid and keeps it as your board. Dots, zeros, spaces, underscores and "
        "stars all stand for empty cells, … for three of them; rulers are ignored. "
        "Undo brings the old board back."
    ),
    "check": _fixed(
        "check says whether everything on your board is right so far. It adds a little to your "
        "time and does not say where a mistake is; a hint does that."
    ),
    "hint": _hint,
    "hand-in": _hand_in,
    "leaderboard": _fixed(
        "leaderboard shows the week's table; leaderboard month and leaderboard all the others. "
        "Equal results share a rank."
    ),
    "walkthrough": _fixed(
        "walkthrough explains a closed puzzle, or one that you have solved, step by step: "
        "walkthrough, or walkthrough 2026-11-24."
    ),
    "me": _fixed("me is your own page: streaks, bests, recent results, which hints you asked for."),
    "privacy": _fixed(
        "privacy says what is kept of you. privacy export gives you all of it; privacy erase "
        "removes it."
    ),
    "help": _fixed("help lists everything; help and a word tells more about that word: help hint."),
    "times": _times,
    "seeing": _fixed(
        "What I see: commands and buttons meant for me, and what is said in the club's room; in "
        "Discord only what mentions me there, and what is written to me alone. An answer typed "
        "openly where I can see it is taken away where the platform lets me, and it counts. So is "
        "whatever else gives an open puzzle away: more than twenty right digits, or a line that "
        "writes digits on a board. An edited message I do not take for an answer: send it anew "
        "instead. What I cannot see: private talk between members, and paper. If your paper is "
        "ahead of your board, tell me with hint, then "
        "I have more on paper."
    ),
}
"""What help can be asked about, besides the techniques; a test compares it with the commands."""

LEADER_TOPICS: dict[str, Topic] = {
    "club": _fixed(
        "club is for leaders: club setup, club plan, club preview, club swap, club turning, club "
        "queue, club post-now, club withdraw, club pause, club report and club result. More on "
        "each: help club report."
    ),
    "club-setup": _fixed(
        "club setup alone shows the club's settings. With names and values it changes them, all "
        "at once or none: club setup post-time=18:30 sealed=yes theme=naked-triple\n\n"
        + "\n".join(f"{name}: {meaning}" for name, meaning in SETTING_MEANINGS.items())
    ),
    "club-plan": _fixed(
        "club plan alone shows the plan of the week, and how many puzzles in stock fit each day. "
        "club plan mon level=2 theme=pointing plans a weekday; name several at once, as in "
        "mon-thu. club plan week theme=naked-triple rising pattern=half-turn plans for all of it: "
        "every puzzle needs the theme, and takes more effort from day to day.\n\n"
        "level: one level, or two with a dash between, such as 2-3\n"
        "theme: a technique that the puzzle needs; none for none; for a day also week\n"
        "pattern: the symmetry of the givens, quarter-turn, half-turn, mirror or diagonal; any\n"
        "rising or steady: whether the effort rises through the week"
    ),
    "club-preview": _fixed(
        "club preview shows the puzzles of the next seven days before they go up, to you alone; "
        "club preview 3 the next three, club preview 2026-11-30 one. What you have seen is what "
        "goes up, unless you swap it, queue one of your own or change the plan."
    ),
    "club-swap": _fixed(
        "club swap 2026-11-30 takes another puzzle that fits for that day: the next harder one, "
        "and after the hardest the easiest. club swap alone is about the next day."
    ),
    "club-turning": _fixed(
        "club turning 2026-11-30 tells where the puzzle of a day turns: the positions at which no "
        "single is left, what is there, whether there is a way round, and how the board looks to "
        "somebody who misses it. With pictures, and to you alone. With theme=naked-triple each is "
        "shown by that technique where it works."
    ),
    "club-queue": _fixed(
        "club queue alone shows what waits. With a puzzle it adds it: for a date, with level=2 for "
        "the next free day planned for that level, else for the next free day. I judge it first, "
        "and refuse one that has other than one solution, that the club has had, in whatever "
        "disguise, or that I could not give hints on. credit=Our own names its author. Several "
        "puzzles, a line each, are judged one by one. "
        "club queue remove 2 takes number 2 out."
    ),
    "club-post-now": _fixed("club post-now posts today's puzzle before its time, once."),
    "club-withdraw": _fixed(
        "club withdraw takes back a puzzle that went up before its time: because somebody posted "
        "it by hand too soon, or because the clock of the machine was wrong. Its post says so "
        "then, what members did on it is gone, and I ask first if there is any. It will not come "
        "again by itself; when the day is there, another goes up. Where several are up early, name "
        "the date: club withdraw 2026-11-30"
    ),
    "club-pause": _fixed(
        "club pause stops the daily puzzle, for a holiday say; club pause off goes on. What is "
        "open stays open until its time is over."
    ),
    "club-report": _fixed(
        "club report tells how a day went: how many started and finished, with which techniques "
        "the club wanted help and how far down the stair, and where most were stuck. It names "
        "nobody, except results that wait for your ruling. Example: club report 2026-11-24"
    ),
    "club-result": _fixed(
        "club result rules on a result: accept one that was held for being very fast, unrank one, "
        "or restore it. The member is told your reason. "
        "Example: club result Robin accept Solved it at our meeting"
    ),
}
"""Help for leaders' commands; anybody may read it."""

_MEMBER_LIST = (
    ("start", "start your clock and get the puzzle"),
    ("today", "see the puzzle again"),
    ("place r4c5 7", "write on your board; also row, rule-out, undo, paste"),
    ("board", "see your board"),
    ("hint", "a nudge from where you are"),
    ("check", "is my board right so far?"),
    ("hand-in", "give your answer"),
    ("leaderboard", "the table"),
    ("walkthrough", "how a puzzle goes"),
    ("me", "your own page"),
    ("privacy", "what is kept of you"),
)


def help_topics() -> tuple[str, ...]:
    """Return every word that `help` takes: commands, topics, techniques."""
    return (*TOPICS, *LEADER_TOPICS, *RANKS)


def _overview(reply: HelpShown) -> str:
    lines = [f"{command}: {what}" for command, what in _MEMBER_LIST]
    if reply.is_leader:
        lines.append("club: for leaders")
    return paragraphs(
        "A puzzle a day, and help from exactly where you are stuck. Type or press:",
        "\n".join(lines),
        "More on any of them: help hint. Also: help times, help seeing, and every technique by "
        "name: help naked-pair.",
    )


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
    told = TOPICS.get(topic) or LEADER_TOPICS.get(topic)
    if told is not None:
        return Message(text=told(reply), buttons=(HELP,))
    unknown = f"There is no help on {quote(topic)}, but this is what there is." if topic else ""
    return Message(text=paragraphs(unknown, _overview(reply)), buttons=(START, HINT, HAND_IN))


PHRASES: Phrases = {HelpShown: _help_shown}
