"""Benchmarks: `python -m tests.bench [name ...]` runs them and prints the figures of one run.

A benchmark is a module here with `find_figures()`, and one line in `BENCHMARKS` of `__main__`. It
compares with references of the same run on the same machine wherever it can, so that the figures
are ratios. Nothing here is a test: no figure fails a build.
"""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Figure:
    """One measured number. `aim` is what it should be, `is_met` says whether it is."""

    name: str
    value: float
    unit: str
    aim: str = ""
    is_met: bool | None = None

    def __str__(self) -> str:
        verdict = {None: "", True: "met", False: "MISSED"}[self.is_met]
        aim = f"aim {self.aim}: {verdict}" if self.aim else ""
        return f"  {self.name:<58} {self.value:>10.3f} {self.unit:<6} {aim}".rstrip()


def seconds_of(work: Callable[[], object]) -> float:
    """Return how long the work takes, once."""
    begin = time.perf_counter()
    work()
    return time.perf_counter() - begin


def cpu_seconds_of(work: Callable[[], object]) -> float:
    """Return the processor time of the work, once, in all threads: other load counts less."""
    begin = time.process_time()
    work()
    return time.process_time() - begin


def percentile(values: Sequence[float], share: float) -> float:
    """Return the value below which `share` (0 to 1) of the values lie, by nearest rank."""
    ordered = sorted(values)
    return ordered[min(len(ordered) - 1, int(share * len(ordered)))]


def median(values: Sequence[float]) -> float:
    return statistics.median(values)
