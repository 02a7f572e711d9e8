"""The kit for honest tests: pages with known contents, and what scores photos of them."""

from __future__ import annotations

import io
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from bot import assets
from bot.cli.main import main
from bot.cli.sheet import find_kit
from bot.photo.network import MARKS, STRUCK
from bot.wording.sheets import kit_lines
from tests.bench.photo import folder
from tests.bench.photo.hands import own_supplies
from tests.bench.photo.paper import put

ROOT = Path(__file__).resolve().parents[3]
GUIDES = ("members", "hosting", "command-line")


@pytest.fixture
def pages(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> list[np.ndarray]:
    """Return the pages of a kit as they come out of the printer."""
    file = tmp_path / "kit.pdf"
    assert main(["sheet", "--kit", "--pages", "2", "--out", str(file)]) == 0
    assert "python -m tests.bench photo FOLDER" in capsys.readouterr().out
    parts = file.read_bytes().split(b"stream\n")[1:]
    pictures = [part for part in parts if part.startswith(b"\xff\xd8")]
    opened = [Image.open(io.BytesIO(picture)) for picture in pictures]
    return [np.asarray(each, np.float32) / 255 for each in opened]


@pytest.mark.parametrize("pages", ["0", "-3", "many"])
def test_a_kit_of_no_pages_is_refused_in_plain_words(
    pages: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit) as ended:
        main(["sheet", "--kit", f"--pages={pages}", "--out", str(tmp_path / "kit.pdf")])
    assert ended.value.code == 2
    assert f"'{pages}' is not a number of pages; give 1 or more" in capsys.readouterr().err


def test_photos_of_filled_in_pages_are_scored(pages: list[np.ndarray], tmp_path: Path) -> None:
    assert len(pages) == 2
    photos = tmp_path / "photos"
    photos.mkdir()
    random = np.random.default_rng(5)
    content = folder.content_of(find_kit(2)[1])
    hand = own_supplies().hands[0]
    sheet = pages[1].copy()
    for cell in np.flatnonzero((content.givens == 0) & (content.kinds % MARKS > 0)):
        if content.kinds[cell] == STRUCK:
            continue
        row, column = divmod(int(cell), 9)
        middle = np.array([170 + 100 * column + 50.0, 200 + 100 * row + 50.0])
        put(sheet, hand(int(content.kinds[cell]), random), middle, 60, 0, 0.7)
    for name, page in (("1.jpg", pages[0]), ("2-dim.jpg", sheet * 0.5)):
        Image.fromarray((page * 255).astype(np.uint8)).save(photos / name)
    (photos / "notes.txt").write_text("taken in the kitchen")
    (photos / "2.jpg").write_text("no photo")
    lines = list(folder.find_figures(photos))
    written = len([cell for cell in find_kit(1)[0].cells if cell.isdigit()])
    assert lines[0].startswith(f"1.jpg: {written} wrong")  # nothing was written on it
    assert lines[1].startswith("2-dim.jpg: 0 wrong, 0 silent")
    assert lines[2].startswith("2.jpg: I can't read this file")
    assert lines[3].startswith("notes.txt: not named by a page's number")
    assert lines[4].startswith("3 photos: found and registered 66.7%")


def test_a_page_says_all_that_is_to_be_written() -> None:
    pages = find_kit(6)
    assert [page.number for page in pages] == [1, 2, 3, 4, 5, 6]
    assert len({page.givens for page in pages}) == 6
    for page in pages:
        kinds = folder.content_of(page).kinds.tolist()
        assert kinds.count(MARKS) == 4
        assert kinds.count(STRUCK) == 2
        told = " ".join(kit_lines(page))
        assert told.count("crossed out") == 2
        assert told.count("small") == 4
        assert len(kit_lines(page)) == 11


def test_until_members_photos_are_scored_whoever_reads_of_photos_is_told_so() -> None:
    told = "not yet tried on members' photos"
    guides = assets.path("guides")
    for file in (ROOT / "README.md", *(guides / f"{name}.md" for name in GUIDES)):
        assert told in " ".join(file.read_text(encoding="utf-8").split()), file


def test_what_to_print_must_be_said(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["sheet", "--out", str(tmp_path / "a.pdf")]) == 2
    assert "ninebark sheet --kit" in capsys.readouterr().err
    assert main(["sheet", "--kit", "--out", str(tmp_path / "none" / "a.pdf")]) == 2
    assert "Example: ninebark sheet" in capsys.readouterr().err
