"""A lesson cannot lie: the engine checks its worked position, and the words what it says of it."""

from __future__ import annotations

import re

import pytest

from bot import assets, wording
from bot.club.exercises import practised_techniques
from bot.club.facts import GridPicture, HintPicture, facts_of_step
from bot.club.practising import Practise
from bot.commands.table import parse
from bot.wording.before import tell_before, tell_by_eye
from bot.wording.rungs import which
from bot.wording.steps import REASONS, conclusion_of
from bot.wording.techniques import read_lesson, reminder
from engine import count_solutions
from engine.board.grid import Grid, format_grid, parse_grid
from engine.board.step import Step
from engine.solving.paths import find_steps
from engine.techniques import LADDER, RANKS, technique_with
from tests.bot.wording.drawn_positions import position_of_lesson
from tests.bot.wording.samples import help_on

IDS = tuple(technique.id for technique in LADDER)
PARTS = (
    "## How to spot it",
    "## By eye",
    "## A worked position",
    "## A common slip",
    "## Exercises",
)

WITHOUT_EXERCISES = (
    "jellyfish", "remote-pair", "simple-colouring", "avoidable-rectangle",
    "alternating-inference-chain",
    "cell-forcing-chain", "house-forcing-chain", "traced-contradiction",
)  # fmt: skip
"""No three positions were found that are told by their digits alone and need these: something has
to be struck before, or digits of one's own have to stand there. They are shown as pictures."""

each_technique = pytest.mark.parametrize("technique", IDS)


def test_there_is_a_lesson_for_every_technique_and_no_other() -> None:
    found = {path.stem for path in assets.path("lessons").glob("*.md")}
    assert found == set(IDS)


@each_technique
def test_a_lesson_has_its_title_and_parts(technique: str) -> None:
    text = wording.lesson(technique)
    assert text.splitlines()[0].lower() == f"# {wording.technique_name(technique).lower()}"
    assert wording.technique_name(technique).lower().replace(" ", "-") == technique
    left_out = {"## Exercises"} if technique in WITHOUT_EXERCISES else set()
    parts = [part for part in PARTS if part not in left_out]
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
    """Word by word as a hint does, and in the same lines."""
    grid = position_of_lesson(wording.lesson(technique))
    reasoning = REASONS[technique](find_steps(grid, technique)[0], grid)
    way = "\n" if "\n" in reasoning else " "
    assert read_lesson(technique).worked.endswith(f" Why:{way}{reasoning}")


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


def told_below_the_paper(technique: str) -> list[wording.Worded]:
    """Return what help tells, without the position as it is on paper, and the slip."""
    told = wording.phrase_all(help_on(technique))
    return [each for each in told if each.name not in ("on-paper", "slip")]


@each_technique
def test_help_on_a_technique_shows_its_worked_position_and_positions_to_try(technique: str) -> None:
    lesson, shown, *others = told_below_the_paper(technique)
    assert isinstance(shown.picture, HintPicture)
    assert shown.picture.step.technique == technique
    assert shown.picture.rung == "why"
    assert (shown.picture.marks, shown.picture.keeps_marks) == ("all", True)
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
    shown = [each.picture for each in told_below_the_paper(technique)[2:]]
    positions = [each.position for each in shown if isinstance(each, GridPicture)]
    assert len({each.grid for each in positions} | {format_grid(worked)}) == len(shown) + 1
    for position in positions:
        assert count_solutions(position.grid) == 1
        grid = position.to_grid()
        assert any(is_needed(grid, technique, step) for step in find_steps(grid, technique))
    assert all(isinstance(each, GridPicture) and each.with_candidates for each in shown)


