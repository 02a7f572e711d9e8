"""What an event says to the club: a line, a pressed choice, or nothing that concerns it.

Pure: an event's JSON comes in. Notices are never read, or two bots could talk without end. Edits
are no lines, nor is what stands beside a picture in the open; they are read for what they may give
away.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from itertools import dropwhile
from typing import Any, Literal

from bot.platforms.matrix.inbound import VERIFYING
from bot.platforms.matrix.journal import InboxEvent
from bot.platforms.matrix.media import Media, read_media

DOUBTFUL_AGE = timedelta(minutes=2)
"""A stamp older than this when it reaches us counts only after a gap in our listening."""

KEYCAPS = tuple(f"{number}\ufe0f\u20e3" for number in range(1, 10))
"""The marks of the first nine choices."""

_FIELD = re.compile(r"([a-z][a-z-]{0,30}):(.*)")
_VARIATION = "\ufe0f"


@dataclass(frozen=True, slots=True)
class Spoken:
    """A line that was said; `fields` are what a form's answer, written as `name: text`, holds.
    `mentioned` are the people whom it says that it is for; `is_reply`: to something said before."""

    text: str
    fields: Mapping[str, str] = field(default_factory=dict)
    mentioned: frozenset[str] = frozenset()
    is_reply: bool = False


@dataclass(frozen=True, slots=True)
class Pressed:
    """A reaction to the event `under`; `choice` counts from 0."""

    under: str
    choice: int


@dataclass(frozen=True, slots=True)
class Edited:
    """`text` is the line as it was changed; `shown` all that readers may see of it."""

    text: str
    shown: str


@dataclass(frozen=True, slots=True)
class Shown:
    """What stands in the room and is no line: an emote, or the words with a picture or a file."""

    text: str


@dataclass(frozen=True, slots=True)
class Pictured:
    """A picture. `caption` is what was said with it; `shown` all that readers see beside it."""

    media: Media
    caption: str
    shown: str


@dataclass(frozen=True, slots=True)
class Verified:
    """A step of a verification of us that was begun in a room, named by the event that began it."""

    kind: str
    transaction_id: str
    content: Mapping[str, Any]


Called = Literal["", "by-name", "by-reply"]

Read = Spoken | Pressed | Edited | Shown | Pictured | Verified | None

_SHOWN = ("m.emote", "m.image", "m.file", "m.video", "m.audio")


def read_event(source: Mapping[str, Any]) -> Read:
    """Return what an event says; None for what is not for us."""
    content = source.get("content")
    if not isinstance(content, dict):
        return None
    relation = content.get("m.relates_to")
    relation = relation if isinstance(relation, dict) else {}
    if source.get("type") == "m.reaction":
        return _read_reaction(relation)
    verified = _read_verification(source, content, relation)
    if verified is not None:
        return verified
    kind, body = content.get("msgtype"), content.get("body")
    if source.get("type") != "m.room.message" or not isinstance(body, str):
        return None
    if relation.get("rel_type") == "m.replace":
        return _read_edit(content, body)
    media = read_media(content) if _is_picture(kind, content) else None
    if media is not None:
        # Where no name is told besides, what stands beside a picture is its name.
        named = content.get("filename")
        has_caption = isinstance(named, str) and named != body
        return Pictured(media, body if has_caption else "", body)
    if kind != "m.text":
        return Shown(body) if kind in _SHOWN else None
    is_reply = "m.in_reply_to" in relation
    if is_reply:
        body = _without_quote(body)
    return Spoken(body, mentioned=_mentioned(content.get("m.mentions")), is_reply=is_reply)


def _read_verification(
    source: Mapping[str, Any], content: Mapping[str, Any], relation: Mapping[str, Any]
) -> Verified | None:
    kind = str(source.get("type"))
    if content.get("msgtype") == f"{VERIFYING}request":
        return Verified("request", str(source.get("event_id")), content)
    begun = relation.get("event_id")
    if not kind.startswith(VERIFYING) or not isinstance(begun, str):
        return None
    return Verified(kind.removeprefix(VERIFYING), begun, content)


def _mentioned(mentions: object) -> frozenset[str]:
    users = mentions.get("user_ids") if isinstance(mentions, dict) else None
    if not isinstance(users, list):
        return frozenset()
    return frozenset(each for each in users if isinstance(each, str))


def _is_picture(kind: object, content: Mapping[str, Any]) -> bool:
    """Say whether something is sent as a picture, or as a file that is said to be one."""
    info = content.get("info")
    said = info.get("mimetype") if isinstance(info, dict) else None
    is_said = isinstance(said, str) and said.startswith("image/")
    return kind == "m.image" or (kind == "m.file" and is_said)


def _read_edit(content: Mapping[str, Any], body: str) -> Edited | None:
    """Read an edit; its own body is for those who cannot show edits, and may say anything."""
    if content.get("msgtype") not in ("m.text", *_SHOWN):
        return None
    new = content.get("m.new_content")
    text = new.get("body") if isinstance(new, dict) else None
    return Edited(body.removeprefix("* "), f"{body}\n{text}" if isinstance(text, str) else body)


def _read_reaction(relation: Mapping[str, Any]) -> Pressed | None:
    marks = [mark.replace(_VARIATION, "") for mark in KEYCAPS]
    mark = str(relation.get("key", "")).replace(_VARIATION, "")
    if relation.get("rel_type") != "m.annotation" or mark not in marks:
        return None
    return Pressed(str(relation.get("event_id", "")), marks.index(mark))


def _without_quote(body: str) -> str:
    """Take off the quoted lines that some clients put before a reply."""
    lines = body.split("\n")
    if not lines[0].startswith("> "):
        return body
    said = dropwhile(lambda line: line.startswith(">"), lines)
    return "\n".join(said).lstrip("\n")


def address(text: str, prefix: str, *, is_direct: bool) -> tuple[str, bool]:
    """Return the line as the club takes it, and whether it is meant for the bot.

    In a direct room everything is, with the prefix or without.
    """
    bare = text.lstrip()
    if bare.startswith(prefix):
        line = bare[len(prefix) :].lstrip()
        return (line if is_direct else f"!{line}"), True
    return text, is_direct


def call(spoken: Spoken, user_id: str, name: str) -> tuple[str, Called]:
    """Return what a line in the open says to somebody, and how they are called in it: by their name
    at its start, or by a mention alone, as a reply has it."""
    bare = spoken.text.lstrip()
    is_mentioned = user_id in spoken.mentioned
    for each in (user_id, f"@{name}", name):
        rest = bare[len(each) :]
        is_named = bare.casefold().startswith(each.casefold())
        if is_named and (is_mentioned or each == user_id or rest.lstrip()[:1] in (":", ",")):
            return rest.lstrip(" \t\n:,"), "by-name"
    if not is_mentioned:
        return spoken.text, ""
    return spoken.text, "by-reply" if spoken.is_reply else "by-name"


def take_fields(text: str) -> Spoken:
    """Split a filled-in template: a line `name:` begins a field, of the lines that follow it."""
    first, *rest = text.split("\n")
    if not rest or _FIELD.fullmatch(rest[0].strip()) is None:
        return Spoken(text)
    fields: dict[str, list[str]] = {}
    name = ""
    for line in rest:
        begun = _FIELD.fullmatch(line.strip())
        if begun is not None:
            name = begun[1]
            fields[name] = [begun[2].strip()] if begun[2].strip() else []
        else:
            fields[name].append(line)
    return Spoken(first.strip(), {name: "\n".join(lines).strip() for name, lines in fields.items()})


def acted_at(event: InboxEvent) -> datetime:
    """Return the moment that counts: the homeserver's stamp, unless it is hard to believe."""
    if event.stamped_at > event.received_at:
        return event.received_at
    is_old = event.received_at - event.stamped_at > DOUBTFUL_AGE
    return event.received_at if is_old and not event.after_gap else event.stamped_at
