"""The course of an act: what is loaded for it, and how it is decided.

Each stands in the module of its decision, and a command of `bot.commands` points at it. The service
follows it: it loads, has the act decided, and saves. Only the loading waits; a decision is pure.
"""

from __future__ import annotations

from collections.abc import Awaitable, Callable
from dataclasses import dataclass
from typing import Any, Generic, TypeVar

from bot.club.acts import Act, Event
from bot.club.loading import Loading
from bot.club.ports import Change
from bot.club.replies import Reply
from bot.club.state import Scene

A = TypeVar("A", bound=Act)
W = TypeVar("W")


@dataclass(frozen=True, slots=True)
class Decision:
    """The answer, and what is to be saved with it. `is_kept` False: the reply is not stored,
    and what is saved with it may be saved again."""

    reply: Reply
    changes: tuple[Change, ...] = ()
    is_kept: bool = True


@dataclass(frozen=True, slots=True)
class Course(Generic[A, W]):
    """What becomes of one kind of act.

    - `load` returns what the decision needs beyond the scene of the event, a value of its own kind.
      It holds the club's lock, so what takes long is a question to `Loading.studies`.
    - `decide` returns the decision on it. RefusedError, here or in loading, says why not.
    - `is_long`: the decision itself takes the engine's time, so that it is asked for as a question.
    - `is_own`: as long as the member has not finished, it touches their own entry and nothing else,
      so that it is decided beside those of others.
    - `command`, `leaders_only`: as the command table has it for the command that points here.
    """

    act: type[A]
    decide: Callable[[Scene, Event, A, W], Decision]
    load: Callable[[Loading, Scene, Event, A], Awaitable[W]]
    is_long: bool = False
    is_own: bool = False
    command: str = ""
    leaders_only: bool = False


AnyCourse = Course[Any, Any]


async def load_nothing(loading: Loading, scene: Scene, event: Event, act: Act) -> None:
    """Load nothing: the scene is enough."""
