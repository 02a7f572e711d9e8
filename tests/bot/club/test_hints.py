"""The hint stair: rungs, seconds, what is kept, mistakes first, and what is known."""

from __future__ import annotations

from datetime import timedelta

from msgspec.structs import replace

from bot import wording
from bot.club import boards
from bot.club.acts import AskHint
from bot.club.facts import facts_of_step
from bot.club.hints import decide_check, decide_hint
from bot.club.position import grid_of, with_known
from bot.club.replies import (
    BoardChecked,
    BoardFull,
    HintNotThere,
    HintOffered,
    HintShown,
    HintStuck,
    KnownNoted,
    MistakeShown,
    NoHintUnderWay,
    PaperForm,
    Reply,
)
from bot.club.showing import board_picture
from bot.club.state import Board, Day, MemberSolve, Penalties, Puzzle
from bot.wording import describe, phrase
from engine.board.grid import parse_grid
from engine.board.layout import CLASSIC
from engine.solving.hints import find_hint
from engine.solving.paths import find_all_steps
from tests.bot.club.stories import (
    CROOK,
    CROOK_AFTER_SINGLES,
    CROOK_SOLUTION,
    DAY,
    EASY,
    EASY_SOLUTION,
    MINUTE,
    MONDAY,
    NOON,
    crook_puzzle,
    easy_puzzle,
)
from tests.corpus import samples_by_technique

PENALTIES = Penalties()
CROOKS_PAIR = ("r3c3", "r4c3")


def day_of(puzzle: Puzzle) -> Day:
    return Day(1, 1, MONDAY, puzzle, ("row 1", "row 2"), False, NOON, NOON + DAY, NOON)


CROOKS_DAY, EASY_DAY = day_of(crook_puzzle()), day_of(easy_puzzle())


def entry_at(grid: str, **changes: object) -> MemberSolve:
    return replace(MemberSolve(1, 1, 1, Board(grid), started_at=NOON), **changes)


class Member:
    """A member on the stair: keeps the entry between asks."""

    def __init__(self, day: Day, entry: MemberSolve) -> None:
        self.day = day
        self.entry = entry

    def asks(self, way: str, *, sure: bool = False, minutes: int = 1, **about: object) -> Reply:
        act = AskHint(way=way, sure=sure, **about)  # type: ignore[arg-type]
        at = NOON + minutes * MINUTE
        self.entry, reply = decide_hint(self.day, self.entry, act, PENALTIES, at)
        return reply

    def climbs(self, way: str = "more", **about: object) -> HintShown:
        reply = self.asks(way, **about)  # type: ignore[arg-type]
        assert isinstance(reply, HintShown), reply
        return reply

    def writes(self, *marks: tuple[str, int]) -> None:
        self.entry = boards.write_digits(self.entry, self.day.puzzle.givens, marks, "place")


def crooks_member() -> Member:
    return Member(CROOKS_DAY, entry_at(CROOK_AFTER_SINGLES))


def test_the_four_rungs_lead_to_crooks_pair_and_cost_what_is_published() -> None:
    member = crooks_member()
    shown = [member.climbs("board", house="column 3"), *(member.climbs() for _ in range(3))]
    assert [each.rung for each in shown] == [1, 2, 3, 4]
    assert [each.seconds for each in shown] == [15, 30, 60, 120]
    assert [each.total for each in shown] == [15, 45, 105, 225]
    assert [each.next_cost for each in shown] == [30, 60, 120, None]
    # Crook 2009, p. 463: 2 and 8 at r3c3, r4c3; r5c3 and r8c3 lose both, r9c3 loses 2.
    step = shown[-1].step
    assert step.technique == "naked-pair"
    assert (step.cells, step.digits) == (("r3c3", "r4c3"), (2, 8))
    lost = {("r5c3", 2), ("r5c3", 8), ("r8c3", 2), ("r8c3", 8), ("r9c3", 2)}
    assert set(step.removes) == lost
    assert [each.picture.rung if each.picture else None for each in shown] == [
        "where",
        None,
        "which",
        "why",
    ]


def test_reading_a_rung_again_is_free_and_stays_on_it() -> None:
    member = crooks_member()
    member.climbs("board", house="column 3")
    member.climbs()
    again = member.climbs("board")
    assert (again.rung, again.seconds, again.total, again.is_kept) == (2, 0, 45, True)


