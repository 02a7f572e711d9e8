"""A photo of the paper: shown as read, taken by one press, and nobody's board before."""

from __future__ import annotations

import asyncio
from dataclasses import replace

import pytest

from bot.club.photo_pace import MOST_PHOTOS
from bot.club.photos import (
    PhotoAsked,
    PhotoNotCome,
    PhotoRead,
    PhotosPaced,
    PhotoUnread,
    format_reading,
    parse_reading,
)
from bot.club.ports import Store
from bot.club.replies import (
    BoardShown,
    ClockNotStarted,
    ClockStarted,
    GivensDiffer,
    HintShown,
    MistakeShown,
    PaperForm,
    PrivacyShown,
    PuzzleOver,
    Reply,
)
from bot.commands import table as commands
from bot.commands.specs import sketch_commands
from bot.exchange import Exchange
from bot.photo.told import MOST_BYTES, PhotoProblem
from bot.platforms.fake import FakeRoom
from bot.platforms.message import BUTTON_COMMAND_LIMIT, Incoming, Message
from bot.wording import describe, phrase
from tests.bot.club.stories import (
    EASY,
    EASY_SOLUTION,
    MONDAY,
    AtOnce,
    Paper,
    Story,
    crook_puzzle,
    easy_puzzle,
    half_solved,
    open_story,
    settings_with,
)

ON_PAPER = half_solved(EASY, 10)
CLASHING = "535" + EASY[3:]
"""A member's own 5, beside the given one."""


async def at_work(store: Store | None = None, **settings: object) -> Story:
    story = await open_story(
        easy_puzzle(), source=AtOnce(), store=store, settings=settings_with(**settings)
    )
    await story.hears(ClockStarted, "start")
    return story


async def shown(story: Story, says: str, line: str = "hint") -> PhotoRead:
    reply = await story.send_photo(Paper(says), line)
    assert isinstance(reply, PhotoRead), reply
    return reply


def press(reply: Reply, label: str) -> str:
    """Return what a button of the answer sends."""
    return next(each.command for each in phrase(reply).buttons if each.label == label)


def labels(message: Message) -> list[str]:
    return [each.label for each in message.buttons]


async def test_what_was_read_is_shown_marked_and_offers_three_ways_on(store: Store) -> None:
    story = await at_work(store)
    read = await shown(story, ON_PAPER)
    message = phrase(read)
    assert read.picture.position.grid == ON_PAPER
    assert "Please look at r1c3." in message.text
    assert "r1c3" in describe(read.picture)
    assert labels(message) == ["Hint from this", "Mend it", "Try again"]


async def test_a_hint_is_one_press_after_a_reading_and_undo_brings_the_old_board_back(
    store: Store,
) -> None:
    story = await at_work(store)
    await story.hears(BoardShown, "place r1c3 4")
    own = (await story.entry()).board
    read = await shown(story, ON_PAPER)
    assert (await story.entry()).board == own, "nothing counts before it is taken"
    hint = await story.hears(HintShown, press(read, "Hint from this"))
    assert (hint.rung, hint.position.grid) == (1, ON_PAPER)
    assert (await story.entry()).board.grid == ON_PAPER
    await story.hears(BoardShown, "undo")
    assert (await story.entry()).board == own


async def test_a_photo_for_the_board_is_kept_as_it_by_one_press_and_adds_nothing() -> None:
    story = await at_work()
    read = await shown(story, ON_PAPER, "board")
    assert labels(phrase(read)) == ["Keep as my board", "Hint from this", "Mend it", "Try again"]
    board = await story.hears(BoardShown, press(read, "Keep as my board"))
    assert board.picture.position.grid == ON_PAPER
    assert (await story.entry()).added_seconds == 0


async def test_the_form_to_mend_it_is_filled_with_what_was_read() -> None:
    story = await at_work()
    form = await story.hears(PaperForm, press(await shown(story, ON_PAPER), "Mend it"))
    assert "".join(form.lines) == ON_PAPER
    words = phrase(form).form
    assert words is not None
    assert words.command.startswith("hint paste")
    asked = await story.hears(PhotoAsked, press(await shown(story, ON_PAPER), "Try again"))
    assert phrase(asked).form is not None


