"""Words for the club's settings: what each is for, and a change to one that works."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence

from bot.club.notations import Form
from bot.club.settings import SETTINGS, Setting
from bot.club.themes import NO_THEME
from bot.wording.explaining import Commands, CommandWords
from bot.wording.prose import capitalise, clean_text, join_words, number_word, paragraphs
from bot.wording.techniques import technique_name
from bot.wording.times import format_clock, weekday_name

SETTING_MEANINGS: dict[str, str] = {
    "name": "what the club is called",
    "zone": "the club's time zone, by a city in it, such as London",
    "post-time": "when the day's puzzle goes up, local time",
    "sealed": "yes: the puzzle comes to each member when they start their clock",
    "uniqueness": "no: hints never take for granted that there is just one solution",
    "levels": "the level planned for each day, Monday to Sunday",
    "theme": "the technique of the week, which puzzles should need; none for no theme",
    "look": "light or dark pictures",
    "marks": "small digits in pictures: all, two-place (two places in a box), or none",
    "language": "the language I speak here; so far I know only English, en",
    "solved-lines": "who has solved it: one line that grows, a line each (or in a thread), none",
    "ping": "whom a new puzzle calls: a role of the server, room for everybody, or none",
    "quick": "an answer faster than so many seconds for each open cell waits for your ruling",
    "leaders": "further leaders, besides those named by the platform or the host",
    "rungs": "seconds that the four rungs of a hint add",
    "mistakes": "seconds that the three rungs of help with a mistake add",
    "check": "seconds that a check adds",
    "wrong": "seconds that a wrong answer adds",
    "fill": "seconds that filling in all candidates adds",
}
"""What each setting is for. Help has it, and what Discord shows beside an option."""

SETTING_EXAMPLES: dict[str, str] = {
    each.name: f"{each.name}={each.notation.format(each.example)}" for each in SETTINGS
}
"""For each setting a change that works."""


_FITTING = {
    Form.GROUPS: "a role, written as a mention, or room for everybody there; or none",
    Form.IDS: "ids with commas between them, or none",
    Form.TIME: "a time of day: 18:00, 18.30, 6pm, noon",
    Form.ZONE: "the name of a time zone, or a city it is called after: Europe/London, london",
    Form.THEME: "a technique that puzzles can need, or none",
}


def tell_fitting(setting: Setting) -> str:
    """Say what a setting can be, in words that follow `It is`."""
    fits = setting.notation.fits
    numbers = f"from {fits.low:g} to {fits.high:g}"
    match fits.form:
        case Form.CHOICE:
            return join_words(setting.notation.choices, "or")
        case Form.TEXT:
            return f"a text of {fits.low:g} to {fits.high:g} characters"
        case Form.WHOLE:
            return f"a whole number {numbers}"
        case Form.NUMBER:
            return f"a number {numbers}"
        case Form.LIST:
            one = ", or one of them for all" if fits.or_one else ""
            return f"{number_word(fits.count)} whole numbers {numbers}, commas between them{one}"
    return _FITTING[fits.form]


def _times(value: str) -> str:
    """Write `15,30,60` as `15, 30 and 60 seconds`, `0` as `nothing`."""
    if value in ("0", "1"):
        return "nothing" if value == "0" else "1 second"
    return f"{join_words(value.split(','))} seconds"


def _levels(value: str) -> str:
    levels = value.split(",")
    if len(set(levels)) == 1:
        return f"level {levels[0]} every day"
    days = (f"{weekday_name(day)} {level}" for day, level in enumerate(levels))
    return f"the planned levels are {join_words(days)}"


_LANGUAGE_NAMES = {"en": "English"}

_TOLD: dict[str, Callable[[str], str]] = {
    "zone": lambda value: f"the club's days follow {format_clock(value)}",
    "post-time": lambda value: f"the day's puzzle goes up at {value}",
    "sealed": lambda value: (
        "each member gets the puzzle when they start their clock"
        if value == "yes"
        else "the post shows the puzzle to everyone"
    ),
    "uniqueness": lambda value: (
        f"hints {'may' if value == 'yes' else 'never'} take for granted that there is just one "
        "solution"
    ),
    "levels": _levels,
    "theme": lambda value: (
        "no technique of the week"
        if value == NO_THEME
        else f"the week's technique is the {technique_name(value)}"
    ),
    "look": lambda value: f"pictures are {value}",
    "marks": lambda value: f"small digits in pictures: {value}",
    "language": lambda value: f"I speak {_LANGUAGE_NAMES.get(value, value)}",
    "solved-lines": lambda value: {
        "one-line": "one line in the room says who has solved the puzzle, and grows",
        "each": "everyone who solves the puzzle gets a line in the room",
        "thread": "everyone who solves the puzzle gets a line in the thread under it",
    }.get(value, "the room hears of nobody who solves the puzzle until the results"),
    "ping": lambda value: {
        "none": "a new puzzle calls nobody",
        "room": "a new puzzle calls everybody in the room",
    }.get(value, f"a new puzzle calls who is in {clean_text(value, 80)}"),
    "quick": lambda value: (
        "no answer is too fast to count"
        if value == "0"
        else f"an answer faster than {_times(value)} for each open cell waits for your ruling"
    ),
    "leaders": lambda value: (
        "those named by the platform or the host"
        if value == "none"
        else f"besides those named by the platform or the host: {clean_text(value, 80)}"
    ),
    "rungs": lambda value: f"the four rungs of a hint add {_times(value)}",
    "mistakes": lambda value: f"the three rungs of help with a mistake add {_times(value)}",
    "check": lambda value: f"a check adds {_times(value)}",
    "wrong": lambda value: f"a wrong answer adds {_times(value)}",
    "fill": lambda value: f"filling in all candidates adds {_times(value)}",
}
"""What the value of a setting means for the club. A name is told as it is, as is any other."""


def tell_value(name: str, value: str) -> str:
    """Say what a setting's value, as `club setup` writes it, means for the club."""
    told = _TOLD.get(name)
    return told(value) if told else clean_text(value, 80)


