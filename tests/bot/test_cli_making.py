"""The command `make`: plain lines out, wishes kept, and plain words where there is no puzzle."""

from __future__ import annotations

import io
import json
import re
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from bot.cli import making as cli_making
from bot.cli.main import main
from bot.cli.progress import StatusLine
from bot.stock.making_at_once import make_at_once
from bot.wording import making_terminal
from engine.board.grid import parse_grid
from engine.making.recipes import Tried
from engine.solving.grading import rate


def say(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, str, str]:
    code = main(["make", *words])
    said = capsys.readouterr()
    return code, said.out, said.err


def test_puzzles_come_as_plain_lines_and_keep_every_wish(
    capsys: pytest.CaptureFixture[str],
) -> None:
    wishes = "--needs naked-pair --givens 24-30 --pattern half-turn --count 2 --seed 3"
    code, out, err = say(capsys, *wishes.split())
    assert (code, err) == (0, "")
    lines = out.splitlines()
    assert len(set(lines)) == 2
    for line in lines:
        rating = rate(parse_grid(line), with_turning_points=False)
        assert (rating.solutions, rating.level) == (1, 3)
        assert "naked-pair" in rating.needs
        assert 24 <= rating.givens <= 30
        assert [mark == "." for mark in line] == [mark == "." for mark in reversed(line)]


def test_each_puzzle_is_made_again_by_its_own_seed(capsys: pytest.CaptureFixture[str]) -> None:
    _, out, _ = say(capsys, "--level", "1-2", "--count", "3", "--seed", "40", "--json")
    for made in map(json.loads, out.splitlines()):
        _, again, _ = say(capsys, "--level", "1-2", "--seed", str(made["seed"]))
        assert again.strip() == made["puzzle"]


