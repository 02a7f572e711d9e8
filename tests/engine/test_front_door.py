"""The engine's front door is a list: sorted, complete, and all of it there."""

from __future__ import annotations

import ast
import sys
from pathlib import Path

import engine

ROOT = Path(__file__).resolve().parents[2]


def _rank(name: str) -> tuple[bool, bool, str]:
    """Constants, then classes, then functions, as the linter sorts them."""
    return (not name.isupper(), not name[0].isupper(), name)


def test_the_list_is_sorted_and_holds_just_what_is_imported() -> None:
    tree = ast.parse(Path(engine.__file__).read_text(encoding="utf-8"))
    imported = [
        alias.asname or alias.name
        for node in tree.body
        if isinstance(node, ast.ImportFrom)
        for alias in node.names
    ]
    assert engine.__all__ == sorted(imported, key=_rank)


def test_the_bot_comes_in_by_the_door_alone() -> None:
    behind = [
        f"{path.relative_to(ROOT)}:{node.lineno} {node.module}"
        for path in sorted(ROOT.glob("bot/**/*.py"))
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("engine.")
    ]
    assert behind == []


def test_every_listed_name_is_there() -> None:
    assert [name for name in engine.__all__ if not hasattr(engine, name)] == []


def test_every_error_of_the_family_is_listed() -> None:
    def family_of(error: type[Exception]) -> set[str]:
        return {error.__name__}.union(*map(family_of, error.__subclasses__()))

    assert family_of(engine.EngineError) <= set(engine.__all__)


def test_the_engine_imports_the_standard_library_and_itself_only() -> None:
    foreign = set()
    for path in ROOT.glob("engine/**/*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Import):
                names = [alias.name for alias in node.names]
            elif isinstance(node, ast.ImportFrom):
                names = [node.module or ""]
            else:
                continue
            for name in names:
                top = name.partition(".")[0]
                if top != "engine" and top not in sys.stdlib_module_names:
                    foreign.add((path.name, name))
    assert foreign == set()


def test_the_engine_knows_no_clock_and_of_randomness_only_the_passed_in_kind() -> None:
    taken = set()
    for path in ROOT.glob("engine/**/*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Import):
                taken |= {alias.name for alias in node.names}
            elif isinstance(node, ast.ImportFrom):
                taken |= {f"{node.module}.{alias.name}" for alias in node.names}
    assert {name for name in taken if name.split(".")[0] in {"random", "secrets", "uuid"}} == {
        "random.Random"
    }
    assert not {name.split(".")[0] for name in taken} & {"time", "datetime", "asyncio", "os"}
