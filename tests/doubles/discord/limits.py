"""The service's written limits that its OpenAPI document lacks or states otherwise.

From Discord's public documentation (mid 2026): message resource, components, application commands.
Each rule yields what is wrong, in words; an empty list means that the service takes the body.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

EPHEMERAL, SILENT, COMPONENTS_V2 = 1 << 6, 1 << 12, 1 << 15
"""Flags of a message; one that is silent sends no push."""

CONTENT_LIMIT = 2000
TEXT_DISPLAYS_LIMIT = 4000
EMBED_SUM_LIMIT = 6000
COMPONENTS_LIMIT = 40
ALT_LIMIT = 1024
FILE_LIMIT = 10 * 1024 * 1024
COMMANDS_LIMIT = 100
COMMAND_CHARACTERS = 8000
BUTTON, SELECTS, TEXT_INPUT = 2, (3, 5, 6, 7, 8), 4
ACTION_ROW, SECTION, TEXT_DISPLAY, THUMBNAIL, GALLERY, FILE, SEPARATOR, CONTAINER, LABEL = (
    1, 9, 10, 11, 12, 13, 14, 17, 18,
)  # fmt: skip
ONLY_V2 = (SECTION, TEXT_DISPLAY, THUMBNAIL, GALLERY, FILE, SEPARATOR, CONTAINER)
LINK, PREMIUM = 5, 6
_COMMAND_NAME = re.compile(r"[-_\w]{1,32}")


def walk(components: Any) -> Iterator[dict[str, Any]]:
    """Yield every component of a tree."""
    for component in components or ():
        yield component
        yield from walk(component.get("components"))
        if "component" in component:
            yield from walk([component["component"]])
        if "accessory" in component:
            yield from walk([component["accessory"]])


def message_problems(body: dict[str, Any], files: dict[str, bytes]) -> list[str]:
    """Return what is wrong with a message that is to be sent."""
    return [
        *_message(body, files),
        *_components(body.get("components"), body),
        *_files(body, files),
    ]


def _message(body: dict[str, Any], files: dict[str, bytes]) -> Iterator[str]:
    content, embeds = body.get("content") or "", body.get("embeds") or []
    is_v2 = bool((body.get("flags") or 0) & COMPONENTS_V2)
    if len(content) > CONTENT_LIMIT:
        yield f"content of {len(content)} characters"
    if is_v2 and (content or embeds):
        yield "content or embeds together with the components-V2 flag"
    if not is_v2 and any(each["type"] in ONLY_V2 for each in walk(body.get("components"))):
        yield "V2 components without the flag"
    if not (content or embeds or files or body.get("components") or body.get("attachments")):
        yield "an empty message"
    total = sum(_embed_length(embed) for embed in embeds)
    if total > EMBED_SUM_LIMIT:
        yield f"embeds of {total} characters"
    if len(str(body.get("nonce") or "")) > 25:
        yield "a nonce over 25 characters"


def _embed_length(embed: dict[str, Any]) -> int:
    texts = [embed.get("title"), embed.get("description")]
    texts += [(embed.get("footer") or {}).get("text"), (embed.get("author") or {}).get("name")]
    for field in embed.get("fields") or ():
        texts += [field.get("name"), field.get("value")]
    return sum(len(text or "") for text in texts)


def _components(components: Any, body: dict[str, Any]) -> Iterator[str]:
    every = list(walk(components))
    if len(every) > COMPONENTS_LIMIT:
        yield f"{len(every)} components"
    ids = [each["id"] for each in every if each.get("id")]
    if len(ids) != len(set(ids)):
        yield "duplicate component ids"
    custom_ids = [each["custom_id"] for each in every if "custom_id" in each]
    if len(custom_ids) != len(set(custom_ids)):
        yield "duplicate custom_ids"
    texts = sum(len(each["content"]) for each in every if each["type"] == TEXT_DISPLAY)
    if texts > TEXT_DISPLAYS_LIMIT:
        yield f"text displays of {texts} characters"
    names = {each.get("filename") for each in body.get("attachments") or ()}
    for each in every:
        yield from _component(each, names)


def _component(each: dict[str, Any], names: set[str | None]) -> Iterator[str]:
    kind, custom_id = each["type"], each.get("custom_id") or ""
    if len(custom_id) > 100:
        yield f"a custom_id of {len(custom_id)} characters"
    if kind == BUTTON and each.get("style") not in (LINK, PREMIUM) and not custom_id:
        yield "a button with no custom_id"
    if kind == BUTTON and not (each.get("label") or each.get("emoji")):
        yield "a button with neither label nor emoji"
    if kind == BUTTON and len(each.get("label") or "") > 80:
        yield "a button's label over 80 characters"
    if kind in SELECTS and len(each.get("placeholder") or "") > 150:
        yield "a menu's placeholder over 150 characters"
    if kind == 3:
        yield from _string_select(each)
    if kind == ACTION_ROW:
        inner = each.get("components") or []
        selects = [one for one in inner if one["type"] in SELECTS]
        if len(inner) > 5 or not inner or (selects and len(inner) > 1):
            yield "a row that is not 1 to 5 buttons or one menu"
    if kind == GALLERY:
        for item in each.get("items") or ():
            yield from _media(item.get("media") or {}, names)
            if len(item.get("description") or "") > ALT_LIMIT:
                yield "a media description over 1024 characters"
    if kind == FILE:
        yield from _media(each.get("file") or {}, names)


def _string_select(each: dict[str, Any]) -> Iterator[str]:
    options = each.get("options") or []
    if not 1 <= len(options) <= 25:
        yield f"a menu of {len(options)} options"
    values = [option["value"] for option in options]
    if len(values) != len(set(values)):
        yield "a menu with an option twice"
    if any(len(option["label"]) > 100 or len(option["value"]) > 100 for option in options):
        yield "a menu's option over 100 characters"
    if sum(bool(option.get("default")) for option in options) > (each.get("max_values") or 1):
        yield "a menu with more defaults than can be chosen"


def _media(media: dict[str, Any], names: set[str | None]) -> Iterator[str]:
    url = str(media.get("url", ""))
    if url.startswith("attachment://") and url.removeprefix("attachment://") not in names:
        yield f"{url} is not attached"


def _files(body: dict[str, Any], files: dict[str, bytes]) -> Iterator[str]:
    for attachment in body.get("attachments") or ():
        if len(attachment.get("description") or "") > ALT_LIMIT:
            yield "an attachment description over 1024 characters"
    for name, content in files.items():
        if len(content) > FILE_LIMIT:
            yield f"file {name} over 10 MiB"


def modal_problems(body: dict[str, Any]) -> list[str]:
    return list(_modal(body))


def _modal(body: dict[str, Any]) -> Iterator[str]:
    components = body.get("components") or []
    if not 1 <= len(components) <= 5:
        yield f"a modal of {len(components)} components"
    if not 1 <= len(body.get("title") or "") <= 45:
        yield "a modal's title that is not 1 to 45 characters"
    every = list(walk(components))
    custom_ids = [each["custom_id"] for each in every if "custom_id" in each]
    if len(custom_ids) != len(set(custom_ids)) or any(not 1 <= len(i) <= 100 for i in custom_ids):
        yield "duplicate, empty or over-long custom_ids in a modal"
    for each in every:
        if each["type"] == LABEL and not 1 <= len(each.get("label") or "") <= 45:
            yield "a label that is not 1 to 45 characters"
        if each["type"] == LABEL and len(each.get("description") or "") > 100:
            yield "a label's description over 100 characters"
        if each["type"] == TEXT_INPUT:
            yield from _text_input(each)


def _text_input(each: dict[str, Any]) -> Iterator[str]:
    value = each.get("value") or ""
    if len(value) > min(4000, each.get("max_length") or 4000):
        yield "a field's value over its limit"
    if each.get("style") == 1 and "\n" in value:
        yield "a one-line field with more than one line"
    if len(each.get("placeholder") or "") > 100:
        yield "a field's placeholder over 100 characters"


def command_problems(commands: list[dict[str, Any]]) -> list[str]:
    return list(_commands(commands))


def _commands(commands: list[dict[str, Any]]) -> Iterator[str]:
    if len(commands) > COMMANDS_LIMIT:
        yield f"{len(commands)} global commands"
    names = [command["name"] for command in commands]
    if len(names) != len(set(names)):
        yield "a command twice"
    for command in commands:
        yield from _command(command)
        if _characters(command) > COMMAND_CHARACTERS:
            yield f"command {command['name']} of {_characters(command)} characters"


def _command(command: dict[str, Any]) -> Iterator[str]:
    name, description = command["name"], command.get("description") or ""
    if not _COMMAND_NAME.fullmatch(name) or name != name.lower():
        yield f"the name {name!r}"
    if not 1 <= len(description) <= 100:
        yield f"the description of {name}"
    options = command.get("options") or []
    if len(options) > 25:
        yield f"{len(options)} options of {name}"
    required = [bool(option.get("required")) for option in options if option["type"] > 2]
    if required != sorted(required, reverse=True):
        yield f"a required option after an optional one in {name}"
    for option in options:
        yield from _command(option)
        choices = option.get("choices") or []
        if len(choices) > 25 or (choices and option.get("autocomplete")):
            yield f"the choices of {name} {option['name']}"
        if any(not 1 <= len(str(choice["value"])) <= 100 for choice in choices):
            yield f"a choice of {name} {option['name']}"


def _characters(command: dict[str, Any]) -> int:
    """Count names, descriptions and values, of which a command may have 8000."""
    count = len(command["name"]) + len(command.get("description") or "")
    for choice in command.get("choices") or ():
        count += len(choice["name"]) + len(str(choice["value"]))
    return count + sum(_characters(option) for option in command.get("options") or ())
