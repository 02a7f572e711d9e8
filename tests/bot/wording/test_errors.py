"""Every error of the engine is said in plain words."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from bot.wording import explain_error
from engine import errors as e
from engine.making.recipes import Tried, UnmadeError

ERRORS = (
    e.CellNameError("r0c10", 9),
    e.DigitError("12", 9),
    e.GridLengthError(80, 81),
    e.GridCharacterError("x", 4),
    e.RepeatedDigitError(7, "row 4", ("r4c2", "r4c7")),
    e.NoSolutionError(),
    e.ManySolutionsError(("1" * 81, "2" * 81), ("r6c5", "r6c6", "r7c5", "r7c6")),
    e.UnknownTechniqueError("naked-trio", ("naked-pair", "naked-triple")),
    e.StoppedError(1000),
    *(e.LayoutError(problem, "aabb", 2, 4) for problem in e.LayoutProblem),
    UnmadeError(Tried(attempts=12), ("level",)),
)


def _family(root: type[Exception]) -> Iterator[type[Exception]]:
    for kind in root.__subclasses__():
        yield kind
        yield from _family(kind)


def test_there_is_a_sample_of_every_error_of_the_engine() -> None:
    assert {type(error) for error in ERRORS} == set(_family(e.EngineError))


@pytest.mark.parametrize("error", ERRORS, ids=lambda error: type(error).__name__)
def test_an_error_is_said_in_words_of_its_own_with_the_example_given(error: e.EngineError) -> None:
    told = explain_error(error, "ninebark rate GRID")
    assert told.endswith(" Example: ninebark rate GRID")
    assert "cannot be used" not in told  # the words for an error that is not known
    assert explain_error(error) == told.partition(" Example: ")[0]


def test_many_differing_cells_are_not_all_listed() -> None:
    cells = tuple(f"r{row}c{column}" for row in range(1, 10) for column in (1, 2))
    told = explain_error(e.ManySolutionsError(("", ""), cells))
    assert "and 12 more cells" in told
    assert told.count("r") < 40
