"""Practice: a position in private, found, missed, helped with, shown; and when it comes again."""

from __future__ import annotations

from collections.abc import AsyncIterator
from pathlib import Path
from typing import Any

import pytest

from bot import wording
from bot.club.asking import FindJudged
from bot.club.facts import HintPicture, StepFacts, step_of_facts
from bot.club.pictures import decode_picture
from bot.club.practised import Practised
from bot.club.practising import (
    ExerciseHelped,
    ExerciseMissed,
    ExerciseOver,
    ExerciseShown,
    ExerciseWanted,
    NoExercise,
)
from bot.club.problems import Problem
from bot.club.putting_questions import QuestionPut
from bot.club.replies import HintShown, InputRefused, KnownNoted, PersonalPage, ReportShown
from bot.club.under_way import WHICH
from bot.exchange import compose
from engine import find_own_steps, find_steps
from engine.claims import Judgement
from tests.bot.club.stories import (
    CROOK_AFTER_SINGLES,
    Story,
    crook_puzzle,
    open_story,
    settings_with,
)
from tests.bot.storage.kinds import KINDS, open_kind


@pytest.fixture(params=KINDS)
async def story(request: pytest.FixtureRequest, tmp_path: Path) -> AsyncIterator[Story]:
    async with open_kind(request.param, tmp_path) as store:
        yield await open_story(crook_puzzle(), store=store)


def strikes(step: StepFacts) -> str:
    """Write what a step concludes, as members write it."""
    told = [f"{cell}-{digit}" for cell, digit in step.removes]
    return "see " + " ".join(told + [f"{cell}={digit}" for cell, digit in step.places])


async def _shown(story: Story, line: str = "practice naked-pair", by: str = "ada") -> ExerciseShown:
    """Return the next position that has the technique."""
    shown = await story.hears(ExerciseShown, line, by=by)
    while shown.step is None:
        await story.hears(ExerciseOver, "see none", by=by)
        shown = await story.hears(ExerciseShown, line, by=by)
    return shown


async def test_a_position_is_shown_found_and_told(story: Story) -> None:
    shown = await _shown(story)
    assert shown.step is not None
    text = wording.phrase(shown).text
    assert "naked pair" in text
    assert shown.step.cells[0] not in text.replace("r1c6 r2c6 r9c6", "")
    grid = shown.picture.position.to_grid()
    own = find_own_steps(grid, "naked-pair")
    assert step_of_facts(grid.layout, shown.step) in own
    over = await story.later(minutes=1).hears(ExerciseOver, strikes(shown.step))
    assert (over.is_shown, over.tries, over.step) == (False, 1, shown.step)
    assert isinstance(over.picture, HintPicture)
    assert shown.step.cells[0] in wording.phrase(over).text


async def test_any_instance_counts_and_what_is_right_but_another_technique_is_no_try() -> None:
    story = await open_story(crook_puzzle())
    for _ in range(12):
        shown = await _shown(story, "practice naked-pair")
        grid = shown.picture.position.to_grid()
        instances = find_steps(grid, "naked-pair")
        others = [
            step
            for step in find_steps(grid, "pointing")
            if not any(step.removes & each.removes for each in instances)
        ]
        if others:
            cell, digit = next(iter(grid.layout.pairs(others[0].removes)))
            missed = await story.hears(
                ExerciseMissed, f"see {grid.layout.format_cell(cell)}-{digit}"
            )
            assert missed.judged is not None
            assert missed.judged.judgement is Judgement.ANOTHER
            assert missed.tries == 0
        last = instances[-1]
        cells = " ".join(map(grid.layout.format_cell, last.cells))
        line = f"see {''.join(map(str, last.digits))} in {cells}"
        assert (await story.hears(ExerciseOver, line)).tries == 1
        if others and len(instances) > 1:
            return
    pytest.fail("no position with two naked pairs and a pointing beside")


async def test_an_instance_told_by_its_house_alone_is_the_one_that_is_meant() -> None:
    story = await open_story(crook_puzzle())
    for _ in range(12):
        shown = await _shown(story, "practice naked-pair")
        grid = shown.picture.position.to_grid()
        alone = {
            grid.layout.houses[house].name: step
            for step in find_steps(grid, "naked-pair")
            for house in step.houses
        }
        name = list(alone)[-1]
        over = await story.hears(ExerciseOver, f"see naked pair {name}")
        assert over.step is not None
        assert name in over.step.houses
        if len(alone) > 1:
            return
    pytest.fail("no position with naked pairs in two houses")


