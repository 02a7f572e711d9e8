"""What is in a cell: a small network, run by numpy, with weights that ship with the bot.

It says how likely each of twelve things is: nothing, a digit, small marks only, something struck
out. It sees one cell at a time and knows nothing of the puzzle, so it cannot correct anybody.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from bot import assets
from bot.photo.cells import Ink

BLANK, MARKS, STRUCK = 0, 10, 11
"""The kinds of a cell that are no digit; 1 to 9 are the digits."""

KINDS = 12

WIDTHS = (16, 32, 80, 112)
"""So many maps has each of the four convolutions. The first sees 5 by 5 at every other pixel, the
others 3 by 3; two are followed by the largest of each two by two, the last reaches over no edge."""

_MOVES = ((1, 1), (0, 1), (2, 1), (1, 0), (1, 2))
"""Where a cell is, and is moved to, in itself with a pixel more at each edge."""

Floats = NDArray[np.float32]

Chances = NDArray[np.float32]
"""How likely each kind is, `(cells, KINDS)`; a row's sum is 1."""


@dataclass(frozen=True, slots=True)
class Network:
    """The weights: of each convolution, `(taps · maps in, maps out)`, and of the last layer."""

    weights: tuple[Floats, ...]
    shifts: tuple[Floats, ...]

    def tell(self, ink: Ink) -> Chances:
        """Return how likely each kind is for each cell."""
        maps = self._convolve(ink[:, :, :, None], 0, reach=2, edge=2, step=2)
        maps = _shrink(self._convolve(maps, 1))
        maps = _shrink(self._convolve(maps, 2))
        maps = self._convolve(maps, 3, edge=0)
        scores = maps.reshape(len(ink), -1) @ self.weights[4] + self.shifts[4]
        powers = np.exp(scores - scores.max(axis=1, keepdims=True))
        return np.asarray(powers / powers.sum(axis=1, keepdims=True), np.float32)

    def tell_surely(self, ink: Ink) -> Chances:
        """Return the same as a mean over cells moved by a pixel: what hangs on one is unsure."""
        side = ink.shape[1]
        wider = np.pad(ink, ((0, 0), (1, 1), (1, 1)), mode="edge")
        moved = [wider[:, y : y + side, x : x + side] for y, x in _MOVES]
        return np.asarray(np.mean([self.tell(each) for each in moved], axis=0), np.float32)

    def _convolve(
        self, maps: Floats, number: int, *, reach: int = 1, edge: int = 1, step: int = 1
    ) -> Floats:
        weights, taps = self.weights[number], 2 * reach + 1
        maps = np.pad(maps, ((0, 0), (edge, edge), (edge, edge), (0, 0)))
        every = np.lib.stride_tricks.sliding_window_view(maps, (taps, taps), axis=(1, 2))
        seen = every[:, ::step, ::step]
        count, rows, columns = seen.shape[:3]
        flat = seen.reshape(count * rows * columns, -1)
        scores = np.maximum(flat @ weights + self.shifts[number], 0)
        return np.asarray(scores.reshape(count, rows, columns, -1), np.float32)


def _shrink(maps: Floats) -> Floats:
    """Return the largest of each two by two."""
    rows = np.maximum(maps[:, ::2], maps[:, 1::2])
    return np.maximum(rows[:, :, ::2], rows[:, :, 1::2])


def unpack(flat: NDArray[np.float16]) -> Network:
    """Return the network whose weights lie in a row, layer by layer, each before its shifts."""
    weights, shifts, at, coming = [], [], 0, 1
    sizes = [(5, WIDTHS[0]), *((3, width) for width in WIDTHS[1:]), (2, KINDS)]
    for taps, going in sizes:
        count = coming * taps * taps * going
        kernel = flat[at : at + count].astype(np.float32).reshape(going, coming * taps * taps)
        if taps == 2:
            # The last layer sees maps first, as it was trained; here pixels come first.
            kernel = kernel.reshape(going, coming, 4).transpose(0, 2, 1).reshape(going, -1)
        weights.append(np.ascontiguousarray(kernel.T))
        shifts.append(flat[at + count : at + count + going].astype(np.float32))
        at, coming = at + count + going, going
    if at != len(flat):
        raise ValueError(f"{len(flat)} weights where {at} belong")
    return Network(tuple(weights), tuple(shifts))


@cache
def load_network(file: Path | None = None) -> Network:
    """Return the network that ships with the bot."""
    return unpack(np.load(file or assets.path("photo") / "network.npy", allow_pickle=False))
