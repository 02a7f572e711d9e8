"""Nothing but layout.py says how many cells, digits or candidates a grid has.

Read off the syntax trees, so that a comment or a text may say "nine lines" but no number stands
for the size of a grid. Where a number means something else, a line's comment says `not a size`.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
OWNER = ROOT / "engine" / "board" / "layout.py"
SIZES = frozenset({9, 27, 81, 728, 729})
EXCUSE = "not a size"


def _numbers_in(source: str) -> Iterator[tuple[int, int]]:
    """Yield (line, number) of every number that is one of the sizes."""
    lines = source.splitlines()
    for node in ast.walk(ast.parse(source)):
        is_number = isinstance(node, ast.Constant) and type(node.value) is int
        if is_number and node.value in SIZES and EXCUSE not in lines[node.lineno - 1]:
            yield node.lineno, node.value


def _modules() -> list[Path]:
    paths = sorted([*ROOT.glob("engine/**/*.py"), *ROOT.glob("bot/**/*.py")])
    return [path for path in paths if path != OWNER]


@pytest.mark.parametrize("path", _modules(), ids=lambda path: str(path.relative_to(ROOT)))
def test_no_module_but_the_layout_says_a_size(path: Path) -> None:
    assert list(_numbers_in(path.read_text(encoding="utf-8"))) == []


def test_the_layout_says_its_numbers_so_the_search_for_them_can_fail() -> None:
    assert list(_numbers_in("cells = 81\nlast = rows[9 - 1]\n")) == [(1, 81), (2, 9)]
    assert list(_numbers_in("port = 81  # not a size\nname = '81'\ntrue = 9.0\n")) == []
