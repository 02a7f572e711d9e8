"""The members' live boards on the page: who is shown which, and taps one after another.

Everything about one member's board happens in turn: a tap is carried out, then the board as it now
is goes to all tabs of that member, so none is ever shown a board that a later frame takes back. A
tab knows only its own member's board.
"""

from __future__ import annotations

import asyncio
import logging
from collections import defaultdict
from collections.abc import Awaitable, Callable
from weakref import WeakValueDictionary

from bot.platforms.boards import Boards, LiveBoard
from bot.platforms.message import Incoming, Message
from bot.platforms.web.door import Who
from bot.platforms.web.frames import BoardNow, MessageBody, Touched
from bot.platforms.web.socket import Tab

_LOG = logging.getLogger(__name__)

Whose = tuple[str, str, str]
"""A platform, a room and a user."""

MaySee = Callable[[Tab], Awaitable[bool]]
"""Whether a tab may still be shown its board; one that may not is told why."""


class BoardDesk:
    """Shows boards to tabs. Without `boards` there are none. `body_of` returns what is said beside
    one as it goes over the wire."""

    def __init__(
        self,
        boards: Boards | None,
        may_see: MaySee,
        body_of: Callable[[Message], Awaitable[MessageBody]],
    ) -> None:
        self._boards = boards
        self._may_see = may_see
        self._body_of = body_of
        # By member, so that a tap looks at that member's tabs and not at everybody's.
        self._tabs: defaultdict[Whose, set[Tab]] = defaultdict(set)
        self._turns: WeakValueDictionary[Who, asyncio.Lock] = WeakValueDictionary()
        self._stale: set[Who] = set()
        self._refreshing: set[asyncio.Task[None]] = set()
        if boards is not None:
            boards.watch(self.note)

    async def show(self, tab: Tab) -> None:
        """Send a tab that has just entered its member's board."""
        if self._boards is not None:
            who = tab.who
            self._tabs[who[:3]].add(tab)
            async with self._turn(who):
                tab.tell(BoardNow(await self._see(who)))

    def leave(self, tab: Tab) -> None:
        """Show a tab nothing more."""
        for whose in [whose for whose, tabs in self._tabs.items() if tab in tabs]:
            self._tabs[whose].discard(tab)
            if not self._tabs[whose]:
                del self._tabs[whose]

    async def touch(self, tab: Tab, tap_id: str, incoming: Incoming) -> None:
        """Carry out a tap, and show all tabs of the member what came of it, this one last.

        Whatever fails is raised; the tap may be sent again.
        """
        assert self._boards is not None, "there is no board to touch"
        who = tab.who
        async with self._turn(who):
            answers = await self._boards.touch(incoming, who[-1])
            said = tuple([await self._body_of(each) for each in answers])
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
        room = (platform, room_id)
        meant = [(*room, user_id)] if user_id else [each for each in self._tabs if each[:2] == room]
        for who in {tab.who for whose in meant for tab in self._entered(whose)} - self._stale:
            self._stale.add(who)
            task = asyncio.create_task(self._refresh(who), name="a board")
            self._refreshing.add(task)
            task.add_done_callback(self._refreshing.discard)

    async def _refresh(self, who: Who) -> None:
        try:
            async with self._turn(who):
                if who in self._stale:
                    self._stale.discard(who)
                    board = await self._see(who)
                    for tab in self._tabs_of(who):
                        if await self._may_see(tab):
                            tab.tell(BoardNow(board))
        except Exception:
            # Nobody waits for it; the tab is shown its board with its next tap, or when it is back.
            _LOG.exception("a board in room %s could not be shown", who[1])

    async def _see(self, who: Who) -> LiveBoard | None:
        assert self._boards is not None, "there is no board to see"
        return await self._boards.see(*who)

    def _turn(self, who: Who) -> asyncio.Lock:
        return self._turns.setdefault(who, asyncio.Lock())

    def _tabs_of(self, who: Who) -> list[Tab]:
        return [tab for tab in self._entered(who[:3]) if tab.who == who]

    def _entered(self, whose: Whose) -> list[Tab]:
        return [tab for tab in self._tabs.get(whose, ()) if tab.visitor is not None]
