"""What a puzzle is like: level, needs, effort, turning points. None depends on the order of finding."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from engine.grid import Grid
from engine.step import Step


@dataclass(frozen=True, slots=True)
class TurningPoint:
    """A position at which nothing below `level` works, with every step available there."""

    position: Grid
    level: int
    steps: tuple[Step, ...]


@dataclass(frozen=True, slots=True)
class Rating:
    """The judgement of a puzzle. All but `solutions`, `solution`, `givens` are None or empty where
    there is not exactly one solution; `level`, `hardest` and `effort` are None too where the
    ladder is stuck before the end, and `techniques` then counts what led there.

    - `solutions`: 0, 1, or 2 for two or more; `solution`: the grid's text.
    - `minimal`: no given can be spared. `level`: 1 to 6. `hardest`: the technique H.
    - `techniques`: id -> number of steps on the path by sweeps. `needs`: ids, ladder order.
    - `way_rounds`: for each id of `needs`, the techniques that would solve it in its stead, as
      (id, is_twin).
    - `effort`: a number above 0 that grows with what must be found and how few ways on there are.
    """

    solutions: int
    solution: str | None
    givens: int
    minimal: bool | None
    level: int | None
    techniques: Mapping[str, int]
    hardest: str | None
    needs: tuple[str, ...]
    way_rounds: Mapping[str, tuple[tuple[str, bool], ...]]
    turning_points: tuple[TurningPoint, ...]
    effort: float | None


def rate(grid: Grid) -> Rating:
    """Judge a puzzle by sweeps."""
    raise NotImplementedError
