"""Why a step holds, told from the position: one function for each technique, by its id.

Each takes the step and the position at which it is found and returns the reasoning, without its
title and without what follows (`conclusion_of` says that). Only the fourth rung of a hint and the
walkthrough may use these words.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Protocol

from bot.wording.prose import sentences
from bot.wording.sight import NO_STRIKES, Strikes, name_rests, tell_rests
from bot.wording.steps.chains import (
    tell_cell_cases,
    tell_chain,
    tell_house_cases,
    tell_remote_pair,
    tell_two_links,
)
from bot.wording.steps.colouring import tell_colouring, tell_two_clusters
from bot.wording.steps.conclusions import conclude, conclusion_of, fitted
from bot.wording.steps.fish import tell_finned_fish, tell_fish
from bot.wording.steps.groups import tell_almost_locked
from bot.wording.steps.plain import (
    tell_confined,
    tell_hidden,
    tell_hidden_single,
    tell_last_digit,
    tell_last_three,
    tell_locked,
    tell_naked,
    tell_naked_single,
)
from bot.wording.steps.trace import tell_trace
from bot.wording.steps.uniqueness import (
    tell_avoidable_rectangle,
    tell_bug,
    tell_hidden_rectangle,
    tell_rectangle,
)
from bot.wording.steps.wings import tell_w_wing, tell_xy_wing, tell_xyz_wing
from engine import Grid, Step

__all__ = ["REASONS", "conclusion_of", "explain"]


_BRIEF_LEVELS = 4
"""Up to this level a step is told in few words."""


class Reason(Protocol):
    """Tells why a step holds; with `strikes` it names the earlier steps that it rests on."""

    def __call__(self, step: Step, grid: Grid, strikes: Strikes = NO_STRIKES) -> str: ...


def _after_strikes(tell: Callable[[Step, Grid], str]) -> Reason:
    """Return a reason that first says which strikes it rests on, where `tell` does not."""

    def told(step: Step, grid: Grid, strikes: Strikes = NO_STRIKES) -> str:
        reason = tell(step, grid)
        full = sentences(tell_rests(step, grid, strikes), reason)
        if step.level > _BRIEF_LEVELS:
            return full
        return fitted(step, grid, full, sentences(name_rests(step, grid, strikes), reason))

    return told


REASONS: dict[str, Reason] = {
    "last-digit": tell_last_digit,
    "last-three": tell_last_three,
    "hidden-single": tell_hidden_single,
    "naked-single": tell_naked_single,
    "pointing": tell_confined,
    "claiming": tell_confined,
    "locked-pair": tell_locked,
    "locked-triple": tell_locked,
    "naked-pair": tell_naked,
    "hidden-pair": tell_hidden,
    "naked-triple": tell_naked,
    "hidden-triple": tell_hidden,
    "naked-quad": tell_naked,
    "hidden-quad": tell_hidden,
    "x-wing": _after_strikes(tell_fish),
    "swordfish": _after_strikes(tell_fish),
    "jellyfish": _after_strikes(tell_fish),
    "skyscraper": _after_strikes(tell_two_links),
    "two-string-kite": _after_strikes(tell_two_links),
    "turbot-fish": _after_strikes(tell_two_links),
    "empty-rectangle": _after_strikes(tell_two_links),
    "xy-wing": _after_strikes(tell_xy_wing),
    "xyz-wing": _after_strikes(tell_xyz_wing),
    "w-wing": _after_strikes(tell_w_wing),
    "finned-x-wing": _after_strikes(tell_finned_fish),
    "finned-swordfish": _after_strikes(tell_finned_fish),
    "finned-jellyfish": _after_strikes(tell_finned_fish),
    "simple-colouring": _after_strikes(tell_colouring),
    "two-cluster-colouring": _after_strikes(tell_two_clusters),
    "remote-pair": _after_strikes(tell_remote_pair),
    "unique-rectangle": _after_strikes(tell_rectangle),
    "hidden-rectangle": _after_strikes(tell_hidden_rectangle),
    "avoidable-rectangle": _after_strikes(tell_avoidable_rectangle),
    "bug-plus-one": _after_strikes(tell_bug),
    "x-chain": _after_strikes(tell_chain),
    "xy-chain": _after_strikes(tell_chain),
    "als-xz": _after_strikes(tell_almost_locked),
    "long-xy-chain": _after_strikes(tell_chain),
    "large-als-xz": _after_strikes(tell_almost_locked),
    "alternating-inference-chain": _after_strikes(tell_chain),
    "cell-forcing-chain": _after_strikes(tell_cell_cases),
    "house-forcing-chain": _after_strikes(tell_house_cases),
    "traced-contradiction": _after_strikes(tell_trace),
}
"""A reason for each technique of the ladder; a test names what is missing."""


def explain(step: Step, grid: Grid, strikes: Strikes = NO_STRIKES) -> str:
    """Return the reasoning of a step and what follows, as taken at the position `grid`."""
    return sentences(
        REASONS[step.technique](step, _as_found(step, grid), strikes), conclude(step, grid)
    )


def _as_found(step: Step, grid: Grid) -> Grid:
    """Return the position with the whole pattern in it.

    In a path the steps of one sweep stand one after the other, and each was found before those
    ahead of it struck anything: a candidate of its pattern may be gone since.
    """
    layout, pattern = grid.layout, step.pattern
    for cell in layout.cells_in(grid.filled_cells):
        pattern &= ~layout.cell_bits[cell]
    return grid.with_candidates(pattern)
