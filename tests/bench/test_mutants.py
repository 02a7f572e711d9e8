"""The breaks that the mutation bench makes: each is one change, and what tells nobody is let be."""

from __future__ import annotations

import ast
from pathlib import Path

from tests.bench.mutants import blocks_of, find_mutants
from tests.bench.ran_by import instrument

SOURCE = '''
"""A docstring."""
_LOG = logging.getLogger("x")
LIMIT: int = 3

class Turn:
    async def go(self, count: int = 1) -> str | None:
        assert count
        _LOG.debug("going %s", count)
        async with self.lock:
            await self.step(count + 1)
        if not count < 2 and self.free:
            self.held = False
            return "done"
        return None
'''

CHANGES = [
    "constant: 1 -> 2",
    "removed lock: with self.lock -> if True",
    "removed await: await self.step(count + 1) -> pass",
    "arithmetic: count + 1 -> count - 1",
    "constant: 1 -> 2",
    "condition: if not count < 2 and self.free -> if not (not count < 2 and self.free)",
    "boolean operator: not count < 2 and self.free -> not count < 2 or self.free",
    "condition: not count < 2 -> count < 2",
    "comparison: count < 2 -> count <= 2",
    "constant: 2 -> 3",
    "removed statement: self.held = False -> pass",
    "constant: False -> True",
    "return: return 'done' -> return None",
    "constant: 'done' -> ''",
]


def test_each_break_is_one_change_and_types_asserts_and_the_log_are_let_be() -> None:
    found = list(find_mutants(SOURCE, "turn.py"))
    told = [f"{each.kind}: {each.before} -> {each.after}" for each in found]
    assert sorted(told) == sorted(["constant: 3 -> 4", *CHANGES])
    assert len({each.name for each in found}) == len(found)
    whole = ast.unparse(ast.parse(SOURCE)).splitlines()
    for each in found:
        broken = ast.unparse(ast.parse(each.source)).splitlines()
        assert broken != whole
        assert len(set(broken) ^ set(whole)) <= 3, each


def test_blocks_are_named_by_their_function_and_note_that_they_ran(tmp_path: Path) -> None:
    blocks = [name for name, _ in blocks_of(ast.parse(SOURCE), "turn.py")]
    assert blocks == ["turn.py:Turn.go:0", "turn.py:Turn.go:1", "turn.py:Turn.go:2"]
    assert {each.block for each in find_mutants(SOURCE, "turn.py")} == {"turn.py:", *blocks}
    source = "def sign(number):\n    if number < 0:\n        return -1\n    return 1\n"
    (tmp_path / "sign.py").write_text(source)
    assert instrument(tmp_path, ["sign.py"]) == ["sign.py:sign:0", "sign.py:sign:1"]
    hits: dict[str, object] = {}
    lines = (tmp_path / "sign.py").read_text().replace("from ninebark_hits import HITS as ", "#")
    noted: dict[str, object] = {"_ninebark_hits": hits}
    exec(lines, noted)
    assert noted["sign"](1) == 1  # type: ignore[operator]
    assert hits == {0: 1}
    assert noted["sign"](-1) == -1  # type: ignore[operator]
    assert hits == {0: 1, 1: 1}
