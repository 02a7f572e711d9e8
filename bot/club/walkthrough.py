"""The walkthrough of a puzzle: hint after hint, pruned to what matters, with every position."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

from bot.club.facts import Position, StepFacts, facts_of_step
from bot.club.ladders import ladder_of
from bot.club.replies import WalkthroughPosted, WalkthroughShown
from bot.club.showing import published_picture
from bot.club.state import ClubSettings, Day
from engine.grid import parse_grid
from engine.solving import apply_step, find_walkthrough
from engine.techniques import Technique

WALKTHROUGHS_KEPT = 16
"""A closed day is looked at by many, and some puzzles take a while to walk through."""


@lru_cache(maxsize=WALKTHROUGHS_KEPT)
def _path_facts(
    givens: str, ladder: Sequence[Technique]
) -> tuple[tuple[StepFacts, ...], tuple[Position, ...], bool]:
    path = find_walkthrough(parse_grid(givens), ladder=ladder)
    grid, steps, positions = path.start, [], []
    for step in path.steps:
        steps.append(facts_of_step(grid.layout, step))
        positions.append(Position.of(grid))
        grid = apply_step(grid, step)
    return tuple(steps), tuple(positions), path.is_solved


def walkthrough_shown(day: Day, settings: ClubSettings) -> WalkthroughShown:
    steps, positions, is_solved = _path_facts(day.puzzle.givens, ladder_of(settings))
    return WalkthroughShown(
        date=day.date,
        givens=day.puzzle.givens,
        level=day.puzzle.level,
        steps=steps,
        positions=positions,
        is_solved=is_solved,
        picture=published_picture(day),
    )


def walkthrough_posted(day: Day, settings: ClubSettings) -> WalkthroughPosted:
    steps, positions, is_solved = _path_facts(day.puzzle.givens, ladder_of(settings))
    return WalkthroughPosted(
        date=day.date,
        givens=day.puzzle.givens,
        level=day.puzzle.level,
        steps=steps,
        positions=positions,
        is_solved=is_solved,
    )
