"""The web room's socket: who is let in, limits, bad input, resuming, restarting, stopping."""

from __future__ import annotations

import asyncio
from typing import Any

import aiohttp
import pytest

from bot.platforms.message import Incoming, Message
from bot.platforms.web import socket as web_socket
from bot.platforms.web import timeline as web_timeline
from bot.platforms.web.guard import FRAME_LIMIT, LINE_LIMIT
from bot.platforms.web.log import FakeRoomLog
from bot.platforms.web.pace import BURST, MemberPaces
from bot.platforms.web.room import WebRoom
from tests.bot.platforms.conftest import ROOM, Client, EchoClub, HandClock, Tab, make_room
from tests.patience import PATIENCE


def texts_of(frames: list[dict[str, Any]]) -> list[str]:
    return [f["body"]["messages"][0]["text"] for f in frames if f["type"] == "entry"]


@pytest.mark.parametrize("origin", ["http://club.example", "null", "https://127.0.0.1"])
async def test_a_socket_from_another_site_is_refused(client: Client, origin: str) -> None:
    with pytest.raises(aiohttp.WSServerHandshakeError) as refused:
        await client.open_tab(origin=origin)
    assert refused.value.status == 403


async def test_a_socket_without_an_origin_is_refused(client: Client) -> None:
    with pytest.raises(aiohttp.WSServerHandshakeError) as refused:
        await client.session.ws_connect(f"{client.room.url}socket")
    assert refused.value.status == 403


async def test_a_socket_under_another_host_is_refused(client: Client) -> None:
    with pytest.raises(aiohttp.WSServerHandshakeError) as refused:
        await client.open_tab(headers={"Host": "club.example"})
    assert refused.value.status == 421


@pytest.mark.parametrize(
    ("name", "leads"), [("Odile Fenn", True), (" odile  FENN ", True), ("Ada", False)]
)
async def test_leaders_are_known_by_their_configured_names(
    client: Client, club: EchoClub, name: str, leads: bool
) -> None:
    tab = await client.open_tab()
    entered, *_ = await tab.enter(name)
    assert entered["leads"] is leads
    await tab.act("a1", "club setup")
    await tab.until("done")
    assert club.heard[0].leads is leads


@pytest.mark.parametrize("name", ["", "   ", "\u202e\u200b", "!?"])
async def test_an_unreadable_name_is_not_let_in(client: Client, name: str) -> None:
    tab = await client.open_tab()
    await tab.socket.send_json({"type": "enter", "room": ROOM, "name": name})
    assert await tab.socket.receive_json() == {
        "type": "refused",
        "problem": "name",
        "id": "",
        "limit": 0,
    }
    await tab.enter("Ada")


async def test_an_unknown_room_is_refused(client: Client) -> None:
    tab = await client.open_tab()
    await tab.socket.send_json({"type": "enter", "room": "nowhere", "name": "Ada"})
    assert (await tab.socket.receive_json())["problem"] == "room"


async def test_an_act_before_entering_is_refused(client: Client, club: EchoClub) -> None:
    tab = await client.open_tab()
    await tab.act("a1", "hint")
    assert (await tab.socket.receive_json())["problem"] == "enter-first"
    assert club.heard == []


@pytest.mark.parametrize(
    "frame",
    [
        "", "{", "[]", "null", "7", '{"type":"shout"}', '{"type":"act"}',
        '{"type":"act","id":5,"text":"hint"}', '{"type":"act","id":"a:b","text":"hint"}',
        '{"type":"act","id":"' + "x" * 65 + '","text":"hint"}',
        '{"type":"act","id":"a","text":"hint","fields":{"grid":5}}',
        '{"type":"act","id":"a","text":"\\ud800"}', "[" * 9000,
        '{"type":"enter","room":"hazel","name":"Bo"}',
    ],
)  # fmt: skip
async def test_a_malformed_frame_is_answered_and_the_socket_lives_on(
    tab: Tab, club: EchoClub, frame: str
) -> None:
    await tab.socket.send_str(frame)
    assert (await tab.socket.receive_json())["problem"] == "malformed"
    await tab.act("a1", "hint")
    assert (await tab.until("done"))[-1]["id"] == "a1"
    assert [act.text for act in club.heard] == ["hint"]


async def test_bytes_that_are_no_text_are_answered_too(tab: Tab) -> None:
    await tab.socket.send_bytes(b"\xff\xfe\x00")
    assert (await tab.socket.receive_json())["problem"] == "malformed"


