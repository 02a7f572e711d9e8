"""What the Matrix room remembers, in SQLite: what came in, what went out, private rooms, limits."""

from __future__ import annotations

from collections.abc import AsyncIterator
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from bot.platforms.matrix.journal import DirectRoom, Draft, InboxEvent
from bot.platforms.matrix.news import SetAside
from bot.storage import SqliteStore, open_store
from bot.storage.matrix import SqliteMatrixJournal
from bot.storage.matrix.journal import KEEP_FINISHED, prune_matrix
from bot.storage.matrix.traces import erase_matrix_traces
from bot.storage.matrix.unreadable import MOST_KEPT
from bot.storage.memory import Leaver
from tests.bot.storage.samples import MINUTE, NOON
from tests.bot.storage.test_growing_clubs import counted

ROOM, PRIVATE = "!club", "!private"


@pytest.fixture
async def store(tmp_path: Path) -> AsyncIterator[SqliteStore]:
    async with open_store(tmp_path / "club.db", now=lambda: NOON) as opened:
        yield opened


@pytest.fixture
def journal(store: SqliteStore) -> SqliteMatrixJournal:
    return SqliteMatrixJournal(store.database, lambda: NOON)


def event(number: int, *, room_id: str = ROOM, sender: str = "@ada") -> InboxEvent:
    at = NOON + number * MINUTE
    return InboxEvent(f"$in{number}", room_id, sender, at, at + MINUTE, b"{}", after_gap=True)


def drafts(key: str, *contents: bytes, target: str = ROOM) -> list[Draft]:
    return [
        Draft(ROOM, key, part, target, f"t-{key}-{part}", "m.room.message", content,
              commands=("start", "hint")[part:])
        for part, content in enumerate(contents)
    ]  # fmt: skip


# --- in ---


async def test_what_came_in_waits_in_its_order_until_it_is_finished(
    journal: SqliteMatrixJournal,
) -> None:
    assert await journal.load_token() is None
    late, early = event(5), event(1)
    assert await journal.take_in("s1", [late, early], {}) == (late, early)
    assert await journal.take_in("s2", [early, event(2)], {}) == (late, early, event(2))
    assert await journal.load_token() == "s2"
    await journal.finish("$in5")
    assert await journal.take_in("s3", [late], {}) == (early, event(2))
    done = await journal.load_event("$in5")
    assert done is not None
    assert done.body == b""
    assert await journal.load_event("$nothing") is None


async def test_taking_in_costs_no_more_after_many_events(
    store: SqliteStore, journal: SqliteMatrixJournal
) -> None:
    steps = {}
    for before in (5, 100):
        events = [event(number) for number in range(before)]
        for each in await journal.take_in("s1", events, {}):
            await journal.finish(each.event_id)
        async with counted(store) as counting:
            assert await journal.take_in("s2", [event(1000 + before)], {})
        await journal.finish(f"$in{1000 + before}")
        steps[before] = counting.steps
    print(steps)  # noqa: T201 - its figures
    assert steps[100] < 1.5 * steps[5]


async def test_a_sealed_event_counts_its_tries_and_is_opened(journal: SqliteMatrixJournal) -> None:
    sealed = replace(event(1), is_sealed=True)
    await journal.take_in("s1", [sealed, event(2)], {})
    await journal.note_try("$in1")
    await journal.note_try("$in1")
    assert await journal.load_event("$in1") == replace(sealed, tries=2)
    await journal.open_sealed("$in1", b"opened")
    assert await journal.load_event("$in1") == replace(event(1), body=b"opened", tries=2)
    assert await journal.load_event("$in2") == event(2)


# --- out ---


async def test_what_was_saved_of_a_key_stands_and_is_sent_once(
    journal: SqliteMatrixJournal,
) -> None:
    one, two = drafts("post:1", b"a", b"b")
    assert await journal.save_drafts([one, two]) == (one, two)
    assert await journal.save_drafts(drafts("post:1", b"c")) == (one, two)
    assert await journal.load_drafts("!elsewhere", "post:1") == ()
    assert await journal.load_unsent() == (one, two)
    await journal.mark_sent(one, "$out1")
    await journal.mark_sent(one, "$again")
    sent = replace(one, content=b"", event_id="$out1")
    assert await journal.load_drafts(ROOM, "post:1") == (sent, two)
    assert await journal.load_unsent() == (two,)
    assert await journal.find_sent("$out1") == sent
    assert await journal.find_sent("$again") is None


