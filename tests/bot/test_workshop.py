"""The workshop: what it makes, that it stops at once, and that it leaves nothing running."""

from __future__ import annotations

import asyncio
import os
import signal
import sys
import time
from pathlib import Path

import pytest

from bot.club.plan import DayPlan, fits
from bot.club.ports import TooMuchWorkError
from bot.club.refusal import RefusedError
from bot.club.replies import Busy
from bot.club.turning import study_turning
from bot.stock import workshop as workshop_module
from bot.stock.workshop import LITTLE_WORK, WORKERS, Workshop, recipe_of
from engine.limits import count_work
from engine.making.recipes import find_contradiction
from tests.bot.club.stories import CROOK
from tests.engine.turns import turns_of
from tests.patience import PATIENCE

PAIRS = DayPlan(3, 3, "naked-pair", "half-turn")


def sleep_long(seconds: float) -> None:
    """Work that cannot be told to stop."""
    time.sleep(seconds)


def end_yourself() -> None:
    os.kill(os.getpid(), signal.SIGKILL)


def is_running(pid: int) -> bool:
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    # One that has ended and that nobody has asked after yet is a zombie.
    try:
        state = Path(f"/proc/{pid}/stat").read_text(encoding="ascii").rpartition(")")[2].split()[0]
    except (FileNotFoundError, ProcessLookupError):
        return False
    return state != "Z"


async def until_gone(pid: int) -> None:
    """Wait for the end of a process that is no child of ours, so that nobody tells of it."""
    async with asyncio.timeout(PATIENCE):
        while is_running(pid):  # noqa: ASYNC110 # there is nothing to wait for
            await asyncio.sleep(0)


@pytest.mark.parametrize(
    ("entry", "is_clean"),
    [
        (PAIRS, True),
        (DayPlan(3, 4, "naked-pair"), True),
        (DayPlan(4, 4, "naked-pair"), False),  # the day is to be harder than its theme
        (DayPlan(3, 3), False),
    ],
)
def test_a_theme_comes_clean_unless_the_day_is_to_be_harder(entry: DayPlan, is_clean: bool) -> None:
    recipe = recipe_of(entry)
    assert recipe.clean == is_clean
    assert find_contradiction(recipe) == ""


async def test_a_themed_puzzle_turns_once_on_its_theme() -> None:
    workshop = Workshop()
    try:
        made = await workshop.make_puzzle(PAIRS, 7)
    finally:
        workshop.close()
    assert made is not None
    assert turns_of(made.givens) == ["naked-pair"]


