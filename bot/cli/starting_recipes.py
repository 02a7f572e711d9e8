"""The starting stock, made again byte for byte: `python -m bot.cli.starting_recipes`.

`assets/puzzles/starting-recipes.txt` holds a line for each puzzle, the words after `ninebark make`.
Nothing else goes into the file, so anyone can make it anew, or a like one with other seeds.
"""

from __future__ import annotations

import sys
from collections.abc import Iterable
from random import Random

from bot import assets
from bot.cli.making import read_wishes
from bot.club.state import Puzzle
from bot.club.vetting import vet_puzzle
from engine import make_puzzle, parse_grid

HEAD = """\
# The puzzles that every installation starts with, easiest first, made again by
# `python -m bot.cli.starting_recipes`. One solution each, no two the same puzzle in disguise.
# givens\tsolution\tlevel\tneeds\thardest\teffort\tpattern\tform\tturns
"""


def load_recipes() -> tuple[str, ...]:
    """Return the recipes, one a puzzle, as the words after `ninebark make`."""
    text = assets.path("puzzles", "starting-recipes.txt").read_text(encoding="utf-8")
    return tuple(line for line in text.splitlines() if line and not line.startswith("#"))


def make_by(recipe: str) -> Puzzle:
    """Make the puzzle of one line and judge it as any other. Raises UnmadeError."""
    wishes, seed = read_wishes(recipe.split())
    return judged(make_puzzle(Random(seed), wishes).puzzle)


def judged(givens: str) -> Puzzle:
    """Return a made puzzle with all that its line tells."""
    puzzle = vet_puzzle(parse_grid(givens)).puzzle
    assert puzzle is not None  # what is made has one solution and is explained to its end
    return puzzle


def format_stock(puzzles: Iterable[Puzzle]) -> str:
    """Write the file, easiest first. Raises ValueError where two are the same in disguise."""
    ordered = sorted(puzzles, key=lambda puzzle: (puzzle.level, puzzle.effort, puzzle.givens))
    if len({puzzle.form for puzzle in ordered}) < len(ordered):
        raise ValueError("two recipes make the same puzzle in disguise")
    return HEAD + "".join(format_line(puzzle) + "\n" for puzzle in ordered)


def format_line(puzzle: Puzzle) -> str:
    """Write a puzzle as a line of the file: what `bot.stock.starting_stock` reads."""
    needs = ",".join(puzzle.needs)
    fields = (puzzle.level, needs, puzzle.hardest, puzzle.effort, puzzle.pattern, puzzle.form)
    return "\t".join((puzzle.givens, puzzle.solution, *map(str, fields), str(puzzle.turns)))


if __name__ == "__main__":
    sys.stdout.write(format_stock(map(make_by, load_recipes())))
