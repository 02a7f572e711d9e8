"""Breaks the code in small random ways, and shows which breaks the nearest tests let through.

A break is tried against the tests that run its block of statements, those of its own file's name
and then the quickest first, up to a bound of processor time. All goes on where it stopped, in the
folder of `--state`, on the tree that it began with; `--again` tries what was let through against
the code and the tests of today.

Run as: nice python -m tests.bench.mutation --count 40 --seed 1
"""

from __future__ import annotations

import argparse
import os
import shutil
import sys
import tempfile
import time
from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from random import Random

import pytest

from tests.bench.mutants import Mutant, find_mutants
from tests.bench.ran_by import OPTIONS, ROOT, copy_tree, enter, find_runners, load, save

GROUPS: dict[str, tuple[int, tuple[str, ...]]] = {
    "club": (9, ("bot/club/*.py",)),
    "storage": (5, ("bot/storage/*.py",)),
    "posting": (3, ("bot/schedule.py", "bot/sending.py", "bot/steady_clock.py")),
    "solving": (3, (
        "engine/solving/*.py", "engine/board/applying.py",
        "engine/search/bulk_locked_candidates.py",
    )),
}  # fmt: skip
"""What is broken: of each twenty breaks so many in these files."""

NOT_BROKEN = ("fake_store.py", "fake_rows.py", "ports.py")

NEAREST = (
    "tests/bot/club", "tests/bot/storage", "tests/contract/test_room_log.py",
    "tests/contract/test_store.py", "tests/contract/test_store_lists.py",
    "tests/contract/test_store_picks.py", "tests/contract/test_store_posts.py",
    "tests/bot/test_schedule.py",
    "tests/bot/test_schedule_days.py", "tests/bot/test_lanes.py", "tests/bot/test_steady_clock.py",
    "tests/bot/test_a_wrong_clock.py", "tests/bot/test_exchange.py", "tests/bot/test_wiring.py",
    "tests/bot/test_said_in_open.py", "tests/bot/test_starting_stock.py",
    "tests/bot/test_stocker.py", "tests/bot/wording/test_every_reply.py",
    "tests/bot/wording/test_turning.py", "tests/bot/wording/test_walks.py",
    "tests/engine/test_bulk_locked_candidates.py",
    "tests/engine/test_easiest.py", "tests/engine/test_grading.py", "tests/engine/test_limits.py",
    "tests/engine/test_shortest_hints.py", "tests/engine/test_solving.py",
    "tests/engine/test_witnesses.py", "tests/engine/test_every_puzzle_is_explained.py",
    "tests/property/test_paths.py",
)  # fmt: skip
"""Where a break's tests are looked for: not where programs and browsers are started."""

WORK_SECONDS = 12.0
"""How much processor time a break's tests take when nothing is broken, at most."""
RUN_OUT = 3
"""How many times as much a broken run may take before it counts as one that never ends."""
STARTING_SECONDS = 15.0
STILL_SECONDS = 60.0
"""How long nothing at all may happen in a broken run before it counts as hanging."""
LOOK_SECONDS = 0.2


def main(arguments: Sequence[str]) -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.bench.mutation", description=__doc__)
    parser.add_argument("--count", type=int, default=300)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--jobs", type=int, default=2)
    parser.add_argument("--state", type=Path, default=Path(tempfile.gettempdir(), "mutation"))
    parser.add_argument("--again", action="store_true", help="only what was let through")
    options = parser.parse_args(arguments)
    bench = Bench(options.state, options.jobs)
    if options.again:
        bench.try_again()
    else:
        bench.try_all(options.count, options.seed)
    bench.print_sum()
    return 0


@dataclass(slots=True)
class Run:
    """A process that tries one break in a folder of its own."""

    pid: int
    folder: Path
    mutant: Mutant
    used: float
    moved_at: float


class Bench:
    def __init__(self, state: Path, jobs: int) -> None:
        self._state = state
        self._jobs = jobs
        self._tree = state / "tree"
        if not self._tree.exists():
            copy_tree(ROOT, self._tree)
        self._verdicts = load(state / "verdicts.json")

    def try_all(self, count: int, seed: int) -> None:
        wanted = pick(self._tree, count, seed)
        self._try([each for each in wanted if each.name not in self._verdicts])

    def try_again(self) -> None:
        """Try what was let through in the tree of today; what is gone from it is left out."""
        shutil.rmtree(self._tree)
        copy_tree(ROOT, self._tree)
        through = {name for name, (verdict, _) in self._verdicts.items() if verdict == "survived"}
        there = {each.name: each for each in all_mutants(self._tree) if each.name in through}
        for name in sorted(through - set(there)):
            say(f"gone      {self._verdicts.pop(name)[1]}")
        self._try(list(there.values()))

    def print_sum(self) -> None:
        counts = Counter(verdict for verdict, _ in self._verdicts.values())
        say(", ".join(f"{count} {verdict}" for verdict, count in sorted(counts.items())))
        for verdict, line in self._verdicts.values():
            if verdict != "killed":
                say(f"  {verdict}: {line}")

    def _try(self, waiting: list[Mutant]) -> None:
        broken = sorted(
            {path for _, patterns in GROUPS.values() for path in paths_of(self._tree, patterns)}
        )
        tests = find_runners(self._tree, self._state, test_files(self._tree), broken, self._jobs)
        free = [self._state / f"broken-{number}" for number in range(self._jobs)]
        for folder in free:
            shutil.rmtree(folder, ignore_errors=True)
            copy_tree(self._tree, folder)
        running: list[Run] = []
        while waiting or running:
            while waiting and free:
                mutant = waiting.pop(0)
                chosen = nearest(mutant, tests.get(mutant.block, {}))
                if chosen:
                    running.append(start(mutant, free.pop(), chosen))
                else:
                    self._note(mutant, "survived", "no test here runs it")
            time.sleep(LOOK_SECONDS)
            for run in list(running):
                verdict = look_at(run)
                if verdict is not None:
                    running.remove(run)
                    shutil.copyfile(self._tree / run.mutant.path, run.folder / run.mutant.path)
                    free.append(run.folder)
                    self._note(run.mutant, *verdict)

    def _note(self, mutant: Mutant, verdict: str, why: str) -> None:
        line = f"{mutant} ({why})" if why else str(mutant)
        self._verdicts[mutant.name] = [verdict, line]
        save(self._state / "verdicts.json", self._verdicts)
        say(f"{verdict:<9} {line}")


