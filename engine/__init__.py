"""Sudoku by logic: the steps that a person can see, each with all that it rests on.

>>> from engine import count_solutions, find_hint, find_walkthrough, rate
>>> puzzle = "23..7.....8..56.215....8.7.....14.....75.34.....68.....2.1....965.83..1.....4..86"
>>> count_solutions(puzzle), rate(puzzle).hardest, find_hint(puzzle).technique
(1, 'naked-pair', 'hidden-single')
>>> find_walkthrough(puzzle).is_solved
True

Pure, synchronous, standard library only. A grid may be a `Grid` or a text that shows one, a
technique a `Technique` or its id. Nothing outside this package imports from behind this door.
`errors`, `grading`, `making`, `claims`, `pattern_parts` and `witnesses` hold what goes further.
"""

from engine import claims, errors, making
from engine.board.canonical import canonical_form
from engine.board.grid import (
    EMPTY_MARKS,
    Grid,
    draw_grid,
    format_grid,
    parse_grid,
    position_of,
)
from engine.board.layout import (
    CLASSIC,
    Cell,
    House,
    HouseKind,
    Layout,
    diagonal_layout,
    layout_with,
    regular_layout,
)
from engine.board.layout_names import irregular_layout, layout_name, layout_named
from engine.board.pasted_candidates import read_pasted_candidates
from engine.board.pasting import holds_grid, read_pasted
from engine.board.step import (
    PLAIN_LEVEL,
    Bound,
    CellConstraint,
    Constraint,
    HouseConstraint,
    Link,
    LinkKind,
    Node,
    Step,
)
from engine.board.symmetry import random_symmetry
from engine.claims import Claim, check_claim
from engine.errors import EngineError
from engine.inference import pattern_parts, witnesses
from engine.limits import limited
from engine.making import Recipe, make_puzzle
from engine.search.exact import count_solutions, find_solutions, solve
from engine.solving import grading
from engine.solving.exercises import find_own_steps
from engine.solving.grading import Rating, rate
from engine.solving.hint_search import find_kept_steps
from engine.solving.hints import find_hint, find_walkthrough
from engine.solving.narrowing import Narrowing
from engine.solving.paths import (
    Path,
    apply_step,
    find_all_steps,
    find_next_step,
    find_path,
    find_steps,
    still_applies,
)
from engine.techniques import LADDER, RANKS, WITHOUT_UNIQUENESS, Technique, technique_with

__all__ = [
    "CLASSIC",
    "EMPTY_MARKS",
    "LADDER",
    "PLAIN_LEVEL",
    "RANKS",
    "WITHOUT_UNIQUENESS",
    "Bound",
    "Cell",
    "CellConstraint",
    "Claim",
    "Constraint",
    "EngineError",
    "Grid",
    "House",
    "HouseConstraint",
    "HouseKind",
    "Layout",
    "Link",
    "LinkKind",
    "Narrowing",
    "Node",
    "Path",
    "Rating",
    "Recipe",
    "Step",
    "Technique",
    "apply_step",
    "canonical_form",
    "check_claim",
    "claims",
    "count_solutions",
    "diagonal_layout",
    "draw_grid",
    "errors",
    "find_all_steps",
    "find_hint",
    "find_kept_steps",
    "find_next_step",
    "find_own_steps",
    "find_path",
    "find_solutions",
    "find_steps",
    "find_walkthrough",
    "format_grid",
    "grading",
    "holds_grid",
    "irregular_layout",
    "layout_name",
    "layout_named",
    "layout_with",
    "limited",
    "make_puzzle",
    "making",
    "parse_grid",
    "pattern_parts",
    "position_of",
    "random_symmetry",
    "rate",
    "read_pasted",
    "read_pasted_candidates",
    "regular_layout",
    "solve",
    "still_applies",
    "technique_with",
    "witnesses",
]
