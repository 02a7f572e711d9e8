"""What every room must keep, whatever the platform: one suite, run on the fake and on each real
one. A platform is added by a stage in `stages.py` and its line in the fixture.
"""

from __future__ import annotations

from collections.abc import AsyncIterator, Callable
from contextlib import AbstractAsyncContextManager, asynccontextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from bot.club.facts import HintPicture, Position, facts_of_step
from bot.platforms.message import (
    Attachment,
    Button,
    Incoming,
    Message,
    Picture,
    RoomError,
    RoomGoneError,
    RoomUnreachableError,
)
from bot.storage import open_store
from bot.storage.web import SqliteRoomLog
from bot.wording import rungs
from bot.wording.pictures import describe
from tests.bot.patterns import one_of_each
from tests.contract.discord_stage import DiscordStage
from tests.contract.stages import OTHER_ROOM, ROOM, STAMP, FakeStage, Stage, WebStage

HOSTILE = (
    '<img src=x onerror=alert(1)> <script>alert("x")</script> @everyone [a](http://b) '
    "**bold** `code` {{7*7}} &amp; \u202egnip"
)


class Club:
    """Answers every act with its text; counts what it was asked, by event id."""

    def __init__(self) -> None:
        self.heard: list[Incoming] = []
        self.photos: list[bytes | None] = []
        self.most = 1000
        self.told: tuple[Message, ...] = ()

    async def answer(self, act: Incoming) -> tuple[Message, ...]:
        self.heard.append(act)
        if act.photo is not None:
            self.photos.append(await act.photo.fetch(self.most))
        return self.told or (Message(f"answer to {act.name}: {act.text}"),)


@pytest.fixture
def club() -> Club:
    return Club()


@asynccontextmanager
async def fake_stage(folder: Path) -> AsyncIterator[Stage]:
    yield FakeStage()


@asynccontextmanager
async def web_stage(folder: Path) -> AsyncIterator[Stage]:
    yield WebStage()


@asynccontextmanager
async def kept_web_stage(folder: Path) -> AsyncIterator[Stage]:
    """The web room on the log that it really has: SQLite in a file."""
    async with open_store(folder / "club.db", now=lambda: STAMP) as store:
        yield WebStage(SqliteRoomLog(store.database, now=lambda: STAMP))


@asynccontextmanager
async def discord_stage(folder: Path) -> AsyncIterator[Stage]:
    yield DiscordStage()


@asynccontextmanager
async def matrix_stage(folder: Path) -> AsyncIterator[Stage]:
    yield await _matrix_stage(folder, is_encrypted=False)


@asynccontextmanager
async def encrypted_matrix_stage(folder: Path) -> AsyncIterator[Stage]:
    yield await _matrix_stage(folder, is_encrypted=True)


async def _matrix_stage(folder: Path, *, is_encrypted: bool) -> Stage:
    pytest.importorskip("nio", reason="matrix-nio is not there for every Python")
    from tests.contract.matrix_stage import MatrixStage

    stage = MatrixStage(folder, is_encrypted=is_encrypted)
    await stage.prepare()
    return stage


STAGES = {
    "fake": (fake_stage,),
    "web": (web_stage, kept_web_stage),
    "discord": (discord_stage,),
    "matrix": (matrix_stage, pytest.param(encrypted_matrix_stage, marks=pytest.mark.long)),
}
"""Of each platform the stages that the suite runs on."""


@pytest.fixture(params=[stage for stages in STAGES.values() for stage in stages])
async def stage(request: pytest.FixtureRequest, club: Club, tmp_path: Path) -> AsyncIterator[Stage]:
    set_stage: Callable[[Path], AbstractAsyncContextManager[Stage]] = request.param
    async with set_stage(tmp_path) as stage:
        try:
            await stage.open(club.answer)
            yield stage
        finally:
            await stage.close()


async def texts_seen(stage: Stage, name: str, room_id: str = ROOM) -> list[str]:
    return [text for seen in await stage.sees(name, room_id) for text in seen.texts]


async def test_a_post_is_seen_by_everyone_in_its_room_and_by_nobody_elsewhere(stage: Stage) -> None:
    await stage.room.post(ROOM, Message("the day"), key="day:1")
    assert await texts_seen(stage, "Ada") == ["the day"]
    assert await texts_seen(stage, "Bo") == ["the day"]
    assert await texts_seen(stage, "Ada", OTHER_ROOM) == []


