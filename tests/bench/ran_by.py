"""Which tests run which blocks of statements: each test file runs once, by itself, in a copy of the
tree whose blocks note that they ran. What was found is kept, and found again only for test files
that have changed since.
"""

from __future__ import annotations

import ast
import json
import os
import resource
import shutil
import sys
import time
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from hashlib import sha256
from pathlib import Path
from typing import Any

# Loaded once, before the forks.
import aiohttp  # noqa: F401
import aiosqlite  # noqa: F401
import msgspec  # noqa: F401
import PIL.Image  # noqa: F401
import pytest

from tests.bench.mutants import blocks_of

ROOT = Path(__file__).parents[2]
PARTS = ("assets", "bot", "engine", "tests", "pyproject.toml", "README.md", "config.example.toml")
OPTIONS = (
    "-q", "-n", "0", "-p", "no:cacheprovider", "--no-header", "-W",
    "ignore::pytest.PytestAssertRewriteWarning",
)  # fmt: skip
HOUR = 3600.0


class Recorder:
    """Notes for each test that passes which blocks ran, and its processor time in seconds."""

    def __init__(self, names: Sequence[str]) -> None:
        self._names = names
        self._is_sound = True
        self.found: dict[str, dict[str, Any]] = {}

    @pytest.hookimpl(hookwrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> Iterator[None]:
        hits: bytearray = sys.modules["ninebark_hits"].HITS
        hits[:] = bytes(len(hits))
        self._is_sound = True
        begin = time.process_time()
        yield
        seconds = time.process_time() - begin
        ran = [name for name, hit in zip(self._names, hits, strict=True) if hit]
        if self._is_sound:
            self.found[item.nodeid] = {"seconds": seconds, "blocks": ran}

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        self._is_sound = self._is_sound and report.passed


def find_runners(
    tree: Path, state: Path, test_files: Sequence[str], broken: Iterable[str], jobs: int
) -> Mapping[str, Mapping[str, float]]:
    """Return for each block the tests that run it, with their seconds.

    A file's path and a colon stand for what is outside its functions: what any test of it runs.
    """
    folder = state / "gather"
    shutil.rmtree(folder, ignore_errors=True)
    copy_tree(tree, folder)
    names = instrument(folder, broken)
    kept = load(state / "gathered.json")
    keys = {path: _key_of(tree / path, path) for path in test_files}
    waiting = [path for path in test_files if keys[path] not in kept]
    running: dict[int, str] = {}
    while waiting or running:
        while waiting and len(running) < jobs:
            path = waiting.pop(0)
            running[_start(folder, path, names, state)] = path
        pid, status = os.wait()
        path = running.pop(pid)
        if os.waitstatus_to_exitcode(status) not in (0, 1, 5):
            raise SystemExit(f"{path} does not run by itself: {_log_of(state, path).read_text()}")
        kept[keys[path]] = load(_out_of(state, path))
        save(state / "gathered.json", kept)
        print(f"gathered  {path}: {len(kept[keys[path]])} tests", flush=True)  # noqa: T201 - its output
    found: dict[str, dict[str, float]] = defaultdict(dict)
    for key in keys.values():
        for test, noted in kept[key].items():
            for block in noted["blocks"]:
                found[block][test] = found[f"{block.split(':')[0]}:"][test] = noted["seconds"]
    return found


def _start(folder: Path, path: str, names: Sequence[str], state: Path) -> int:
    _out_of(state, path).unlink(missing_ok=True)
    pid = os.fork()
    if pid == 0:
        recorder = Recorder(names)
        enter(folder, _log_of(state, path), HOUR)
        code = pytest.main([*OPTIONS, path], plugins=[recorder])
        save(_out_of(state, path), recorder.found)
        os._exit(int(code))
    return pid


def _key_of(place: Path, path: str) -> str:
    return f"{path} {sha256(place.read_bytes()).hexdigest()[:12]}"


def _out_of(state: Path, path: str) -> Path:
    return state / f"{path.replace('/', '-')}.json"


def _log_of(state: Path, path: str) -> Path:
    return state / f"{path.replace('/', '-')}.log"


def instrument(folder: Path, broken: Iterable[str]) -> list[str]:
    """Let each block of statements of some files note that it ran; return the blocks' names."""
    names: list[str] = []
    for path in broken:
        tree = ast.parse((folder / path).read_text(encoding="utf-8"))
        for name, statements in list(blocks_of(tree, path)):
            note = ast.parse(f"_ninebark_hits[{len(names)}] = 1").body[0]
            statements.insert(_is_docstring(statements[0]), note)
            names.append(name)
        heads = [_is_docstring(each) or _is_from_the_future(each) for each in tree.body]
        start = [*heads, False].index(False)
        tree.body[start:start] = ast.parse("from ninebark_hits import HITS as _ninebark_hits").body
        (folder / path).write_text(ast.unparse(ast.fix_missing_locations(tree)), encoding="utf-8")
    (folder / "ninebark_hits.py").write_text(f"HITS = bytearray({len(names)})\n")
    return names


def _is_docstring(node: ast.stmt) -> bool:
    return isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant)


def _is_from_the_future(node: ast.stmt) -> bool:
    return isinstance(node, ast.ImportFrom) and node.module == "__future__"


# --- copies, and processes in them ---


def enter(folder: Path, log: Path, cpu_seconds: float) -> None:
    """Make a forked process one of a copy of the tree, with a bound on its work."""
    out = os.open(log, os.O_WRONLY | os.O_CREAT | os.O_TRUNC)
    for stream in (1, 2):
        os.dup2(out, stream)
    os.setpgid(0, 0)
    os.chdir(folder)
    sys.path[:] = [str(folder), *(each for each in sys.path if each not in ("", str(ROOT)))]
    os.environ["PYTHONPATH"] = str(folder)
    for name in [each for each in sys.modules if each.split(".")[0] in ("bot", "engine", "tests")]:
        del sys.modules[name]
    if (folder / "ninebark_hits.py").exists():
        __import__("ninebark_hits")
    most = int(cpu_seconds) + 1
    resource.setrlimit(resource.RLIMIT_CPU, (most, most + 5))


def copy_tree(source: Path, target: Path) -> None:
    target.mkdir(parents=True)
    for part in PARTS:
        if (source / part).is_dir():
            skipped = shutil.ignore_patterns("__pycache__", ".hypothesis")
            shutil.copytree(source / part, target / part, ignore=skipped)
        else:
            shutil.copyfile(source / part, target / part)


def load(path: Path) -> dict[str, Any]:
    found: dict[str, Any] = json.loads(path.read_text()) if path.exists() else {}
    return found


def save(path: Path, content: object) -> None:
    path.write_text(json.dumps(content))
