"""Steps, positions and ratings as JSON-ready values: the outside form of the command line.

The shapes are a promise to scripts: change them only by adding. Words come from `bot.wording`.
"""

from __future__ import annotations

from typing import Any

from bot import wording
from bot.club.facts import Position, StepFacts, facts_of_step
from bot.club.facts_planning import TurningReport
from bot.photo.told import PhotoReading
from engine import Grid, Path, Rating, Step, apply_step, making

_RATING_FIELDS = (
    "solution", "givens", "minimal", "level", "techniques", "hardest", "needs", "turning_points",
    "effort", "minutes",
)  # fmt: skip


def position_form(position: Position) -> dict[str, Any]:
    """Return `{"grid": text, "removed": [[cell name, digit], …]}`, and the cells whose digits are
    known to be no givens as `"own": [cell name, …]`, where there are any."""
    removed = [list(pair) for pair in position.removed]
    own = {"own": list(position.own)} if position.own else {}
    return {"grid": position.grid, "removed": removed, **own}


def step_form(grid: Grid, step: Step) -> dict[str, Any]:
    """Return a step by names, with its four rungs, as taken from the position `grid`."""
    return _step_form(facts_of_step(grid.layout, step), Position.of(grid))


def _step_form(facts: StepFacts, position: Position) -> dict[str, Any]:
    return {
        "technique": facts.technique,
        "level": facts.level,
        "houses": list(facts.houses),
        "cells": list(facts.cells),
        "digits": list(facts.digits),
        "places": [list(pair) for pair in facts.places],
        "removes": [list(pair) for pair in facts.removes],
        "rungs": wording.rungs(facts, position),
    }


def without_solution(solutions: int) -> dict[str, Any]:
    """Return the rating of a grid with none or many: all fields but `solutions` are null."""
    return {"solutions": solutions, **dict.fromkeys(_RATING_FIELDS)}


def unrated(line: int, text: str, solutions: int | None, wrong: str) -> dict[str, Any]:
    """Return the value, among many, of what is no puzzle. `solutions` None: it is no grid."""
    return {
        "line": line,
        "grid": text,
        "solutions": solutions,
        **dict.fromkeys(_RATING_FIELDS),
        "wrong": wrong,
    }


def rating_form(rating: Rating, *, with_turning_points: bool = True) -> dict[str, Any]:
    """Return a rating; with other than one solution all fields but `solutions` are null.

    Turning points that were not asked for are null as well.
    """
    if rating.solutions != 1:
        return without_solution(rating.solutions)
    return {
        "solutions": rating.solutions,
        "solution": rating.solution,
        "givens": rating.givens,
        "minimal": rating.minimal,
        "level": rating.level,
        "techniques": dict(rating.techniques),
        "hardest": rating.hardest,
        "needs": list(rating.needs),
        "turning_points": [
            {
                "position": position_form(Position.of(point.position)),
                "level": point.level,
                "steps": [step_form(point.position, step) for step in point.steps],
            }
            for point in rating.turning_points
        ]
        if with_turning_points
        else None,
        "effort": rating.effort,
        "minutes": rating.minutes,
    }


def path_form(path: Path) -> dict[str, Any]:
    """Return `{"steps": [step, …], "solved": bool}`."""
    grid, steps = path.start, []
    for step in path.steps:
        steps.append(step_form(grid, step))
        grid = apply_step(grid, step)
    return {"steps": steps, "solved": path.is_solved}


def made_form(made: making.Made, seed: int) -> dict[str, Any]:
    """Return a made puzzle with the seed that makes it again."""
    return {
        "puzzle": made.puzzle,
        "solution": made.solution,
        "level": made.rating.level,
        "needs": list(made.rating.needs),
        "seed": seed,
    }


def turning_form(report: TurningReport) -> dict[str, Any]:
    """Return where a puzzle turns, and where those are stuck who miss what it needs."""
    return {
        "puzzle": report.givens,
        "level": report.level,
        "hardest": report.hardest,
        "needs": list(report.needs),
        "effort": report.effort,
        "minutes": report.minutes,
        "turning_points": [
            {
                "position": position_form(point.position),
                "level": point.level,
                "open_cells": point.open_cells,
                "candidates": point.candidates,
                "pairs": point.pairs,
                "offers": [
                    {
                        "technique": offer.technique,
                        "level": offer.level,
                        "count": offer.count,
                        "needed": offer.is_needed,
                        "leading": offer.leading,
                        "step": _step_form(offer.step, point.position),
                    }
                    for offer in point.offers
                ],
            }
            for point in report.points
        ],
        "missing": [
            {
                "technique": missing.technique,
                "stuck": position_form(missing.stuck),
                "open_cells": missing.open_cells,
                "pairs": missing.pairs,
                "way_rounds": [
                    {"technique": technique, "twin": is_twin}
                    for technique, is_twin in missing.way_rounds
                ],
            }
            for missing in report.missing
        ],
    }


def photo_form(reading: PhotoReading) -> dict[str, Any]:
    """Return what a photo shows, by names; `problem` is the id of why it shows nothing."""
    return {
        "found": reading.problem is None,
        "problem": reading.problem,
        "turned": reading.turned,
        "grid": reading.grid,
        "doubtful": list(reading.doubtful),
        "struck": list(reading.struck),
    }
