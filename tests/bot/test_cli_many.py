"""Many grids at once on the command line: a stream in, a stream out, in order, by all cores."""

from __future__ import annotations

import io
import json
import sqlite3
from collections.abc import Callable, Iterator
from pathlib import Path
from random import Random
from typing import Any

import pytest

from bot import grid_input
from bot.cli import adding, many
from bot.cli.main import main
from bot.club.vetting import Vetted, vet_puzzle
from bot.stock.at_once import work_at_once
from bot.storage.migrations import migrate
from bot.storage.puzzles import SAME
from bot.wording import many_terminal
from engine.board.grid import Grid, format_grid, parse_grid
from engine.making.puzzles import shuffle_puzzle
from tests.bot.founding import found

# Crook, A Pencil-and-Paper Algorithm for Solving Sudoku Puzzles, Notices AMS 56(4), 2009, p. 463.
CROOK = ".395........8...7.....1.9.41..4....3...........7...86...67.82...1..9...5.....1..8"
# The encyclopaedia example, also in SQLite's documentation (`lang_with`) and PuLP's example.
EASY = "53..7....6..195....98....6.8...6...34..8.3..17...2...6.6....28....419..5....8..79"
# Herzberg & Murty, Notices AMS 54(6), 2007: exactly two solutions, which differ in four cells.
TWO_SOLUTIONS = "9.6.7.4.3...4..2...7..23.1.5.....1...4.2.8.6...3.....5.3.7...5...7..5...4.5.1.7.8"
# kanren's test, with r2c7 set to 9.
NINE_TWICE = "534678912672095948098342567859760423426853790703924856960537284287409635345286079"

Told = tuple[int, str, str]
Run = Callable[..., Told]


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Run:
    def call(*arguments: str, typed: str = "") -> Told:
        monkeypatch.setattr("sys.stdin", io.StringIO(typed))
        code = main(arguments)
        out, err = capsys.readouterr()
        return code, out, err

    return call


