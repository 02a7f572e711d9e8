"""How the room hears who has solved the puzzle: by one line that grows, by one each, or not at all.

The places in the answers, and in the results, are those of before whichever the club has chosen.
"""

from __future__ import annotations

import pytest

from bot.club.lanes import is_calm, is_quiet
from bot.club.ports import Store
from bot.club.replies import (
    AnswerRight,
    ClubShown,
    MemberSolved,
    ResultsPosted,
    SolversShown,
    TableShown,
)
from bot.wording import phrase
from tests.bot.club.stories import (
    EASY_SOLUTION,
    MONDAY,
    Story,
    crook_puzzle,
    easy_puzzle,
    open_story,
    settings_with,
)

KEY = EASY_SOLUTION[2::9] + EASY_SOLUTION[6::9]
FRIENDS = [f"friend {number}" for number in range(1, 13)]


async def solved_by(story: Story, *who: str) -> None:
    for name in who:
        await story.later(minutes=1).hears(AnswerRight, f"hand-in {KEY}", by=name)


async def one_line_story(store: Store | None = None) -> Story:
    settings = settings_with(solved_lines="one-line")
    return await open_story(easy_puzzle(), crook_puzzle(), settings=settings, store=store)


def lines_of(story: Story) -> list[tuple[str, str]]:
    """Return what the room was told of solvers: how it went out, and the words."""
    return [
        (audience, phrase(said).text)
        for _, audience, said in story.posts
        if isinstance(said, SolversShown | MemberSolved)
    ]


async def test_twelve_who_solve_it_at_once_make_one_line(store: Store) -> None:
    story = await one_line_story(store)
    await solved_by(story, *FRIENDS)
    await story.tick()
    ((audience, said),) = lines_of(story)
    assert audience == "room"
    assert said.startswith(
        "12 members have solved the puzzle for Monday 23 November: Friend 12, Friend 11,"
    )
    assert said.endswith("Friend 3 and 2 others. The best time so far is 1 min.")
    assert EASY_SOLUTION[:9] not in said


async def test_whoever_solves_it_later_is_added_to_the_line_that_is_there(store: Store) -> None:
    story = await one_line_story(store)
    await solved_by(story, "ada")
    await story.tick()
    await solved_by(story, "ben", "cleo")
    await story.tick()
    (first, alone), (second, said) = lines_of(story)
    assert (first, second) == ("room", "mend")
    assert alone == "Ada has solved the puzzle for Monday 23 November, in 1 min."
    assert "3 members have solved" in said
    assert "Cleo, Ben and Ada" in said
    keys = {key for key, _, said in story.posts if isinstance(said, SolversShown)}
    assert keys == {f"solvers:{story.club.id}:2026-11-23"}


async def test_somebody_erased_is_a_former_member_in_the_one_line(store: Store) -> None:
    story = await one_line_story(store)
    await solved_by(story, "ada", "ben")
    await story.tick()
    await story.say("privacy erase sure")
    story.posts.clear()
    await story.tick()
    ((audience, said),) = lines_of(story)
    assert audience == "mend"
    assert "2 members have solved" in said
    assert "Ada" not in said
    assert "a former member" in said


async def test_an_unranked_time_is_no_best_time_any_more() -> None:
    story = await one_line_story()
    await solved_by(story, "ada", "ben")
    await story.tick()
    assert lines_of(story)[-1][1].endswith("The best time so far is 1 min.")
    await story.say("club result Ada unrank Looked it up", by="rowan", leads=True)
    await story.tick()
    audience, said = lines_of(story)[-1]
    assert audience == "mend"
    assert said.endswith("The best time so far is 2 min.")


async def test_a_late_answer_is_not_in_the_line() -> None:
    story = await one_line_story()
    await story.later(days=1).tick()
    await story.later(minutes=5).hears(AnswerRight, f"hand-in {KEY} 2026-11-23")
    await story.tick()
    assert lines_of(story) == []


