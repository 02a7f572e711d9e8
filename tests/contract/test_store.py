"""What the club expects of its store: clubs, members, saving, days, the scene of an event."""

from __future__ import annotations

from datetime import timedelta

import msgspec
import pytest

from bot.club.ports import (
    EraseMember,
    MarkClosed,
    NoteLeader,
    OpenDay,
    SaveEntry,
    SaveLacking,
    SaveMember,
    SavePuzzle,
    SaveSettings,
    Store,
)
from bot.club.state import Board, ClubSettings, Member, MemberSolve, Penalties
from tests.bot.storage.samples import (
    MINUTE,
    MONDAY,
    NOON,
    ONE_DAY,
    day_number,
    full_entry,
    new_club,
    new_day,
    new_member,
    puzzle_number,
)

# --- clubs and members ---


async def test_a_club_added_again_keeps_its_settings(store: Store) -> None:
    first = await store.add_club("web", "maple", ClubSettings("Maple Street Solvers"))
    again = await store.add_club("web", "maple", ClubSettings("Another name"))
    assert again == first
    assert await store.load_clubs() == (first,)


async def test_who_led_last_and_what_is_lacking_stay_with_the_club(store: Store) -> None:
    club = await store.add_club("web", "maple", ClubSettings("Maple Street Solvers"))
    other = await store.add_club("web", "hazel", ClubSettings("Two"))
    await store.save([SaveLacking(club.id, ("post", "see"))])
    await store.save([NoteLeader(club.id, f"u{number}", leads=True) for number in range(7)])
    await store.save(
        [NoteLeader(club.id, "u4", leads=False), NoteLeader(club.id, "u3", leads=True)]
    )
    kept = await store.load_club("web", "maple")
    assert kept is not None
    assert kept.lacking == ("post", "see")
    assert kept.led_by == ("u2", "u5", "u6", "u3")
    await store.save([EraseMember(club.id, "u5")])
    kept = await store.load_club("web", "maple")
    assert kept is not None
    assert kept.led_by == ("u2", "u6", "u3")
    assert await store.load_club("web", "hazel") == other


async def test_the_clubs_of_a_person_are_those_of_the_platform_that_know_them(
    store: Store,
) -> None:
    one = await store.add_club("web", "maple", ClubSettings("One"))
    two = await store.add_club("web", "hazel", ClubSettings("Two"))
    other = await store.add_club("matrix", "maple", ClubSettings("Three"))
    for club in (two, other):
        await store.save([SaveMember(Member(0, club.id, "u1", "Ada"))])
    for club in (one, two):
        await store.save([SaveMember(Member(0, club.id, "u2", "Ben"))])
    assert await store.load_clubs_of("web", "u1") == (two,)
    assert await store.load_clubs_of("web", "u2") == (one, two)
    assert await store.load_clubs_of("web", "u3") == ()


async def test_the_same_room_id_on_another_platform_is_another_club(store: Store) -> None:
    first = await store.add_club("web", "maple", ClubSettings("One"))
    second = await store.add_club("matrix", "maple", ClubSettings("Two"))
    assert first.id != second.id
    assert await store.load_club("matrix", "maple") == second
    assert await store.load_club("web", "elm") is None


async def test_settings_come_back_as_they_were_saved(store: Store) -> None:
    club = await new_club(store)
    settings = ClubSettings(
        "Maple Street Solvers",
        zone="Asia/Kathmandu",
        post_time="06:45",
        sealed=True,
        levels=(1, 2, 3, 1, 2, 3, 1),
        theme="naked-triple",
        penalties=Penalties(rungs=(1, 2, 3, 4), wrong=5),
        quick=0.5,
        look="dark",
        leaders=("ada", "ben"),
    )
    await store.save([SaveSettings(club.id, settings, paused=True)])
    kept = await store.load_club("web", "maple")
    assert kept is not None
    assert kept.settings == settings
    assert kept.paused


async def test_a_member_saved_again_gets_the_new_name_and_keeps_the_id(store: Store) -> None:
    club = await new_club(store)
    before = await new_member(store, club, "u1", "Ada")
    await store.save([SaveMember(Member(0, club.id, "u1", "Ada B."))])
    assert await store.find_members(club.id, "Ada B.") == (
        Member(before.id, club.id, "u1", "Ada B."),
    )
    assert await store.find_members(club.id, "Ada") == ()