async def test_an_event_of_ours_that_the_stream_tells_of_is_known_as_sent(
    journal: SqliteMatrixJournal,
) -> None:
    one, two = await journal.save_drafts(drafts("post:1", b"a", b"b"))
    await journal.take_in("s1", [], {one.transaction_id: "$out1", "t-unknown": "$out9"})
    assert await journal.load_unsent() == (two,)
    await journal.take_in("s2", [], {one.transaction_id: "$out2"})
    assert [each.event_id for each in await journal.load_drafts(ROOM, "post:1")] == ["$out1", None]


async def test_dropping_leaves_what_is_out_and_other_keys(journal: SqliteMatrixJournal) -> None:
    one, _ = await journal.save_drafts(drafts("post:1", b"a", b"b"))
    (other,) = await journal.save_drafts(drafts("post:2", b"a"))
    await journal.mark_sent(one, "$out1")
    await journal.drop_drafts(ROOM, "post:1")
    assert [each.event_id for each in await journal.load_drafts(ROOM, "post:1")] == ["$out1"]
    assert await journal.load_unsent() == (other,)


# --- private rooms and limits ---


async def test_private_rooms_are_found_both_ways_also_after_a_restart(
    journal: SqliteMatrixJournal, store: SqliteStore
) -> None:
    opening = DirectRoom(ROOM, "@ada", None)
    await journal.save_direct(opening)
    assert await journal.load_direct(ROOM, "@ada") == opening
    await journal.save_direct(replace(opening, target=PRIVATE))
    await journal.save_direct(DirectRoom(ROOM, "@ben", "!other"))
    for each in (journal, SqliteMatrixJournal(store.database, lambda: NOON)):
        assert await each.load_direct(ROOM, "@ada") == replace(opening, target=PRIVATE)
        assert await each.find_direct(PRIVATE) == replace(opening, target=PRIVATE)
        assert await each.load_direct("!elsewhere", "@ada") is None
        assert await each.find_direct("!nothing") is None


async def test_limits_are_counted(journal: SqliteMatrixJournal) -> None:
    assert await journal.count_limits() == 0
    await journal.note_limit()
    await journal.take_in("s1", [], {})
    await journal.note_limit()
    assert await journal.count_limits() == 2
    assert await journal.load_token() == "s1"


# --- what could not be read ---


def odd(number: int, *, sender: str = "@ada") -> SetAside:
    return SetAside(ROOM, sender, "no stamp", b"odd %d" % number)


async def test_what_could_not_be_read_is_kept_once_and_counted_each_time(
    journal: SqliteMatrixJournal,
) -> None:
    assert await journal.count_unreadable() == 0
    await journal.take_in("s1", [], {}, [odd(1), odd(2)])
    await journal.take_in("s2", [event(1)], {}, [odd(1)])
    assert await journal.load_token() == "s2"
    assert await journal.count_unreadable() == 3
    kept = {each.thing: each.times for each in await journal.load_unreadable()}
    assert kept == {odd(1): 2, odd(2): 1}
    await journal.give_up(event(1), "no key would help")
    assert await journal.take_in("s3", [], {}) == (), "it is finished"
    assert await journal.count_unreadable() == 4


async def test_of_what_could_not_be_read_the_newest_is_kept_and_all_is_counted(
    store: SqliteStore,
) -> None:
    for number in range(MOST_KEPT + 5):
        now = NOON + number * MINUTE
        journal = SqliteMatrixJournal(store.database, lambda now=now: now)
        await journal.take_in(f"s{number}", [], {}, [odd(number)])
    kept = await journal.load_unreadable()
    assert [each.thing for each in kept] == [odd(5 + each) for each in range(MOST_KEPT)][::-1]
    assert await journal.count_unreadable() == MOST_KEPT + 5
    await store.database.write(lambda link: prune_matrix(link, kept[1].last_at + KEEP_FINISHED))
    assert [each.thing for each in await journal.load_unreadable()] == [
        kept[0].thing,
        kept[1].thing,
    ]


