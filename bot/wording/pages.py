"""What stands on the pages of a walkthrough to take away: its title, its questions, its labels."""

from __future__ import annotations

from pathlib import Path

from bot.club.facts import StepFacts
from bot.club.frames import Frame
from bot.wording.prose import count_of
from bot.wording.rungs import where
from bot.wording.story import tell_end, tell_frame

PAGE_TITLE = "How to solve this puzzle"
REVEAL = "Show what follows"
NOTES = "Notes"
PAGE = "walkthrough.html"
ONE_PUZZLE = "Pages tell of one puzzle. Example: ninebark walkthrough GRID --pages folder"
PAGES_WANTED = "--title and --size are for pages: say where they go, too. Example: --pages folder"


def ask(step: StepFacts) -> str:
    """Ask for a step, and say no more than where to look."""
    return f"What follows here? {where(step)}"


def tell(frame: Frame) -> str:
    """Tell a frame: its steps, or what stands at the beginning and at the end."""
    if frame.steps:
        return tell_frame(frame)
    if frame.number == 0:
        return "This is the puzzle."
    return tell_end(frame)


def frame_title(number: int, last: int) -> str:
    """Write `Picture 3 of 12`, the first being 1."""
    return f"Picture {number + 1} of {last + 1}"


def pages_written(folder: Path, pictures: int) -> str:
    """Say where the pages are."""
    count = count_of(pictures, "picture")
    return f"{folder / PAGE} is the whole walkthrough. The folder has {count} as well."


def not_a_size(text: str, least: int, most: int) -> str:
    """Say that what was given for a picture's size is none."""
    return (
        f"{text!r} is not a size; give width and height, each {least} to {most}, such as 1920x1080"
    )


def folder_unwritable(folder: Path, reason: str) -> str:
    """Say that pages cannot be written."""
    why = f" ({reason})" if reason else ""
    return f"I can't write into {folder}{why}. Example: ninebark walkthrough GRID --pages folder"
