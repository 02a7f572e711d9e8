"""Pasted grids: every dress that people bring, and what is refused with which facts."""

from __future__ import annotations

import pytest

from engine.board.grid import draw_grid, parse_grid
from engine.board.layout import CLASSIC, MIDDLE, SMALL, regular_layout
from engine.board.pasting import read_pasted
from engine.errors import GridCharacterError, GridLengthError

PUZZLE = "53..7....6..195....98....6.8...6...34..8.3..17...2...6.6....28....419..5....8..79"
ROWS = [PUZZLE[start : start + 9] for start in range(0, 81, 9)]  # not a size: the text's own

SPACED = "\n".join(" ".join(row) for row in ROWS)


def with_rulers(ruler: str, bar: str = "|", frame: str = "") -> str:
    """Draw the rows in boxes, with a ruler between bands and perhaps around it all."""
    lines = [f"{frame}{bar.join((row[:3], row[3:6], row[6:]))}{frame}" for row in ROWS]
    for place in (6, 3):
        lines.insert(place, ruler)
    return "\n".join([ruler, *lines, ruler] if frame else lines)


BLANK_MARKS = ["0", "_", "*", "-", "?", "x", "X", "#", "·", "•", "□", "▢", "\u2013", "\u2014"]


@pytest.mark.parametrize("mark", BLANK_MARKS)
def test_any_usual_mark_stands_for_a_blank(mark: str) -> None:
    assert read_pasted("\n".join(ROWS).replace(".", mark)).text == PUZZLE
    assert read_pasted(PUZZLE.replace(".", mark)).text == PUZZLE
    assert read_pasted(SPACED.replace(".", mark)).text == PUZZLE


@pytest.mark.parametrize(
    "text",
    [
        PUZZLE,
        "\n".join(ROWS),
        "\r\n".join(ROWS),
        "\n\n".join(ROWS),
        SPACED,
        f"\n\n  {PUZZLE}  \n",
        "\ufeff" + PUZZLE,
        PUZZLE.replace("...", "…"),
        PUZZLE[:40] + "\n" + PUZZLE[40:],  # a line break where none belongs
        " ".join(ROWS),  # line breaks lost
        "```\n" + "\n".join(ROWS) + "\n```",
        "```text\n" + SPACED + "\n```",
        "\n".join(row + "," for row in ROWS),
        "\n".join("\t".join(row) for row in ROWS),
        ",".join(PUZZLE),
        "\u00a0".join(PUZZLE),  # spaces that do not break
        "".join(chr(ord(mark) + 0xFEE0) if mark != "." else mark for mark in PUZZLE),  # full width
        PUZZLE.translate(str.maketrans("123456789", "①②③④⑤⑥⑦⑧⑨")),
    ],
)
def test_the_plain_dresses_are_read(text: str) -> None:
    assert read_pasted(text).text == PUZZLE


@pytest.mark.parametrize(
    "text",
    [
        draw_grid(parse_grid(PUZZLE)),
        with_rulers("---+---+---"),
        with_rulers("-----------"),
        with_rulers("- - - + - - - + - - -"),
        with_rulers("===+===+==="),
        with_rulers("---|---|---"),
        with_rulers("___________"),
        with_rulers("+---+---+---+", frame="|"),
        with_rulers("", bar="  "),
        with_rulers("───┼───┼───", bar="│"),
        with_rulers("╠═══╬═══╬═══╣", bar="║", frame="║"),
        with_rulers("---+---+---").replace(".", "-"),
        with_rulers("---+---+---").replace(".", "_"),
        with_rulers("------+-------+------", bar=" | "),
    ],
)
def test_rulers_and_frames_are_left_out(text: str) -> None:
    assert read_pasted(text).text == PUZZLE


@pytest.mark.parametrize(
    "text",
    [
        "\n".join(ROWS).replace(".", " "),
        "\n".join(row.rstrip() for row in "\n".join(ROWS).replace(".", " ").splitlines()),
        "\n".join(" ".join(row) for row in ROWS).replace(".", " "),
        "\n".join(" ".join(row).replace(".", " ").rstrip() for row in ROWS),
        with_rulers("---+---+---").replace(".", " "),
        with_rulers("+---+---+---+", frame="|").replace(".", " "),
        "\n\n" + "\n".join(ROWS).replace(".", " ") + "\n",
        with_rulers("----+-----+----", bar=" | ").replace(".", " "),
    ],
)
def test_a_space_is_a_blank_where_lines_are_rows(text: str) -> None:
    assert read_pasted(text).text == PUZZLE


EMPTY_ROWS = [(8,), (0,), (0, 8), (0, 1, 7, 8)]


def with_empty(*empty: int) -> list[str]:
    return ["." * 9 if place in empty else row for place, row in enumerate(ROWS)]


@pytest.mark.parametrize("ends", ["{}", "{}\n", "\n{}\n", "{}\n   \n"])
@pytest.mark.parametrize("empty", EMPTY_ROWS)
@pytest.mark.parametrize("between", ["", " "])
def test_a_row_of_spaces_alone_is_a_row(empty: tuple[int, ...], ends: str, between: str) -> None:
    rows = with_empty(*empty)
    spaced = "\n".join(between.join(row) for row in rows).replace(".", " ")
    assert read_pasted(ends.format(spaced)).text == "".join(rows)