async def test_posting_with_the_same_key_posts_once(stage: Stage) -> None:
    first = await stage.room.post(ROOM, Message("the day"), key="day:1")
    again = await stage.room.post(ROOM, Message("the day, again"), key="day:1")
    assert again == first
    assert await texts_seen(stage, "Ada") == ["the day"]


async def test_the_same_key_in_another_room_is_another_post(stage: Stage) -> None:
    first = await stage.room.post(ROOM, Message("here"), key="day:1")
    other = await stage.room.post(OTHER_ROOM, Message("there"), key="day:1")
    assert first != other
    assert await texts_seen(stage, "Ada", OTHER_ROOM) == ["there"]


async def test_a_post_is_found_by_its_key(stage: Stage) -> None:
    reference = await stage.room.post(ROOM, Message("the day"), key="day:1")
    assert await stage.room.find_post(ROOM, "day:1") == reference
    assert await stage.room.find_post(ROOM, "day:2") is None
    assert await stage.room.find_post(OTHER_ROOM, "day:1") is None


async def test_a_posts_stamp_is_the_platforms_own_and_stays(stage: Stage) -> None:
    reference = await stage.room.post(ROOM, Message("the day"), key="day:1")
    stamp = await stage.room.stamp_of(ROOM, reference)
    assert stamp is not None
    if stage.stamp is None:  # a homeserver of its own, with its own clock
        assert timedelta() <= datetime.now(UTC) - stamp < timedelta(hours=1)
    else:
        assert stamp == stage.stamp
    await stage.room.edit(ROOM, reference, Message("the day, mended"), key="day:1")
    assert await stage.room.stamp_of(ROOM, reference) == stamp


async def test_a_private_notice_is_not_found_as_a_post(stage: Stage) -> None:
    await stage.room.tell(ROOM, "ada", Message("well done"), key="day:1")
    assert await stage.room.find_post(ROOM, "day:1") is None


async def test_picture_and_buttons_arrive_with_the_post(stage: Stage) -> None:
    picture = Picture("day.png", "row 1: 5 3 blank", b"\x89PNG light", b"\x89PNG dark")
    buttons = (Button("Start my clock", "start", is_main=True), Button("Hint", "hint"))
    await stage.room.post(ROOM, Message("go", picture=picture, buttons=buttons), key="day:1")
    (seen,) = await stage.sees("Ada")
    assert seen.alt == "row 1: 5 3 blank"
    assert seen.commands == ("start", "hint")


async def test_a_file_reaches_the_one_person_whom_it_is_for(stage: Stage) -> None:
    file = Attachment("own.json", b'{"name": "Ada"}')
    await stage.room.tell(ROOM, "ada", Message("all of it", file=file), key="export")
    seen = await stage.sees("Ada")
    assert [name for each in seen for name in each.files] == ["own.json"]
    assert all(each.is_private for each in seen)
    assert await stage.sees("Bo") == ()


async def test_an_edit_replaces_the_post_in_its_place(stage: Stage) -> None:
    reference = await stage.room.post(ROOM, Message("results"), key="results:1")
    await stage.room.post(ROOM, Message("later"), key="later")
    await stage.room.edit(ROOM, reference, Message("results, mended"), key="results:1")
    assert await texts_seen(stage, "Ada") == ["results, mended", "later"]
    assert await stage.room.find_post(ROOM, "results:1") == reference


async def test_an_edit_to_words_alone_takes_the_buttons_away(stage: Stage) -> None:
    picture = Picture("day.png", "row 1: 5 3 blank", b"\x89PNG light", b"\x89PNG dark")
    message = Message("go", picture=picture, buttons=(Button("Hint", "hint"),))
    reference = await stage.room.post(ROOM, message, key="day:1")
    await stage.room.edit(ROOM, reference, Message("taken back"), key="day:1")
    (seen,) = await stage.sees("Ada")
    assert (seen.texts, seen.commands) == (("taken back",), ())


async def test_a_thread_hangs_under_its_post_once_per_key(stage: Stage) -> None:
    post = await stage.room.post(ROOM, Message("the day"), key="day:1")
    steps = (Message("first step"), Message("second step"))
    thread = await stage.room.post_thread(ROOM, post, "Walkthrough", steps, key="walk:1")
    again = await stage.room.post_thread(ROOM, post, "Walkthrough", steps, key="walk:1")
    assert again == thread
    (seen,) = [seen for seen in await stage.sees("Ada") if seen.title]
    assert (seen.under, seen.title) == (post, "Walkthrough")
    assert seen.texts == ("first step", "second step")


