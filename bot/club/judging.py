"""Judgements for a leader: whether a puzzle can be a day's, and what a ruling makes of a result."""

from __future__ import annotations

from msgspec.structs import replace

from bot.club.refusal import RefusedError, refusal_of
from bot.club.replies import InputRefused
from bot.club.state import Entry, Puzzle, Verdict
from bot.club.vetting import vet_puzzle
from engine.errors import EngineError, ManySolutionsError, NoSolutionError
from engine.grid import format_grid, parse_grid
from engine.pasting import read_pasted
from engine.search import find_solutions


def judge_puzzle(text: str, *, credit: str = "", command: str = "club queue") -> Puzzle:
    """Read, solve and rate a puzzle as typed. RefusedError where it cannot be a day's puzzle."""
    try:
        grid = parse_grid(read_pasted(text).text)
        solutions = find_solutions(grid)
        if not solutions:
            raise NoSolutionError
        if len(solutions) > 1:
            first, second = map(format_grid, solutions)
            cells_differ = tuple(
                grid.layout.format_cell(cell)
                for cell in range(grid.layout.cell_count)
                if first[cell] != second[cell]
            )
            raise ManySolutionsError((first, second), cells_differ)
    except EngineError as error:
        raise RefusedError(refusal_of(command, error)) from None
    puzzle = vet_puzzle(grid, credit=" ".join(credit.split()), origin="queued by a leader").puzzle
    if puzzle is None:
        raise RefusedError(InputRefused(command=command, problem="too-hard"))
    return puzzle


_VERDICTS: dict[str, Verdict] = {
    "accept": "accepted",
    "unrank": "unranked",
    "restore": "accepted",
}


def rule(entry: Entry, verdict: str, reason: str) -> Entry:
    """Return a finished entry with the leader's ruling; restored is as good as accepted."""
    if entry.finished_at is None:
        raise RefusedError(InputRefused(command="club result", problem="no-result"))
    if verdict not in _VERDICTS:
        raise RefusedError(
            InputRefused(command="club result", problem="value", text=f"verdict={verdict}")
        )
    if not reason.strip():
        raise RefusedError(InputRefused(command="club result", problem="missing", text="reason"))
    return replace(entry, verdict=_VERDICTS[verdict], reason=reason.strip())
