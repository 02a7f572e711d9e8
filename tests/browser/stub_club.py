"""A stand-in for the club: answers a few lines with every part that a message can have.

For tests of the page alone. It draws plain pictures, so that light and dark can be told apart.
"""

from __future__ import annotations

import asyncio
import io
from dataclasses import dataclass, field

from PIL import Image, ImageDraw

from bot.platforms.message import Button, Choice, Field, Form, Incoming, Menu, Message, Picture

# The encyclopaedia example, also in SQLite's documentation (`lang_with`, public domain).
GRID = """\
53..7....
6..195...
.98....6.
8...6...3
4..8.3..1
7...2...6
.6....28.
...419..5
....8..79"""


def draw_grid(paper: str, ink: str) -> bytes:
    image = Image.new("RGB", (720, 720), paper)
    pen = ImageDraw.Draw(image)
    for line in range(10):
        at, width = 36 + line * 72, 6 if line % 3 == 0 else 2
        pen.line([(36, at), (684, at)], fill=ink, width=width)
        pen.line([(at, 36), (at, 684)], fill=ink, width=width)
    kept = io.BytesIO()
    image.save(kept, "PNG")
    return kept.getvalue()


PICTURE = Picture(
    name="day.png",
    alt="The day's puzzle. Row 1: 5 3 blank blank 7, then four blanks. Marked: row 4 and row 6.",
    light=draw_grid("#fffaf0", "#2a241d"),
    dark=draw_grid("#27231d", "#efe6d6"),
)

DAY = Message(
    text="The puzzle for Wednesday 25 November.\nLevel 2, theme: pointing. Marked: rows 4 and 6.",
    picture=PICTURE,
    buttons=(
        Button("Start my clock", "start", is_main=True),
        Button("Hint", "hint"),
        Button("Hand in", "hand-in"),
    ),
)


ZONES = Menu(
    "Time zone",
    "club setup zone=",
    (Choice("London", "Europe/London", is_chosen=True), Choice("Kathmandu", "Asia/Kathmandu")),
)


@dataclass
class StubClub:
    """Answers what it hears, which it keeps; `may_answer` cleared, it waits."""

    heard: list[Incoming] = field(default_factory=list)
    may_answer: asyncio.Event = field(default_factory=asyncio.Event)

    def __post_init__(self) -> None:
        self.may_answer.set()

    async def answer(self, act: Incoming) -> tuple[Message, ...]:
        self.heard.append(act)
        await self.may_answer.wait()
        if act.in_open:
            return ()
        if act.text == "today":
            return (Message("Today, as text.", code=GRID, picture=PICTURE),)
        if act.text == "hint":
            buttons = (Button("From my board", "hint board"), Button("I have more", "hint paper"))
            return (Message("Where are you?", buttons=buttons),)
        if act.text == "hint paper":
            return (Message("Write over what you have.", form=paper_form()),)
        if act.text == "see question" and not act.fields:
            find = Field("find", "What you see, or what goes")
            form = Form("Question 1", "see question", (find,), send_label="Say it")
            return (Message("What do you see?", picture=PICTURE, form=form),)
        if act.text == "club setup":
            return (Message("The settings.", menus=(ZONES,)),)
        if act.text == "hint paste":
            return (Message("Read from your paper:", code=act.fields["grid"]),)
        return (Message(f"{act.name} typed: {act.text}"),)


def paper_form() -> Form:
    grid = Field("grid", "Your grid, nine lines", GRID, rows=9)
    note = Field("note", "A note for yourself", placeholder="optional")
    return Form("More on paper", "hint paste", (grid, note), send_label="Hint from here")
