"""What is said about the web room to its host, and the names that nobody in it may bear: the bot's
own, and what people of an office are called.
"""

from __future__ import annotations

from bot.platforms.web.names import NameWords
from bot.platforms.web.words import GateWords, GuideWords, WebWords
from bot.wording.prose import FORMER, SOMEONE

TITLE = "the web room"
LEADERS = 'nobody yet: add leaders = ["Rowan"]'

BOT = "Ninebark"

OFFICES = (
    "leader", "leaders", "club", "host", "admin", "moderator", "bot", "system", "member",
    "everyone", "here", "you", "nobody", "somebody",
)  # fmt: skip

FILLERS = ("the", "a", "an", "real", "official", "former", "our")

NAMES = NameWords(BOT, (FORMER, SOMEONE), frozenset(OFFICES), frozenset(FILLERS))

WEB = WebWords(
    names=NAMES,
    gate=GateWords(
        elsewhere="The club does not meet at this address. Open the one that you were given, or "
        "that Ninebark printed when it started.\n",
        openly="This page is only shown by https. Open its address with https:// in front.\n",
        foreign="Another site cannot speak here for you. Open Ninebark's own page.\n",
        busy="Many people are coming in at once. This page tries again by itself in a few "
        "seconds.\n",
        too_long="That is more than this page takes. Nothing was changed.\n",
        too_slow="That took too long to arrive. Nothing was changed; try again.\n",
        failed="Something failed here. Try again in a moment.\n",
    ),
    full="Too many tabs are open just now. Close one and try again.\n",
    rooms_stay="On this page each room belongs to one club, and only whoever runs me can change "
    "that.",
    guides=GuideWords(back="Back to the room", shelf="Guides"),
)


def address_taken(host: str, port: int) -> str:
    """Say that the page's port cannot be opened, and how to name another."""
    return (
        f"Port {port} on {host} cannot be opened; another program may be using it. Name another. "
        "Example: ninebark try --port 8400"
    )


def page_ready(title: str, address: str) -> str:
    """Say where the page is, and how to end it."""
    return f"{title} meets at {address}  (Ctrl-C ends it)"
