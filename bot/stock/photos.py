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
        async with self._turn:
            return await asyncio.to_thread(self.read_and_wait, content, puzzles)

    def read_and_wait(self, content: bytes, puzzles: Mapping[str, Grid]) -> PhotoReading:
        """Do what `read` does, for one who has nothing else to do."""
        if not can_read_photos():
            return PhotoReading(PhotoProblem.NOT_INSTALLED)
        context = multiprocessing.get_context("spawn")
        ours, theirs = context.Pipe()
        process = context.Process(target=read_alone, args=(theirs, self._limits), daemon=True)
        with self._changing:
            if self._is_closed:
                return PhotoReading(PhotoProblem.TOO_MUCH_WORK)
            process.start()
            self._process = process
        # Once nobody else holds its end, a process that is gone is noticed, whatever it was doing.
        theirs.close()
        patience = threading.Timer(self._limits.patience, process.kill)
        patience.start()
        try:
            ours.send((content, dict(puzzles)))
            answer = ours.recv()
            assert isinstance(answer, PhotoReading)
            return answer
        except (EOFError, OSError):
            # It was ended: by a limit, when nobody waited any more, or with the bot.
            return PhotoReading(PhotoProblem.TOO_MUCH_WORK)
        finally:
            patience.cancel()
            with self._changing:
                self._process = None
            process.kill()
            process.join()
            ours.close()

    def close(self) -> None:
        """End what is being read."""
        with self._changing:
            self._is_closed = True
            if self._process is not None:
                self._process.kill()


def read_alone(line: Connection, limits: PhotoLimits) -> None:
    """Read the photo that comes by a line, in this process, which is there for nothing else."""
    # Only here are the libraries loaded; they would work on all cores if not told otherwise.
    os.environ["OPENBLAS_NUM_THREADS"] = "1"
    from bot.photo.limits import keep_within
    from bot.photo.reading import read_photo

    keep_within(limits.seconds, limits.memory)
    try:
        content, puzzles = line.recv()
        answer = read_photo(content, puzzles)
    except MemoryError:
        answer = PhotoReading(PhotoProblem.TOO_MUCH_WORK)
    line.send(answer)
    line.close()
