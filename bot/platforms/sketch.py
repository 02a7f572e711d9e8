"""What a platform with typed commands needs to be told beforehand.

`CommandSketch` is one command in neutral terms: names, purposes and options, made from the one
command table by the wiring, so that a room offers every command and knows none. Nothing here is of
any one platform.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal

Completing = Callable[[str], Sequence[str]]
"""Takes what was typed so far and returns what it may become, the likeliest first."""

Translations = Mapping[str, str]
"""Locale (`de`, `en-GB`) -> text, for those who use the platform in another language."""


OptionKind = Literal["text", "member", "place", "room", "photo"]


@dataclass(frozen=True, slots=True)
class OptionSketch:
    """One option. `kind`: `text`, one of `choices`, a `member` or a `place` (its id is sent), a
    `room` or a `photo`, which stands in no line.

    `written` is how the value stands in the command line, `{}` for the value.
    """

    name: str
    purpose: str
    kind: OptionKind = "text"
    choices: tuple[str, ...] = ()
    complete: Completing | None = None
    is_required: bool = False
    written: str = "{}"
    names: Translations = field(default_factory=dict)
    purposes: Translations = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class CommandSketch:
    """One command; a name of two words belongs to the group of the first."""

    name: str
    purpose: str
    options: tuple[OptionSketch, ...] = ()
    leaders_only: bool = False
    names: Translations = field(default_factory=dict)
    purposes: Translations = field(default_factory=dict)
