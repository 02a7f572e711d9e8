"""The recipe for a command, tried on a copy: five files, and everything else picks it up."""

from __future__ import annotations

import json
import re
import shutil
from pathlib import Path

import pytest

from tests.recipes.tree import ROOT, Tree

MOST_FILES = 5
KEPT = "tests/bot/storage/kept"

CLUB = '''"""How many puzzles a member has solved since a date."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from bot.club.acts import Act, Event
from bot.club.course import Course, Decision
from bot.club.loading import Loading
from bot.club.reply import Reply
from bot.club.state import Result, Scene


@dataclass(frozen=True, slots=True)
class ShowTally(Act):
    """Count what the member has solved; all of it where no date is named."""

    since: date | None = None


class TallyShown(Reply, frozen=True, kw_only=True):
    """`solved`: puzzles, late ones too."""

    solved: int


async def load_results(
    loading: Loading, scene: Scene, event: Event, act: ShowTally
) -> tuple[Result, ...]:
    """Load what the member has finished."""
    return (await loading.store.load_record(scene.club.id, event.user_id)).results


def decide_tally(
    scene: Scene, event: Event, act: ShowTally, results: tuple[Result, ...]
) -> Decision:
    """Count the member's own since the date."""
    counted = [each for each in results if not act.since or act.since <= each.date]
    return Decision(TallyShown(solved=len(counted)))


TALLY = Course(ShowTally, decide_tally, load_results)
'''
READER = """def read_tally(rest: str, fields: Fields) -> Act:
    return ShowTally(take_date(rest)[0])


"""
ROW = """    Command(
        "tally", read_tally, (TALLY,), (Parameter("since", Kind.DATE, "2026-11-01"),)
    ),
"""
WORDER = """def _tally_shown(reply: TallyShown) -> Message:
    return Message(f"You have solved {count_of(reply.solved, 'puzzle')}.")


"""
PURPOSE = "Count the puzzles that you have solved."
WORDS = f'''    "tally": CommandWords(
        purpose="{PURPOSE}",
        example="tally 2026-11-01",
        help="tally counts the puzzles that you have solved, all or since a date.",
        overview=("tally", "how many you have solved"),
        options={{"since": "From which date on"}},
    ),
'''
TEST = '''"""A member's tally."""

from bot.club.tallying import TallyShown
from tests.bot.club.stories import EASY_SOLUTION, easy_puzzle, open_story


async def test_what_is_solved_is_counted_from_the_date_on() -> None:
    story = await open_story(easy_puzzle())
    await story.say("start")
    assert (await story.later(minutes=9).hears(TallyShown, "tally")).solved == 0
    await story.say(f"hand-in {EASY_SOLUTION}")
    assert (await story.hears(TallyShown, "tally")).solved == 1
    assert (await story.hears(TallyShown, "tally 2026-11-24")).solved == 0
'''

WORDS_TESTS = "tests/bot/wording/test_every_reply.py"
COMPLETENESS = (
    f"{WORDS_TESTS}::test_every_kind_of_reply_has_words",
    f"{WORDS_TESTS}::test_there_is_a_sample_of_every_kind_of_reply_and_of_every_problem",
    f"{WORDS_TESTS}::test_every_command_has_an_example_that_is_understood",
    f"{WORDS_TESTS}::test_every_command_has_help_of_its_own",
    f"{WORDS_TESTS}::test_every_command_is_named_where_help_begins",
    f"{WORDS_TESTS}::test_every_option_has_a_purpose",
    "tests/bot/test_commands.py"
    "::test_every_act_has_one_course_and_knows_the_command_that_is_its_home",
    "tests/bot/test_commands.py::test_every_example_of_the_table_is_read_by_its_own_command[tally]",
    "tests/bot/storage/test_kept_rows.py"
    "::test_every_kind_of_reply_is_among_the_rows_of_this_version",
    "tests/test_documents.py::test_users_are_told_of_every_command_in_the_room[tally]",
    "tests/test_documents.py::test_the_tables_name_every_command_as_the_room_knows_it",
)
OFFERED = (
    "tests/bot/platforms/discord/test_commands.py"
    "::test_every_command_of_the_table_is_offered_within_the_limits"
)
TOLD_BY_WORDS = {
    "test_every_kind_of_reply_has_words",
    "test_every_command_has_an_example_that_is_understood",
    "test_every_command_has_help_of_its_own",
    "test_every_command_is_named_where_help_begins",
    "test_every_option_has_a_purpose",
    "test_every_example_of_the_table_is_read_by_its_own_command[tally]",
    "test_there_is_a_sample_of_every_kind_of_reply_and_of_every_problem",
}
TOLD_BY_GUIDE = {
    "test_users_are_told_of_every_command_in_the_room[tally]",
    "test_the_tables_name_every_command_as_the_room_knows_it",
}
TOLD_BY_ROWS = {"test_every_kind_of_reply_is_among_the_rows_of_this_version"}

