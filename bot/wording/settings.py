"""Words for the club's settings: what each is for, and a change to one that works."""

from __future__ import annotations

from bot.club.settings import LANGUAGES, LONGEST_PENALTY, NAME_LIMIT, SETTINGS
from bot.club.themes import HIGHEST_LEVEL
from bot.wording.explaining import Commands, CommandWords
from bot.wording.prose import capitalise

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

_SECONDS = f"0 to {LONGEST_PENALTY}"

SETTING_LIMITS: dict[str, str] = {
    "name": f"1 to {NAME_LIMIT} characters",
    "zone": "the name of a zone, Europe/London, or its city, London",
    "post-time": "a time of day, as 18:00, 18.30, 6pm or noon",
    "sealed": "yes or no",
    "uniqueness": "yes or no",
    "levels": f"a level from 1 to {HIGHEST_LEVEL} for all days, or seven of them, Monday first",
    "theme": "a technique that puzzles can need, or none",
    "look": "light or dark",
    "language": f"one of {', '.join(LANGUAGES)}",
    "quick": "a number from 0 to 60",
    "leaders": "ids with commas between them, or none",
    "rungs": f"four whole numbers, {_SECONDS}, with commas between them",
    "mistakes": f"three whole numbers, {_SECONDS}, with commas between them",
    "check": f"a whole number from {_SECONDS}",
    "wrong": f"a whole number from {_SECONDS}",
}
"""What each setting can be."""

SETTING_EXAMPLES: dict[str, str] = {
    each.name: f"{each.name}={each.notation.format(each.example)}" for each in SETTINGS
}
"""For each setting a change that works."""


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
