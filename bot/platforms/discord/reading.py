"""What came from Discord, read and held to its shape: options, ids, menus, forms, words.

The service vouches for who acts and where; what stands in a command, a button, a menu or a form is
what somebody's client sent, and may be anything. Nothing but this module looks into it, and
nothing here decides what it is allowed to do: that is `door`. Pure: nothing is sent.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import Annotated, Any, Literal, TypeVar

import discord
import msgspec
from msgspec import Meta, Struct

from bot.platforms.discord.commands import CommandBook
from bot.platforms.discord.marks import (
    CUSTOM_ID_LIMIT,
    FOUND_ID,
    ROLE_MARK,
    is_snowflake,
    parse_press,
)
from bot.platforms.discord.photos import photo_at
from bot.platforms.message import Photo

VALUE_LIMIT = 6000
"""Characters of an option or a field: more than the service lets anybody type."""

DEEPEST = 4
"""A form's text stands in a label, in a row at most."""

CHOICES_LIMIT = 25
"""So much can be chosen in one menu."""

CHAT_INPUT, TEXT_INPUT, FILE_UPLOAD = 1, 4, 19
USER_SELECT, ROLE_SELECT = 5, 6
_DATE = re.compile(r"\b[0-9]{4}-[0-9]{2}-[0-9]{2}\b")

Text = Annotated[str, Meta(max_length=VALUE_LIMIT)]
CustomId = Annotated[str, Meta(min_length=1, max_length=CUSTOM_ID_LIMIT)]


class UnreadableError(Exception):
    """What came is nothing that a page or a command of ours sends. The text is for the log."""


@dataclass(frozen=True, slots=True)
class Completing:
    """Somebody is typing an option and wants to know what it may become."""

    offers: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Wish:
    """What somebody asks for; nobody has looked yet whether they may.

    `room_id`: which club, as their client says; None where it is the one of the place. `founds`:
    a club is to be made in that channel. `line` is empty for an id that this version does not know.
    `photo` was sent with it.
    """

    line: str
    room_id: str | None = None
    fields: Mapping[str, str] = field(default_factory=dict)
    founds: bool = False
    photo: Photo | None = None


class _File(Struct, frozen=True):
    """A file that the service took and keeps; what its sender calls it is not read."""

    url: Annotated[str, Meta(max_length=2000)]
    size: Annotated[int, Meta(ge=0)]


class _Resolved(Struct, frozen=True):
    attachments: dict[str, _File] = {}

    def photo(self, file_id: str | None) -> Photo | None:
        """Return the file with an id that a client named; None where it named none."""
        if file_id is None:
            return None
        if file_id not in self.attachments:
            raise UnreadableError(f"a file that did not come: {file_id[:40]!r}")
        return photo_at(self.attachments[file_id].url, self.attachments[file_id].size)


class _Option(Struct):
    name: str
    type: int
    value: Text | int | float | bool | None = None
    options: list[_Option] = []
    focused: bool = False


class _Command(Struct):
    name: str
    type: int = CHAT_INPUT
    options: list[_Option] = []
    resolved: _Resolved = _Resolved()


class _Pressed(Struct):
    custom_id: CustomId
    component_type: int = 0
    values: Annotated[
        list[Annotated[str, Meta(max_length=CUSTOM_ID_LIMIT)]], Meta(max_length=CHOICES_LIMIT)
    ] = []

    @property
    def chosen(self) -> list[str]:
        """Return what was chosen; of people and roles all together, as the ids that they have."""
        if self.component_type == USER_SELECT:
            return [",".join(map(_snowflake, self.values))]
        if self.component_type == ROLE_SELECT:
            return [",".join(f"{ROLE_MARK}{_snowflake(each)}" for each in self.values)]
        return self.values


class _Component(Struct):
    type: int
    custom_id: str = ""
    value: Text | None = None
    values: list[Annotated[str, Meta(max_length=CUSTOM_ID_LIMIT)]] = []
    component: _Component | None = None
    components: list[_Component] = []


class _Submitted(Struct):
    custom_id: CustomId
    components: list[_Component] = []
    resolved: _Resolved = _Resolved()


