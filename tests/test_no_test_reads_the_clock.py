"""No test depends on the day, the hour or the speed of the machine: it reads no wall clock, does
not sleep, waits with PATIENCE alone, and compares no seconds. What has to is listed, with why.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

TESTS = Path(__file__).resolve().parent

WALL_CLOCKS = {
    "datetime.now", "datetime.utcnow", "datetime.today", "date.today", "time.time", "time.time_ns",
    "time.localtime", "time.gmtime", "time.strftime", "time.ctime", "utc_now",
}  # fmt: skip
STOPWATCHES = {
    "time.monotonic", "time.monotonic_ns", "time.perf_counter", "time.perf_counter_ns",
    "time.process_time", "time.thread_time", "loop.time", "get_running_loop().time",
}  # fmt: skip
SLEEPS = {"time.sleep", "asyncio.sleep"}
KINDS = dict.fromkeys(WALL_CLOCKS, "wall clock") | dict.fromkeys(STOPWATCHES, "stopwatch")
LIMITS = {"asyncio.timeout", "asyncio.wait_for"}
"""What has PATIENCE and nothing else."""
WAITS = {"wait", "join"}
"""What may take a limit in seconds as its only argument."""

A_REAL_SERVER = "the real homeserver beside it stamps by the machine's clock"
A_REAL_PROGRAM = "the bot runs as a program of its own, by the machine's clock"

MAY: dict[str, dict[str, str]] = {
    "wall clock": {
        "contract/matrix_stage.py": A_REAL_SERVER,
        "contract/test_room.py": A_REAL_SERVER,
        "crash/matrix_nursery.py": A_REAL_SERVER,
        "doubles/matrix/club_house.py": A_REAL_SERVER,
        "matrix/conftest.py": A_REAL_SERVER,
        "matrix/setting.py": A_REAL_SERVER,
        "matrix/test_faults.py": A_REAL_SERVER,
        "crash/test_whole_bot.py": A_REAL_PROGRAM,
        "doubles/discord/double.py": A_REAL_PROGRAM,
    },
    "stopwatch": {
        "bot/growth.py": "ratios of processor time within one run",
        "bot/test_a_year.py": "printed, and compared with nothing",
        "bot/year.py": "ratios of processor time within one run",
        "discord/storm_life.py": "printed by a long run, and compared with nothing",
        "discord/storms.py": "printed by a long run; compared is only what came first",
        "doubles/discord/double.py": "PATIENCE, where there is nothing to wait for",
        "doubles/discord/pace.py": "Discord's limits are in seconds, and the library keeps to them",
    },
    "sleep": {
        "bot/test_workshop.py": "a worker that does not listen",
        "discord/storm_life.py": "how long the loop does not come round is what it measures",
        "discord/storms.py": "looks again whether all clubs of a long run have closed",
        "matrix/test_faults.py": "the homeserver's limits are in seconds",
    },
    "limit": {
        "doubles/discord/double.py": "looks again for what leaves no trace",
        "doubles/matrix/homeserver.py": "looks again whether a program answers",
    },
}  # fmt: skip


def modules() -> list[Path]:
    """All of the tests, but for the benches, which print ratios."""
    return sorted(
        path for path in TESTS.rglob("*.py") if path.relative_to(TESTS).parts[0] != "bench"
    )


def is_seconds(node: ast.expr) -> bool:
    """Say whether an argument is a number that is written out."""
    return isinstance(node, ast.Constant) and type(node.value) in (int, float)


def faults_in(tree: ast.AST) -> Iterator[tuple[str, int]]:
    """Yield what depends on the machine's clock or speed: which kind, and in which line."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Attribute | ast.Name):
            spelt = ast.unparse(node).removeprefix("asyncio.")
            kind = KINDS.get(spelt)
            if kind is not None:
                yield kind, node.lineno
        elif isinstance(node, ast.Call):
            name, values = ast.unparse(node.func), node.args
            limits = [each.value for each in node.keywords if each.arg == "timeout"]
            if name in SLEEPS and not (is_seconds(values[0]) and ast.unparse(values[0]) == "0"):
                yield "sleep", node.lineno
            if name.rpartition(".")[2] in WAITS and len(values) == 1:
                limits += values
            is_patient = "PATIENCE" in ast.unparse(node)
            if any(map(is_seconds, limits)) or (name in LIMITS and not is_patient):
                yield "limit", node.lineno


@pytest.mark.parametrize("module", modules(), ids=lambda path: str(path.relative_to(TESTS)))
def test_a_test_depends_on_no_day_hour_or_speed(module: Path) -> None:
    place = module.relative_to(TESTS).as_posix()
    found = faults_in(ast.parse(module.read_text(encoding="utf-8")))
    assert [(kind, line) for kind, line in found if place not in MAY[kind]] == []


def test_what_is_allowed_is_needed() -> None:
    """A file is listed only while it does what is allowed to it."""
    for kind, places in MAY.items():
        for place in places:
            tree = ast.parse((TESTS / place).read_text(encoding="utf-8"))
            assert kind in {each for each, _ in faults_in(tree)}, (kind, place)


PLANTED = {
    "wall clock": ("datetime.now(UTC)", "date.today()", "time.time()", "open_store(None, utc_now)"),
    "stopwatch": ("time.perf_counter()", "asyncio.get_running_loop().time()", "loop.time()"),
    "sleep": ("time.sleep(1)", "asyncio.sleep(0.1)", "asyncio.sleep(pause)"),
    "limit": (
        "asyncio.timeout(5)", "asyncio.wait_for(it, 30)", "asyncio.wait_for(it, timeout=2.5)",
        "go_on.wait(10)", "process.wait(timeout=3)", "urlopen(request, timeout=20)",
    ),
}  # fmt: skip


def test_the_rule_finds_what_is_planted() -> None:
    for kind, lines in PLANTED.items():
        for line in lines:
            assert [each for each, _ in faults_in(ast.parse(line))] == [kind], line
    for line in ("asyncio.sleep(0)", "asyncio.timeout(PATIENCE)", "go_on.wait(PATIENCE)", "now()"):
        assert list(faults_in(ast.parse(line))) == []
