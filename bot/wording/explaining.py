"""What a command's words are made of; each stands with the words of its replies."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from bot.club.replies import HelpShown

Topic = str | Callable[[HelpShown], str]
"""A text of help, or what makes it where it tells figures of the club's own settings."""


@dataclass(frozen=True, slots=True)
class CommandWords:
    """The words of one command.

    - `purpose`: a sentence where commands are offered. `example`: a line that works.
    - `help`: what it is for, how it is written, and what it adds to the time.
    - `overview`: how it stands in the list of help, and what it is for, in a few words.
    - `options`: what each parameter is for, where `sketches` does not have it for all commands.
    """

    purpose: str
    example: str
    help: Topic
    overview: tuple[str, str] | None = None
    options: Mapping[str, str] = field(default_factory=dict)


Commands = Mapping[str, CommandWords]
"""The words of commands by their names; `bot.wording.commands` joins those of every module."""
