"""Holds a told reason to its position, clause by clause: what no form fits, and what is not so.

Every form of sentence that the reasons of levels 1 to 4 are made of stands here with what makes it
true; those of levels 5 and 6 are in the modules `told_*` beside it. They share no code with the
wording: they read the words, look at the grid, and know the step.
"""

from __future__ import annotations

import re
from collections.abc import Callable

from engine import Grid, House, Step
from tests.bot.wording import told_chains, told_higher, told_rectangles, told_traces
from tests.bot.wording.clauses import (
    CELL,
    CELLS,
    DIGITS,
    HOUSE,
    LINES,
    WORD,
    WORDS,
    digits_in,
    strikes_told,
)
from tests.bot.wording.scene import Scene

Check = Callable[[Scene, re.Match[str]], bool]


def _only_open(s: Scene, m: re.Match[str]) -> bool:
    (house,) = s.houses(m[2])
    return s.open_in(house) == s.cells(m[1]) and s.lacking(house) == digits_in(m[3])


def _one_place(s: Scene, m: re.Match[str]) -> bool:
    (house,), digit = s.houses(m[3]), int(m[1])
    rest = s.open_in(house) - s.cells(m[4])
    return s.places_of(house, digit) == s.cells(m[4]) and s.barred_by(m[2], digit, rest)


def _several_places(s: Scene, m: re.Match[str]) -> bool:
    (s.house,), s.digit, s.places = s.houses(m[4]), int(m[1]), s.cells(m[5])
    is_so = (
        len(s.places) == WORDS.index(m[3])
        and s.barred_by(m[2], s.digit, s.open_in(s.house) - s.places)
        and not any(s.seen(cell, s.digit) for cell in s.places)
    )
    if m[6] is None:
        return is_so
    return is_so and s.places == s.places_of(s.house, s.digit) and _gets_it(s, m[6], m[7], m[8])


def _gets_it(s: Scene, whole: str, name: str, digit: str) -> bool:
    """Whether all the places lie in the house, which gets the digit there."""
    (house,) = s.houses(name)
    return (
        int(digit) == s.digit
        and (whole.lower() == "both") is (len(s.places) == 2)
        and all(house.mask >> cell & 1 for cell in s.places)
    )


def _settles(s: Scene, m: re.Match[str]) -> bool:
    assert s.house is not None
    gone, left = s.cells(m[1]), s.places_of(s.house, s.digit)
    return all(s.is_struck(cell, s.digit) for cell in gone) and s.places - gone == left == s.cells(
        m[2]
    )


def _struck_everywhere(s: Scene, m: re.Match[str]) -> bool:
    (house,), digit = s.houses(m[2]), int(m[1])
    gone = s.cells(m[4] or "")
    return (
        s.places_of(house, digit) == s.cells(m[3])
        and gone == s.open_in(house) - s.cells(m[3])
        and all(s.is_struck(cell, digit) for cell in gone)
    )


def _sees(s: Scene, m: re.Match[str]) -> bool:
    """Whether it sees each digit where it is said, and with those that left it all but one."""
    (cell,) = s.cells(m[1])
    told = re.findall(rf"({DIGITS}) in ({HOUSE})", m[2])
    for digits, name in told:
        (house,) = s.houses(name)
        if not house.mask >> cell & 1 or not all(s.has(house, d) for d in digits_in(digits)):
            return False
    said = {digit for digits, _ in told for digit in digits_in(digits)}
    gone = digits_in(re.sub(r"in step [0-9]+", "", m[3] or ""))
    return (
        said == {d for d in s.grid.layout.digits if s.seen(cell, d)}
        and all(s.is_struck(cell, digit) for digit in gone)
        and set(s.grid.layout.digits) - said - gone == set(s.step.digits)
    )


def barred(s: Scene, told: str, digit: int, house: House, kept: set[int]) -> bool:
    """Hold `the 4s of rows 1 and 3 bar all but r6c5, already ruled out` to the position."""
    rest = s.open_in(house) - kept
    if told == "they are its only open cells":
        return not rest
    if found := re.fullmatch(rf"it (?:left|is ruled out in) ({CELLS}.*)", told):
        return s.cells(found[1]) == rest and all(s.is_struck(cell, digit) for cell in rest)
    found = re.fullmatch(
        rf"the {digit}s? of ({LINES}) bars? (?:the rest|all but ({CELLS})(, already ruled out|"
        rf", which it left in steps? [0-9, and]+)?)",
        told,
    )
    if found is None or (found[2] and not found[3] and not s.is_after):
        return False
    struck = s.cells(found[2] or "")
    return all(s.is_struck(cell, digit) for cell in struck) and s.barred_by(
        found[1], digit, rest - struck
    )


