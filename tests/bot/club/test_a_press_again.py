"""A button pressed again shows again what it showed: it climbs no further, and adds nothing."""

from __future__ import annotations

from bot import wording
from bot.club.replies import (
    BoardShown,
    HintOffered,
    HintShown,
    KnownNoted,
    MistakeShown,
    NoHintUnderWay,
    PersonalPage,
    TableShown,
    TodayShown,
)
from bot.club.reply import Reply
from tests.bot.club.stories import (
    CROOK_AFTER_SINGLES,
    Story,
    crook_puzzle,
    easy_puzzle,
    open_story,
)


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


async def test_undo_pressed_twice_takes_back_one_change_and_says_so_twice() -> None:
    story = await open_story(easy_puzzle())
    await story.say("start")
    first = await story.hears(BoardShown, "place r1c3 4")
    second = await story.hears(BoardShown, "place r1c4 6")
    for _ in range(2):
        undone = await story.hears(BoardShown, button(second, "Undo"))
        assert (undone.change, undone.picture.position) == ("undone", first.picture.position)
    # Its own button goes on from there.
    back = await story.hears(BoardShown, button(undone, "Undo"))
    assert (back.change, back.undo_left) == ("undone", 0)


async def test_an_older_undo_takes_nothing_back_once_the_board_has_changed() -> None:
    story = await open_story(easy_puzzle())
    await story.say("start")
    old = button(await story.hears(BoardShown, "place r1c3 4"), "Undo")
    now = await story.hears(BoardShown, "place r1c4 6")
    kept = await story.hears(BoardShown, old)
    assert (kept.change, kept.picture) == ("not-undone", now.picture)
    assert "nothing was undone" in wording.phrase(kept).text
    assert (await story.hears(BoardShown, "undo")).change == "undone"
    assert (await story.hears(BoardShown, old)).undo_left == 0


async def test_the_undo_beside_a_pasted_grid_brings_the_old_board_back_once() -> None:
    story = await open_story(crook_puzzle())
    await story.say("start")
    reply = await story.hears(HintShown, f"hint paste {CROOK_AFTER_SINGLES}")
    echo, *_ = wording.phrase_all(reply)
    (undo,) = [each.command for each in echo.message.buttons]
    for _ in range(2):
        assert (await story.hears(BoardShown, undo)).undo_left == 0


async def test_known_already_pressed_twice_is_noted_once_and_told_twice() -> None:
    story = await crooks_story()
    what = await story.hears(HintShown, button(await story.say("hint column 3"), "More: What"))
    press = button(what, "I know that already")
    noted = await story.hears(KnownNoted, press)
    total = await added(story)
    again = await story.hears(KnownNoted, press)
    assert (again.struck, again.placed, again.seconds) == (noted.struck, noted.placed, 0)
    assert await added(story) == total == noted.total
    assert (await story.hears(BoardShown, "board")).undo_left == 2


async def test_known_already_means_its_own_hint_also_when_another_is_under_way() -> None:
    story = await open_story(easy_puzzle())
    await story.say("start")
    which = await story.hears(HintShown, "hint box 5 anywhere")
    while which.rung < 3:
        which = await story.hears(HintShown, button(which, "More"))
    other = await story.hears(HintShown, "hint box 9 anywhere")
    noted = await story.hears(KnownNoted, button(which, "I know that already"))
    assert noted.step.key == which.step.key != other.step.key
    assert (await story.hears(HintShown, "hint more")).step.key == other.step.key


async def test_the_next_hint_is_the_same_one_however_often_it_is_asked_for() -> None:
    story = await crooks_story()
    for rung in ("hint column 3", "hint more", "hint more"):
        await story.say(rung)
    why = await story.hears(HintShown, "hint more")
    await story.say("hint known")
    press = button(why, "Another hint")
    second = await story.hears(HintShown, press)
    assert (second.rung, second.number > why.number) == (1, True)
    total = await added(story)
    assert (await story.hears(HintShown, press)).step.key == second.step.key
    await story.say("hint more")
    third = await story.hears(HintShown, "hint row 1 anywhere")
    total = await added(story)
    again = await story.hears(HintShown, press)
    assert (again.step.key, again.rung, again.seconds) == (second.step.key, 2, 0)
    assert third.step.key != second.step.key
    assert await added(story) == total


async def test_this_weeks_table_stays_the_one_of_its_week() -> None:
    story = await open_story(easy_puzzle())
    await story.say("start")
    await story.say(f"hand-in {easy_puzzle().solution}")
    shown = [
        button(await story.hears(TodayShown, "today"), "This week"),
        button(await story.hears(PersonalPage, "me"), "This week"),
        button(await story.hears(TableShown, "leaderboard month"), "This week"),
    ]
    week = await story.hears(TableShown, "leaderboard week")
    month = button(week, "This month")
    await story.later(days=40).tick()
    for press in shown:
        assert (await story.hears(TableShown, press)).table.first == week.table.first
    assert (await story.hears(TableShown, month)).table.first == week.table.first.replace(day=1)