def test_a_hint_is_kept_while_its_step_still_applies_wherever_else_the_member_works() -> None:
    member = Member(EASY_DAY, entry_at(EASY))
    first = member.climbs("board")
    assert first.step.places
    other = next(
        (name, digit)
        for step in find_all_steps(parse_grid(EASY))
        for cell, digit in step.places
        if (name := CLASSIC.format_cell(cell)) not in {cell for cell, _ in first.step.places}
        and name not in first.step.cells
    )
    member.writes(other)
    again = member.climbs("board")
    assert again.step.key == first.step.key
    assert again.is_kept


def test_a_hint_whose_step_is_done_gives_way_to_the_next() -> None:
    member = Member(EASY_DAY, entry_at(EASY))
    first = member.climbs("board")
    member.writes(*first.step.places)
    second = member.climbs("board")
    assert second.step.key != first.step.key
    assert (second.rung, second.seconds, second.total) == (1, 15, 30)


def test_a_step_hinted_at_again_after_undo_is_not_charged_again() -> None:
    member = Member(EASY_DAY, entry_at(EASY))
    first = member.climbs("board")
    member.writes(*first.step.places)
    member.climbs("board")
    before = boards.undo(member.entry)
    assert before is not None
    member.entry = replace(before, hint=None)
    again = member.climbs("board")
    assert again.step.key == first.step.key
    assert (again.rung, again.seconds, again.total) == (1, 0, 30)


def test_more_beyond_the_top_shows_why_again_for_nothing() -> None:
    member = crooks_member()
    member.climbs("board", house="column 3")
    for _ in range(3):
        member.climbs()
    top = member.climbs()
    assert (top.rung, top.seconds, top.total) == (4, 0, 225)


def test_after_why_the_step_counts_as_known_and_the_next_hint_goes_on() -> None:
    member = crooks_member()
    member.climbs("board", house="column 3")
    for _ in range(3):
        member.climbs()
    assert set(member.entry.known.removes) >= {("r5c3", 2), ("r9c3", 2)}
    onward = member.climbs("board", house="column 3")
    assert onward.step.cells != CROOKS_PAIR
    assert 2 not in onward.position.to_grid().candidates_at(CLASSIC.parse_cell("r5c3"))


def test_what_is_known_counts_on_a_pasted_position_too() -> None:
    member = crooks_member()
    member.climbs("board", house="column 3")
    for _ in range(3):
        member.climbs()
    known = member.entry.known
    member.entry = replace(member.entry, board=Board(CROOK_AFTER_SINGLES))
    assert member.climbs("board", house="column 3").step.cells != CROOKS_PAIR
    assert member.entry.known == known


def test_i_know_that_already_counts_a_named_technique() -> None:
    member = crooks_member()
    member.climbs("board", house="column 3")
    member.climbs()
    noted = member.asks("known")
    assert isinstance(noted, KnownNoted)
    assert (noted.is_recorded, noted.placed, noted.rung) == (True, (), 2)
    assert member.climbs("board", house="column 3").step.cells != CROOKS_PAIR


def test_a_step_that_was_only_pointed_at_is_not_taken_for_known() -> None:
    member = crooks_member()
    member.climbs("board", house="column 3")
    noted = member.asks("known")
    assert isinstance(noted, KnownNoted)
    assert not noted.is_recorded
    assert not member.entry.known.removes
    assert member.climbs("board").rung == 1


def test_a_known_placement_goes_on_the_board_once_its_cell_was_shown() -> None:
    member = Member(EASY_DAY, entry_at(EASY))
    member.climbs("board")
    member.climbs()
    early = member.asks("known")
    assert isinstance(early, KnownNoted)
    assert not early.is_recorded
    assert member.entry.board.grid == EASY
    step = member.climbs().step
    noted = member.asks("known")
    assert isinstance(noted, KnownNoted)
    assert noted.placed == step.places
    for name, digit in step.places:
        assert member.entry.board.grid[CLASSIC.parse_cell(name)] == str(digit)
    assert member.entry.history[-1].grid == EASY


def test_own_strikes_count_on_the_position() -> None:
    step = crooks_member().climbs("board", house="column 3").step
    board = Board(CROOK_AFTER_SINGLES, step.removes)
    member = Member(CROOKS_DAY, entry_at(CROOK_AFTER_SINGLES, board=board))
    assert member.climbs("board", house="column 3").step.key != step.key


