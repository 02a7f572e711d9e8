"""The command line: answers, JSON shapes, exit codes, and errors with an example."""

from __future__ import annotations

import io
import json
import sqlite3
import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from bot import drawing
from bot.cli.main import main
from bot.club.facts import GridPicture, Position
from bot.wording.unusable import EXAMPLE_GRID
from engine.board.grid import draw_grid, parse_grid
from tests.bot.patterns import one_of_each
from tests.corpus import samples_by_technique
from tests.independent.plain import CLASSIC_SHAPE, cells_of

# The encyclopaedia example, also in SQLite's documentation (`lang_with`) and PuLP's example.
ENCYCLOPAEDIA = "53..7....6..195....98....6.8...6...34..8.3..17...2...6.6....28....419..5....8..79"
ENCYCLOPAEDIA_SOLUTION = (
    "534678912672195348198342567859761423426853791713924856961537284287419635345286179"
)
# Crook, A Pencil-and-Paper Algorithm for Solving Sudoku Puzzles, Notices AMS 56(4), 2009, p. 463.
CROOK = ".395........8...7.....1.9.41..4....3...........7...86...67.82...1..9...5.....1..8"
# The same after all singles, as the paper has it.
CROOK_AFTER_SINGLES = (
    ".395...8...18.937.....1.9541..4..5.3........7..7...86...67.82...1..9...5.....1..8"
)
# Herzberg & Murty, Notices AMS 54(6), 2007 (from memory, its two solutions computed).
TWO_SOLUTIONS = "9.6.7.4.3...4..2...7..23.1.5.....1...4.2.8.6...3.....5.3.7...5...7..5...4.5.1.7.8"
# kanren's test, with r2c7 set to 9: no solution.
NO_SOLUTION = "534678912672095948098342567859760423426853790703924856960537284287409635345286079"
# Inkala 2012, as in Ercsey-Ravasz & Toroczkai 2012: no basic step at all.
INKALA = "8..........36......7..9.2...5...7.......457.....1...3...1....68..85...1..9....4.."
STEP_FIELDS = {
    "technique", "level", "houses", "cells", "digits", "places", "removes", "rungs",
}  # fmt: skip

# A worked step of facts.md, computed there: a naked triple, where pointing works as well.
WORKED = ".....2534.34.1.28.2...341...23...74.9.6...3121472.39..7.83..4.13....96..46..7.8.3"
RECTANGLE = "548691732.1.384569936..21484.5.6932.329.458.6.61.23954....1.6..1....648.65..3.2.."
"""Computed with a SAT solver, not published: a unique rectangle is among its steps."""
BY_UNIQUENESS = ("unique-rectangle", "hidden-rectangle", "avoidable-rectangle", "bug-plus-one")


class Outcome:
    def __init__(self, code: int, out: str, err: str) -> None:
        self.code, self.out, self.err = code, out, err

    def json(self) -> Any:
        return json.loads(self.out)


Run = Callable[..., Outcome]


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Run:
    def call(*arguments: str, typed: str | bytes = "") -> Outcome:
        typed_bytes = typed.encode() if isinstance(typed, str) else typed
        bytewise = io.TextIOWrapper(io.BufferedReader(io.BytesIO(typed_bytes)))
        monkeypatch.setattr("sys.stdin", bytewise)
        try:
            code = main(arguments)
        except SystemExit as ended:  # argparse
            code = int(ended.code or 0)
        said = capsys.readouterr()
        return Outcome(code, said.out, said.err)

    return call


def test_rate_gives_the_published_solution(run: Run) -> None:
    outcome = run("rate", ENCYCLOPAEDIA, "--json")
    rating = outcome.json()
    assert outcome.code == 0
    assert rating["solutions"] == 1
    assert rating["solution"] == ENCYCLOPAEDIA_SOLUTION
    assert (rating["givens"], rating["minimal"], rating["level"]) == (30, False, 1)
    assert set(rating) == {
        "solutions", "solution", "givens", "minimal", "level", "techniques", "hardest", "needs",
        "turning_points", "effort", "minutes",
    }  # fmt: skip