async def test_one_message_in_a_thread_changes_in_its_place(stage: Stage) -> None:
    room = stage.room
    post = await room.post(ROOM, Message("we go through it"), key="lesson:1")
    frame = await room.post_under(ROOM, post, "Together", Message("the puzzle"), key="frame:1")
    again = await room.post_under(ROOM, post, "Together", Message("later"), key="frame:1")
    assert again == frame
    for text in ("first step", "second step", "first step"):
        frame = await room.edit(ROOM, frame, Message(text), key="frame:1")
        assert await texts_seen(stage, "Ada") == ["we go through it", text]
    (seen,) = [seen for seen in await stage.sees("Ada") if seen.under]
    assert seen.under == post


async def test_what_is_told_reaches_one_person_once_per_key(stage: Stage) -> None:
    first = await stage.room.tell(ROOM, "ada", Message("your result stands"), key="ruling:1")
    again = await stage.room.tell(ROOM, "ada", Message("your result stands"), key="ruling:1")
    assert again == first
    (seen,) = await stage.sees("Ada")
    assert seen.is_private
    assert await texts_seen(stage, "Bo") == []


async def test_two_people_can_be_told_under_the_same_key(stage: Stage) -> None:
    await stage.room.tell(ROOM, "ada", Message("to Ada"), key="ruling:1")
    await stage.room.tell(ROOM, "bo", Message("to Bo"), key="ruling:1")
    assert await texts_seen(stage, "Ada") == ["to Ada"]
    assert await texts_seen(stage, "Bo") == ["to Bo"]


async def test_an_act_is_handed_over_whole_and_answered_privately(stage: Stage, club: Club) -> None:
    await stage.send("Ada", "hint paste", act_id="a1", fields={"grid": "53..7\n6..195"})
    (act,) = club.heard
    assert (act.room_id, act.user_id, act.name) == (ROOM, "ada", "Ada")
    assert (act.text, dict(act.fields)) == ("hint paste", {"grid": "53..7\n6..195"})
    assert (act.in_open, act.message_id) == (False, None)
    assert act.platform == stage.room.platform
    assert act.acted_at.tzinfo is not None
    (seen,) = await stage.sees("Ada")
    assert seen.is_private
    assert await texts_seen(stage, "Bo") == []


LATER_KINDS = {
    "avoidable-rectangle-type-3",
    "unique-rectangle-type-6",
    "two-cluster-colouring-sees-both-colours",
    "two-cluster-colouring-meets-both-colours",
    "x-chain-continuous-loop",
    "alternating-inference-chain-continuous-loop",
    "long-xy-chain-continuous-loop",
    "cell-forcing-chain",
}
"""Reasons that are long, take in digits that stand, or stand in lines: a table, numbered cases."""


async def test_the_reason_of_a_step_is_seen_whole_and_with_its_picture(
    stage: Stage, club: Club
) -> None:
    kinds = [each for each in one_of_each() if each.name in LATER_KINDS]
    assert {each.name for each in kinds} == LATER_KINDS
    for kind in kinds:
        position = Position.of(kind.grid)
        facts = facts_of_step(kind.grid.layout, kind.steps()[0])
        words = rungs(facts, position)["why"]
        alt = describe(HintPicture(kind.text, position, facts, "why"))
        picture = Picture("why.png", alt, b"\x89PNG light", b"\x89PNG dark")
        club.told = (Message(words, picture=picture),)
        await stage.send("Ada", "more", act_id=kind.name)
        seen = (await stage.sees("Ada"))[-1]
        lines = [line for text in seen.texts for line in text.splitlines()]
        assert lines == words.splitlines(), kind.name
        assert seen.alt == alt, kind.name


async def test_two_acts_have_two_event_ids(stage: Stage, club: Club) -> None:
    await stage.send("Ada", "hint", act_id="a1")
    await stage.send("Ada", "hint", act_id="a2")
    await stage.send("Bo", "hint", act_id="a1")
    assert len({act.event_id for act in club.heard}) == 3


async def test_a_redelivered_act_has_its_event_id_again_and_is_answered_once(
    stage: Stage, club: Club
) -> None:
    await stage.send("Ada", "hint", act_id="a1")
    await stage.send("Ada", "hint", act_id="a1")
    assert len({act.event_id for act in club.heard}) == 1
    assert await texts_seen(stage, "Ada") == ["answer to Ada: hint"]