def say(line: str) -> None:
    print(line, flush=True)  # noqa: T201 - its output


# --- one break ---


def start(mutant: Mutant, folder: Path, chosen: Mapping[str, float]) -> Run:
    place = folder / mutant.path
    # Compiled files are told apart by second and size: the last break may have had the same.
    shutil.rmtree(place.parent / "__pycache__", ignore_errors=True)
    place.write_text(mutant.source, encoding="utf-8")
    pid = os.fork()
    if pid == 0:
        enter(folder, folder / "run.log", STARTING_SECONDS + RUN_OUT * sum(chosen.values()))
        os._exit(int(pytest.main([*OPTIONS, "-x", *chosen])))
    return Run(pid, folder, mutant, 0.0, time.monotonic())


def look_at(run: Run) -> tuple[str, str] | None:
    """Return the verdict and what more is known, or None while the tests run."""
    pid, status = os.waitpid(run.pid, os.WNOHANG)
    if pid == 0:
        used = cpu_of(run.pid)
        if used != run.used:
            run.used, run.moved_at = used, time.monotonic()
        if time.monotonic() - run.moved_at < STILL_SECONDS:
            return None
        os.killpg(run.pid, 9)
        os.waitpid(run.pid, 0)
        return "killed", "hangs"
    if os.WIFSIGNALED(status):
        return "killed", "never ends"
    code = os.WEXITSTATUS(status)
    return {0: ("survived", ""), 1: ("killed", "")}.get(code, ("unviable", f"exit code {code}"))


def cpu_of(pid: int) -> float:
    """Return the processor time of a process and its dead children, in the system's ticks."""
    fields = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()
    return float(sum(map(int, fields[11:15])))


def nearest(mutant: Mutant, tests: Mapping[str, float]) -> dict[str, float]:
    """Return the tests to try a break with, in their order."""
    stem = Path(mutant.path).stem
    chosen: dict[str, float] = {}
    for test in sorted(tests, key=lambda test: (stem not in test.split("::")[0], tests[test])):
        if not chosen or sum(chosen.values()) + tests[test] <= WORK_SECONDS:
            chosen[test] = tests[test]
    return chosen


# --- which breaks, which tests ---


def pick(tree: Path, count: int, seed: int) -> list[Mutant]:
    """Return so many breaks; a smaller count gives the first of a greater one."""
    source = Random(seed)
    queues: dict[str, Iterator[Mutant]] = {}
    for group, (_, patterns) in GROUPS.items():
        by_kind: dict[str, list[Mutant]] = defaultdict(list)
        for mutant in mutants_in(tree, patterns):
            by_kind[mutant.kind].append(mutant)
        for kind in sorted(by_kind):
            source.shuffle(by_kind[kind])
        queues[group] = in_turn([by_kind[kind] for kind in sorted(by_kind)])
    order = [group for group, (share, _) in GROUPS.items() for _ in range(share)]
    source.shuffle(order)
    return [next(queues[order[number % len(order)]]) for number in range(count)]


def in_turn(lists: Sequence[Sequence[Mutant]]) -> Iterator[Mutant]:
    """Yield the first of each list, then the second of each, and so on."""
    for number in range(max(map(len, lists))):
        yield from (mutants[number] for mutants in lists if number < len(mutants))


def all_mutants(tree: Path) -> Iterator[Mutant]:
    for _, patterns in GROUPS.values():
        yield from mutants_in(tree, patterns)


def mutants_in(tree: Path, patterns: Sequence[str]) -> Iterator[Mutant]:
    for path in paths_of(tree, patterns):
        yield from find_mutants((tree / path).read_text(encoding="utf-8"), path)


def paths_of(tree: Path, patterns: Sequence[str]) -> list[str]:
    places = sorted(place for pattern in patterns for place in tree.glob(pattern))
    return [each.relative_to(tree).as_posix() for each in places if each.name not in NOT_BROKEN]


def test_files(tree: Path) -> list[str]:
    found: list[str] = []
    for name in NEAREST:
        places = [tree / name] if name.endswith(".py") else sorted((tree / name).rglob("test_*.py"))
        found += [each.relative_to(tree).as_posix() for each in places]
    return found


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
