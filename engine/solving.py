"""From techniques to solving: next step, sweeps, the whole path, and the part of it that matters."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from engine.grid import Grid
from engine.layout import House
from engine.step import Step
from engine.techniques import Technique


@dataclass(frozen=True, slots=True)
class Narrowing:
    """What a member asks a hint to be about: one house, one digit, both or neither."""

    house: House | None = None
    digit: int | None = None


@dataclass(frozen=True, slots=True)
class Path:
    """Steps in the order in which a person takes them, and where they end."""

    start: Grid
    steps: tuple[Step, ...]
    end: Grid

    @property
    def is_solved(self) -> bool:
        return self.end.is_complete


def apply_step(grid: Grid, step: Step) -> Grid:
    """Return the position after the step's placements and eliminations."""
    raise NotImplementedError


def still_applies(grid: Grid, step: Step) -> bool:
    """Say whether the step, found at an earlier position of the same puzzle, still does something."""
    raise NotImplementedError


def find_steps(grid: Grid, technique: Technique) -> tuple[Step, ...]:
    """Return all instances of one technique at the position, in the ladder's fixed order."""
    raise NotImplementedError


def find_all_steps(grid: Grid, ladder: Sequence[Technique] = ...) -> tuple[Step, ...]:  # type: ignore[assignment]
    """Return all instances of every technique of the ladder at the position."""
    raise NotImplementedError


def find_hint(grid: Grid, narrowing: Narrowing | None = None) -> Step | None:
    """Return the step to nudge a member towards, or None where the ladder is stuck.

    An available single wins. Otherwise, of the placements reachable at the lowest level, take the
    one with the fewest kept steps (ties by ladder, then cell), and return its first kept step.
    With a narrowing the step must lie in that house, or be about that digit; None if none does.
    """
    raise NotImplementedError


def find_path(grid: Grid) -> Path:
    """Return the path by sweeps from the position to the end, or to where the ladder is stuck."""
    raise NotImplementedError


def prune_path(path: Path) -> Path:
    """Return the path without the eliminations that nothing later in it rests on."""
    raise NotImplementedError
