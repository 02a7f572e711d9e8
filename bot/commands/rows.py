"""What a row of the command table is made of: a command, its parameters, and what these take.

The rows themselves are in `for_members` and `for_leaders`, and how a line finds its row in
`bot.commands.table`.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from enum import StrEnum

from bot.club.acts import Act, OfADay
from bot.club.course import AnyCourse
from bot.wording.commands import COMMANDS
from bot.wording.explaining import CommandWords

Fields = Mapping[str, str]
"""The texts of a form's fields, by their names."""

Reader = Callable[[str, Fields], Act]
"""Takes the text after the command's name and a form's fields. Raises ArgumentError."""


class Kind(StrEnum):
    """What a parameter takes; a platform with typed options offers them by this."""

    CHOICE = "choice"
    MARKS = "marks"
    CANDIDATES = "candidates"
    ROW = "row"
    DIGITS = "digits"
    GRID = "grid"
    PHOTO = "photo"
    DATE = "date"
    COMING_DATE = "coming date"
    DAYS = "days"
    SETTINGS = "settings"
    MEMBER = "member"
    PLACE = "place"
    LEVEL = "level"
    THEME = "theme"
    TECHNIQUE = "technique"
    NARROWING = "narrowing"
    TOPIC = "topic"
    PERIOD = "period"
    WORDS = "words"


@dataclass(frozen=True, slots=True)
class Parameter:
    """One argument. `choices` are the words that it takes, where it takes no others; `words` are
    those that it takes besides the values of its kind.

    `is_named`: it stands in the line as `name=value`.
    """

    name: str
    kind: Kind
    example: str = ""
    choices: tuple[str, ...] = ()
    words: tuple[str, ...] = ()
    is_required: bool = False
    is_named: bool = False


@dataclass(frozen=True, slots=True)
class Command:
    """One command; its words are found by its name.

    - `read` makes the act of a line.
    - `courses`: how its acts are decided; of an act that several commands have, the first is home.
    """

    name: str
    read: Reader
    courses: tuple[AnyCourse, ...] = ()
    parameters: tuple[Parameter, ...] = ()
    leaders_only: bool = False
    aliases: tuple[str, ...] = ()

    @property
    def words(self) -> CommandWords:
        """Return its words. Raises KeyError where it has none."""
        return COMMANDS[self.name]

    @property
    def may_name_a_day(self) -> bool:
        """Say whether its line may name the day whose board it is about, as buttons do."""
        return any(issubclass(course.act, OfADay) for course in self.courses)