def test_more_and_known_need_a_hint_under_way() -> None:
    member = crooks_member()
    assert isinstance(member.asks("more"), NoHintUnderWay)
    assert isinstance(member.asks("known"), NoHintUnderWay)
    assert member.entry.added_seconds == 0


# --- from which board ---


def test_the_offer_names_costs_and_the_rung_under_way() -> None:
    member = crooks_member()
    assert member.asks("offer") == HintOffered(is_published=False, costs=(15, 30, 60, 120))
    member.climbs("board", house="column 3")
    member.climbs()
    offered = member.asks("offer")
    assert isinstance(offered, HintOffered)
    assert offered.in_progress == 2


def test_a_board_as_published_after_two_minutes_is_asked_about_before_a_rung_is_spent() -> None:
    member = Member(EASY_DAY, entry_at(EASY))
    offered = member.asks("board", minutes=2)
    assert isinstance(offered, HintOffered)
    assert offered.is_published
    assert member.entry.added_seconds == 0
    assert isinstance(member.asks("board", minutes=2, sure=True), HintShown)
    # Once answered, it is not asked again.
    assert isinstance(member.asks("more", minutes=9), HintShown)
    assert isinstance(member.asks("board", minutes=9), HintShown)


def test_just_after_the_start_the_published_board_is_not_asked_about() -> None:
    member = Member(EASY_DAY, entry_at(EASY))
    assert isinstance(member.asks("board", minutes=1), HintShown)


def test_the_paper_form_holds_the_members_board_as_nine_lines() -> None:
    reply = crooks_member().asks("paper")
    assert isinstance(reply, PaperForm)
    assert "".join(reply.lines) == CROOK_AFTER_SINGLES
    assert len(reply.lines) == 9


def test_a_hint_can_be_narrowed_to_a_house_and_a_digit() -> None:
    for house in CLASSIC.houses:
        member = Member(EASY_DAY, entry_at(EASY))
        reply = member.asks("board", house=house.name)
        if isinstance(reply, HintShown):
            touched = {CLASSIC.parse_cell(name) for name, _ in reply.step.places}
            touched |= {CLASSIC.parse_cell(name) for name in reply.step.cells}
            touched |= {CLASSIC.parse_cell(name) for name, _ in reply.step.removes}
            assert touched & set(house.cells)
        else:
            assert isinstance(reply, HintNotThere)
            assert reply.house == house.name
    member = Member(EASY_DAY, entry_at(EASY))
    fives = member.climbs("board", digit=5)
    assert 5 in fives.step.digits or 5 in {digit for _, digit in fives.step.places}


def test_a_hint_that_has_to_look_elsewhere_says_so_first_and_for_nothing() -> None:
    about: list[dict[str, object]] = [
        *({"house": house.name, "digit": digit} for house in CLASSIC.houses for digit in (None, 2)),
        *({"cell": CLASSIC.format_cell(cell)} for cell in range(CLASSIC.cell_count)),
    ]
    elsewhere = 0
    for day, grid, each in ((EASY_DAY, EASY, 3), (CROOKS_DAY, CROOK_AFTER_SINGLES, 20)):
        for asked in about[::each]:
            member = Member(day, entry_at(grid))
            reply = member.asks("board", **asked)
            if isinstance(reply, HintShown):
                first = reply.step.houses[0]
                cell = asked.get("cell")
                assert first == asked.get("house", first)
                assert cell is None or is_in(str(cell), first)
                continue
            assert isinstance(reply, HintNotThere)
            assert member.entry.charges == ()
            shown = member.climbs("board", anywhere=True, **asked)
            assert (shown.rung, shown.seconds) == (1, 15)
            elsewhere += 1
    assert elsewhere > 15


def is_in(cell: str, house: str) -> bool:
    return CLASSIC.parse_cell(cell) in CLASSIC.parse_house(house).cells


def test_nothing_there_costs_nothing() -> None:
    # 4 and 9 can be exchanged in four cells: a club takes no such puzzle, and no logic helps.
    # Herzberg & Murty, Notices AMS 54(6), 2007, the cells that both solutions share filled in.
    grid = "9265714833514862798749235165823671941492583677631..8252387..651617835942495612738"
    solution = "926571483351486279874923516582367194149258367763149825238794651617835942495612738"
    member = Member(day_of(Puzzle(0, grid, solution, 3)), entry_at(grid))
    stuck = member.asks("board")
    assert isinstance(stuck, HintStuck)
    assert stuck.highest_level == 6
    nothing = member.asks("board", house="box 5")
    assert nothing == HintNotThere(house="box 5", digit=None)
    assert member.entry.charges == ()


