"""After an erasure the name is in no byte of the folder, but for the dated copies."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path
from random import Random

import aiohttp
import msgspec
import pytest

from bot.club.ports import EraseMember, QueueNotice, SaveEntry
from bot.club.problems import Problem
from bot.club.replies import (
    InputRefused,
    MemberSolved,
    ReportShown,
    ResultFlagged,
    decode_reply,
    encode_reply,
)
from bot.demo import demo_settings
from bot.platforms.web.frames import EntryBody, MessageBody
from bot.settings import ClubConfig
from bot.storage import SqliteStore, open_store
from bot.storage.migrations import APPLICATION_ID, MIGRATIONS, OVERWRITTEN
from bot.storage.web import SqliteRoomLog
from bot.wiring.platforms import MEMORIES
from bot.wiring.running import open_clubs
from bot.wiring.web import WebAccess
from tests.bot.storage.samples import MONDAY, NOON, full_entry, new_club, new_day, new_member

NAME, ID = "Quillfeather", "quillfeather"


def files_with(folder: Path, *texts: str) -> set[str]:
    """Return which files of a folder hold one of the texts, but for the dated copies."""
    return {
        str(file.relative_to(folder))
        for file in folder.rglob("*")
        if file.is_file()
        and file.parent.name != "backups"
        and any(text.encode() in file.read_bytes() for text in texts)
    }


def line(text: str, by: str = "") -> bytes:
    return msgspec.json.encode(EntryBody("12:00", (MessageBody(text),), by=by))


def solved(name: str) -> bytes:
    return encode_reply(
        MemberSolved(date=MONDAY, name=name, rank=1, adjusted=300, hints=0, is_late=False)
    )


async def _live_a_week(store: SqliteStore) -> int:
    """Leave the name in every place that it gets to; return the club's id."""
    club = await new_club(store, "maple")
    day = await new_day(store, club, 0)
    quill = await new_member(store, club, ID, NAME)
    await new_member(store, club, "ben", "Ben")
    await store.save([SaveEntry(ID, full_entry(day, quill))])
    log = SqliteRoomLog(store.database, lambda: NOON)
    await log.append("maple", ID, "answer", line("Well done."), "answer:1")
    await log.append("maple", "ben", "answer", line(f"1. {NAME}, 2. Ben"), "answer:2")
    await log.append("maple", None, "said", line("Good morning", by=NAME), "line:1")
    await log.append("maple", None, "said", line(f"Hello {NAME}!", by="Ben"), "line:2")
    await log.append("maple", None, "said", line("Hello all!", by="Ben"), "line:3")
    # As an older Ninebark named these keys.
    about = f"flagged:{club.id}:2026-11-23:{ID}:ben"
    await store.save([QueueNotice(club.id, about, "member", b"{}", user_id="ben")])
    await store.save([], event_id="e1", reply=b"{}", club_id=club.id, user_id=ID)
    await store.save([], event_id="e2", reply=solved(NAME), club_id=club.id, user_id="ben")
    told = encode_reply(ResultFlagged(date=MONDAY, name=NAME, raw=9))
    await store.save(
        [
            QueueNotice(club.id, "solved:1", "room", solved(NAME)),
            QueueNotice(club.id, "flagged:1", "member", told, user_id="ben"),
        ]
    )
    return club.id


async def test_an_export_holds_what_an_erasure_takes_away(tmp_path: Path) -> None:
    async with open_store(tmp_path / "club.db", memories=MEMORIES) as store:
        club_id = await _live_a_week(store)
        log = SqliteRoomLog(store.database, lambda: NOON)
        await log.append("elsewhere", ID, "answer", line("Another room's."), "answer:3")
        kept = await store.export_member(club_id, ID)
        assert [each["words"] for each in kept["lines"]] == [["Well done."], ["Good morning"]]
        assert [each["reply"] for each in kept["told"]] == ["{}"]
        assert len(kept["entries"]) == 1
        assert "Ben" not in str(kept)
        await store.save([EraseMember(club_id, ID)])
        left = await store.export_member(club_id, ID)
        assert set(left) == {"erased_while_open"}


async def test_an_erased_name_is_in_no_byte_of_the_folder(tmp_path: Path) -> None:
    async with open_store(tmp_path / "club.db", memories=MEMORIES) as store:
        club_id = await _live_a_week(store)
        assert files_with(tmp_path, NAME, ID) == {"club.db-wal"}
        await store.checkpoint()
        assert files_with(tmp_path, NAME, ID) == {"club.db"}
        await store.save(
            [EraseMember(club_id, ID)], event_id="e3", reply=b"{}", club_id=club_id, user_id=ID
        )
        assert files_with(tmp_path, NAME, ID) == set()
        kept = await store.load_reply("e2")
        assert kept is not None
        reply = decode_reply(kept)
        assert isinstance(reply, MemberSolved)
        assert (reply.name, reply.adjusted) == ("", 300)
        assert len(await store.load_notices()) == 2
        lines = await SqliteRoomLog(store.database).since("maple", "ben")
        assert [each.key for each in lines] == ["answer:2", "line:2", "line:3"]
    assert files_with(tmp_path, NAME, ID) == set()


