"""A leader's puzzles on the command line: added, queued, listed, made for the plans, reported."""

from __future__ import annotations

import io
import json
from collections.abc import Callable
from pathlib import Path
from random import Random
from typing import Any

import pytest

from bot.cli.main import main
from engine.board.grid import format_grid, parse_grid
from engine.making.puzzles import shuffle_puzzle
from tests.bot.founding import found

# Crook, A Pencil-and-Paper Algorithm for Solving Sudoku Puzzles, Notices AMS 56(4), 2009, p. 463.
CROOK = ".395........8...7.....1.9.41..4....3...........7...86...67.82...1..9...5.....1..8"
# The encyclopaedia example, also in SQLite's documentation (`lang_with`) and PuLP's example.
EASY = "53..7....6..195....98....6.8...6...34..8.3..17...2...6.6....28....419..5....8..79"
# Herzberg & Murty, Notices AMS 54(6), 2007: exactly two solutions, which differ in four cells.
TWO_SOLUTIONS = "9.6.7.4.3...4..2...7..23.1.5.....1...4.2.8.6...3.....5.3.7...5...7..5...4.5.1.7.8"
# r1c3 is 4 in the only solution of the encyclopaedia example, so 1 there leaves none.
NO_SOLUTION = "531" + EASY[3:]
# kanren's test, with r2c7 set to 9.
NINE_TWICE = "534678912672095948098342567859760423426853790703924856960537284287409635345286079"
# Inkala 2012, as in Ercsey-Ravasz & Toroczkai 2012: no basic step at all.
INKALA = "8..........36......7..9.2...5...7.......457.....1...3...1....68..85...1..9....4.."

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
def config(tmp_path: Path) -> Path:
    path = tmp_path / "config.toml"
    path.write_text(
        '[[club]]\nplatform = "web"\nroom = "main"\nname = "Hedgerow Sudoku Club"\n',
        encoding="utf-8",
    )
    return path


def disguised(givens: str, seed: int) -> str:
    return format_grid(shuffle_puzzle(Random(seed), parse_grid(givens)))


def test_puzzles_are_judged_one_by_one_and_what_is_wrong_with_each_is_said(
    run: Run, config: Path
) -> None:
    typed = "\n".join((CROOK, TWO_SOLUTIONS, NINE_TWICE, NO_SOLUTION, EASY[:-1], INKALA, CROOK))
    code, out, err = run(
        "puzzles", "add", "--config", str(config), "-", "--author", "Rowan", typed=typed
    )
    assert code == 2
    added = out.splitlines()
    assert added[0] == (
        f"line 1: {CROOK}: level 3, needs naked pair; effort 44.3, no symmetry. One solution, 23 "
        "givens (none to spare), about 19 minutes. It turns 5 times: pointing, naked pair "
        "and locked pair. Credit: Rowan. Added to the stock."
    )
    assert added[1].startswith(f"line 6: {INKALA}: level 6")
    wrong = {line.split(":")[0]: line for line in err.splitlines()}
    assert "differ in r6c5, r6c6, r7c5 and r7c6" in wrong["line 2"]
    assert "9 stands twice in row 2" in wrong["line 3"]
    assert "no solution" in wrong["line 4"]
    assert "80" in wrong["line 5"]
    assert "already in stock" in wrong["line 7"]
    assert len(added) + len(wrong) == 7
    _, listed, _ = run("puzzles", "list", "--config", str(config), "--needs", "naked-pair")
    assert f"{CROOK}\t3\tnaked-single, naked-pair\t44.3\tnone\tRowan" in listed.splitlines()


def test_what_is_listed_can_be_added_elsewhere_as_it_is(run: Run, tmp_path: Path) -> None:
    here, there = (("--data", str(found(tmp_path / name))) for name in ("here", "there"))
    for puzzles in ((CROOK,), (CROOK, EASY)):
        run("puzzles", "add", *here, "-", typed="\n".join(puzzles))
        _, listed, _ = run("puzzles", "list", *here)
        run("puzzles", "add", *there, "-", typed=listed)
        _, again, _ = run("puzzles", "list", *there)
        assert again == listed
        assert len(listed.splitlines()) == len(puzzles)


def test_a_puzzle_in_disguise_is_known_again(run: Run, tmp_path: Path) -> None:
    run("puzzles", "add", "--data", str(found(tmp_path)), CROOK)
    for seed in range(3):
        code, _, err = run("puzzles", "add", "--data", str(tmp_path), disguised(CROOK, seed))
        assert code == 2
        assert f"already in stock, in disguise, as {CROOK}" in err
    _, listed, _ = run("puzzles", "list", "--data", str(tmp_path))
    assert len(listed.splitlines()) == 1


def test_puzzles_are_queued_for_a_date_and_the_days_after_it(run: Run, config: Path) -> None:
    queue = ("puzzles", "add", "--config", str(config))
    code, out, _ = run(*queue, "-", "--for", "2026-12-01", typed=f"{CROOK}\n{EASY}\n")
    assert code == 0
    first, second = out.splitlines()
    assert first.endswith("Queued for 2026-12-01.")
    assert second.endswith("Queued for 2026-12-02.")
    code, _, err = run(*queue, INKALA, "--for", "2026-12-02")
    assert (code, "already has a puzzle" in err) == (2, True)
    code, _, err = run(*queue, disguised(EASY, 5), "--room", "main")
    assert (code, "already waiting in the queue, in disguise" in err) == (2, True)
    code, out, _ = run(*queue, INKALA, "--level", "2")
    assert (code, "next free day planned for level 2" in out) == (0, True)


