"""The life of a restore that is killed: just before its so-manieth rename or removal of a file."""

from __future__ import annotations

import asyncio
import os
import signal
import sys
from datetime import UTC, datetime
from pathlib import Path

from bot.storage import restore_store

NOW = datetime(2026, 11, 28, 12, 0, tzinfo=UTC)


def restore_until(copy: str, database: str, step: int) -> None:
    """Put the copy back; die before the step of that number, counted from 1. 0: live on."""
    done = 0

    def count(event: str, arguments: tuple[object, ...]) -> None:
        nonlocal done
        if event in ("os.rename", "os.remove"):
            done += 1
            if done == step:
                os.kill(os.getpid(), signal.SIGKILL)

    # Of every way to rename or remove a file Python tells its audit hooks first.
    sys.addaudithook(count)
    asyncio.run(restore_store(Path(copy), Path(database), lambda: NOW))
