"""The command table in neutral terms, for platforms that are told the commands beforehand.

Made from `bot.commands.table` alone: a new command there is offered everywhere without a line here.
What can be completed is completed from what is known without the club: cells, dates, techniques,
zones.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from datetime import date, timedelta

from bot.club.clock import Period
from bot.club.periods import format_period, span_of
from bot.club.settings import SETTINGS
from bot.club.themes import HIGHEST_LEVEL, THEMES
from bot.commands.rows import Command, Kind, Parameter
from bot.commands.table import COMMANDS
from bot.platforms.sketch import CommandSketch, Completing, OptionKind, OptionSketch
from bot.wording import help_topics
from bot.wording.settings import setting_purpose
from bot.wording.sketches import option_purpose
from engine import CLASSIC, RANKS

DATES_OFFERED = 25
_PERIODS_OFFERED: Sequence[tuple[Period, int]] = (("week", 8), ("month", 12))

_LAST_WORD = re.compile(r"(?:^|(?<=\s))\S*$")

_LEVELS = [str(level) for level in range(1, HIGHEST_LEVEL + 1)]
_LEVELS += [f"{low}-{low + 1}" for low in range(1, HIGHEST_LEVEL)]

Today = Callable[[], date]


def sketch_commands(today: Today, *, takes_photos: bool = False) -> tuple[CommandSketch, ...]:
    """Return a sketch of every command. `today` is asked when dates are completed; `takes_photos`:
    they can be read here."""
    return tuple(_sketch(command, today, takes_photos) for command in COMMANDS)


def _sketch(command: Command, today: Today, takes_photos: bool) -> CommandSketch:
    return CommandSketch(
        name=command.name,
        purpose=command.words.purpose,
        options=tuple(
            option
            for parameter in command.parameters
            if takes_photos or parameter.kind is not Kind.PHOTO
            for option in _options(command, parameter, today)
        ),
        leaders_only=command.leaders_only,
    )


def _options(command: Command, parameter: Parameter, today: Today) -> tuple[OptionSketch, ...]:
    if parameter.kind is Kind.SETTINGS:
        return _settings_options(command)
    kinds: dict[Kind, OptionKind] = {
        Kind.MEMBER: "member",
        Kind.PHOTO: "photo",
        Kind.PLACE: "place",
    }
    prefix = f"{parameter.name}=" if parameter.is_named else ""
    return (
        OptionSketch(
            name=parameter.name,
            purpose=option_purpose(command.name, parameter.name, parameter.example),
            kind=kinds.get(parameter.kind, "text"),
            choices=parameter.choices,
            complete=_completing(parameter, today),
            is_required=parameter.is_required,
            written=f"{prefix}{{}}",
        ),
    )


def _settings_options(command: Command) -> tuple[OptionSketch, ...]:
    """Return an option for each setting, and one for the channel of a new club."""
    settings = tuple(
        OptionSketch(
            name=each.name,
            purpose=setting_purpose(each.name),
            choices=each.notation.choices,
            complete=complete_from(offered) if (offered := each.offered()) else None,
            written=f"{each.name}={{}}",
        )
        for each in SETTINGS
    )
    return (
        *settings,
        OptionSketch("channel", option_purpose(command.name, "channel"), kind="room"),
    )


def _completing(parameter: Parameter, today: Today) -> Completing | None:
    match parameter.kind:
        case Kind.DATE:
            return lambda typed: _starting(_dates(today(), is_ahead=False), typed)
        case Kind.COMING_DATE:
            return lambda typed: _starting(
                [*parameter.words, *_dates(today(), is_ahead=True)], typed
            )
        case Kind.MARKS | Kind.CANDIDATES:
            return complete_marks
        case Kind.ROW:
            return complete_from([f"{row} " for row in CLASSIC.marks])
        case Kind.LEVEL:
            return complete_from(list(_LEVELS))
        case Kind.THEME:
            return complete_from(["none", "week", *THEMES])
        case Kind.TECHNIQUE:
            return complete_from([*parameter.words, *RANKS])
        case Kind.DAYS:
            return lambda typed: _starting(
                [*map(str, range(1, 8)), *_dates(today(), is_ahead=True)], typed
            )
        case Kind.PERIOD:
            return lambda typed: _starting([*parameter.words, *_periods(today())], typed)
        case Kind.TOPIC:
            return complete_from(help_topics())
        case Kind.NARROWING:
            return complete_from(_narrowings())
    return None


def complete_from(known: Sequence[str]) -> Completing:
    """Return a completion from a list: what starts so first, then what holds it."""

    def complete(typed: str) -> Sequence[str]:
        wanted = typed.strip().lower()
        inside = [each for each in known if wanted in each.lower()]
        return [*_starting(known, typed), *inside]

    return complete


def _starting(known: Sequence[str], typed: str) -> list[str]:
    wanted = typed.strip().lower()
    return [each for each in known if each.lower().startswith(wanted)]


def _dates(today: date, *, is_ahead: bool) -> list[str]:
    sign = 1 if is_ahead else -1
    return [(today + sign * timedelta(days=days)).isoformat() for days in range(DATES_OFFERED)]


def _periods(today: date) -> list[str]:
    """Return the latest weeks and months by name."""
    return [
        format_period(period, span_of(period, today, ago=ago)[0] or today)
        for period, count in _PERIODS_OFFERED
        for ago in range(count)
    ]


def _narrowings() -> list[str]:
    houses = [house.name for house in CLASSIC.houses]
    return [*(f"for {mark}" for mark in CLASSIC.marks), *reversed(houses)]


def complete_marks(typed: str) -> Sequence[str]:
    """Complete the cell or the digit that is being typed, behind what stands before it."""
    found = _LAST_WORD.search(typed)
    start = found.start() if found else len(typed)
    before, word = typed[:start], typed[start:].lower()
    last = before.split()[-1].lower() if before.split() else ""
    cells = [CLASSIC.format_cell(cell) for cell in range(CLASSIC.cell_count)]
    if last in cells and not word.startswith("r"):
        return [f"{before}{mark}" for mark in CLASSIC.marks if mark.startswith(word)]
    if word in cells:
        return [f"{typed} {mark}" for mark in CLASSIC.marks]
    return [f"{before}{cell}" for cell in cells if cell.startswith(word)]
