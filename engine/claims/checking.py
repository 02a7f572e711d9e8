"""Checks a member's own find: is it that technique, what follows, and if not, what fails.

Any valid instance counts, whether or not the engine would choose it: larger ones that hold a
smaller one, and ones from which nothing follows. It looks at the position and the claim alone, and
shares no code with the finders but the list of rectangles, so that each can test the other.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import partial

from engine.board.grid import Grid, as_grid
from engine.board.step import LOOP, Node, Step
from engine.claims import chains, plain, rectangles, single_digit, wings
from engine.claims.verdict import NEARNESS, Claim, Condition, Flaw, Found, Verdict, Way
from engine.inference.pattern_parts import WALKED
from engine.techniques import technique_with

Check = Callable[[Grid, Claim], Iterator[Way | Flaw]]


def _check_nothing(_: Grid, __: Claim) -> Iterator[Way | Flaw]:
    yield Flaw(Condition.NOT_CLAIMED_BY_CELLS)


CHECKS: dict[str, Check] = {
    "last-digit": plain.check_last_digit,
    "last-three": plain.check_last_three,
    "hidden-single": plain.check_hidden_single,
    "naked-single": plain.check_naked_single,
    "pointing": plain.check_pointing,
    "claiming": plain.check_claiming,
    "locked-pair": partial(plain.check_naked, size=2, is_locked=True),
    "locked-triple": partial(plain.check_naked, size=3, is_locked=True),
    "naked-pair": partial(plain.check_naked, size=2, is_locked=False),
    "hidden-pair": partial(plain.check_hidden, size=2),
    "naked-triple": partial(plain.check_naked, size=3, is_locked=False),
    "hidden-triple": partial(plain.check_hidden, size=3),
    "naked-quad": partial(plain.check_naked, size=4, is_locked=False),
    "hidden-quad": partial(plain.check_hidden, size=4),
    "x-wing": partial(single_digit.check_fish, size=2, is_finned=False),
    "swordfish": partial(single_digit.check_fish, size=3, is_finned=False),
    "jellyfish": partial(single_digit.check_fish, size=4, is_finned=False),
    "skyscraper": partial(single_digit.check_two_links, kind="skyscraper"),
    "two-string-kite": partial(single_digit.check_two_links, kind="two-string-kite"),
    "turbot-fish": partial(single_digit.check_two_links, kind="turbot-fish"),
    "empty-rectangle": single_digit.check_empty_rectangle,
    "xy-wing": wings.check_xy_wing,
    "xyz-wing": wings.check_xyz_wing,
    "w-wing": wings.check_w_wing,
    "finned-x-wing": partial(single_digit.check_fish, size=2, is_finned=True),
    "finned-swordfish": partial(single_digit.check_fish, size=3, is_finned=True),
    "finned-jellyfish": partial(single_digit.check_fish, size=4, is_finned=True),
    "simple-colouring": single_digit.check_colouring,
    "two-cluster-colouring": single_digit.check_two_clusters,
    "remote-pair": wings.check_remote_pair,
    "unique-rectangle": rectangles.check_unique_rectangle,
    "hidden-rectangle": rectangles.check_hidden_rectangle,
    "avoidable-rectangle": rectangles.check_avoidable_rectangle,
    "bug-plus-one": wings.check_bug_plus_one,
    "x-chain": chains.check_x_chain,
    "xy-chain": chains.check_xy_chain,
    "als-xz": wings.check_almost_locked_pair,
    "long-xy-chain": chains.check_xy_chain,
    "large-als-xz": wings.check_almost_locked_pair,
    "alternating-inference-chain": chains.check_inference_chain,
    "cell-forcing-chain": chains.check_cell_forcing_chain,
    "house-forcing-chain": chains.check_house_forcing_chain,
    "traced-contradiction": _check_nothing,
}
"""Technique id -> what tries each way in which a claim could be an instance."""

WITH_FILLED_CELLS = {"avoidable-rectangle"}
"""Whose patterns take in digits that stand; all others lie in open cells."""

CLAIMED_BY_CHAIN = WALKED - {"remote-pair"}
"""What is claimed link by link; a remote pair is told well enough by its cells."""


def check_claim(grid: Grid | str, claim: Claim) -> Verdict:
    """Judge a claim at a position. Raises UnknownTechniqueError.

    Of several ways that fail in different places the one that came nearest is told.

    >>> from engine import Claim, check_claim, parse_grid
    >>> grid = parse_grid("12.. 3... 2143 4321")
    >>> cell = grid.layout.parse_cell("r2c2")
    >>> verdict = check_claim(grid, Claim("naked-single", (cell,), (4,)))
    >>> verdict.places == ((cell, 4),)
    True
    >>> str(check_claim(grid, Claim("naked-single", (cell,), (1,))).condition)
    'a cell cannot hold a digit'
    """
    grid = as_grid(grid)
    technique = technique_with(claim.technique)
    filled = grid.layout.mask_of(claim.cells) & grid.filled_cells
    if filled and technique.id not in WITH_FILLED_CELLS:
        return Flaw(Condition.FILLED, grid.layout.cells_in(filled))
    ways, flaws = [], []
    for each in CHECKS[technique.id](grid, claim):
        if isinstance(each, Way):
            ways.append(each)
        else:
            flaws.append(each)
    if not ways:
        return max(flaws, key=lambda flaw: NEARNESS[flaw.condition])
    telling = tuple(way for way in dict.fromkeys(ways) if way.removes or way.places)
    return _judge_consequences(grid, claim, telling or (ways[0],))


def _judge_consequences(grid: Grid, claim: Claim, ways: tuple[Way, ...]) -> Verdict:
    removes = 0
    for way in ways:
        removes |= way.removes
    places = tuple(sorted({place for way in ways for place in way.places}))
    said, said_places = claim.removes or 0, claim.places or ()
    wrong = [*grid.layout.pairs(said & ~removes), *sorted(set(said_places) - set(places))]
    if wrong:
        cells, digits = zip(*wrong, strict=True)
        return Flaw(Condition.DOES_NOT_FOLLOW, tuple(cells), tuple(digits))
    if claim.removes is None and claim.places is None:
        return Found(ways, removes, places)
    unsaid = tuple(place for place in places if place not in said_places)
    return Found(ways, removes, places, removes & ~said, unsaid)


def claim_of_step(step: Step) -> Claim:
    """Return what a member would claim who found this step."""
    chains_told: tuple[tuple[Node, ...], ...] = ()
    if step.technique in CLAIMED_BY_CHAIN:
        chains_told = tuple(
            (line[0].first, *(link.second for link in line)) for line in step.chains
        )
        if step.variant == LOOP:  # the way back to the start is no link of its own in a claim
            chains_told = tuple(line[:-1] for line in chains_told)
    return Claim(
        step.technique,
        step.cells,
        step.digits,
        chains_told,
        removes=step.removes,
        places=step.places,
        variant=step.variant,
    )