def test_a_full_board_is_sent_to_be_handed_in() -> None:
    assert isinstance(Member(EASY_DAY, entry_at(EASY_SOLUTION)).asks("board"), BoardFull)


# --- mistakes ---


def wrong_member() -> Member:
    """r1c3 is 4 in the published solution; 1 there is wrong, and plain to see nowhere."""
    member = Member(EASY_DAY, entry_at(EASY))
    member.writes(("r1c3", 1))
    return member


def test_a_mistake_is_said_first_and_has_rungs_of_its_own() -> None:
    member = wrong_member()
    shown = [member.asks("board"), member.asks("more"), member.asks("more"), member.asks("more")]
    mistakes = [each for each in shown if isinstance(each, MistakeShown)]
    assert len(mistakes) == 4
    assert [(each.rung, each.region, each.cell) for each in mistakes] == [
        (1, None, None),
        (2, "box 1", None),
        (3, "box 1", "r1c3"),
        (3, "box 1", "r1c3"),
    ]
    assert [each.seconds for each in mistakes] == [15, 30, 60, 0]
    assert mistakes[-1].next_cost is None
    assert not any(charge.key.startswith("hint:") for charge in member.entry.charges)


def test_a_mistake_is_not_climbed_by_asking_for_the_board_again() -> None:
    member = wrong_member()
    member.asks("board")
    again = member.asks("board")
    assert isinstance(again, MistakeShown)
    assert (again.rung, again.seconds) == (1, 0)


def test_how_many_digits_are_wrong_is_said_before_where() -> None:
    # In the published solution r1c3 is 4, r1c4 6, r9c1 3.
    member = Member(EASY_DAY, entry_at(EASY))
    member.writes(("r1c3", 1), ("r1c4", 2), ("r9c1", 3))
    reply = member.asks("board")
    assert isinstance(reply, MistakeShown)
    assert (reply.count, reply.region, reply.cell) == (2, None, None)
    assert "two of the digits you wrote do not fit the solution" in wording.phrase(reply).text


def test_of_several_mistakes_the_one_made_first_is_told() -> None:
    member = Member(EASY_DAY, entry_at(EASY))
    for mark in (("r9c1", 1), ("r1c3", 1), ("r1c3", 2), ("r1c4", 2), ("r1c3", 1)):
        member.writes(mark)
    shown = [member.asks("board"), member.asks("more"), member.asks("more")]
    assert [each.cell for each in shown if isinstance(each, MistakeShown)] == [None, None, "r9c1"]
    member.writes(("r9c1", 3))
    again = [member.asks("board"), member.asks("more"), member.asks("more")]
    assert [each.cell for each in again if isinstance(each, MistakeShown)] == [None, None, "r1c4"]


def test_of_mistakes_that_came_at_once_the_first_cell_is_told() -> None:
    member = Member(EASY_DAY, entry_at(EASY))
    member.writes(("r9c1", 1), ("r1c3", 1))
    shown = [member.asks("board"), member.asks("more"), member.asks("more")]
    assert [each.cell for each in shown if isinstance(each, MistakeShown)] == [None, None, "r1c3"]


def test_the_number_of_mistakes_read_again_says_nothing_of_what_was_written_since() -> None:
    member = wrong_member()
    member.asks("board")
    member.writes(("r1c4", 2))
    again = member.asks("board")
    assert isinstance(again, MistakeShown)
    assert (again.count, again.seconds) == (1, 0)


def test_two_wrong_digits_are_told_as_two_where_seconds_are_added() -> None:
    member = wrong_member()
    member.asks("board")
    member.writes(("r1c4", 2))
    shown = [member.asks("more"), member.asks("more"), member.asks("more")]
    assert [each.count for each in shown if isinstance(each, MistakeShown)] == [2, 2, 2]
    assert "two of the digits you wrote do not fit" in phrase(shown[-1]).text