@pytest.mark.parametrize(("grid", "count"), [(TWO_SOLUTIONS, 2), (NO_SOLUTION, 0)])
def test_rate_of_other_than_one_solution_is_null_but_for_the_count(
    run: Run, grid: str, count: int
) -> None:
    outcome = run("rate", grid, "--json")
    rating = outcome.json()
    assert outcome.code == 2
    assert rating.pop("solutions") == count
    assert set(rating.values()) == {None}


def test_the_hardest_puzzle_is_rated_and_explained_to_its_end(run: Run) -> None:
    line = run("rate", "-", typed=f"{INKALA}\n{CROOK}\n").out.splitlines()[0]
    assert line.startswith(f"{INKALA}: level 6; effort ")
    assert run("hint", INKALA, "--json").json()["level"] == 6
    assert run("walkthrough", INKALA, "--json").json()["solved"] is True


def test_a_rating_gives_effort_and_an_estimate_in_minutes(run: Run) -> None:
    rating = run("rate", ENCYCLOPAEDIA, "--json").json()
    assert rating["effort"] > 0
    assert rating["minutes"] >= 1
    assert (
        f"effort {rating['effort']}, about {rating['minutes']} minutes"
        in run("rate", ENCYCLOPAEDIA).out
    )


def test_several_grids_give_one_answer_a_line(run: Run) -> None:
    typed = f"# two puzzles\n{ENCYCLOPAEDIA}\n{CROOK}\n"
    lines = run("rate", "-", "--json", typed=typed).out.splitlines()
    assert [json.loads(line)["givens"] for line in lines] == [30, 23]


def test_a_wrong_line_among_several_is_named_and_the_others_answered(run: Run) -> None:
    outcome = run("rate", "-", "--json", typed=f"{ENCYCLOPAEDIA}\n{CROOK[1:]}\n{CROOK}\n")
    assert outcome.code == 2
    assert len(outcome.out.splitlines()) == 3
    assert outcome.err.startswith("line 2: ")
    assert "80" in outcome.err


def test_nine_lines_and_a_drawn_grid_and_a_file_are_one_grid(run: Run, tmp_path: Path) -> None:
    drawn = draw_grid(parse_grid(CROOK))
    plain = "\n".join(CROOK[start : start + 9] for start in range(0, 81, 9))
    file = tmp_path / "crook.txt"
    file.write_text(drawn, encoding="utf-8")
    answers = {run("rate", each, "--json").out for each in (CROOK, drawn, plain, str(file))}
    assert len(answers) == 1


def lines_of(grid: str) -> list[str]:
    return [grid[start : start + 9] for start in range(0, 81, 9)]


def as_list(grid: str) -> str:
    return json.dumps(
        [[int(mark) if mark != "." else None for mark in row] for row in lines_of(grid)]
    )


def as_table(grid: str, mark: str = "\t") -> str:
    """Fields between marks, empty ones for blanks."""
    return "\n".join(mark.join(row).replace(".", "") for row in lines_of(grid))


@pytest.mark.parametrize(
    "encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "utf-32", "latin-1"]
)
def test_a_file_and_standard_input_may_be_in_any_encoding(
    run: Run, tmp_path: Path, encoding: str
) -> None:
    written = "\n".join(lines_of(ENCYCLOPAEDIA)).replace(".", "·").encode(encoding)
    (tmp_path / "easy.txt").write_bytes(written)
    expected = run("rate", ENCYCLOPAEDIA, "--json").out
    assert run("rate", str(tmp_path / "easy.txt"), "--json").out == expected
    assert run("rate", "-", "--json", typed=written).out == expected


