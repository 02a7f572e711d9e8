"""Rows that were saved before are read now: replies, notices and entries of every version kept.

The rows are material made by the code of their time, never by hand (`keep_rows`).
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import AsyncIterator
from pathlib import Path
from typing import Any

import msgspec
import pytest

from bot import wording
from bot.club import replies, versions
from bot.club.replies import TalkHeard, decode_reply, encode_reply, reply_kinds
from bot.club.state import MemberSolve
from bot.club.versions import VERSION, FutureVersionError, Kept, Upgrade
from bot.storage import SqliteStore, open_store, rows
from tests.bot.storage.keep_rows import Row, kept_versions, read_rows
from tests.bot.storage.samples import NOON, entries_of, full_entry, new_club, new_day, new_member

VERSIONS = tuple(kept_versions())


@pytest.fixture
async def store(tmp_path: Path) -> AsyncIterator[SqliteStore]:
    async with open_store(tmp_path / "club.db", now=lambda: NOON) as opened:
        yield opened


async def put_back(store: SqliteStore, kept: list[Row]) -> None:
    """Insert kept rows as they are, without columns dropped since; what they point at is there."""
    for room in ("maple", "elm"):
        club = await new_club(store, room)
        await new_day(store, club, 0)
        await new_member(store, club, "ada")

    def insert(link: sqlite3.Connection) -> None:
        for row in kept:
            there = {each["name"] for each in link.execute(f"PRAGMA table_info({row['table']})")}
            values = {name: value for name, value in row.items() if name in there}
            if "reply" in values:
                values["reply"] = values["reply"].encode()
            names = ", ".join(values)
            marks = ", ".join(f":{name}" for name in values)
            link.execute(f"INSERT INTO {row['table']} ({names}) VALUES ({marks})", values)

    await store.database.write(insert)


def test_there_are_rows_of_every_version() -> None:
    assert tuple(range(VERSION + 1)) == VERSIONS


def test_every_kind_of_reply_is_among_the_rows_of_this_version() -> None:
    """What is missing is added by: python -m tests.bot.storage.keep_rows"""
    events = [row for row in read_rows(VERSION) if row["table"] == "event"]
    there = {json.loads(row["reply"])["type"] for row in events}
    assert {kind.__name__ for kind in reply_kinds()} <= there


@pytest.mark.parametrize("version", VERSIONS)
async def test_events_and_notices_of_every_version_are_read_and_told(
    store: SqliteStore, version: int
) -> None:
    kept = read_rows(version)
    await put_back(store, kept)
    events = [row for row in kept if row["table"] == "event"]
    for row in events:
        text = await store.load_reply(row["id"])
        assert text is not None
        assert wording.phrase(decode_reply(text)).text or isinstance(decode_reply(text), TalkHeard)
    waiting = [row for row in kept if row["table"] == "notice" and row["sent_at"] is None]
    notices = await store.load_notices()
    assert [notice.key for notice in notices] == [row["key"] for row in waiting]
    assert all(decode_reply(notice.reply) for notice in notices)
    assert len(events) > len(reply_kinds())
    assert notices


@pytest.mark.parametrize("version", VERSIONS)
async def test_entries_of_every_version_are_read_with_their_hints_and_counted(
    store: SqliteStore, version: int
) -> None:
    await put_back(store, read_rows(version))
    (played, full) = await every_entry(store)
    club = await new_club(store, "elm")
    wanted = full_entry(await new_day(store, club, 0), await new_member(store, club, "ada"))
    for name in ("board", "history", "known", "hint", "charges", "tries", "verdict", "reason"):
        assert getattr(full, name) == getattr(wanted, name), name
    assert played.hint is not None
    assert played.hint.step.technique == "hidden-single"
    assert played.known.places == (("r2c3", 1),)
    (result,) = await store.load_results(club.id, None, None)
    assert result.added == sum(charge.seconds for charge in wanted.charges)


async def every_entry(store: SqliteStore) -> list[MemberSolve]:
    """Return ada's entries, of the club where she played and of the one where all is set."""
    clubs = [await new_club(store, room) for room in ("maple", "elm")]
    return [entry for club in clubs for entry in await entries_of(store, club, "ada")]


def test_nothing_that_this_version_wrote_is_lost_by_reading_it() -> None:
    for row in read_rows(VERSION):
        if row.get("reply"):
            before = json.loads(row["reply"])
            after = json.loads(encode_reply(decode_reply(row["reply"].encode())))
            assert lost(before, after) == [], row["reply"][:200]