def read_interaction(
    interaction: discord.Interaction, book: CommandBook
) -> Completing | Wish | None:
    """Return what an interaction asks for, None for a button that this version does not know.

    Raises UnreadableError.
    """
    kinds = discord.InteractionType
    match interaction.type:
        case kinds.application_command | kinds.autocomplete:
            command = _convert(interaction.data, _Command)
            if command.type != CHAT_INPUT:
                raise UnreadableError("a command on a message or a person")
            typed: dict[str, Any] = msgspec.to_builtins(command)
            if interaction.type is kinds.autocomplete:
                return Completing(tuple(book.complete(typed)))
            return _read_command(typed, book, command.resolved)
        case kinds.component:
            pressed = _convert(interaction.data, _Pressed)
            return _read_press(pressed.custom_id, pressed.chosen, {})
        case kinds.modal_submit:
            return _read_form(_convert(interaction.data, _Submitted))
        case _:
            raise UnreadableError(f"an interaction of type {interaction.type}")


def _read_form(form: _Submitted) -> Wish | None:
    filled = list(_filled(form.components, DEEPEST))
    texts = {each.custom_id: each.value or "" for each in filled if each.type == TEXT_INPUT}
    wish = _read_press(form.custom_id, (), texts)
    file_id = next((name for each in filled for name in each.values[:1]), None)
    return wish and replace(wish, photo=form.resolved.photo(file_id))


def _read_command(typed: Mapping[str, Any], book: CommandBook, resolved: _Resolved) -> Wish:
    read = book.read(typed)
    if read.room_id is None:
        return Wish(read.line, photo=resolved.photo(read.file_id))
    return Wish(read.line, _snowflake(read.room_id), founds=True)


def _read_press(
    custom_id: str, values: list[str] | tuple[()], fields: Mapping[str, str]
) -> Wish | None:
    if custom_id == FOUND_ID:
        if len(values) != 1:
            raise UnreadableError(f"{len(values)} channels for a new club")
        return Wish("", _snowflake(values[0]), founds=True)
    press = parse_press(custom_id)
    if press is None:
        return None
    return Wish(press.command + "".join(values[:1]), press.room_id, fields)


def _snowflake(text: str) -> str:
    if not is_snowflake(text):
        raise UnreadableError(f"no id: {text[:40]!r}")
    return text


def _filled(components: list[_Component], deepest: int) -> Iterator[_Component]:
    """Yield a form's fields of text, and those that take a file."""
    if components and not deepest:
        raise UnreadableError("a form inside forms")
    for each in components:
        if each.type in (TEXT_INPUT, FILE_UPLOAD):
            yield each
        inner = [] if each.component is None else [each.component]
        yield from _filled(inner + each.components, deepest - 1)


T = TypeVar("T")


def _convert(typed: object, shape: type[T]) -> T:
    try:
        return msgspec.convert(typed or {}, shape)
    except (msgspec.ValidationError, RecursionError) as error:
        raise UnreadableError(str(error)) from None


def act_id(message: discord.Message) -> str:
    """Return what tells a message from its own edits."""
    edited = message.edited_at
    return str(message.id) if edited is None else f"{message.id}:{int(edited.timestamp() * 1000)}"


@dataclass(frozen=True, slots=True)
class Said:
    """What a message says to the bot, and how that is called: empty where it is written to it
    alone."""

    text: str
    called: Literal["", "by-name", "by-reply"] = ""


def said_to_us(message: discord.Message, us: discord.ClientUser) -> Said | None:
    """Return what a message says to the bot, None where it does not speak to it.

    A direct message always does, and a reply that pings it. Mentioning the role that the bot's own
    permissions came with counts: people mix the two up.
    """
    names = [f"<@{us.id}>", f"<@!{us.id}>"]
    role = message.guild.self_role if message.guild else None
    if role is not None:
        names.append(f"<@&{role.id}>")
    for name in names:
        if name in message.content:
            return Said(message.content.replace(name, "", 1).strip(" \t\n,:"), "by-name")
    text = message.content.strip()
    if message.guild is None:
        return Said(text)
    return Said(text, "by-reply") if any(each.id == us.id for each in message.mentions) else None


def says_just(message: discord.Message, words: str) -> bool:
    """Tell whether a message is content alone, of just these words."""
    return message.content.strip() == words.strip() and not message.components


def photo_in(message: discord.Message) -> Photo | None:
    """Return the first picture that was sent with a message, or the first file of any kind where
    nothing is said with it."""
    pictures = [each for each in message.attachments if "image/" in (each.content_type or "")]
    found = pictures or ([] if message.content.strip() else message.attachments)
    return photo_at(found[0].url, found[0].size) if found else None


def brings_digits(line: str) -> bool:
    """Say whether a line holds digits besides the dates by which buttons name their day."""
    return any(letter.isdigit() for letter in _DATE.sub("", line))
