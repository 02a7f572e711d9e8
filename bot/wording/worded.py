"""A message before its picture is drawn: its words, and the facts of the picture beside them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from bot.club.facts import Picturable
from bot.platforms.message import Message


@dataclass(frozen=True, slots=True)
class Worded:
    """`name` is what the picture's file is called, where it is not called after its kind."""

    message: Message
    picture: Picturable | None = None
    name: str = ""

    @property
    def text(self) -> str:
        """What the message says."""
        return self.message.text


More = dict[Any, Callable[[Any], tuple[Worded, ...]]]
"""Kinds of reply that make several messages, and the function that words the others."""
