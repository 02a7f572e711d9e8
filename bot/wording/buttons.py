"""The buttons and forms that messages share. A button is a command line, so pressing is typing."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from typing import Any, Literal

from bot.club.periods import format_period
from bot.club.photos import format_reading
from bot.club.reply import Reply
from bot.platforms.message import Button, Field, Form, Message
from bot.wording.prose import join_words
from bot.wording.times import format_length

Phrases = dict[Any, Callable[[Any], Message]]
"""Kinds of reply, and the function that words each; `bot.wording` joins those of every module."""

START = Button("Start my clock", "start", is_main=True)
HINT = Button("Hint", "hint")
HAND_IN = Button("Hand in", "hand-in")
BOARD = Button("My board", "board")
TODAY = Button("Today's puzzle", "today")
UNDO = Button("Undo", "undo")
AS_BOARD = Button("From my board", "hint board", is_main=True)
ON_PAPER = Button("I have more on paper", "hint paper")
PHOTO = Button("From a photo", "hint photo", takes_photo=True)
HELP = Button("Help", "help")
PRACTICE = Button("Practice", "practice")


def table_of_week(on_date: date, label: str = "The week's table") -> Button:
    """The button for the table of a day's week: pressed after that week it is still that one."""
    return Button(label, f"leaderboard {format_period('week', on_date)}")


def table_this_week(on_date: date | None) -> Button:
    """The same for the week under way, of a date; None where an older Ninebark kept none."""
    label = "This week's table"
    return Button(label, "leaderboard week") if on_date is None else table_of_week(on_date, label)


_OF_A_DAY = frozenset(
    ("start", "board", "hint", "undo", "redo", "check", "paste", "hand-in", "link")
)
"""The commands that act on a day's board."""


def of_day(button: Button, on_date: date) -> Button:
    """The button for one day's puzzle: pressed late, it does nothing to the next one."""
    return replace(button, command=_on_day(button.command, on_date))


def named(message: Message, reply: Reply) -> Message:
    """The message with all its buttons for the board that the reply is about, on its day."""
    if reply.undoes:
        undo = replace(UNDO, command=f"{UNDO.command} {reply.undoes}")
        buttons = tuple(undo if button == UNDO else button for button in message.buttons)
        message = replace(message, buttons=buttons)
    return message if reply.board_of is None else all_of_day(message, reply.board_of)


def all_of_day(message: Message, on_date: date) -> Message:
    """The message with all that acts on a day's board named as that day's."""
    form = message.form
    return replace(
        message,
        buttons=tuple(of_day(button, on_date) for button in message.buttons),
        form=None if form is None else _form_of_day(form, on_date),
    )


def _form_of_day(form: Form, on_date: date) -> Form:
    opens = form.opens and _on_day(form.opens, on_date)
    return replace(form, command=_on_day(form.command, on_date), opens=opens)


def _on_day(command: str, on_date: date) -> str:
    words = command.split(" ")
    is_named = words[0] not in _OF_A_DAY or words[-1].count("-") == 2
    return command if is_named else f"{command} {on_date.isoformat()}"


def more_button(label: str, number: int, rung: int, cost: int | None = None) -> Button:
    """The button for a rung of what has a number, with what it adds: pressed again, it shows that
    rung again and climbs no further."""
    return Button(_with_cost(label, cost), f"hint more {number} {rung}", is_main=True)


def known_button(number: int, cost: int) -> Button:
    """The button that puts the conclusions of what has a number on the board, with what it adds."""
    command = f"hint known {number}" if number else "hint known"
    return Button(_with_cost("I know that already", cost), command)


def next_button(label: str, number: int, *, is_main: bool = False) -> Button:
    """The button for the hint after the one that has a number: pressed again, it shows that one."""
    return Button(label, f"hint next {number}" if number else "hint board", is_main)


def _with_cost(label: str, cost: int | None) -> str:
    return f"{label} (+{format_length(cost)})" if cost else label


def answer_form(lines: tuple[str, str], on_date: date | None = None) -> Form:
    """The form in which an answer is handed in, to a named day's puzzle where one is given."""
    return Form(
        title="Hand in",
        command="hand-in" if on_date is None else f"hand-in {on_date.isoformat()}",
        fields=(
            Field(
                name="answer",
                label=f"The digits of {join_words(lines)}, in this order",
                placeholder="18 digits, spaces are fine",
            ),
        ),
        send_label="Hand in",
    )


def photo_field(label: str) -> Field:
    """The field of a form that takes a photo of the paper."""
    return Field(name="photo", label=label, takes_photo=True)


def reading_line(way: Literal["photo", "mend"], grid: str, *, then_hint: bool) -> str:
    """The line that takes what was read off a photo, or mends it in the form."""
    return f"{'hint' if then_hint else 'board'} {way} {format_reading(grid)}"


def grid_form(lines: tuple[str, ...], *, then_hint: bool, is_read: bool = False) -> Form:
    """The form of nine lines, filled with the member's board, to overtype; `is_read`: with what was
    read off a photo, so that it asks for none."""
    return Form(
        title="Your grid, as it is on paper",
        command="hint paste" if then_hint else "paste",
        fields=(
            Field(
                name="grid",
                label="One line for each row, a dot for an empty cell",
                value="\n".join(lines),
                rows=len(lines),
            ),
            *(() if is_read else (photo_field("Or a photo of your paper"),)),
        ),
        send_label="Hint from here" if then_hint else "Keep as my board",
        opens=reading_line("mend", "".join(lines), then_hint=then_hint) if is_read else "",
    )
