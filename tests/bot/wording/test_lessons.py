"""A lesson cannot lie: the engine checks its worked position, and the words what it says of it."""

from __future__ import annotations

import re

import pytest

from bot import assets, wording
from bot.club.exercises import practised_techniques
from bot.club.facts import GridPicture, HintPicture, facts_of_step
from bot.club.practising import Practise
from bot.commands.table import parse
from bot.wording.rungs import which
from bot.wording.steps import REASONS, conclusion_of
from bot.wording.techniques import read_lesson, reminder
from engine import count_solutions
from engine.board.grid import Grid, format_grid, parse_grid
from engine.board.step import Step
from engine.solving.paths import find_steps
from engine.techniques import LADDER, RANKS, technique_with
from tests.bot.wording.samples import help_on

IDS = tuple(technique.id for technique in LADDER)
PARTS = ("## How to spot it", "## A worked position", "## A common slip", "## Exercises")

WITHOUT_EXERCISES = (
    "jellyfish", "remote-pair", "simple-colouring", "avoidable-rectangle",
    "alternating-inference-chain",
    "cell-forcing-chain", "house-forcing-chain", "traced-contradiction",
)  # fmt: skip
"""No three positions were found that are told by their digits alone and need these: something has
to be struck before, or digits of one's own have to stand there. They are shown as pictures."""

each_technique = pytest.mark.parametrize("technique", IDS)


def position_of_lesson(text: str) -> Grid:
    drawn = re.search(r"```\n(.*?)\n```", text, re.DOTALL)
    assert drawn is not None
    grid = parse_grid(drawn[1])
    own = re.findall(r"r\dc\d", " ".join(re.findall(r"([^.]*) were not given", text)))
    struck = re.search(r"Struck before: ([^.]*)\.", text)
    for name, digits in re.findall(r"(r\dc\d)((?: \d)+)", struck[1] if struck else ""):
        for digit in digits.split():
            bit = grid.layout.bit(grid.layout.parse_cell(name), int(digit))
            assert grid.candidates & bit, (name, digit)
            grid = grid.eliminate(bit)
    return grid.with_own(grid.layout.mask_of(map(grid.layout.parse_cell, own)))


def test_there_is_a_lesson_for_every_technique_and_no_other() -> None:
    found = {path.stem for path in assets.path("lessons").glob("*.md")}
    assert found == set(IDS)


@each_technique
def test_a_lesson_has_its_title_and_parts(technique: str) -> None:
    text = wording.lesson(technique)
    assert text.splitlines()[0].lower() == f"# {wording.technique_name(technique).lower()}"
    assert wording.technique_name(technique).lower().replace(" ", "-") == technique
    parts = list(PARTS) if technique not in WITHOUT_EXERCISES else list(PARTS[:-1])
    assert [line for line in text.splitlines() if line.startswith("## ")] == parts


@each_technique
def test_a_reminder_is_short_and_holds_no_digit(technique: str) -> None:
    told = reminder(technique)
    assert not re.search(r"[0-9]", told)
    assert told.endswith(".")
    assert 60 < len(told) < 320


def test_the_worked_alternating_inference_chain_is_a_chain() -> None:
    """Of several links, with more than one digit and more than two cells: no smaller pattern."""
    grid = position_of_lesson(wording.lesson("alternating-inference-chain"))
    (line,) = find_steps(grid, technique_with("alternating-inference-chain"))[0].chains
    assert len(line) >= 5
    assert len({node.digit for link in line for node in (link.first, link.second)}) > 1
    assert len({node.cells for link in line for node in (link.first, link.second)}) > 2


@each_technique
def test_the_worked_position_has_the_technique_and_the_lesson_says_what_it_does(
    technique: str,
) -> None:
    text = wording.lesson(technique)
    grid = position_of_lesson(text)
    step = find_steps(grid, technique_with(technique))[0]
    told = f"{which(facts_of_step(grid.layout, step))} {conclusion_of(step, grid)}"
    assert " ".join(told.split()) in " ".join(text.split())


