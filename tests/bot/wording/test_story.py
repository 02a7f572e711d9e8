"""A walkthrough as a story: routine in groups, turns in full, reasons that name earlier steps."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from functools import cache
from statistics import median_low

import pytest

from bot.club.facts import GridPicture, Position, StepFacts, facts_of_step
from bot.wording.rungs import why
from bot.wording.steps.conclusions import WORDS
from bot.wording.story import GROUP, Chapter, tell_story
from engine import Grid, Path, Step, apply_step, find_walkthrough, witnesses
from engine.board.grid import format_grid
from engine.solving.easiest import find_easiest_single
from tests.bot.wording.told import find_untrue
from tests.corpus import load_puzzles
from tests.sizes import PART, Size, either_size

ALREADY = "ruled out"
TURNS = "No single is left here: this is where the puzzle turns.", "Again, no single is left."
"""The first time, and from then on."""


THREE_HUNDRED = pytest.mark.parametrize("count", [9, pytest.param(300, marks=pytest.mark.long)])


@cache
def paths(count: int) -> tuple[Path, ...]:
    """Return walkthroughs of puzzles of every level, spread over the corpus."""
    puzzles = load_puzzles()
    return tuple(
        find_walkthrough(puzzles[index * len(puzzles) // count].text) for index in range(count)
    )


def told(path: Path) -> tuple[list[tuple[Step, Grid]], tuple[Chapter, ...]]:
    taken, grid = [], path.start
    for step in path.steps:
        taken.append((step, grid))
        grid = apply_step(grid, step)
    facts: list[StepFacts] = [facts_of_step(grid.layout, step) for step, _ in taken]
    positions = [Position.of(position) for _, position in taken]
    return taken, tell_story(format_grid(path.start), facts, positions)


_GROUP = re.compile(r"([0-9]+) (?:and|to) ([0-9]+)\. \w+ digits come by themselves: (.*)\.")
_STEP = re.compile(r"([0-9]+)\. [A-Z][\w+, -]*: ")
_LINES = 5
"""From this level on a step may have lines of its own, of which those of cases are numbered."""
_PLACED = re.compile(r"((?:[1-9](?:, | and )?)+) in ((?:r[1-9]c[1-9](?:, | and )?)+) \(")


@either_size
def test_a_story_tells_every_step_once_and_in_order(size: Size) -> None:
    for path in paths(size.count(24)):
        taken, chapters = told(path)
        numbers: list[int] = []
        for chapter in chapters:
            for line in chapter.text.splitlines():
                group, one = _GROUP.match(line), _STEP.match(line)
                if group:
                    numbers.extend(range(int(group[1]), int(group[2]) + 1))
                elif one:
                    numbers.append(int(one[1]))
                elif line not in TURNS:
                    assert taken[numbers[-1] - 1][0].level >= _LINES, line
        assert numbers == list(range(1, len(taken) + 1))


@either_size
def test_what_comes_in_a_group_rests_on_no_strike_and_is_told_truly(size: Size) -> None:
    groups = 0
    for path in paths(size.count(24)):
        taken, chapters = told(path)
        for chapter in chapters:
            for first, last, places in _GROUP.findall(chapter.text):
                steps = taken[int(first) - 1 : int(last)]
                assert all(step.level == 1 for step, _ in steps)
                assert not any(witnesses.find_struck(grid, step) for step, grid in steps)
                said = [
                    pair
                    for digits, cells in _PLACED.findall(places)
                    for pair in zip(
                        re.findall("r[1-9]c[1-9]", cells), re.findall("[1-9]", digits), strict=True
                    )
                ]
                layout = path.start.layout
                placed = [each for step, _ in steps for each in step.places]
                assert said == [(layout.format_cell(cell), str(digit)) for cell, digit in placed]
                groups += 1
    assert groups > 20


@either_size
def test_where_a_puzzle_is_said_to_turn_no_single_is_left(size: Size) -> None:
    turns = 0
    for path in paths(size.count(24)):
        taken, chapters = told(path)
        opening = TURNS[0]
        for chapter in chapters:
            if chapter.text.startswith(TURNS):
                found = re.match(rf"{opening}\n([0-9]+)\.", chapter.text)
                assert found is not None
                opening = TURNS[1]
                assert find_easiest_single(taken[int(found[1]) - 1][1]) is None
                turns += 1
    assert turns > size.count(24)


@THREE_HUNDRED
def test_what_rests_on_an_earlier_strike_names_the_step_that_made_it(count: int) -> None:
    named = 0
    for path in paths(count):
        taken, chapters = told(path)
        text = "\n".join(chapter.text for chapter in chapters)
        lines = {int(found[1]): line for line in text.splitlines() if (found := _STEP.match(line))}
        struck_in: dict[tuple[int, int], int] = {}
        for number, (step, grid) in enumerate(taken, start=1):
            needs = {
                struck_in[pair] for pair in grid.layout.pairs(witnesses.find_struck(grid, step))
            }
            for each in needs:
                assert re.search(rf"[Ss]teps? (?:[0-9]+(?:, | and ))*{each}\b", lines[number]), (
                    lines[number], needs,
                )  # fmt: skip
                named += 1
            if number in lines:
                assert ALREADY not in lines[number]
            for pair in grid.layout.pairs(step.removes):
                struck_in.setdefault(pair, number)
    assert named > 20


def in_full(path: Path) -> Iterator[tuple[str, str, Step, Grid]]:
    """Yield what is told of each step that is not in a group: its lines, and those without its
    number and name; with the position as the step was found at it."""
    taken, chapters = told(path)
    parts: list[list[str]] = []
    for line in "\n".join(chapter.text for chapter in chapters).splitlines():
        if _STEP.match(line):
            parts.append([line])
        elif parts and not _GROUP.match(line) and line not in TURNS:
            parts[-1].append(line)
    for part in parts:
        found = _STEP.match(part[0])
        assert found is not None
        step, grid = taken[int(found[1]) - 1]
        own = step.pattern & ~sum(
            grid.layout.cell_bits[cell] for cell in grid.layout.cells_in(grid.filled_cells)
        )
        whole = "\n".join(part)
        yield whole, whole[found.end() :], step, grid.with_candidates(own)


@THREE_HUNDRED
def test_no_sentence_of_a_walkthrough_is_false(count: int, fired: Counter[str]) -> None:
    for path in paths(count):
        for _, reason, step, grid in in_full(path):
            assert find_untrue(reason, step, grid) is None, (step.technique, reason)
            fired[step.technique] += 1
    assert fired.total() > 3 * count


@THREE_HUNDRED
def test_hidden_pairs_and_crossings_name_what_bars_the_rest(
    count: int, fired: Counter[str]
) -> None:
    for path in paths(count):
        for whole, _, step, _ in in_full(path):
            if step.technique in ("hidden-single", "pointing", "claiming"):
                assert not re.search("sees? it in", whole)
            elif step.technique == "hidden-pair":
                for digit in step.digits:
                    assert re.search(rf"\b{digit}s?(?: and [1-9]s)? (?:of|it) ", whole), whole
            else:
                continue
            fired[step.technique] += 1
    assert fired["hidden-single"] > count
    assert fired["hidden-pair"] > 0


def test_every_chapter_has_a_picture_and_a_group_shows_all_that_it_places() -> None:
    alone = 0
    for path in paths(PART.count(24)):
        taken, chapters = told(path)
        placed: list[tuple[str, int]] = []
        for chapter in chapters:
            picture = chapter.picture
            if isinstance(picture, GridPicture):
                assert 0 < len(chapter.text.splitlines()) <= GROUP
                placed.extend(picture.places)
            else:
                alone += 1
                placed.extend(picture.step.places)
                assert why(picture.step, picture.position).split(".")[-2] in chapter.text
        layout = path.start.layout
        assert placed == [
            (layout.format_cell(cell), digit) for step, _ in taken for cell, digit in step.places
        ]
    assert alone > 10


def test_a_start_with_strikes_of_its_own_says_only_that_they_were_made() -> None:
    """Nobody numbered them: `is already ruled out`, as in a hint."""
    found = 0
    for path in paths(PART.count(24)):
        for at in range(len(path.steps)):
            grid = path.start
            for step in path.steps[:at]:
                grid = apply_step(grid, step)
            step = path.steps[at]
            if step.technique == "hidden-single" and witnesses.find_struck(grid, step):
                facts, position = facts_of_step(grid.layout, step), Position.of(grid)
                (chapter,) = tell_story(format_grid(path.start), (facts,), (position,))
                assert ALREADY in chapter.text
                assert not re.search(r"step [0-9]", chapter.text)
                found += 1
    assert found


@pytest.mark.parametrize("count", [1, GROUP, GROUP + 1, 3 * GROUP])
def test_a_long_run_is_cut_into_parts_of_about_equal_length(count: int) -> None:
    path = next(
        path for path in paths(PART.count(24)) if all(step.level == 1 for step in path.steps)
    )
    taken, _ = told(path)
    facts = [facts_of_step(grid.layout, step) for step, grid in taken[:count]]
    positions = [Position.of(grid) for _, grid in taken[:count]]
    chapters = tell_story(format_grid(path.start), facts, positions)
    assert len(chapters) == -(-count // GROUP)


@either_size
def test_steps_of_levels_1_to_4_are_told_in_few_words(size: Size, fired: Counter[str]) -> None:
    """At most 60 words each, its number not counted. Half of all are told in less than 35, and so
    are half of those that are told in full."""
    counts: list[int] = []
    full: list[int] = []
    for path in paths(size.count(24)):
        taken, chapters = told(path)
        for line in "\n".join(chapter.text for chapter in chapters).splitlines():
            if group := _GROUP.match(line):
                share = int(group[2]) - int(group[1]) + 1
                counts.extend([len(line.split()) // share] * share)
            elif (one := _STEP.match(line)) and taken[int(one[1]) - 1][0].level <= 4:
                full.append(len(line.split()) - 1)
    counts.extend(full)
    fired.update({"steps": len(counts), "median words": median_low(counts)})
    fired.update({"told in full": len(full), "median words in full": median_low(full)})
    fired["worst"] = max(counts)
    assert median_low(counts) <= median_low(full) < 35
    assert max(counts) <= WORDS