async def test_members_are_found_by_name_or_user_id_whatever_the_case(store: Store) -> None:
    club = await new_club(store)
    member = await new_member(store, club, "U1", "Åsa Öberg")
    for name in ("åsa öberg", "ÅSA ÖBERG", "u1"):
        assert await store.find_members(club.id, name) == (member,)
    other = await new_club(store, "elm")
    assert await store.find_members(other.id, "u1") == ()


# --- saving ---


async def test_a_full_entry_comes_back_as_it_was_saved(store: Store) -> None:
    club = await new_club(store)
    day = await new_day(store, club, 0)
    member = await new_member(store, club, "u1")
    entry = full_entry(day, member)
    await store.save([SaveEntry("u1", entry)])
    kept = await store.load_entry(day.id, "u1")
    assert kept is not None
    assert kept.id > 0
    assert msgspec.structs.replace(kept, id=0) == entry


async def test_an_entry_saved_again_replaces_the_first_and_keeps_its_id(store: Store) -> None:
    club = await new_club(store)
    day = await new_day(store, club, 0)
    member = await new_member(store, club, "u1")
    await store.save([SaveEntry("u1", full_entry(day, member))])
    first = await store.load_entry(day.id, "u1")
    assert first is not None
    plain = MemberSolve(first.id, day.id, member.id, Board("." * 81))
    await store.save([SaveEntry("u1", plain)])
    assert await store.load_entry(day.id, "u1") == plain
    assert await store.load_entries(day.id) == ((member, plain),)


async def test_a_member_and_their_entry_can_be_new_in_one_save(store: Store) -> None:
    club = await new_club(store)
    day = await new_day(store, club, 0)
    entry = MemberSolve(0, day.id, 0, Board("." * 81))
    await store.save([SaveMember(Member(0, club.id, "u1", "Ada")), SaveEntry("u1", entry)])
    ((member, kept),) = await store.load_entries(day.id)
    assert member.user_id == "u1"
    assert kept.member_id == member.id > 0


async def test_an_event_is_saved_once_and_its_first_reply_stays(store: Store) -> None:
    club = await new_club(store)
    ada = SaveMember(Member(0, club.id, "u1", "Ada"))
    ben = SaveMember(Member(0, club.id, "u2", "Ben"))
    assert await store.save([ada], event_id="e1", reply=b"first", club_id=club.id, user_id="u1")
    assert not await store.save([ben], event_id="e1", reply=b"second")
    assert await store.load_reply("e1") == b"first"
    assert await store.find_members(club.id, "u2") == ()
    assert await store.load_reply("e2") is None


async def test_saves_without_an_event_are_all_done(store: Store) -> None:
    club = await new_club(store)
    for user_id in ("u1", "u2"):
        assert await store.save([SaveMember(Member(0, club.id, user_id, user_id))])
    assert len(await store.find_members(club.id, "u1")) == 1
    assert len(await store.find_members(club.id, "u2")) == 1


async def test_of_a_save_that_fails_nothing_is_kept(store: Store) -> None:
    club = await new_club(store)
    orphan = MemberSolve(0, 12345, 0, Board("." * 81))
    with pytest.raises(LookupError):
        await store.save(
            [SaveMember(Member(0, club.id, "u1", "Ada")), SaveEntry("u1", orphan)],
            event_id="e1",
            reply=b"reply",
        )
    assert await store.find_members(club.id, "u1") == ()
    assert await store.load_reply("e1") is None


# --- days ---


async def test_a_date_is_opened_once_in_a_club(store: Store) -> None:
    club = await new_club(store)
    day = await new_day(store, club, 0)
    await store.save([OpenDay(day_number(club, 0, puzzle_number(77)))])
    assert await store.load_day(club.id, MONDAY) == day
    other = await new_club(store, "elm")
    assert await store.load_day(other.id, MONDAY) is None


