"""A walkthrough to take away: its page holds all and asks nothing of anybody, its pictures fit."""

from __future__ import annotations

import io
from base64 import b64decode
from html.parser import HTMLParser
from pathlib import Path

import pytest
from PIL import Image

from bot.cli.main import main
from bot.drawing import draw_frame
from bot.drawing.screen import room_for_words
from tests.bot.drawing.scenes import hint

PAIR = "23..7.....8..56.215....8.7.....14.....75.34.....68.....2.1....965.83..1.....4..86"
SMALL = "1..2.........34."
HOSTILE = "<script>alert(1)</script><img src=//x.example onerror=alert(2)> & Жук"


class Seen(HTMLParser):
    """What is on a page: its tags, the sources that it names, and its words."""

    def __init__(self) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.sources: list[str] = []
        self.alts: list[str] = []
        self.words = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        named = dict(attrs)
        self.tags.append(tag)
        self.sources += [named[name] or "" for name in ("src", "href") if name in named]
        self.alts += [named["alt"] or ""] if "alt" in named else []

    def handle_data(self, data: str) -> None:
        if self.lasttag != "style":
            self.words += data


def seen_on(page: str) -> Seen:
    seen = Seen()
    seen.feed(page)
    return seen


def test_a_page_holds_the_whole_walkthrough_and_nothing_that_runs(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = tmp_path / "new" / "walk"
    assert main(["walkthrough", PAIR]) == 0
    told = capsys.readouterr().out
    assert main(["walkthrough", PAIR, "--pages", str(folder), "--title", HOSTILE]) == 0
    page = (folder / "walkthrough.html").read_text(encoding="utf-8")
    assert str(folder / "walkthrough.html") in capsys.readouterr().out
    seen = seen_on(page)
    assert {"script", "link", "iframe"}.isdisjoint(seen.tags)
    assert all(source.startswith("data:image/png;base64,") for source in seen.sources)
    assert page.count("url(") == page.count("url(data:font/ttf;base64,") == 1
    assert seen.words.count(HOSTILE) == 2, "as the title, and above the first picture"
    # The naked pair is asked for, and then told.
    assert seen.tags.count("details") == seen.tags.count("summary") == 1
    assert "What follows here? Have a good look at" in seen.words
    pair = next(line for line in told.splitlines() if "Naked pair:" in line)
    assert pair in seen.words
    assert "And that's the whole puzzle solved." in seen.words
    kept = {path.read_bytes() for path in folder.glob("frame-*.png")}
    assert {b64decode(source.partition(",")[2]) for source in seen.sources} == kept
    assert len(kept) == len(seen.sources) == len(seen.alts)
    assert (folder / "frame-03-ask.png").read_bytes() in kept
    assert all("row 1" in alt for alt in seen.alts)


def test_frames_come_as_large_as_a_screen(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    words = ["--layout", "4x4", "--pages", str(tmp_path), "--size", "1920x1080"]
    assert main(["walkthrough", SMALL, *words]) == 0
    large, all_of_them = tmp_path.glob("*-1920x1080.png"), tmp_path.glob("*.png")
    sizes = [Image.open(io.BytesIO(path.read_bytes())).size for path in large]
    assert len(sizes) > 2
    assert set(sizes) == {(1920, 1080)}
    assert len(list(all_of_them)) == 2 * len(sizes)
    assert f"{2 * len(sizes)} pictures" in capsys.readouterr().out


@pytest.mark.parametrize("size", [(1280, 720), (720, 1280), (640, 640)])
def test_beside_the_words_there_is_room_for_notes(size: tuple[int, int]) -> None:
    text = " ".join(["r8c7 and r9c7, both in column 7,"] * 8)
    png = draw_frame(hint("naked-pair", "why"), "light", ("Picture 3 of 12", text), size)
    picture, room = Image.open(io.BytesIO(png)).convert("RGB"), room_for_words(size)
    middle = room.top + room.height * 7 // 10
    told = picture.crop((room.left, room.top, room.right, middle))
    free = picture.crop((room.left, middle, room.right, room.bottom))
    assert len(told.getcolors(1000) or ()) > 1
    assert len(free.getcolors() or ()) == 1
    whole = picture.crop((room.left, 0, size[0], size[1])).getcolors(1000) or ()
    assert max(whole)[1] == picture.getpixel((1, 1)), "words stay clear of the grid"


@pytest.mark.parametrize("size", ["1920", "10x10", "99999x99999", "axb", "1920x1080x3", ""])
def test_a_size_that_is_none_is_refused(size: str, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as ended:
        main(["walkthrough", SMALL, "--layout", "4x4", "--pages", "there", f"--size={size}"])
    assert ended.value.code == 2
    assert "such as 1920x1080" in capsys.readouterr().err


def test_what_no_folder_can_hold_is_told(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = tmp_path / "file"
    folder.write_text("not a folder", encoding="utf-8")
    small = ["walkthrough", SMALL, "--layout", "4x4"]
    assert main([*small, "--pages", str(folder)]) == 2
    assert f"I can't write into {folder}" in capsys.readouterr().err
    for option in (["--size", "1920x1080"], ["--title", "Monday"]):
        assert main([*small, *option]) == 2
        assert "say where they go" in capsys.readouterr().err
    assert main(["walkthrough", SMALL, *small[1:], "--pages", str(tmp_path / "two")]) == 2
    assert "Pages tell of one puzzle" in capsys.readouterr().err
