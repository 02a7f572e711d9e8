"""What a row of the command table is made of: a command, its parameters, and what these take.

The rows themselves, and how a line finds its row, are in `bot.commands.table`.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from bot.commands.act_readers import Reader


class Kind(StrEnum):
    """What a parameter takes; a platform with typed options offers them by this."""

    CHOICE = "choice"
    MARKS = "marks"
    CANDIDATES = "candidates"
    ROW = "row"
    DIGITS = "digits"
    GRID = "grid"
    DATE = "date"
    SETTINGS = "settings"
    MEMBER = "member"
    LEVEL = "level"
    THEME = "theme"
    WORDS = "words"


@dataclass(frozen=True, slots=True)
class Parameter:
    """One argument. `choices` are the words that it takes, where it takes no others.

    `is_named`: it stands in the line as `name=value`.
    """

    name: str
    kind: Kind
    example: str
    choices: tuple[str, ...] = ()
    is_required: bool = False
    is_named: bool = False


@dataclass(frozen=True, slots=True)
class Command:
    """One command. `read` takes the rest of the line and a form's fields; raises ArgumentError."""

    name: str
    purpose: str
    example: str
    read: Reader
    parameters: tuple[Parameter, ...] = ()
    leaders_only: bool = False
    aliases: tuple[str, ...] = ()
