"""Many members of a Matrix club who start before they have come into their private rooms."""

from __future__ import annotations

import asyncio
from datetime import UTC, datetime, timedelta
from types import SimpleNamespace
from typing import Any, cast

from bot.platforms.matrix.journal import DirectRoom, InboxEvent
from bot.platforms.matrix.layout import Piece
from bot.platforms.matrix.line import Line
from bot.platforms.matrix.pointing import STANDS_FOR, Pointing
from bot.wording.matrix import MATRIX

NOON = datetime(2026, 11, 23, 12, tzinfo=UTC)
CLUB = "!club:example.org"


class PaperRoom:
    """What an outbox, a journal and the places tell of a club whose members are all outside."""

    def __init__(self) -> None:
        self.now = NOON
        self.lines: dict[str, dict[str, Any]] = {}
        line = SimpleNamespace(
            journal=self, outbox=self, server=SimpleNamespace(places=self, user_id="@bot:x")
        )
        self.pointing = Pointing(cast(Line, line), MATRIX, lambda: self.now)

    async def load_direct(self, room_id: str, user_id: str) -> DirectRoom:
        return DirectRoom(room_id, user_id, f"!with-{user_id}")

    def has_member(self, room_id: str, user_id: str) -> bool:
        return False

    async def find(self, room_id: str, key: str) -> str | None:
        return f"${key}" if key in self.lines else None

    async def deliver(self, room_id: str, key: str, target: str, pieces: tuple[Piece, ...]) -> str:
        await asyncio.sleep(0)
        (piece,) = pieces
        self.lines[key] = piece.content
        return f"${key}"

    async def starts(self, *members: int) -> None:
        await asyncio.gather(
            *(
                self.pointing.point(
                    cast(InboxEvent, SimpleNamespace(event_id=f"$e{each}", sender=f"@m{each}:x")),
                    CLUB,
                )
                for each in members
            )
        )

    def new_lines(self) -> list[dict[str, Any]]:
        return [each for each in self.lines.values() if "m.relates_to" not in each]


async def test_many_who_start_together_get_one_line_that_changes() -> None:
    room = PaperRoom()
    await room.starts(*range(14))
    assert len(room.new_lines()) == 1
    assert len(room.lines) == 2, "those who came while the first was sent share one change"
    first, last = room.lines.values()
    assert last["m.new_content"]["body"] == MATRIX.invited_many.format(14)
    called = [*first["m.mentions"]["user_ids"], *last["m.mentions"]["user_ids"]]
    assert sorted(called) == sorted(f"@m{each}:x" for each in range(14)), "each is called once"
    # Who asks again was told; who comes much later gets a line that can be seen.
    await room.starts(3)
    assert len(room.lines) == 2
    room.now += STANDS_FOR + timedelta(minutes=1)
    await room.starts(3)
    assert [each["m.mentions"]["user_ids"] for each in room.new_lines()][1:] == [["@m3:x"]]