@each_technique
def test_a_lesson_gives_the_reasoning_of_its_worked_position(technique: str) -> None:
    text = wording.lesson(technique)
    grid = position_of_lesson(text)
    step = find_steps(grid, technique_with(technique))[0]
    reasoning = REASONS[technique](step, grid)
    assert f" Why: {' '.join(reasoning.split())} ## A common slip" in " ".join(text.split())


def made_by(grid: Grid, step: Step) -> int:
    """Return the candidate mask of what a step strikes or places."""
    return step.removes | sum(grid.layout.bit(cell, digit) for cell, digit in step.places)


def is_needed(grid: Grid, technique: str, step: Step) -> bool:
    """Whether nothing lower on the ladder makes any of what a step makes."""
    made = made_by(grid, step)
    lower = LADDER[: RANKS[technique]]
    return not any(made_by(grid, easier) & made for each in lower for easier in each.find(grid))


@each_technique
def test_nothing_easier_makes_the_strike_of_a_worked_position(technique: str) -> None:
    grid = position_of_lesson(wording.lesson(technique))
    assert is_needed(grid, technique, find_steps(grid, technique)[0])


@pytest.mark.parametrize("technique", [id for id in IDS if id not in WITHOUT_EXERCISES])
def test_a_lesson_has_three_exercises_that_nothing_easier_gives_away(technique: str) -> None:
    exercises = read_lesson(technique).exercises
    worked = format_grid(position_of_lesson(wording.lesson(technique)))
    assert len({*exercises, worked}) == 4
    for text in exercises:
        assert count_solutions(text) == 1
        grid = parse_grid(text)
        assert is_needed(grid, technique, find_steps(grid, technique)[0])


@each_technique
def test_help_on_a_technique_shows_its_worked_position_and_positions_to_try(technique: str) -> None:
    lesson, shown, *others = wording.phrase_all(help_on(technique))
    assert isinstance(shown.picture, HintPicture)
    assert shown.picture.step.technique == technique
    assert shown.picture.rung == "why"
    assert shown.picture.position.grid == format_grid(parse_grid(lesson.message.code))
    if technique not in WITHOUT_EXERCISES:
        (tried,) = others
        assert tried.message.code.split() == list(read_lesson(technique).exercises)
    else:
        assert len(others) == (1 if technique == "remote-pair" else 3)


@pytest.mark.parametrize("technique", WITHOUT_EXERCISES)
def test_exercises_as_pictures_hold_the_technique_where_nothing_easier_gives_it_away(
    technique: str,
) -> None:
    worked = position_of_lesson(wording.lesson(technique))
    shown = [each.picture for each in wording.phrase_all(help_on(technique))[2:]]
    positions = [each.position for each in shown if isinstance(each, GridPicture)]
    assert len({each.grid for each in positions} | {format_grid(worked)}) == len(shown) + 1
    for position in positions:
        assert count_solutions(position.grid) == 1
        grid = position.to_grid()
        assert any(is_needed(grid, technique, step) for step in find_steps(grid, technique))
    assert all(isinstance(each, GridPicture) and each.with_candidates for each in shown)


@each_technique
def test_a_lesson_leads_on_to_practice_of_its_technique(technique: str) -> None:
    last = wording.phrase_all(help_on(technique))[-1].message
    commands = [button.command for button in last.buttons]
    if technique not in practised_techniques():
        assert technique == "remote-pair", "positions of it are too few to practise"
        assert commands == []
        return
    (command,) = commands
    assert command in last.text
    act = parse(command, {}, in_open=False)
    assert isinstance(act, Practise)
    assert act.technique == technique


@each_technique
def test_help_on_a_technique_gives_the_whole_lesson(technique: str) -> None:
    message = wording.phrase(help_on(technique))
    shown = position_of_lesson(wording.lesson(technique))
    assert format_grid(parse_grid(message.code)) == format_grid(shown)
    prose = wording.lesson(technique).partition("## Exercises")[0]
    prose = re.sub(r"```.*?```", "", prose, flags=re.DOTALL)
    lines = [line for line in prose.splitlines() if not line.startswith("#")]
    told = " ".join(" ".join(lines).split()).split(". ")
    assert len(told) >= 6
    assert all(sentence in message.text for sentence in told)
