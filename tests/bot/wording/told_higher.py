"""The forms of sentences of finned fish, colouring, remote pairs and almost locked sets, and what
makes each true at the position.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable

from engine import House
from tests.bot.wording.clauses import (
    CELL,
    CELLS,
    DIGITS,
    HOUSE,
    LINES,
    WORDS,
    digits_in,
)
from tests.bot.wording.scene import Scene

Check = Callable[[Scene, re.Match[str]], bool]


def count_of(word: str) -> int:
    return WORDS.index(word.lower())


def sees_each(s: Scene, cell: int, others: Iterable[int]) -> bool:
    return all(s.grid.layout.peers[cell] >> other & 1 for other in others)


def holders(s: Scene, cells: set[int], digit: int) -> set[int]:
    return {cell for cell in cells if digit in s.grid.candidates_at(cell)}


def lies_in(house: House, cells: Iterable[int]) -> bool:
    return all(house.mask >> cell & 1 for cell in cells)


def follows(s: Scene, m: re.Match[str]) -> bool:
    """It follows from the sentence before, whose facts are checked there and in those after."""
    return True


# Fish with fins.


def _look_at(s: Scene, m: re.Match[str]) -> bool:
    s.digit, bases = int(m[1]), s.houses(m[2])
    told = re.findall(rf"in ({HOUSE}), ({CELLS})", m[3])
    s.lines = (bases, [])
    s.places = {cell for house in bases for cell in s.places_of(house, s.digit)}
    return [name for name, _ in told] == [house.name for house in bases] and all(
        s.places_of(house, s.digit) == s.cells(cells)
        for house, (_, cells) in zip(bases, told, strict=True)
    )


def _all_but_fins(s: Scene, m: re.Match[str]) -> bool:
    covers, fins = s.houses(m[3]), s.cells(m[2])
    s.lines = (s.lines[0], covers)
    s.settled = fins
    covered = {cell for house in covers for cell in house.cells}
    return (len(fins) == 1) is (m[1] == "fin") and s.places - covered == fins


def _if_fin(s: Scene, m: re.Match[str]) -> bool:
    (house,), victims = s.houses(m[4]), {cell for cell, _ in s.struck()}
    return (
        (m[1] == "the fin") is (len(s.settled) == 1)
        and int(m[2]) == s.digit
        and s.cells(m[3]) == victims
        and lies_in(house, victims | s.settled)
        and not victims & s.settled
    )


def _without_fins(s: Scene, told: str, digit: str, covers: str, victims: str) -> bool:
    bases, crossing = s.lines
    struck = {cell for cell, _ in s.struck()}
    return (
        s.houses(told) == bases
        and s.houses(covers) == crossing
        and len(bases) == len(crossing)
        and int(digit) == s.digit
        and s.cells(victims) == struck
        and all(any(lies_in(house, [cell]) for house in crossing) for cell in struck)
        and not any(lies_in(house, [cell]) for house in bases for cell in struck)
    )


def _plain_fish(s: Scene, m: re.Match[str]) -> bool:
    size = {"X-wing": 2, "swordfish": 3, "jellyfish": 4}[m[1]]
    return len(s.lines[0]) == size and _without_fins(s, m[2], m[3], m[4], m[5])


def _sashimi(s: Scene, m: re.Match[str]) -> bool:
    told = re.findall(rf"({HOUSE}) has only ({CELL}) left for its ([1-9])", m[1])
    return (
        bool(told)
        and all(
            s.places_of(house, s.digit) - s.settled == s.cells(cell) and int(digit) == s.digit
            for name, cell, digit in told
            for house in s.houses(name)
        )
        and _without_fins(s, m[2], m[3], m[4], m[5])
    )


def _either_way_not(s: Scene, m: re.Match[str]) -> bool:
    victims = {cell for cell, _ in s.struck()}
    return (m[1] == "it") is (len(victims) == 1) and int(m[2]) == s.digit


# Colours.


def are_two_colours(s: Scene, digit: int, one: set[int], other: set[int]) -> bool:
    """Whether houses with two places for the digit join all the cells, each from one to another."""
    pairs = [
        places
        for house in s.grid.layout.houses
        if len(places := s.places_of(house, digit)) == 2 and places <= one | other
    ]
    if one & other or any(len(pair & one) != 1 for pair in pairs):
        return False
    reached = {min(one | other)}
    for _ in range(len(one | other)):
        reached |= {cell for pair in pairs if pair & reached for cell in pair}
    return reached == one | other


def _two_places(s: Scene, m: re.Match[str]) -> bool:
    s.digit, s.lines = int(m[1]), (s.houses(m[2]), [])
    return all(len(s.places_of(house, s.digit)) == 2 for house in s.lines[0])


def _colours(s: Scene, m: re.Match[str]) -> bool:
    one, other = s.cells(m[1]), s.cells(m[2])
    s.colours = [(one, other)]
    named = {cell for house in s.lines[0] for cell in s.places_of(house, s.digit)}
    return are_two_colours(s, s.digit, one, other) and named == one | other


def _throughout(s: Scene, m: re.Match[str]) -> bool:
    return int(m[1]) == s.digit and len(s.colours) == 1


def _sees_both_colours(s: Scene, m: re.Match[str]) -> bool:
    ((one, other),), peers = s.colours, s.grid.layout.peers
    return int(m[1]) == s.digit and all(
        digit == s.digit
        and any(peers[cell] >> each & 1 for each in one)
        and any(peers[cell] >> each & 1 for each in other)
        for cell, digit in s.struck()
    )


def _own_colour(s: Scene, m: re.Match[str]) -> bool:
    (house,), pair = s.houses(m[2]), s.cells(m[1])
    false = next((colour for colour in s.colours[0] if pair <= colour), None)
    if false is None or len(pair) != 2 or not lies_in(house, pair) or int(m[3]) != s.digit:
        return False
    true = next(colour for colour in s.colours[0] if colour != false)
    return all(cell in false and digit == s.digit for cell, digit in s.struck()) and all(
        cell in true and digit == s.digit for cell, digit in s.step.places
    )


def _clusters(s: Scene, m: re.Match[str]) -> bool:
    s.digit = int(m[1])
    s.colours = [(s.cells(m[3]), s.cells(m[4])), (s.cells(m[5]), s.cells(m[6]))]
    (one, two), (three, four) = s.colours
    return int(m[2]) == s.digit and not (one | two) & (three | four) and all(
        are_two_colours(s, s.digit, *colours) for colours in s.colours
    )  # fmt: skip


def _meet(s: Scene, m: re.Match[str]) -> bool:
    told = re.findall(rf"({CELL}) and ({CELL}) see each other in ({HOUSE})", m[0])
    s.met = [(*s.cells(one), *s.cells(other)) for one, other, _ in told]
    return bool(told) and all(
        lies_in(house, pair)
        for pair, (_, _, name) in zip(s.met, told, strict=True)
        for house in s.houses(name)
    )


def _meets_both(s: Scene, m: re.Match[str]) -> bool:
    colour = s.cells(m[1])
    other = next((each for each in s.colours if colour not in each), None)
    own = next((each for each in s.colours if colour in each), None)
    if other is None or own is None:
        return False
    return (
        s.cells(m[2]) == colour
        and int(m[3]) == s.digit
        and all(any(set(p) & colour and set(p) & each for p in s.met) for each in other)
        and all(cell in colour and digit == s.digit for cell, digit in s.struck())
    )


def _one_of_the_others(s: Scene, m: re.Match[str]) -> bool:
    left = [s.cells(m[2]), s.cells(m[3])]
    for one, other in s.colours[0], s.colours[0][::-1]:
        for two, last in s.colours[1], s.colours[1][::-1]:
            if left == [other, last]:
                s.left = left
                return int(m[1]) == s.digit and any(
                    set(pair) & one and set(pair) & two for pair in s.met
                )
    return False


def _see_those(s: Scene, m: re.Match[str]) -> bool:
    victims = {cell for cell, _ in s.struck()}
    peers = s.grid.layout.peers
    return s.cells(m[1]) == victims and all(
        any(peers[cell] >> each & 1 for each in colour) for cell in victims for colour in s.left
    )


# Remote pairs.


def _each_sees_the_next(s: Scene, m: re.Match[str]) -> bool:
    s.chain = s.in_order(m[3])
    s.pair = digits_in(m[2])
    return (
        count_of(m[1]) == len(s.chain)
        and all(set(s.grid.candidates_at(cell)) == s.pair for cell in s.chain)
        and all(sees_each(s, a, [b]) for a, b in zip(s.chain, s.chain[1:], strict=False))
    )


def _take_turns(s: Scene, m: re.Match[str]) -> bool:
    one, other = int(m[2]), int(m[3])
    return (
        s.in_order(m[1]) == s.chain[:1]
        and s.in_order(m[5]) == s.chain[-1:]
        and {one, other} == s.pair
        and (int(m[4]), int(m[6]), int(m[7])) == (one, other, other)
        and len(s.chain) % 2 == 0
    )


def _one_and_other(s: Scene, m: re.Match[str]) -> bool:
    return s.cells(m[1]) == {s.chain[0], s.chain[-1]} and {int(m[2]), int(m[3])} == s.pair


def _can_be_neither(s: Scene, m: re.Match[str]) -> bool:
    return all(
        digit in s.pair and sees_each(s, cell, (s.chain[0], s.chain[-1]))
        for cell, digit in s.struck()
    )


# Almost locked sets.


def _set(s: Scene, m: re.Match[str]) -> bool:
    cells = s.cells(m[1])
    s.sets.append(cells)
    return (
        s.held(cells) == digits_in(m[3])
        and len(digits_in(m[3])) == len(cells) + 1
        and (m[2] == "holds") is (len(cells) == 1)
        and any(lies_in(house, cells) for house in s.grid.layout.houses)
        and (len(s.sets) == 1 or not s.sets[0] & s.sets[1])
    )


def is_shared(s: Scene, digit: int) -> bool:
    """Whether each place of the digit in one set sees each place of it in the other."""
    one, other = (holders(s, cells, digit) for cells in s.sets)
    return bool(one and other) and all(sees_each(s, cell, other) for cell in one)


def _shared(s: Scene, m: re.Match[str]) -> bool:
    s.pair = {int(m[1])}
    return m[1] == m[2] == m[3] and is_shared(s, int(m[1]))


def _holds_for_sure(s: Scene, m: re.Match[str]) -> bool:
    digits = digits_in(m[1])
    return (
        {digit for _, digit in s.struck()} == digits
        and not digits & s.pair
        and digits <= s.held(s.sets[0]) & s.held(s.sets[1])
        and all(
            sees_each(s, cell, holders(s, s.sets[0] | s.sets[1], digit))
            for cell, digit in s.struck()
        )
    )


def _shared_twice(s: Scene, m: re.Match[str]) -> bool:
    s.pair = {int(m[1]), int(m[3])}
    return m[1] == m[2] and len(s.pair) == 2 and all(is_shared(s, digit) for digit in s.pair)


def _one_has(s: Scene, m: re.Match[str]) -> bool:
    return {int(m[1]), int(m[2])} == s.pair


def _goes_twice(s: Scene, m: re.Match[str]) -> bool:
    return {int(m[1]), int(m[3])} == s.pair and m[1] == m[2] and all(
        (digit in s.pair and sees_each(s, cell, holders(s, s.sets[0] | s.sets[1], digit)))
        or any(
            digit not in s.pair and (at := holders(s, own, digit)) and sees_each(s, cell, at)
            for own in s.sets
        )
        for cell, digit in s.struck()
    )  # fmt: skip


SIGHT = rf"{CELL} and {CELL} see each other in {HOUSE}"
FORMS: tuple[tuple[str, Check], ...] = (
    (rf"Look at the ([1-9])s in ({LINES}): (.*)", _look_at),
    (rf"All but the (fins?) ({CELLS}) lie in ({LINES})", _all_but_fins),
    (rf"If (the fin|a fin) is ([1-9]), ({CELLS}) sees? it in ({HOUSE})", _if_fin),
    (rf"If not, it is a plain ([-\w]+): ({LINES}) use up the ([1-9])s of ({LINES}), where "
     rf"({CELLS}) lies? too", _plain_fish),
    (rf"If not, (.*), and ({LINES}) still use up the ([1-9])s of ({LINES}), where ({CELLS}) lies? "
     r"too", _sashimi),
    (r"Either way (it|they) cannot be ([1-9])", _either_way_not),
    (rf"Where a house has two places left for ([1-9]), one of them holds it and the other does "
     rf"not: that is so in ({HOUSE}(?:(?:, | and ){HOUSE})*)", _two_places),
    (rf"Follow these pairs and give the places two colours in turn: ({CELLS}) against ({CELLS})",
     _colours),
    (r"One colour is ([1-9]) throughout, the other nowhere", _throughout),
    (rf"But ({CELLS}), of the same colour, both lie in ({HOUSE}), which holds ([1-9]) once: that "
     r"colour is not [1-9], and the other one is", _own_colour),
    (r"Whichever it is, a cell that sees both colours sees a ([1-9])", _sees_both_colours),
    (rf"There are two clusters of pairs for ([1-9]), each in two colours, and in each one colour "
     rf"is ([1-9]) throughout: ({CELLS}) against ({CELLS}), and ({CELLS}) against ({CELLS})",
     _clusters),
    (rf"{SIGHT}(?:; {SIGHT})*", _meet),
    (rf"So ({CELLS}) meet both colours of the other cluster, and one of those is [1-9]: ({CELLS}) "
     r"cannot be ([1-9])", _meets_both),
    (rf"The two colours that meet there cannot both be ([1-9]), so one of the other two is: "
     rf"({CELLS}), or ({CELLS})", _one_of_the_others),
    (rf"({CELLS}) sees? both of those colours", _see_those),
    (rf"(\w+) cells can hold nothing but ({DIGITS}), and each sees the next: ({CELLS})",
     _each_sees_the_next),
    (rf"So they take turns: if ({CELL}) is ([1-9]), the next is ([1-9]), then ([1-9]) again, and "
     rf"({CELL}) comes out as ([1-9]); if it begins with ([1-9]), it is the other way round",
     _take_turns),
    (rf"Either way one of ({CELLS}) is ([1-9]) and the other ([1-9])", _one_and_other),
    (r"A cell that sees both can be neither", _can_be_neither),
    (rf"({CELLS}) (holds|between them hold) ({DIGITS}), one more digit than there are cells", _set),
    (r"Every ([1-9]) in one set sees every ([1-9]) in the other, so at least one of the sets has "
     r"to do without ([1-9])", _shared),
    (r"That set is then left with as many digits as cells, and needs them all", follows),
    (r"So one of the two sets certainly holds ([1-9]), and a cell that sees every \1 in both "
     r"cannot be \1", _holds_for_sure),
    (rf"So for ({DIGITS}) alike: one of the two sets certainly holds it, and a cell that sees all "
     r"its places in both cannot hold it", _holds_for_sure),
    (r"Every ([1-9]) in one set sees every ([1-9]) in the other, and it is the same with ([1-9])",
     _shared_twice),
    (r"So neither digit can be in both sets, and neither set can do without both: one has the "
     r"([1-9]), the other the ([1-9]), and each needs all its other digits", _one_has),
    (r"Whatever sees every ([1-9]) in both cannot be ([1-9]), and the same goes for ([1-9]); any "
     r"other digit of a set goes from every cell that sees all its places there", _goes_twice),
)  # fmt: skip