@pytest.mark.parametrize(
    "text",
    [
        as_list(ENCYCLOPAEDIA),
        json.dumps(json.loads(as_list(ENCYCLOPAEDIA)), indent=1),
        as_table(ENCYCLOPAEDIA),
        as_table(ENCYCLOPAEDIA, ","),
        ENCYCLOPAEDIA.replace(".", "x"),
        "\n".join(f"> {row}" for row in lines_of(ENCYCLOPAEDIA)),
        "# a remark\n\n" + "\n".join(lines_of(ENCYCLOPAEDIA)).replace(".", " "),
    ],
)
def test_the_command_line_reads_a_grid_in_any_dress(run: Run, tmp_path: Path, text: str) -> None:
    (tmp_path / "easy.txt").write_text(text, encoding="utf-8")
    expected = run("rate", ENCYCLOPAEDIA, "--json").out
    assert run("rate", str(tmp_path / "easy.txt"), "--json").out == expected
    assert run("rate", "-", "--json", typed=text).out == expected


def test_bytes_that_are_no_text_are_refused_as_a_grid(run: Run, tmp_path: Path) -> None:
    (tmp_path / "noise.bin").write_bytes(b"\x89PNG\xff\xfe\x00\x81" * 20)
    outcome = run("rate", str(tmp_path / "noise.bin"))
    assert (outcome.code, outcome.out) == (2, "")
    assert "does not belong in a grid" in outcome.err


@pytest.mark.parametrize(
    ("grid", "expected"),
    [
        (ENCYCLOPAEDIA[1:], "80"),
        ("B" + ENCYCLOPAEDIA[1:], "B"),
        ("\n".join((ENCYCLOPAEDIA[:10], *lines_of(ENCYCLOPAEDIA)[1:])), "Row 1 has 10 cells"),
        ("55" + ENCYCLOPAEDIA[2:], "5 stands twice in row 1"),
        ("puzzles/missing.txt", "no file"),
        ("nofile", "no file nofile"),
        ("my puzzle", "no file my puzzle"),
        ("", "no grid"),
    ],
)
def test_a_grid_that_is_none_is_told_with_an_example(run: Run, grid: str, expected: str) -> None:
    outcome = run("rate", grid)
    assert outcome.code == 2
    assert outcome.out == ""
    assert expected in outcome.err
    assert "Example" in outcome.err
    assert EXAMPLE_GRID in outcome.err


def test_steps_finds_crooks_pair(run: Run) -> None:
    """Crook 2009: the grid's only naked pair is 2, 8 in column 3, at r3c3 and r4c3."""
    steps = run("steps", CROOK_AFTER_SINGLES, "--technique", "naked-pair", "--json").json()["steps"]
    assert len(steps) == 1
    assert set(steps[0]) == STEP_FIELDS
    assert steps[0]["cells"] == ["r3c3", "r4c3"]
    assert steps[0]["houses"] == ["column 3"]
    assert steps[0]["removes"] == [
        ["r5c3", 2], ["r5c3", 8], ["r8c3", 2], ["r8c3", 8], ["r9c3", 2],
    ]  # fmt: skip


def test_a_turning_point_fed_back_gives_the_same_steps(run: Run) -> None:
    points = run("rate", CROOK, "--json").json()["turning_points"]
    assert points
    for point in points:
        position = point["position"]
        removed = ", ".join(f"{cell} {digit}" for cell, digit in position["removed"])
        own = ", ".join(position.get("own", ()))
        again = run("steps", position["grid"], "--removed", removed, "--own", own, "--json").json()
        assert again["steps"] == point["steps"]


