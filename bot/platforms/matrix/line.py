"""What speaks to the homeserver while the room is signed in, as one value: complete at once."""

from __future__ import annotations

from dataclasses import dataclass

from bot.platforms.matrix.caring import Caring
from bot.platforms.matrix.direct import DirectRooms
from bot.platforms.matrix.journal import Journal
from bot.platforms.matrix.outbox import Outbox
from bot.platforms.matrix.server import Server


@dataclass(frozen=True, slots=True)
class Line:
    """The homeserver, what is remembered of it, what goes out, the private rooms, and what
    encryption wants done besides."""

    server: Server
    journal: Journal
    outbox: Outbox
    direct: DirectRooms
    caring: Caring
