"""Rules that machines keep: who imports whom, types, style, sizes, and where async may be."""

from __future__ import annotations

import ast
import subprocess
import sys
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
LONGEST_MODULE = 400
ASYNC_PLACES = (
    "bot/club/service.py", "bot/club/ports.py", "bot/club/fake_store.py", "bot/schedule.py",
    "bot/sending.py", "bot/workshop.py", "bot/wiring.py", "bot/wiring_discord.py",
    "bot/wiring_matrix.py", "bot/founding.py", "bot/stocker.py", "bot/cli_puzzles.py",
    "bot/watchdog.py",
    "bot/exchange.py", "bot/demo.py", "bot/cli_host.py", "bot/storage/", "bot/chat/",
)  # fmt: skip
FORBIDDEN_WORDS = (
    "utils", "helpers", "helper", "manager", "handler", "data", "info", "misc", "do", "process",
)  # fmt: skip


def modules() -> Iterator[Path]:
    for package in ("engine", "bot"):
        yield from sorted((ROOT / package).rglob("*.py"))


@cache
def tree_of(module: Path) -> ast.Module:
    return ast.parse(module.read_text(encoding="utf-8"))


def run_tool(*command: str) -> None:
    done = subprocess.run(
        [sys.executable, *command], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stdout + done.stderr


def test_imports_point_one_way() -> None:
    run_tool("-c", "from importlinter.cli import lint_imports_command as run; run()", "--no-cache")


def test_the_code_keeps_to_its_style() -> None:
    run_tool("-m", "ruff", "check", "--no-cache", ".")


def test_both_packages_are_strictly_typed() -> None:
    pytest.importorskip("nio", reason="matrix-nio, whose types are checked too, is not installed")
    run_tool("-m", "mypy")


@pytest.mark.parametrize("module", tuple(modules()), ids=lambda path: str(path.relative_to(ROOT)))
def test_a_module_is_short_and_opens_with_what_it_is(module: Path) -> None:
    text = module.read_text(encoding="utf-8")
    assert len(text.splitlines()) <= LONGEST_MODULE
    if text.strip():
        assert ast.get_docstring(tree_of(module)), "a module opens with what it is"


def test_async_stays_where_waiting_belongs() -> None:
    strays = []
    for module in modules():
        name = module.relative_to(ROOT).as_posix()
        if name.startswith(ASYNC_PLACES):
            continue
        strays += [
            f"{name}:{node.lineno} {node.name}"
            for node in ast.walk(tree_of(module))
            if isinstance(node, ast.AsyncFunctionDef)
        ]
    assert not strays


def test_names_say_what_things_are() -> None:
    strays = []
    for module in modules():
        names = [module.stem] + [
            node.name
            for node in ast.walk(tree_of(module))
            if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef)
        ]
        strays += [
            f"{module.relative_to(ROOT)}: {name}"
            for name in names
            if set(name.lower().strip("_").split("_")) & set(FORBIDDEN_WORDS)
        ]
    assert not strays