def test_a_rating_tells_what_leads_on_and_all_that_is_there_only_when_asked(run: Run) -> None:
    told, all_told = run("rate", CROOK).out.splitlines(), run("rate", CROOK, "--all").out
    told_of_example = run("rate", EXAMPLE_GRID).out.splitlines()
    points = run("rate", CROOK, "--json").json()["turning_points"]
    assert len(told) <= 50
    assert sum(line.startswith("Turning point ") for line in told) == len(points) == 5
    assert sum("To list them: --all" in line for line in told) == len(points)
    assert "  79 more steps, all above the puzzle's level. To list them: --all" in told_of_example
    assert not [line for line in told if "alternating inference chain" in line]
    assert "It needs naked pair or its twin, hidden triple" in "\n".join(told)
    assert not [line for line in told if "cannot be solved without" in line]
    # With --all each step of each turning point has its line, the same as `steps` prints.
    for point in points[:1]:
        position = point["position"]
        removed = ", ".join(f"{cell} {digit}" for cell, digit in position["removed"])
        asked = ("--removed", removed, "--own", " ".join(position.get("own", ())))
        for line in run("steps", position["grid"], *asked).out.splitlines():
            assert line.strip() in all_told


def test_only_a_position_with_digits_written_since_says_which_they_are(run: Run) -> None:
    points = run("rate", CROOK, "--json").json()["turning_points"]
    positions = [point["position"] for point in points]
    assert any("own" in position for position in positions)
    for position in positions:
        marks = zip(cells_of(CLASSIC_SHAPE), position["grid"], CROOK, strict=True)
        own = [cell for cell, now, first in marks if now != first]
        assert position.get("own", []) == own


def test_an_avoidable_rectangle_is_there_for_those_who_say_what_was_not_given(run: Run) -> None:
    sample = samples_by_technique()["avoidable-rectangle"][0]
    removed = ", ".join(f"{cell} {digit}" for cell, digit in sample.removed)
    asked = ("steps", sample.text, "--removed", removed, "--json")
    found = run(*asked, "--own", " ".join(sample.own)).json()["steps"]
    assert "avoidable-rectangle" in [step["technique"] for step in found]
    without = run(*asked).json()["steps"]
    assert "avoidable-rectangle" not in [step["technique"] for step in without]


@pytest.mark.parametrize(
    "kind",
    [
        "avoidable-rectangle-type-3",
        "unique-rectangle-type-6",
        "two-cluster-colouring-sees-both-colours",
        "x-chain-continuous-loop",
    ],
)
def test_steps_of_every_kind_are_listed_with_their_reason(run: Run, kind: str) -> None:
    pattern = next(each for each in one_of_each() if each.name == kind)
    own = ("--own", pattern.own) if pattern.own else ()
    asked = ("steps", pattern.text, "--technique", pattern.technique, *own, "--json")
    found = run(*asked).json()["steps"]
    named = kind.removeprefix(f"{pattern.technique}-").replace("-", " ")
    assert any(f", {named}: " in step["rungs"]["why"] for step in found)


def test_a_cell_that_there_is_none_of_is_no_digit_of_ones_own(run: Run) -> None:
    outcome = run("hint", CROOK, "--own", "r1c2, r1c0")
    assert outcome.code == 2
    assert "r1c0" in outcome.err


def test_steps_by_uniqueness_can_be_left_out(run: Run) -> None:
    def found(*arguments: str) -> set[str]:
        steps = run("steps", RECTANGLE, "--json", *arguments).json()["steps"]
        return {step["technique"] for step in steps}

    assert found() - found("--no-uniqueness") == set(BY_UNIQUENESS[:2])
    assert found("--no-uniqueness")
    for_all = run("rate", RECTANGLE, "--json").json()["turning_points"][0]["steps"]
    without = run("rate", RECTANGLE, "--json", "--no-uniqueness").json()["turning_points"][0][
        "steps"
    ]
    assert [step for step in for_all if step["technique"] not in BY_UNIQUENESS] == without
    for command in ("hint", "walkthrough"):
        assert run(command, RECTANGLE, "--no-uniqueness").code == 0