def _confined(s: Scene, m: re.Match[str]) -> bool:
    (house,), digit, cells = s.houses(m[1]), int(m[2]), s.cells(m[3])
    s.places, s.digit = cells, digit
    return s.places_of(house, digit) == cells and barred(s, m[4], digit, house, cells)


def _lie_in(s: Scene, m: re.Match[str]) -> bool:
    return _gets_it(s, m[1], m[2], m[3])


def _can_be(s: Scene, m: re.Match[str]) -> bool:
    house = s.step.houses_in(s.grid.layout)[0]
    named: set[int] = set()
    parts = re.findall(rf"({CELLS}) (?:can be )?({DIGITS})(?: \(([^)]*)\))?(?:; |$)", m[0])
    if "; ".join(f"{a} {'' if n else 'can be '}{b}{f' ({c})' if c else ''}" for n, (a, b, c) in
                 enumerate(parts)) != m[0]:  # fmt: skip
        return False
    for names, holds, why in parts:
        cells = s.cells(names)
        named |= cells
        for cell in cells:
            if set(s.grid.candidates_at(cell)) != digits_in(holds):
                return False
            accounted, is_whole = digits_in(holds), False
            for clause in filter(None, why.split("; ")):
                if found := re.fullmatch(rf"({HOUSE}) has ({DIGITS})", clause):
                    (line,), is_whole = s.houses(found[1]), True
                    if not line.mask >> cell & 1:
                        return False
                    if not all(s.has(line, digit) for digit in digits_in(found[2])):
                        return False
                    accounted |= digits_in(found[2])
                elif found := re.fullmatch(HOUSE, clause):
                    (line,) = s.houses(clause)
                    if not line.mask >> cell & 1:
                        return False
                    accounted |= {d for d in s.lacking(house) if s.has(line, d)}
                else:
                    gone = digits_in(re.sub(r"in step [0-9]+", "", clause))
                    if not gone or not all(s.is_struck(cell, digit) for digit in gone):
                        return False
                    accounted |= gone
            if why and not s.lacking(house) <= accounted:
                return False
            if is_whole and accounted != s.lacking(house):
                return False
    s.places = named
    return named == set(s.step.cells)


def _use_up(s: Scene, m: re.Match[str]) -> bool:
    cells: set[int] = set(s.step.cells)
    houses = s.houses(m[3])
    return (
        WORDS.index(m[1].lower()) == len(cells) == len(s.held(cells)) == WORDS.index(m[4])
        and (len(houses) == 2) is bool(m[2])
        and all(house.mask >> cell & 1 for house in houses for cell in cells)
    )


def _none_holds_all(s: Scene, m: re.Match[str]) -> bool:
    cells = s.step.cells
    if not all(house.mask >> cell & 1 for house in s.houses(m[1]) for cell in cells):
        return False
    held = [set(s.grid.candidates_at(cell)) for cell in s.step.cells]
    return (
        all(
            len(digits) == 2
            and len({frozenset(other - {taken}) for other in held if other != digits}) == 2
            and {len(other - {taken}) for other in held if other != digits} <= {1, 2}
            for digits in held
            for taken in digits
        )
        and len(set().union(*held)) == 3
    )


def _not_every(s: Scene, m: re.Match[str]) -> bool:
    return any(len(s.grid.candidates_at(cell)) < len(s.step.cells) for cell in s.step.cells)


def _twin(s: Scene, m: re.Match[str]) -> bool:
    house = s.step.houses_in(s.grid.layout)[0]
    digits, cells = digits_in(m[2]), s.open_in(house) - set(s.step.cells)
    if len(digits) != len(cells):
        return False
    if m[1] == "naked":
        return s.held(cells) <= digits
    return set().union(*(s.places_of(house, digit) for digit in digits)) <= cells


def _four_open(s: Scene, m: re.Match[str]) -> bool:
    (s.house,) = s.houses(m[1])
    is_named = m[2] is None or s.lacking(s.house) == digits_in(m[2])
    return len(s.open_in(s.house)) == 4 and is_named