def test_a_mistake_told_to_the_cell_is_marked_in_pictures_until_it_is_mended() -> None:
    member = wrong_member()
    member.writes(("r1c4", 2))

    def marked(reply: Reply) -> tuple[str, ...]:
        assert isinstance(reply, MistakeShown)
        assert reply.picture is not None
        return reply.picture.mistakes

    def on_board() -> tuple[str, ...]:
        return board_picture(EASY_DAY, member.entry).mistakes

    shown = [member.asks("board"), member.asks("more"), member.asks("more")]
    assert [marked(each) for each in shown] == [(), (), ("r1c3",)]
    assert on_board() == ("r1c3",)
    member.writes(("r1c3", 2))  # wrong as well, which nobody has told
    assert on_board() == ()
    member.writes(("r1c3", 1))
    assert on_board() == ("r1c3",)
    member.writes(("r1c3", 4))
    shown = [member.asks("board"), member.asks("more"), member.asks("more")]
    assert [marked(each) for each in shown] == [(), (), ("r1c4",)]
    member.writes(("r1c3", 1))
    assert on_board() == ("r1c3", "r1c4")


def test_a_strike_told_to_the_cell_is_marked_too() -> None:
    member = Member(EASY_DAY, entry_at(EASY))
    member.entry = boards.strike(member.entry, (("r1c3", 4),))
    shown = [member.asks("board"), member.asks("more"), member.asks("more")]
    assert isinstance(shown[-1], MistakeShown)
    assert board_picture(EASY_DAY, member.entry).mistakes == ("r1c3",)
    assert "r1c3" in describe(board_picture(EASY_DAY, member.entry))


def test_striking_the_right_digit_is_a_mistake_of_its_kind() -> None:
    member = Member(EASY_DAY, entry_at(EASY))
    member.entry = boards.strike(member.entry, (("r1c3", 4),))
    reply = member.asks("board")
    assert isinstance(reply, MistakeShown)
    assert reply.kind == "ruled-out"


def test_once_the_mistake_is_mended_hints_come_again() -> None:
    member = wrong_member()
    member.asks("board")
    member.writes(("r1c3", 0))
    assert isinstance(member.asks("more"), NoHintUnderWay)
    assert isinstance(member.asks("board"), HintShown)


def test_a_mistake_made_while_a_hint_is_under_way_comes_before_more_of_it() -> None:
    member = Member(EASY_DAY, entry_at(EASY))
    member.climbs("board")
    member.writes(("r1c3", 1))
    reply = member.asks("more")
    assert isinstance(reply, MistakeShown)
    assert reply.rung == 1
    assert isinstance(member.asks("known"), NoHintUnderWay)


def test_more_climbs_a_mistake_only_once_it_was_told_and_rung_by_rung() -> None:
    member = wrong_member()
    assert isinstance(member.asks("more"), NoHintUnderWay)
    assert member.entry.charges == ()
    hinted = Member(EASY_DAY, entry_at(EASY))
    hinted.asks("board")
    hinted.writes(("r1c3", 1))
    shown = [hinted.asks("more") for _ in range(4)]
    assert [
        (each.rung, each.seconds, each.cell) for each in shown if isinstance(each, MistakeShown)
    ] == [(1, 15, None), (2, 30, None), (3, 60, "r1c3"), (3, 0, "r1c3")]


def test_a_mistake_that_was_told_is_climbed_after_a_check_too() -> None:
    member = wrong_member()
    member.asks("board")
    member.entry, _ = decide_check(EASY_DAY, member.entry, PENALTIES)
    reply = member.asks("more")
    assert isinstance(reply, MistakeShown)
    assert (reply.rung, reply.region) == (2, "box 1")


def test_no_step_is_ever_hinted_at_on_a_wrong_board() -> None:
    for cell in range(81):
        if EASY[cell] != ".":
            continue
        member = Member(EASY_DAY, entry_at(EASY))
        wrong = 1 + int(EASY_SOLUTION[cell]) % 9
        member.writes((CLASSIC.format_cell(cell), wrong))
        for way in ("board", "more", "board"):
            assert isinstance(member.asks(way), MistakeShown)


def test_a_hint_never_strikes_or_misplaces_a_digit_of_the_solution_all_the_way() -> None:
    member = Member(CROOKS_DAY, entry_at(CROOK))
    for _ in range(200):
        reply = member.asks("board", sure=True)
        if not isinstance(reply, HintShown):
            break
        for _ in range(3):
            reply = member.climbs()
        for name, digit in reply.step.places:
            assert CROOK_SOLUTION[CLASSIC.parse_cell(name)] == str(digit)
        for name, digit in reply.step.removes:
            assert CROOK_SOLUTION[CLASSIC.parse_cell(name)] != str(digit)
        member.writes(*reply.step.places)
    assert isinstance(reply, BoardFull)
    assert member.entry.board.grid == CROOK_SOLUTION