async def test_a_line_said_in_the_open_is_seen_by_all_and_its_answer_by_one(
    stage: Stage, club: Club
) -> None:
    await stage.send("Ada", "good morning", act_id="a1", in_open=True)
    (act,) = club.heard
    assert act.in_open
    assert act.message_id is not None
    assert await texts_seen(stage, "Bo") == ["good morning"]
    assert await texts_seen(stage, "Ada") == ["good morning", "answer to Ada: good morning"]


async def test_a_removed_line_is_gone_and_does_not_come_back(stage: Stage, club: Club) -> None:
    await stage.send("Ada", "534678912 672195348", act_id="a1", in_open=True)
    message_id = club.heard[0].message_id
    assert message_id is not None
    assert await stage.room.remove(ROOM, message_id)
    assert await texts_seen(stage, "Bo") == []
    await stage.send("Ada", "534678912 672195348", act_id="a1", in_open=True)
    assert await texts_seen(stage, "Bo") == []


async def test_only_lines_of_people_can_be_removed(stage: Stage) -> None:
    post = await stage.room.post(ROOM, Message("the day"), key="day:1")
    assert not await stage.room.remove(ROOM, post)
    assert not await stage.room.remove(ROOM, "no such message")
    assert await texts_seen(stage, "Ada") == ["the day"]


async def test_hostile_text_arrives_as_it_was_written(stage: Stage, club: Club) -> None:
    await stage.send("Ada", HOSTILE, act_id="a1", in_open=True)
    await stage.room.post(ROOM, Message(HOSTILE), key="hostile")
    assert club.heard[0].text == HOSTILE
    assert await texts_seen(stage, "Bo") == [HOSTILE, HOSTILE]


async def test_an_unknown_room_is_gone(stage: Stage) -> None:
    room, message = stage.room, Message("hello")
    for attempt in (
        room.post("nowhere", message, key="k"),
        room.find_post("nowhere", "k"),
        room.edit("nowhere", "1", message, key="k"),
        room.post_thread("nowhere", "1", "t", (message,), key="k"),
        room.post_under("nowhere", "1", "t", message, key="k"),
        room.tell("nowhere", "ada", message, key="k"),
        room.remove("nowhere", "1"),
    ):
        with pytest.raises(RoomGoneError):
            await attempt


async def test_a_post_of_another_room_cannot_be_edited_or_threaded(stage: Stage) -> None:
    post = await stage.room.post(ROOM, Message("the day"), key="day:1")
    with pytest.raises(RoomError):
        await stage.room.edit(OTHER_ROOM, post, Message("taken over"), key="k")
    with pytest.raises(RoomError):
        await stage.room.post_thread(OTHER_ROOM, post, "t", (Message("x"),), key="k")
    with pytest.raises(RoomError):
        await stage.room.post_under(OTHER_ROOM, post, "t", Message("x"), key="k")
    assert await texts_seen(stage, "Ada") == ["the day"]


async def test_the_fake_can_be_unreachable_a_number_of_times_and_then_is_not() -> None:
    stage = FakeStage()
    room = stage.room
    stage.fake.unreachable = 2
    for _ in range(2):
        with pytest.raises(RoomUnreachableError):
            await room.post(ROOM, Message("the day"), key="day:1")
    await room.post(ROOM, Message("the day"), key="day:1")
    assert await texts_seen(stage, "Ada") == ["the day"]


async def test_the_fake_can_be_gone() -> None:
    stage = FakeStage()
    stage.fake.gone.add(ROOM)
    with pytest.raises(RoomGoneError):
        await stage.room.tell(ROOM, "ada", Message("hello"), key="k")


# --- photos ---

PHOTO = bytes(range(256)) * 3
"""What it holds is the reader's business: a room hands it over as it came."""


async def test_a_photo_sent_in_private_is_handed_over_whole_and_answered_in_private(
    stage: Stage, club: Club
) -> None:
    await stage.send("Ada", "hint", act_id="p1", photo=PHOTO)
    assert club.photos == [PHOTO]
    (act,) = club.heard
    assert (act.in_open, act.photo and act.photo.size) == (False, len(PHOTO))
    (seen,) = [each for each in await stage.sees("Ada") if each.texts == ("answer to Ada: hint",)]
    assert seen.is_private
    assert await texts_seen(stage, "Bo") == []


async def test_a_photo_that_is_more_than_it_may_be_is_not_handed_over(
    stage: Stage, club: Club
) -> None:
    club.most = len(PHOTO) - 1
    await stage.send("Ada", "hint", act_id="p1", photo=PHOTO)
    assert club.photos == [None]
