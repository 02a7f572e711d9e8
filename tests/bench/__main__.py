"""Runs the benchmarks named on the command line, or all of them, and prints their figures."""

from __future__ import annotations

import sys
from importlib import import_module

BENCHMARKS = (
    "search",
    "hard_search",
    "hostile",
    "hints",
    "rating",
    "many",
    "making",
    "commit",
    "picture",
    "words",
    "discord",
    "matrix",
    "serving",
    "boards",
)


def main(names: list[str]) -> int:
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
