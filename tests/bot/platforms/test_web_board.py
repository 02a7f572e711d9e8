"""Taps over the web room's socket: once each, in order, to the member's own tabs and no other."""

from __future__ import annotations

from collections.abc import AsyncIterator
from dataclasses import dataclass, field

import aiohttp
import pytest

from bot.platforms.boards import Changed, LiveBoard
from bot.platforms.message import Incoming, Message
from bot.platforms.web.door import PageClubs, Place
from bot.platforms.web.front import Listening
from bot.platforms.web.guard import LINE_LIMIT
from bot.platforms.web.log import FakeRoomLog
from bot.platforms.web.pace import TAP_BURST
from bot.platforms.web.room import WebRoom
from bot.wording.web import WEB
from tests.bot.platforms.conftest import ROOM, WEB_PAGE, Client, EchoClub, HandClock


@dataclass
class FakeBoards:
    """Boards that count their member's taps, each once."""

    clock: HandClock
    heard: list[Incoming] = field(default_factory=list)
    watching: list[Changed] = field(default_factory=list)
    failing: bool = False
    blind: bool = False

    async def see(
        self, platform: str, room_id: str, user_id: str, day: str = ""
    ) -> LiveBoard | None:
        if self.blind:
            raise RuntimeError("planted")
        ids = {each.event_id for each in self.heard if each.user_id == user_id}
        return LiveBoard(at=self.clock.at, notice=user_id, undo_left=len(ids))

    async def touch(self, incoming: Incoming, day: str = "") -> tuple[Message, ...]:
        if self.failing:
            raise RuntimeError("planted")
        self.heard.append(incoming)
        for changed in self.watching:
            changed(incoming.platform, incoming.room_id, incoming.user_id)
        return (Message("said"),) if incoming.text == "speak" else ()

    def watch(self, changed: Changed) -> None:
        self.watching.append(changed)


@pytest.fixture
def boards(clock: HandClock) -> FakeBoards:
    return FakeBoards(clock)


@pytest.fixture
async def client(clock: HandClock, boards: FakeBoards) -> AsyncIterator[Client]:
    room = WebRoom(
        PageClubs({ROOM: Place("Hazel Lane")}, boards=boards),
        at=Listening("127.0.0.1", 0),
        shipped=WEB_PAGE.parent,
        log=FakeRoomLog(),
        now=clock.now,
        token=lambda: "first",
        words=WEB,
    )
    await room.start(EchoClub().answer)
    async with aiohttp.ClientSession() as session:
        client = Client(session, room)
        yield client
        await client.close()
    await room.stop()


async def test_whoever_enters_is_sent_their_own_board(client: Client) -> None:
    tab = await client.open_tab()
    frames = await tab.enter("Ada")
    (board,) = [frame["board"] for frame in frames if frame["type"] == "board"]
    assert board["notice"] == "ada"


async def test_a_tap_is_answered_with_the_board_after_it(
    client: Client, boards: FakeBoards
) -> None:
    tab = await client.open_tab()
    await tab.enter("Ada")
    await tab.socket.send_json({"type": "touch", "id": "t1", "text": "speak"})
    touched = (await tab.until("touched"))[-1]
    assert (touched["id"], touched["board"]["undo_left"]) == ("t1", 1)
    assert [each["text"] for each in touched["said"]] == ["said"]
    assert boards.heard[0].in_open is False


async def test_a_tap_sent_again_is_the_same_event(client: Client, boards: FakeBoards) -> None:
    tab = await client.open_tab()
    await tab.enter("Ada")
    for _ in range(2):
        await tab.socket.send_json({"type": "touch", "id": "t1", "text": "place r1c1 4"})
        touched = (await tab.until("touched"))[-1]
        assert touched["board"]["undo_left"] == 1
    assert len({each.event_id for each in boards.heard}) == 1


