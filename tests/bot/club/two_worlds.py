"""Two clubs that differ in nothing but which of a puzzle's solutions is the right one.

The puzzle has both solutions, so that nothing on the page tells them apart: whoever hears a
difference was told something of the solution. Every line is said in both clubs, at the same
moment; as long as all answers were the same, so is all that a member can know.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field

from hypothesis import strategies as st

from bot.club.photos import format_reading
from bot.club.ports import Store
from bot.club.replies import (
    AnswerRight,
    AnswerSwapped,
    AnswerWrong,
    Reply,
    encode_reply,
)
from bot.club.state import Puzzle
from engine.board.layout import CLASSIC
from tests.bot.club.stories import (
    CROOK_SOLUTION,
    EASY_SOLUTION,
    SEVENTEEN_SOLUTION,
    AtOnce,
    Paper,
    Story,
    open_story,
    settings_with,
)

SOLUTIONS = (EASY_SOLUTION, CROOK_SOLUTION, SEVENTEEN_SOLUTION)


@dataclass(frozen=True)
class Twins:
    """Givens with (at least) two solutions."""

    givens: str
    first: str
    second: str

    @property
    def open_cells(self) -> tuple[int, ...]:
        return tuple(cell for cell in range(81) if self.givens[cell] == ".")

    @property
    def apart(self) -> tuple[int, ...]:
        """The cells in which the solutions differ."""
        return tuple(cell for cell in range(81) if self.first[cell] != self.second[cell])


def exchanged(solution: str, pair: str, start: int) -> str:
    """Return the solution with two digits exchanged along the chain of cells that hangs together.

    Every house holds both digits once, so the exchange of whole chains is a solution again.
    """
    cells = [cell for cell in range(81) if solution[cell] in pair]
    chain, waiting = set(), [cells[start % len(cells)]]
    while waiting:
        cell = waiting.pop()
        chain.add(cell)
        peers = CLASSIC.peers[cell]
        waiting += [each for each in cells if each not in chain and peers >> each & 1]
    swap = str.maketrans(pair, pair[::-1])
    return "".join(
        mark.translate(swap) if cell in chain else mark for cell, mark in enumerate(solution)
    )


@st.composite
def twins(draw: st.DrawFn) -> Twins:
    first = draw(st.sampled_from(SOLUTIONS))
    one, other = draw(st.lists(st.sampled_from("123456789"), min_size=2, max_size=2, unique=True))
    second = exchanged(first, one + other, draw(st.integers(0, 17)))
    more = draw(st.sets(st.integers(0, 80), max_size=30))
    givens = "".join(
        "." if first[cell] != second[cell] or cell in more else first[cell] for cell in range(81)
    )
    return Twins(givens, first, second)


FIXED = (
    *("hint", "hint", *("hint board sure", "hint board sure", "hint more", "hint more") * 3),
    *(
        "hint known",
        "hint known",
        "hint known",
        "hint paper",
        "paste",
        "undo",
        "undo",
        "redo",
        "fill",
        "check",
        "board text",
    ),
    *("me", "privacy", "privacy export", "leaderboard", "walkthrough", "today", "start", "hand-in"),
    *("help hint", "leaderboard all", "club report"),
    *("club ask", "club ask naked-pair", "club reveal", "see", "see r1c1=1", "see r5c5-5"),
    *("practice", "practice naked-pair", "practice hint", "practice show", "see practice none"),
)


@st.composite
def lines(draw: st.DrawFn, pair: Twins) -> str:
    """Return a line as somebody might type it who is after the solution."""
    match draw(st.integers(0, 19)):
        case 11:
            sides = draw(st.lists(st.integers(0, 2), min_size=81, max_size=81))
            grid = "".join(
                (pair.givens, pair.first, pair.second)[side][cell]
                for cell, side in enumerate(sides)
            )
            shown = f"{draw(st.sampled_from(('hint', 'board')))} photo {format_reading(grid)}"
            return draw(st.sampled_from((f"{PHOTO}{grid}", shown)))
        case 0 | 1 | 2 | 3 | 4 | 5 | 12 | 13:
            return draw(st.sampled_from(FIXED))
        case 6:
            house = draw(st.sampled_from(CLASSIC.houses)).name
            return f"hint {house}"
        case 7:
            return f"hint for {draw(st.integers(1, 9))}"
        case 8:
            sides = draw(st.lists(st.integers(0, 1), min_size=81, max_size=81))
            grid = "".join((pair.first, pair.second)[side][cell] for cell, side in enumerate(sides))
            return f"{draw(st.sampled_from(('paste', 'hint', 'board')))} {grid}"
        case 9:
            whole = draw(st.sampled_from((pair.first, pair.second)))
            kept = draw(st.sets(st.integers(0, 80), min_size=70))
            grid = "".join(
                whole[cell] if cell in kept or pair.givens[cell] != "." else "."
                for cell in range(81)
            )
            return f"{draw(st.sampled_from(('paste', 'hint')))} {grid}"
        case 10:
            whole = draw(st.sampled_from((pair.first, pair.second)))
            return f"hand-in {draw(st.sampled_from((whole, whole[:18], whole[9:18] + whole[:9])))}"
    cell = draw(st.sampled_from(pair.apart * 3 + pair.open_cells))
    digit = draw(st.sampled_from((*(pair.first[cell], pair.second[cell]) * 3, *"0123456789")))
    verb = draw(st.sampled_from(("place", "place", "place", "rule-out", "allow", "small")))
    return f"{verb} {CLASSIC.format_cell(cell)} {digit}"


PHOTO = "photo of "
"""How a line begins that stands for a photo of a grid."""


async def told(story: Story, line: str) -> tuple[Reply, int]:
    """Say a line; return the reply, and the seconds that it added."""
    before = await _added(story)
    if line.startswith(PHOTO):
        reply = await story.send_photo(Paper(line.removeprefix(PHOTO)))
    else:
        reply = await story.say(line, leads=False)
    return reply, await _added(story) - before


async def _added(story: Story) -> int:
    entry = (await story.store.load_scene(story.club.id, "ada", story.now, "")).entry
    return entry.added_seconds if entry else 0


SEEN: Counter[str] = Counter()
"""What the law met, by kinds: it must not hold for want of anything happening."""


@dataclass
class Worlds:
    """The two clubs, and whether a member could tell by now which of them is theirs."""

    first: Story
    second: Story
    is_parted: bool = False
    said: list[str] = field(default_factory=list)

    async def say(self, line: str) -> None:
        """Say a line in both; a difference must have been paid for, in both."""
        self.said.append(line)
        for story in (self.first, self.second):
            story.later(seconds=20)
        here, there = await told(self.first, line), await told(self.second, line)
        SEEN["said"] += 1
        if encode_reply(here[0]) == encode_reply(there[0]):
            SEEN["same, paid" if here[1] else "same, free"] += 1
            SEEN[type(here[0]).__name__] += 1
            assert here[1] == there[1], (self.said, here, there)
            self.is_parted = isinstance(here[0], AnswerRight)
            if not self.is_parted:
                await self._look()
            return
        self.is_parted = True
        SEEN["parted"] += 1
        kinds = [reply for reply, _ in (here, there)]
        if any(isinstance(reply, AnswerRight | AnswerSwapped) for reply in kinds):
            SEEN["answered"] += 1
            wrong = [paid for reply, paid in (here, there) if isinstance(reply, AnswerWrong)]
            assert len(wrong) == 1, (self.said, here, there)
            assert wrong[0], (self.said, here, there)
            return
        assert here[1], (self.said, here, there)
        assert there[1], (self.said, here, there)

    async def _look(self) -> None:
        """Look at the live board in both: looking is free, so it must be the same."""
        here, there = [
            await story.service.see_board(story.club.id, "ada", story.now)
            for story in (self.first, self.second)
        ]
        SEEN["looked"] += 1
        assert here == there, self.said


async def open_worlds(pair: Twins, *stores: Store) -> Worlds:
    """Return the two clubs, the puzzle posted and the member's clock running."""
    settings = settings_with(uniqueness=False)
    both = []
    for number, solution in enumerate((pair.first, pair.second)):
        puzzle = Puzzle(0, pair.givens, solution, 1)
        store = stores[number] if stores else None
        both.append(await open_story(puzzle, settings=settings, store=store, source=AtOnce()))
    worlds = Worlds(*both)
    await worlds.say("start")
    return worlds
