"""Reads what a member wishes for."""

from __future__ import annotations

from typing import Literal

from bot.club.acts import Act
from bot.club.problems import Problem
from bot.club.wishes import ChooseLook, SetReminder
from bot.commands.arguments import ArgumentError
from bot.commands.rows import Fields

LOOKS: dict[str, Literal["", "light", "dark"]] = {"dark": "dark", "light": "light", "club": ""}
REMINDERS = {"on": True, "off": False}


def read_look(rest: str, fields: Fields) -> Act:
    """Read `dark`, `light` or `club`. Raises ArgumentError."""
    said = rest.strip().lower()
    if said and said not in LOOKS:
        raise ArgumentError(Problem.SURPLUS, rest)
    return ChooseLook(LOOKS.get(said))


def read_reminder(rest: str, fields: Fields) -> Act:
    """Read `on` or `off`. Raises ArgumentError."""
    said = rest.strip().lower()
    if said and said not in REMINDERS:
        raise ArgumentError(Problem.SURPLUS, rest)
    return SetReminder(REMINDERS.get(said))
