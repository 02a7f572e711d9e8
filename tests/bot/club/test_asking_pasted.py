"""A question about a position that a leader pasted, with its candidates or without."""

from __future__ import annotations

import re
from collections.abc import Iterable

import pytest

from bot import wording
from bot.club.asking import FindJudged, QuestionUp, SayFind
from bot.club.facts import GridPicture, Position, facts_of_step
from bot.club.posing import Posed, study_lesson
from bot.club.problems import Problem
from bot.club.putting_questions import QuestionPut, question_changes
from bot.club.replies import InputRefused
from bot.commands import table as commands
from bot.platforms.message import LINE_LIMIT
from bot.wording.spoken import write_to_copy
from engine import CLASSIC, LADDER, count_solutions, find_steps
from engine.board.grid import Grid, parse_grid
from engine.claims import Judgement
from tests.bot.club.stories import (
    CROOK,
    CROOK_AFTER_SINGLES,
    EASY_SOLUTION,
    SEVENTEEN,
    Story,
    crook_puzzle,
    easy_puzzle,
    open_story,
)
from tests.bot.club.test_asking import ALL


def _lesson() -> Grid:
    posed = study_lesson("naked-triple")
    assert posed is not None
    return posed.position.to_grid()


def _table(grid: Grid, *, lacks: Iterable[tuple[str, int]] = ()) -> str:
    """Draw the candidates of a grid as programs do, a word a cell, with rulers."""
    gone = set(lacks)
    words = [
        "".join(
            str(digit)
            for digit in (grid.candidates_at(cell) or (grid.digit_at(cell),))
            if (grid.layout.format_cell(cell), digit) not in gone
        )
        for cell in grid.layout.cells_in(grid.layout.all_cells)
    ]
    rows = [words[start : start + 9] for start in range(0, 81, 9)]
    lines = [" | ".join(" ".join(row[box : box + 3]) for box in (0, 3, 6)) for row in rows]
    ruler = "------+-----+-----"
    return "\n".join((*lines[:3], ruler, *lines[3:6], ruler, *lines[6:]))


async def _asked(story: Story, line: str) -> QuestionUp:
    await story.hears(QuestionPut, line, leads=True)
    await story.tick()
    return story.post_with(QuestionUp)


@pytest.fixture
async def story() -> Story:
    """A club in which another puzzle is open than those that are asked about."""
    return await open_story(easy_puzzle())


async def test_a_pasted_position_is_asked_about_by_its_digits(story: Story) -> None:
    question = await _asked(story, f"club ask {CROOK_AFTER_SINGLES}")
    assert question.picture.position.grid == CROOK_AFTER_SINGLES
    # The paper goes on with a naked pair there, and nothing easier is left: all singles are done.
    assert question.step.level >= 2
    (cell, digit), *_ = question.step.removes
    assert (await story.hears(FindJudged, f"see {cell}-{digit}")).judgement in (
        Judgement.RIGHT, Judgement.RIGHT_AND_MORE,
    )  # fmt: skip


async def test_a_technique_is_looked_for_at_the_pasted_position(story: Story) -> None:
    by_candidates = f"club ask naked triple mark=pattern\n{_table(_lesson())}"
    question = await _asked(story, by_candidates)
    assert (question.step.technique, question.step.houses) == ("naked-triple", ("column 6",))
    assert (await story.hears(FindJudged, ALL)).judgement is Judgement.RIGHT


async def test_candidates_that_were_struck_stay_struck(story: Story) -> None:
    gone = (("r3c6", 1), ("r5c6", 1))
    question = await _asked(story, f"club ask naked-triple\n{_table(_lesson(), lacks=gone)}")
    assert set(gone) <= set(question.picture.position.removed)
    assert not set(gone) & set(question.step.removes)


async def test_what_the_bot_gives_a_leader_to_copy_can_be_pasted(story: Story) -> None:
    posed = study_lesson("naked-triple")
    assert posed is not None
    grid = posed.position.to_grid().eliminate(1 << 0)
    struck = grid.eliminate(grid.layout.parse_pairs([("r3c6", 1)]))
    copied = write_to_copy(type(posed.position).of(struck))
    assert "--removed" in copied
    question = await _asked(story, f"club ask naked-triple {copied}")
    assert question.picture.position == type(posed.position).of(struck)