async def test_a_tap_shows_in_all_tabs_of_the_member_and_in_no_others(client: Client) -> None:
    tabs = [await client.open_tab() for _ in range(3)]
    for tab, name in zip(tabs, ("Ada", "ada", "Bo"), strict=True):
        await tab.enter(name)
    await tabs[0].socket.send_json({"type": "touch", "id": "t1", "text": "place r1c1 4"})
    await tabs[0].until("touched")
    (board,) = await tabs[1].until("board")
    assert board["board"]["undo_left"] == 1
    await tabs[2].act("a1", "board")
    assert all(frame["type"] != "board" for frame in await tabs[2].until("done"))


async def test_what_changes_elsewhere_is_shown_and_a_new_day_to_all(
    client: Client, boards: FakeBoards
) -> None:
    tabs = [await client.open_tab() for _ in range(2)]
    for tab, name in zip(tabs, ("Ada", "Bo"), strict=True):
        await tab.enter(name)
    for changed in boards.watching:
        changed("matrix", ROOM, "")
        changed("web", "elsewhere", "")
        changed("web", ROOM, "")
    for tab in tabs:
        (frame,) = await tab.until("board")
        assert frame["type"] == "board"


@pytest.mark.expects_error_log
async def test_a_board_that_cannot_be_shown_is_logged_and_the_next_tap_shows_it(
    client: Client, boards: FakeBoards, caplog: pytest.LogCaptureFixture
) -> None:
    tab = await client.open_tab()
    await tab.enter("Ada")
    boards.blind = True
    for changed in boards.watching:
        changed("web", ROOM, "ada")
    await tab.act("a1", "board")
    await tab.until("done")
    boards.blind = False
    (said,) = [each.getMessage() for each in caplog.records]
    assert said == f"a board in room {ROOM} could not be shown"
    await tab.socket.send_json({"type": "touch", "id": "t1", "text": "place r1c1 4"})
    assert (await tab.until("touched"))[-1]["board"]["undo_left"] == 1


@pytest.mark.expects_error_log
async def test_a_tap_that_fails_is_given_back_to_be_sent_again(
    client: Client, boards: FakeBoards
) -> None:
    tab = await client.open_tab()
    await tab.enter("Ada")
    boards.failing = True
    await tab.socket.send_json({"type": "touch", "id": "t1", "text": "place r1c1 4"})
    assert (await tab.until("refused"))[-1]["problem"] == "failed"
    boards.failing = False
    await tab.socket.send_json({"type": "touch", "id": "t1", "text": "place r1c1 4"})
    await tab.until("touched")


@pytest.mark.parametrize(
    ("frame", "problem"),
    [
        ({"type": "touch", "id": "t1", "text": "undo", "user": "bo"}, "malformed"),
        ({"type": "touch", "id": "t1", "text": "undo", "open": True}, "malformed"),
        ({"type": "touch", "id": "<b>", "text": "undo"}, "malformed"),
        ({"type": "touch", "id": "t1", "text": 7}, "malformed"),
        ({"type": "touch", "id": "t1", "text": "x" * LINE_LIMIT}, "too-long"),
    ],
)
async def test_a_tap_that_says_too_much_is_not_taken(
    client: Client, boards: FakeBoards, frame: dict[str, object], problem: str
) -> None:
    tab = await client.open_tab()
    await tab.enter("Ada")
    await tab.socket.send_json(frame)
    assert (await tab.until("refused"))[-1]["problem"] == problem
    assert boards.heard == []


async def test_nobody_taps_before_they_enter(client: Client, boards: FakeBoards) -> None:
    tab = await client.open_tab()
    await tab.socket.send_json({"type": "touch", "id": "t1", "text": "undo"})
    assert (await tab.until("refused"))[-1]["problem"] == "enter-first"
    assert boards.heard == []


async def test_taps_come_faster_than_lines_may_and_not_without_end(
    client: Client, boards: FakeBoards
) -> None:
    tab = await client.open_tab()
    await tab.enter("Ada")
    for number in range(TAP_BURST):
        await tab.socket.send_json({"type": "touch", "id": f"t{number}", "text": "undo"})
        await tab.until("touched")
    await tab.socket.send_json({"type": "touch", "id": "late", "text": "undo"})
    refused = (await tab.until("refused"))[-1]
    assert (refused["problem"], refused["id"]) == ("too-fast", "late")
    assert len(boards.heard) == TAP_BURST