async def test_a_day_comes_back_as_it_was_opened(store: Store) -> None:
    club = await new_club(store)
    day = msgspec.structs.replace(day_number(club, 0), sealed=True, lines=("column 2", "column 9"))
    await store.save([OpenDay(day)])
    kept = await store.load_day(club.id, MONDAY)
    assert kept is not None
    assert kept.id > 0
    assert kept.puzzle.id > 0
    puzzle = msgspec.structs.replace(kept.puzzle, id=0)
    assert msgspec.structs.replace(kept, id=0, puzzle=puzzle) == day


async def test_days_come_oldest_first_and_closed_ones_can_be_left_out(store: Store) -> None:
    club = await new_club(store)
    second = await new_day(store, club, 1)
    first = await new_day(store, club, 0)
    assert await store.load_days(club.id) == (first, second)
    await store.save([MarkClosed(first.id)])
    assert await store.load_days(club.id, open_only=True) == (second,)
    assert [day.is_closed for day in await store.load_days(club.id)] == [True, False]


async def test_opening_a_day_takes_its_puzzle_off_that_clubs_queue_alone(store: Store) -> None:
    club = await new_club(store)
    other = await new_club(store, "elm")
    for each in (club, other):
        await store.save([SavePuzzle(puzzle_number(1), club_id=each.id, is_queued=True)])
    await store.save([OpenDay(day_number(club, 0, puzzle_number(1)))])
    assert await store.load_queue(club.id) == ()
    assert len(await store.load_queue(other.id)) == 1


# --- the scene of an event ---


async def test_today_is_open_from_its_due_time_until_just_before_it_closes(store: Store) -> None:
    club = await new_club(store)
    day = await new_day(store, club, 0)
    for at, is_open in (
        (day.due_at - timedelta(milliseconds=1), False),
        (day.due_at, True),
        (day.closes_at - timedelta(milliseconds=1), True),
        (day.closes_at, False),
    ):
        scene = await store.load_scene(club.id, "u1", at, "e1")
        assert (scene.today == day) is is_open, at


async def test_a_day_that_was_not_posted_is_not_today(store: Store) -> None:
    club = await new_club(store)
    await new_day(store, club, 0, is_posted=False)
    scene = await store.load_scene(club.id, "u1", NOON + MINUTE, "e1")
    assert scene.today is None


async def test_a_scene_holds_the_member_both_entries_and_the_days_results(store: Store) -> None:
    club = await new_club(store)
    earlier, today = await new_day(store, club, 0), await new_day(store, club, 1)
    ada, ben = await new_member(store, club, "ada"), await new_member(store, club, "ben")
    done = full_entry(today, ben)
    await store.save(
        [
            SaveEntry("ada", MemberSolve(0, earlier.id, ada.id, Board("1" + "." * 80))),
            SaveEntry("ada", MemberSolve(0, today.id, ada.id, Board("2" + "." * 80))),
            SaveEntry("ben", done),
        ],
        event_id="e1",
        reply=b"kept",
    )
    scene = await store.load_scene(club.id, "ada", NOON + ONE_DAY + MINUTE, "e1")
    assert scene.club == club
    assert scene.member == ada
    assert scene.today == today
    assert scene.earlier == earlier
    assert scene.entry is not None
    assert scene.entry.board.grid.startswith("2")
    assert scene.earlier_entry is not None
    assert scene.earlier_entry.board.grid.startswith("1")
    assert scene.saved_reply == b"kept"


async def test_the_scene_of_somebody_new_is_empty_but_for_the_day(store: Store) -> None:
    club = await new_club(store)
    today = await new_day(store, club, 0)
    scene = await store.load_scene(club.id, "nobody", NOON + MINUTE, "e1")
    assert scene.today == today
    assert (scene.member, scene.entry, scene.earlier, scene.earlier_entry) == (None,) * 4
    assert scene.saved_reply is None


async def test_an_event_after_closing_finds_the_closed_day_as_the_earlier_one(
    store: Store,
) -> None:
    club = await new_club(store)
    day = await new_day(store, club, 0)
    scene = await store.load_scene(club.id, "u1", day.closes_at + MINUTE, "e1")
    assert scene.today is None
    assert scene.earlier == day
