"""Words for the club's settings: what each is for, and a change to one that works."""

from __future__ import annotations

from bot.club.notations import Form
from bot.club.settings import SETTINGS, Setting
from bot.wording.explaining import Commands, CommandWords
from bot.wording.prose import capitalise, join_words, number_word

SETTING_MEANINGS: dict[str, str] = {
    "name": "what the club is called",
    "zone": "the club's time zone, by a city in it, such as London",
    "post-time": "when the day's puzzle goes up, local time",
    "sealed": "yes: the puzzle comes to each member when they start their clock",
    "uniqueness": "no: hints never take for granted that there is just one solution",
    "levels": "the level planned for each day, Monday to Sunday",
    "theme": "the technique of the week, which puzzles should need; none for no theme",
    "look": "light or dark pictures",
    "language": "the language I speak here; so far I know only English, en",
    "quick": "an answer faster than so many seconds for each open cell waits for your ruling",
    "leaders": "ids of the club's leaders, besides those whom platform or host name",
    "rungs": "seconds that the four rungs of a hint add",
    "mistakes": "seconds that the three rungs on a mistake add",
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


def setting_purpose(name: str) -> str:
    """Say what a setting is for, as the description of an option."""
    return capitalise(SETTING_MEANINGS[name])


COMMANDS: Commands = {
    "club setup": CommandWords(
        purpose="Show or change the club's settings.",
        example="club setup zone=Europe/London post-time=18:00 sealed=yes theme=naked-triple",
        help=(
            "club setup alone shows the club's settings. With names and values it changes them, "
            "all at once or none: club setup post-time=18:30 sealed=yes theme=naked-triple\n\n"
            + "\n".join(f"{name}: {meaning}" for name, meaning in SETTING_MEANINGS.items())
        ),
    ),
}
