"""Links as the page asks for them, kept on paper: no store, and each good until it is torn up."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace

from bot.platforms.links import Holder, LinkProblem, LinkRefusedError

MINA = Holder("mina-1", "elsewhere", "orchard", "mina", "Mina", "2026-11-25", "Orchard Road", "")
ROAN = replace(MINA, link_id="roan-1", user_id="roan", name="Roan")
WREN = Holder("wren-1", "web", "hazel", "wren", "Wren", "", "Hazel Lane Sudoku Club", "")
"""Invited into the room."""

WRENS_COOKIE = "ninebark-room=wren-1.session-of-wren-1"


@dataclass
class PaperLinks:
    """`secrets` and `sessions` by the id of a link."""

    is_secure: bool = True
    holders: dict[str, Holder] = field(
        default_factory=lambda: {each.link_id: each for each in (MINA, ROAN, WREN)}
    )
    secrets: dict[str, str] = field(
        default_factory=lambda: {"mina-1": "mina-secret", "roan-1": "roan-secret"}
    )
    sessions: dict[str, str] = field(default_factory=lambda: {"wren-1": "session-of-wren-1"})
    asked: int = 0

    async def sign_in(self, link_id: str, secret: str, *, to_room: bool = False) -> Holder:
        self.asked += 1
        if self.secrets.get(link_id) != secret:
            raise LinkRefusedError(LinkProblem.UNKNOWN)
        if link_id in self.sessions:
            raise LinkRefusedError(LinkProblem.USED)
        self.sessions[link_id] = f"session-of-{link_id}"
        return await self.holder_of(link_id, self.sessions[link_id])

    async def holder_of(self, link_id: str, session: str, *, to_room: bool = False) -> Holder:
        self.asked += 1
        is_right = bool(session) and self.sessions.get(link_id) == session
        if not is_right or to_room != (not self.holders[link_id].day):
            raise LinkRefusedError(LinkProblem.UNKNOWN)
        return replace(self.holders[link_id], session=session)

    async def sign_out(self, holder: Holder) -> None:
        del self.sessions[holder.link_id]

    def watch(self, changed: Callable[[str, str, str], None]) -> None:
        pass
