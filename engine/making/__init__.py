"""New puzzles: what can be wished for, what was tried for it, and the puzzles that come of it."""

from engine.board.canonical import PATTERNS, pattern_of
from engine.making.puzzles import Made, make_puzzle, minimal_puzzle, shuffle_puzzle
from engine.making.recipes import FEWEST_GIVENS, Recipe, Tried, UnmadeError, find_contradiction

__all__ = [
    "FEWEST_GIVENS",
    "PATTERNS",
    "Made",
    "Recipe",
    "Tried",
    "UnmadeError",
    "find_contradiction",
    "make_puzzle",
    "minimal_puzzle",
    "pattern_of",
    "shuffle_puzzle",
]
