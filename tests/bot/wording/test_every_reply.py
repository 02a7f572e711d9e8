"""Every reply, problem, command and setting has words, and every button does what it says."""

from __future__ import annotations

from datetime import date

import msgspec
import pytest

from bot import wording
from bot.club.acts import HandIn, OfADay, PlanWeek
from bot.club.planning import WISHES, change_plan
from bot.club.problems import Missing, Problem
from bot.club.replies import (
    DayPosted,
    InputRefused,
    Reply,
    TalkHeard,
    decode_reply,
    encode_reply,
    reply_kinds,
)
from bot.club.settings import SETTINGS, USUAL_LEVELS
from bot.club.state import ClubSettings
from bot.commands import table as commands
from bot.commands.rows import Kind
from bot.commands.specs import sketch_commands
from bot.platforms.discord.commands import PURPOSE_LIMIT
from bot.platforms.message import BUTTON_COMMAND_LIMIT, Message
from bot.wording.menus import LEVELS
from bot.wording.refusals import EXAMPLES, MISSING, PROBLEMS, WISH_EXAMPLES, tell_problem
from bot.wording.settings import SETTING_EXAMPLES, SETTING_MEANINGS
from bot.wording.sketches import option_purpose
from tests.bot.wording.samples import SAMPLES, help_on


def _name(reply: Reply) -> str:
    problem = getattr(reply, "problem", "")
    return f"{type(reply).__name__}{'-' + problem if problem else ''}"


each_sample = pytest.mark.parametrize("reply", SAMPLES, ids=_name)
each_refusal = pytest.mark.parametrize(
    "reply", [each for each in SAMPLES if isinstance(each, InputRefused)], ids=_name
)


def test_every_kind_of_reply_has_words() -> None:
    assert set(wording.PHRASES) == set(reply_kinds())


def test_there_is_a_sample_of_every_kind_of_reply_and_of_every_problem() -> None:
    assert {type(reply) for reply in SAMPLES} == set(reply_kinds())
    problems = {reply.problem for reply in SAMPLES if isinstance(reply, InputRefused)}
    assert problems == set(Problem)


def test_every_problem_and_everything_that_can_be_missing_has_words() -> None:
    assert set(PROBLEMS) == set(Problem)
    assert set(MISSING) == set(Missing)


OF_ANY_PROBLEM = {"command", "problem", "typed"}


class _Watched:
    """A refusal that notes which of its fields are asked for."""

    def __init__(self, reply: InputRefused) -> None:
        self.reply, self.asked = reply, set[str]()

    def __getattr__(self, name: str) -> object:
        self.asked.add(name)
        return getattr(self.reply, name)


@each_refusal
def test_a_problem_is_told_by_its_facts_alone_and_samples_have_no_others(
    reply: InputRefused,
) -> None:
    watched = _Watched(reply)
    tell_problem(watched)  # type: ignore[arg-type] # stands in for one
    assert watched.asked <= OF_ANY_PROBLEM | reply.problem.facts
    plain = InputRefused(command=reply.command, problem=reply.problem)
    set_facts = {name for name in reply.__struct_fields__
                 if getattr(reply, name) != getattr(plain, name)}  # fmt: skip
    assert set_facts <= OF_ANY_PROBLEM | reply.problem.facts


def test_every_fact_of_a_problem_is_a_field_and_used_by_its_words() -> None:
    asked: dict[Problem, set[str]] = {}
    for reply in SAMPLES:
        if isinstance(reply, InputRefused):
            watched = _Watched(reply)
            tell_problem(watched)  # type: ignore[arg-type] # stands in for one
            asked.setdefault(reply.problem, set()).update(watched.asked)
    for problem in Problem:
        assert problem.facts <= set(InputRefused.__struct_fields__)
        assert problem.facts - {"text"} <= asked[problem], problem  # what was typed may go unsaid


@each_sample
def test_a_reply_has_words_that_end_well(reply: Reply) -> None:
    message = wording.phrase(reply)
    assert message.picture is None
    if isinstance(reply, TalkHeard):
        assert message == Message("")
        return
    assert message.text.strip() == message.text != ""
    for flaw in ("None", "  ", "..  ", ". .", "()", "{", "}", " ,", "!!"):
        assert flaw not in message.text


@each_sample
def test_a_stored_reply_is_worded_the_same(reply: Reply) -> None:
    assert wording.phrase(decode_reply(encode_reply(reply))) == wording.phrase(reply)


@each_sample
def test_no_button_or_form_on_a_days_board_lacks_the_day(reply: Reply) -> None:
    day = date(2026, 11, 23)
    # What goes up by itself is told without an act, and knows its day.
    told = reply if isinstance(reply, DayPosted) else msgspec.structs.replace(reply, board_of=day)
    message = wording.phrase(told)
    pressed = [(button.command, {}) for button in message.buttons]
    if message.form is not None:
        pressed.append((message.form.command, {message.form.fields[0].name: "1" * 18}))
    for command, fields in pressed:
        act = commands.parse(command, fields, in_open=False)
        assert not isinstance(act, OfADay), command
        assert not (isinstance(act, HandIn) and act.day is None), command