def _barred_from(s: Scene, m: re.Match[str]) -> bool:
    assert s.house is not None
    digits, others = digits_in(m[1]), s.cells(m[2])
    return (
        not digits & s.held(set(s.step.cells))
        and others == s.open_in(s.house) - set(s.step.cells)
        and all(s.places_of(s.house, digit) <= others for digit in digits)
    )


def _only_these_open(s: Scene, m: re.Match[str]) -> bool:
    (line,), (box,) = s.houses(m[1]), s.houses(m[6])
    cells = s.cells(m[3])
    s.house = box
    return (
        s.open_in(line) == cells
        and len(cells) == WORDS.index(m[2])
        and (m[5] == "both") is (len(cells) == 2)
        and digits_in(m[4]) == s.lacking(line)
        and all(box.mask >> cell & 1 for cell in cells)
    )


def _in_box_too(s: Scene, m: re.Match[str]) -> bool:
    return s.houses(m[1]) == [s.house]


def _both_only(s: Scene, m: re.Match[str]) -> bool:
    (s.house,), s.places = s.houses(m[1]), s.cells(m[3])
    house = s.house
    return s.places == set().union(*(s.places_of(house, d) for d in digits_in(m[2])))


def _for_each(s: Scene, m: re.Match[str]) -> bool:
    if s.house is None:
        return False
    clauses = re.findall(r"(?:[Ff]or ([1-9]) )?([Tt]he ([1-9])s? .*?|it .*?)(?:; |$)", m[0])
    return len(clauses) == len(s.step.digits) and all(
        barred(s, told.replace("The", "the"), int(digit or named), s.house, s.places)
        for digit, told, named in clauses
    )


def _two_barred(s: Scene, m: re.Match[str]) -> bool:
    assert s.house is not None
    return all(
        s.barred_by(m[3], int(digit), s.open_in(s.house) - s.places) for digit in (m[1], m[2])
    )


def _room_for(s: Scene, m: re.Match[str]) -> bool:
    (house,) = s.houses(m[1])
    told = re.findall(rf"({DIGITS}) only in ({CELLS})", m[2])
    said = {digit for digits, _ in told for digit in digits_in(digits)}
    return said == set(s.step.digits) and all(
        s.places_of(house, digit) == s.cells(cells)
        for digits, cells in told
        for digit in digits_in(digits)
    )


def _need(s: Scene, m: re.Match[str]) -> bool:
    count = 2 if m[2] == "both" else WORDS.index(m[2].removeprefix("all "))
    return WORDS.index(m[1].lower()) == count == len(s.step.digits) == len(s.step.cells)


def _three_open(s: Scene, m: re.Match[str]) -> bool:
    (s.house,) = s.houses(m[1])
    return s.open_in(s.house) == s.cells(m[2]) and s.lacking(s.house) == digits_in(m[3])


def _goes_in(s: Scene, m: re.Match[str]) -> bool:
    assert s.house is not None
    digit, (cell,) = int(m[1]), s.cells(m[2])
    named: set[int] = set()
    for clause in m[3].split("; "):
        if found := re.fullmatch(rf"({CELLS}) sees? it in ({CELL})", clause):
            (stands,) = s.cells(found[2])
            seen = s.cells(found[1])
            if s.grid.digit_at(stands) != digit:
                return False
            if any(not s.grid.layout.peers[stands] >> each & 1 for each in seen):
                return False
            named |= seen
        elif found := re.fullmatch(rf"it (?:left|is ruled out in) ({CELLS}.*)", clause):
            gone = s.cells(found[1])
            if not all(s.is_struck(each, digit) for each in gone):
                return False
            named |= gone
        else:
            return False
    whole = s.open_in(s.house) - s.settled - {cell}
    s.settled.add(cell)
    return named == whole


def _naked_left(s: Scene, m: re.Match[str]) -> bool:
    assert s.house is not None
    (cell,) = s.cells(m[2])
    return s.open_in(s.house) - s.settled == {cell} and (cell, int(m[1])) in s.step.places


def _lines_only(s: Scene, m: re.Match[str]) -> bool:
    digit, bases, covers = int(m[1]), s.houses(m[2]), s.houses(m[3])
    s.digit, s.lines = digit, (bases, covers)
    union = 0
    for house in covers:
        union |= house.mask
    told = [s.cells(part) for part in (m[4] or "").split("; ") if part]
    return (
        len(bases) == len(covers)
        and all(union >> cell & 1 for house in bases for cell in s.places_of(house, digit))
        and told in ([], [s.places_of(house, digit) for house in bases])
    )