# --- check ---


def test_a_check_tells_right_from_wrong_and_costs_once_for_the_same_board() -> None:
    begun = boards.write_digits(entry_at(EASY), EASY, (("r5c5", 5),), "place")
    entry, right = decide_check(EASY_DAY, begun, PENALTIES)
    assert right == BoardChecked(is_right=True, filled=1, open_cells=50, seconds=30, total=30)
    entry, again = decide_check(EASY_DAY, entry, PENALTIES)
    assert isinstance(again, BoardChecked)
    assert (again.seconds, again.total) == (0, 30)
    entry = boards.write_digits(entry, EASY, (("r1c3", 1),), "place")
    _, wrong = decide_check(EASY_DAY, entry, PENALTIES)
    assert wrong == BoardChecked(is_right=False, filled=2, open_cells=49, seconds=30, total=60)


def test_checking_an_untouched_board_costs_nothing() -> None:
    entry, checked = decide_check(EASY_DAY, entry_at(EASY), PENALTIES)
    assert isinstance(checked, BoardChecked)
    assert (checked.is_untouched, checked.seconds, entry.added_seconds) == (True, 0, 0)


def test_nothing_is_charged_once_the_puzzle_is_solved() -> None:
    member = Member(EASY_DAY, entry_at(EASY, finished_at=NOON + timedelta(minutes=5)))
    shown = member.climbs("board", sure=True)
    assert (shown.seconds, shown.total, shown.next_cost) == (0, 0, 0)
    entry, checked = decide_check(EASY_DAY, member.entry, PENALTIES)
    assert isinstance(checked, BoardChecked)
    assert checked.seconds == 0
    assert entry.charges == ()


def test_the_position_of_a_hint_is_what_the_members_board_and_knowledge_make() -> None:
    member = crooks_member()
    step = facts_of_step(CLASSIC, find_all_steps(parse_grid(CROOK_AFTER_SINGLES))[0])
    member.entry = replace(member.entry, known=with_known(member.entry.known, step))
    shown = member.climbs("board")
    assert shown.position.to_grid() == grid_of(
        member.entry.board, member.entry.known, member.day.puzzle.givens
    )


def avoiding_member(*, all_given: bool = False) -> Member:
    """A member whose own digits have begun a rectangle, which the hint is to avoid."""
    sample = next(
        each
        for each in samples_by_technique()["avoidable-rectangle"]
        if (step := find_hint(each.grid)) and step.technique == "avoidable-rectangle"
    )
    own = CLASSIC.mask_of(map(CLASSIC.parse_cell, sample.own))
    published = "".join("." if own >> cell & 1 else mark for cell, mark in enumerate(sample.text))
    givens = sample.text if all_given else published
    puzzle = Puzzle(1, givens, sample.solution, 5)
    board = Board(sample.text, sample.removed)
    return Member(day_of(puzzle), replace(entry_at(sample.text), board=board))


def test_a_rectangle_of_ones_own_digits_is_hinted_rung_by_rung() -> None:
    member = avoiding_member()
    shown = [member.climbs("board"), *(member.climbs() for _ in range(3))]
    assert [each.rung for each in shown] == [1, 2, 3, 4]
    assert {each.step.technique for each in shown} == {"avoidable-rectangle"}
    assert shown[-1].step.cells == shown[0].step.cells


def test_the_same_board_as_published_has_no_rectangle_to_avoid() -> None:
    reply = avoiding_member(all_given=True).climbs("board")
    assert reply.step.technique != "avoidable-rectangle"


def test_a_hint_on_own_digits_is_over_once_one_of_its_open_cells_is_filled() -> None:
    member = avoiding_member()
    step = member.climbs("board").step
    for name in step.cells:
        cell = CLASSIC.parse_cell(name)
        if member.entry.board.grid[cell] == ".":
            member.writes((name, int(member.day.puzzle.solution[cell])))
    assert isinstance(member.asks("more"), NoHintUnderWay)


def test_a_hint_on_own_digits_is_over_once_one_of_them_is_taken_back() -> None:
    member = avoiding_member()
    step = member.climbs("board").step
    name = next(
        each for each in step.cells if member.entry.board.grid[CLASSIC.parse_cell(each)] != "."
    )
    member.writes((name, 0))
    assert isinstance(member.asks("more"), NoHintUnderWay)
