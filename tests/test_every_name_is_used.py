"""A name that nothing uses is gone: one that only its own test uses too, but for what is kept here.

Names are counted, not looked up: one that several things share passes where any of them is used.
"""

from __future__ import annotations

import ast
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
KEPT = {
    "FakeRoom": "the room's fake, shipped beside its port",
    "FakeRoomLog": "the log's fake, shipped beside its port",
    "FakeStore": "the store's fake, shipped beside its port",
    "load_notices": "what the outbox holds, for whoever keeps a store: the contract asks it",
    "check_store": "whether a database is sound: asked of what a killed bot left",
    "prune_dated": "what the day's copy removes old ones by; nothing makes one a day yet",
    "run_bare": "what SQLite allows only outside a transaction: the tests fill a disk by it",
    "command_names": "the table's names, for those who test that each is there",
    "BUTTON_COMMAND_LIMIT": "a promise of the port, which the words are held to",
    "receiver": "a part of a key: two lanes differ in it",
    "is_idle": "a part of a verdict at the door",
    "unsaid_places": "a part of a verdict at the door",
    "private": "a field that the page reads",
}
"""Name: why it stays."""

CALLED_BY_LIBRARIES = ("on_", "visit_", "setup_hook")


def find_uses(tree: ast.Module, *, is_door: bool) -> Iterator[str]:
    """Yield each name as often as it is used: read, asked of something, given by keyword.

    To be listed in `__all__` is a use at the door alone, which outsiders come by.
    """
    listed = {
        id(each)
        for node in tree.body
        if isinstance(node, ast.Assign) and ast.unparse(node.targets[0]) == "__all__"
        for each in ast.walk(node.value)
    }
    for node in ast.walk(tree):
        if isinstance(node, ast.Name) and isinstance(node.ctx, ast.Load):
            yield node.id
        elif isinstance(node, ast.Attribute):
            yield node.attr
        elif isinstance(node, ast.keyword) and node.arg:
            yield node.arg
        elif isinstance(node, ast.MatchClass):
            yield from node.kwd_attrs
        elif isinstance(node, ast.Constant) and (is_door or id(node) not in listed):
            yield str(node.value)


def find_definitions(tree: ast.Module) -> Iterator[tuple[int, str]]:
    """Yield the line and name of each function, class, field and constant."""
    for node in ast.walk(tree):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef):
            yield node.lineno, node.name
        elif isinstance(node, ast.AnnAssign) and isinstance(node.target, ast.Name):
            yield node.lineno, node.target.id
    for node in tree.body:
        if isinstance(node, ast.Assign):
            yield from (
                (node.lineno, each.id) for each in node.targets if isinstance(each, ast.Name)
            )


def find_unused(root: Path) -> dict[str, str]:
    """Return each name of both packages that nothing in them uses, with where it is defined."""
    trees = {
        path.relative_to(root).as_posix(): ast.parse(path.read_text(encoding="utf-8"))
        for package in ("bot", "engine")
        for path in sorted((root / package).rglob("*.py"))
    }
    uses = Counter(
        name
        for path, tree in trees.items()
        for name in find_uses(tree, is_door=path.startswith("engine/"))
    )
    return {
        name: f"{path}:{line}"
        for path, tree in trees.items()
        for line, name in find_definitions(tree)
        if not uses[name] and not name.startswith(("__", *CALLED_BY_LIBRARIES))
    }


def test_every_name_of_the_packages_is_used_in_them() -> None:
    unused = find_unused(ROOT)
    assert {name: place for name, place in unused.items() if name not in KEPT} == {}


def test_a_name_that_nothing_uses_is_found(tmp_path: Path) -> None:
    (tmp_path / "bot").mkdir()
    (tmp_path / "bot" / "a.py").write_text(
        '__all__ = ["lost"]\nLOST = 1\nKEPT = 2\n'
        "class Row:\n    field: int\n    other: int = KEPT\n"
        "def lost() -> int:\n    return Row(field=1).field\n",
        encoding="utf-8",
    )
    assert find_unused(tmp_path) == {
        "LOST": "bot/a.py:2",
        "other": "bot/a.py:6",
        "lost": "bot/a.py:7",
    }
