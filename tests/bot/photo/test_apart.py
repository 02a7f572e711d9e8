"""A photo is read in a process of its own, within limits, and the bot stays as it was."""

from __future__ import annotations

import asyncio
import multiprocessing
import resource
import signal
import subprocess
import sys
from multiprocessing import resource_tracker
from pathlib import Path

import numpy as np
import pytest

from bot.photo.limits import keep_within
from bot.photo.reading import read_photo
from bot.photo.told import PhotoProblem, PhotoReading
from bot.stock.photos import PhotoLimits, PhotoReader
from bot.stock.workshop import Workshop
from tests.bot.photo.photos import photo, puzzle
from tests.patience import PATIENCE

TODAY = {"today": puzzle()}


async def test_a_photo_is_read_apart_as_it_is_read_here() -> None:
    content = photo("printed", 1)[0].content
    workshop = Workshop()
    try:
        apart = await workshop.read_photo(content, TODAY)
    finally:
        workshop.close()
    assert apart == read_photo(content, TODAY)
    assert apart.problem is None


def test_a_photo_may_take_five_seconds_and_300_megabytes() -> None:
    assert (PhotoLimits().seconds, PhotoLimits().memory) == (5, 300_000_000)


async def test_a_photo_that_wants_too_much_memory_is_told_so_and_the_next_is_read() -> None:
    content = photo("printed", 1)[0].content
    tight = PhotoReader(PhotoLimits(memory=1_000_000))
    assert await tight.read(content, TODAY) == PhotoReading(PhotoProblem.TOO_MUCH_WORK)
    assert (await PhotoReader().read(b"no photo", TODAY)).problem is PhotoProblem.NO_PICTURE


async def test_what_is_read_ends_with_the_bot() -> None:
    reader = PhotoReader()
    waiting = asyncio.create_task(reader.read(photo("printed", 1)[0].content, TODAY))
    await asyncio.sleep(0)
    reader.close()
    reading = await asyncio.wait_for(waiting, PATIENCE)
    assert reading.problem is PhotoProblem.TOO_MUCH_WORK
    assert (await reader.read(b"", TODAY)).problem is PhotoProblem.TOO_MUCH_WORK


@pytest.mark.parametrize("does", ["exit 1", "exec sleep 1000"])
async def test_a_process_that_dies_or_hangs_before_it_takes_the_photo_is_not_waited_for(
    does: str, tmp_path: Path
) -> None:
    program = tmp_path / "python"
    program.write_text(f"#!/bin/sh\n{does}\n")
    program.chmod(0o755)
    resource_tracker.ensure_running()  # it is no part of this, and started in the same way
    multiprocessing.set_executable(str(program))
    try:
        reading = await PhotoReader(PhotoLimits(patience=1)).read(bytes(2_000_000), TODAY)
    finally:
        multiprocessing.set_executable(sys.executable)
    assert reading == PhotoReading(PhotoProblem.TOO_MUCH_WORK)


def burn() -> None:
    keep_within(0, 500_000_000)
    while True:
        pass


def hoard() -> None:
    keep_within(5, 50_000_000)
    try:
        np.ones(20_000_000)
    except MemoryError:
        sys.exit(3 if resource.getrlimit(resource.RLIMIT_CORE) == (0, 0) else 4)


@pytest.mark.parametrize(
    ("work", "ends"), [(burn, (-signal.SIGXCPU, -signal.SIGKILL)), (hoard, (3,))]
)
def test_the_system_keeps_the_limits(work: object, ends: tuple[int, ...]) -> None:
    process = multiprocessing.get_context("spawn").Process(target=work)  # type: ignore[arg-type]
    process.start()
    process.join(PATIENCE)
    assert process.exitcode in ends


def test_a_bot_that_gets_no_photo_loads_none_of_the_libraries() -> None:
    code = (
        "import sys, bot.cli.main, bot.wiring.running, bot.stock.workshop;"
        "print([name for name in ('cv2', 'numpy') if name in sys.modules])"
    )
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert ran.stdout.strip() == "[]"
