"""The engine's front door is a list: sorted, complete, and all of it there."""

from __future__ import annotations

import ast
import doctest
import inspect
import sys
from pathlib import Path

import pytest

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


FUNCTIONS = [name for name in engine.__all__ if inspect.isfunction(getattr(engine, name))]


def test_every_error_of_the_family_is_at_the_door_or_one_name_behind_it() -> None:
    def family_of(error: type[Exception]) -> set[type[Exception]]:
        return {error}.union(*map(family_of, error.__subclasses__()))

    known = [*vars(engine.errors).values(), engine.making.UnmadeError]
    assert all(error in known for error in family_of(engine.EngineError))


def run_examples(thing: object, name: str) -> int:
    """Run the examples of a docstring as an outsider would, and return how many there are."""
    runner = doctest.DocTestRunner(optionflags=doctest.NORMALIZE_WHITESPACE)
    for test in doctest.DocTestFinder(recurse=False).find(thing, name, globs={}):
        runner.run(test)
    assert runner.failures == 0
    return runner.tries


@pytest.mark.parametrize("name", FUNCTIONS)
def test_every_function_of_the_door_shows_itself_in_an_example_that_runs(name: str) -> None:
    function = getattr(engine, name)
    assert f"{name}(" in (function.__doc__ or "").partition(">>>")[2]
    assert run_examples(function, name) >= 2


def test_the_door_shows_the_library_in_five_lines() -> None:
    assert run_examples(engine, "engine") == 4


def test_a_text_does_where_a_grid_does_and_an_id_where_a_technique_does() -> None:
    text = ".395........8...7.....1.9.41..4....3...........7...86...67.82...1..9...5.....1..8"
    drawn, grid = engine.draw_grid(text), engine.parse_grid(text)
    pointing = engine.technique_with("pointing")
    for shown in (text, drawn):
        assert engine.find_all_steps(shown) == engine.find_all_steps(grid)
        assert engine.find_next_step(shown) == engine.find_all_steps(grid)[0]
        assert engine.find_steps(shown, "pointing") == engine.find_steps(grid, pointing)
        assert engine.find_hint(shown, theme="pointing") == engine.find_hint(grid, theme=pointing)
        assert engine.solve(shown) == engine.solve(grid)
        assert engine.count_solutions(shown) == 1
    with pytest.raises(engine.errors.UnknownTechniqueError):
        engine.find_steps(text, "guesswork")
    with pytest.raises(engine.errors.GridLengthError):
        engine.solve(text[1:])


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
