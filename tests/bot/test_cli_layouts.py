"""The command line on other layouts than the classic one."""

from __future__ import annotations

import io
import json
from pathlib import Path

import pytest
from PIL import Image

from bot.cli.main import main
from engine.board.grid import format_grid, parse_grid
from engine.board.layout import DIAGONAL
from engine.board.layout_names import layout_named
from engine.search.exact import find_solutions

# Puzzles made by Ninebark.
ON_DIAGONALS = "....8.......3.5.4..8.6.9..........57.729...13519...2.6...........1....3....1.8..."
LOOPS = (
    "irregular:111122222314444225311144225331664445336666775388669755388699775389999975888897775"
)
IN_LOOPS = "7....3.......5.7..1...........5.....5...9.......21...5...8.26...2..86...8.6....37"
FIVES = "irregular:aaabbacabbccdbeccdeedddee"
# The encyclopaedia example, also in SQLite's documentation and PuLP's example.
ENCYCLOPAEDIA = "53..7....6..195....98....6.8...6...34..8.3..17...2...6.6....28....419..5....8..79"

Said = tuple[int, str, str]


def say(capsys: pytest.CaptureFixture[str], *arguments: str) -> Said:
    code = main(arguments)
    out, err = capsys.readouterr()
    return code, out, err


@pytest.mark.parametrize(
    ("layout", "puzzle"), [("diagonal", ON_DIAGONALS), (LOOPS, IN_LOOPS)], ids=("diagonal", "loops")
)
def test_a_puzzle_is_judged_by_the_houses_of_its_layout(
    layout: str, puzzle: str, capsys: pytest.CaptureFixture[str]
) -> None:
    code, out, _ = say(capsys, "rate", "--json", "--layout", layout, puzzle)
    rating = json.loads(out)
    (solution,) = find_solutions(parse_grid(puzzle, layout=layout_named(layout)))
    assert (code, rating["solutions"], rating["solution"]) == (0, 1, format_grid(solution))
    assert say(capsys, "rate", puzzle)[0] == 2  # as a classic one it has no single solution


def test_a_classic_puzzle_need_not_do_for_diagonals(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = say(capsys, "rate", "--layout", "diagonal", ENCYCLOPAEDIA)
    assert code == 2
    assert "No solution" in out


def test_steps_and_hints_name_diagonals(capsys: pytest.CaptureFixture[str]) -> None:
    houses = set()
    code, out, _ = say(capsys, "walkthrough", "--json", "--layout", "diagonal", ON_DIAGONALS)
    path = json.loads(out)
    assert (code, path["solved"]) == (0, True)
    for step in path["steps"]:
        houses |= set(step["houses"])
    assert {"diagonal 1", "diagonal 2"} & houses
    code, out, _ = say(capsys, "steps", "--layout", "diagonal", ON_DIAGONALS)
    assert (code, "hidden single" in out) == (0, True)


def test_a_hint_on_irregular_boxes_has_its_rungs(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = say(capsys, "hint", "--json", "--layout", LOOPS, IN_LOOPS)
    hint = json.loads(out)
    assert code == 0
    assert list(hint["rungs"]) == ["where", "what", "which", "why"]
    ((cell, digit),) = hint["places"]
    (solution,) = find_solutions(parse_grid(IN_LOOPS, layout=layout_named(LOOPS)))
    assert solution.digit_at(solution.layout.parse_cell(cell)) == digit


@pytest.mark.parametrize("layout", ["diagonal", FIVES, "4x4", "6x6", "diagonal:6x6"])
def test_made_puzzles_are_of_the_layout(layout: str, capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = say(capsys, "make", "--json", "--layout", layout, "--level", "1", "--seed", "4")
    made = json.loads(out)
    puzzle = parse_grid(made["puzzle"], layout=layout_named(layout))
    assert code == 0
    assert [format_grid(each) for each in find_solutions(puzzle)] == [made["solution"]]


def test_several_grids_of_a_layout_that_has_no_size_of_its_own(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    _, out, _ = say(capsys, "make", "--layout", FIVES, "--count", "2", "--level", "1")
    monkeypatch.setattr("sys.stdin", io.StringIO(out))
    code, said, _ = say(capsys, "rate", "--layout", FIVES, "-")
    assert (code, said.count("level 1")) == (0, 2)


def test_a_picture_tells_of_its_layout_in_words_too(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "grid.png"
    for layout, puzzle, words in (
        ("diagonal", ON_DIAGONALS, "Both diagonals are houses too."),
        (LOOPS, IN_LOOPS, "Irregular boxes; the box of each cell, row by row: 111122222 "),
    ):
        for hint in ((), ("--hint", "why")):
            code, out, _ = say(
                capsys, "picture", "--layout", layout, "--out", str(file), *hint, puzzle
            )
            assert (code, words in out) == (0, True)
            with Image.open(file) as image:
                assert image.format == "PNG"


@pytest.mark.parametrize(
    ("layout", "word"),
    [
        ("oblong", "diagonal"),
        ("irregular:12", "marks"),
        ("irregular:1123", "boxes"),
        ("irregular:1112222333344444", "Box"),
        ("irregular:1221211234434334", "pieces"),
    ],
)
def test_a_layout_that_is_none_is_refused_with_an_example(
    layout: str, word: str, capsys: pytest.CaptureFixture[str]
) -> None:
    for command in (("rate", ON_DIAGONALS), ("make",)):
        code, out, err = say(capsys, *command, "--layout", layout)
        assert (code, out) == (2, "")
        assert word in err
        assert "Example: " in err


def test_a_layout_that_no_grid_fills_is_refused(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, err = say(
        capsys, "make", "--layout", "diagonal:irregular:112223411233411223444433555666555666"
    )
    assert (code, out) == (2, "")
    assert "no way to fill" in err


def test_a_grid_of_another_size_than_its_layout_is_refused(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert say(capsys, "rate", "--layout", "6x6", "." * DIAGONAL.cell_count)[0] == 2