def test_where_no_clean_puzzle_comes_soon_another_of_the_theme_does(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(workshop_module, "CLEAN_ATTEMPTS", 0)
    made = workshop_module._make(PAIRS, 7, (), PATIENCE)
    assert made is not None
    assert fits(made, PAIRS)


async def test_a_puzzle_is_made_as_the_plan_asks_and_again_the_same_for_the_same_seed() -> None:
    workshop = Workshop()
    try:
        first, again, other = await asyncio.gather(
            *(workshop.make_puzzle(PAIRS, seed) for seed in (7, 7, 8))
        )
    finally:
        workshop.close()
    assert first is not None
    assert first == again != other
    assert fits(first, PAIRS)
    assert first.origin == "made from seed 7 for 3-3:naked-pair:half-turn"


async def test_where_a_puzzle_turns_is_worked_out_beside_the_loop() -> None:
    workshop = Workshop()
    try:
        report = await workshop.work_out(study_turning, CROOK)
    finally:
        workshop.close()
    assert (report.level, report.hardest) == (3, "naked-pair")


def end_when_asked() -> None:
    count_work(LITTLE_WORK + 1)
    end_yourself()


def refuse() -> None:
    count_work(LITTLE_WORK + 1)  # too much to be done at once
    raise RefusedError(Busy())


def answer_from_a_worker() -> int:
    count_work(LITTLE_WORK + 1)
    return os.getpid()


def work_for_ever() -> None:
    while True:
        count_work(1000)


async def test_what_is_little_work_is_answered_at_once_and_starts_no_worker() -> None:
    workshop = Workshop()
    try:
        assert await workshop.work_out(os.getpid) == os.getpid()
        assert await workshop.work_out(answer_from_a_worker) != os.getpid()
    finally:
        workshop.close()


async def test_what_is_asked_does_not_wait_for_what_is_made() -> None:
    workshop = Workshop()
    making = [asyncio.create_task(workshop.run(sleep_long, 600)) for _ in range(2 * WORKERS)]
    try:
        assert await workshop.work_out(answer_from_a_worker) != os.getpid()
        assert not any(task.done() for task in making)
    finally:
        await asyncio.to_thread(workshop.close)
        await asyncio.gather(*making, return_exceptions=True)


async def test_a_worker_refuses_with_the_reply_and_ends_what_has_no_end() -> None:
    workshop = Workshop()
    try:
        with pytest.raises(RefusedError) as caught:
            await workshop.work_out(refuse)
        assert caught.value.reply == Busy()
        with pytest.raises(TooMuchWorkError):
            await workshop.work_out(work_for_ever)
        with pytest.raises(TooMuchWorkError):
            await workshop.work_out(end_when_asked)
        assert await workshop.work_out(answer_from_a_worker) != os.getpid()
    finally:
        workshop.close()


async def test_closing_stops_a_making_that_would_take_long(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr("bot.stock.workshop.SECONDS_FOR_STOCK", 100 * PATIENCE)
    workshop = Workshop()
    pid = await workshop.run(os.getpid)
    hopeless = DayPlan(6, 6, "jellyfish", "quarter-turn")
    task = asyncio.create_task(workshop.make_for_stock(hopeless, 1))
    await workshop.run(os.getpid)  # by then the first is under way
    await asyncio.to_thread(workshop.close, PATIENCE)
    # It stopped by itself: one that is ended breaks off with an error.
    assert await task is None
    assert not is_running(pid)


async def test_closing_ends_a_worker_that_does_not_listen() -> None:
    workshop = Workshop()
    pid = await workshop.run(os.getpid)
    task = asyncio.create_task(workshop.run(sleep_long, 600))
    await workshop.run(os.getpid)
    await asyncio.to_thread(workshop.close)
    assert isinstance((await asyncio.gather(task, return_exceptions=True))[0], Exception)
    assert not is_running(pid)


async def test_a_worker_that_dies_costs_one_request_and_no_more() -> None:
    workshop = Workshop()
    try:
        with pytest.raises(Exception, match="terminated abruptly"):
            await workshop.run(end_yourself)
        assert await workshop.make_puzzle(DayPlan(1, 1), 1) is not None
    finally:
        workshop.close()


SCRIPT = """
import asyncio, os, sys
from bot.stock.workshop import Workshop
async def main():
    workshop = Workshop()
    print(await workshop.run(os.getpid), flush=True)
    await asyncio.Event().wait()
if __name__ == "__main__":
    asyncio.run(main())
"""


async def test_workers_end_with_a_bot_that_is_killed(tmp_path: Path) -> None:
    script = tmp_path / "host.py"
    script.write_text(SCRIPT, encoding="utf-8")
    root = Path(__file__).parents[2]
    host = await asyncio.create_subprocess_exec(
        sys.executable, str(script), stdout=asyncio.subprocess.PIPE,
        env={**os.environ, "PYTHONPATH": str(root)},
    )  # fmt: skip
    assert host.stdout is not None
    worker = int(await host.stdout.readline())
    assert is_running(worker)
    host.kill()
    await host.wait()
    # The pipe ends when the last process that holds it does.
    await asyncio.wait_for(host.stdout.read(), PATIENCE)
    await until_gone(worker)
