"""Runs the benchmarks named on the command line, or all of them, and prints their figures."""

from __future__ import annotations

import sys
from importlib import import_module
from pathlib import Path

BENCHMARKS = (
    "search",
    "hard_search",
    "hostile",
    "hints",
    "rating",
    "many",
    "making",
    "commit",
    "scale",
    "picture",
    "words",
    "openings",
    "discord",
    "matrix",
    "serving",
    "boards",
    "photo",
    "tapping",
)


def main(names: list[str]) -> int:
    if names[:1] == ["photo"] and len(names) == 2:
        for figure in import_module("tests.bench.photo.folder").find_figures(Path(names[1])):
            print(figure, flush=True)  # noqa: T201 - its output
        return 0
    unknown = [name for name in names if name not in BENCHMARKS]
    if unknown:
        print(f"no benchmark {', '.join(unknown)}; there are {', '.join(BENCHMARKS)}")  # noqa: T201 - its output
        return 2
    for name in names or BENCHMARKS:
        module = import_module(f"tests.bench.{name}")
        print(f"{name}: {(module.__doc__ or '').splitlines()[0]}", flush=True)  # noqa: T201 - its output
        for figure in module.find_figures():
            print(figure, flush=True)  # noqa: T201 - its output
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
