"""Which cells of a reading somebody should look at; what is shown is always what was read.

The rule that a house holds each digit once says how likely a reading is, and no more: it never
changes one, since a member's mistakes stay as they are written. The solution is not known here.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bot.photo.cells import SIDE, Ink
from bot.photo.network import BLANK, MARKS, Chances
from engine import Layout

SURE = 0.95
"""A cell less likely than this by the rule and its looks together is doubtful."""

SURE_BY_LOOKS = 0.9
"""A cell less likely than this by its looks alone is doubtful, whatever the rule says."""

LEAST_TALL = 0.34
"""Marks are lower than this share of a cell, digits higher."""

_EDGE = 3
"""So many pixels at a cell's edges are its lines'."""

_LEAST = 1e-4
"""Nothing is less likely than this: the network has been wrong before."""

_ROUNDS = 4

LEAST_FOR_A_GIVEN = 0.02
"""Where a given stands it is taken as read if it is so likely: print may be faint."""


@dataclass(frozen=True, slots=True)
class Looked:
    """What is in each cell, by its kind, and which cells to look at again."""

    kinds: NDArray[np.intp]
    doubtful: NDArray[np.bool_]


def look(
    chances: Chances, cells_ink: Ink, layout: Layout, givens: NDArray[np.intp] | None
) -> Looked:
    """Return what a grid shows. Its givens, where known, are at their places unless another digit
    clearly stands there. A digit as small as a mark is doubtful: it may be a lone mark. One that a
    small grid does not have is left open, and doubtful, too."""
    seen = chances.astype(np.float64)
    kinds = seen.argmax(axis=1)
    firm = np.zeros(len(kinds), bool)
    if givens is not None:
        cells = np.arange(len(kinds))
        firm = (givens > 0) & (seen[cells, givens] >= LEAST_FOR_A_GIVEN)
        kinds = np.where(firm, givens, kinds)
        seen[firm] = 0
        seen[cells[firm], givens[firm]] = 1
    by_rule = weigh(seen, layout)
    doubtful = (_certainty(by_rule, kinds) < SURE) | (_certainty(seen, kinds) < SURE_BY_LOOKS)
    doubtful |= (kinds > BLANK) & (kinds < MARKS) & (_heights(cells_ink) < LEAST_TALL)
    is_foreign = (kinds > layout.size) & (kinds < MARKS)
    kinds = np.where(is_foreign, BLANK, kinds)
    doubtful |= is_foreign
    doubtful &= ~firm
    doubtful |= _clashing(kinds, layout) & ~firm
    if givens is not None:
        doubtful |= (givens > 0) & ~firm
    return Looked(kinds, doubtful)


def _heights(cells_ink: Ink) -> NDArray[np.float64]:
    """Return how high what is written in each cell is, as a share of it, its lines left out."""
    inner = cells_ink[:, _EDGE:-_EDGE, _EDGE:-_EDGE]
    rows = (inner > inner.max(axis=(1, 2), keepdims=True) / 2).any(axis=2)
    last = rows.shape[1] - 1 - rows[:, ::-1].argmax(axis=1)
    return np.asarray((last - rows.argmax(axis=1) + 1) / SIDE, np.float64)


def _certainty(chances: NDArray[np.float64], kinds: NDArray[np.intp]) -> NDArray[np.float64]:
    """Return how likely what is shown is: the digit, or that there is none, for whatever reason."""
    is_digit = (kinds > BLANK) & (kinds < MARKS)
    open_ = chances[:, BLANK] + chances[:, MARKS:].sum(axis=1)
    shown = np.where(is_digit, chances[np.arange(len(kinds)), kinds], open_)
    return np.asarray(shown, np.float64)


def weigh(chances: NDArray[np.float64], layout: Layout) -> NDArray[np.float64]:
    """Return how likely each kind is where, besides, a house holds each digit once."""
    peers = peers_of(layout)
    floor = np.maximum(chances, _LEAST)
    likely = floor / floor.sum(axis=1, keepdims=True)
    start = likely
    for _ in range(_ROUNDS):
        free = np.log1p(-np.minimum(likely[:, 1:MARKS], 1 - 1e-3))
        weighed = start.copy()
        weighed[:, 1:MARKS] *= np.exp(peers @ free)
        likely = 0.5 * likely + 0.5 * weighed / weighed.sum(axis=1, keepdims=True)
    return np.asarray(likely, np.float64)


def peers_of(layout: Layout) -> NDArray[np.float64]:
    """Return for each two cells whether they share a house."""
    cells = range(layout.cell_count)
    return np.array([[layout.peers[one] >> other & 1 for other in cells] for one in cells], float)


def _clashing(kinds: NDArray[np.intp], layout: Layout) -> NDArray[np.bool_]:
    is_digit = (kinds > 0) & (kinds < MARKS)
    same = (kinds[:, None] == kinds[None, :]) & is_digit[:, None]
    return np.asarray((same & (peers_of(layout) > 0)).any(axis=1), np.bool_)
