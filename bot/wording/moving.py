"""Words on a club's move to another room: to its leader, to the room it leaves and the new one."""

from __future__ import annotations

from bot.club.replies import ClubArrived, ClubLeft, ClubMoved, MoveRefused
from bot.platforms.message import Button, Message
from bot.wording.buttons import HELP, Phrases
from bot.wording.explaining import Commands, CommandWords
from bot.wording.planning import next_post
from bot.wording.prose import NAME_LIMIT, clean_text, paragraphs, sentences
from bot.wording.rights import tell_lacks

_TITLE_LIMIT = 100


def _title(text: str) -> str:
    return clean_text(text, _TITLE_LIMIT)


def _club_moved(reply: ClubMoved) -> Message:
    club = clean_text(reply.club, NAME_LIMIT)
    today = "Today's puzzle goes up there as well, and its clocks keep running."
    return Message(
        text=paragraphs(
            f"Done. {club} now meets in {_title(reply.title)}, with its table, its times, its "
            "queue and its stock.",
            today if reply.is_open else "",
            next_post(reply.next_at, reply.zone),
        ),
        buttons=(Button("Settings", "club setup"),),
    )


def _move_refused(reply: MoveRefused) -> Message:
    title, named = _title(reply.title), _title(reply.named)
    said = {
        "unnamed": f"Where should the club move to? {reply.how}",
        "unknown": f"I can't find “{named}” here, or one of us can't see it. {reply.how}",
        "here": f"The club already meets in {title}.",
        "not-led": f"You don't lead in {title}, so I can't bring the club there. Ask whoever does "
        "to give you that right, and try again.",
        "taken": f"A club already meets in {title}, and a room holds only one. {reply.how}",
    }
    if reply.why != "lacks":
        return Message(text=said[reply.why])
    return Message(
        text=paragraphs(
            f"I can't move the club to {title} yet.",
            tell_lacks(reply.lacks, where=title),
            "Then give the command again.",
        )
    )


def _club_left(reply: ClubLeft) -> Message:
    return Message(
        text=f"{clean_text(reply.club, NAME_LIMIT)} has moved to {_title(reply.title)}. Its "
        "puzzles, times and results went along, and so did every board."
    )


def _club_arrived(reply: ClubArrived) -> Message:
    club = clean_text(reply.club, NAME_LIMIT)
    today = "Today's puzzle is here, too: whoever has started it goes on where they were."
    return Message(
        text=paragraphs(
            f"{club} meets here from now on. Its puzzles, times and results have come along.",
            sentences(today if reply.is_open else "", next_post(reply.next_at, reply.zone)),
        ),
        buttons=(HELP,),
    )


PHRASES: Phrases = {
    ClubArrived: _club_arrived,
    ClubLeft: _club_left,
    ClubMoved: _club_moved,
    MoveRefused: _move_refused,
}

COMMANDS: Commands = {
    "club move": CommandWords(
        purpose="Move the club to another room, with all that it has.",
        example="club move #puzzle-corner",
        help=(
            "club move takes the club to another room where you lead: results, times, boards, "
            "queue, stock and settings go along, and today's puzzle goes up there, its clocks "
            "running on. Both rooms are told. It also helps when the club's room was deleted: "
            "give the command in another room of the same place. Example: club move #puzzle-corner"
        ),
        options={"to": "The room to move to"},
    )
}