def test_a_picture_shows_which_digits_were_not_given(run: Run, tmp_path: Path) -> None:
    def drawn(*own: str) -> bytes:
        out = tmp_path / f"{len(own)}.png"
        assert run("picture", CROOK_AFTER_SINGLES, "--out", str(out), *own).code == 0
        return out.read_bytes()

    board = GridPicture(givens=CROOK, position=Position(CROOK_AFTER_SINGLES))
    marks = zip(cells_of(CLASSIC_SHAPE), CROOK_AFTER_SINGLES, CROOK, strict=True)
    own = ", ".join(cell for cell, now, first in marks if now != first)
    assert drawn("--own", own) == drawing.draw(board, "light")
    assert drawn() != drawn("--own", own)


def test_struck_candidates_that_cannot_be_read_are_told(run: Run) -> None:
    outcome = run("steps", CROOK, "--removed", "r1c2")
    assert outcome.code == 2
    assert "--removed 'r1c2 3, r1c4 1 5'" in outcome.err


def test_a_leader_asks_for_a_theme_first(run: Run) -> None:
    given = (WORKED, "--theme", "naked-triple")
    assert run("hint", WORKED, "--json").json()["technique"] != "naked-triple"
    assert run("hint", *given, "--json").json()["technique"] == "naked-triple"
    steps = run("walkthrough", *given, "--json").json()
    assert steps["solved"]
    assert "naked-triple" in {step["technique"] for step in steps["steps"]}
    refused = run("walkthrough", WORKED, "--theme", "guessing")
    assert refused.code == 2
    assert "ninebark walkthrough GRID --theme naked-pair" in refused.err


def test_an_unknown_technique_is_told_with_those_known(run: Run) -> None:
    outcome = run("steps", CROOK, "--technique", "guessing")
    assert outcome.code == 2
    assert "naked-pair" in outcome.err


def test_hint_gives_four_rungs(run: Run) -> None:
    outcome = run("hint", CROOK_AFTER_SINGLES, "--json")
    assert outcome.code == 0
    step = outcome.json()
    assert set(step) == STEP_FIELDS
    assert list(step["rungs"]) == ["where", "what", "which", "why"]
    text = run("hint", CROOK_AFTER_SINGLES).out
    assert [line.split()[0] for line in text.splitlines()] == ["Where", "What", "Which", "Why"]


def test_walkthrough_leads_to_the_solution(run: Run) -> None:
    walk = run("walkthrough", CROOK, "--json").json()
    assert walk["solved"] is True
    assert all(set(step) == STEP_FIELDS for step in walk["steps"])
    placed = dict(place for step in walk["steps"] for place in step["places"])
    assert len(placed) == CROOK.count(".")


def test_hint_refuses_a_grid_that_logic_cannot_settle(run: Run) -> None:
    outcome = run("hint", TWO_SOLUTIONS)
    assert outcome.code == 2
    assert "more than one solution" in outcome.err.lower()


def test_picture_writes_a_png_and_says_what_is_on_it(run: Run, tmp_path: Path) -> None:
    out = tmp_path / "crook.png"
    outcome = run("picture", CROOK, "--out", str(out), "--hint", "which", "--look", "dark")
    assert outcome.code == 0
    assert out.read_bytes().startswith(b"\x89PNG")
    assert outcome.out.strip()


@pytest.mark.parametrize("name", ["crook.txt", "crook", "crook.jpeg"])
def test_a_picture_is_only_saved_under_a_name_for_one(run: Run, tmp_path: Path, name: str) -> None:
    outcome = run("picture", CROOK, "--out", str(tmp_path / name))
    assert (outcome.code, outcome.out) == (2, "")
    assert name in outcome.err
    assert "--out grid.png" in outcome.err
    assert list(tmp_path.iterdir()) == []
    assert run("picture", CROOK, "--out", str(tmp_path / "CROOK.PNG")).code == 0


