"""Processes for what is to be killed, each forked off one that has loaded all it needs.

Loading it anew takes ten times as long as the life of most, and is not what their tests are about.
"""

from __future__ import annotations

import multiprocessing
from collections.abc import Callable
from functools import cache
from multiprocessing.context import ForkServerContext, ForkServerProcess
from typing import Any


@cache
def _nursery() -> ForkServerContext:
    context = multiprocessing.get_context("forkserver")
    context.set_forkserver_preload(
        ["tests.crash.restorer", "tests.crash.sender", "tests.crash.writer"]
    )
    return context


def start(life: Callable[..., None], *arguments: Any) -> ForkServerProcess:
    """Start a process that calls `life`, a function of a module, and ends with it."""
    born = _nursery().Process(target=life, args=arguments)
    born.start()
    return born