ASK = r"""
import asyncio, json
from datetime import UTC, date, datetime
import bot
from bot import wording
from bot.club.fake_store import FakeStore
from bot.club.replies import HelpShown
from bot.club.service import ClubService
from bot.club.state import ClubSettings
from bot.commands.specs import sketch_commands
from bot.commands.table import COURSES
from bot.exchange import Exchange
from bot.platforms.discord.commands import CommandBook
from bot.platforms.fake import FakeRoom
from bot.platforms.message import Incoming
from bot.wiring.platforms import PLATFORMS

def help_on(topic):
    return wording.phrase(HelpShown(topic=topic, is_leader=False, sealed=False,
                                    costs=(1, 2, 3, 4), wrong_cost=5)).text

async def typed(platform):
    store, at = FakeStore(), datetime(2026, 11, 23, 12, tzinfo=UTC)
    await store.add_club(platform, "room", ClubSettings("Elm"))
    service = ClubService(store=store, courses=COURSES)
    rooms = {platform: FakeRoom(["room"], platform=platform)}
    exchange = Exchange(service, store, rooms)
    act = Incoming("1", platform, "room", "ada", "Ada", False, at, at, "tally")
    return [message.text for message in await exchange.answer(act)]

book = CommandBook(sketch_commands(lambda: date(2026, 11, 24)), "")
(offered,) = (each for each in book.payload() if each["name"] == "tally")
print(json.dumps({
    "place": bot.__path__[0],
    "help": help_on("tally"),
    "overview": help_on(""),
    "discord": [offered["description"], [each["name"] for each in offered["options"]]],
    "option": offered["options"][0]["description"],
    "typed": {each.name: asyncio.run(typed(each.name)) for each in PLATFORMS},
}))
"""


@pytest.fixture
def tree(tmp_path: Path) -> Tree:
    tree = Tree(tmp_path)
    shutil.copytree(ROOT / KEPT, tree.folder / KEPT)
    return tree


def add_act_and_row(tree: Tree) -> None:
    tree.write("bot/club/tallying.py", CLUB)
    rows = "bot/commands/for_members.py"
    tree.add(
        rows, "from bot.club.tallying import TALLY, ShowTally\n", before="from bot.commands.arg"
    )
    tree.add(rows, READER, before="def read_walkthrough(")
    tree.add(rows, ROW, before='    Command("me", ')


def add_words(tree: Tree) -> None:
    words = "bot/wording/own_page.py"
    tree.add(
        words, "from bot.club.tallying import TallyShown\n", before="from bot.platforms.message"
    )
    tree.add(words, WORDER, before="PHRASES: Phrases")
    tree.add(words, "TallyShown: _tally_shown, ", before="PersonalPage: _personal_page")
    tree.add(words, WORDS, before='    "me": CommandWords(')


def add_test(tree: Tree) -> None:
    tree.write("tests/bot/club/test_tallying.py", TEST)


def add_to_guide(tree: Tree) -> None:
    line = "| `tally` | how many you have solved | `tally` |\n"
    tree.add("assets/guides/members.md", line, before="| `me` | your own")


def keep_rows(tree: Tree) -> None:
    done = tree.run("-m", "tests.bot.storage.keep_rows")
    assert done.returncode == 0, done.stderr


def recipe_of(document: Path) -> str:
    text = document.read_text(encoding="utf-8")
    return text.partition("## Adding a command\n")[2].partition("\n## ")[0]


def test_a_command_by_the_recipe_is_picked_up_everywhere(tree: Tree) -> None:
    add_act_and_row(tree)
    add_words(tree)
    add_test(tree)
    add_to_guide(tree)
    touched = tree.touched()
    assert len(touched) <= MOST_FILES
    named = re.findall(r"^\d\. `([^`]+)`", recipe_of(ROOT / "DEVELOPERS.md"), flags=re.MULTILINE)
    assert len(named) == len(touched)
    for pattern, name in zip(sorted(named), touched, strict=True):
        assert re.fullmatch(re.sub("<[^>]+>", r"\\w+", pattern), name), (pattern, name)
    checked = tree.run("-m", "ruff", "check", "--no-cache", *touched[1:])
    assert checked.returncode == 0, checked.stdout
    asked = tree.run("-c", ASK)
    assert asked.returncode == 0, asked.stderr
    told = json.loads(asked.stdout)
    assert told.pop("place") == str(tree.folder / "bot")
    assert "\ntally: how many you have solved\n" in told.pop("overview")
    answers = told.pop("typed")
    assert set(answers) == {"web", "discord", "matrix"}
    assert all(answer == ["You have solved 0 puzzles."] for answer in answers.values()), answers
    assert told == {
        "help": "tally counts the puzzles that you have solved, all or since a date.",
        "discord": [PURPOSE, ["since"]],
        "option": "From which date on, such as 2026-11-01",
    }
    keep_rows(tree)
    assert [name for name in tree.touched() if name not in touched] == [
        name for name in tree.touched() if name.startswith(KEPT)
    ]
    done = tree.test(*COMPLETENESS, OFFERED, "tests/bot/club/test_tallying.py")
    assert done.returncode == 0, done.stdout[-2000:]


@pytest.mark.long
def test_what_is_missing_of_a_command_is_named(tree: Tree) -> None:
    add_act_and_row(tree)
    done = tree.test(*COMPLETENESS)
    failed = re.findall(r"^(?:FAILED|ERROR) (\S+)", done.stdout, flags=re.MULTILINE)
    assert {each.partition("::")[2] for each in failed} == (
        TOLD_BY_WORDS | TOLD_BY_GUIDE | TOLD_BY_ROWS
    ), done.stdout[-2000:]
    assert "KeyError: 'tally'" in done.stdout
    assert "TallyShown" in done.stdout
