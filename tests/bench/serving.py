"""`ninebark run`: from start to a page that answers, and the memory that it then holds."""

from __future__ import annotations

import subprocess
import sys
import tempfile
import time
import urllib.request
from collections.abc import Iterator
from pathlib import Path

from tests.bench import Figure, median

ROUNDS = 5
MOST_SECONDS, MOST_MEGABYTES = 1.5, 80.0
CONFIG = """
[web]
port = 0
[[club]]
platform = "web"
room = "main"
name = "Hedgerow Sudoku Club"
"""


def _start(config: Path) -> tuple[float, float, int]:
    """Run the clubs; return seconds to a served page, resident megabytes, child processes."""
    begun = time.perf_counter()
    running = subprocess.Popen(
        [sys.executable, "-m", "bot", "run", "--config", str(config)],
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
    )
    assert running.stdout is not None
    try:
        line = running.stdout.readline()
        address = next(word for word in line.split() if word.startswith("http"))
        with urllib.request.urlopen(address) as page:
            assert page.status == 200
        seconds = time.perf_counter() - begun
        children = Path(f"/proc/{running.pid}/task/{running.pid}/children").read_text()
        status = Path(f"/proc/{running.pid}/status").read_text()
    finally:
        running.terminate()
        running.wait()
        running.stdout.close()
    resident = next(line for line in status.splitlines() if line.startswith("VmRSS"))
    return seconds, int(resident.split()[1]) / 1024, len(children.split())


def find_figures() -> Iterator[Figure]:
    """The first start of a data folder makes the database; the others find it."""
    with tempfile.TemporaryDirectory() as folder:
        config = Path(folder, "config.toml")
        config.write_text(CONFIG, encoding="utf-8")
        first = _start(config)
        runs = [_start(config) for _ in range(ROUNDS)]
    seconds, memory = median([run[0] for run in runs]), median([run[1] for run in runs])
    yield Figure("first start to a served page", first[0], "s", "", True)
    yield Figure(
        "start to a served page, median", seconds, "s", "under 1.5", seconds < MOST_SECONDS
    )
    yield Figure("resident memory, median", memory, "MB", "under 80", memory < MOST_MEGABYTES)
    yield Figure("worker processes while idle", runs[-1][2], "", "none", runs[-1][2] == 0)
