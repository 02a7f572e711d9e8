"""The words that anybody uses here every day, so that a name that is one of them tells nobody."""

from __future__ import annotations

import re
from functools import cache

from bot.wording.commands import COMMANDS
from bot.wording.techniques import lesson
from engine import LADDER


@cache
def everyday_words() -> frozenset[str]:
    """Return the words of the lessons and of the commands' help that stand there in small letters:
    with a capital `Mark` and `Will` are names before all."""
    texts = [lesson(technique.id) for technique in LADDER]
    for command in COMMANDS.values():
        texts += [command.purpose, command.help if isinstance(command.help, str) else ""]
    words = (word for text in texts for word in re.findall(r"[^\W\d_]+", text))
    return frozenset(word for word in words if word.islower())