@pytest.mark.parametrize("ends", ["{}", "{}\n", "\n{}\n"])
@pytest.mark.parametrize("empty", EMPTY_ROWS)
def test_a_row_of_which_nothing_was_left_is_a_row(empty: tuple[int, ...], ends: str) -> None:
    rows = with_empty(*empty)
    trimmed = "\n".join(row.replace(".", " ").rstrip() for row in rows)
    assert read_pasted(ends.format(trimmed)).text == "".join(rows)


@pytest.mark.parametrize("mark", ["\t", ",", ";", "|"])
def test_the_empty_fields_of_a_table_are_blanks(mark: str) -> None:
    lines = [mark.join(row).replace(".", "") for row in ROWS]
    assert read_pasted("\n".join(lines)).text == PUZZLE
    framed = [f"{mark}{line}{mark}" for line in lines]
    assert read_pasted("\n".join(framed)).text == PUZZLE


def test_a_table_with_a_ruler_below_its_first_row_is_read() -> None:
    lines = ["| " + " | ".join(row.replace(".", " ")) + " |" for row in ROWS]
    lines.insert(1, "|---|---|---|---|---|---|---|---|---|")
    assert read_pasted("\n".join(lines)).text == PUZZLE


LABELS = ["{}: ", "{} ", "r{} ", "R{}: ", "row {}: ", "{}. ", "{}) ", "{}| "]
HEADINGS = ["    1 2 3 4 5 6 7 8 9", "  123 456 789", "   c1 c2 c3 c4 c5 c6 c7 c8 c9"]


@pytest.mark.parametrize("label", LABELS)
def test_row_labels_are_left_out_where_every_row_has_its_own(label: str) -> None:
    text = "\n".join(label.format(number) + row for number, row in enumerate(ROWS, start=1))
    assert read_pasted(text).text == PUZZLE


@pytest.mark.parametrize("heading", HEADINGS)
def test_column_labels_are_left_out_where_rows_have_labels(heading: str) -> None:
    lines = [f"{number} | {' '.join(row)}" for number, row in enumerate(ROWS, start=1)]
    assert read_pasted("\n".join([heading, *lines])).text == PUZZLE
    assert read_pasted("\n".join([*lines, heading])).text == PUZZLE


def test_letters_label_rows_too() -> None:
    text = "\n".join(f"{letter} {row}" for letter, row in zip("ABCDEFGHI", ROWS, strict=True))
    assert read_pasted(text).text == PUZZLE


def test_a_row_that_reads_1_to_9_is_a_row_and_no_heading() -> None:
    text = "\n".join(["123456789", *ROWS[1:]])
    assert read_pasted(text).text == "123456789" + PUZZLE[9:]


def test_rows_of_dashes_alone_are_blank_rows_when_the_count_says_so() -> None:
    text = "\n".join(["---------", *ROWS[1:8], "---------"])
    assert read_pasted(text).text == "." * 9 + PUZZLE[9:72] + "." * 9


def test_an_empty_grid_is_read() -> None:
    assert read_pasted("." * 81).filled == ()
    assert read_pasted("\n".join(["_" * 9] * 9)).filled == ()


def test_a_digit_twice_in_a_row_is_read_and_not_judged() -> None:
    slip = "55" + PUZZLE[2:]
    assert read_pasted(slip).text == slip
    assert read_pasted(slip).filled[:2] == ((0, 5), (1, 5))


def test_small_layouts_are_read_by_the_same_code() -> None:
    assert read_pasted("1. .. / ".replace("/", "") + "...." * 3, SMALL).text == "1" + "." * 15
    assert read_pasted("12|3\n  | 4\n--+--\n  |\n4 |", SMALL).text == "123....4....4..."
    assert read_pasted("123456" + "." * 30, MIDDLE).text == "123456" + "." * 30


@pytest.mark.parametrize(
    ("text", "found"),
    [
        (PUZZLE[:-1], 80),
        (PUZZLE + ".", 82),
        ("\n".join(ROWS[:8]), 72),
        ("", 0),
        ("\n\n", 0),
        (PUZZLE + PUZZLE, 162),
        ("---------", 0),
    ],
)
def test_a_wrong_number_of_cells_is_refused_with_both_numbers(text: str, found: int) -> None:
    with pytest.raises(GridLengthError) as caught:
        read_pasted(text)
    assert (caught.value.found, caught.value.expected) == (found, CLASSIC.cell_count)


@pytest.mark.parametrize(
    ("text", "character"),
    [
        (PUZZLE.replace("8", "B", 1), "B"),
        ("my grid is " + PUZZLE, "m"),
        ("\n".join(ROWS).replace("4", "é", 1), "é"),
        ("r1 " + PUZZLE, "r"),
    ],
)
def test_another_character_is_refused_with_its_place(text: str, character: str) -> None:
    with pytest.raises(GridCharacterError) as caught:
        read_pasted(text)
    assert caught.value.character == character
    assert text[caught.value.index] == character


def test_a_digit_beyond_the_layout_is_no_digit() -> None:
    with pytest.raises(GridCharacterError):
        read_pasted("5" + "." * 15, regular_layout(2, 2))


def test_the_place_of_a_character_is_right_after_windows_line_ends_and_dots() -> None:
    text = "…\r\n…\r\nB"
    with pytest.raises(GridCharacterError) as caught:
        read_pasted(text)
    assert text[caught.value.index] == "B"