def test_make_gives_the_same_puzzles_for_the_same_seed(run: Run) -> None:
    first = run("make", "--level", "1", "--count", "2", "--seed", "5", "--json")
    again = run("make", "--level", "1", "--count", "2", "--seed", "5", "--json")
    assert first.out == again.out
    made = [json.loads(line) for line in first.out.splitlines()]
    assert len(made) == 2
    for each in made:
        assert set(each) == {"puzzle", "solution", "level", "needs", "seed"}
        rating = run("rate", each["puzzle"], "--json").json()
        assert (rating["solution"], rating["level"]) == (each["solution"], 1)


# --- the host's commands ---


@pytest.fixture
def config(tmp_path: Path) -> Path:
    path = tmp_path / "config.toml"
    path.write_text(
        '[[club]]\nplatform = "web"\nroom = "main"\nname = "Hedgerow Sudoku Club"\n',
        encoding="utf-8",
    )
    return path


def test_check_tells_of_a_typo_and_else_says_fine(run: Run, config: Path) -> None:
    fine = run("check", "--config", str(config))
    assert fine.code == 0
    assert "Hedgerow Sudoku Club" in fine.out
    config.write_text(config.read_text(encoding="utf-8") + "zoen = 1\n", encoding="utf-8")
    wrong = run("check", "--config", str(config))
    assert wrong.code == 2
    assert "`zone`" in wrong.err


def test_a_data_folder_that_cannot_be_written_is_told(
    run: Run, config: Path, tmp_path: Path
) -> None:
    (tmp_path / "file").write_text("in the way", encoding="utf-8")
    config.write_text('data = "file/data"\n' + config.read_text(encoding="utf-8"), encoding="utf-8")
    for command in ("check", "run"):
        outcome = run(command, "--config", str(config))
        assert outcome.code == 2
        assert "cannot be used" in outcome.err


@pytest.mark.parametrize(
    ("kept", "told"),
    [
        (None, "cannot be read: No such file"),
        (b"\xff\xfe\x00", "is not a text file."),
        (b"two words", "does not hold a token."),
        (b"", "does not hold a token."),
    ],
)
def test_a_token_file_that_has_no_token_is_told_with_its_reason(
    run: Run,
    config: Path,
    monkeypatch: pytest.MonkeyPatch,
    kept: bytes | None,
    told: str,
) -> None:
    monkeypatch.delenv("NINEBARK_DISCORD_TOKEN", raising=False)
    if kept is not None:
        (config.parent / "token").write_bytes(kept)
    text = config.read_text(encoding="utf-8")
    config.write_text(f'{text}\n[discord]\ntoken_file = "token"\n', encoding="utf-8")
    outcome = run("run", "--config", str(config))
    assert outcome.code == 2
    assert f"The token file {config.parent / 'token'} {told}" in outcome.err
    assert "Example: export NINEBARK_DISCORD_TOKEN=" in outcome.err


def test_a_backup_is_a_sound_copy_and_can_be_put_back(
    run: Run, config: Path, tmp_path: Path
) -> None:
    run("puzzles", "add", "--config", str(config), CROOK)
    copy = tmp_path / "copy.db"
    assert run("backup", "--config", str(config), str(copy)).code == 0
    with sqlite3.connect(copy) as link:
        assert link.execute("PRAGMA integrity_check").fetchone() == ("ok",)
    link.close()
    again = run("backup", "--config", str(config), str(copy))
    assert again.code == 2
    assert "never overwrites" in again.err
    restored = run("restore", "--config", str(config), str(copy))
    assert restored.code == 0
    assert "kept as" in restored.out
    assert CROOK in run("puzzles", "list", "--config", str(config)).out


def test_the_version_is_that_of_the_package(run: Run) -> None:
    told = tomllib.loads(Path("pyproject.toml").read_text(encoding="utf-8"))["project"]["version"]
    outcome = run("--version")
    assert (outcome.code, outcome.out) == (0, f"ninebark {told}\n")


def test_wrong_arguments_exit_with_2(run: Run) -> None:
    assert run("rat", CROOK).code == 2
    assert run("try", "--port", "99999").code == 2