def test_a_wrong_date_or_club_is_told_with_an_example(run: Run, config: Path) -> None:
    queue = ("puzzles", "add", "--config", str(config), CROOK)
    code, _, err = run(*queue, "--for", "tomorrow")
    assert (code, "--for 2026-12-01" in err) == (2, True)
    code, _, err = run(*queue, "--room", "attic")
    assert (code, "main" in err) == (2, True)
    _, listed, _ = run("puzzles", "list", "--config", str(config))
    assert listed == ""


def test_the_stock_is_filled_for_the_plan_and_told_in_plain_lines(run: Run, config: Path) -> None:
    text = config.read_text(encoding="utf-8")
    config.write_text(
        f'{text}theme = "naked-pair"\nlevels = [3, 3, 3, 3, 3, 3, 3]\n', encoding="utf-8"
    )
    before = count_listed(run, config, "naked-pair")
    stock = ("puzzles", "stock", "--config", str(config), "--at-least")
    code, out, err = run(*stock, "1")
    there = count_listed(run, config, "naked-pair")
    assert (code, before) == (0, 0)
    code, out, err = run(*stock, str(there + 2))
    assert (code, err) == (0, "")
    made = out.splitlines()
    assert len(made) == 2
    for line in made:
        givens, level, needs, *_ = line.split("\t")
        _, rated, _ = run("rate", givens, "--json")
        rating = json.loads(rated)
        assert (rating["solutions"], rating["level"], level) == (1, 3, "3")
        assert "naked-pair" in rating["needs"] == needs.split(", ")
    assert run(*stock, str(there + 2)) == (0, "", "")
    assert run(*stock, "0")[0] == 2


def test_an_unknown_technique_is_refused_and_the_nearest_named(run: Run, config: Path) -> None:
    run("puzzles", "add", "--config", str(config), CROOK)
    code, out, err = run("puzzles", "list", "--config", str(config), "--needs", "naked-pear")
    assert (code, out) == (2, "")
    assert "naked-pair" in err
    assert "ninebark puzzles list" in err


@pytest.mark.parametrize("action", ["add", "list", "stock"])
def test_a_folder_without_a_club_is_told_and_left_as_it_is(
    run: Run, tmp_path: Path, action: str
) -> None:
    for folder in (tmp_path / "typo", tmp_path):
        grids = (CROOK,) if action == "add" else ()
        code, out, err = run("puzzles", action, "--data", str(folder), *grids)
        assert (code, out) == (2, "")
        assert f"ninebark puzzles {action} --data" in err
        assert f"ninebark try --data {folder}" in err, "how to begin one"
    assert list(tmp_path.iterdir()) == []


def test_a_config_that_no_club_has_met_by_yet_has_an_empty_stock(run: Run, config: Path) -> None:
    before = sorted(config.parent.rglob("*"))
    code, out, err = run("puzzles", "list", "--config", str(config))
    assert (code, out, "puzzles add" in err) == (1, "", True)
    assert sorted(config.parent.rglob("*")) == before


def count_listed(run: Run, config: Path, needs: str) -> int:
    _, out, _ = run("puzzles", "list", "--config", str(config), "--needs", needs, "--level", "3")
    return len(out.splitlines())


# --- where a puzzle turns ---


def report_on(run: Run, givens: str) -> Any:
    code, out, _ = run("puzzles", "report", givens, "--json")
    assert code == 0
    return json.loads(out)


def test_a_report_tells_where_a_puzzle_turns_and_what_is_there(run: Run) -> None:
    report = report_on(run, CROOK)
    _, rated, _ = run("rate", CROOK, "--json")
    rating = json.loads(rated)
    assert len(report["turning_points"]) == len(rating["turning_points"])
    for told, point in zip(report["turning_points"], rating["turning_points"], strict=True):
        assert told["position"] == point["position"]
        counts: dict[str, int] = {}
        for step in point["steps"]:
            if step["level"] <= report["level"]:
                counts[step["technique"]] = counts.get(step["technique"], 0) + 1
        assert {each["technique"]: each["count"] for each in told["offers"]} == counts
        assert all(each["step"] in point["steps"] for each in told["offers"])


def test_who_misses_the_needed_step_is_stuck_just_as_the_report_says(run: Run) -> None:
    (missing,) = report_on(run, CROOK)["missing"]
    assert missing["technique"] == "naked-pair"
    stuck = missing["stuck"]
    removed = ", ".join(f"{cell} {digit}" for cell, digit in stuck["removed"])
    _, told, _ = run("steps", stuck["grid"], "--removed", removed, "--json")
    there = {step["technique"] for step in json.loads(told)["steps"]}
    assert "naked-pair" in there
    easier = {"last-digit", "last-three", "hidden-single", "naked-single", "pointing", "claiming",
              "locked-pair", "locked-triple"}  # fmt: skip
    assert not there & easier
    assert missing["open_cells"] == stuck["grid"].count(".")


def test_a_report_as_text_comes_with_its_pictures(run: Run, tmp_path: Path) -> None:
    folder = tmp_path / "turning"
    code, out, err = run("puzzles", "report", CROOK, "--pictures", str(folder))
    assert code == 0
    assert "It needs naked pair or its twin, hidden triple (the same candidates go" in out
    written = {file.name for file in folder.iterdir()}
    assert written == {Path(line).name for line in err.splitlines()}
    assert {f"[{Path(name).stem}]" for name in written} == {
        line.split()[0] for line in out.splitlines() if line.startswith("[")
    }
    assert all(file.read_bytes().startswith(b"\x89PNG") for file in folder.iterdir())


def test_a_puzzle_that_does_not_turn_or_is_none_is_told(run: Run) -> None:
    code, out, _ = run("puzzles", "report", EASY)
    assert (code, "singles lead all the way" in out) == (0, True)
    code, out, err = run("puzzles", "report", TWO_SOLUTIONS)
    assert (code, out, "more than one solution" in err) == (2, "", True)
