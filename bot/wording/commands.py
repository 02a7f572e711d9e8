"""The words of every command, joined from the modules that have them.

A command of `bot.commands` finds its words here by its name; so do help and what is said of a line
that cannot be read. A module of words for new commands is one more line in `COMMANDS`.
"""

from __future__ import annotations

from bot.wording import (
    answers,
    asking,
    board,
    day,
    evening,
    hints,
    leading,
    links,
    moving,
    own_page,
    planning,
    practising,
    printing,
    privacy,
    queueing,
    settings,
    tables,
    turning,
    walkthrough,
    wishes,
)
from bot.wording.explaining import Commands, CommandWords

_HELP: Commands = {
    "help": CommandWords(
        purpose="Explain the club or one command.",
        example="help hint",
        help="help lists everything; help and a word tells more about that word: help hint.",
        options={"topic": "A command or a technique"},
    )
}

COMMANDS: Commands = {
    **day.COMMANDS,
    **board.COMMANDS,
    **links.COMMANDS,
    **hints.COMMANDS,
    **answers.COMMANDS,
    **tables.COMMANDS,
    **walkthrough.COMMANDS,
    **asking.COMMANDS,
    **evening.COMMANDS,
    **practising.COMMANDS,
    **own_page.COMMANDS,
    **wishes.COMMANDS,
    **privacy.COMMANDS,
    **_HELP,
    **settings.COMMANDS,
    **planning.COMMANDS,
    **turning.COMMANDS,
    **printing.COMMANDS,
    **queueing.COMMANDS,
    **leading.COMMANDS,
    **moving.COMMANDS,
}
"""In the order in which help lists them."""

LEADERS_PREFIX = "club "
"""What the names of leaders' commands begin with."""