def _one_in_each(s: Scene, m: re.Match[str]) -> bool:
    """As many lines as crossing lines, which hold what is struck outside the lines."""
    bases, covers = s.lines
    crossed = {cell for house in covers for cell in house.cells}
    own = {cell for house in bases for cell in house.cells}
    return (
        int(m[3]) == s.digit
        and WORDS.index(m[1]) == len(bases) == len(covers)
        and {house.kind.value for house in bases} == {m[2]}
        and {house.kind.value for house in covers} == {m[4]}
        and all(cell in crossed - own for cell, _ in s.grid.layout.pairs(s.step.removes))
    )


def _two_lines(s: Scene, m: re.Match[str]) -> bool:
    (first,), (second,), s.digit = s.houses(m[1]), s.houses(m[4]), int(m[2])
    s.places = s.cells(m[3]) | s.cells(m[5])
    return s.places_of(first, s.digit) == s.cells(m[3]) and s.places_of(second, s.digit) == s.cells(
        m[5]
    )


def sees_all(s: Scene, ends: set[int], told: str, what: str = "(?:both|them all)") -> bool:
    found = re.fullmatch(rf"({CELLS}) sees? {what}", told)
    counted = re.fullmatch(rf"(\w+) cells see {what}", told)
    victims = {cell for cell, _ in s.grid.layout.pairs(s.step.removes)}
    peers = s.grid.layout.peers
    if counted is not None and WORDS.index(counted[1]) != len(victims):
        return False
    return (counted is not None or (found is not None and s.cells(found[1]) == victims)) and all(
        peers[end] >> victim & 1 for end in ends for victim in victims
    )


def _takes_one(s: Scene, m: re.Match[str]) -> bool:
    (house,), ends = s.houses(m[1]), s.cells(m[3])
    linked = s.places - ends
    return (
        int(m[2]) == int(m[4]) == s.digit
        and all(house.mask >> cell & 1 for cell in linked)
        and ends <= s.places
        and sees_all(s, ends, m[5])
    )


def _pivot(s: Scene, m: re.Match[str]) -> bool:
    (pivot,) = s.cells(m[1])
    s.places = {pivot}
    return set(s.grid.candidates_at(pivot)) == digits_in(m[2])


def _pincers(s: Scene, m: re.Match[str]) -> bool:
    (pivot,) = s.places
    cases = re.findall(
        rf"[Ii]f (?:it is )?([1-9]), ({CELL}) \(({DIGITS})\) in ({HOUSE}) is ([1-9])", m[0]
    )
    covered = set()
    for value, name, holds, line, becomes in cases:
        (cell,), (house,) = s.cells(name), s.houses(line)
        s.digit = int(becomes)
        covered.add(int(value))
        s.places.add(cell)
        if set(s.grid.candidates_at(cell)) != digits_in(holds):
            return False
        if digits_in(holds) != {int(value), int(becomes)}:
            return False
        if not (house.mask >> cell & 1 and house.mask >> pivot & 1):
            return False
    if found := re.search("; else it is ([1-9])$", m[0]):
        covered.add(int(found[1]))
    else:
        s.places.discard(pivot)
    return len(cases) == 2 and covered == set(s.grid.candidates_at(pivot))


def _either_way(s: Scene, m: re.Match[str]) -> bool:
    return bool(s.places) and sees_all(s, s.places, m[1], f"a {s.digit}")


def _hold_just(s: Scene, m: re.Match[str]) -> bool:
    s.places = s.cells(m[1])
    return all(set(s.grid.candidates_at(cell)) == digits_in(m[2]) for cell in s.places)


def _link(s: Scene, m: re.Match[str]) -> bool:
    (s.house,), s.digit = s.houses(m[1]), int(m[2])
    peers, places = s.grid.layout.peers, s.places_of(s.house, s.digit)
    told = re.findall(rf"((?:{CELL}(?:, | and )?)+) sees? ({CELL})", m[4])
    seen: set[int] = set()
    for near, end in told:
        (cell,) = s.cells(end)
        if cell not in s.places:
            return False
        seen |= {place for place in s.cells(near) if peers[cell] >> place & 1}
    return places == s.cells(m[3]) == seen


