"""Makes `assets/practice/positions.tsv` again: positions to practise each technique at.

They come from the corpus: its own positions, and those where its puzzles are stuck, or the shared
ones, where these stand beside the checkout. None is of a puzzle that an installation starts with:
clubs get those as a day's puzzle. First come positions where nothing was struck on the way: they
can be shown without candidates. Where a position of the corpus has several solutions, right digits
are added until one is left; of quads and jellyfish, where that nearly never comes about, positions
are taken as they are. Run as `python -m tests.practice_positions`; it takes minutes of all cores.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from random import Random

from bot import assets
from bot.club.exercises import FEWEST
from engine import (
    LADDER,
    Grid,
    apply_step,
    canonical_form,
    count_solutions,
    find_own_steps,
    find_steps,
    format_grid,
    parse_grid,
    position_of,
    solve,
)
from engine.board.applying import apply_steps
from tests.corpus import SHARED_PUZZLES, Sample, load_puzzles, load_samples

MOST = {1: 100, 2: 100, 3: 100, 4: 100, 5: 60, 6: 20}
"""So many positions of a technique are kept, by its level."""
HIGHEST_WALKED = 5
"""Techniques above are not looked for on the way: they are found nearly anywhere."""
SINGLES = ("hidden-single", "naked-single")


def walk(givens: str) -> list[tuple[str, str, Grid]]:
    """Return (technique, fingerprint, position) of what a puzzle has on its way."""
    found: list[tuple[str, str, Grid]] = []
    had: set[str] = set()
    solution = solve(givens)
    assert solution is not None
    grid = parse_grid(givens)
    while not grid.is_complete:
        for shown in dict.fromkeys((_bare(grid), grid)):
            for technique in _had_at(shown, had):
                had.add(f"{technique} {shown.removed_mask == 0}")
                form = canonical_form(format_grid(shown), solution)
                found.append((technique, form, shown))
        after = _after(grid)
        if after is None:
            break
        grid = after
    return found


def _bare(grid: Grid) -> Grid:
    return position_of(format_grid(grid), ()).with_own(grid.own)


def _had_at(grid: Grid, had: set[str]) -> Iterator[str]:
    """Yield what is to be practised here: singles where there are any, else what is above them."""
    has_singles = any(find_steps(grid, each) for each in SINGLES)
    for technique in LADDER:
        if technique.level > HIGHEST_WALKED or (technique.level == 1) is not has_singles:
            continue
        if f"{technique.id} {grid.removed_mask == 0}" not in had and find_own_steps(
            grid, technique
        ):
            yield technique.id


def _after(grid: Grid) -> Grid | None:
    """Return the position after a sweep: a single is placed at a time, else all that is found."""
    for technique in LADDER:
        steps = find_steps(grid, technique) if technique.level <= HIGHEST_WALKED else ()
        if steps:
            return apply_step(grid, steps[0]) if technique.level == 1 else apply_steps(grid, steps)
    return None


def filled_up(sample: Sample, random: Random) -> Grid | None:
    """Return a sample with right digits added until it has one solution, its instance still one."""
    grid, layout = sample.grid.with_own(0), sample.grid.layout
    (step, *_) = find_own_steps(grid, sample.technique) or (None,)
    if step is None:
        return None
    cells = [
        cell
        for cell in layout.cells_in(grid.open_cells)
        if not layout.cell_bits[cell] & (step.pattern | step.removes)
    ]
    random.shuffle(cells)
    for cell in cells:
        if count_solutions(format_grid(grid)) == 1:
            return grid
        fuller = grid.place(cell, int(sample.solution[cell]))
        own = find_own_steps(fuller, sample.technique)
        if any((each.cells, each.removes) == (step.cells, step.removes) for each in own):
            grid = fuller
    return grid if count_solutions(format_grid(grid)) == 1 else None


def main() -> None:
    puzzles = [puzzle.text for puzzle in load_puzzles()]
    if SHARED_PUZZLES.exists():
        lines = SHARED_PUZZLES.read_text(encoding="utf-8").splitlines()
        puzzles += [line.split("\t")[3] for line in lines if line and line[0] != "#"]
    kept: dict[str, dict[str, Grid]] = defaultdict(dict)
    several: dict[str, list[Grid]] = defaultdict(list)
    random = Random(17)
    for sample in load_samples():
        grid: Grid | None = sample.grid
        if count_solutions(sample.text) != 1:
            if find_own_steps(sample.grid, sample.technique):
                several[sample.technique].append(sample.grid.with_own(0))
            grid = filled_up(sample, random)
        elif not find_own_steps(sample.grid, sample.technique):
            continue
        if grid is not None:
            form = canonical_form(format_grid(grid), sample.solution)
            kept[sample.technique].setdefault(form, grid)
    with ProcessPoolExecutor() as pool:
        for found in pool.map(walk, puzzles, chunksize=4):
            for name, form, position in found:
                kept[name].setdefault(form, position)
    written_lines = []
    for technique in LADDER:
        grids = sorted(kept[technique.id].values(), key=lambda grid: grid.removed_mask != 0)
        if len(grids) < FEWEST:
            grids += several[technique.id]
        bare = sum(grid.removed_mask == 0 for grid in grids)
        print(f"{technique.id}: {len(grids)}, {bare} of them bare")  # noqa: T201 - its output
        for grid in grids[: MOST[technique.level]]:
            written_lines.append("\t".join((technique.id, *written(grid, technique.id))))
    path = assets.path("practice") / "positions.tsv"
    path.write_text("\n".join(written_lines) + "\n", encoding="utf-8")


def written(grid: Grid, technique: str) -> tuple[str, ...]:
    """Write a position: its digits, what is struck as 3 digits each, which digits are no givens."""
    layout = grid.layout
    struck = " ".join(
        f"{layout.format_cell(cell)[1::2]}{digit}"
        for cell, digit in layout.pairs(grid.removed_mask)
    )
    own = " ".join(map(layout.format_cell, layout.cells_in(grid.own)))
    return (format_grid(grid), struck, own if technique == "avoidable-rectangle" else "")


if __name__ == "__main__":
    main()
