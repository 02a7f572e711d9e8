"""Words for a walkthrough: a closed day's in its thread, and one that somebody asked for.

It tells everything, so it comes when the day has closed or to a member who has solved it.
"""

from __future__ import annotations

from bot.club.replies import WalkthroughLater, WalkthroughPosted, WalkthroughShown
from bot.platforms.message import Button, Message
from bot.wording.buttons import BOARD, HINT, Phrases, table_of_week
from bot.wording.explaining import Commands, CommandWords
from bot.wording.prose import capitalise, count_of, sentences
from bot.wording.spoken import draw_givens
from bot.wording.story import tell_story
from bot.wording.techniques import technique_name
from bot.wording.times import format_date, format_full_date, format_moment
from bot.wording.worded import More, Worded


def walkthrough_title(reply: WalkthroughPosted) -> str:
    """Name the thread that holds a closed day's walkthrough."""
    return f"How to solve the puzzle for {format_full_date(reply.date)}"


def _walkthrough(reply: WalkthroughShown | WalkthroughPosted) -> Message:
    """Open a walkthrough; its steps follow as messages of their own."""
    shown = reply if isinstance(reply, WalkthroughShown) else None
    return Message(
        text=sentences(
            f"How to solve the puzzle for {format_full_date(reply.date)}, level {reply.level}, "
            f"in {count_of(len(reply.steps), 'step')}.",
            _tell_theme(shown) if shown and shown.theme else "",
            "It is yet to go up, so only you see this." if shown and shown.is_coming else "",
        ),
        code=draw_givens(reply.givens),
    )


def _tell_theme(reply: WalkthroughShown) -> str:
    name = technique_name(reply.theme)
    if any(step.technique == reply.theme for step in reply.steps):
        return f"It goes by {name} wherever that leads on."
    return f"{capitalise(name)} leads nowhere in this puzzle, so this is the usual way."


def walkthrough_parts(reply: WalkthroughPosted | WalkthroughShown) -> tuple[Worded, ...]:
    """Word the chapters of a walkthrough, each with its picture, and its end."""
    return (
        *(
            Worded(Message(chapter.text), chapter.picture, "step")
            for chapter in tell_story(reply.givens, reply.steps, reply.positions)
        ),
        Worded(_ending(reply)),
    )


def _ending(reply: WalkthroughPosted | WalkthroughShown) -> Message:
    """Close a walkthrough, also where the ladder was stuck before the end."""
    return Message(
        text="I left out the steps that the solution does not need."
        if reply.is_solved
        else "From here on I know no technique that helps, so this is where I stop.",
        buttons=_after(reply),
    )


def _after(reply: WalkthroughPosted | WalkthroughShown) -> tuple[Button, ...]:
    """Return what may be pressed below the end: in a thread nothing."""
    if isinstance(reply, WalkthroughPosted):
        return ()
    if reply.is_coming:
        return (Button("Where it turns", f"club turning {reply.date.isoformat()}"),)
    return (table_of_week(reply.date),)


def _walkthrough_later(reply: WalkthroughLater) -> Message:
    return Message(
        text=(
            f"The puzzle for {format_date(reply.date)} is still open, so its walkthrough waits. "
            "It comes when you have solved it, or when the day closes: "
            f"{format_moment(reply.closes_at, reply.zone)}."
        ),
        buttons=(HINT, BOARD),
    )


PHRASES: Phrases = {
    WalkthroughLater: _walkthrough_later,
    WalkthroughPosted: _walkthrough,
    WalkthroughShown: _walkthrough,
}
MORE: More = {WalkthroughShown: walkthrough_parts}

COMMANDS: Commands = {
    "walkthrough": CommandWords(
        purpose="Show how a closed puzzle is solved, step by step.",
        example="walkthrough 2026-11-24",
        help=(
            "walkthrough explains a closed puzzle, or one that you have solved, step by step: "
            "walkthrough, or walkthrough 2026-11-24. Leaders can also see how a coming day's "
            "puzzle is solved; nobody else sees it. walkthrough theme=naked-triple goes by that "
            "technique wherever it leads on."
        ),
        overview=("walkthrough", "how a puzzle is solved"),
    ),
}