def _so_either_end(s: Scene, m: re.Match[str]) -> bool:
    ends = told_chains.same_digit(s.walk, m)
    return ends is not None and sees_all(s, ends, m[3])


def _every_time(s: Scene, m: re.Match[str]) -> bool:
    made = {(*pair, False) for pair in s.struck()} | {(*pair, True) for pair in s.step.places}
    return told_chains.every_time(s.walk, m, made)


def _by_walk(check: Callable[[told_chains.Walk, re.Match[str]], bool]) -> Check:
    return lambda s, m: check(s.walk, m)


CHAIN_FORMS: tuple[tuple[str, Check], ...] = (
    *((form, _by_walk(check)) for form, check in told_chains.LINKS),
    (r"Each row follows from the one before:", lambda s, m: len(s.walk.passed) == 1),
    (r"Cell \| is \| because of", lambda s, m: len(s.walk.passed) == 1),
    (rf"So ({CELLS}) is ([1-9]), and (.*)", _so_either_end),
    (r"In the same way for the rest", lambda s, m: told_chains.clash_with_both(s.walk, s.struck())),
    (r"The chain has come back to where it began, so it can be walked either way round, and of "
     r"every two neighbours on it one is true", lambda s, m: s.walk.passed[0] == s.walk.passed[-1]),
    (r"Whatever sees both goes(, and where two neighbours share a cell nothing else fits)?",
     lambda s, m: told_chains.came_back(s.walk, m, s.struck())),
    (rf"Every time (?:it comes to the same thing|({told_chains.NODE}))", _every_time),
)  # fmt: skip


def _so_one(s: Scene, m: re.Match[str]) -> bool:
    """One of two equal cells is the digit that the link does not bar."""
    held = {digit for place in s.places for digit in s.grid.candidates_at(place)}
    return (
        int(m[1]) == s.digit != int(m[2])
        and {int(m[2]), s.digit} == held
        and sees_all(s, s.places, m[3], "both")
    )


def _took(s: Scene, m: re.Match[str]) -> bool:
    """`Step 3 took 5 from r7c6 and r7c8`: that is why a digit is gone where none bars it."""
    told = re.findall(rf"({DIGITS}) from ({CELLS})", m[1])
    return bool(told) and all(
        s.is_struck(cell, digit)
        for digits, cells in told
        for digit in digits_in(digits)
        for cell in s.cells(cells)
    )


EARLIER: tuple[tuple[str, Check], ...] = ((r"Step [0-9]+ took (.*)", _took),)
"""What a walkthrough says of the strikes that a step rests on; that it names those, a test of the
story looks at."""