@each_sample
def test_every_button_and_form_is_a_command_that_is_understood(reply: Reply) -> None:
    message = wording.phrase(reply)
    labels = [button.label for button in message.buttons]
    assert len(labels) == len(set(labels)) <= 5
    for button in message.buttons:
        assert len(button.command) <= BUTTON_COMMAND_LIMIT
        act = commands.parse(button.command, {}, in_open=False)
        assert not isinstance(act, Reply), (button, act)
    if message.form is not None:
        typed = {"date": "", "credit": "", "find": "r3c6-1"}
        fields = {
            field.name: field.value or typed.get(field.name, "1" * 18)
            for field in message.form.fields
        }
        act = commands.parse(message.form.command, fields, in_open=False)
        assert not isinstance(act, Reply), (message.form, act)


def test_every_command_has_an_example_that_is_understood() -> None:
    assert set(EXAMPLES) >= set(commands.command_names())
    for line in EXAMPLES.values():
        act = commands.parse(line, {}, in_open=False)
        assert not isinstance(act, Reply), (line, act)


def test_every_setting_has_an_example_and_is_explained() -> None:
    names = tuple(setting.name for setting in SETTINGS)
    assert tuple(SETTING_EXAMPLES) == tuple(SETTING_MEANINGS) == names
    told = wording.phrase(help_on("club-setup")).text
    assert all(f"\n{name}: " in told for name in names)
    assert all(line.startswith(f"{name}=") for name, line in SETTING_EXAMPLES.items())


def test_every_setting_is_offered_in_discord_with_what_it_is_for() -> None:
    (setup,) = (each for each in sketch_commands(lambda: date(2026, 11, 24))
                if each.name == "club setup")  # fmt: skip
    offered = {option.name: option for option in setup.options}
    for setting in SETTINGS:
        option = offered[setting.name]
        meaning = SETTING_MEANINGS[setting.name]
        assert option.purpose.lower() == meaning.lower()
        assert len(option.purpose) <= PURPOSE_LIMIT
        assert option.choices == setting.notation.choices


def test_every_value_that_is_offered_for_a_setting_can_be_set() -> None:
    for setting in SETTINGS:
        for text in (*setting.notation.choices, *setting.offered()):
            value = setting.notation.parse(text)
            assert setting.notation.format(value) == text
    assert set(LEVELS) == set(USUAL_LEVELS)


def test_every_wish_of_a_plan_has_an_example_and_is_explained() -> None:
    assert tuple(WISH_EXAMPLES) == WISHES
    told = wording.phrase(help_on("club-plan")).text
    assert all(f"\n{name}" in told for name in WISHES)
    for name, line in WISH_EXAMPLES.items():
        act = commands.parse(line, {}, in_open=False)
        assert isinstance(act, PlanWeek)
        assert name in [wish for wish, _ in act.changes]
        assert change_plan(ClubSettings("Maple"), act) != ClubSettings("Maple")


def test_every_command_has_help_of_its_own() -> None:
    overview = wording.phrase(help_on("")).text
    for name in commands.command_names():
        topic = name.replace(" ", "-")
        assert topic in wording.help_topics()
        told = wording.phrase(help_on(topic)).text
        assert name in told
        assert told != overview


def test_every_command_is_named_where_help_begins() -> None:
    overview, of_leaders = (wording.phrase(help_on(topic)).text for topic in ("", "club"))
    for command in commands.COMMANDS:
        assert command.name in (of_leaders if command.leaders_only else overview), command.name


def test_every_option_has_a_purpose() -> None:
    for command in commands.COMMANDS:
        for parameter in command.parameters:
            if parameter.kind is not Kind.SETTINGS:
                assert option_purpose(command.name, parameter.name)
        named = {parameter.name for parameter in command.parameters}
        assert set(command.words.options) <= named, command.name


def test_help_says_what_the_bot_cannot_see_and_that_open_times_are_on_trust() -> None:
    assert "cannot see" in wording.phrase(help_on("seeing")).text
    assert "edited" in wording.phrase(help_on("seeing")).text
    assert "on trust" in wording.phrase(help_on("times")).text
    assert "on trust" not in wording.phrase(help_on("times", sealed=True)).text


def test_help_on_hints_and_times_names_what_is_added() -> None:
    for topic in ("hint", "times"):
        told = wording.phrase(help_on(topic)).text
        assert "Where 15 s, What 30 s, Which 1 min and Why 2 min" in told


def test_an_error_says_what_was_expected_and_gives_an_example() -> None:
    refused = InputRefused(command="place", problem="cell", text="r0c10")
    assert wording.phrase(refused).text == (
        "There is no cell r0c10. Rows and columns run from 1 to 9. Example: place r4c5 7 r6c1 2"
    )


WELL_WRITTEN = (
    "given", "filled", "repeated", "no-solution", "many-solutions", "no-result", "too-hard",
    "repeat-puzzle", "complete", "own-puzzle", "no-other", "no-day", "uniqueness", "not-early",
    "passed", "too-many", "too-long", "no-time", "no-plan",
)  # fmt: skip
"""Here nothing was mistyped: an example of the command would be beside the point."""


@each_sample
def test_what_was_mistyped_is_answered_with_an_example(reply: Reply) -> None:
    if isinstance(reply, InputRefused):
        told = wording.phrase(reply).text
        assert ("Example: " in told) is (reply.problem not in WELL_WRITTEN), told


def test_the_front_door_lists_what_is_there_in_order() -> None:
    assert wording.__all__ == sorted(wording.__all__)
    assert all(hasattr(wording, name) for name in wording.__all__)
