"""A club can do without what takes for granted that a puzzle has just one solution."""

from __future__ import annotations

import pytest

from bot import wording
from bot.club.replies import ClubShown, HintShown, InputRefused, WalkthroughShown
from bot.club.state import Puzzle
from bot.club.vetting import vet_puzzle
from engine.board.grid import parse_grid
from tests.bot.club.stories import open_story, settings_with

# Of our own corpus: it needs a unique rectangle, or else a chain.
RECTANGLES = "...9...7...2.....1..6738.....31..4..6..395.8..8.....6...5..9...92.....1....8..6.."
BOARD = "...921.76..2..4.31..6738...2.31864..6..395.8..89....6..65.19...92.....1....8..6.."
STRUCK = (
    "r1c1 5, r2c1 5, r2c2 5, r2c7 5, r3c1 4, r3c2 4, r3c8 9, r3c9 9, r6c1 4 7, r6c7 2 7, r6c9 2 7, "
    "r7c1 4, r7c7 2 8, r7c9 2 4, r8c4 4, r8c7 8, r9c1 1"
)
BY_UNIQUENESS = {"unique-rectangle", "hidden-rectangle", "avoidable-rectangle", "bug-plus-one"}


def rectangle_puzzle() -> Puzzle:
    vetted = vet_puzzle(parse_grid(RECTANGLES), origin="test").puzzle
    assert vetted is not None
    return vetted


TYPED = [
    pytest.param((), "club setup uniqueness=no theme=unique-rectangle", id="both at once"),
    pytest.param((), "club setup theme=unique-rectangle uniqueness=no", id="the other way round"),
    pytest.param(("club setup uniqueness=no",), "club setup theme=unique-rectangle", id="a theme"),
    pytest.param(("club setup theme=bug-plus-one",), "club setup uniqueness=no", id="the switch"),
    pytest.param(
        ("club plan sat theme=hidden-rectangle",), "club setup uniqueness=no", id="a day's theme"
    ),
    pytest.param(
        ("club setup uniqueness=no",), "club plan week theme=bug-plus-one", id="the week's plan"
    ),
]


@pytest.mark.parametrize(("before", "line"), TYPED)
async def test_a_theme_that_rests_on_uniqueness_is_refused_where_the_club_does_without(
    before: tuple[str, ...], line: str
) -> None:
    story = await open_story(rectangle_puzzle())
    for each in before:
        await story.say(each, leads=True)
    await story.tick()
    kept = story.club.settings
    refused = await story.hears(InputRefused, line, leads=True)
    assert refused.problem == "uniqueness"
    assert refused.text in BY_UNIQUENESS
    said = wording.phrase(refused).text
    assert refused.text in said
    assert "uniqueness=yes" in said
    await story.tick()
    assert story.club.settings == kept


async def test_a_club_that_has_such_a_theme_already_can_change_what_else_it_likes() -> None:
    """An older Ninebark let it through; what is typed now is no reason to refuse."""
    odd = settings_with(theme="unique-rectangle", uniqueness=False)
    story = await open_story(rectangle_puzzle(), settings=odd)
    for line in ("club plan rising=yes", "club setup name=Birch_Row", "club plan theme=none"):
        reply = await story.say(line, leads=True)
        assert not isinstance(reply, InputRefused), line
    await story.tick()
    assert story.club.settings.rising
    assert story.club.settings.theme is None


@pytest.mark.parametrize("uniqueness", ["yes", "no"])
async def test_hints_and_walkthroughs_keep_to_the_clubs_ladder(uniqueness: str) -> None:
    story = await open_story(rectangle_puzzle())
    await story.hears(ClubShown, f"club setup uniqueness={uniqueness}", leads=True)
    await story.say("start")
    await story.say(f"paste {BOARD}")
    for cell in STRUCK.split(", "):
        await story.say(f"rule-out {cell}")
    hint = await story.hears(HintShown, "hint board sure")
    rests_on_it = hint.step.technique in BY_UNIQUENESS
    assert rests_on_it == hint.step.is_by_uniqueness == (uniqueness == "yes")
    await story.tick()
    story.later(days=2)
    await story.tick()
    shown = await story.hears(WalkthroughShown, "walkthrough")
    assert shown.is_solved
    told = {step.technique for step in shown.steps}
    assert bool(told & BY_UNIQUENESS) == (uniqueness == "yes")