async def test_no_byte_is_left_where_many_rows_have_come_and_gone(tmp_path: Path) -> None:
    """Rows move from page to page as a table grows and shrinks; none may leave itself behind."""
    random = Random(7)
    async with open_store(tmp_path / "club.db", memories=MEMORIES) as store:
        club = await new_club(store, "maple")
        await new_member(store, club, ID, NAME)
        log = SqliteRoomLog(store.database, lambda: NOON)
        for number in range(400):
            text = " ".join(
                random.choices(("word", "for", "another", NAME), k=random.randint(1, 90))
            )
            added, _ = await log.append("maple", None, "said", line(text, by="Ben"), f"{number}")
            event_id = f"{random.random()}"
            await store.save(
                [], event_id=event_id, reply=solved(NAME), club_id=club.id, user_id="b"
            )
            if random.random() < 0.3:
                await log.remove(added)
        await store.save([EraseMember(club.id, ID)])
        assert files_with(tmp_path, NAME, ID) == set()


async def test_what_the_posts_say_is_gone_once_they_are_mended(tmp_path: Path) -> None:
    """A post stays for its mend; what it replaces is in no log and no freed page."""
    async with open_store(tmp_path / "club.db", memories=MEMORIES) as store:
        log = SqliteRoomLog(store.database, lambda: NOON)
        club_id = await _live_a_week(store)
        for notice in await store.load_notices():
            await store.mark_sent(notice.id, "1", NOON)
        post, _ = await log.append("maple", None, "post", line(f"{NAME} solved it"), "post:1")
        mend = QueueNotice(club_id, "solved:1", "mend", solved(""))
        await store.save([mend, EraseMember(club_id, ID)])
        assert files_with(tmp_path, NAME, ID) == {"club.db"}
        await log.replace(post, line("A former member solved it"))
        (waiting,) = await store.load_notices()
        await store.mark_sent(waiting.id, "1", NOON)
        assert files_with(tmp_path, NAME, ID) == set()


async def test_what_a_member_does_in_the_web_room_leaves_no_byte_of_their_name(
    tmp_path: Path,
) -> None:
    entry = ClubConfig("web", "main", demo_settings())
    async with (
        open_clubs(
            [entry], WebAccess(port=0), database=tmp_path / "club.db", now=lambda: NOON
        ) as house,
        aiohttp.ClientSession() as session,
    ):
        url = house.rooms["web"].url
        async with session.ws_connect(f"{url}socket", origin=url.rstrip("/")) as socket:
            await socket.send_json({"type": "enter", "room": "main", "name": NAME})
            for number, said in enumerate(("start", "me", "privacy", "privacy erase sure")):
                is_open = said == "me"
                act = {"type": "act", "id": f"a{number}", "text": said, "open": is_open}
                await socket.send_json(act)
                while (frame := await socket.receive_json())["type"] != "done":
                    assert frame["type"] != "refused", frame
                if number == 0:
                    assert files_with(tmp_path, NAME, ID)
        assert files_with(tmp_path, NAME, ID) == set()


@pytest.mark.parametrize("name", ["Al", 'Al "Quill"', "Åse"])
async def test_an_erased_name_is_no_part_of_a_longer_word(tmp_path: Path, name: str) -> None:
    async with open_store(tmp_path / "club.db", memories=MEMORIES) as store:
        club = await new_club(store, "maple")
        await new_member(store, club, "al", name)
        log = SqliteRoomLog(store.database, lambda: NOON)
        await log.append("maple", None, "said", line("Almost Aland, Åsen", by="Ben"), "line:1")
        await log.append("maple", None, "said", line(f"well, {name}?", by="Ben"), "line:2")
        await store.save([EraseMember(club.id, "al")])
        first, second = await log.since("maple", "ben")
        assert b"Almost Aland, \xc3\x85sen" in first.body
        assert b"well, \xe2\x80\xa6?" in second.body


WORDS_OF_OURS = (
    "HintShown", "MemberSolved", "at", "date", "messages", "messages[0]", "name", "text", "type",
)  # fmt: skip


@pytest.mark.parametrize("name", WORDS_OF_OURS)
async def test_whoever_is_called_as_a_part_of_our_rows_takes_none_along(
    tmp_path: Path, name: str
) -> None:
    """On a platform anybody calls themselves anything, and may have that erased."""
    async with open_store(tmp_path / "club.db", memories=MEMORIES) as store:
        club = await new_club(store, "maple")
        await new_member(store, club, "mallory", name)
        log = SqliteRoomLog(store.database, lambda: NOON)
        await log.append("maple", "ben", "answer", line("Where, rung 1 of 4."), "answer:1")
        await log.append("maple", None, "said", line("Good morning", by="Ben"), "line:1")
        reply = solved("Ben")
        await store.save([], event_id="e1", reply=reply, club_id=club.id, user_id="ben")
        await store.save([QueueNotice(club.id, "solved:1", "room", reply)])
        before = await log.since("maple", "ben")
        await store.save([EraseMember(club.id, "mallory")])
        assert await store.load_reply("e1") == reply
        assert [each.reply for each in await store.load_notices()] == [reply]
        assert await log.since("maple", "ben") == before


