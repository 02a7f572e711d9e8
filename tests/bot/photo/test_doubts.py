"""Which cells are to be looked at: the unsure, the clashing, the small; never the plain ones."""

from __future__ import annotations

import numpy as np
import pytest

from bot.photo.cells import SIDE
from bot.photo.doubts import look
from bot.photo.network import KINDS
from engine import CLASSIC, layout_with


def reading(**digits: tuple[int, float]) -> np.ndarray:
    """Return chances: open cells, but for those named, with a digit and how likely it is."""
    chances = np.zeros((CLASSIC.cell_count, KINDS), np.float32)
    chances[:, 0] = 1
    for name, (digit, likely) in digits.items():
        cell = CLASSIC.parse_cell(name)
        chances[cell] = 0
        chances[cell, digit], chances[cell, digit % 9 + 1] = likely, 1 - likely
    return chances


def ink(**tall: int) -> np.ndarray:
    """Return cells with a stroke so many pixels high in those named."""
    cells = np.zeros((CLASSIC.cell_count, SIDE, SIDE), np.float32)
    for name, pixels in tall.items():
        cells[CLASSIC.parse_cell(name), 6 : 6 + pixels, 15:18] = 0.7
    return cells


def doubtful(chances: np.ndarray, cells: np.ndarray, givens: np.ndarray | None = None) -> set[str]:
    looked = look(chances, cells, CLASSIC, givens)
    return {CLASSIC.format_cell(int(cell)) for cell in np.flatnonzero(looked.doubtful)}


@pytest.mark.parametrize(
    ("chances", "tall", "marked"),
    [
        ({"r1c1": (5, 0.999)}, {"r1c1": 20}, set()),
        ({"r1c1": (5, 0.7)}, {"r1c1": 20}, {"r1c1"}),
        ({"r1c1": (5, 0.999)}, {"r1c1": 8}, {"r1c1"}),
        ({"r1c1": (5, 0.999), "r1c9": (5, 0.999)}, {"r1c1": 20, "r1c9": 20}, {"r1c1", "r1c9"}),
        ({"r1c1": (5, 0.999), "r9c9": (5, 0.999)}, {"r1c1": 20, "r9c9": 20}, set()),
    ],
    ids=["sure", "unsure", "as small as a mark", "twice in a row", "apart"],
)
def test_what_is_to_be_looked_at(
    chances: dict[str, tuple[int, float]], tall: dict[str, int], marked: set[str]
) -> None:
    assert doubtful(reading(**chances), ink(**tall)) == marked


def test_a_digit_that_a_small_grid_does_not_have_is_left_open_and_to_be_looked_at() -> None:
    six = layout_with(36)
    chances = reading(r1c1=(7, 0.999), r1c2=(6, 0.999))[: six.cell_count]
    looked = look(chances, ink(r1c1=20, r1c2=20)[: six.cell_count], six, None)
    assert looked.kinds[:3].tolist() == [0, 6, 0]
    assert looked.doubtful[:3].tolist() == [True, False, False]


def test_a_given_is_taken_as_read_unless_another_digit_clearly_stands_there() -> None:
    givens = np.zeros(CLASSIC.cell_count, np.intp)
    givens[[0, 1]] = 4
    chances = reading(r1c1=(3, 0.9), r1c2=(7, 0.999))  # 4 is the other likely digit of r1c1
    looked = look(chances, ink(r1c1=20, r1c2=20), CLASSIC, givens)
    assert looked.kinds[:2].tolist() == [4, 7]
    assert looked.doubtful[:2].tolist() == [False, True]
