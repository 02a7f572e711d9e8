"""Answers what decisions ask of the engine, while their clubs go on.

A decision is made under its club's lock and must not take long there. Where it needs something of
the engine it stops with the question (see `bot.club.questions`). That is answered without the lock
and within a limit, and the decision is begun anew from what is then stored.
"""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable
from typing import Any, TypeVar, cast
from weakref import WeakValueDictionary

from bot.club.ports import PhotoSent, PuzzleSource, TooMuchWorkError
from bot.club.problems import Problem
from bot.club.questions import (
    Question,
    Studies,
    StudyNeededError,
    ask_room,
    make_puzzle,
    read_photo,
)
from bot.club.refusal import RefusedError, refuse
from bot.club.replies import Busy
from bot.club.walkthrough import path_facts
from bot.photo.told import MOST_BYTES, PhotoProblem, PhotoReading
from engine import errors, limited, parse_grid

T = TypeVar("T")
Asking = Callable[..., Awaitable[object]]

MOST_WORK = 15_000_000
"""Units of work (see `engine.limits`) that one question may take. Where the dearest sound puzzle
known to us turns, with all that is there, takes under a million."""

WALKTHROUGHS_KEPT = 16
"""A closed day is looked at by many, and some puzzles take a while to walk through."""

PHOTOS_AT_ONCE = 2
"""So many photos are held at once: one that is read, and the next, while it is fetched."""

SECONDS_TO_FETCH = 30.0
"""How long a photo may take to come from where it is."""

MOST_QUESTIONS = 64
"""Where an act has asked so many, what it is about has changed again and again."""


class Turns:
    """A lock for each person, kept as long as somebody waits for it."""

    def __init__(self) -> None:
        self._locks: WeakValueDictionary[object, asyncio.Lock] = WeakValueDictionary()

    def of(self, who: object) -> asyncio.Lock:
        """Return a person's lock, the same one for all who wait for it."""
        return self._locks.setdefault(who, asyncio.Lock())


class Study:
    """Answers questions, one at a time for each person: nobody's hold up anybody else's."""

    def __init__(self, source: PuzzleSource | None) -> None:
        self._source = source
        self._turns = Turns()
        self._photos = asyncio.Semaphore(PHOTOS_AT_ONCE)
        self._kept: dict[Question, object] = {}

    async def ask(self, work: Callable[..., T], *arguments: object, who: object) -> T:
        """Return what one question comes to. Raises RefusedError where the answer is no."""
        studies = Studies()

        async def decide() -> T:
            return studies.of(work, *arguments)

        return await self.through(decide, studies, who=who)

    async def through(
        self,
        decide: Callable[[], Awaitable[T]],
        studies: Studies,
        *,
        who: object,
        command: str = "",
    ) -> T:
        """Decide, and answer what it asks for, until it is decided. Raises RefusedError where it
        asks without end. `command`: whose questions they are."""
        for _ in range(MOST_QUESTIONS):
            try:
                return await decide()
            except StudyNeededError as needed:
                question = needed.question
            async with self._turns.of(who):
                studies.known.append((question, await self._answer_or_recall(question, command)))
        raise RefusedError(Busy())

    async def _answer_or_recall(self, question: Question, command: str) -> object:
        if question.work is not path_facts:
            return await self._answer(question, command)
        if question not in self._kept:
            answer = await self._answer(question, command)
            if isinstance(answer, RefusedError):
                return answer
            self._kept[question] = answer
            while len(self._kept) > WALKTHROUGHS_KEPT:
                del self._kept[next(iter(self._kept))]
            return answer
        return self._kept[question]

    async def _answer(self, question: Question, command: str) -> object:
        work, arguments = question.work, question.arguments
        try:
            if work is read_photo:
                return await self._read(*cast("tuple[Any, Any]", arguments))
            if work is ask_room:
                ask, *of = arguments
                return await cast("Asking", ask)(*of)
            if self._source is None:
                return await asyncio.to_thread(work_within, work, *arguments)
            if work is make_puzzle:
                return await self._source.make_puzzle(*cast("tuple[Any, Any]", arguments))
            return await self._source.work_out(work, *arguments)
        except RefusedError as refused:
            return refused
        except TooMuchWorkError:
            return refuse(command, Problem.NO_TIME)

    async def _read(self, photo: PhotoSent, givens: str) -> PhotoReading | None:
        """Fetch a photo and have it read; its bytes are let go of with the answer."""
        source = self._source
        if source is None or not source.reads_photos:
            return PhotoReading(PhotoProblem.NOT_INSTALLED)
        if photo.size > MOST_BYTES:
            return PhotoReading(PhotoProblem.TOO_MANY_BYTES)
        async with self._photos:
            try:
                async with asyncio.timeout(SECONDS_TO_FETCH):
                    content = await photo.fetch(MOST_BYTES)
            except TimeoutError:
                content = None
            if content is None:
                return None
            return await source.read_photo(content, {givens: parse_grid(givens)})


def work_within(
    work: Callable[..., T],
    *arguments: object,
    most: int = MOST_WORK,
    should_stop: Callable[[], bool] | None = None,
) -> T:
    """Do some work within a limit. Raises TooMuchWorkError where that is not enough."""
    try:
        with limited(most, should_stop):
            return work(*arguments)
    except errors.StoppedError:
        raise TooMuchWorkError from None
