"""Many at once on the command line: rated by one core and by all, and added to a stock.

The command runs as a program, its start included, and both runs of a pair have the same lines.
How long one waits depends on what else the machine does, so what counts are the ratios, and the
processor time of all processes together. The workers have low priority, so one core gets it too.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
from collections.abc import Iterator, Sequence
from pathlib import Path

from bot.stock.at_once import count_cores
from engine.board.grid import format_grid
from tests.bench import Figure, seconds_of
from tests.bench.proving import minimal_puzzles
from tests.bot.founding import found

LINES = 300
FEW = 60
"""With turning points, which take longer."""

AIM_SECONDS = 60.0
"""Of processor time for a thousand ratings: 30 s on two cores."""

AIM_ADDED = 240.0
"""Of processor time for five thousand added: 2 minutes on two cores."""


NICENESS = 10
"""Of the workers (`bot.stock.workshop.settle_down`)."""

PROGRAM = """
import os, sys
from bot.cli.main import main

if __name__ == "__main__":
    os.nice({niceness})
    os.sched_setaffinity(0, {cores})
    sys.exit(main(sys.argv[1:]))
"""


def find_figures() -> Iterator[Figure]:
    lines = [format_grid(grid) for grid in minimal_puzzles(LINES)]
    cores = count_cores()
    everywhere = tuple(range(cores))
    one, one_cpu = _run(("rate", "--json"), lines, (min(os.sched_getaffinity(0)),))
    everyone, all_cpu = _run(("rate", "--json"), lines, everywhere)
    yield Figure("rate: lines a second, one core", LINES / one, "")
    yield Figure(f"rate: lines a second, {cores} cores", LINES / everyone, "")
    yield Figure(f"rate: {cores} cores against one", one / everyone, "times")
    yield Figure("rate: processor time of all cores against one", all_cpu / one_cpu, "times")
    cost = 1000 * all_cpu / LINES
    yield Figure(
        "rate: processor time of a thousand", cost, "s", f"< {AIM_SECONDS:g}", cost < AIM_SECONDS
    )
    _, few = _run(("rate", "--json"), lines[:FEW], everywhere)
    _, turning = _run(("rate", "--json", "--turning-points"), lines[:FEW], everywhere)
    yield Figure("rate: processor time with turning points against without", turning / few, "times")
    with tempfile.TemporaryDirectory() as folder:
        add = ("puzzles", "add", "--data", str(found(Path(folder))))
        _, added = _run(add, lines, everywhere)
        _, again = _run(add, lines, everywhere, answers=1)
    cost = 5000 * added / LINES
    yield Figure(
        "add: processor time of five thousand", cost, "s", f"< {AIM_ADDED:g}", cost < AIM_ADDED
    )
    yield Figure("add: processor time of the same again against new ones", again / added, "times")


def _run(
    words: Sequence[str], lines: Sequence[str], cores: Sequence[int], answers: int | None = None
) -> tuple[float, float]:
    """Run a command on some cores; return the seconds, and the processor's of all processes.

    There are as many answers as lines, or as said.
    """
    program = PROGRAM.format(cores=tuple(cores), niceness=NICENESS if len(cores) == 1 else 0)
    with tempfile.TemporaryDirectory() as folder:
        script = Path(folder, "ninebark_on_cores.py")
        script.write_text(program, encoding="utf-8")
        command = [sys.executable, str(script), *words, "-"]
        environment = {**os.environ, "PYTHONPATH": str(Path(__file__).parents[2])}

        def run() -> None:
            text = "\n".join(lines)
            ran = subprocess.run(
                command, input=text, capture_output=True, text=True, check=False, env=environment
            )
            told = len(ran.stdout.splitlines()) + len(ran.stderr.splitlines())
            if told != (answers or len(lines)):
                raise SystemExit(f"{told} answers to {len(lines)} lines: {ran.stderr[-500:]}")

        before = os.times()
        seconds = seconds_of(run)
        after = os.times()
    children = after.children_user + after.children_system
    return seconds, children - before.children_user - before.children_system
