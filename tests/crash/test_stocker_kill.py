"""The plug is pulled on the stocker: no seed comes twice, and nothing is left running."""

from __future__ import annotations

import asyncio
import sqlite3
import sys
from contextlib import closing
from pathlib import Path
from random import Random

from bot.storage import open_store
from tests.bot.test_workshop import until_gone
from tests.patience import PATIENCE

ROUNDS = 3
ROOT = Path(__file__).parents[2]


async def one_life(database: Path, puzzles: int) -> tuple[int, list[int]]:
    """Kill a stocker after so many puzzles; return its worker's id and the seeds it told of."""
    life = await asyncio.create_subprocess_exec(
        sys.executable, "-m", "tests.crash.stocker_life", str(database),
        stdout=asyncio.subprocess.PIPE, cwd=ROOT,
    )  # fmt: skip
    assert life.stdout is not None
    worker = int(await life.stdout.readline())
    seeds = [int(await life.stdout.readline()) for _ in range(puzzles)]
    life.kill()
    await life.wait()
    # The pipe ends when the last process that holds it does: the workers too are gone then.
    rest = await asyncio.wait_for(life.stdout.read(), PATIENCE)
    return worker, seeds + [int(seed) for seed in rest.split()]


async def test_a_stocker_that_is_killed_over_and_over_never_makes_a_puzzle_twice(
    tmp_path: Path,
) -> None:
    database, random = tmp_path / "club.db", Random(2026)
    told: list[int] = []
    for _ in range(ROUNDS):
        worker, seeds = await one_life(database, random.randint(1, 3))
        told += seeds
        await until_gone(worker)
    assert len(told) == len(set(told)) >= ROUNDS
    async with open_store(database) as store:
        kept = await store.list_puzzles()
        following = await store.claim_seed()
    made = [int(puzzle.origin.split()[3]) for puzzle in kept]
    assert len(made) == len(set(made))
    assert set(told) <= set(made)
    assert following > max(made)
    assert len({puzzle.identity for puzzle in kept}) == len(kept)
    with closing(sqlite3.connect(database)) as link:
        assert link.execute("PRAGMA integrity_check").fetchone() == ("ok",)