async def test_an_older_answers_button_takes_what_that_answer_showed() -> None:
    story = await at_work()
    first = await shown(story, ON_PAPER, "board")
    await shown(story, EASY, "board")
    board = await story.hears(BoardShown, press(first, "Keep as my board"))
    assert board.picture.position.grid == ON_PAPER


async def test_what_clashes_is_shown_as_read_and_can_be_taken_so() -> None:
    story = await at_work()
    read = await shown(story, CLASHING)
    assert read.clashes == ((5, "row 1"), (5, "box 1"))
    assert read.picture.position.grid == CLASHING
    assert "As I read it, row 1 has 5 twice" in phrase(read).text
    await story.hears(MistakeShown, press(read, "Hint from this"))
    assert (await story.entry()).board.grid == CLASHING


async def test_a_given_that_reads_otherwise_is_named_and_cannot_be_taken() -> None:
    story = await at_work()
    other = f"8{EASY[1:]}"
    read = await shown(story, other)
    message = phrase(read)
    assert "In r1c1 I read an 8, where the puzzle has a 5." in message.text
    assert labels(message) == ["Mend it", "Try again"]
    assert read.picture.givens[0] == "."
    await story.hears(GivensDiffer, f"hint photo {format_reading(other)}")
    assert (await story.entry()).board.grid == EASY


async def test_many_givens_that_read_otherwise_are_counted() -> None:
    story = await at_work()
    read = await shown(story, f"{'.' * 5}{EASY[5:]}")
    assert "the puzzle has" in phrase(read).text
    read = await shown(story, f"{'.' * 12}{EASY[12:]}")
    assert "4 of the puzzle's own digits look different." in phrase(read).text
    assert "the puzzle has" not in phrase(read).text


@pytest.mark.parametrize("problem", tuple(PhotoProblem))
async def test_every_failure_is_told_plainly_and_offers_another_way(problem: PhotoProblem) -> None:
    story = await at_work()
    unread = await story.send_photo(Paper(problem.value))
    assert isinstance(unread, PhotoUnread)
    message = phrase(unread)
    assert problem.value not in message.text
    assert "pip" not in message.text, "a member installs nothing"
    assert message.buttons
    assert (await story.entry()).board.grid == EASY


async def test_a_photo_that_is_too_large_is_not_even_fetched() -> None:
    story = await at_work()
    large = Paper(ON_PAPER, size=MOST_BYTES + 1)
    unread = await story.send_photo(large)
    assert isinstance(unread, PhotoUnread)
    assert unread.problem is PhotoProblem.TOO_MANY_BYTES
    assert large.fetched == []


async def test_a_photo_that_never_comes_is_asked_for_again() -> None:
    story = await at_work()
    assert isinstance(await story.send_photo(Paper("", is_lost=True)), PhotoNotCome)


async def test_one_delivered_again_gets_the_saved_answer_and_is_not_fetched_again(
    store: Store,
) -> None:
    story = await at_work(store)
    paper = Paper(ON_PAPER)
    first = await story.send_photo(paper, event_id="once")
    assert await story.send_photo(replace(paper, says="no-grid"), event_id="once") == first
    assert len(paper.fetched) == 1


async def test_one_members_photos_are_paced_and_hold_up_nobody_elses() -> None:
    story = await at_work()
    for _ in range(MOST_PHOTOS):
        await shown(story, ON_PAPER)
    beyond = Paper(ON_PAPER)
    assert isinstance(await story.send_photo(beyond), PhotosPaced)
    assert beyond.fetched == []
    await story.hears(ClockStarted, "start", by="bo")
    assert isinstance(await story.send_photo(Paper(ON_PAPER), by="bo"), PhotoRead)
    await shown(story.later(minutes=1), ON_PAPER)


async def test_a_photo_is_read_while_the_club_goes_on() -> None:
    coming, there = asyncio.Event(), asyncio.Event()

    class Slow(Paper):
        async def fetch(self, most: int) -> bytes | None:
            coming.set()
            await there.wait()
            return await super().fetch(most)

    story = await at_work()
    reading = asyncio.create_task(story.send_photo(Slow(ON_PAPER)))
    await coming.wait()
    await story.hears(ClockStarted, "start", by="bo")
    await story.hears(BoardShown, "board")
    there.set()
    assert isinstance(await reading, PhotoRead)