async def test_what_an_erased_member_sent_is_kept_no_more_though_it_could_not_be_read(
    journal: SqliteMatrixJournal, store: SqliteStore
) -> None:
    await journal.take_in("s1", [], {}, [odd(1), odd(2, sender="@ben")])
    await store.database.write(lambda link: erase_matrix_traces(link, ROOM, Leaver("@ada", "Ada")))
    assert [each.thing.sender for each in await journal.load_unreadable()] == ["@ben"]


# --- forgetting ---


async def test_an_erased_name_stands_in_no_message_that_is_out(
    journal: SqliteMatrixJournal, store: SqliteStore
) -> None:
    out, also, waits = drafts(
        "results", b'{"body":"1. Ada"}', b'{"body":"Good"}', b'{"body":"Ada"}'
    )
    await journal.save_drafts([out, also, waits])
    for draft in (out, also):
        await journal.mark_sent(draft, f"$out-{draft.part}")
    await store.database.write(lambda link: erase_matrix_traces(link, ROOM, Leaver("@ada", "Ada")))
    kept = await journal.load_drafts(ROOM, "results")
    # What waits is sent as it was; its mend stands behind it.
    assert [each.content for each in kept] == [b"", b"", b'{"body":"Ada"}']


@pytest.mark.parametrize("has_private_room", [True, False])
async def test_erasing_takes_what_was_said_by_one_and_to_one_alone(
    journal: SqliteMatrixJournal, store: SqliteStore, has_private_room: bool
) -> None:
    if has_private_room:
        await journal.save_direct(DirectRoom(ROOM, "@ada", PRIVATE))
    private = PRIVATE if has_private_room else ROOM
    asks = event(9, room_id=private)
    came = [
        event(1), event(2, room_id=private), event(3, sender="@ben"), event(4, room_id="!else"),
        asks,
    ]  # fmt: skip
    await journal.take_in("s1", came, {})
    for each in came[:-1]:
        await journal.finish(each.event_id)
    told, _ = await journal.save_drafts(drafts("answer:1", b"a", b"b", target=PRIVATE))
    (post,) = await journal.save_drafts(drafts("post:1", b"a"))
    await journal.mark_sent(told, "$out1")
    await journal.mark_sent(post, "$out2")
    await store.database.write(lambda link: erase_matrix_traces(link, ROOM, Leaver("@ada", "Ada")))
    left = [each.event_id for each in came if await journal.load_event(each.event_id)]
    assert left == ["$in3", "$in4", "$in9"]
    assert (await journal.find_sent("$out1") is None) == has_private_room
    assert await journal.find_sent("$out2") is not None
    assert len(await journal.load_unsent()) == 1
    known = await SqliteMatrixJournal(store.database, lambda: NOON).load_direct(ROOM, "@ada")
    assert (known is not None) == has_private_room


async def test_ids_are_forgotten_after_a_while_and_the_keys_of_posts_never(
    journal: SqliteMatrixJournal, store: SqliteStore
) -> None:
    await journal.take_in("s1", [event(1), event(2)], {})
    await journal.finish("$in1")
    for key in ("answer:1", "post:1"):
        (saved,) = await journal.save_drafts(drafts(key, b"a"))
        await journal.mark_sent(saved, f"$out-{key}")
    kept_until = NOON + 2 * MINUTE + KEEP_FINISHED

    async def known() -> list[bool]:
        events = [await journal.load_event(each) for each in ("$in1", "$in2")]
        sent = [await journal.find_sent(each) for each in ("$out-answer:1", "$out-post:1")]
        return [each is not None for each in (*events, *sent)]

    await store.database.write(lambda link: prune_matrix(link, NOON + KEEP_FINISHED))
    assert await known() == [True, True, True, True]
    await store.database.write(lambda link: prune_matrix(link, kept_until))
    assert await known() == [True, True, False, True]
    later = kept_until + timedelta(milliseconds=1)
    await store.database.write(lambda link: prune_matrix(link, later))
    assert await known() == [False, True, False, True]
