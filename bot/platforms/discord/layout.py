"""A message of the club as Discord's components, in the order of reading: text, picture, buttons.

All is made of text displays, galleries and rows, so that a picture stands where it belongs and a
post can carry its mark. Every limit of the service is kept here, because the library checks few.
Nothing is sent from here. A view is stopped before it goes out: a press is answered by its id
alone, and the library keeps no view in memory.
"""

from __future__ import annotations

import io
from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Any

import discord
from discord import ui

from bot.platforms.discord.marks import ROLE_MARK, format_press, is_snowflake
from bot.platforms.discord.text import TEXT_LIMIT, clip, code_block, split_text
from bot.platforms.message import Button, Field, Form, Link, Menu, Message, Picker, Picture

ALT_LIMIT = 1024
BUTTON_LABEL_LIMIT = 80
BUTTONS_IN_ROW = 5
ROWS_BELOW_CONTENT = 5
CHOICE_LIMIT = 25
CHOICE_LABEL_LIMIT = 100
PLACEHOLDER_LIMIT = 150
CODE_LIMIT = 1900
"""A longer block of equal-width letters goes out as a file."""

MODAL_TITLE_LIMIT = 45
FIELD_LABEL_LIMIT = 45
FIELD_NOTE_LIMIT = 100
FIELD_LIMIT = 4000
FIELDS_LIMIT = 4
"""One of a form's five components is its text."""


@dataclass(frozen=True, slots=True)
class Part:
    """One message of Discord, ready to be sent. `words`: the same as content, which a push shows;
    empty where they do not fit one."""

    view: ui.LayoutView
    files: tuple[discord.File, ...] = ()
    words: str = ""
    is_quiet: bool = False
    pings: tuple[str, ...] = ()


def lay_out(message: Message, room_id: str, *, form_label: str = "") -> tuple[Part, ...]:
    """Return the messages that one message makes; none where it is empty.

    `form_label` words the button that opens a form.
    """
    pieces = list(split_text(message.text))
    last = replace(message, text=pieces.pop() if pieces else "")
    parts = [_part([ui.TextDisplay(piece)], (), piece) for piece in pieces]
    items, files = _body(last, room_id, form_label)
    if items:
        code = code_block(last.code) if 0 < len(last.code) <= CODE_LIMIT else ""
        words = "\n".join(each for each in (last.text, code) if each)
        parts.append(_part(items, files, words if len(words) <= TEXT_LIMIT else ""))
    return tuple(replace(each, is_quiet=message.is_quiet, pings=message.pings) for each in parts)


def buttons_of(part: Part, mark: int) -> ui.View | None:
    """Return a part's buttons and menus as they stand below a content, the first with the mark;
    None where it has none, or more than stand there."""
    view = ui.View(timeout=None)
    rows = [each for each in part.view.children if isinstance(each, ui.ActionRow)]
    if len(rows) > ROWS_BELOW_CONTENT:
        return None
    for number, row in enumerate(rows):
        for item in row.children:
            item.row = number
            view.add_item(item)
    view.stop()
    if not view.children:
        return None
    view.children[0].id = mark
    return view


def with_pings(words: str, groups: tuple[str, ...]) -> tuple[str, discord.AllowedMentions]:
    """Return words that call the roles behind them, and leave to call just these; `room` is
    whoever is there. What is no role's id calls nobody."""
    roles = [each[1:] for each in groups if is_snowflake(each[1:])]
    is_for_all = "room" in groups
    called = [f"<@&{each}>" for each in roles] + (["@here"] if is_for_all else [])
    allowed = discord.AllowedMentions(
        everyone=is_for_all,
        users=False,
        roles=[discord.Object(int(each)) for each in roles],
        replied_user=False,
    )
    said = "\n".join([words, " ".join(called)]) if called else words
    return (said, allowed) if len(said) <= TEXT_LIMIT else (words, discord.AllowedMentions.none())


def set_mark(part: Part, mark: int) -> None:
    """Give a part's first component the number by which it is found again."""
    part.view.children[0].id = mark


def has_buttons(view: ui.LayoutView) -> bool:
    """Tell whether anything in a message can be pressed or chosen."""
    return any(isinstance(each, ui.ActionRow) for each in view.children)


def without_buttons(view: ui.LayoutView) -> ui.LayoutView:
    """Return a message that was sent without what could be pressed in it; its files stay."""
    bare = ui.LayoutView(timeout=None)
    for item in view.children:
        if not isinstance(item, ui.ActionRow):
            bare.add_item(item)
    bare.stop()
    return bare


def _part(items: Iterable[ui.Item[Any]], files: tuple[discord.File, ...], words: str = "") -> Part:
    view = ui.LayoutView(timeout=None)
    for item in items:
        view.add_item(item)
    view.stop()
    return Part(view, files, words)


def _body(
    message: Message, room_id: str, form_label: str
) -> tuple[list[ui.Item[Any]], tuple[discord.File, ...]]:
    """Return the components of a message whose text is escaped and fits already."""
    items: list[ui.Item[Any]] = []
    files: list[discord.File] = []
    if message.text:
        items.append(ui.TextDisplay(message.text))
    if message.picture is not None:
        _add_picture(message.picture, items, files)
    if message.code:
        _add_code(message.code, items, files)
    if message.file is not None:
        _add_file(message.file.name, message.file.raw, items, files)
    items.extend(_menu_row(menu, room_id) for menu in message.menus)
    items.extend(_picker_row(picker, room_id) for picker in message.pickers)
    buttons = list(message.buttons)
    if message.form is not None:
        line = message.form.opens or message.form.command
        buttons.insert(0, Button(form_label, line, is_main=True))
    items.extend(_button_rows(buttons, message.link, room_id))
    return items, tuple(files)


