"""A homeserver that refuses one thing is not asked for all the others meanwhile, and what was begun
first is done first."""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable
from pathlib import Path

from bot.platforms.matrix.errors import LimitedError
from bot.platforms.matrix.patience import LONGEST_REST, Patience, Urgency
from bot.storage import open_store
from bot.storage.matrix import SqliteMatrixJournal
from tests.doubles.matrix.faulty_line import LIMITED, times
from tests.matrix.setting import Setting
from tests.patience import PATIENCE

SHORT, LONG = 4.5, 300.0


class Server:
    """Counts what is asked of it, and refuses what it is told to; time passes as a test likes."""

    def __init__(self) -> None:
        self.asked: list[str] = []
        self.refusals: list[float] = []
        self.rests: list[float] = []
        self.passes = asyncio.Event()
        self.is_waited_for = asyncio.Event()

    async def wait(self, seconds: float) -> None:
        self.rests.append(seconds)
        self.is_waited_for.set()
        await self.passes.wait()

    def asking(self, what: str) -> Callable[[], Awaitable[str]]:
        async def ask() -> str:
            self.asked.append(what)
            if self.refusals:
                raise LimitedError(self.refusals.pop(0))
            return what

        return ask


async def test_what_comes_later_waits_behind_what_is_put_off(tmp_path: Path) -> None:
    server = Server()
    server.refusals = [SHORT, SHORT]
    async with open_store(tmp_path / "club.db") as store:
        patience = Patience(SqliteMatrixJournal(store.database), server.wait)
        names = ("invitation", "answer", "new room")
        first = asyncio.create_task(patience.within_limits(server.asking(names[0])))
        await asyncio.wait_for(server.is_waited_for.wait(), PATIENCE)
        later = [
            asyncio.create_task(patience.within_limits(server.asking(name))) for name in names[1:]
        ]
        server.passes.set()
        done = await asyncio.wait_for(asyncio.gather(first, *later), PATIENCE)
    assert done == list(names)
    assert server.asked == ["invitation"] * 3 + ["answer", "new room"]
    assert server.rests == [SHORT, SHORT]


async def test_what_must_go_goes_before_what_waited_and_new_rooms_come_last(tmp_path: Path) -> None:
    server = Server()
    server.refusals = [SHORT]
    urgencies = {"new room": Urgency.NEW_ROOM, "answer": Urgency.USUAL, "removal": Urgency.REMOVAL}
    async with open_store(tmp_path / "club.db") as store:
        patience = Patience(SqliteMatrixJournal(store.database), server.wait)
        first = asyncio.create_task(patience.within_limits(server.asking("invitation")))
        await asyncio.wait_for(server.is_waited_for.wait(), PATIENCE)
        later = [
            asyncio.create_task(patience.within_limits(server.asking(name), urgency=urgency))
            for name, urgency in urgencies.items()
        ]
        gone = asyncio.create_task(patience.within_limits(server.asking("given up")))
        asyncio.get_running_loop().call_soon(gone.cancel)
        server.passes.set()
        await asyncio.wait_for(asyncio.gather(first, *later), PATIENCE)
    assert server.asked == ["invitation", "invitation", "removal", "answer", "new room"]
    assert gone.cancelled()


async def test_a_limit_of_one_kind_holds_up_nothing_else(tmp_path: Path) -> None:
    server = Server()
    server.refusals = [LONG]
    async with open_store(tmp_path / "club.db") as store:
        patience = Patience(SqliteMatrixJournal(store.database), server.wait)
        room = asyncio.create_task(patience.within_limits(server.asking("new room")))
        await asyncio.wait_for(server.is_waited_for.wait(), PATIENCE)
        answer = patience.within_limits(server.asking("answer"))
        assert await asyncio.wait_for(answer, PATIENCE) == "answer"
        assert not room.done()
        server.passes.set()
        await asyncio.wait_for(room, PATIENCE)
    assert server.rests == [LONGEST_REST]


async def test_a_spoiler_goes_out_of_the_room_though_the_server_wants_it_later(
    setting: Setting,
) -> None:
    await setting.prepare()
    room = await setting.start()
    await setting.meet()
    said = await setting.ada.say(setting.room_id, "the whole solution")
    await setting.ada.until(lambda: any("whole solution" in act.text for act in setting.heard))
    setting.line.fault = times(2, LIMITED, path="/redact/")
    assert await asyncio.wait_for(room.remove(setting.room_id, said), PATIENCE)

    def is_gone() -> bool:
        events = setting.ada.events[setting.room_id]
        return any(each["event_id"] == said and each.get("redacted") for each in events)

    await setting.ada.until(is_gone)
