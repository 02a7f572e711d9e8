"""A walkthrough to take away: a folder with one page that tells it all, and a picture a frame.

The page is one file: letters and pictures are in it, it asks nothing of any server and runs no
script. Where a puzzle turns it asks first, and shows what follows when that is opened; on paper all
is shown, with lines for notes.
"""

from __future__ import annotations

import argparse
from base64 import b64encode
from collections.abc import Iterator
from dataclasses import dataclass
from html import escape
from pathlib import Path

from bot import drawing, wording
from bot.club.facts import Picturable
from bot.club.frames import Frame, Reel, frame_at, is_a_single, picture_of
from bot.drawing.fonts import Face, file_of
from bot.drawing.screen import LEAST, MOST, Size
from bot.drawing.theme import Look, Paint, theme_of
from bot.wording import pages

_LOOK: Look = "light"
"""What is printed is dark on light."""

_NOTE_LINES = 3


def parse_size(text: str) -> Size:
    """Read `1920x1080`. Raises ArgumentTypeError."""
    width, _, height = text.lower().partition("x")
    if width.isdecimal() and height.isdecimal() and len(text) <= 2 * len(f"{MOST}") + 1:
        size = int(width), int(height)
        if all(LEAST <= side <= MOST for side in size):
            return size
    raise argparse.ArgumentTypeError(pages.not_a_size(text, LEAST, MOST))


def write_pages(folder: Path, reel: Reel, title: str, size: Size | None) -> int:
    """Write the page and the pictures of a path; return how many pictures. Raises OSError."""
    folder.mkdir(parents=True, exist_ok=True)
    sections, count = [], 0
    for number in range(reel.last + 1):
        views = list(_views_of(frame_at(reel, number)))
        for view in views:
            name = f"frame-{number:02}{view.ending}"
            (folder / f"{name}.png").write_bytes(view.png)
            if size is not None:
                head = pages.frame_title(number, reel.last)
                large = drawing.draw_frame(view.picture, _LOOK, (head, view.text), size)
                (folder / f"{name}-{size[0]}x{size[1]}.png").write_bytes(large)
            count += 1 if size is None else 2
        sections.append(_section(pages.frame_title(number, reel.last), views))
    (folder / pages.PAGE).write_text(_page(title, "".join(sections)), encoding="utf-8")
    return count


@dataclass(frozen=True, slots=True)
class View:
    """One picture of a frame, and what is said with it; `ending` is that of its file's name."""

    text: str
    picture: Picturable
    png: bytes
    ending: str = ""


def _views_of(frame: Frame) -> Iterator[View]:
    """Yield what a frame shows: where a puzzle turns first the question, then what follows."""
    if frame.can_be_asked and not is_a_single(frame.steps[0]):
        yield _view(pages.ask(frame.steps[0]), picture_of(frame, is_asking=True), "-ask")
    yield _view(pages.tell(frame), picture_of(frame, is_asking=False))


def _view(text: str, picture: Picturable, ending: str = "") -> View:
    return View(text, picture, drawing.draw(picture, _LOOK), ending)


def _section(title: str, views: list[View]) -> str:
    *asked, told = views
    image, text = _image(told), _paragraph("told", told.text)
    parts = (f"<div>{image}</div>", f"<div>{text}</div>")
    if asked:
        opener = f"<summary>{escape(pages.REVEAL)}</summary>"
        question = _paragraph("ask", asked[0].text) + _image(asked[0])
        parts = (f"<div>{question}</div>", f"<details>{opener}{image}{text}</details>")
    notes = f'<div class="notes">{escape(pages.NOTES)}{"<hr>" * _NOTE_LINES}</div>'
    return f"<section><h2>{escape(title)}</h2>{''.join(parts)}{notes}</section>\n"


def _paragraph(kind: str, text: str) -> str:
    return f'<p class="{kind}">{escape(text)}</p>'


def _image(view: View) -> str:
    return (
        f'<img src="data:image/png;base64,{b64encode(view.png).decode()}" '
        f'alt="{escape(wording.describe(view.picture))}">'
    )


def _page(title: str, sections: str) -> str:
    colours = theme_of(_LOOK).colours
    paper, ink, soft = (
        "#{:02x}{:02x}{:02x}".format(*colours[paint])
        for paint in (Paint.PAPER, Paint.INK, Paint.THIN)
    )
    letters = b64encode(file_of(Face.MEDIUM).read_bytes()).decode()
    style = _STYLE % {"paper": paper, "ink": ink, "soft": soft, "letters": letters}
    return _PAGE.format(title=escape(title), style=style, sections=sections)


_STYLE = """
@font-face { font-family: Letters; src: url(data:font/ttf;base64,%(letters)s) format("truetype"); }
:root { color-scheme: light; }
body { background: %(paper)s; color: %(ink)s; font: 1.1rem/1.5 Letters, sans-serif;
  margin: 0 auto; max-width: 78rem; padding: 1rem; }
section { border-top: 2px solid %(soft)s; display: grid; gap: 0 2rem; padding: 1rem 0; }
h2 { font-size: 1.1rem; margin: 0 0 .5rem; }
img { height: auto; max-width: 100%%; width: 720px; }
p { margin: 0 0 .5rem; }
.told { white-space: pre-line; }
.ask, summary { font-weight: bold; }
summary { cursor: pointer; margin: 0 0 .5rem; }
.notes { display: none; }
@media (min-width: 46rem), print {
  section { grid-template-columns: 1fr 1fr; }
  h2, .notes { grid-column: 1 / -1; }
}
@media print {
  body { background: none; font-size: 10pt; max-width: none; padding: 0; }
  section { break-inside: avoid; padding: .2cm 0; }
  img { width: 7.6cm; }
  summary { display: none; }
  details::details-content { content-visibility: visible; display: block; height: auto; }
  .notes { display: block; }
  hr { border: 0; border-bottom: 1px solid %(soft)s; margin: .7cm 0 0; }
}
"""

_PAGE = """<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; img-src data:; \
font-src data:; style-src 'unsafe-inline'">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>{title}</title>
<style>{style}</style>
</head>
<body>
<main>
<h1>{title}</h1>
{sections}</main>
</body>
</html>
"""
