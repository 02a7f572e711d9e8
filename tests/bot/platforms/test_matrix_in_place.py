"""A private answer in Matrix that takes another's place: its marks, and what hangs below it."""

from __future__ import annotations

from bot.platforms.matrix.layout import in_place, lay_out_answer, lay_out_thread
from bot.platforms.matrix.reading import KEYCAPS
from bot.platforms.message import Button, Message, Picture
from bot.wording.matrix import MATRIX

PICTURE = Picture("board.png", "row 1: 5 3 blank", b"light", b"dark")


def pressable(*commands: str, picture: Picture | None = None) -> Message:
    buttons = tuple(Button(f"Do {each}", each) for each in commands)
    return Message("Words.", code="53.", picture=picture, buttons=buttons)


def test_a_mark_never_means_another_line_later() -> None:
    (first,) = lay_out_answer(pressable("hint more 1 2", "board"), MATRIX, is_quiet=True)
    assert first.commands == ("hint more 1 2", "board")
    (second,) = lay_out_answer(
        pressable("hint more 1 3", "board"), MATRIX, is_quiet=True, taken=first.commands
    )
    assert second.commands == ("hint more 1 2", "board", "hint more 1 3")
    said = second.content["body"]
    assert f"{KEYCAPS[2]} Do hint more 1 3: hint more 1 3" in said
    assert f"{KEYCAPS[1]} Do board: board" in said
    assert KEYCAPS[0] not in said


def test_where_the_marks_run_out_they_begin_anew_in_a_message_of_its_own() -> None:
    taken = tuple(f"board {number}" for number in range(8))
    (piece,) = lay_out_answer(pressable("start", "hint"), MATRIX, is_quiet=True, taken=taken)
    assert piece.commands == ("start", "hint")


def test_what_takes_a_messages_place_replaces_it_and_its_text_hangs_below_that() -> None:
    pieces = lay_out_answer(pressable("board", picture=PICTURE), MATRIX, is_quiet=True)
    caption = pieces[0].content["body"]
    assert "53." not in caption
    assert "row 1" not in caption
    changed, below = in_place(pieces, "$first")
    assert changed.content["m.relates_to"] == {"rel_type": "m.replace", "event_id": "$first"}
    assert changed.content["m.new_content"] == pieces[0].content
    assert changed.file == pieces[0].file
    assert below.content["m.relates_to"]["event_id"] == "$first"
    assert below.relation == ""
    assert "row 1: 5 3 blank" in below.content["body"]


def test_a_step_of_the_walkthrough_is_hidden_and_has_no_text_of_its_picture() -> None:
    told = Message("r1c3 is 4.", picture=PICTURE)
    _, step = lay_out_thread("How to solve it", (told,), MATRIX, under="$day")
    assert step.content["body"] == MATRIX.hidden
    assert "data-mx-spoiler" in step.content["formatted_body"]
    assert "row 1" not in str(step.content)