async def test_a_club_that_wants_no_lines_hears_of_it_with_the_results() -> None:
    story = await open_story(
        easy_puzzle(), crook_puzzle(), settings=settings_with(solved_lines="none")
    )
    await solved_by(story, "ada", "ben")
    await story.tick()
    await story.say("club result Ada unrank Looked it up", by="rowan", leads=True)
    await story.tick()
    assert lines_of(story) == []
    await story.later(days=1).tick()
    assert [row.name for row in story.post_with(ResultsPosted).table.rows] == ["Ben"]


async def test_a_line_each_can_hang_in_the_thread_under_the_post_without_a_sound(
    store: Store,
) -> None:
    settings = settings_with(solved_lines="thread")
    story = await open_story(easy_puzzle(), crook_puzzle(), settings=settings, store=store)
    await solved_by(story, "ada", "ben")
    day = await story.store.load_day(story.club.id, MONDAY)
    assert day is not None
    waiting = await story.store.load_notices()
    hung = [(each.audience, each.post_ref, is_quiet(each)) for each in waiting]
    assert hung == 2 * [("under", day.post_ref, True)]
    await story.tick()
    assert lines_of(story) == [
        ("under", "Ada solved today's puzzle, number 1 so far: 1 min adjusted, no hints."),
        ("under", "Ben solved today's puzzle, number 2 so far: 2 min adjusted, no hints."),
    ]
    await story.say("club result Ada unrank Looked it up", by="rowan", leads=True)
    await story.say("club setup solved-lines=none", by="rowan", leads=True)
    await story.say("privacy erase sure", by="ben")
    story.posts.clear()
    await story.tick()
    assert {how for how, _ in lines_of(story)} == {"mend"}
    last = [said for _, said in lines_of(story)]
    assert "Ada solved today's puzzle: 1 min adjusted, no hints." in last
    assert "A former member solved today's puzzle, number 1 so far: 2 min" in repr(last)
    assert "Ben" not in repr(last)


@pytest.mark.parametrize("typed", ["one-line", "one line", "One Line"])
async def test_a_leader_may_change_it_and_the_next_solver_is_told_of_so(typed: str) -> None:
    story = await open_story(easy_puzzle(), crook_puzzle())
    await solved_by(story, "ada")
    await story.tick()
    await story.hears(ClubShown, f"club setup solved-lines={typed}", by="rowan", leads=True)
    await solved_by(story, "ben")
    await story.tick()
    assert [how for how, _ in lines_of(story)] == ["room", "room"]
    assert "2 members have solved" in lines_of(story)[-1][1]


async def test_lines_on_solvers_make_no_sound_and_the_puzzle_and_its_results_do() -> None:
    story = await one_line_story()
    await solved_by(story, "ada")
    waiting = await story.store.load_notices()
    assert [(each.key.split(":")[0], is_quiet(each), is_calm(each)) for each in waiting] == [
        ("solvers", True, True)
    ]
    await story.later(days=1).open_what_is_due()
    waiting = await story.store.load_notices()
    loud = {each.key.split(":")[0] for each in waiting if not is_quiet(each)}
    assert loud == {"day", "results", "walkthrough"}


# --- the results ---


async def test_results_name_the_first_ten_and_everyone_finds_their_place_by_a_button() -> None:
    story = await one_line_story()
    await solved_by(story, *FRIENDS)
    await story.later(days=1).tick()
    posted = phrase(story.post_with(ResultsPosted))
    assert "10. Friend 10: " in posted.text
    assert "Friend 11" not in posted.text
    assert "… and 2 more." in posted.text
    (place,) = [each for each in posted.buttons if each.label == "Your place"]
    own = await story.hears(TableShown, place.command, by="friend 12")
    assert "You are number 12 of 12." in phrase(own).text
    assert len(own.table.rows) == 12
    other = await story.hears(TableShown, place.command, by="who solved nothing")
    assert "You are number" not in phrase(other).text


async def test_results_that_nobody_is_in_offer_no_place() -> None:
    story = await one_line_story()
    await story.later(days=1).tick()
    assert "Your place" not in repr(phrase(story.post_with(ResultsPosted)).buttons)
