"""Puzzles that others published, with their solutions. The class of each was computed, not
published: 1 to 3 is the level at which the ladder solves it, None that it needs more than level 3.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Published:
    source: str
    text: str
    solution: str
    level: int | None
    givens: int
    is_minimal: bool | None = None

    def __str__(self) -> str:
        return self.source.split(",")[0]


ENCYCLOPAEDIA = Published(
    "The encyclopaedia example, also in SQLite's documentation (lang_with, public domain)",
    "53..7....6..195....98....6.8...6...34..8.3..17...2...6.6....28....419..5....8..79",
    "534678912672195348198342567859761423426853791713924856961537284287419635345286179",
    level=1,
    givens=30,
    is_minimal=False,
)
CROOK = Published(
    "Crook, A Pencil-and-Paper Algorithm for Solving Sudoku Puzzles, Notices AMS 56(4), 2009",
    ".395........8...7.....1.9.41..4....3...........7...86...67.82...1..9...5.....1..8",
    "639574182541829376782613954198467523365982417427135869956748231813296745274351698",
    level=3,
    givens=23,
)
SOLVED = (
    ENCYCLOPAEDIA,
    Published(
        "SWI-Prolog clpfd manual, BSD-2",
        "..............3.85..1.2.......5.7.....4...1...9.......5......73..2.1........4...9",
        "987654321246173985351928746128537694634892157795461832519286473472319568863745219",
        level=1,
        givens=17,
        is_minimal=True,
    ),
    Published(
        "z3 test, MIT",
        "....94.3....51...7.89....4.......2.8.6.2.1.5.1.2.......7....52.9...65....4.97....",
        "715894632234516897689723145493657218867231954152489763376148529928365471541972386",
        level=2,
        givens=26,
    ),
    Published(
        "OR-Tools sample sudoku_sat, Apache-2.0",
        ".6..5..2....3...9.7..6...1...6.3.4....4.7.1....5.9.8...4...1..6.3...8....2..4..5.",
        "861459723452317698793682514216835479984276135375194862547921386139568247628743951",
        level=1,
        givens=25,
    ),
    Published(
        "AIMA-python csp, harder example, MIT",
        "4173698.5.3..........7......2.....6.....8.4......1.......6.3.7.5..2.....1.4......",
        "417369825632158947958724316825437169791586432346912758289643571573291684164875293",
        level=2,
        givens=22,
    ),
    CROOK,
    Published(
        "Weber, A SAT-based Sudoku solver, fig. 3, in pycosat, MIT",
        ".2..........6....3.74.8.........3..2.8..4..1.6..5.........1.78.5....9..........4.",
        "126437958895621473374985126457193862983246517612578394269314785548769231731852649",
        level=None,
        givens=19,
    ),
    Published(
        "Inkala 2012, used in Ercsey-Ravasz & Toroczkai 2012",
        "8..........36......7..9.2...5...7.......457.....1...3...1....68..85...1..9....4..",
        "812753649943682175675491283154237896369845721287169534521974368438526917796318452",
        level=None,
        givens=21,
    ),
    Published(
        "Inkala 2010",
        "..53.....8......2..7..1.5..4....53...1..7...6..32...8..6.5....9..4....3......97..",
        "145327698839654127672918543496185372218473956753296481367542819984761235521839764",
        level=None,
        givens=23,
    ),
)
RATED = (
    *((each.source, each.text, each.level) for each in SOLVED),
    (
        "SBV documentation, BSD-3, first",
        "1.3....8...6.48....4.......2...961...9.8.1.4...432...8.......7....15.4...6....2.3",
        3,
    ),
    (
        "SBV documentation, BSD-3, second",
        "6...1.5..8.3..........6..2..3.1.8.9.1...9...4.5.2.3.1..7..3..........3.6..4.5...9",
        2,
    ),
)

TWO_SOLUTIONS = "9.6.7.4.3...4..2...7..23.1.5.....1...4.2.8.6...3.....5.3.7...5...7..5...4.5.1.7.8"
"""Herzberg & Murty, Notices AMS 54(6), 2007 (from memory; the count was computed)."""

THREE_SOLUTIONS = (
    ".9.7..86..31..5.2.8.6........7.5...6...3.7...5...1.7........1.9.2.6...5..54..8.7."
)
"""python-constraint 1.4, example, BSD: exactly three solutions."""
NO_SOLUTION = "534678912672095348098342567859760423426853790703924856960537284287419635345286079"
"""kanren, test, BSD: with r2c7 set to 9 there is no solution. As it stands there is one."""
FIRST_GRID = "123456789456789123789123456214365897365897214897214365531642978642978531978531642"
"""OEIS A114288: the lexicographically first grid (computed)."""
