"""The ladder: every technique once, in teaching order. The order has meaning, so it is a list.

To add a technique: one file here with a `find_*` generator, one line in LADDER, one sentence
function in `bot.wording`, one lesson in `assets/lessons`. A completeness test names what is
missing.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from engine.board.grid import Grid
from engine.board.step import Step
from engine.errors import UnknownTechniqueError
from engine.techniques.almost_locked import find_almost_locked_pairs, find_large_pairs
from engine.techniques.avoidable import find_avoidable_rectangles
from engine.techniques.bug import find_bug_plus_one
from engine.techniques.colouring import find_colourings
from engine.techniques.contradiction import contradiction_finder
from engine.techniques.empty_rectangle import find_empty_rectangles
from engine.techniques.finned_fish import finned_fish_finder
from engine.techniques.fish import fish_finder
from engine.techniques.forcing_chain import find_cell_forcing_chains, find_house_forcing_chains
from engine.techniques.hidden import hidden_finder
from engine.techniques.inference_chain import find_inference_chains
from engine.techniques.last_three import find_last_threes
from engine.techniques.locked import find_claiming, find_pointing
from engine.techniques.naked import locked_finder, naked_finder
from engine.techniques.rectangles import find_hidden_rectangles, find_unique_rectangles
from engine.techniques.remote_pair import find_remote_pairs
from engine.techniques.singles import find_hidden_singles, find_last_digits, find_naked_singles
from engine.techniques.two_clusters import find_two_clusters
from engine.techniques.two_links import two_links_finder
from engine.techniques.w_wing import find_w_wings
from engine.techniques.x_chain import find_x_chains
from engine.techniques.xy_chain import find_long_xy_chains, find_xy_chains
from engine.techniques.xy_wing import find_xy_wings
from engine.techniques.xyz_wing import find_xyz_wings


@dataclass(frozen=True, slots=True, eq=False)
class Technique:
    """One rung of the ladder. `find` yields every instance at a position and changes nothing.

    Each is itself alone: what is found at a position is kept by technique, and looked up often.

    - `is_shortcut`: whatever it places, others of level 1 place too, so no puzzle needs it.
    - `is_by_uniqueness`: it takes for granted that the puzzle has one solution only.
    - `is_by_size`: `find` yields the shortest instances first, and looks for longer ones only when
      these are asked for.
    - `resort`: 0 for most; 1 for what is found nearly anywhere and so counts among the steps of a
      position only where nothing of resort 0 does; 2 for the last resort, which always goes on.
    """

    id: str
    level: int
    find: Callable[[Grid], Iterator[Step]]
    is_shortcut: bool = False
    is_by_uniqueness: bool = False
    is_by_size: bool = False
    resort: int = 0

    @property
    def is_last_resort(self) -> bool:
        """Whether it always goes on, so that it is taken where nothing else does."""
        return self.resort > 1

    def __repr__(self) -> str:
        return f"technique_with({self.id!r})"

    def __str__(self) -> str:
        return self.id


PLAIN: tuple[Technique, ...] = (
    Technique("last-digit", 1, find_last_digits, is_shortcut=True),
    Technique("last-three", 1, find_last_threes, is_shortcut=True),
    Technique("hidden-single", 1, find_hidden_singles),
    Technique("naked-single", 1, find_naked_singles),
    Technique("pointing", 2, find_pointing),
    Technique("claiming", 2, find_claiming),
    Technique("locked-pair", 3, locked_finder(2)),
    Technique("locked-triple", 3, locked_finder(3)),
    Technique("naked-pair", 3, naked_finder(2)),
    Technique("hidden-pair", 3, hidden_finder(2)),
    Technique("naked-triple", 3, naked_finder(3)),
    Technique("hidden-triple", 3, hidden_finder(3)),
    Technique("naked-quad", 3, naked_finder(4)),
    Technique("hidden-quad", 3, hidden_finder(4)),
)
"""Levels 1 to 3: what may be a line of a trace."""

LADDER: tuple[Technique, ...] = (
    *PLAIN,
    Technique("x-wing", 4, fish_finder(2)),
    Technique("swordfish", 4, fish_finder(3)),
    Technique("jellyfish", 4, fish_finder(4)),
    Technique("skyscraper", 4, two_links_finder("skyscraper")),
    Technique("two-string-kite", 4, two_links_finder("two-string-kite")),
    Technique("turbot-fish", 4, two_links_finder("turbot-fish")),
    Technique("empty-rectangle", 4, find_empty_rectangles),
    Technique("xy-wing", 4, find_xy_wings),
    Technique("xyz-wing", 4, find_xyz_wings),
    Technique("w-wing", 4, find_w_wings),
    Technique("finned-x-wing", 5, finned_fish_finder(2)),
    Technique("finned-swordfish", 5, finned_fish_finder(3)),
    Technique("finned-jellyfish", 5, finned_fish_finder(4)),
    Technique("simple-colouring", 5, find_colourings),
    Technique("two-cluster-colouring", 5, find_two_clusters),
    Technique("remote-pair", 5, find_remote_pairs),
    Technique("unique-rectangle", 5, find_unique_rectangles, is_by_uniqueness=True),
    Technique("hidden-rectangle", 5, find_hidden_rectangles, is_by_uniqueness=True),
    Technique("avoidable-rectangle", 5, find_avoidable_rectangles, is_by_uniqueness=True),
    Technique("bug-plus-one", 5, find_bug_plus_one, is_by_uniqueness=True),
    Technique("x-chain", 5, find_x_chains),
    Technique("xy-chain", 5, find_xy_chains, is_by_size=True),
    Technique("als-xz", 5, find_almost_locked_pairs, is_by_size=True),
    Technique("long-xy-chain", 6, find_long_xy_chains, is_by_size=True),
    Technique("large-als-xz", 6, find_large_pairs, is_by_size=True),
    Technique("alternating-inference-chain", 6, find_inference_chains, is_by_size=True),
    Technique("cell-forcing-chain", 6, find_cell_forcing_chains, is_by_size=True, resort=1),
    Technique("house-forcing-chain", 6, find_house_forcing_chains, is_by_size=True, resort=1),
    Technique(
        "traced-contradiction",
        6,
        contradiction_finder(
            (find_hidden_singles, find_naked_singles),
            (find_pointing, find_claiming),
            (naked_finder(2), hidden_finder(2), naked_finder(3)),
        ),
        resort=2,
    ),
)

WITHOUT_UNIQUENESS = tuple(technique for technique in LADDER if not technique.is_by_uniqueness)
"""The ladder for those who do not want to take it for granted that there is one solution."""

RANKS = {technique.id: rank for rank, technique in enumerate(LADDER)}
"""The place on the ladder, from 0, of each technique's id."""


def technique_with(id: str) -> Technique:
    """Return the technique with this id. Raises UnknownTechniqueError, which lists those known.

    >>> from engine import technique_with
    >>> technique_with("x-wing").level
    4
    """
    rank = RANKS.get(id)
    if rank is None:
        raise UnknownTechniqueError(id, tuple(RANKS))
    return LADDER[rank]


def as_technique(technique: Technique | str) -> Technique:
    """Return a technique as it is, or the one with this id. Raises UnknownTechniqueError."""
    return technique_with(technique) if isinstance(technique, str) else technique
