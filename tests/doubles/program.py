"""Ninebark's program as its host runs it, in a process with its own output and exit code.

The process is forked off one that has loaded the program already: loading it takes longer than
most of what tests ask of it. What starts up wrongly is told by those that start it anew.
"""

from __future__ import annotations

import asyncio
import multiprocessing
import os
import sys
import tempfile
from collections.abc import Mapping
from functools import cache
from multiprocessing.context import ForkServerContext
from pathlib import Path

from bot.cli.main import main
from tests.patience import PATIENCE


@cache
def _loaded() -> ForkServerContext:
    context = multiprocessing.get_context("forkserver")
    context.set_forkserver_preload(
        [__name__, "bot.wiring.running", "bot.platforms.matrix.room", "bot.platforms.discord.room"]
    )
    return context


def _live(arguments: tuple[str, ...], environment: Mapping[str, str], folder: str) -> None:
    for number, name in ((1, "out"), (2, "err")):
        file = os.open(Path(folder, name), os.O_WRONLY | os.O_CREAT)
        os.dup2(file, number)
    os.environ.update(environment)
    sys.exit(main(arguments))


async def ninebark(*arguments: str, **environment: str) -> tuple[int, str, str]:
    """Run the program to its end; return its exit code, and what it said."""
    return await asyncio.to_thread(_run, arguments, environment)


def _run(arguments: tuple[str, ...], environment: Mapping[str, str]) -> tuple[int, str, str]:
    with tempfile.TemporaryDirectory() as folder:
        born = _loaded().Process(target=_live, args=(arguments, environment, folder))
        born.start()
        born.join(PATIENCE)
        assert born.exitcode is not None
        out, err = (Path(folder, name).read_text(encoding="utf-8") for name in ("out", "err"))
        return born.exitcode, out, err
