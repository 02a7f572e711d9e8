"""What reading a photo costs: seconds of one core, and the memory of the process that reads it."""

from __future__ import annotations

import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

from bot.photo.reading import read_photo
from engine import format_grid
from tests.bench.photo.hands import Supplies
from tests.bench.photo.samples import make_sample

_READ_APART = """
import sys
from pathlib import Path
from bot.photo.limits import keep_within
from bot.photo.reading import read_photo
from engine import parse_grid
keep_within(60, 10**9)
read_photo(Path(sys.argv[1]).read_bytes(), {"today": parse_grid(sys.argv[2])})
print(Path("/proc/self/status").read_text().split("VmHWM:")[1].split()[0])
"""


def find_figures(supplies: Supplies, megapixels: float) -> Iterator[str]:
    """Yield what photos of some sizes cost."""
    for size in sorted({1.0, 4.0, 12.0, megapixels}):
        if size > megapixels:
            continue
        sample = make_sample(0, supplies, most_megapixels=megapixels, exact_megapixels=size)
        content, puzzle = sample.shot.content, sample.content.puzzle
        read_photo(content, {"today": puzzle})
        took = []
        for _ in range(5):
            start = time.process_time()
            read_photo(content, {"today": puzzle})
            took.append(time.process_time() - start)
        yield (
            f"{size:g} MP: {statistics.median(took):.2f} s of the processor,"
            f" {_find_peak(content, format_grid(puzzle)) / 1024:.0f} MB at its peak, all counted"
        )


def _find_peak(content: bytes, puzzle: str) -> int:
    """Return the most memory that a process which reads a photo held, in kB."""
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "photo.jpg"
        file.write_bytes(content)
        told = subprocess.run(
            [sys.executable, "-c", _READ_APART, str(file), puzzle],
            capture_output=True,
            text=True,
            check=True,
            env={"OPENBLAS_NUM_THREADS": "1", "PYTHONPATH": str(Path(__file__).parents[3])},
        )
    return int(told.stdout)