FORMS: tuple[tuple[str, Check], ...] = (
    *EARLIER,
    (rf"({CELL}) is the only open cell of ({HOUSE}), which still lacks ([1-9])", _only_open),
    (rf"The ([1-9])s? of ({LINES}) leaves? one place in ({HOUSE}), ({CELL})", _one_place),
    (rf"The ([1-9])s? of ({LINES}) leaves? ({WORD}) places in ({HOUSE}), ({CELLS})"
     rf"(?:, (both|all) in ({HOUSE}), which gets its ([1-9]) there)?", _several_places),
    (rf"It (?:left|is ruled out in) ({CELLS}.*), which settles ({CELL})", _settles),
    (rf"The ([1-9]) of ({HOUSE}) has only one place left, ({CELL})"
     rf"(?:: it (?:left|is ruled out in) ({CELLS}.*))?", _struck_everywhere),
    (rf"({CELL}) sees (.*?)(?:; (.*))?", _sees),
    (rf"In ({HOUSE}), ([1-9]) can only go in ({CELLS}): (.*)", _confined),
    (rf"(Both|All) lie in ({HOUSE}), which gets its ([1-9]) there", _lie_in),
    (rf"{CELLS} can be {DIGITS}.*", _can_be),
    (rf"(\w+) cells of (both )?({HOUSE}(?: and {HOUSE})?) use up ({WORD}) digits", _use_up),
    (
        rf"None holds all three, yet together they use up three digits of ({HOUSE}(?: and "
        rf"{HOUSE})?): whichever digit one takes leaves the others one each",
        _none_holds_all),
    (rf"Not every cell needs to hold all {WORD}", _not_every),
    (rf"The other open cells hold a (naked|hidden) \w+, ({DIGITS})",
     _twin),
    (rf"((?:Row|Column|Box) [1-9]) has four open cells(?:, for ({DIGITS}))?", _four_open),
    (rf"({DIGITS}) are barred from these two, so they go in ({CELLS})", _barred_from),
    (rf"((?:Row|Column) [1-9]) has only ({WORD}) open cells, ({CELLS}), for ({DIGITS}), and "
     rf"(both|all) lie in ({HOUSE})", _only_these_open),
    (rf"They use these digits up in ({HOUSE}) too", _in_box_too),
    (rf"In ({HOUSE}), ({DIGITS}) can only go in ({CELLS})", _both_only),
    (r"(?:For [1-9] |The [1-9]s? of ).*", _for_each),
    (rf"The ([1-9])s? and ([1-9])s of ({LINES}) bars? the rest", _two_barred),
    (rf"In ({HOUSE}) there is room for (.*)", _room_for),
    (rf"(\w+) digits need (both|all {WORD}) cells", _need),
    (rf"((?:Row|Column|Box) [1-9]) has three open cells, ({CELLS}), for ({DIGITS})", _three_open),
    (rf"([1-9]) goes in ({CELL}): (.*)", _goes_in),
    (rf"That leaves ([1-9]) for ({CELL})", _naked_left),
    (rf"The ([1-9])s of ({LINES}) can only go in ({LINES})(?:: (.*))?", _lines_only),
    (rf"The ({WORD}) (row|column|box)s use up the ([1-9]) of each of these (row|column|box)s",
     _one_in_each),
    (rf"In ({HOUSE}) the ([1-9]) is in ({CELLS}), in ({HOUSE}) in ({CELLS})", _two_lines),
    (rf"((?:Row|Column|Box) [1-9]) takes only one ([1-9]), so ({CELLS}) is ([1-9]), and (.*)",
     _takes_one),
    (rf"The pivot ({CELL}) can be ({DIGITS})", _pivot),
    (r"If it is [1-9], .*", _pincers),
    (r"(?:Either|Each) way (.*)", _either_way),
    (rf"({CELLS}) hold just ({DIGITS})", _hold_just),
    (rf"In ({HOUSE}), ([1-9]) goes in ({CELLS}); (.*)", _link),
    (r"So not both are ([1-9]): one is ([1-9]), and (.*)", _so_one),
)  # fmt: skip


def sentences_in(told: str) -> list[str]:
    """Return the sentences of a reason, and the rows of its tables, without their numbers, nor
    `After steps 3 and 5:`."""
    told = re.sub(r"^After steps? [0-9]+(?:(?:, | and )[0-9]+)*: ", "", told)
    lines = [re.sub(r"^(?:[1-9][0-9]*\.)+ ", "", line) for line in told.split("\n")]
    return [each for line in lines for each in line.removesuffix(".").split(". ")]


def are_numbered_in_turn(told: str) -> bool:
    """Whether the numbers of its lines go on by one each: `1.`, `1.1.`, `1.2.`, `2.`, …"""
    before: tuple[int, ...] = (0,)
    for line in told.split("\n"):
        if found := re.match(r"((?:[1-9][0-9]*\.)+) ", line):
            now = tuple(map(int, found[1].removesuffix(".").split(".")))
            following = [
                (*before, 1),
                *((*before[:at], before[at] + 1) for at in range(len(before))),
            ]
            if now not in following:
                return False
            before = now
    return True


def find_untrue(told: str, step: Step, grid: Grid) -> str | None:
    """Return the first sentence of a reason with what follows that has no known form, or is not so.

    None where every one is true, and the last one tells exactly what the step does.
    """
    scene = Scene(step, grid, is_after=told.startswith("After step"))
    higher = (*told_rectangles.FORMS, *told_higher.FORMS, *told_traces.FORMS, *CHAIN_FORMS)
    forms = FORMS if step.level <= 4 else (*EARLIER, *higher)
    *reason, end = sentences_in(told)
    for sentence in reason:
        if not any(
            check(scene, found) for form, check in forms if (found := re.fullmatch(form, sentence))
        ):
            return sentence
    if scene.boards:
        return "a trial without an end"
    if not are_numbered_in_turn(told):
        return "its numbers"
    if step.places:
        placed = re.findall(rf"({CELL}) is ([1-9])", end)
        said = {(grid.layout.parse_cell(cell), int(digit)) for cell, digit in placed}
        return None if said == set(step.places) else end
    return None if strikes_told(end, step, grid) == step.removes else end
