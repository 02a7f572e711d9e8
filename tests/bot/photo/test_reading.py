"""Photos of paper grids become boards: found, turned, read, and never corrected."""

from __future__ import annotations

import cv2
import numpy as np

from bot.photo.reading import read_photo
from bot.photo.told import PhotoProblem
from engine import count_solutions
from tests.bench.photo.hands import own_supplies
from tests.bench.photo.no_grid import sums
from tests.bench.photo.paper import CELL, MARGIN
from tests.bench.photo.scoring import score
from tests.bot.photo.photos import OTHER, SMALL, photo, puzzle, sheet

TODAY = {"today": puzzle()}


def test_without_a_puzzle_the_turn_is_the_one_that_reads_best() -> None:
    shot, content = photo("printed", 1)
    image = cv2.imdecode(np.frombuffer(shot.content, np.uint8), cv2.IMREAD_GRAYSCALE)
    turned = cv2.imencode(".png", cv2.rotate(image, cv2.ROTATE_90_CLOCKWISE))[1].tobytes()
    reading = read_photo(turned, {})
    assert reading.puzzle is None
    assert reading.turned == (shot.turned + 90) % 360
    assert score(reading, reading.turned, content).silent == 0


def test_a_grid_of_six_is_read_too() -> None:
    assert count_solutions(puzzle(SMALL)) == 1
    shot, content = photo("printed", 3, SMALL)
    scored = score(
        read_photo(shot.content, {"small": puzzle(SMALL), **TODAY}), shot.turned, content
    )
    assert scored.is_found
    assert scored.silent == 0


def test_a_puzzle_of_a_size_that_cannot_be_read_is_told_so_whatever_the_photo_shows() -> None:
    four = {"today": puzzle("1......3.4.....2")}
    shot, _ = photo("printed", 1)
    assert read_photo(shot.content, four).problem is PhotoProblem.OTHER_SIZE
    assert read_photo(shot.content, {**four, **TODAY}).puzzle == "today"


def test_a_grid_in_pieces_for_the_folds_of_its_paper_is_found_whole() -> None:
    drawn, content = sheet("printed", 3)
    page = drawn.page.copy()
    for fold in (2.4, 4.7):
        start = MARGIN + int(fold * CELL)
        page[start : start + 8] = page[:, start : start + 8] = 1
    smaller = cv2.resize(page, None, fx=0.6, fy=0.6, interpolation=cv2.INTER_AREA) * 230
    packed = cv2.imencode(".png", smaller.astype(np.uint8))[1].tobytes()
    scored = score(read_photo(packed, TODAY), 0, content)
    assert scored.is_found
    assert scored.silent == 0


def test_another_puzzle_is_told_apart() -> None:
    shot, _ = photo("printed", 1, OTHER)
    assert read_photo(shot.content, TODAY).problem is PhotoProblem.ANOTHER_PUZZLE
    assert read_photo(shot.content, {**TODAY, "other": puzzle(OTHER)}).puzzle == "other"


def test_a_mistake_stays_as_it_is_written() -> None:
    shot, content = photo("printed", 4, mistakes=3)
    reading = read_photo(shot.content, TODAY)
    assert len(content.wrong) == 3
    assert score(reading, shot.turned, content).lost == 0
    written = {cell for cell in content.wrong if reading.grid[cell] == str(content.kinds[cell])}
    assert len(written) >= 2


def test_what_clashes_is_shown_and_marked() -> None:
    shot, content = photo("screen", 7, mistakes=2)
    reading = read_photo(shot.content, TODAY)
    layout = puzzle().layout
    clashing = [
        cell
        for cell in content.wrong
        for other in layout.cells_in(layout.peers[cell])
        if content.kinds[cell] == content.kinds[other]
    ]
    assert clashing
    for cell in clashing:
        assert layout.format_cell(cell) in reading.doubtful
        assert reading.grid[cell] == str(content.kinds[cell])


def test_two_grids_are_too_many() -> None:
    page = sheet("printed", 8)[0].page
    both = np.hstack([page, page])
    content = cv2.imencode(".png", (cv2.resize(both, None, fx=0.6, fy=0.6) * 230).astype(np.uint8))
    problem = read_photo(content[1].tobytes(), TODAY).problem
    assert problem is PhotoProblem.TWO_GRIDS
    one = np.hstack([page, sheet("printed", 8, OTHER)[0].page[: page.shape[0]]])
    beside = cv2.imencode(".png", (cv2.resize(one, None, fx=0.6, fy=0.6) * 230).astype(np.uint8))
    assert read_photo(beside[1].tobytes(), TODAY).puzzle == "today"


def test_what_is_no_grid_is_none() -> None:
    squares = np.kron(np.indices((9, 9)).sum(axis=0) % 2, np.ones((60, 60)))
    lines = np.full((600, 600), 230.0)
    lines[30:571:60, 30:571] = 30
    lines[30:571, 30:571:60] = 30
    for picture in (np.full((400, 400), 200.0), squares * 200 + 20, lines):
        content = cv2.imencode(".png", picture.astype(np.uint8))[1].tobytes()
        assert read_photo(content, TODAY).problem is PhotoProblem.NO_GRID
        assert read_photo(content, {}).problem is PhotoProblem.NO_GRID


def test_a_table_of_numbers_whose_digits_read_well_is_no_grid() -> None:
    random = np.random.default_rng(26)  # nine rows of five numbers, three digits each
    content = cv2.imencode(".jpg", sums(own_supplies(), random))[1].tobytes()
    for puzzles in (TODAY, {}):
        assert read_photo(content, puzzles).problem is PhotoProblem.NO_GRID


def test_a_blurred_photo_is_told_so() -> None:
    drawn, _ = sheet("printed", 1)
    small = cv2.resize(drawn.page, None, fx=0.6, fy=0.6)
    blurred = cv2.GaussianBlur(small, (0, 0), 0.14 * CELL * 0.6) * 220
    content = cv2.imencode(".jpg", blurred.astype(np.uint8))[1].tobytes()
    for puzzles in (TODAY, {}):
        assert read_photo(content, puzzles).problem is PhotoProblem.TOO_BLURRED
