"""A photo of the paper in Discord: by a command, by a form, and written to the bot alone."""

from __future__ import annotations

from collections.abc import Mapping

import pytest

from bot.photo.told import MOST_BYTES, PhotoProblem, PhotoReading
from bot.stock.workshop import Workshop
from engine import Grid
from tests.bot.club.stories import EASY, half_solved
from tests.bot.photo.photos import misread, photo
from tests.discord.conftest import Bench
from tests.doubles.discord.people import Person, answer_of, form_of
from tests.doubles.discord.shown import Shown
from tests.doubles.discord.world import Channel

ON_PAPER = half_solved(EASY, 10)
WAYS = ["Hint from this", "Mend it", "Try again"]


@pytest.fixture
def read_at_once(monkeypatch: pytest.MonkeyPatch) -> list[bytes]:
    """Have photos read without looking: as `ON_PAPER`, where there is anything in one."""
    seen: list[bytes] = []

    async def read(workshop: Workshop, content: bytes, puzzles: Mapping[str, Grid]) -> PhotoReading:
        seen.append(content)
        if content == b"nothing":
            return PhotoReading(PhotoProblem.NO_GRID)
        return PhotoReading(puzzle=next(iter(puzzles)), grid=ON_PAPER, doubtful=("r1c3",))

    monkeypatch.setattr(Workshop, "read_photo", read)
    return seen


def digits_in(code: str) -> str:
    """Return the grid that an answer's block of text shows."""
    return "".join(mark for mark in code if mark in "123456789.")


def ways(shown: Shown) -> list[str]:
    return [each.label for each in shown.controls]


async def begun(bench: Bench, club: Channel, name: str = "Ada") -> Person:
    ada = bench.double.person(name, club)
    await bench.start()
    await bench.tick()
    await ada.press(ada.sees()[0], "Start my clock")
    return ada


async def test_a_photo_with_the_command_is_read_and_a_hint_from_it_is_one_press(
    bench: Bench, club: Channel
) -> None:
    ada = await begun(bench, club)
    shot, _ = photo("printed", 1)
    await bench.restart()
    read = answer_of(await ada.command("hint", photo=shot.content))
    assert read.text.startswith("This is what I read in your photo.")
    assert read.is_private
    assert read.alts
    assert ways(read) == WAYS
    await bench.restart()
    hint = answer_of(await ada.press(read, "Hint from this"))
    assert "rung 1 of 4" in hint.text
    board = answer_of(await ada.command("undo"))
    assert board.code.startswith("53.|.7.|...")


async def test_a_photo_with_the_command_is_kept_as_the_board(bench: Bench, club: Channel) -> None:
    ada = await begun(bench, club)
    shot, content = photo("ruled", 1)
    read = answer_of(await ada.command("board", photo=shot.content))
    assert ways(read) == ["Keep as my board", *WAYS]
    kept = answer_of(await ada.press(read, "Keep as my board"))
    assert kept.code == read.code
    assert misread(digits_in(kept.code), content) <= 1
    assert digits_in(answer_of(await ada.command("undo")).code) == EASY


async def test_the_form_takes_a_photo_and_mending_fills_it(
    bench: Bench, club: Channel, read_at_once: list[bytes]
) -> None:
    ada = await begun(bench, club)
    asked = answer_of(await ada.command("hint"))
    form = form_of(await ada.press(asked, "From a photo"))
    assert form.uploads == ["photo"]
    await bench.restart()
    read = answer_of(await ada.submit(form, file=b"a photo"))
    assert read_at_once == [b"a photo"]
    await bench.restart()
    mending = form_of(await ada.press(read, "Mend it"))
    assert mending.fields["grid"].replace("\n", "") == ON_PAPER
    assert mending.uploads == []
    hint = answer_of(await ada.submit(mending, messages=2))
    assert "rung 1 of 4" in hint.text
    assert form_of(await ada.press(read, "Try again")).uploads == ["photo"]


async def test_a_picture_written_to_the_bot_alone_is_read_and_one_in_the_open_is_not(
    bench: Bench, club: Channel, read_at_once: list[bytes]
) -> None:
    ada = await begun(bench, club)
    there = len(ada.direct())
    await ada.write_directly("", file=b"a photo")
    await bench.double.until(lambda: len(ada.direct()) > there, "an answer")
    read = ada.direct()[-1]
    assert ways(read) == ["Keep as my board", *WAYS]
    form = form_of(await ada.press(read, "Try again"))
    again = answer_of(await ada.submit(form, file=b"a photo"))
    assert ways(again) == ways(read), "the form is for the board, too"
    kept = answer_of(await ada.press(read, "Keep as my board"))
    assert "it is your board now" in kept.text
    await ada.write_directly("hint", file=b"nothing")
    await bench.double.until(lambda: "can't find a grid" in ada.direct()[-1].text, "an answer")
    assert read_at_once == [b"a photo", b"a photo", b"nothing"]


async def test_a_file_that_is_too_large_is_not_fetched_and_one_that_never_came_is_refused(
    bench: Bench, club: Channel, read_at_once: list[bytes], monkeypatch: pytest.MonkeyPatch
) -> None:
    ada = await begun(bench, club)
    world, keep = bench.double.world, bench.double.world.keep_file
    monkeypatch.setattr(world, "keep_file", lambda raw: {**keep(raw), "size": MOST_BYTES + 1})
    large = answer_of(await ada.command("board", photo=b"large"))
    assert "too big" in large.text
    assert world.files_read == read_at_once == []
    monkeypatch.setattr(world, "keep_file", lambda raw: {**keep(raw), "id": "77"})
    world.files.clear()
    option = {"name": "photo", "type": 11, "value": "76"}
    forged = await ada.craft(2, {"id": "1", "name": "hint", "type": 1, "options": [option]})
    await bench.answered(forged)
    assert read_at_once == []


async def test_nothing_of_a_photos_name_or_place_is_kept(
    bench: Bench, club: Channel, caplog: pytest.LogCaptureFixture, read_at_once: list[bytes]
) -> None:
    caplog.set_level("DEBUG", "ninebark")
    ada = await begun(bench, club)
    await ada.command("hint", photo=b"a photo of a kitchen")
    await bench.stop()
    kept = b"".join(
        each.read_bytes() for each in sorted(bench.database.parent.rglob("*")) if each.is_file()
    )
    for trace in ("kitchen", "IMG_2041", bench.double.world.files_at):
        assert trace.encode() not in kept
        assert trace not in caplog.text
