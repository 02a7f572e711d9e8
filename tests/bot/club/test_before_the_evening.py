"""What a leader teaches from, before the evening: the puzzles as text, and how one is solved."""

from __future__ import annotations

from bot import wording
from bot.club.ports import SavePuzzle, Store
from bot.club.replies import (
    DayPosted,
    DaysPreviewed,
    DayUnknown,
    InputRefused,
    PuzzlePreviewed,
    TurningShown,
    WalkthroughLater,
    WalkthroughShown,
)
from bot.grid_input import parse_removed
from bot.wording.turning import ROOM_POINTS
from engine.board.grid import position_of
from tests.bot.club.stories import (
    CROOK,
    CROOK_AFTER_SINGLES,
    DAY,
    MONDAY,
    Story,
    crook_puzzle,
    easy_puzzle,
    open_story,
    settings_with,
)

TUESDAY = MONDAY + DAY


async def evening(store: Store) -> Story:
    """Monday's puzzle is up, Crook's waits for Tuesday."""
    return await open_story(
        easy_puzzle(), crook_puzzle(), settings=settings_with(levels=(3,) * 7), store=store
    )


async def test_a_leader_walks_through_a_coming_puzzle_and_it_stays_for_its_day(
    store: Store,
) -> None:
    story = await open_story(settings=settings_with(levels=(3,) * 7), store=store)
    await store.save([SavePuzzle(crook_puzzle())])
    shown = await story.hears(WalkthroughShown, f"walkthrough {MONDAY}", leads=True)
    assert (shown.date, shown.givens, shown.is_coming) == (MONDAY, CROOK, True)
    assert shown.is_solved
    assert "only you see this" in wording.phrase(shown).text
    # What fits as well and comes into stock later takes no place that was shown.
    await store.save([SavePuzzle(easy_puzzle())])
    await story.tick()
    assert story.post_with(DayPosted).day.givens == CROOK


async def test_a_leader_walks_through_by_a_technique_of_their_choice_where_it_works(
    store: Store,
) -> None:
    story = await evening(store)
    plain = await story.hears(WalkthroughShown, f"walkthrough {TUESDAY}", leads=True)
    line = f"walkthrough {TUESDAY} theme=hidden triples"
    shown = await story.hears(WalkthroughShown, line, leads=True)
    assert (plain.theme, shown.theme, shown.is_solved) == ("", "hidden-triple", True)
    assert "hidden-triple" not in {step.technique for step in plain.steps}
    assert "hidden-triple" in {step.technique for step in shown.steps}
    assert "by hidden triple wherever that leads on" in wording.phrase(shown).text
    idle = f"walkthrough {TUESDAY} theme=jellyfish"
    told = await story.hears(WalkthroughShown, idle, leads=True)
    assert told.steps == plain.steps
    assert "Jellyfish leads nowhere in this puzzle" in wording.phrase(told).text
    refused = await story.hears(InputRefused, "walkthrough theme=guessing", leads=True)
    assert (refused.command, refused.problem) == ("walkthrough", "value")


async def test_where_one_solution_is_not_taken_for_granted_no_walkthrough_goes_by_it(
    store: Store,
) -> None:
    story = await open_story(settings=settings_with(uniqueness=False), store=store)
    line = "walkthrough theme=unique-rectangle"
    refused = await story.hears(InputRefused, line, leads=True)
    assert (refused.problem, refused.text) == ("uniqueness", "unique-rectangle")


async def test_nobody_else_hears_of_a_coming_puzzle(store: Store) -> None:
    story = await evening(store)
    await story.hears(DayUnknown, f"walkthrough {TUESDAY}")
    await story.hears(WalkthroughShown, f"walkthrough {TUESDAY}", leads=True)
    # A leader plays too: today's is theirs once they have solved it.
    await story.hears(WalkthroughLater, "walkthrough", leads=True)
    await story.hears(DayUnknown, "walkthrough 2026-11-01", leads=True)


async def test_what_is_previewed_can_be_copied(store: Store) -> None:
    story = await evening(store)
    one = await story.hears(PuzzlePreviewed, f"club preview {TUESDAY}", leads=True)
    assert wording.phrase(one).code == CROOK
    several = await story.hears(DaysPreviewed, "club preview 2", leads=True)
    assert CROOK in [each.message.code for each in wording.phrase_all(several)]


async def test_where_a_puzzle_turns_can_be_copied_as_it_stands(store: Store) -> None:
    story = await evening(store)
    shown = await story.hears(TurningShown, f"club turning {TUESDAY}", leads=True)
    first, *parts = [each.message for each in wording.phrase_all(shown)]
    assert first.code == CROOK
    codes = [each.code for each in parts if each.code]
    assert codes[0].splitlines()[0] == CROOK_AFTER_SINGLES
    told = shown.report.points[:ROOM_POINTS]
    assert len(codes) == len(told) + len(shown.report.missing)
    for code, point in zip(codes, told, strict=False):
        digits, _, removed = code.partition("\n")
        pairs = parse_removed(removed.removeprefix("--removed '").removesuffix("'"))
        assert position_of(digits, pairs) == point.position.to_grid().with_own(0)
    assert any("--removed" in code for code in codes)
