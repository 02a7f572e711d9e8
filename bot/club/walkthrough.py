"""The walkthrough of a puzzle: hint after hint, pruned to what matters, with every position."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from bot.club.answer_key import line_names
from bot.club.facts import GridPicture, Position, StepFacts, facts_of_step
from bot.club.ladders import ladder_of
from bot.club.replies import WalkthroughPosted, WalkthroughShown
from bot.club.showing import published_picture
from bot.club.state import ClubSettings, Day, Puzzle
from engine import Path, apply_step, find_walkthrough, parse_grid


@dataclass(frozen=True, slots=True)
class PathFacts:
    """The steps of a path, the position before each, and whether they lead to the end."""

    steps: tuple[StepFacts, ...] = ()
    positions: tuple[Position, ...] = ()
    is_solved: bool = False


NO_PATH = PathFacts()
"""Where working the path out took too long."""


def path_facts(givens: str, settings: ClubSettings, theme: str) -> PathFacts:
    """Return the path by a club's ladder; for a hard puzzle that takes seconds. `theme`: the
    technique to go by wherever it leads on, empty for none."""
    grid, ladder = parse_grid(givens), ladder_of(settings)
    return facts_of_path(find_walkthrough(grid, theme=theme or None, ladder=ladder))


def facts_of_path(path: Path) -> PathFacts:
    """Return a path's steps by names."""
    grid, steps, positions = path.start, [], []
    for step in path.steps:
        steps.append(facts_of_step(grid.layout, step))
        positions.append(Position.of(grid))
        grid = apply_step(grid, step)
    return PathFacts(tuple(steps), tuple(positions), path.is_solved)


def walkthrough_shown(day: Day, path: PathFacts, theme: str) -> WalkthroughShown:
    """Return a closed puzzle's solving as the answer to whoever asks for it."""
    return WalkthroughShown(
        date=day.date,
        givens=day.puzzle.givens,
        level=day.puzzle.level,
        steps=path.steps,
        positions=path.positions,
        is_solved=path.is_solved,
        picture=published_picture(day),
        theme=theme,
    )


def walkthrough_ahead(
    on_date: date, puzzle: Puzzle, path: PathFacts, theme: str
) -> WalkthroughShown:
    """Return the solving of a puzzle to come, for a leader who teaches from it."""
    lines = line_names(puzzle.givens)
    return WalkthroughShown(
        date=on_date,
        givens=puzzle.givens,
        level=puzzle.level,
        steps=path.steps,
        positions=path.positions,
        is_solved=path.is_solved,
        picture=GridPicture(puzzle.givens, Position(puzzle.givens), lines=lines),
        is_coming=True,
        theme=theme,
    )


def walkthrough_posted(day: Day, path: PathFacts) -> WalkthroughPosted:
    """Return a closed puzzle's solving as the thread under its post."""
    return WalkthroughPosted(
        date=day.date,
        givens=day.puzzle.givens,
        level=day.puzzle.level,
        steps=path.steps,
        positions=path.positions,
        is_solved=path.is_solved,
    )