@each_technique
def test_the_position_on_paper_has_two_place_marks_and_tells_what_to_scan_for(
    technique: str,
) -> None:
    (paper,) = (each for each in wording.phrase_all(help_on(technique)) if each.name == "on-paper")
    assert isinstance(paper.picture, GridPicture)
    assert (paper.picture.marks, paper.picture.keeps_marks) == ("two-place", True)
    grid = position_of_lesson(wording.lesson(technique))
    assert paper.picture.position.to_grid() == grid
    by_eye = read_lesson(technique).by_eye
    assert by_eye in paper.text
    assert not re.search(r"[0-9]", by_eye)
    assert tell_by_eye(technique) in paper.text


@each_technique
def test_what_the_marks_are_said_to_show_has_two_places_in_its_box(technique: str) -> None:
    grid = position_of_lesson(wording.lesson(technique))
    step = find_steps(grid, technique)[0]
    layout, told = grid.layout, tell_by_eye(technique)
    said = {
        (name, int(digit))
        for each in told.removeprefix("In this position the marks show ").split(";")
        for digit in re.findall("[1-9]", each.partition(" in ")[0])
        for name in re.findall(r"r[0-9]c[0-9]", each)
    }
    shown = set()
    for box in layout.boxes:
        for digit in layout.digits:
            places = [cell for cell in box.cells if grid.candidates & layout.bit(cell, digit)]
            if len(places) == 2:
                shown |= {(layout.format_cell(cell), digit) for cell in places}
    bits = step.pattern | sum(layout.bit(cell, digit) for cell, digit in step.places)
    of_find = {
        (layout.format_cell(cell), digit)
        for cell in step.cells
        for digit in layout.digits
        if bits & layout.bit(cell, digit)
    }
    assert said == shown & of_find


@each_technique
def test_what_is_told_of_easier_techniques_is_so(technique: str) -> None:
    grid = position_of_lesson(wording.lesson(technique))
    told = tell_before(technique)
    lower = [each for each in LADDER[: RANKS[technique]] if not each.is_shortcut]
    found = {each.id for each in lower if next(iter(each.find(grid)), None)}
    levels = {technique_with(each).level for each in found}
    if "no single left" in told or "There is no hidden single" in told:
        assert 1 not in levels
    if "No " in told or "Nothing easier" in told:
        assert not found
    _, _, listed = told.partition("you can find ")
    for each in re.split(r", | and ", listed.partition(";")[0].removeprefix("only ")):
        name, _, place = each.partition(" in ")
        named = re.sub(r"^an? ", "", name).lower().replace(" ", "-")
        if each in ("", "more"):
            continue
        assert named in found, each
        houses = {house for step in find_steps(grid, named) for house in step.houses}
        assert place in {grid.layout.houses[house].name for house in houses}
    if " only " in told:
        assert len(re.findall(r" in (?:row|column|box)", told)) == len(found)
    assert bool(told) is bool(lower)


STRUCK_BEFORE = (
    "simple-colouring", "alternating-inference-chain", "cell-forcing-chain", "house-forcing-chain",
)  # fmt: skip


@each_technique
def test_what_was_struck_before_went_by_the_techniques_that_are_named(technique: str) -> None:
    told = re.search(r"What was struck before went by ([^.]+)\.", tell_before(technique))
    assert bool(told) is (technique in STRUCK_BEFORE)
    if told is None:
        return
    grid = position_of_lesson(wording.lesson(technique))
    plain = (re.sub(r"^an? ", "", each) for each in re.split(r", | and ", told[1]))
    named = [each.lower().replace(" ", "-") for each in plain]
    assert all(RANKS[each] < RANKS[technique] for each in named)
    now = parse_grid(format_grid(grid))
    for _ in range(len(named) ** 2):
        for each in named:
            for step in find_steps(now, each):
                now = now.eliminate(step.removes & now.candidates & ~grid.candidates)
    assert now.candidates == grid.candidates


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
    lines = [line.rstrip("\\") for line in prose.splitlines() if not line.startswith("#")]
    told = " ".join(" ".join(lines).split()).split(". ")
    assert len(told) >= 6
    text = " ".join(" ".join(each.text for each in wording.phrase_all(help_on(technique))).split())
    assert all(sentence in text for sentence in told)
