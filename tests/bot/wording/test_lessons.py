"""A lesson cannot lie: the engine checks its worked position, and the words what it says of it."""

from __future__ import annotations

import re

import pytest

from bot import assets, wording
from bot.club.facts import facts_of_step
from bot.wording.rungs import which
from bot.wording.steps import REASONS, conclusion_of
from bot.wording.techniques import reminder
from engine.board.grid import Grid, parse_grid
from engine.solving.paths import find_steps
from engine.techniques import LADDER, technique_with
from tests.bot.wording.samples import help_on

IDS = tuple(technique.id for technique in LADDER)
PARTS = ("## How to spot it", "## A worked position", "## A common slip")

each_technique = pytest.mark.parametrize("technique", IDS)


def position_of_lesson(text: str) -> Grid:
    drawn = re.search(r"```\n(.*?)\n```", text, re.DOTALL)
    assert drawn is not None
    grid = parse_grid(drawn[1])
    own = re.findall(r"r\dc\d", " ".join(re.findall(r"([^.]*) were not given", text)))
    return grid.with_own(grid.layout.mask_of(map(grid.layout.parse_cell, own)))


def test_there_is_a_lesson_for_every_technique_and_no_other() -> None:
    found = {path.stem for path in assets.path("lessons").glob("*.md")}
    assert found == set(IDS)


@each_technique
def test_a_lesson_has_its_title_and_parts(technique: str) -> None:
    text = wording.lesson(technique)
    assert text.splitlines()[0].lower() == f"# {wording.technique_name(technique).lower()}"
    assert wording.technique_name(technique).lower().replace(" ", "-") == technique
    assert [line for line in text.splitlines() if line.startswith("## ")] == list(PARTS)


@each_technique
def test_a_reminder_is_short_and_holds_no_digit(technique: str) -> None:
    told = reminder(technique)
    assert not re.search(r"[0-9]", told)
    assert told.endswith(".")
    assert 60 < len(told) < 320


@each_technique
def test_the_worked_position_has_the_technique_and_the_lesson_says_what_it_does(
    technique: str,
) -> None:
    text = wording.lesson(technique)
    grid = position_of_lesson(text)
    step = find_steps(grid, technique_with(technique))[0]
    told = f"{which(facts_of_step(grid.layout, step))} {conclusion_of(step, grid)}"
    assert " ".join(told.split()) in " ".join(text.split())


@pytest.mark.parametrize("technique", [each.id for each in LADDER if each.level > 3])
def test_a_lesson_above_level_3_gives_the_reasoning_of_its_worked_position(technique: str) -> None:
    text = wording.lesson(technique)
    grid = position_of_lesson(text)
    step = find_steps(grid, technique_with(technique))[0]
    reasoning = REASONS[technique](step, grid)
    assert f" Why: {' '.join(reasoning.split())} ## A common slip" in " ".join(text.split())


@each_technique
def test_help_on_a_technique_gives_the_whole_lesson(technique: str) -> None:
    message = wording.phrase(help_on(technique))
    shown = position_of_lesson(wording.lesson(technique))
    assert parse_grid(message.code) == shown.with_own(0)
    prose = re.sub(r"```.*?```", "", wording.lesson(technique), flags=re.DOTALL)
    lines = [line for line in prose.splitlines() if not line.startswith("#")]
    told = " ".join(" ".join(lines).split()).split(". ")
    assert len(told) >= 6
    assert all(sentence in message.text for sentence in told)