def _add_picture(picture: Picture, items: list[ui.Item[Any]], files: list[discord.File]) -> None:
    alt = clip(picture.alt, ALT_LIMIT)
    files.append(discord.File(io.BytesIO(picture.shown), picture.name, description=alt))
    items.append(
        ui.MediaGallery(
            discord.MediaGalleryItem(f"attachment://{picture.name}", description=alt or None)
        )
    )
    if alt != picture.alt:
        _add_file("picture.txt", picture.alt.encode(), items, files)


def _add_code(code: str, items: list[ui.Item[Any]], files: list[discord.File]) -> None:
    if len(code) <= CODE_LIMIT:
        items.append(ui.TextDisplay(code_block(code)))
    else:
        _add_file("text.txt", code.encode(), items, files)


def _add_file(name: str, raw: bytes, items: list[ui.Item[Any]], files: list[discord.File]) -> None:
    files.append(discord.File(io.BytesIO(raw), name))
    items.append(ui.File(f"attachment://{name}"))


def _menu_row(menu: Menu, room_id: str) -> ui.ActionRow[Any]:
    select: ui.Select[Any] = ui.Select(
        custom_id=format_press(room_id, menu.command),
        placeholder=clip(menu.label, PLACEHOLDER_LIMIT),
        options=[
            discord.SelectOption(
                label=clip(choice.label, CHOICE_LABEL_LIMIT),
                value=choice.value,
                default=choice.is_chosen,
            )
            for choice in menu.choices[:CHOICE_LIMIT]
        ],
    )
    return ui.ActionRow(select)


def _picker_row(picker: Picker, room_id: str) -> ui.ActionRow[Any]:
    """Return the server's own list of people or roles, with those marked that are picked so far."""
    kind: type[ui.UserSelect[Any] | ui.RoleSelect[Any]]
    kind = ui.RoleSelect if picker.of_groups else ui.UserSelect
    ids = (each.removeprefix(ROLE_MARK) for each in picker.picked)
    types = discord.SelectDefaultValueType
    what = types.role if picker.of_groups else types.user
    picked = [
        discord.SelectDefaultValue(id=int(each), type=what) for each in ids if is_snowflake(each)
    ]
    select: ui.UserSelect[Any] | ui.RoleSelect[Any] = kind(
        custom_id=format_press(room_id, picker.command),
        placeholder=clip(picker.label, PLACEHOLDER_LIMIT),
        min_values=0,
        max_values=CHOICE_LIMIT,
        default_values=picked[:CHOICE_LIMIT],
    )
    return ui.ActionRow(select)


def _button_rows(
    buttons: Iterable[Button], link: Link | None, room_id: str
) -> list[ui.ActionRow[Any]]:
    """Return rows of five, a link first; of two buttons for the same line the first stays."""
    by_id = {format_press(room_id, each.command): each for each in reversed(list(buttons))}
    made: list[ui.Item[Any]] = (
        []
        if link is None
        else [ui.Button(label=clip(link.label, BUTTON_LABEL_LIMIT), url=link.address)]
    )
    made += [
        ui.Button(
            label=clip(each.label, BUTTON_LABEL_LIMIT),
            custom_id=custom_id,
            style=discord.ButtonStyle.primary if each.is_main else discord.ButtonStyle.secondary,
        )
        for custom_id, each in reversed(by_id.items())
    ]
    starts = range(0, len(made), BUTTONS_IN_ROW)
    return [ui.ActionRow(*made[start : start + BUTTONS_IN_ROW]) for start in starts]


def lay_out_form(form: Form, text: str, room_id: str) -> ui.Modal:
    """Return a form as a modal: its text above, each field under its label."""
    modal = ui.Modal(
        title=clip(form.title, MODAL_TITLE_LIMIT), custom_id=format_press(room_id, form.command)
    )
    if text.strip():
        modal.add_item(ui.TextDisplay(split_text(text)[0]))
    for field in form.fields[:FIELDS_LIMIT]:
        label = clip(field.label, FIELD_LABEL_LIMIT)
        note = None if label == field.label else clip(field.label, FIELD_NOTE_LIMIT)
        modal.add_item(ui.Label(text=label, description=note, component=_entry_of(field, form)))
    modal.stop()
    return modal


def _entry_of(field: Field, form: Form) -> ui.Item[Any]:
    if field.takes_photo:
        # Alone it is what the form is for; beside others it may be left out.
        is_all = form.fields == (field,)
        return ui.FileUpload(custom_id=field.name, required=is_all, max_values=1)
    return ui.TextInput(
        custom_id=field.name,
        style=discord.TextStyle.paragraph if field.rows > 1 else discord.TextStyle.short,
        default=field.value[:FIELD_LIMIT] or None,
        placeholder=clip(field.placeholder, FIELD_NOTE_LIMIT) or None,
        max_length=FIELD_LIMIT,
        required=False,
    )


def ask_for_channel(text: str, label: str, custom_id: str) -> Part:
    """Return the question where a club shall meet, with the server's own menu of channels."""
    select: ui.ChannelSelect[Any] = ui.ChannelSelect(
        custom_id=custom_id,
        placeholder=clip(label, PLACEHOLDER_LIMIT),
        channel_types=[discord.ChannelType.text, discord.ChannelType.news],
    )
    items: list[ui.Item[Any]] = [ui.TextDisplay(piece) for piece in split_text(text)]
    return _part([*items, ui.ActionRow(select)], ())