REFUSED = (
    (f"2{CROOK[1:]}", Problem.NO_SOLUTION),  # 6 in the paper's solution
    (f"5{CROOK[1:]}", Problem.REPEATED),
    (CROOK.replace("4", "."), Problem.MANY_SOLUTIONS),
    (EASY_SOLUTION, Problem.COMPLETE),
    (CROOK[:-1] + "..", Problem.LENGTH),
    (f"x-wing {CROOK}", Problem.NOT_THERE),
    ("1" * 81, Problem.REPEATED),
    ("." * 81, Problem.MANY_SOLUTIONS),
    ("123456789 " * 81, Problem.MANY_SOLUTIONS),
)


@pytest.mark.parametrize(("pasted", "problem"), REFUSED)
async def test_what_cannot_be_asked_about_is_refused_in_words(
    story: Story, pasted: str, problem: Problem
) -> None:
    refused = await story.hears(InputRefused, f"club ask {pasted}", leads=True)
    assert refused.problem is problem
    assert wording.phrase(refused).text
    assert await story.store.load_question(story.club.id, "ada") is None


async def test_candidates_that_lack_a_right_digit_are_refused(story: Story) -> None:
    table = _table(parse_grid(CROOK), lacks=[("r1c1", 6)])  # 6 in the paper's solution
    refused = await story.hears(InputRefused, f"club ask {table}", leads=True)
    assert (refused.problem, refused.cells) == (Problem.STRUCK_TRUE, ("r1c1",))
    assert "r1c1" in wording.phrase(refused).text


async def test_the_open_puzzle_is_never_asked_about_however_far_it_is() -> None:
    story = await open_story(crook_puzzle())
    wrong = _table(parse_grid(CROOK), lacks=[("r1c1", 6)])  # nobody learns here what is wrong
    for pasted in (CROOK, CROOK_AFTER_SINGLES, _table(parse_grid(CROOK)), wrong):
        refused = await story.hears(InputRefused, f"club ask {pasted}", leads=True)
        assert refused.problem is Problem.STILL_OPEN
    assert await story.hears(QuestionPut, f"club ask {SEVENTEEN}", leads=True)


@pytest.mark.parametrize("mark", ["1", ".", "12 ", "r", "--removed '", "club ask ", "until=", "💥"])
async def test_ten_thousand_characters_are_refused_unread(story: Story, mark: str) -> None:
    line = f"club ask {mark * 10_000}"[:10_000]
    refused = await story.hears(InputRefused, line, leads=True)
    assert (refused.problem, refused.expected) == (Problem.TOO_LONG, LINE_LIMIT)
    shorter = await story.hears(InputRefused, line[: LINE_LIMIT - 1], leads=True)
    assert wording.phrase(shorter).text
    assert commands.parse(f"see {mark * 900}", {}, in_open=False)


SEVERAL = "5.4..8912672195348198.42567859..1423426853791713924856961537284287419635345286179"
"""The encyclopaedia's solution less seven cells: four of them are a rectangle of 6 and 7."""


async def test_an_answer_argues_from_uniqueness_only_where_there_is_one_solution() -> None:
    assert count_solutions(SEVERAL) > 1
    grid = parse_grid(SEVERAL)
    (step, *_) = find_steps(grid, "unique-rectangle")
    several = Posed(Position.of(grid), facts_of_step(grid.layout, step))
    one = study_lesson("unique-rectangle")
    for posed, is_right in ((several, False), (one, True)):
        story = await open_story(easy_puzzle())
        changes = question_changes(story.club, None, posed.position, posed.step, None)
        await story.store.save(changes)
        (cell, digit), *_ = posed.step.removes
        cells, digits = " ".join(posed.step.cells), "".join(map(str, posed.step.digits))
        line = f"see unique rectangle {digits} in {cells} so {cell}-{digit}"
        judged = (await story.hears(FindJudged, line)).judgement
        assert (judged in (Judgement.RIGHT, Judgement.RIGHT_AND_MORE)) is is_right, judged


def test_every_lessons_position_has_one_solution_and_its_find_is_not_the_example() -> None:
    """What a club may argue from uniqueness at."""
    posed = {each.id: study_lesson(each.id) for each in LADDER}
    several = {
        name
        for name, each in posed.items()
        if each is not None and count_solutions(parse_grid(each.position.grid)) != 1
    }
    assert several == set()
    for each in filter(None, posed.values()):
        up = QuestionUp(number=1, step=each.step, picture=GridPicture("." * 81, each.position))
        said = commands.parse(
            re.findall(r"see r[^.]*", wording.phrase(up).text)[0], {}, in_open=False
        )
        assert isinstance(said, SayFind)
        assert said.said is not None
        assert not said.said.removes & CLASSIC.parse_pairs(each.step.removes)
    assert sum(each is not None for each in posed.values()) >= 30
