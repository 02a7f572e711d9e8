"""Why a step holds, told from the position: one function for each technique, by its id.

Each takes the step and the position at which it is found and returns the reasoning, without its
title and without what follows (`conclusion_of` says that). Only the fourth rung of a hint and the
walkthrough may use these words.
"""

from __future__ import annotations

from collections.abc import Callable

from bot.wording.prose import sentences
from bot.wording.steps.chains import (
    tell_cell_cases,
    tell_chain,
    tell_house_cases,
    tell_remote_pair,
    tell_two_links,
)
from bot.wording.steps.colouring import tell_colouring, tell_two_clusters
from bot.wording.steps.conclusions import conclusion_of
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

Reason = Callable[[Step, Grid], str]

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
    "x-wing": tell_fish,
    "swordfish": tell_fish,
    "jellyfish": tell_fish,
    "skyscraper": tell_two_links,
    "two-string-kite": tell_two_links,
    "turbot-fish": tell_two_links,
    "empty-rectangle": tell_two_links,
    "xy-wing": tell_xy_wing,
    "xyz-wing": tell_xyz_wing,
    "w-wing": tell_w_wing,
    "finned-x-wing": tell_finned_fish,
    "finned-swordfish": tell_finned_fish,
    "finned-jellyfish": tell_finned_fish,
    "simple-colouring": tell_colouring,
    "two-cluster-colouring": tell_two_clusters,
    "remote-pair": tell_remote_pair,
    "unique-rectangle": tell_rectangle,
    "hidden-rectangle": tell_hidden_rectangle,
    "avoidable-rectangle": tell_avoidable_rectangle,
    "bug-plus-one": tell_bug,
    "x-chain": tell_chain,
    "xy-chain": tell_chain,
    "als-xz": tell_almost_locked,
    "long-xy-chain": tell_chain,
    "large-als-xz": tell_almost_locked,
    "alternating-inference-chain": tell_chain,
    "cell-forcing-chain": tell_cell_cases,
    "house-forcing-chain": tell_house_cases,
    "traced-contradiction": tell_trace,
}
"""A reason for each technique of the ladder; a test names what is missing."""


def explain(step: Step, grid: Grid) -> str:
    """Return the reasoning of a step and what follows, as taken at the position `grid`."""
    return sentences(
        REASONS[step.technique](step, _as_found(step, grid)), conclusion_of(step, grid)
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
