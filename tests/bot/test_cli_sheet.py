"""Sheets to print: what stands on paper is read back from the PDF, and looked at as pixels."""

from __future__ import annotations

import logging
import sys
from pathlib import Path

import pytest

from bot.cli.main import main
from bot.club.answer_key import line_names
from bot.club.exercises import draw_several
from bot.wording.rungs import why
from engine import find_solutions, format_grid, layout_named
from tests.bot import paper
from tests.bot.test_cli_layouts import IN_LOOPS, LOOPS, ON_DIAGONALS

PAIR = "23..7.....8..56.215....8.7.....14.....75.34.....68.....2.1....965.83..1.....4..86"
CROOK = ".395........8...7.....1.9.41..4....3...........7...86...67.82...1..9...5.....1..8"
HOSTILE = "<script>alert(1)</script> (\\) %PDF \u202egnp.exe /JS Жук Őri"


def solution_of(puzzle: str) -> str:
    (solved,) = find_solutions(puzzle)
    return format_grid(solved)


def test_puzzles_and_their_answers_stand_on_paper_as_they_were_given(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], caplog: pytest.LogCaptureFixture
) -> None:
    caplog.set_level(logging.INFO)
    out = tmp_path / "sheet.pdf"
    words = ["--credit", HOSTILE, "--title", "Hedgerow, week 48", "--lines"]
    assert main(["sheet", PAIR, CROOK, "--out", str(out), *words]) == 0
    assert not caplog.records, "whose puzzles these are is nobody else's business"
    told = capsys.readouterr().out
    assert "2 puzzles" in told
    assert "don't have Ж" in told
    content = out.read_bytes()
    assert paper.problems_of(content) == []
    puzzles, answers = paper.read_pages(content)
    assert [grid.text for grid in puzzles.grids] == [PAIR, CROOK]
    assert [grid.text for grid in answers.grids] == [solution_of(PAIR), solution_of(CROOK)]
    assert [round(side) for side in puzzles.size] == [210, 297]
    assert puzzles.words.count("Hedgerow, week 48") == 1
    assert puzzles.words.count("<script>alert(1)</script> (\\) %PDF gnp.exe /JS") == 2
    assert "Őri" in puzzles.words
    assert "Puzzle 1, level" in puzzles.words
    assert f"Answer: {', then '.join(line_names(CROOK))}" in puzzles.words
    assert "Answers" in answers.words
    assert paper.is_black_alone(puzzles.picture)


def test_six_share_a_page_with_room_for_small_marks_and_answers_upside_down(
    tmp_path: Path,
) -> None:
    out, source = tmp_path / "sheet.pdf", tmp_path / "week.txt"
    source.write_text("\n".join([PAIR, CROOK] * 3 + [PAIR]), encoding="utf-8")
    options = ["--per-page", "6", "--paper", "letter", "--answers", "below", "--title", "Week 48"]
    assert main(["sheet", str(source), "--out", str(out), *options]) == 0
    pages = paper.read_pages(out.read_bytes())
    assert [[grid.text for grid in page.grids] for page in pages] == [[PAIR, CROOK] * 3, [PAIR]]
    assert [round(side) for side in pages[0].size] == [216, 279]
    cells = {round(grid.cell, 2) for page in pages for grid in page.grids}
    assert len(cells) == 1
    assert min(cells) > 6.0  # millimetres
    below = [letter for letter in pages[0].letters if letter.is_upside_down]
    rows = "".join(letter.text for letter in below if letter.bottom < 60)
    assert all(solution_of(PAIR)[start : start + 9] in rows for start in range(0, 81, 9))
    assert all(letter.is_upside_down is (letter in below) for letter in pages[0].letters)


