"""What holds for every test: an ERROR in the log fails it, hypothesis repeats itself exactly, and
the laws print how often each technique fired.
"""

from __future__ import annotations

import gc
import logging
import os
import sys
from collections import Counter
from collections.abc import Iterator
from importlib.util import find_spec
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, settings

# Where the environment forbids compiled files, as those of containers do, each of the many programs
# that tests start would compile Ninebark anew, and each test process all the tests.
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
sys.dont_write_bytecode = False

# As where photos are read: threads on every core only wait for each other where all are busy. It
# must be said before numpy is loaded.
os.environ["OPENBLAS_NUM_THREADS"] = "1"

UNTIMED = {"database": None, "deadline": None, "suppress_health_check": [HealthCheck.too_slow]}
settings.register_profile("repeatable", derandomize=True, max_examples=50, **UNTIMED)
settings.register_profile("exploring", max_examples=1000, **UNTIMED)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "repeatable"))

NO_SKIPS = bool(os.environ.get("NINEBARK_NO_SKIPS"))
LACKS_MATRIX = find_spec("nio") is None
"""Where its encryption has no wheel for this Python, the test extra leaves matrix-nio out."""

LONGEST_FIRST = (
    "crash", "matrix", "test_house_rules.py", "test_wheel.py", "browser", "discord", "contract",
    "property", "proof", "published",
)  # fmt: skip
"""What takes long in one file, or waits for a program, comes before the many short tests: these
keep every process busy until the end."""

collect_ignore = (
    ["matrix", "crash/test_matrix_kill.py", "browser/test_linked_board_matrix.py"]
    if LACKS_MATRIX
    else []
)

FIRED: dict[str, Counter[str]] = {}
"""Law -> technique -> how often it fired while the law was checked."""

LEFT_OUT: set[str] = set()
"""Tests marked `long` that this run leaves out."""


def pytest_xdist_auto_num_workers() -> int:
    """Return two more than the cores: tests of a homeserver or a browser wait for it for much of
    their time.
    """
    return len(os.sched_getaffinity(0)) + 2 if hasattr(os, "sched_getaffinity") else 2


class _ErrorKeeper(logging.Handler):
    def __init__(self) -> None:
        super().__init__(logging.ERROR)
        self.lines: list[str] = []

    def emit(self, record: logging.LogRecord) -> None:
        self.lines.append(f"{record.name}: {record.getMessage()}")


@pytest.hookimpl(hookwrapper=True)
def pytest_runtest_makereport(item: pytest.Item, call: pytest.CallInfo[None]) -> Iterator[None]:
    """Where NINEBARK_NO_SKIPS is set, as in CI, a test that skips has failed."""
    outcome = yield
    report = outcome.get_result()  # type: ignore[attr-defined] # pluggy's Result, typed as None
    if report.skipped and not hasattr(report, "wasxfail") and NO_SKIPS:
        report.outcome = "failed"
        report.longrepr = f"skipped, and here nothing may be: {report.longrepr}"


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    def rank(item: pytest.Item) -> int:
        place = item.path.relative_to(Path(__file__).parent).parts[0]
        return LONGEST_FIRST.index(place) if place in LONGEST_FIRST else len(LONGEST_FIRST)

    items.sort(key=rank)


def pytest_collection_finish() -> None:
    """Take what was collected out of the garbage collector's rounds: it stays to the end, and
    going through ten thousand tests again and again is a tenth of a run's work.
    """
    gc.collect()
    gc.freeze()


def pytest_deselected(items: list[pytest.Item]) -> None:
    LEFT_OUT.update(item.nodeid for item in items if item.get_closest_marker("long"))


def pytest_report_header() -> list[str]:
    return ["left out: tests in Matrix, since matrix-nio is not installed"] if LACKS_MATRIX else []


def pytest_configure(config: pytest.Config) -> None:
    if LACKS_MATRIX and NO_SKIPS:
        raise pytest.UsageError("matrix-nio is not installed, and here nothing may be left out")
    config.addinivalue_line("markers", "expects_error_log: the test provokes an ERROR on purpose")
    config.addinivalue_line("markers", "common_practice: a fact of the trade, published by nobody")


@pytest.fixture(autouse=True)
def _no_error_in_the_log(request: pytest.FixtureRequest) -> Iterator[None]:
    keeper = _ErrorKeeper()
    root = logging.getLogger()
    root.addHandler(keeper)
    try:
        yield
    finally:
        root.removeHandler(keeper)
    expected = request.node.get_closest_marker("expects_error_log") is not None
    if keeper.lines and not expected:
        pytest.fail("ERROR in the log: " + "; ".join(keeper.lines), pytrace=False)


@pytest.fixture
def fired(request: pytest.FixtureRequest) -> Counter[str]:
    """The counter of this test's law, printed at the end of the run."""
    return FIRED.setdefault(request.node.originalname, Counter())


def pytest_sessionfinish(session: pytest.Session) -> None:
    """A test process of several hands its counts to the one that prints."""
    output = getattr(session.config, "workeroutput", None)
    if output is not None:
        output["fired"] = {law: dict(counts) for law, counts in FIRED.items()}
        output["left_out"] = list(LEFT_OUT)


@pytest.hookimpl(optionalhook=True)
def pytest_testnodedown(node: Any, error: object) -> None:
    for law, counts in getattr(node, "workeroutput", {}).get("fired", {}).items():
        FIRED.setdefault(law, Counter()).update(counts)
    LEFT_OUT.update(getattr(node, "workeroutput", {}).get("left_out", ()))


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    if LEFT_OUT:
        title = f"left out: {len(LEFT_OUT)} long tests; `pytest -m long` runs them"
        terminalreporter.section(title)
        counts = Counter(test.partition("::")[0] for test in LEFT_OUT)
        for place, count in sorted(counts.items()):
            terminalreporter.write_line(f"{place}: {count}")
    if FIRED:
        terminalreporter.section("how often each technique fired, and what else a law counted")
    for law, counts in FIRED.items():
        total = sum(counts.values())
        terminalreporter.write_line(f"{law}: {total} times")
        terminalreporter.write_line(
            "    " + ", ".join(f"{technique} {count}" for technique, count in counts.items())
        )