def lost(before: Any, after: Any, where: str = "") -> list[str]:
    """Return where something of `before` is not in `after`; what is new may be there besides."""
    if isinstance(before, dict) and isinstance(after, dict):
        return [
            each
            for name in before
            for each in lost(before[name], after.get(name, "nothing"), f"{where}.{name}")
        ]
    if isinstance(before, list) and isinstance(after, list) and len(before) == len(after):
        pairs = enumerate(zip(before, after, strict=True))
        return [each for number, pair in pairs for each in lost(*pair, f"{where}[{number}]")]
    return [] if before == after else [where]


def test_a_reply_says_its_version_and_one_from_the_future_is_refused() -> None:
    text = encode_reply(TalkHeard())
    said = json.loads(text)
    assert (said["version"], said["type"]) == (VERSION, "TalkHeard")
    later = text.replace(b"%d" % VERSION, b"%d" % (VERSION + 1))
    with pytest.raises(FutureVersionError):
        decode_reply(later)


# --- a version to come ---


class NewTalk(msgspec.Struct, frozen=True, kw_only=True, tag="TalkHeard"):
    """TalkHeard as it may be one day, with a field that nothing stands in for."""

    mood: str


class NewKnown(msgspec.Struct, frozen=True):
    """Known with such a field."""

    source: str
    places: tuple[tuple[str, int], ...] = ()


class NewCharge(msgspec.Struct, frozen=True):
    key: str
    seconds: int
    reason: str


def _with_mood(kept: Kept) -> Kept:
    return {**kept, "mood": "calm"} if kept["type"] == "TalkHeard" else kept


def _with_source(kept: Kept) -> Kept:
    return {**kept, "known": {**kept["known"], "source": "told"}}


def _with_reason(kept: Kept) -> Kept:
    return {**kept, "reason": "hint" if kept["key"].startswith("hint:") else "other"}


@pytest.fixture
def next_version(monkeypatch: pytest.MonkeyPatch) -> None:
    """Give a reply, what is known and a charge a required field each, and the way up to them."""
    later = Upgrade(reply=_with_mood, entry=_with_source, charge=_with_reason)
    monkeypatch.setattr(versions, "UPGRADES", (*versions.UPGRADES, later))
    decoders = {**replies._DECODERS, "TalkHeard": msgspec.json.Decoder(NewTalk)}
    monkeypatch.setattr(replies, "_DECODERS", decoders)
    monkeypatch.setattr(rows, "_KNOWN", msgspec.json.Decoder(NewKnown))
    monkeypatch.setattr(rows, "_CHARGES", msgspec.json.Decoder(tuple[NewCharge, ...]))


@pytest.mark.parametrize("version", VERSIONS)
@pytest.mark.usefixtures("next_version")
async def test_a_new_required_field_can_read_the_rows_of_every_version(
    store: SqliteStore, version: int
) -> None:
    kept = read_rows(version)
    await put_back(store, kept)
    (row,) = [each for each in kept if '"type":"TalkHeard"' in each.get("reply", "")]
    talk: Any = decode_reply((await store.load_reply(row["id"])) or b"")
    assert talk.mood == "calm"
    for entry in await every_entry(store):
        known, charges = entry.known, entry.charges
        assert isinstance(known, NewKnown)
        assert known.source == "told"
        reasons = {charge.reason for charge in charges if isinstance(charge, NewCharge)}
        assert reasons == {"hint", "other"}


# --- what the upgrades say of older replies ---


def _older(version: int, kind: str, **facts: object) -> bytes:
    return json.dumps({"version": version, "type": kind, **facts}).encode()


DISGUISED: dict[str, object] = {"command": "club queue", "problem": "repeat-puzzle", "digit": 1}


@pytest.mark.parametrize("version", [0, 1])
def test_a_disguised_puzzle_that_was_refused_before_is_still_told_as_one(version: int) -> None:
    told = wording.phrase(decode_reply(_older(version, "InputRefused", **DISGUISED))).text
    assert "in disguise" in told
    outcomes = [{"type": "InputRefused", **DISGUISED, "text": "2026-11-20"}]
    several = wording.phrase(decode_reply(_older(version, "PuzzlesQueued", outcomes=outcomes)))
    assert "in disguise" in several.text
    plain = _older(version, "InputRefused", **{**DISGUISED, "digit": 0})
    assert "in disguise" not in wording.phrase(decode_reply(plain)).text


def test_a_taken_day_and_a_misspelt_one_that_were_refused_before_are_told_apart() -> None:
    def told(text: str) -> str:
        old = _older(1, "InputRefused", command="club queue", problem="date", text=text)
        return wording.phrase(decode_reply(old)).text

    assert told("2026-11-20").startswith("2026-11-20 is past, or has a puzzle already.")
    assert told("2026-13-45").startswith("“2026-13-45” is not a date that I can read")
