"""What a person reads of a message: escapes undone, and whatever would act as markup named.

A text of the bot's own is plain, so everything that the service would turn into bold letters,
links, mentions or headings is a leak: `live` lists it. Blocks of equal-width letters are set apart.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import Any

from tests.doubles.discord.limits import (
    BUTTON,
    COMPONENTS_V2,
    EPHEMERAL,
    FILE,
    GALLERY,
    SELECTS,
    TEXT_DISPLAY,
    walk,
)
from tests.doubles.discord.world import Message

_ESCAPE = re.compile(r"\\([^0-9A-Za-z\s])")
_BLOCK = re.compile(r"```\n(.*?)\n```", re.DOTALL)
_LIVE = re.compile(
    r"<@[!&]?[0-9]+>|<#[0-9]+>|<a?:\w+:[0-9]+>|<t:[^>]*>|</[^>]+>|@everyone|@here"
    r"|\*\S|_\S.*_|~~|\|\||`|\[[^\]]*\]\([^)]*\)|https?://|:[a-z0-9_]+:"
    r"|^\s*(?:#{1,3}|-#|>|[-*+]|[0-9]+\.)\s",
    re.MULTILINE,
)


@dataclass(frozen=True)
class Control:
    """A button or a menu. `command` is what stands in its id behind the room; `url`: what a button
    opens that has no id."""

    custom_id: str
    label: str
    options: tuple[tuple[str, str], ...] = ()
    url: str = ""
    kind: int = 0
    picked: tuple[str, ...] = ()

    @property
    def command(self) -> str:
        return self.custom_id.split(":", 2)[-1]


@dataclass(frozen=True)
class Shown:
    id: str
    channel_id: str
    author: str
    text: str
    is_private: bool
    code: str = ""
    alts: tuple[str, ...] = ()
    controls: tuple[Control, ...] = ()
    files: dict[str, bytes] = field(default_factory=dict)
    live: tuple[str, ...] = ()
    first_id: int = 0

    @property
    def commands(self) -> tuple[str, ...]:
        return tuple(each.command for each in self.controls)

    def control(self, label: str) -> Control:
        """Return the one whose label starts so."""
        found = [each for each in self.controls if each.label.startswith(label)]
        assert found, f"no {label!r} among {[each.label for each in self.controls]}"
        return found[0]


def read_plain(text: str) -> tuple[str, str, tuple[str, ...]]:
    """Return a text as it is read, the blocks in it, and its live markup."""
    code = "\n".join(_BLOCK.findall(text))
    rest = _BLOCK.sub("", text)
    # An escaped letter can take part in no markup, so it is out of the way while markup is sought.
    live = tuple(_LIVE.findall(_ESCAPE.sub("\x00", rest)))
    return _ESCAPE.sub(r"\1", rest).strip("\n"), code, live


def show(message: Message) -> Shown:
    every = list(walk(message.body.get("components")))
    texts = [each["content"] for each in every if each["type"] == TEXT_DISPLAY]
    content = message.body.get("content") or ""
    text, code, live = read_plain("\n".join([content, *texts] if content else texts))
    items = [item for each in every if each["type"] == GALLERY for item in each["items"]]
    if not message.flags & COMPONENTS_V2:
        shown = message.body.get("attachments") or ()
        items = [each for each in shown if each.get("description")]
    return Shown(
        id=message.id,
        channel_id=message.channel_id,
        author=message.author.name,
        text=text,
        is_private=bool(message.flags & EPHEMERAL),
        code=code,
        alts=tuple(item.get("description") or "" for item in items),
        controls=tuple(_control(each) for each in every if each["type"] in (BUTTON, *SELECTS)),
        files=message.files,
        live=live if message.author.is_bot else (),
        first_id=max((each.get("id", 0) for each in every[:2]), default=0),
    )


def _control(each: dict[str, Any]) -> Control:
    options = tuple((one["label"], one["value"]) for one in each.get("options") or ())
    label = each.get("label") or each.get("placeholder") or ""
    picked = tuple(str(one["id"]) for one in each.get("default_values") or ())
    url = each.get("url", "")
    return Control(each.get("custom_id", ""), label, options, url, each["type"], picked)


def file_names(message: Message) -> tuple[str, ...]:
    every = walk(message.body.get("components"))
    return tuple(each["file"]["url"] for each in every if each["type"] == FILE)
