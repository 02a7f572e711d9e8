"""A button pressed again shows again what it showed: it climbs no further, and adds nothing."""

from __future__ import annotations

from bot import wording
from bot.club.replies import HintOffered, HintShown, MistakeShown, NoHintUnderWay
from bot.club.reply import Reply
from tests.bot.club.stories import CROOK_AFTER_SINGLES, Story, crook_puzzle, easy_puzzle, open_story


def button(reply: Reply, label: str) -> str:
    """Return the command behind the button whose label starts so."""
    (found,) = [each for each in wording.phrase(reply).buttons if each.label.startswith(label)]
    return found.command


async def crooks_story() -> Story:
    story = await open_story(crook_puzzle())
    await story.say("start")
    await story.say(f"board {CROOK_AFTER_SINGLES}")
    return story


async def added(story: Story) -> int:
    return (await story.entry()).added_seconds


async def test_more_pressed_twice_shows_its_rung_twice_and_charges_once() -> None:
    story = await crooks_story()
    where = await story.hears(HintShown, "hint column 3")
    for label, rung in (("More: What", 2), ("More: Which", 3), ("More: Why", 4)):
        press = button(where, label)
        first = await story.hears(HintShown, press)
        total = await added(story)
        again = await story.hears(HintShown, press)
        assert (first.rung, again.rung, again.seconds) == (rung, rung, 0)
        assert await added(story) == total
        where = first
    assert total == 15 + 30 + 60 + 120


async def test_an_older_button_shows_its_rung_again_and_the_climb_goes_on_where_it_was() -> None:
    story = await crooks_story()
    where = await story.hears(HintShown, "hint column 3")
    press = button(where, "More: What")
    await story.hears(HintShown, press)
    which = await story.hears(HintShown, "hint more")
    assert which.rung == 3
    assert (await story.hears(HintShown, press)).rung == 2
    assert (await story.hears(HintShown, "hint more")).rung == 4


async def test_go_on_with_that_hint_pressed_twice_charges_once() -> None:
    story = await crooks_story()
    await story.say("hint column 3")
    go_on = button(await story.hears(HintOffered, "hint"), "Go on with that hint")
    rungs = [(await story.hears(HintShown, go_on)).rung for _ in range(2)]
    assert rungs == [2, 2]
    assert await added(story) == 15 + 30


async def test_a_button_means_its_own_hint_also_when_another_is_under_way() -> None:
    story = await open_story(easy_puzzle())
    await story.say("start")
    first = await story.hears(HintShown, "hint box 5 anywhere")
    second = await story.hears(HintShown, "hint box 9 anywhere")
    assert second.step.key != first.step.key
    what = await story.hears(HintShown, button(first, "More: What"))
    assert (what.step.key, what.rung) == (first.step.key, 2)
    total = await added(story)
    other = await story.hears(HintShown, button(second, "More: What"))
    assert (other.step.key, other.rung) == (second.step.key, 2)
    assert (await story.hears(HintShown, button(first, "More: What"))).step.key == first.step.key
    assert await added(story) == total + 30


async def test_a_mistake_told_by_a_press_is_told_again_by_the_same_press() -> None:
    story = await open_story(easy_puzzle())
    await story.say("start")
    where = await story.hears(HintShown, "hint board sure")
    await story.say("place r1c3 1")
    press = button(where, "More: What")
    found = await story.hears(MistakeShown, press)
    total = await added(story)
    assert (await story.hears(MistakeShown, press)).rung == found.rung == 1
    assert await added(story) == total
    press = button(found, "Roughly where?")
    for _ in range(2):
        assert (await story.hears(MistakeShown, press)).rung == 2
    assert await added(story) == total + found_next(found)
    await story.say("undo")
    await story.hears(NoHintUnderWay, press)


def found_next(found: MistakeShown) -> int:
    assert found.next_cost
    return found.next_cost


async def test_rungs_that_nobody_has_are_neither_shown_nor_leapt_over() -> None:
    story = await crooks_story()
    await story.say("hint column 3")
    await story.hears(NoHintUnderWay, "hint more 7 2")
    leapt = await story.hears(HintShown, "hint more 1 4")
    assert (leapt.rung, leapt.seconds) == (2, 30)
