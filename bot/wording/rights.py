"""Words on what the bot may not do in a club's room: what waits for it, and how it is given."""

from __future__ import annotations

from bot.club.facts import Lacks
from bot.club.replies import PostRefused, PuzzleMissing, RightsMissing
from bot.platforms.message import Button, Duty, Message
from bot.wording.buttons import Phrases
from bot.wording.planning import PLAN, QUEUE
from bot.wording.prose import NAME_LIMIT, clean_text, paragraphs
from bot.wording.times import format_full_date

_WAITS = {
    Duty.BE_THERE: "I am not in the room, so nothing goes up.",
    Duty.SEE: "Without seeing the room, I can put nothing up there.",
    Duty.POST: "Puzzles and results wait.",
    Duty.SHOW_PICTURES: "Puzzles and results with a picture wait.",
    Duty.LOOK_BACK: "After a fault I cannot tell whether a post is up already.",
    Duty.OPEN_THREADS: "Walkthroughs wait.",
    Duty.WRITE_IN_THREADS: "Walkthroughs wait.",
    Duty.OFFER_CHOICES: "My posts come without numbers to press.",
    Duty.REMOVE: "Answers that somebody types in the open stay there for all to read.",
}


def tell_lacks(lacks: Lacks, *, where: str = "the club's room") -> str:
    """Say what the bot may not do, what is not done because of it, and how it gets the right;
    nothing where it lacks nothing."""
    if not lacks.rights:
        return ""
    lines = [
        f"{right[:1].upper()}{right[1:]}: {_WAITS[Duty(duty)]}" if right else _WAITS[Duty(duty)]
        for duty, right in lacks.rights
    ]
    return "\n".join([f"What I am not allowed to do in {where}:", *lines, lacks.how])


def _rights_missing(reply: RightsMissing) -> Message:
    return Message(
        text=paragraphs(
            f"{clean_text(reply.club, NAME_LIMIT)} needs a hand from somebody who leads it.",
            tell_lacks(reply.lacks),
            "Nothing is lost: what waits goes out as soon as I am allowed.",
        ),
        buttons=(Button("Settings", "club setup"),),
    )


def _puzzle_missing(reply: PuzzleMissing) -> Message:
    return Message(
        text=f"I have no puzzle for {format_full_date(reply.date)} in "
        f"{clean_text(reply.club, NAME_LIMIT)}: none in the queue or the stock fits, and I could "
        "not make one. Queue one, or ask for less in the plan; I go on trying meanwhile.",
        buttons=(QUEUE, PLAN),
    )


def _post_refused(reply: PostRefused) -> Message:
    what = "the day's puzzle" if reply.is_puzzle else "a post of mine"
    return Message(
        text=f"The room of {clean_text(reply.club, NAME_LIMIT)} refused {what}. I try again each "
        "hour. If it stays so, ask whoever runs me to look at my log: it says why.",
        buttons=(Button("Settings", "club setup"),),
    )


PHRASES: Phrases = {
    PostRefused: _post_refused,
    PuzzleMissing: _puzzle_missing,
    RightsMissing: _rights_missing,
}
