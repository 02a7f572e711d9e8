"""Names that nobody else may bear: the bot's own, and what people of an office are called."""

from __future__ import annotations

from bot.platforms.web.names import NameWords
from bot.wording.prose import FORMER, SOMEONE

BOT = "Ninebark"

OFFICES = (
    "leader", "leaders", "club", "host", "admin", "moderator", "bot", "system", "member",
    "everyone", "here", "you", "nobody", "somebody",
)  # fmt: skip

FILLERS = ("the", "a", "an", "real", "official", "former", "our")

NAMES = NameWords(BOT, (FORMER, SOMEONE), frozenset(OFFICES), frozenset(FILLERS))