def test_exercises_come_with_their_candidates_and_the_find_on_the_last_page(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "sheet.pdf"
    words = ["--practice", "avoidable-rectangle", "--per-page", "4", "--seed", "7"]
    assert main(["sheet", "--out", str(out), *words]) == 0
    assert "has 4 exercises." in capsys.readouterr().out
    exercises, answers = paper.read_pages(out.read_bytes())
    drawn = draw_several("avoidable-rectangle", "7", 4)
    assert len({each.base for each in drawn}) == 4
    for number, (grid, each) in enumerate(zip(exercises.grids, drawn, strict=True), start=1):
        position = each.position.to_grid()
        for cell in position.layout.cells_in(position.open_cells):
            noted = sorted(map(int, grid.digits[cell]))
            assert tuple(noted) == position.candidates_at(cell)
        heading = f"Exercise {number}: find an avoidable rectangle"
        assert heading in exercises.words
        assert heading in " ".join(answers.words.split()), "no name is cut short"
        assert each.step is not None
        told = why(each.step, each.position)
        assert " ".join(told.split()) in " ".join(answers.words.split())
    assert answers.grids == ()


def is_dark(page: paper.PaperPage, x: float, y: float) -> bool:
    """Tell whether a page is black at a place, in millimetres from its bottom left."""
    scale = page.picture.height / page.size[1]
    at = (round(x * scale), round((page.size[1] - y) * scale))
    return page.picture.getpixel(at)[0] < 128


@pytest.mark.parametrize(
    ("name", "puzzle"), [(LOOPS, IN_LOOPS), ("diagonal", ON_DIAGONALS)], ids=("loops", "diagonal")
)
def test_boxes_of_any_shape_and_diagonals_can_be_seen(
    tmp_path: Path, name: str, puzzle: str
) -> None:
    out, layout = tmp_path / "sheet.pdf", layout_named(name)
    options = ["--layout", name, "--per-page", "1", "--answers", "none"]
    assert main(["sheet", puzzle, "--out", str(out), *options]) == 0
    (page,) = paper.read_pages(out.read_bytes())
    (grid,) = page.grids
    assert grid.text == puzzle
    assert ("Each diagonal has every digit once" in page.words) is layout.has_diagonals
    on_both = {cell for house in layout.diagonals for cell in house.cells}
    for cell in layout.cells_in(layout.all_cells):
        row, column = layout.row_of(cell) - 1, layout.column_of(cell) - 1
        left, right, top = grid.columns[column], grid.columns[column + 1], grid.rows[row]
        aside = grid.cell / 90
        if column + 1 < layout.size:
            is_heavy = is_dark(page, right - 2.4 * aside, top - grid.cell / 3)
            assert is_heavy is layout.is_apart(cell, cell + 1)
        corners = [(left, 1), (right, -1)]
        wedges = [is_dark(page, x + 5.6 * aside * to, top - 5.6 * aside) for x, to in corners]
        assert any(wedges) is (cell in on_both)


def test_without_the_library_it_is_said_what_to_install(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "fpdf", None)
    out = tmp_path / "sheet.pdf"
    assert main(["sheet", PAIR, "--out", str(out)]) == 1
    assert "pip install 'ninebark[print]'" in capsys.readouterr().err
    assert not out.exists()
    config = tmp_path / "config.toml"
    config.write_text('[[club]]\nplatform = "web"\nroom = "main"\nname = "Hedgerow"\n')
    main(["check", "--config", str(config)])
    assert "pip install 'ninebark[print]'" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--kit", PAIR], "The kit has its own pages"),
        (["--practice=guessing"], "I have no exercises of 'guessing'"),
        ([PAIR, "--per-page=7"], "'7' is not a number of puzzles for a page; give 1 to 6"),
        ([PAIR, "." * 81], "More than one solution"),
        ([PAIR, "no-such-file.txt"], "There is no file no-such-file.txt"),
    ],
)
def test_what_cannot_be_printed_is_refused_in_plain_words(
    words: list[str], said: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "sheet.pdf"
    try:
        code = main(["sheet", *words, "--out", str(out)])
    except SystemExit as ended:
        code = ended.code
    assert code == 2
    assert said in capsys.readouterr().err
    assert not out.exists()


def test_a_place_that_cannot_be_written_to_is_named(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "nowhere" / "sheet.pdf"
    assert main(["sheet", PAIR, "--out", str(out)]) == 2
    assert f"I can't write {out}" in capsys.readouterr().err