async def test_a_sealed_puzzles_photo_is_not_read_before_the_clock() -> None:
    story = await open_story(easy_puzzle(), source=AtOnce(), settings=settings_with(sealed=True))
    paper = Paper(ON_PAPER)
    assert isinstance(await story.send_photo(paper), ClockNotStarted)
    assert paper.fetched == []


async def test_a_press_on_an_answer_of_yesterday_does_nothing_to_todays_board() -> None:
    story = await open_story(easy_puzzle(), crook_puzzle(), source=AtOnce())
    await story.hears(ClockStarted, "start")
    line = press(await shown(story, ON_PAPER), "Hint from this")
    await story.later(days=1).tick()
    await story.hears(PuzzleOver, line)


async def test_privacy_says_what_becomes_of_a_photo() -> None:
    story = await open_story(easy_puzzle(), source=AtOnce())
    told = phrase(await story.hears(PrivacyShown, "privacy")).text
    assert "A photo that you send me is read and then deleted" in told
    assert "nothing of the photo" in told


async def test_where_nothing_reads_photos_none_is_fetched_or_asked_for() -> None:
    story = await open_story(easy_puzzle())
    await story.hears(ClockStarted, "start")
    paper = Paper(ON_PAPER)
    for reply in (await story.send_photo(paper), await story.say("hint photo")):
        assert isinstance(reply, PhotoUnread)
        assert reply.problem is PhotoProblem.NOT_INSTALLED
    assert paper.fetched == []


@pytest.mark.parametrize("grid", [EASY, EASY_SOLUTION, "." * 81, "9" * 81, "1" + "." * 35])
def test_what_a_button_holds_is_read_as_it_was_written(grid: str) -> None:
    word = format_reading(grid)
    assert parse_reading(word) == grid
    assert len(f"board photo {word} 2026-11-24") <= BUTTON_COMMAND_LIMIT


@pytest.mark.parametrize(
    "word", ["", "photo", "A", "é" * 46, format_reading("9" * 36)[:-3], "x" * 5000]
)
def test_a_button_that_somebody_made_up_is_refused(word: str) -> None:
    refused = commands.parse(f"hint photo {word}x", {}, in_open=False)
    assert isinstance(refused, Reply)


# --- where nothing reads photos ---


async def answer_to(line: str, source: AtOnce | None) -> Message:
    """Say a line to a club in a room; return the answer."""
    story = await open_story(easy_puzzle(), source=source)
    rooms = {"web": FakeRoom(["maple"], platform="web")}
    exchange = Exchange(story.service, story.store, rooms)
    for number, said in enumerate(("start", line)):
        act = Incoming(
            f"web:{number}", "web", "maple", "ada", "Ada", False, story.now, story.now, said
        )
        (answer,) = await exchange.answer(act)
    return answer


async def test_answers_offer_photos_where_they_can_be_read_and_nowhere_else() -> None:
    offered, not_offered = await answer_to("hint", AtOnce()), await answer_to("hint", None)
    assert labels(offered) == ["From my board", "I have more on paper", "From a photo"]
    assert labels(not_offered) == ["From my board", "I have more on paper"]
    for source, fields in ((AtOnce(), ["grid", "photo"]), (None, ["grid"])):
        form = (await answer_to("hint paper", source)).form
        assert form is not None
        assert [each.name for each in form.fields] == fields


@pytest.mark.parametrize("topic", ["hint", "board"])
async def test_help_names_photos_where_they_can_be_read_and_nowhere_else(topic: str) -> None:
    told, not_told = (
        await answer_to(f"help {topic}", AtOnce()),
        await answer_to(f"help {topic}", None),
    )
    assert f"send me a photo of it: {topic} photo tells you how" in told.text
    assert "photo" not in not_told.text
    assert told.text.startswith(not_told.text), "all else is told in the same words"


def test_commands_have_an_option_for_a_photo_where_they_can_be_read_and_nowhere_else() -> None:
    def taking(*, takes_photos: bool) -> list[str]:
        sketches = sketch_commands(lambda: MONDAY, takes_photos=takes_photos)
        return [each.name for each in sketches for option in each.options if option.kind == "photo"]

    assert taking(takes_photos=True) == ["board", "hint"]
    assert taking(takes_photos=False) == []