async def test_wrong_tries_are_counted_and_none_is_wrong_where_there_is_one(story: Story) -> None:
    shown = await _shown(story)
    assert shown.step is not None
    assert (await story.hears(ExerciseMissed, "see none")).tries == 1
    grid = shown.picture.position.to_grid()
    filled = grid.layout.format_cell(grid.layout.cells_in(grid.filled_cells)[0])
    missed = await story.hears(ExerciseMissed, f"see {filled}-1")
    assert missed.judged is not None
    assert (missed.judged.judgement, missed.tries) == (Judgement.FAILS, 2)
    assert (await story.hears(ExerciseOver, strikes(shown.step))).tries == 3
    late = await story.hears(ExerciseOver, strikes(shown.step).replace("see ", "see practice "))
    assert late.is_late
    kept = await story.store.load_practice(story.club.id, "ada")
    skill = kept.skill_in("naked-pair")
    assert skill is not None
    assert skill.helped == 0


async def test_now_and_then_there_is_none_and_then_none_is_right() -> None:
    story = await open_story(crook_puzzle())
    without = 0
    for _ in range(40):
        shown = await story.hears(ExerciseShown, "practice naked-pair")
        grid = shown.picture.position.to_grid()
        assert bool(find_steps(grid, "naked-pair")) is (shown.step is not None)
        if shown.step is None:
            without += 1
            over = await story.hears(ExerciseOver, "see none")
            assert (over.step, over.tries) == (None, 1)
            assert "no naked pair" in wording.phrase(over).text
        else:
            await story.hears(ExerciseOver, strikes(shown.step))
    assert 0 < without < 20, without


async def test_help_climbs_and_what_was_shown_comes_again_today(story: Story) -> None:
    shown = await _shown(story)
    first = await story.hears(ExerciseHelped, "practice hint")
    second = await story.hears(ExerciseHelped, "practice hint")
    assert (first.picture.rung, second.picture.rung) == ("where", "which")
    assert first.step.cells[0] not in wording.phrase(first).text
    over = await story.hears(ExerciseOver, "practice hint")
    assert (over.is_shown, over.step, over.is_today) == (True, shown.step, True)
    kept = await story.store.load_practice(story.club.id, "ada")
    (skill,) = (each for each in kept.skills if each.technique == "naked-pair")
    assert (skill.helped, skill.is_weak) == (1, True)
    again = await story.later(minutes=11).hears(ExerciseShown, "practice")
    assert again.technique == "naked-pair"


async def test_what_is_under_way_is_shown_again_and_another_is_one_word_away(story: Story) -> None:
    assert await story.hears(NoExercise, "practice hint")
    assert await story.hears(NoExercise, "see practice")
    shown = await _shown(story)
    again = await story.hears(ExerciseShown, "practice")
    assert again.is_again
    assert again.picture == shown.picture
    other = await story.hears(ExerciseShown, "practice next")
    assert other.picture != shown.picture
    assert await story.hears(ExerciseWanted, "see practice")
    assert await story.hears(ExerciseWanted, "see")
    assert len(await story.store.load_seen(story.club.id, "ada", "naked-pair")) >= 1


@pytest.mark.parametrize(("word", "marks"), [("bare", "none"), ("two-place", "two-place")])
async def test_a_position_shown_without_all_candidates_has_nothing_struck(
    word: str, marks: str
) -> None:
    story = await open_story(crook_puzzle())
    shown = await story.hears(ExerciseShown, f"practice naked-pair {word}")
    for _ in range(4):
        assert (shown.picture.marks, shown.picture.position.removed) == (marks, ())
        await story.hears(ExerciseOver, "practice show")
        shown = await story.hears(ExerciseShown, "practice naked-pair")  # as it was before
    told = await story.hears(ExerciseShown, f"practice long-xy-chain {word}")
    assert (told.picture.marks, told.needs_marks) == ("all", True)
    back = await story.hears(ExerciseShown, "practice naked-pair")
    assert (back.picture.marks, back.needs_marks) == (marks, False)


async def test_a_position_keeps_its_own_marks_whatever_the_clubs_pictures_show() -> None:
    settings = settings_with(marks="two-place")
    story = await open_story(crook_puzzle(), settings=settings)
    shown = await story.hears(ExerciseShown, "practice naked-pair")
    assert shown.picture.marks == "two-place"
    for line, marks in (("practice hint", "none"), ("practice show", "all")):
        for asked in ("practice naked-pair bare", line):
            (message,) = await compose(await story.say(asked), settings, in_both=False)
            assert message.picture is not None
            facts: Any = decode_picture(message.picture.facts)
            assert facts.marks == (marks if asked == line else "none"), asked


