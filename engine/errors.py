"""The family of errors that the engine raises.

They carry facts, never sentences for people: `bot.wording` turns them into words. The text
that `str()` gives is for logs and tracebacks only.
"""

from __future__ import annotations

from enum import StrEnum


class EngineError(ValueError):
    """The root of the family: catch this to catch everything that the engine raises on purpose."""


class CellNameError(EngineError):
    """A text that should name a cell of the layout does not."""

    def __init__(self, text: str, size: int) -> None:
        super().__init__(f"{text!r} names no cell of a grid of size {size}")
        self.text = text
        self.size = size


class DigitError(EngineError):
    """A text or number that should be a digit of the layout is not."""

    def __init__(self, text: str, size: int) -> None:
        super().__init__(f"{text!r} is no digit from 1 to {size}")
        self.text = text
        self.size = size


class GridLengthError(EngineError):
    """A grid's text has the wrong number of cells: the row of that number has, 0 for the grid."""

    def __init__(self, found: int, expected: int, *, row: int = 0) -> None:
        where = f" in row {row}" if row else ""
        super().__init__(f"{found} cells{where} where {expected} were expected")
        self.found = found
        self.expected = expected
        self.row = row


class GridCharacterError(EngineError):
    """A grid's text holds a character that is neither a digit nor a mark for an empty cell."""

    def __init__(self, character: str, index: int) -> None:
        super().__init__(f"character {character!r} at index {index} of a grid")
        self.character = character
        self.index = index


class RepeatedDigitError(EngineError):
    """A digit stands twice in one house. `house` is its name, `cells` the two cells' names."""

    def __init__(self, digit: int, house: str, cells: tuple[str, str]) -> None:
        super().__init__(f"{digit} stands twice in {house}: {cells[0]} and {cells[1]}")
        self.digit = digit
        self.house = house
        self.cells = cells


class LayoutProblem(StrEnum):
    """Why a text describes no layout."""

    NAME = "name"
    """There is no such name."""
    CELLS = "cells"
    """`found` cells of a map make no square."""
    BOXES = "boxes"
    """There are `found` boxes where `expected` were needed."""
    BOX = "box"
    """The box `text` has `found` cells where `expected` were needed."""
    APART = "apart"
    """The box `text` is in pieces, which no picture could show."""


class LayoutError(EngineError):
    """A text describes no layout."""

    def __init__(
        self, problem: LayoutProblem, text: str, found: int = 0, expected: int = 0
    ) -> None:
        super().__init__(f"{problem}: {text!r} (found {found}, expected {expected})")
        self.problem = problem
        self.text = text
        self.found = found
        self.expected = expected


class NoSolutionError(EngineError):
    """A grid that was to be explained has no solution."""


class ManySolutionsError(EngineError):
    """A grid that was to be explained has more than one solution.

    `solutions` holds two of them as texts; `cells` names the cells in which these two differ.
    """

    def __init__(self, solutions: tuple[str, str], cells: tuple[str, ...]) -> None:
        super().__init__(f"two or more solutions, which differ in {', '.join(cells)}")
        self.solutions = solutions
        self.cells = cells


class UnknownTechniqueError(EngineError):
    """A text names no technique of the ladder."""

    def __init__(self, text: str, known: tuple[str, ...]) -> None:
        super().__init__(f"{text!r} is no technique of the ladder")
        self.text = text
        self.known = known


class StoppedError(EngineError):
    """Long work was told to stop before it had a result. `work` is the count of work done."""

    def __init__(self, work: int) -> None:
        super().__init__(f"stopped after {work} units of work")
        self.work = work