def test_all_cores_make_the_puzzles_that_one_makes_in_the_same_order(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    wishes = ("--level", "1-2", "--layout", "6x6", "--count", "7", "--seed", "40", "--json")
    asked: list[int] = []

    def note(*arguments: Any, **named: Any) -> Any:
        asked.append(named["cores"])
        return make_at_once(*arguments, **named)

    monkeypatch.setattr(cli_making, "make_at_once", note)
    monkeypatch.setattr(cli_making, "count_cores", lambda: 2)
    together = say(capsys, *wishes)
    monkeypatch.setattr(cli_making, "count_cores", lambda: 1)
    assert say(capsys, *wishes) == together
    assert asked == [2]
    assert len(together[1].splitlines()) == 7


def test_what_ends_one_of_many_is_told_as_it_is_of_one(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(cli_making, "count_cores", lambda: 2)
    code, out, err = say(capsys, "--count", "9", "--layout", "diagonal:irregular:aabb")
    assert (code, out) == (2, "")
    assert "no way to fill a grid" in err
    code, out, err = say(capsys, "--count", "9", "--givens", "17", "--deadline", "0")
    assert (code, out) == (1, "")
    assert "by the deadline" in err


@pytest.mark.parametrize("box_map", ["aabb", "aaabbbccc", "abcabcabc"])
def test_boxes_that_are_lines_make_puzzles_too(
    box_map: str, capsys: pytest.CaptureFixture[str]
) -> None:
    code, out, err = say(capsys, "--layout", f"irregular:{box_map}", "--level", "1")
    assert (code, err) == (0, "")
    assert len(out.strip()) == len(box_map)


def test_a_range_with_swapped_ends_is_told_as_such(capsys: pytest.CaptureFixture[str]) -> None:
    for wish, right in (("--givens 30-25", "25-30"), ("--level 4-2", "2-4")):
        with pytest.raises(SystemExit):
            say(capsys, *wish.split())
        said = capsys.readouterr().err
        assert "wrong way round" in said
        assert right in said


def test_puzzles_to_start_from_come_from_a_file_or_standard_input(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    _, known, _ = say(capsys, "--needs", "hidden-pair", "--count", "2", "--seed", "21")
    file = tmp_path / "known.txt"
    file.write_text(known)
    wishes = ("--needs", "hidden-pair", "--seed", "5")
    code, out, _ = say(capsys, *wishes, "--from", str(file))
    assert code == 0
    assert out.strip() not in known.splitlines()
    monkeypatch.setattr("sys.stdin", io.StringIO(known))
    assert say(capsys, *wishes, "--from", "-") == (0, out, "")


def test_a_file_to_start_from_that_is_not_there_is_told_as_a_file(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    for name in ("nofile", str(tmp_path / "nofile"), str(tmp_path)):
        code, out, err = say(capsys, "--from", name)
        assert (code, out) == (2, "")
        assert f"There is no file {name} to read" in err
        assert "ninebark make --from" in err


def test_an_effort_of_nothing_is_refused(capsys: pytest.CaptureFixture[str]) -> None:
    for effort in ("0", "-3", "nan"):
        code, out, err = say(capsys, "--effort", effort)
        assert (code, out, "--effort 60" in err) == (2, "", True)


def test_an_impossible_wish_is_told_at_once(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, err = say(capsys, "--needs", "swordfish", "--layout", "4x4")
    assert (code, out) == (2, "")
    assert "larger --layout" in err


def test_at_the_deadline_it_says_what_was_tried_and_what_would_help(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    looks = iter(range(10_000))
    clock = SimpleNamespace(monotonic=lambda: next(looks) / 1000)  # seconds
    monkeypatch.setattr(cli_making, "time", clock)
    wishes = "--givens 17 --pattern quarter-turn --level 1 --deadline 0.3"
    code, out, err = say(capsys, *wishes.split())
    assert (code, out) == (1, "")
    assert re.search(r"[1-9]\d* puzzles? w(?:as|ere) tried for the first one: [1-9]\d* had ", err)
    assert re.search(r"The nearest was [.1-9]{81}, but it has the wrong number", err)
    for help in ("--givens", "--pattern", "--deadline"):
        assert help in err


def test_a_small_layout_runs_out_of_puzzles_and_says_so(
    capsys: pytest.CaptureFixture[str],
) -> None:
    wishes = "--layout 4x4 --level 1 --givens 4 --count 1000"
    code, out, err = say(capsys, *wishes.split())
    assert code == 1
    assert 0 < len(out.splitlines()) < 20
    assert "no more of this kind" in err


@pytest.mark.parametrize(
    "wishes",
    [
        "--level 7", "--level 3-1", "--givens many", "--givens 30-20", "--pattern round",
        "--count 0", "--effort hard", "--deadline soon",
    ],
)  # fmt: skip
def test_a_wish_that_does_not_read_is_refused(
    wishes: str, capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit) as caught:
        say(capsys, *wishes.split())
    assert caught.value.code == 2
    assert wishes.split()[0] in capsys.readouterr().err


@pytest.mark.parametrize("wish", ["--needs", "--avoids"])
def test_an_unknown_technique_is_refused(wish: str, capsys: pytest.CaptureFixture[str]) -> None:
    code, out, err = say(capsys, wish, "swordfisch")
    assert (code, out) == (2, "")
    assert "swordfish" in err


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


def test_the_progress_bar_is_one_line_written_over_and_cleared() -> None:
    moments = iter([10.0, 10.1, 75.0])
    screen = Terminal()
    bar = StatusLine(screen, lambda: next(moments))
    for count in (1, 2, 3):
        tried = Tried(attempts=count)
        bar.show(lambda seconds, tried=tried: making_terminal.progress(1, 2, tried, seconds))
    bar.clear()
    shown = screen.getvalue().split("\r")
    assert shown[1].startswith("[==========----------] 1 of 2; 1 puzzle tried; 0:00")
    assert shown[2].startswith("[==========----------] 1 of 2; 3 puzzles tried; 1:05")
    assert [text.strip() for text in shown[3:]] == ["", ""]
    assert "\n" not in screen.getvalue()


def test_no_progress_bar_is_written_to_a_file() -> None:
    stream = io.StringIO()
    StatusLine(stream, lambda: 1.0).show(str)
    assert stream.getvalue() == ""
