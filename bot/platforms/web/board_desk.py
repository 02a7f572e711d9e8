"""The members' live boards on the page: who is shown which, and taps one after another.

Everything about one member's board happens in turn: a tap is carried out, then the board as it now
is goes to all tabs of that member, so none is ever shown a board that a later frame takes back. A
tab knows only its own member's board.
"""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable, Iterable
from weakref import WeakValueDictionary

from bot.platforms.boards import Boards, LiveBoard
from bot.platforms.message import Incoming, Message
from bot.platforms.web.door import Who
from bot.platforms.web.frames import BoardNow, MessageBody, Touched
from bot.platforms.web.socket import Tab

MaySee = Callable[[Tab], Awaitable[bool]]
"""Whether a tab may still be shown its board; one that may not is told why."""


class BoardDesk:
    """Shows boards to tabs. Without `boards` there are none."""

    def __init__(
        self, boards: Boards | None, tabs: Callable[[], Iterable[Tab]], may_see: MaySee
    ) -> None:
        self._boards = boards
        self._tabs = tabs
        self._may_see = may_see
        self._turns: WeakValueDictionary[Who, asyncio.Lock] = WeakValueDictionary()
        self._stale: set[Who] = set()
        self._refreshing: set[asyncio.Task[None]] = set()
        if boards is not None:
            boards.watch(self.note)

    async def show(self, tab: Tab) -> None:
        """Send a tab that has just entered its member's board."""
        if self._boards is not None:
            who = tab.who
            async with self._turn(who):
                tab.tell(BoardNow(await self._see(who)))

    async def touch(self, tab: Tab, tap_id: str, incoming: Incoming) -> None:
        """Carry out a tap, and show all tabs of the member what came of it, this one last.

        Whatever fails is raised; the tap may be sent again.
        """
        assert self._boards is not None, "there is no board to touch"
        who = tab.who
        async with self._turn(who):
            said = tuple(map(body_of, await self._boards.touch(incoming, who[-1])))
            self._stale.discard(who)
            board = await self._see(who)
            for each in self._tabs_of(who):
                if each is not tab:
                    each.tell(BoardNow(board))
            tab.tell(Touched(tap_id, said, board))

    async def stop(self) -> None:
        """Break off what is being shown."""
        for task in self._refreshing:
            task.cancel()
        await asyncio.gather(*self._refreshing, return_exceptions=True)

    def note(self, platform: str, room_id: str, user_id: str) -> None:
        """Note whose boards may have changed, or who may see them; an empty user is everybody."""
        for who in {tab.who for tab in self._tabs() if tab.visitor is not None}:
            is_meant = who[:2] == (platform, room_id) and user_id in ("", who[2])
            if is_meant and who not in self._stale:
                self._stale.add(who)
                task = asyncio.create_task(self._refresh(who), name="a board")
                self._refreshing.add(task)
                task.add_done_callback(self._refreshing.discard)

    async def _refresh(self, who: Who) -> None:
        async with self._turn(who):
            if who in self._stale:
                self._stale.discard(who)
                board = await self._see(who)
                for tab in self._tabs_of(who):
                    if await self._may_see(tab):
                        tab.tell(BoardNow(board))

    async def _see(self, who: Who) -> LiveBoard | None:
        assert self._boards is not None, "there is no board to see"
        return await self._boards.see(*who)

    def _turn(self, who: Who) -> asyncio.Lock:
        return self._turns.setdefault(who, asyncio.Lock())

    def _tabs_of(self, who: Who) -> list[Tab]:
        return [tab for tab in self._tabs() if tab.visitor is not None and tab.who == who]


def body_of(message: Message) -> MessageBody:
    """Return what is said beside a board, as it goes over the wire: without a picture."""
    return MessageBody(
        message.text, message.code, None, message.buttons, message.form, message.menus
    )
