"""What hypothesis draws from: symmetries, and positions of the corpus moved and thinned out."""

from __future__ import annotations

from functools import cache

from hypothesis import strategies as st

from engine.board.grid import Grid, position_of
from engine.techniques import Technique
from tests.corpus import Sample, samples_by_technique
from tests.independent.plain import CLASSIC_SHAPE, Candidate, Plain, cells_of
from tests.independent.symmetry import Symmetry, line_orders

LINE_ORDERS = tuple(line_orders(3, 3))
EXAMPLES = {1: 60, 2: 60, 3: 60, 4: 55, 5: 55, 6: 6}
"""Level -> examples drawn in each law at its whole size: a position of level 6 holds many steps."""
FEW_STEPS = {
    "bug-plus-one": 150,
    "long-xy-chain": 70,
    "large-als-xz": 60,
    "house-forcing-chain": 45,
    "traced-contradiction": 14,
}
"""Those whose positions hold few steps, or lose them when more is struck."""


def examples_for(technique: Technique) -> int:
    return FEW_STEPS.get(technique.id, EXAMPLES[technique.level])


_NUMBERS = st.lists(st.integers(0, 9 * 9 * 9 - 1), max_size=3)


# Strategies are built once: hypothesis looks through what a new one draws from before it draws.


@cache
def symmetries() -> st.SearchStrategy[Symmetry]:
    return st.builds(
        Symmetry,
        st.just(CLASSIC_SHAPE),
        st.sampled_from(LINE_ORDERS),
        st.sampled_from(LINE_ORDERS),
        st.permutations(range(1, CLASSIC_SHAPE.size + 1)).map(tuple),
        st.booleans(),
    )


@cache
def samples_of(technique: str) -> st.SearchStrategy[Sample]:
    return st.sampled_from(samples_by_technique()[technique])


@st.composite
def positions(draw: st.DrawFn, technique: str) -> tuple[Plain, frozenset[Candidate]]:
    """A position of the technique's corpus, moved by a symmetry, up to three more false candidates
    struck; with the digits that are true there.
    """
    # All is drawn before anything is worked out: many a draw of hypothesis breaks off half-way.
    sample: Sample = draw(samples_of(technique))
    symmetry, numbers = draw(symmetries()), draw(_NUMBERS)
    position = symmetry.position(sample.plain)
    truth = frozenset(map(symmetry.candidate, sample.truth))
    false = sorted(
        (cell, digit)
        for cell in cells_of(CLASSIC_SHAPE)
        for digit in position.candidates.get(cell, ())
        if (cell, digit) not in truth
    )
    struck = {false[number % len(false)] for number in numbers} if false else set()
    return position.after((), struck), truth


def grid_of(position: Plain) -> Grid:
    """Hand a plain position to the engine by its outside form."""
    return position_of(position.text, position.removed, own=position.own)
