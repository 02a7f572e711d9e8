"""Slash commands: from the sketches to what Discord is told, and from what was typed to a line.

Names follow Discord's rules: lower case, 1 to 32 letters, digits, `-` or `_`. A command of two
words is a subcommand of its first; such a group is shown only to those who may manage the server,
and the club checks again. Pure: nothing is sent from here.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from bot.platforms.discord.text import clip
from bot.platforms.sketch import CommandSketch, OptionSketch

_NAME = re.compile(r"[-_a-z0-9]{1,32}")
PURPOSE_LIMIT = 100
CHOICES_LIMIT = 25
CHOICE_LIMIT = 100
SUBCOMMAND, STRING, USER, CHANNEL, ATTACHMENT = 1, 3, 6, 7, 11
TEXT_CHANNEL, NEWS_CHANNEL = 0, 5
MANAGE_GUILD = 1 << 5
GUILD_CONTEXT = GUILD_INSTALL = 0
_KINDS = {
    "text": STRING,
    "member": USER,
    "place": CHANNEL,
    "room": CHANNEL,
    "photo": ATTACHMENT,
}


@dataclass(frozen=True, slots=True)
class Typed:
    """A command as it came: its line, and the channel and the file that options named."""

    line: str
    room_id: str | None = None
    file_id: str | None = None


class CommandBook:
    """All commands, by name. `group_purpose` describes every group of leaders' commands."""

    def __init__(self, sketches: Iterable[CommandSketch], group_purpose: str) -> None:
        self._by_name = {sketch.name: sketch for sketch in sketches}
        self._group_purpose = group_purpose

    def name_in(self, line: str) -> str | None:
        """Return the name of the command that a line begins with, None where it has none."""
        words = line.split()
        names = (" ".join(words[:count]) for count in (2, 1))
        return next((name for name in names if name in self._by_name), None)

    def is_for_leaders(self, line: str) -> bool:
        """Say whether a line begins with a command of leaders."""
        name = self.name_in(line)
        return name is not None and self._by_name[name].leaders_only

    def takes_place(self, line: str) -> bool:
        """Say whether a line begins with a command that takes a club elsewhere."""
        name = self.name_in(line)
        return name is not None and any(
            each.kind == "place" for each in self._by_name[name].options
        )

    def payload(self) -> list[dict[str, Any]]:
        """Return the commands as Discord takes them, groups after the others."""
        single = [_command(each) for each in self._by_name.values() if " " not in each.name]
        groups: dict[str, list[CommandSketch]] = {}
        for sketch in self._by_name.values():
            if " " in sketch.name:
                groups.setdefault(sketch.name.split(" ", 1)[0], []).append(sketch)
        return single + [self._group(name, each) for name, each in groups.items()]

    def _group(self, name: str, sketches: Sequence[CommandSketch]) -> dict[str, Any]:
        whole = CommandSketch(
            name, self._group_purpose, leaders_only=all(each.leaders_only for each in sketches)
        )
        subcommands = [
            {
                "type": SUBCOMMAND,
                **_described(each.name.split(" ", 1)[1], each),
                "options": [_option(option) for option in each.options],
            }
            for each in sketches
        ]
        return {**_command(whole), "options": subcommands}

    def read(self, typed: Mapping[str, Any]) -> Typed:
        """Return the line that an interaction's `data` stands for."""
        name, values = _unpack(typed)
        sketch = self._by_name.get(name)
        known = {option.name: option for option in sketch.options} if sketch else {}
        words, named = [name], dict[str, str]()
        # In the table's order, not in the order of typing: the line is read from left to right.
        for option in known.values():
            if option.name not in values:
                continue
            if option.kind in ("room", "photo"):
                named[option.kind] = values[option.name]
            else:
                words.append(option.written.replace("{}", values[option.name].strip()))
        return Typed(" ".join(words), named.get("room"), named.get("photo"))

    def complete(self, typed: Mapping[str, Any]) -> list[str]:
        """Return what the option under the cursor may become, at most as many as are shown."""
        name, _ = _unpack(typed)
        focused = next((each for each in _options_of(typed) if each.get("focused")), None)
        sketch = self._by_name.get(name)
        if focused is None or sketch is None:
            return []
        for option in sketch.options:
            if option.name == focused["name"] and option.complete is not None:
                found = option.complete(str(focused.get("value", "")))
                fitting = dict.fromkeys(each for each in found if 0 < len(each) <= CHOICE_LIMIT)
                return list(fitting)[:CHOICES_LIMIT]
        return []


def _described(name: str, sketch: CommandSketch | OptionSketch) -> dict[str, Any]:
    if not _NAME.fullmatch(name):
        raise ValueError(f"Discord takes no command or option called {name!r}")
    described: dict[str, Any] = {"name": name, "description": clip(sketch.purpose, PURPOSE_LIMIT)}
    if sketch.names:
        described["name_localizations"] = dict(sketch.names)
    if sketch.purposes:
        described["description_localizations"] = {
            locale: clip(text, PURPOSE_LIMIT) for locale, text in sketch.purposes.items()
        }
    return described


def _command(sketch: CommandSketch) -> dict[str, Any]:
    command = {
        **_described(sketch.name, sketch),
        "type": 1,
        "contexts": [GUILD_CONTEXT],
        "integration_types": [GUILD_INSTALL],
        "options": [_option(option) for option in sketch.options],
    }
    if sketch.leaders_only:
        command["default_member_permissions"] = MANAGE_GUILD
    return command


def _option(sketch: OptionSketch) -> dict[str, Any]:
    option = {
        "type": _KINDS[sketch.kind],
        **_described(sketch.name, sketch),
        "required": sketch.is_required,
    }
    if sketch.choices:
        chosen = sketch.choices[:CHOICES_LIMIT]
        option["choices"] = [{"name": each, "value": each} for each in chosen]
    elif sketch.complete is not None:
        option["autocomplete"] = True
    if _KINDS[sketch.kind] == CHANNEL:
        option["channel_types"] = [TEXT_CHANNEL, NEWS_CHANNEL]
    return option


def _options_of(typed: Mapping[str, Any]) -> Sequence[Mapping[str, Any]]:
    options = typed.get("options", ())
    if options and options[0].get("type") == SUBCOMMAND:
        options = options[0].get("options", ())
    return list(options)


def _unpack(typed: Mapping[str, Any]) -> tuple[str, dict[str, str]]:
    """Return a command's whole name, and its options' values as text."""
    name, options = str(typed["name"]), typed.get("options", ())
    if options and options[0].get("type") == SUBCOMMAND:
        name = f"{name} {options[0]['name']}"
    values = {str(each["name"]): str(each.get("value", "")) for each in _options_of(typed)}
    return name, values