def tell_setting(name: str, value: str) -> str:
    """Write a line on a setting: what to call it, and what holds."""
    return f"{name}: {tell_value(name, value)}"


FIRST = ("name", "zone", "post-time", "levels", "sealed")
"""The settings that matter to a new club, which are told first."""

_GROUPS: dict[str, Collection[str]] = {
    "The club's settings:": FIRST,
    "Puzzles, hints and pictures:": ("theme", "uniqueness", "look", "marks"),
    "Added to a member's time:": [each.name for each in SETTINGS if each.is_penalty],
}
_OTHERS = "The room and its people:"


def tell_settings(settings: Sequence[tuple[str, str]], besides: Collection[str] | None) -> str:
    """Write the settings that matter first and those `besides`, or with None all, in groups."""
    if besides is not None:
        told = [each for each in settings if each[0] in FIRST or each[0] in besides]
        return _told_under("The club's settings:", told)
    grouped = [name for names in _GROUPS.values() for name in names]
    groups = {
        heading: [each for each in settings if each[0] in names]
        for heading, names in _GROUPS.items()
    }
    groups[_OTHERS] = [each for each in settings if each[0] not in grouped]
    return paragraphs(*(_told_under(heading, told) for heading, told in groups.items()))


def _told_under(heading: str, settings: Sequence[tuple[str, str]]) -> str:
    lines = [tell_setting(name, value) for name, value in settings]
    return "\n".join([heading, *lines]) if lines else ""


def setting_purpose(name: str) -> str:
    """Say what a setting is for, as the description of an option."""
    return capitalise(SETTING_MEANINGS[name])


COMMANDS: Commands = {
    "club setup": CommandWords(
        purpose="Show or change the club's settings.",
        example="club setup zone=Europe/London post-time=18:00 sealed=yes theme=naked-triple",
        help=(
            "club setup alone shows the settings that matter first, and club setup more all of "
            "them. With names and values it changes them, "
            "all at once or none: club setup post-time=18:30 sealed=yes theme=naked-triple\n\n"
            + "\n".join(f"{name}: {meaning}" for name, meaning in SETTING_MEANINGS.items())
        ),
    ),
}
