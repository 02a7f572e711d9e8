"""Words for links that open a member's board, or the club's room, on another screen."""

from __future__ import annotations

from datetime import date, timedelta

from bot.club.links import (
    BoardLinkGiven,
    InvitationEnded,
    InvitationGiven,
    InvitationRefused,
    NameProblem,
    NoBoardLink,
    NoInvitation,
)
from bot.platforms.message import Button, Message
from bot.wording.buttons import Phrases, of_day
from bot.wording.explaining import Commands, CommandWords
from bot.wording.prose import clean_name, sentences
from bot.wording.times import format_moment

_AFTERWARDS = timedelta(days=1)
"""How long after the day has closed its links are good: `bot.storage.links` keeps to it."""

OPEN_LABEL = "Open my board"
INVITE_LABEL = "The link"


def open_board_button(on_date: date) -> Button:
    """The button that asks for a link to one's own board of a day."""
    return of_day(Button(OPEN_LABEL, "link"), on_date)


def _given(reply: BoardLinkGiven) -> Message:
    until = format_moment(reply.closes_at + _AFTERWARDS, reply.zone)
    return Message(
        sentences(
            "This opens your board of this puzzle in a browser, to tap on, and nothing else.",
            "It is yours alone, and works once: keep it to yourself, and open it on the device "
            "that you want to play on.",
            f"It is good until {until}, or until you ask for another.",
        )
    )


def _nowhere(reply: NoBoardLink) -> Message:
    if reply.is_here:
        return Message("Your board is right here on this page.")
    return Message(
        "Boards cannot be opened in a browser from here: whoever runs this Ninebark has not given "
        "it an address of its own. Your board is here all the same. Example: board"
    )


def _invited(reply: InvitationGiven) -> Message:
    who = clean_name(reply.member)
    return Message(
        sentences(
            f"This link brings {who} into the room, on any device, as {who}.",
            "It is shown to you this once: copy it, have it scanned, or print the sheet, and give "
            f"it to nobody else. Inviting {who} again gives a new one and ends this one; so does "
            f"taking it back. Example: club uninvite {who}",
        )
    )


def _uninvited(reply: InvitationEnded) -> Message:
    who = clean_name(reply.member)
    if not reply.was_there:
        return Message(f"There is no link for {who}. Example: club invite {who}")
    return Message(
        f"The link for {who} opens nothing any more, and whoever came in by it is out. What {who} "
        f"has solved stays. To let them in again: club invite {who}"
    )


_NAME_PROBLEMS = {
    NameProblem.UNREADABLE: "A name needs a letter or a digit.",
    NameProblem.RESERVED: (
        "That name is the club's own, or could be taken for it. Invite them by a name of theirs."
    ),
    NameProblem.TAKEN: (
        "That name looks like somebody else's in the club, and people would take one for the "
        "other. If it is the same person, write it just as it was before; if not, add something "
        "that is theirs alone."
    ),
    NameProblem.MIXED: (
        "That name mixes letters of two alphabets in one word. Write it in one of them."
    ),
}


def name_problem(problem: NameProblem) -> str:
    """Say why nobody is invited under a name."""
    return _NAME_PROBLEMS[problem]


def _not_invited(reply: InvitationRefused) -> Message:
    return Message(f"{name_problem(reply.problem)} Example: club invite Wren B")


def _no_invitation(reply: NoInvitation) -> Message:
    return Message(
        "Nobody needs a link from me to come in here. Links are for a page of the club's own, "
        "where whoever runs this Ninebark has given it an address."
    )


def invitation_lines(name: str) -> tuple[str, ...]:
    """Say on the sheet whom it is for, and how to come in."""
    return (
        f"For {clean_name(name)}",
        "Scan this to come in, or type the address below.",
        "It signs you in: keep it to yourself.",
    )


PHRASES: Phrases = {
    BoardLinkGiven: _given,
    InvitationEnded: _uninvited,
    InvitationGiven: _invited,
    InvitationRefused: _not_invited,
    NoBoardLink: _nowhere,
    NoInvitation: _no_invitation,
}

COMMANDS: Commands = {
    "link": CommandWords(
        purpose="Open your board in a browser.",
        example="link",
        help=(
            "link gives you a link that opens your board of the open puzzle in a browser, to tap "
            "on instead of typing: it is the same board, with the same clock. It is for you alone "
            "and works once; ask again for another device. This works where whoever runs "
            "Ninebark has given it an address of its own."
        ),
        overview=("link", "open your board in a browser"),
    ),
    "club invite": CommandWords(
        purpose="Give somebody a link into the room.",
        example="club invite Wren",
        help=(
            "club invite Wren gives you a link, a code to scan and a sheet to print, by which "
            "Wren comes into the room on any device, without an account. Asked again, there is a "
            "new one, and the old one ends. This is for a club on a page of its own, where "
            "whoever runs Ninebark has given it an address."
        ),
        overview=("club invite Wren", "give somebody a link into the room"),
        options={"member": "Whom, by the name that the club will know them by"},
    ),
    "club uninvite": CommandWords(
        purpose="Take back somebody's link into the room.",
        example="club uninvite Wren",
        help=(
            "club uninvite Wren ends the link that Wren came in by, on every device, at once. What "
            "Wren has solved stays."
        ),
        overview=("club uninvite Wren", "take that link back"),
        options={"member": "Whose, by the name that the club knows them by"},
    ),
}
