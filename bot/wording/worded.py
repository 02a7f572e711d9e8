"""A message before its picture or sheet is drawn: its words, and what is to be drawn beside."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from bot.club.facts import Picturable
from bot.club.facts_sheets import PrintedSheet
from bot.platforms.message import Message


@dataclass(frozen=True, slots=True)
class Worded:
    """`name` is what the picture's file is called, where it is not called after its kind, and what
    that of `sheet` is."""

    message: Message
    picture: Picturable | None = None
    name: str = ""
    sheet: PrintedSheet | None = None

    @property
    def text(self) -> str:
        """What the message says."""
        return self.message.text


More = dict[Any, Callable[[Any], tuple[Worded, ...]]]
"""Kinds of reply that make several messages, and the function that words the others."""

Sheets = dict[Any, Callable[[Any], tuple[str, PrintedSheet]]]
"""Kinds of reply with a sheet to print, and the function that names and words it."""
