"""How far the opening of a themed puzzle goes before it turns: digits by singles, of all to place.

For each theme the puzzles of the starting stock that turn once, on the theme: how many digits come
before the turn.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from bot.stock.starting_stock import load_starting_stock
from engine.board.grid import parse_grid
from engine.solving.grading import find_sweeps
from engine.solving.turning import find_turns
from engine.techniques import LADDER
from tests.bench import Figure, median


def digits_before_turns() -> Mapping[str, list[tuple[int, int]]]:
    """Return for each theme, in the ladder's order, and each of its puzzles (digits placed before
    the turn, digits to place)."""
    found: dict[str, list[tuple[int, int]]] = {each.id: [] for each in LADDER}
    for puzzle in load_starting_stock():
        if puzzle.is_clean_for(puzzle.hardest):
            grid = parse_grid(puzzle.givens)
            turn = next(find_turns(find_sweeps(grid)))
            placed = turn.first.position.filled_cells.bit_count() - grid.filled_cells.bit_count()
            found[puzzle.hardest].append((placed, grid.open_cells.bit_count()))
    return {theme: counts for theme, counts in found.items() if counts}


def find_figures() -> Iterator[Figure]:
    for theme, counts in digits_before_turns().items():
        placed = [before for before, _ in counts]
        share = median([100 * before / whole for before, whole in counts])
        yield Figure(
            f"{theme}, {len(counts)} puzzles: fewest before it turns", min(placed), "digits"
        )
        yield Figure(f"{theme}: median", median(placed), "digits")
        yield Figure(f"{theme}: most", max(placed), "digits")
        yield Figure(f"{theme}: median share of all to place", share, "%")
