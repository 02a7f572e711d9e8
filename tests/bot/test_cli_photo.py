"""`ninebark read`: a photo of paper on the command line."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest

from bot.cli.main import main
from bot.photo.network import STRUCK
from bot.photo.told import PhotoProblem, PhotoReading
from bot.stock.photos import PhotoLimits, PhotoReader
from bot.wording.photo import draw_reading, tell_photo, tell_photo_problem
from engine import CLASSIC
from tests.bot.photo.photos import OTHER, PUZZLE, SMALL, misread, photo


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "paper.jpg"
    path.write_bytes(photo("printed", 1)[0].content)
    return path


def test_a_photo_is_read_with_its_puzzle(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    shot, content = photo("printed", 1)
    assert main(["read", str(file), "--puzzle", PUZZLE, "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert list(told) == ["found", "problem", "turned", "grid", "doubtful", "struck"]
    assert (told["found"], told["problem"], told["turned"]) == (True, None, shot.turned)
    assert all(mark in (".", given) or given == "." for mark, given in zip(
        told["grid"], PUZZLE, strict=True
    ))  # fmt: skip
    right = sum(
        int(mark.replace(".", "0")) == (kind if kind < 10 else 0)
        for mark, kind in zip(told["grid"], content.kinds.tolist(), strict=True)
    )
    assert right >= 81 - len(told["doubtful"])


def test_a_photo_is_read_without_and_drawn(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    _, content = photo("printed", 1)
    crossed = [CLASSIC.format_cell(int(cell)) for cell in np.flatnonzero(content.kinds == STRUCK)]
    assert main(["read", str(file)]) == 0
    said = capsys.readouterr()
    assert said.out.count("---+---+---") == 2
    left_out = f"I've left out what's crossed out in {' and '.join(crossed)} and small marks."
    assert said.out.endswith(f"{left_out}\n")
    assert said.err == ""


def test_a_grid_of_six_rows_is_read_and_one_of_four_is_told_that_it_cannot_be(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    shot, content = photo("printed", 3, SMALL)
    file = tmp_path / "six.jpg"
    file.write_bytes(shot.content)
    assert main(["read", str(file), "--puzzle", SMALL, "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert (len(told["grid"]), told["turned"]) == (36, shot.turned)
    assert misread(told["grid"], content) <= len(told["doubtful"])
    assert main(["read", str(file), "--puzzle", "1......3.4.....2"]) == 2
    assert "9x9 and 6x6 grids, and the puzzle you gave is neither" in capsys.readouterr().err


def test_another_puzzle_and_no_photo_exit_with_two(
    file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["read", str(file), "--puzzle", OTHER, "--json"]) == 2
    said = capsys.readouterr()
    assert json.loads(said.out)["problem"] == "another-puzzle"
    assert "it isn't the puzzle you gave" in said.err
    text = tmp_path / "notes.jpg"
    text.write_text("53..7....")
    assert main(["read", str(text)]) == 2
    assert "JPEG, PNG or WEBP" in capsys.readouterr().err
    assert main(["read", str(tmp_path / "none.jpg")]) == 2
    assert "Example: ninebark read photo.jpg" in capsys.readouterr().err
    assert main(["read", str(file), "--puzzle", "53x"]) == 2
    assert "Example" in capsys.readouterr().err


def test_a_photo_is_read_within_the_limits_that_the_bot_keeps(
    file: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    tight = PhotoReader(PhotoLimits(memory=1_000_000))
    monkeypatch.setattr("bot.cli.photo.PhotoReader", lambda: tight)
    assert main(["read", str(file)]) == 2
    assert "couldn't make this photo out" in capsys.readouterr().err


def test_of_a_file_that_is_too_big_no_more_is_loaded_than_shows_it(
    file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with file.open("r+b") as photo_file:
        photo_file.truncate(10**11)  # more than any memory; on the disk it is a hole
    assert main(["read", str(file)]) == 2
    assert "up to 15 MB" in capsys.readouterr().err


def test_without_its_libraries_it_says_what_to_install(
    file: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("bot.photo.told.find_spec", lambda name: None)
    assert main(["read", str(file)]) == 2
    assert "pip install 'ninebark[photo]'" in capsys.readouterr().err


def test_check_says_what_to_install_and_that_all_else_is_fine(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    config = tmp_path / "config.toml"
    config.write_text('[[club]]\nplatform = "web"\nroom = "main"\nname = "Hedgerow Sudoku Club"\n')
    assert main(["check", "--config", str(config)]) == 0
    assert "photo" not in capsys.readouterr().out
    monkeypatch.setattr("bot.photo.told.find_spec", lambda name: None)
    assert main(["check", "--config", str(config)]) == 0
    assert "pip install 'ninebark[photo]'" in capsys.readouterr().out


def test_every_problem_is_told_and_says_what_would_help() -> None:
    told = {problem: tell_photo_problem(problem) for problem in PhotoProblem}
    assert len(set(told.values())) == len(PhotoProblem)
    assert "today's puzzle" in told[PhotoProblem.ANOTHER_PUZZLE]
    for words in told.values():
        assert words.count(".") >= 2 or "up to" in words


def test_what_to_look_at_is_named_and_never_called_wrong() -> None:
    reading = PhotoReading(
        grid="53" + "." * 79, doubtful=("r4c7", "r9c2"), struck=("r1c3",), marked=("r2c2",)
    )
    words = tell_photo(reading)
    assert words == (
        "Please look at r4c7 and r9c2. I've left out what's crossed out in r1c3 and small marks."
    )
    assert tell_photo(PhotoReading(grid="." * 81)) == ""
    assert draw_reading(reading).splitlines()[0] == "53.|...|..."
    assert draw_reading(PhotoReading(grid="1" * 36)).splitlines()[2] == "---+---"