EVERYDAY = frozenset({"a", "date", "the"})


@pytest.mark.parametrize("name", ["the", "the date", "5"])
async def test_a_name_that_is_a_word_is_taken_only_from_where_it_names_the_person(
    tmp_path: Path, name: str
) -> None:
    said, told = f"Shall we say {name} 5th of May, the usual?", "Where, the rung 5 of a date."
    typed = encode_reply(InputRefused(command="hint", problem=Problem.CHARACTER, text=said))
    named = encode_reply(InputRefused(command="club result", problem=Problem.MEMBER, text=name))
    path = tmp_path / "club.db"
    async with open_store(path, memories=MEMORIES, everyday=lambda: EVERYDAY) as store:
        club = await new_club(store, "maple")
        await new_member(store, club, "mallory", name)
        log = SqliteRoomLog(store.database, lambda: NOON)
        await log.append("maple", None, "said", line(said, by="Ben"), "line:1")
        await log.append("maple", "ben", "answer", line(told), "answer:1")
        table = EntryBody("12:00", (MessageBody(f"1. {name}: solved", names=("Ben", name)),))
        await log.append("maple", "ben", "answer", msgspec.json.encode(table), "answer:2")
        for event_id, reply in (("e1", typed), ("e2", named), ("e3", report(name))):
            await store.save([], event_id=event_id, reply=reply, club_id=club.id, user_id="ben")
        await store.save([EraseMember(club.id, "mallory")])
        lines = [msgspec.json.decode(each.body) for each in await log.since("maple", "ben")]
        texts = [each["messages"][0]["text"] for each in lines]
        assert texts == [said, told, "1. \u2026: solved"]
        assert lines[2]["messages"][0]["names"] == ["Ben"]
        assert await store.load_reply("e1") == typed
        assert name not in repr(decode_reply(await store.load_reply("e2") or b""))
        assert decode_reply(await store.load_reply("e3") or b"") == decode_reply(report(""))


def report(name: str) -> bytes:
    """Return a leader's report that names somebody wherever it can, and a reason as they are."""
    return encode_reply(
        ReportShown(
            date=MONDAY, started=3, finished=2, late=1, median=None, techniques=(), stuck_count=0,
            picture=None, flagged=((name, 61, "quick"),), starters=("Ben", name),
            finishers=((name, 90, "late"), ("Ben", 80, "flagged")),
        )
    )  # fmt: skip


async def test_any_other_name_is_taken_from_what_people_wrote_as_well(tmp_path: Path) -> None:
    path = tmp_path / "club.db"
    async with open_store(path, memories=MEMORIES, everyday=lambda: EVERYDAY) as store:
        club_id = await _live_a_week(store)
        await store.save([EraseMember(club_id, ID)])
        assert files_with(tmp_path, NAME, ID) == set()


async def test_what_an_older_ninebark_deleted_is_overwritten_at_the_next_start(
    tmp_path: Path,
) -> None:
    path = tmp_path / "club.db"
    async with open_store(path) as store:
        await _live_a_week(store)
    write_as_of(path, MIGRATIONS.index(OVERWRITTEN))
    with closing(sqlite3.connect(path, isolation_level=None)) as link:
        # As the version before this one left a database behind.
        link.execute("PRAGMA secure_delete = OFF")
        link.execute("PRAGMA foreign_keys = OFF")
        for table in ("member", "entry", "event", "notice", "room_log"):
            link.execute(f"DELETE FROM {table}")
    assert files_with(tmp_path, NAME, ID) == {"club.db"}
    async with open_store(path):
        pass
    assert files_with(tmp_path, NAME, ID) == set()


def write_as_of(path: Path, version: int) -> None:
    """Write a database anew with the tables of an older version, and the rows that these hold."""
    newer = path.rename(path.with_suffix(".newer"))
    with closing(sqlite3.connect(path, isolation_level=None)) as link:
        for statement in (each for migration in MIGRATIONS[:version] for each in migration):
            link.execute(statement)
        link.execute(f"PRAGMA application_id = {APPLICATION_ID}")
        link.execute(f"PRAGMA user_version = {version}")
        link.execute("ATTACH ? AS newer", (str(newer),))
        tables = "SELECT name FROM main.sqlite_schema WHERE type = 'table' AND name <> ?"
        for (table,) in link.execute(tables, ("sqlite_sequence",)).fetchall():
            names = ", ".join(row[1] for row in link.execute(f"PRAGMA main.table_info({table})"))
            link.execute(f"INSERT INTO {table} ({names}) SELECT {names} FROM newer.{table}")
    newer.unlink()
