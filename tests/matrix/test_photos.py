"""A photo of the paper in Matrix: a picture in the private room, in the clear and encrypted."""

from __future__ import annotations

import asyncio
import re
from typing import Any

import pytest

from bot.photo.told import MOST_BYTES
from bot.platforms.matrix.reading import Pictured, Shown, read_event
from bot.stock.photos import PhotoReader
from tests.bot.club.stories import EASY
from tests.bot.photo.photos import misread, photo
from tests.doubles.matrix.member import NAME, Member, text_of
from tests.matrix.conftest import Bench
from tests.patience import PATIENCE

PHOTO, CONTENT = photo("printed", 1, EASY)
NO_PICTURE = bytes(range(256)) * 64


async def show(bench: Bench, member: Member, caption: str = "") -> dict[str, Any]:
    """Send a photo of the paper in the private room; return the answer."""
    room_id = bench.private_room(member)
    assert room_id is not None

    async def act() -> None:
        await member.send_picture(room_id, PHOTO.content, caption, is_sealed=bench.is_encrypted)

    (answer, *_) = await bench.answers_to(member, act, 1)
    return answer


async def read_in(bench: Bench, member: Member, answer: dict[str, Any]) -> str:
    """Return the grid that an answer shows as it was read."""
    assert "This is what I read in your photo." in text_of(answer)
    below = await bench.below(member, answer)
    rows = re.findall(r"^[1-9.]{3}\|[1-9.]{3}\|[1-9.]{3}$", below, re.MULTILINE)
    return "".join(rows).replace("|", "")


@pytest.mark.parametrize("bench", ["encrypted"], indirect=True)
async def test_a_picture_in_the_private_room_is_read_and_a_hint_is_one_press_through_restarts(
    bench: Bench, caplog: pytest.LogCaptureFixture
) -> None:
    caplog.set_level("DEBUG", "ninebark")
    ada = bench.ada
    await bench.start()
    await bench.tick()
    await bench.ask(ada, "start")
    read = await show(bench, ada, "hint")
    assert misread(await read_in(bench, ada, read), CONTENT) <= 1
    await bench.restart()
    (hint,) = await bench.press(ada, read, "Hint from this")
    assert "rung 1 of 4" in text_of(hint)
    (asked,) = await bench.press(ada, read, "Try again")
    assert "Send me a photo of your paper" in text_of(asked)
    await bench.stop()
    kept = b"".join(each.read_bytes() for each in bench.folder.glob("club.db*"))
    assert NAME.encode() not in kept
    assert NAME not in caplog.text


@pytest.mark.long
async def test_a_picture_whose_reading_ended_with_the_bot_is_read_when_it_comes_back(
    open_bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    begun, seen, read_photo = asyncio.Event(), list[bytes](), PhotoReader.read

    async def read(reader: PhotoReader, content: bytes, puzzles: Any) -> Any:
        seen.append(content)
        if len(seen) == 1:
            begun.set()
            await asyncio.Event().wait()
        return await read_photo(reader, content, puzzles)

    monkeypatch.setattr(PhotoReader, "read", read)
    bench, ada = open_bench, open_bench.ada
    await bench.start()
    await bench.tick()
    await bench.ask(ada, "start")
    room_id = bench.private_room(ada)
    assert room_id is not None

    async def send_and_restart() -> None:
        await ada.send_picture(room_id, PHOTO.content, is_sealed=False)
        await asyncio.wait_for(begun.wait(), PATIENCE)
        await bench.restart()

    (answer,) = await bench.answers_to(ada, send_and_restart, 1)
    assert misread(await read_in(bench, ada, answer), CONTENT) <= 1
    assert "Keep as my board" in text_of(answer), "without a word it is for the board"
    assert seen == [PHOTO.content, PHOTO.content]


# --- what an event may say of a picture ---

OPEN = {"msgtype": "m.image", "body": "a.jpg", "url": "mxc://example.org/abc", "info": {"size": 9}}
SEAL = {"url": "mxc://example.org/abc", "key": {"k": "x"}, "iv": "y", "hashes": {"sha256": "z"}}


def said(**content: Any) -> dict[str, Any]:
    return {"type": "m.room.message", "content": content}


def test_what_is_said_with_a_picture_is_told_from_its_name() -> None:
    for body, filename, caption in (
        ("a.jpg", None, ""), ("a.jpg", "a.jpg", ""), ("hint", "a.jpg", "hint"), ("hint", 7, ""),
    ):  # fmt: skip
        named = {} if filename is None else {"filename": filename}
        read = read_event(said(**{**OPEN, "body": body, **named}))
        assert isinstance(read, Pictured)
        assert (read.caption, read.media.size) == (caption, 9)


@pytest.mark.parametrize(
    "content",
    [
        {**OPEN, "url": "https://example.org/abc"},
        {**OPEN, "url": "mxc://example.org/../abc"},
        {**OPEN, "url": "mxc://example.org/abc?x=1"},
        {**OPEN, "url": ["mxc://example.org/abc"]},
        {"msgtype": "m.image", "body": "a.jpg"},
        {**OPEN, "file": {**SEAL, "key": "k"}},
        {**OPEN, "file": {**SEAL, "iv": None}},
        {**OPEN, "file": "sealed"},
        {**OPEN, "msgtype": "m.file"},
        {**OPEN, "msgtype": "m.video"},
    ],
)
def test_what_cannot_be_fetched_or_is_no_picture_is_only_shown(content: dict[str, Any]) -> None:
    assert read_event(said(**content)) == Shown("a.jpg")


@pytest.mark.parametrize("size", [True, -1, 1.5, "9", None, 2**80])
def test_a_size_that_is_none_counts_for_nothing(size: object) -> None:
    read = read_event(said(**{**OPEN, "info": {"size": size}}))
    assert isinstance(read, Pictured)
    assert read.media.size == 0


def test_a_seal_that_opens_nothing_gives_nothing() -> None:
    read = read_event(said(**{**OPEN, "file": SEAL, "info": {"size": MOST_BYTES}}))
    assert isinstance(read, Pictured)
    assert read.media.seal is not None
    assert read.media.seal.open(NO_PICTURE) is None
