"""Words for platforms that show commands before they are typed: purposes of options."""

from __future__ import annotations

from bot.wording.commands import COMMANDS

_SHARED = {
    "as": "Read it out as text",
    "grid": "A grid: 81 characters, a dot for an open cell",
    "date": "The puzzle's date",
    "level": "A level, or two with a dash between",
    "theme": "A technique that puzzles should turn on, or none",
    "photo": "A photo of the grid on your paper",
    "channel": "Where a new club is to meet",
}
"""Of options that several commands have, or none of the table's."""


def option_purpose(command: str, name: str, example: str = "") -> str:
    """Say what an option of a command is for, with an example where there is one.

    Raises KeyError where nothing says it.
    """
    purpose = COMMANDS[command].options.get(name) or _SHARED[name]
    return f"{purpose}, such as {example}" if example else purpose