async def test_a_find_is_of_what_is_under_way_or_of_what_is_named(story: Story) -> None:
    await story.hears(QuestionPut, "club ask naked triple", leads=True)
    assert await story.hears(FindJudged, "see r3c6-1")
    shown = await _shown(story)
    assert shown.step is not None
    assert await story.hears(FindJudged, "see question r3c6-1")
    assert await story.hears(ExerciseOver, strikes(shown.step))
    assert await story.hears(FindJudged, "see r3c6-1")


async def test_what_cannot_be_practised_is_refused_in_words() -> None:
    story = await open_story(crook_puzzle(), settings=settings_with(uniqueness=False))
    for line, problem, told in (
        ("practice wombat", Problem.NO_EXERCISE, "No technique goes by “wombat”. Name one, "),
        ("practice nakd pair", Problem.NO_EXERCISE, "“nakd pair”. Did you mean naked-pair"),
        ("practice remote-pair", Problem.NO_EXERCISE, "too few positions with a remote pair"),
        ("practice unique-rectangle", Problem.UNIQUENESS, "A unique rectangle takes for granted"),
        ("club sheet practice=remote-pair", Problem.NO_EXERCISE, "such as practice=naked-triple."),
    ):
        refused = await story.hears(InputRefused, line, leads=True)
        assert refused.problem is problem, line
        assert told in wording.phrase(refused).text, line
        assert "theme" not in wording.phrase(refused).text, line


async def test_practice_is_in_what_a_member_is_given_and_goes_with_what_they_erase(
    story: Story,
) -> None:
    shown = await _shown(story)
    assert shown.step is not None
    await story.hears(ExerciseOver, strikes(shown.step))
    kept: Any = await story.store.export_member(story.club.id, "ada")
    assert [each["technique"] for each in kept["practice"]] == ["naked-pair"]
    await story.say("privacy erase sure")
    gone = await story.store.load_practice(story.club.id, "ada")
    assert gone == Practised()
    assert await story.store.load_seen(story.club.id, "ada", "naked-pair") == ()
    assert await story.store.load_skills(story.club.id) == ()


async def test_who_needed_the_cells_of_a_hint_practises_its_technique(story: Story) -> None:
    await story.say("start")
    await story.hears(HintShown, f"hint {CROOK_AFTER_SINGLES}")
    await story.hears(HintShown, "hint more")
    told = await story.hears(HintShown, "hint more")
    assert told.rung == WHICH
    page = await story.later(minutes=11).hears(PersonalPage, "me")
    assert [(each.technique, each.helped, each.is_due) for each in page.skills] == [
        (told.step.technique, 1, True)
    ]
    shown = await story.hears(ExerciseShown, "practice")
    assert shown.technique == told.step.technique
    kept = await story.store.load_practice(story.club.id, "ada")
    assert [skill.technique for skill in kept.skills] == [told.step.technique]
    page = await story.hears(PersonalPage, "me")
    assert [each.met for each in page.skills] == [1]


async def test_the_own_page_tells_each_technique_and_leaders_get_sums_of_three_or_more(
    story: Story,
) -> None:
    for count, member in enumerate(("ada", "ben", "cleo"), start=1):
        await story.hears(ExerciseShown, "practice x-wing", by=member)
        await story.hears(ExerciseOver, "practice show", by=member)
        report = await story.hears(ReportShown, "club report", leads=True)
        assert report.practised == ((("x-wing", 3, 3),) if count == 3 else ())
    text = wording.phrase(report).text
    assert "X-wing: 3 of the 3 who practise it still need help" in text
    assert "Cleo" not in text
    page = await story.hears(PersonalPage, "me", by="ben")
    assert page.weakest == ("x-wing",)
    assert "X-wing: met 1, found alone 0, needed help 1" in wording.phrase(page).text


async def test_what_is_known_already_is_no_help_that_was_needed(story: Story) -> None:
    await story.say("start")
    await story.hears(HintShown, f"hint {CROOK_AFTER_SINGLES}")
    await story.hears(HintShown, "hint more")
    noted = await story.hears(KnownNoted, "hint known")
    assert noted.is_recorded
    assert noted.struck
    page = await story.hears(PersonalPage, "me")
    assert page.skills == ()