async def test_an_over_long_line_is_answered_and_the_socket_lives_on(
    tab: Tab, club: EchoClub
) -> None:
    await tab.act("long", "ä" * (LINE_LIMIT // 2 + 1))
    refused = await tab.socket.receive_json()
    assert refused == {"type": "refused", "problem": "too-long", "id": "long", "limit": LINE_LIMIT}
    await tab.act("a1", "hint")
    await tab.until("done")
    assert [act.text for act in club.heard] == ["hint"]


async def test_a_frame_beyond_all_measure_closes_that_tab_only(client: Client, tab: Tab) -> None:
    other = await client.open_tab()
    await other.enter("Bo")
    await tab.socket.send_str("x" * (FRAME_LIMIT + 1))
    closed = await tab.socket.receive()
    assert closed.type in (aiohttp.WSMsgType.CLOSE, aiohttp.WSMsgType.CLOSED)
    await other.act("a1", "hint")
    await other.until("done")


async def test_too_many_acts_at_once_are_refused_by_id_and_later_ones_taken(
    tab: Tab, clock: HandClock, club: EchoClub
) -> None:
    for number in range(BURST + 3):
        await tab.act(f"a{number}", "hint")
    refused: list[tuple[str, str]] = []
    done = 0
    while len(refused) + done < BURST + 3:
        frame = await tab.socket.receive_json()
        done += frame["type"] == "done"
        if frame["type"] == "refused":
            refused.append((frame["problem"], frame["id"]))
    assert refused == [("too-fast", f"a{number}") for number in range(BURST, BURST + 3)]
    assert len(club.heard) == BURST
    clock.wind(1)
    await tab.act("later", "hint")
    assert (await tab.until("done"))[-1]["id"] == "later"


async def test_more_tabs_make_nobody_faster_and_slow_nobody_else(
    client: Client, tab: Tab, club: EchoClub
) -> None:
    second, other = await client.open_tab(), await client.open_tab()
    await second.enter("ADA")
    await other.enter("Bo")
    for number in range(BURST):
        await tab.act(f"a{number}", "hint")
        await tab.until("done")
    await second.act("b1", "hint")
    assert (await second.until("refused"))[-1]["problem"] == "too-fast"
    await other.act("c1", "hint")
    await other.until("done")
    assert len(club.heard) == BURST + 1


async def test_the_stamp_of_an_act_is_when_the_room_read_it(
    tab: Tab, clock: HandClock, club: EchoClub
) -> None:
    clock.wind(90)
    await tab.act("a1", "start")
    await tab.until("done")
    assert club.heard[0].acted_at == club.heard[0].received_at == clock.at


async def test_an_event_id_tells_room_member_and_line_apart_and_names_nobody(
    client: Client, club: EchoClub
) -> None:
    tab = await client.open_tab()
    await tab.enter("Ada: Byrne")
    await tab.act("a1", "hint")
    await tab.until("done")
    other = await client.open_tab()
    await other.enter("Ben")
    await other.act("a1", "hint")
    await other.until("done")
    first, second = (heard.event_id for heard in club.heard)
    assert first != second
    for event_id, name in ((first, "ada"), (second, "ben")):
        assert event_id.startswith("web:hazel:")
        assert event_id.endswith(":a1")
        assert name not in event_id


async def test_all_tabs_of_a_member_get_the_private_answer_and_no_one_elses(
    client: Client, tab: Tab
) -> None:
    same, other = await client.open_tab(), await client.open_tab()
    await same.enter("ADA")
    await other.enter("Bo")
    await tab.act("a1", "hint")
    await tab.until("done")
    assert texts_of([await same.socket.receive_json(), await same.socket.receive_json()]) == [
        "hint",
        "heard: hint",
    ]
    await other.act("b1", "board")
    assert texts_of(await other.until("done")) == ["board", "heard: board"]


def entries_of(frames: list[dict[str, Any]]) -> list[tuple[str, int, str]]:
    shown = [f for f in frames if f["type"] == "entry"]
    return [(f["kind"], f["id"], f["body"]["messages"][0]["text"]) for f in shown]


async def test_a_press_in_ones_own_answer_changes_it_and_in_anything_else_is_a_line_of_its_own(
    client: Client, room: WebRoom, tab: Tab
) -> None:
    await room.post(ROOM, Message("for all"), key="day")
    await tab.act("a1", "hint")
    *_, (_, asked, _), (_, answered, _) = entries_of(await tab.until("done"))
    await tab.act("a2", "hint what", under=answered)
    assert entries_of(await tab.until("done")) == [("answer", answered, "heard: hint what")]

    other = await client.open_tab()
    await other.enter("Bo")
    for number, under in enumerate((answered, asked, 1, 2**53, 0)):
        await other.act(f"b{number}", "climb", under=under)
        kinds = [(kind, text) for kind, _, text in entries_of(await other.until("done"))]
        assert kinds == [("asked", "climb"), ("answer", "heard: climb")]
    await other.act("b9", "climb", under=-1)
    assert (await other.until("refused"))[-1]["problem"] == "malformed"
    await tab.act("a3", "hint which", under=answered)
    assert entries_of(await tab.until("done")) == [("answer", answered, "heard: hint which")]
    again = await client.open_tab()
    shown = entries_of(await again.enter("Ada"))
    assert [text for _, _, text in shown] == ["for all", "hint", "heard: hint which"]


async def test_a_tab_that_comes_back_is_sent_only_what_it_missed(
    client: Client, room: WebRoom
) -> None:
    tab = await client.open_tab()
    entered, *_ = await tab.enter("Ada")
    edited = await room.post(ROOM, Message("first"), key="1")
    last = (await tab.until("entry"))[-1]["no"]
    await tab.socket.close()
    await room.edit(ROOM, edited, Message("first, mended"), key="1")
    await room.tell(ROOM, "bo", Message("not for Ada"), key="t")
    await room.post(ROOM, Message("second"), key="2")
    back = await client.open_tab()
    again, *missed = await back.enter("Ada", epoch=entered["epoch"], last=last)
    assert not again["is_fresh"]
    assert texts_of(missed) == ["first, mended", "second"]


async def test_a_removal_missed_is_told_on_coming_back(client: Client, room: WebRoom) -> None:
    tab = await client.open_tab()
    entered, *_ = await tab.enter("Ada")
    await tab.act("a1", "oops", open=True)
    frames = await tab.until("done")
    said = next(frame for frame in frames if frame["type"] == "entry")
    await tab.socket.close()
    assert await room.remove(ROOM, str(said["id"]))
    back = await client.open_tab()
    seen = await back.enter("Ada", epoch=entered["epoch"], last=frames[-2]["no"])
    assert [(frame["type"], frame["id"]) for frame in seen[1:-1]] == [("gone", said["id"])]


async def test_after_a_restart_everything_is_there_and_sent_anew(
    clock: HandClock, log: FakeRoomLog, club: EchoClub
) -> None:
    async with aiohttp.ClientSession() as session:
        before = make_room(clock, log)
        await before.start(club.answer)
        tab = await Client(session, before).open_tab()
        entered, *_ = await tab.enter("Ada")
        post = await before.post(ROOM, Message("the day"), key="day")
        await tab.act("a1", "hint")
        await tab.until("done")
        await before.stop()

        after = make_room(clock, log, epoch="second")
        await after.start(club.answer)
        tab = await Client(session, after).open_tab()
        again, *frames = await tab.enter("Ada", epoch=entered["epoch"], last=3)
        assert again["is_fresh"]
        assert texts_of(frames) == ["the day", "hint", "heard: hint"]
        assert await after.find_post(ROOM, "day") == post
        assert await after.post(ROOM, Message("the day"), key="day") == post
        await after.stop()


async def test_a_line_sent_again_after_a_restart_is_answered_once(
    clock: HandClock, log: FakeRoomLog, club: EchoClub
) -> None:
    async with aiohttp.ClientSession() as session:
        for epoch in ("first", "second"):
            room = make_room(clock, log, epoch=epoch)
            await room.start(club.answer)
            tab = await Client(session, room).open_tab()
            await tab.enter("Ada")
            await tab.act("a1", "hint")
            await tab.until("done")
            await room.stop()
    entries = await log.since(ROOM, "ada")
    assert [entry.kind for entry in entries] == ["asked", "answer"]


async def test_stopping_answers_what_is_under_way_first(clock: HandClock, log: FakeRoomLog) -> None:
    begun, let_go = asyncio.Event(), asyncio.Event()

    async def answer_late(act: Incoming) -> tuple[Message, ...]:
        begun.set()
        await let_go.wait()
        return (Message("late, but there"),)

    room = make_room(clock, log)
    await room.start(answer_late)
    async with aiohttp.ClientSession() as session:
        tab = await Client(session, room).open_tab()
        await tab.enter("Ada")
        await tab.act("a1", "hint")
        await begun.wait()
        stopping = asyncio.create_task(room.stop())
        let_go.set()
        assert texts_of(await tab.until("done")) == ["hint", "late, but there"]
        closed = await tab.socket.receive()
        assert (closed.type, closed.data) == (aiohttp.WSMsgType.CLOSE, 1001)
        await stopping


async def test_an_act_of_a_tab_that_left_is_answered_all_the_same(
    clock: HandClock, log: FakeRoomLog
) -> None:
    begun, let_go, answered = asyncio.Event(), asyncio.Event(), asyncio.Event()

    async def answer_late(act: Incoming) -> tuple[Message, ...]:
        begun.set()
        await let_go.wait()
        answered.set()
        return (Message("late, but there"),)

    room = make_room(clock, log)
    await room.start(answer_late)
    async with aiohttp.ClientSession() as session:
        tab = await Client(session, room).open_tab()
        await tab.enter("Ada")
        await tab.act("a1", "hint")
        await begun.wait()
        await tab.socket.close()
        let_go.set()
        await answered.wait()
        await room.stop()
    assert [entry.kind for entry in await log.since(ROOM, "ada")] == ["asked", "answer"]


@pytest.mark.expects_error_log
async def test_a_failing_answer_is_told_and_the_socket_lives_on(
    clock: HandClock, log: FakeRoomLog
) -> None:
    async def fail_once(act: Incoming) -> tuple[Message, ...]:
        if act.text == "break":
            raise RuntimeError("broken on purpose")
        return (Message("fine"),)

    room = make_room(clock, log)
    await room.start(fail_once)
    async with aiohttp.ClientSession() as session:
        tab = await Client(session, room).open_tab()
        await tab.enter("Ada")
        await tab.act("a1", "break")
        refused = (await tab.until("refused"))[-1]
        assert (refused["problem"], refused["id"]) == ("failed", "a1")
        await tab.act("a2", "hint")
        assert texts_of(await tab.until("done")) == ["hint", "fine"]
        await room.stop()


async def test_a_stopped_room_is_no_longer_reached(room: WebRoom, client: Client) -> None:
    url = room.url
    await room.stop()
    with pytest.raises(aiohttp.ClientConnectionError):
        await client.session.get(url)


async def test_a_tab_that_does_not_keep_up_is_dropped_and_can_come_back(
    client: Client, room: WebRoom, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(web_socket, "WAITING_FRAMES", 4)
    tab = await client.open_tab()
    entered, *_ = await tab.enter("Ada")
    # The log in memory never lets go of the loop, so the tab is sent nothing in between.
    for number in range(8):
        await room.post(ROOM, Message(f"post {number}"), key=str(number))
    last = 0
    while (frame := await tab.socket.receive()).type == aiohttp.WSMsgType.TEXT:
        last = frame.json()["no"]
    assert frame.data == 1001
    monkeypatch.undo()
    back = await client.open_tab()
    _, *missed = await back.enter("Ada", epoch=entered["epoch"], last=last)
    assert texts_of(missed) == [f"post {number}" for number in range(last, 8)]
    assert len(texts_of(missed)) > 0


class DeafSocket:
    """A socket that takes nothing and is closed at once."""

    def __init__(self) -> None:
        self.closings = 0
        self.was_closed = asyncio.Event()

    @property
    def closed(self) -> bool:
        return self.was_closed.is_set()

    async def close(self, *, code: int) -> None:
        self.closings += 1
        self.was_closed.set()


async def test_a_tab_that_does_not_keep_up_is_dropped_once_however_much_comes(
    clock: HandClock,
) -> None:
    socket = DeafSocket()
    tab = web_socket.Tab(socket, clock.now, MemberPaces(clock.now))  # type: ignore[arg-type]
    before = len(asyncio.all_tasks())
    for number in range(web_socket.WAITING_FRAMES + 100):
        tab.send(b"%d" % number)
    assert len(asyncio.all_tasks()) == before + 1
    await asyncio.wait_for(socket.was_closed.wait(), PATIENCE)
    assert socket.closings == 1
    await tab.close()
    assert len(asyncio.all_tasks()) == before


async def test_tabs_that_come_and_go_leave_no_task_behind(client: Client, room: WebRoom) -> None:
    async def come_and_go() -> None:
        tab = await client.open_tab()
        await tab.enter("Ada")
        await tab.act("a1", "hint")
        await tab.until("done")
        await tab.socket.close()

    before = asyncio.all_tasks()
    for _ in range(8):
        await come_and_go()
    await client.session.close()
    left = asyncio.all_tasks() - before
    _, still = await asyncio.wait(left, timeout=PATIENCE) if left else (left, set())
    assert still == set()


async def test_one_tab_too_many_is_refused(
    client: Client, tab: Tab, room: WebRoom, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(room._paces.tabs, "_all", 1)
    with pytest.raises(aiohttp.WSServerHandshakeError) as refused:
        await client.open_tab()
    assert refused.value.status == 503


async def test_a_tab_long_away_is_sent_everything_anew(
    client: Client, room: WebRoom, monkeypatch: pytest.MonkeyPatch
) -> None:
    tab = await client.open_tab()
    entered, *_ = await tab.enter("Ada")
    for number in range(web_timeline.REMEMBERED + 1):
        await room.post(ROOM, Message(f"post {number}"), key=str(number))
    back = await client.open_tab()
    again, *frames = await back.enter("Ada", epoch=entered["epoch"], last=0)
    assert again["is_fresh"]
    first = web_timeline.REMEMBERED + 1 - web_timeline.SHOWN
    assert texts_of(frames)[0] == f"post {first}"
    assert len(texts_of(frames)) == web_timeline.SHOWN
