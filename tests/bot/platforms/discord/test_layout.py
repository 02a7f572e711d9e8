"""Messages as Discord's components: within every limit, whatever they hold."""

from __future__ import annotations

from typing import Any

import pytest

from bot.platforms.discord.layout import lay_out, lay_out_form
from bot.platforms.message import Button, Choice, Field, Form, Menu, Message, Picture
from tests.doubles.discord.limits import message_problems, modal_problems, walk
from tests.doubles.discord.schema import body_problems

ROOM = "1575087530938728452"
POST = ("POST", "/channels/{channel_id}/messages")


def bodies(message: Message) -> list[dict[str, Any]]:
    """Return the bodies that a message makes, checked against both kinds of limits."""
    made = []
    for part in lay_out(message, ROOM, form_label="Fill in"):
        files = {each.filename: each.fp.read() for each in part.files}
        body = {
            "components": part.view.to_components(),
            "flags": 1 << 15,
            "attachments": [each.to_dict(number) for number, each in enumerate(part.files)],
        }
        assert not message_problems(body, files)
        assert not body_problems(*POST, body)
        made.append(body)
    return made


def texts(body: dict[str, Any]) -> list[str]:
    return [each["content"] for each in walk(body["components"]) if each["type"] == 10]


async def test_an_empty_message_makes_nothing() -> None:
    assert bodies(Message("")) == []
    assert bodies(Message(" \n")) == []


@pytest.mark.parametrize("text", ["word " * 3000, "x" * 9000, "*" * 5000, "a\n\n" * 4000])
async def test_a_long_text_is_split_and_nothing_of_it_is_lost(text: str) -> None:
    made = bodies(Message(text, buttons=(Button("Go on", "hint more"),)))
    together = "".join(piece for body in made for piece in texts(body))
    assert "".join(together.replace("\\", "").split()) == "".join(text.split())
    assert len(made) > 1
    assert "custom_id" not in str(made[:-1])
    assert "hint more" in str(made[-1])


async def test_a_picture_carries_its_text_and_one_too_long_is_a_file_besides() -> None:
    short = Picture("day.png", "row 1: 5 3 blank", b"light", b"dark")
    (body,) = bodies(Message("go", picture=short))
    gallery = next(each for each in walk(body["components"]) if each["type"] == 12)
    assert gallery["items"][0]["description"] == "row 1: 5 3 blank"
    assert body["attachments"][0]["description"] == "row 1: 5 3 blank"
    (body,) = bodies(Message("go", picture=Picture("day.png", "long " * 400, b"light", b"dark")))
    assert [each["filename"] for each in body["attachments"]] == ["day.png", "picture.txt"]


async def test_the_clubs_theme_decides_which_picture_goes_out() -> None:
    for preferred in ("light", "dark"):
        picture = Picture("day.png", "alt", b"light", b"dark", preferred)  # type: ignore[arg-type]
        (part,) = lay_out(Message("", picture=picture), ROOM)
        assert part.files[0].fp.read() == preferred.encode()


async def test_long_code_is_a_file_and_code_cannot_end_its_block() -> None:
    (body,) = bodies(Message("kept", code="k" * 9000))
    assert [each["filename"] for each in body["attachments"]] == ["text.txt"]
    (body,) = bodies(Message("grid", code="a```b"))
    assert texts(body)[1].count("```") == 2


async def test_more_than_five_buttons_take_rows_and_of_twins_one_stays() -> None:
    buttons = tuple(Button(f"label {'x' * 90}", f"walkthrough {number}") for number in range(7))
    (body,) = bodies(Message("go", buttons=(*buttons, buttons[0])))
    rows = [each for each in body["components"] if each["type"] == 1]
    assert [len(row["components"]) for row in rows] == [5, 2]


async def test_a_command_too_long_for_a_button_is_refused_not_cut() -> None:
    with pytest.raises(ValueError, match="too long"):
        lay_out(Message("go", buttons=(Button("x", "hint " + "y" * 100),)), ROOM)


async def test_a_menu_shows_what_is_chosen() -> None:
    menu = Menu("Zone", "club setup zone=", (Choice("A", "a"), Choice("B" * 120, "b", True)))
    (body,) = bodies(Message("choose", menus=(menu,)))
    select = next(each for each in walk(body["components"]) if each["type"] == 3)
    assert [option.get("default") for option in select["options"]] == [False, True]
    assert select["custom_id"] == f"nb:{ROOM}:club setup zone="


async def test_a_form_is_a_modal_with_its_text_and_what_the_labels_cannot_hold() -> None:
    field = Field("grid", "One line for each row, a dot for an empty cell, please", "53..7....", 9)
    form = Form("Your grid, as it stands on paper at this moment, line by line", "paste", (field,))
    modal = lay_out_form(form, "Type *over* it.", ROOM)
    body = modal.to_dict()
    assert not modal_problems(body)
    callback = ("POST", "/interactions/{interaction_id}/{interaction_token}/callback")
    assert not body_problems(*callback, {"type": 9, "data": body})
    label = next(each for each in walk(body["components"]) if each["type"] == 18)
    assert label["description"] == field.label
    assert label["component"]["value"] == "53..7...."
    assert not label["component"]["required"]
