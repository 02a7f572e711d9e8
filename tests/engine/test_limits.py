"""Work has a limit: grids made to hold a search up, and the count that ends any question."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from functools import cache
from random import Random
from threading import Event, Timer

import pytest

from engine.board.grid import Grid, format_grid, parse_grid
from engine.board.layout import CLASSIC
from engine.board.step import Step
from engine.errors import StoppedError
from engine.limits import Meter, count_work, limited
from engine.search import exact as search
from engine.search.exact import count_solutions, find_solutions
from engine.solving.grading import rate
from engine.solving.hints import find_hint
from engine.solving.paths import find_all_steps, find_path, prune_path
from engine.solving.sweeping import Finds, finds_at
from tests.bench.hard_search import hard_puzzles
from tests.independent.counting import SatCounter
from tests.patience import PATIENCE

# The first was found by a trial: the two open cells of its box 8 that can hold 1, 5 and 6 are too
# few, and the search branched elsewhere for 84 seconds. The others were made from it by climbing:
# givens moved, taken out and put in, each kept that took plain branching or probing longer.
HOSTILE = (
    ".....5.8....6.1.43..........1.5........1.6...3.......553.....61........4.........",
    "............6.1........5........6......1........5.....65......1..................",
    ".....53.....6.1.................6......5....1...1.........4......................",
    ".....5......6.1...............5.6......1...............5.....61..................",
    "........6.....1........5......5........1.6............5......61..................",
    "........6.....1........5......5.6......1..............5......61..................",
    "..3.........6.1...............5........1..........6...5......61.....2............",
)
MOST_WORK = 20_000
"""The dearest of them takes about half as much."""


# The encyclopaedia example, also in SQLite's documentation (`lang_with`) and PuLP's example.
SINGLES_ABOUND = "53..7....6..195....98....6.8...6...34..8.3..17...2...6.6....28....419..5....8..79"


@cache
def sat() -> SatCounter:
    return SatCounter()


@pytest.mark.parametrize("text", HOSTILE)
def test_a_grid_made_to_hold_a_search_up_is_judged_within_a_count_of_work(text: str) -> None:
    with limited(MOST_WORK) as meter:
        found = find_solutions(parse_grid(text))
    print(f"{meter.spent} units of work: {text}")  # noqa: T201 - its output
    assert len(found) == len(sat().find(text, 2))
    assert all(sat().find(format_grid(each), 1) for each in found)


def test_the_hardest_puzzles_are_searched_without_probing() -> None:
    for puzzle in hard_puzzles():
        with limited(search.FRUITLESS_BRANCHES):
            assert count_solutions(puzzle) == 1


def thinned(random: Random) -> str:
    """A grid with few givens, of which some agree with one another and some do not."""
    grid = Grid.empty(CLASSIC)
    for cell in random.sample(range(CLASSIC.cell_count), random.randint(14, 30)):
        digits = [each for each in CLASSIC.digits if grid.candidates & CLASSIC.bit(cell, each)]
        if digits:
            grid = grid.place(cell, random.choice(digits))
    return format_grid(grid)


@pytest.mark.parametrize("seed", range(40))
def test_probing_finds_the_same_solutions_each_once(
    seed: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    text, limit = thinned(Random(seed)), 6
    monkeypatch.setattr(search, "FRUITLESS_BRANCHES", seed % 4)
    found = [format_grid(each) for each in find_solutions(parse_grid(text), limit)]
    known = sat().find(text, limit)
    assert len(set(found)) == len(found) == len(known)
    assert len(known) == limit or set(found) == known


QUESTIONS: dict[str, Callable[[Grid], object]] = {
    "solutions": lambda grid: find_solutions(grid, 10_000),
    "a rating": lambda grid: rate(grid),
    "a hint": lambda grid: find_hint(Grid(grid.layout, grid.placed, grid.candidates)),
    "a path": lambda grid: prune_path(find_path(grid)),
}
DEAR = ("a rating", "a path")
"""Of these the ones that only a long run asks."""


@pytest.mark.parametrize(
    "question",
    [pytest.param(each, marks=[pytest.mark.long] if each in DEAR else []) for each in QUESTIONS],
)
def test_what_takes_more_work_than_the_limit_is_ended_and_what_takes_less_is_not(
    question: str,
) -> None:
    ask = QUESTIONS[question]
    grid = Grid.empty(CLASSIC) if question == "solutions" else hard_without_singles()
    forget()
    with limited(10_000_000) as meter:
        expected = ask(grid)
    forget()
    with limited(2 * meter.spent):
        assert ask(grid) == expected
    forget()
    with limited(meter.spent // 2) as half, pytest.raises(StoppedError) as caught:
        ask(grid)
    assert caught.value.work == half.spent > half.most


def hard_without_singles() -> Grid:
    """The hardest published puzzle among ours that has no single at its start."""
    return hard_puzzles()[1]


def forget() -> None:
    """Forget what sweeps keep of positions: what is known already is no work."""
    finds_at.cache_clear()


def test_a_look_that_was_ended_early_goes_on_where_it_was() -> None:
    class Interrupted(Exception):  # noqa: N818 - it stands for any
        pass

    times: list[int] = []

    def find() -> Iterator[Step]:
        times.append(0)
        for step in steps:
            if len(times) == 1 and step is steps[2]:
                raise Interrupted
            yield step

    steps = find_all_steps(parse_grid(SINGLES_ABOUND))
    finds = Finds(find)
    with pytest.raises(Interrupted):
        tuple(finds)
    assert tuple(finds) == tuple(finds) == steps
    assert len(times) == 2


def test_two_threads_that_look_at_once_both_get_all() -> None:
    looking, go_on = Event(), Event()

    def find() -> Iterator[Step]:
        looking.set()
        assert go_on.wait(PATIENCE)
        yield from steps

    def second() -> tuple[Step, ...]:
        assert looking.wait(PATIENCE)
        Timer(0.05, go_on.set).start()  # the first goes on once the second has asked
        return tuple(finds)

    steps = find_all_steps(parse_grid(SINGLES_ABOUND))
    finds = Finds(find)
    with ThreadPoolExecutor() as threads:
        found = [threads.submit(tuple, finds), threads.submit(second)]
        assert [each.result() for each in found] == [steps, steps]


def test_a_deadline_is_asked_now_and_then_and_ends_the_work() -> None:
    asked: list[int] = []

    def should_stop() -> bool:
        asked.append(meter.spent)
        return len(asked) == 3

    def work() -> None:
        while True:
            count_work()

    with limited(10_000, should_stop) as meter, pytest.raises(StoppedError):
        work()
    assert asked == [64, 128, 192]


def test_what_counts_within_two_limits_counts_for_both() -> None:
    with limited(10) as outer:
        count_work(3)
        with limited(5) as inner:
            count_work(4)
        count_work(2)
        with limited(5), pytest.raises(StoppedError):
            count_work(2)
    assert (outer.spent, inner.spent) == (11, 4)
    count_work(1_000_000)  # without a limit nothing ends


def test_a_meter_that_is_used_up_stays_so() -> None:
    meter = Meter(2)
    meter.count(2)
    for _ in range(2):
        with pytest.raises(StoppedError):
            meter.count(1)