@pytest.fixture
def two_cores(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """Two processes work from three grids on; the list tells how often they were asked."""
    asked: list[int] = []

    def note(*arguments: Any, **named: Any) -> Any:
        asked.append(named["cores"])
        return work_at_once(*arguments, **named)

    monkeypatch.setattr(many, "count_cores", lambda: 2)
    monkeypatch.setattr(many, "MANY", 3)
    monkeypatch.setattr(many, "work_at_once", note)
    return asked


def disguises(givens: str, count: int) -> list[str]:
    grid = parse_grid(givens)
    return [format_grid(shuffle_puzzle(Random(seed), grid)) for seed in range(count)]


WRONG = (TWO_SOLUTIONS, CROOK[1:], NINE_TWICE, "B" * 81)


# --- rate ---


def test_each_wrong_line_gives_its_value_in_its_place_with_what_is_wrong(run: Run) -> None:
    lines = [CROOK, *WRONG, EASY]
    code, out, err = run("rate", "-", "--json", typed="\n".join(["# six puzzles", *lines]))
    values = [json.loads(line) for line in out.splitlines()]
    assert code == 2
    assert [value["grid"] for value in values] == lines
    assert [value["line"] for value in values] == [2, 3, 4, 5, 6, 7]
    assert [value["solutions"] for value in values] == [1, 2, None, 0, None, 1]
    assert [value["level"] for value in values] == [3, None, None, None, None, 1]
    wrong = [value["wrong"] for value in values]
    for text, part in zip(
        wrong, (None, "More than one", "80", "stands twice in row 2", "“B”", None), strict=True
    ):
        assert (text is None) if part is None else (part in text)
    assert [line.split(":")[0] for line in err.splitlines()] == ["line 4", "line 5", "line 6"]
    shapes = {tuple(value) for value in values}
    assert len(shapes) == 1


def test_each_of_many_tells_its_grid_its_level_and_its_effort(run: Run) -> None:
    _, out, _ = run("rate", "-", typed=f"{CROOK}\n{TWO_SOLUTIONS}\n{EASY}\n")
    first, second, third = out.splitlines()
    assert first == f"{CROOK}: level 3; effort 44.3; needs naked single, naked pair; 23 givens"
    assert second == f"{TWO_SOLUTIONS}: more than one solution"
    assert third.startswith(f"{EASY}: level 1; effort ")


def test_where_many_puzzles_turn_is_told_only_when_asked(run: Run) -> None:
    typed = f"{CROOK}\n{EASY}\n"
    _, out, _ = run("rate", "-", "--json", typed=typed)
    assert [json.loads(line)["turning_points"] for line in out.splitlines()] == [None, None]
    _, out, _ = run("rate", "-", "--json", "--turning-points", typed=typed)
    _, alone, _ = run("rate", CROOK, "--json")
    points = [json.loads(line)["turning_points"] for line in out.splitlines()]
    assert points == [json.loads(alone)["turning_points"], []]


@pytest.mark.parametrize("form", [(), ("--json",)])
def test_all_cores_give_the_ratings_that_one_gives_in_the_same_order(
    run: Run, two_cores: list[int], monkeypatch: pytest.MonkeyPatch, form: tuple[str, ...]
) -> None:
    typed = "\n".join([*disguises(EASY, 5), *WRONG, *disguises(EASY, 3)])
    together = run("rate", "-", *form, typed=typed)
    assert two_cores == [2]
    monkeypatch.setattr(many, "count_cores", lambda: 1)
    assert run("rate", "-", *form, typed=typed) == together
    assert two_cores == [2]
    assert len(together[1].splitlines()) == (12 if form else 9)


class Interrupted(io.StringIO):
    """Standard input during which somebody presses Ctrl-C, once so many lines are read."""

    def __init__(self, text: str, at: int) -> None:
        super().__init__(text)
        self.left = at

    def __next__(self) -> str:
        self.left -= 1
        if self.left < 0:
            raise KeyboardInterrupt
        return super().__next__()


def test_rating_goes_on_after_ctrl_c_where_it_stopped(
    run: Run, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(many, "count_cores", lambda: 1)
    count = 70
    typed = "\n".join([EASY, *["." * 81] * count])
    whole = run("rate", "-", "--json", typed=typed)[1].splitlines()
    monkeypatch.setattr("sys.stdin", Interrupted(typed, 66))
    assert main(["rate", "-", "--json"]) == 1
    out, err = capsys.readouterr()
    begun = out.splitlines()
    assert 0 < len(begun) < count
    assert f"--after {len(begun)}" in err
    rest = run("rate", "-", "--json", "--after", str(len(begun)), typed=typed)[1].splitlines()
    assert begun + rest == whole


def test_a_stream_is_never_in_memory_as_a_whole(
    run: Run, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    told: list[int] = []

    class Endless:
        """Lines without an end but for the reader's; notes how many answers there were then."""

        def __iter__(self) -> Iterator[str]:
            answers = 0
            for read in range(300):
                answers += len(capsys.readouterr().out.splitlines())
                told.append(read - answers)
                yield "." * 81 + "\n"

    monkeypatch.setattr(many, "count_cores", lambda: 1)
    monkeypatch.setattr("sys.stdin", Endless())
    assert main(["rate", "-"]) == 2
    assert max(told) < 200
    assert told[-1] == told[-100]


def test_the_bar_tells_how_many_how_fast_and_how_long_still() -> None:
    assert many_terminal.progress(1500, 5000, 30.0) == (
        "[======--------------] 1,500 of 5,000; 50.0 a second; about 1:10 left"
    )
    assert many_terminal.progress(1500, 5000, 30.0, before=1200) == (
        "[======--------------] 1,500 of 5,000; 10.0 a second; about 5:50 left"
    )
    assert many_terminal.progress(1500, None, 30.0) == "1,500 done; 50.0 a second"
    assert many_terminal.progress(0, 7, 0.0) == "[--------------------] 0 of 7"


def test_a_file_that_is_not_there_costs_no_other_its_answers(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "known.txt"
    file.write_text(f"{EASY}\n{CROOK}\n", encoding="utf-8")
    code, out, err = run("rate", str(tmp_path / "gone.txt"), str(file))
    assert (code, len(out.splitlines())) == (2, 2)
    assert "gone.txt" in err


# --- puzzles add ---

# Published with the puzzle.
EASY_SOLUTION = "534678912672195348198342567859761423426853791713924856961537284287419635345286179"


def easy_puzzles(count: int) -> list[str]:
    """Puzzles with a given more each: quickly judged, and none a disguise of another."""
    puzzles = [EASY]
    for cell, mark in enumerate(EASY):
        if mark == ".":
            before = puzzles[-1]
            puzzles.append(before[:cell] + EASY_SOLUTION[cell] + before[cell + 1 :])
    return puzzles[:count]


@pytest.fixture
def judged(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """One core and short stretches of reading; the list tells what was judged."""
    found: list[str] = []

    def note(grid: Grid, **named: Any) -> Vetted:
        found.append(format_grid(grid))
        return vet_puzzle(grid, **named)

    monkeypatch.setattr(many, "count_cores", lambda: 1)
    monkeypatch.setattr(many, "MANY", 2)
    monkeypatch.setattr(grid_input, "MOST_LINES_OF_ONE", 2)
    monkeypatch.setattr(adding, "vet_puzzle", note)
    return found


def listed(run: Run, place: tuple[str, str]) -> list[str]:
    return [line.split("\t")[0] for line in run("puzzles", "list", *place)[1].splitlines()]


def test_all_cores_add_what_one_adds_in_the_same_order(
    run: Run, two_cores: list[int], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    here, there = (("--data", str(found(tmp_path / name))) for name in ("here", "there"))
    lines = [*easy_puzzles(6), *WRONG, EASY]
    together = run("puzzles", "add", *here, "-", typed="\n".join(lines))
    assert two_cores == [2]
    monkeypatch.setattr(many, "count_cores", lambda: 1)
    assert run("puzzles", "add", *there, "-", typed="\n".join(lines)) == together
    assert (together[0], len(together[1].splitlines())) == (2, 6)
    assert len(together[2].splitlines()) == len(WRONG) + 1
    assert listed(run, here) == listed(run, there) == easy_puzzles(6)


def test_adding_stores_as_it_goes_and_judges_nothing_twice_after_ctrl_c(
    run: Run,
    judged: list[str],
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
    tmp_path: Path,
) -> None:
    place = ("--data", str(found(tmp_path)))
    lines = easy_puzzles(12)
    monkeypatch.setattr("sys.stdin", Interrupted("\n".join(lines), 7))
    assert main(["puzzles", "add", *place, "-"]) == 1
    out, err = capsys.readouterr()
    assert len(out.splitlines()) == 7
    assert "the same command again" in err
    assert listed(run, place) == judged == lines[:7]
    judged.clear()
    code, out, err = run("puzzles", "add", *place, "-", typed="\n".join(lines))
    assert (code, len(out.splitlines())) == (0, 5)
    assert "7 were already in stock" in err
    assert judged == lines[7:]
    assert listed(run, place) == lines


def test_queueing_for_dates_goes_on_after_ctrl_c_with_the_next_date(
    run: Run,
    judged: list[str],
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
    tmp_path: Path,
) -> None:
    config = tmp_path / "config.toml"
    config.write_text(
        '[[club]]\nplatform = "web"\nroom = "main"\nname = "Hedgerow Sudoku Club"\n',
        encoding="utf-8",
    )
    add = ("puzzles", "add", "--config", str(config), "--for", "2026-12-30", "-")
    lines = easy_puzzles(5)
    monkeypatch.setattr("sys.stdin", Interrupted("\n".join(lines), 3))
    assert main(add) == 1
    assert "2027-01-01" in capsys.readouterr().out.splitlines()[2]
    code, out, err = run(*add, typed="\n".join(lines))
    assert (code, "3 were already waiting" in err) == (0, True)
    assert [line.rpartition(" ")[2] for line in out.splitlines()] == ["2027-01-02.", "2027-01-03."]
    assert judged == lines


def test_the_same_puzzle_is_found_by_index_however_many_there_are(tmp_path: Path) -> None:
    connection = sqlite3.connect(tmp_path / "club.db")
    migrate(connection, tmp_path / "club.db")
    plan = connection.execute(f"EXPLAIN QUERY PLAN {SAME}", (EASY,)).fetchall()
    connection.close()
    steps = [row[-1] for row in plan]
    assert any("INDEX" in step for step in steps)
    assert not [step for step in steps if step.startswith("SCAN")]
