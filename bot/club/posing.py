"""What a question can be about: a position, and a find there that is more than a guess.

Each is found by the engine, in a process of its own: a lesson's worked position, where a puzzle
turns, or what a leader pasted. What is pasted has one solution by its digits alone, so that a club
that takes this for granted may argue from it there.
"""

from __future__ import annotations

from dataclasses import dataclass

from bot.club.exercises import draw_with_one_solution, practised_techniques
from bot.club.facts import Position, StepFacts, facts_of_step
from bot.club.ladders import ladder_of
from bot.club.lessons import worked_picture
from bot.club.problems import Problem
from bot.club.refusal import RefusedError, refusal_of, refuse
from bot.club.state import ClubSettings
from bot.club.turning import UnsettledError, study_turning
from bot.club.vetting import where_they_differ
from engine import (
    EngineError,
    Grid,
    find_solutions,
    format_grid,
    parse_grid,
    position_of,
    read_pasted,
    read_pasted_candidates,
)

COMMAND = "club ask"


@dataclass(frozen=True, slots=True)
class Posed:
    """A position with the find that the question is about. `of_coming`: the givens of the puzzle to
    come that a pasted one is of."""

    position: Position
    step: StepFacts
    of_coming: str = ""


def study_lesson(technique: str) -> Posed:
    """Return a lesson's worked position with the find there."""
    shown = worked_picture(technique)
    return Posed(shown.position, shown.step)


def study_drawn(technique: str, seed: str) -> Posed:
    """Return a position of those to practise the technique at that have one solution, turned,
    mirrored and renamed; the lesson's where there are too few."""
    if technique not in practised_techniques():
        return study_lesson(technique)
    drawn = draw_with_one_solution(technique, seed)
    assert drawn.step is not None
    return Posed(drawn.position, drawn.step)


def study_turn(givens: str, settings: ClubSettings) -> Posed | None:
    """Return the first position at which a puzzle turns, with a find that leads on, and that the
    club's ladder has."""
    try:
        report = study_turning(givens)
    except UnsettledError:
        return None
    for point in report.points:
        leading = [
            offer
            for offer in point.offers
            if offer.leading and (settings.uniqueness or not offer.step.is_by_uniqueness)
        ]
        needed = [offer for offer in leading if offer.is_needed]
        for offer in (*needed, *leading):
            return Posed(point.position, offer.step)
    return None


def study_pasted(
    text: str,
    struck: tuple[tuple[str, int], ...],
    technique: str,
    settings: ClubSettings,
    open_ones: tuple[str, ...] = (),
    coming: tuple[str, ...] = (),
) -> Posed:
    """Return a pasted position with a find of a technique there, else with the simplest there is.

    `struck`: candidates that are gone beside those that the text shows. RefusedError where it
    cannot be read, has not just one solution, or has no such find; where it ends as one of the
    puzzles does that are open, whatever else is wrong with it. Puzzles are told by their givens.
    """
    try:
        grid = read_pasted_candidates(text) or parse_grid(read_pasted(text).text)
        grid = grid.eliminate(grid.layout.parse_pairs(struck))
    except EngineError as error:
        raise RefusedError(refusal_of(COMMAND, error)) from None
    solution = _solution_of(grid)
    if any(_ends_so(givens, solution) for givens in open_ones):
        raise refuse(COMMAND, Problem.STILL_OPEN)
    _refuse_struck(grid, solution)
    same = (givens for givens in coming if _ends_so(givens, solution))
    techniques = [
        each
        for each in ladder_of(settings)
        if technique in ("", each.id) and not each.is_last_resort
    ]
    for each in techniques:
        for step in each.find(grid):
            return Posed(Position.of(grid), facts_of_step(grid.layout, step), next(same, ""))
    raise refuse(COMMAND, Problem.NOT_THERE, technique)


def _solution_of(grid: Grid) -> Grid:
    """Return the one solution of a position. RefusedError where it has none, or several by its
    digits: what was struck on the way is no given."""
    if grid.is_complete:
        raise refuse(COMMAND, Problem.COMPLETE)
    solutions = find_solutions(position_of(format_grid(grid), ()))
    if len(solutions) != 1:
        problem = Problem.MANY_SOLUTIONS if solutions else Problem.NO_SOLUTION
        raise refuse(COMMAND, problem, cells=where_they_differ(grid, solutions))
    return solutions[0]


def _ends_so(givens: str, solution: Grid) -> bool:
    return any(format_grid(each) == format_grid(solution) for each in find_solutions(givens))


def _refuse_struck(grid: Grid, solution: Grid) -> None:
    wrong = [
        grid.layout.format_cell(cell)
        for cell in grid.layout.cells_in(grid.open_cells)
        if solution.digit_at(cell) not in grid.candidates_at(cell)
    ]
    if wrong:
        raise refuse(COMMAND, Problem.STRUCK_TRUE, cells=tuple(wrong))
