"""Photos are taken apart in a process of their own, one photo each, within limits that hold.

A photo comes from anybody. What reads it may spend so much of the processor's time and of memory
and no more, whatever is in the file; the process ends with it, and nothing of the photo is kept.
The bot itself never loads the libraries that read photos.
"""

from __future__ import annotations

import asyncio
import multiprocessing
import os
import threading
from collections.abc import Mapping
from dataclasses import dataclass
from multiprocessing.connection import Connection
from multiprocessing.context import SpawnProcess

from bot.photo.told import PhotoProblem, PhotoReading, can_read_photos
from engine import Grid


@dataclass(frozen=True, slots=True)
class PhotoLimits:
    """What reading one photo may take: seconds of the processor, bytes beyond the libraries' own,
    and seconds until nobody waits for it any more."""

    seconds: int = 5
    memory: int = 300_000_000
    patience: float = 60.0


class PhotoReader:
    """Reads photos, one at a time: a small machine has room for one."""

    def __init__(self, limits: PhotoLimits | None = None) -> None:
        self._limits = limits or PhotoLimits()
        self._turn = asyncio.Semaphore(1)
        self._process: SpawnProcess | None = None
        self._is_closed = False
        self._changing = threading.Lock()

    async def read(self, content: bytes, puzzles: Mapping[str, Grid]) -> PhotoReading:
        """Return what a photo shows of some puzzles, or why it shows nothing."""
        if not can_read_photos():
            return PhotoReading(PhotoProblem.NOT_INSTALLED)
        async with self._turn:
            return await asyncio.to_thread(self._read, content, dict(puzzles))

    def _read(self, content: bytes, puzzles: dict[str, Grid]) -> PhotoReading:
        context = multiprocessing.get_context("spawn")
        receiver, sender = context.Pipe(duplex=False)
        process = context.Process(
            target=read_alone, args=(sender, self._limits, content, puzzles), daemon=True
        )
        with self._changing:
            if self._is_closed:
                return PhotoReading(PhotoProblem.TOO_MUCH_WORK)
            process.start()
            self._process = process
        sender.close()
        try:
            if receiver.poll(self._limits.patience):
                answer = receiver.recv()
                assert isinstance(answer, PhotoReading)
                return answer
        except EOFError:
            pass  # it was ended: by a limit, or with the bot
        finally:
            with self._changing:
                self._process = None
            process.kill()
            process.join()
            receiver.close()
        return PhotoReading(PhotoProblem.TOO_MUCH_WORK)

    def close(self) -> None:
        """End what is being read."""
        with self._changing:
            self._is_closed = True
            if self._process is not None:
                self._process.kill()


def read_alone(
    sender: Connection, limits: PhotoLimits, content: bytes, puzzles: dict[str, Grid]
) -> None:
    """Read a photo in this process, which is there for nothing else, and send what it shows."""
    # Only here are the libraries loaded; they would work on all cores if not told otherwise.
    os.environ["OPENBLAS_NUM_THREADS"] = "1"
    from bot.photo.limits import keep_within
    from bot.photo.reading import read_photo

    keep_within(limits.seconds, limits.memory)
    try:
        answer = read_photo(content, puzzles)
    except MemoryError:
        answer = PhotoReading(PhotoProblem.TOO_MUCH_WORK)
    sender.send(answer)
    sender.close()
