"""What the Matrix room remembers, in SQLite: the stream's place, what came in, what goes out.

Contents are forgotten as soon as they have done their work; ids stay for a while, so that nothing
is taken in or sent twice. What an event says is the room's affair and is not looked at here.
"""

from __future__ import annotations

import sqlite3
import sys
from collections.abc import Callable, Mapping, Sequence
from datetime import datetime, timedelta

import msgspec

from bot.platforms.matrix.journal import DirectRoom, Draft, InboxEvent, Unread
from bot.platforms.matrix.news import SetAside
from bot.storage.connection import Database
from bot.storage.matrix.unreadable import (
    count_unreadable,
    load_unreadable,
    prune_unreadable,
    set_aside,
)
from bot.storage.rows import moment_of, ms_of, utc_now

KEEP_FINISHED = timedelta(days=60)
"""How long ids of finished events, and of what was sent, are kept."""

_FINISH = "UPDATE matrix_inbox SET is_finished = 1, body = x'' WHERE event_id = ?"
_COMMANDS = msgspec.json.Decoder(tuple[str, ...])


class SqliteMatrixJournal:
    """Implements `bot.platforms.matrix.journal.Journal`."""

    def __init__(self, database: Database, now: Callable[[], datetime] = utc_now) -> None:
        self._database = database
        self._now = now
        self._directs: dict[tuple[str, str], DirectRoom] | None = None

    # --- in ---

    async def load_token(self) -> str | None:
        """Return the place in the stream up to which we have heard, None before the first sync."""

        def work(link: sqlite3.Connection) -> str | None:
            row = link.execute("SELECT token FROM matrix_stream").fetchone()
            return None if row is None else row["token"]

        return await self._database.read(work)

    async def take_in(
        self,
        token: str,
        events: Sequence[InboxEvent],
        sent: Mapping[str, str],
        unreadable: Sequence[SetAside] = (),
    ) -> tuple[InboxEvent, ...]:
        """Save events and token in one transaction; return all unfinished events in order of
        coming. An event that is known already keeps what was done to it."""
        now = ms_of(self._now())

        def work(link: sqlite3.Connection) -> tuple[InboxEvent, ...]:
            set_aside(link, unreadable, now)
            return _take_in(link, token, events, sent)

        return await self._database.write(work)

    async def load_event(self, event_id: str) -> InboxEvent | None:
        """Return an event that came in, None once its id is forgotten (KEEP_FINISHED)."""

        def work(link: sqlite3.Connection) -> InboxEvent | None:
            row = link.execute(
                "SELECT * FROM matrix_inbox WHERE event_id = ?", (event_id,)
            ).fetchone()
            return None if row is None else _event_of(row)

        return await self._database.read(work)

    async def open_sealed(self, event_id: str, body: bytes) -> None:
        """Put the decrypted JSON in the place of a sealed event's."""
        await self._run(
            "UPDATE matrix_inbox SET body = ?, is_sealed = 0 WHERE event_id = ?", body, event_id
        )

    async def note_try(self, event_id: str) -> None:
        """Count one more attempt to decrypt an event."""
        await self._run("UPDATE matrix_inbox SET tries = tries + 1 WHERE event_id = ?", event_id)

    async def finish(self, event_id: str) -> None:
        """Note that an event needs nothing more, and empty it; the id stays for KEEP_FINISHED."""
        await self._run(_FINISH, event_id)

    async def give_up(self, event: InboxEvent, problem: str) -> None:
        """Finish an event and set it aside with what is wrong with it, in one transaction."""
        now = ms_of(self._now())
        thing = SetAside(event.room_id, event.sender, problem, event.body)

        def work(link: sqlite3.Connection) -> None:
            set_aside(link, (thing,), now)
            link.execute(_FINISH, (event.event_id,))

        await self._database.write(work)

    async def count_unreadable(self) -> int:
        """Return how much was set aside in all, what is no longer kept included."""
        return await self._database.read(count_unreadable)

    async def load_unreadable(self) -> tuple[Unread, ...]:
        """Return what is still kept of what was set aside, the newest first."""
        return await self._database.read(load_unreadable)

    # --- out ---

    async def save_drafts(self, drafts: Sequence[Draft]) -> tuple[Draft, ...]:
        """Save the parts of one key (one at least), or return those that are there and save
        nothing."""
        now = ms_of(self._now())
        return await self._database.write(lambda link: _save_drafts(link, drafts, now))

    async def load_drafts(self, room_id: str, key: str) -> tuple[Draft, ...]:
        """Return the parts of a key in their order, sent or not; none for an unknown key."""
        return await self._database.read(lambda link: _load_drafts(link, room_id, key))

    async def find_newest(self, room_id: str, prefix: str) -> str | None:
        """Return the key that begins so and was saved last, None where there is none."""

        def work(link: sqlite3.Connection) -> str | None:
            row = link.execute(
                "SELECT key FROM matrix_outbox WHERE room_id = ? AND key >= ? AND key < ?"
                " ORDER BY id DESC LIMIT 1",
                (room_id, prefix, f"{prefix}{chr(sys.maxunicode)}"),
            ).fetchone()
            return None if row is None else str(row["key"])

        return await self._database.read(work)

    async def load_unsent(self) -> tuple[Draft, ...]:
        """Return what was saved and is not known to be out, oldest first, for every room."""

        def work(link: sqlite3.Connection) -> tuple[Draft, ...]:
            rows = link.execute("SELECT * FROM matrix_outbox WHERE event_id IS NULL ORDER BY id")
            return tuple(_draft_of(row) for row in rows)

        return await self._database.read(work)

    async def find_sent(self, event_id: str) -> Draft | None:
        """Return what went out as an event, None where it is not ours or is forgotten."""

        def work(link: sqlite3.Connection) -> Draft | None:
            row = link.execute(
                "SELECT * FROM matrix_outbox WHERE event_id = ?", (event_id,)
            ).fetchone()
            return None if row is None else _draft_of(row)

        return await self._database.read(work)

    async def change_commands(self, event_id: str, commands: tuple[str, ...]) -> None:
        """Have reactions to a message that was sent stand for other command lines from now on."""
        await self._run(
            "UPDATE matrix_outbox SET commands = ? WHERE event_id = ?",
            msgspec.json.encode(commands).decode(),
            event_id,
        )

    async def mark_sent(self, draft: Draft, event_id: str) -> None:
        """Note the event that a draft became, and forget its content; the first such note
        stands."""
        await self._run(
            "UPDATE OR IGNORE matrix_outbox SET event_id = ?, content = x''"
            " WHERE transaction_id = ? AND event_id IS NULL",
            event_id,
            draft.transaction_id,
        )

    async def drop_drafts(self, room_id: str, key: str) -> None:
        """Forget the parts of a key that are not out; those that are stay known."""
        await self._run(
            "DELETE FROM matrix_outbox WHERE room_id = ? AND key = ? AND event_id IS NULL",
            room_id,
            key,
        )

    # --- direct rooms and limits ---

    async def load_direct(self, room_id: str, user_id: str) -> DirectRoom | None:
        """Return one person's private room in a club, None where none was begun."""
        return (await self._known_directs()).get((room_id, user_id))

    async def find_direct(self, target: str) -> DirectRoom | None:
        """Return whose private room `target` is, None where it is nobody's; of a member's own chat,
        which club it is turned to."""
        known = (await self._known_directs()).values()
        found = (direct for direct in known if direct.target == target)
        return max(found, key=lambda direct: direct.room_id, default=None)

    async def save_direct(self, direct: DirectRoom) -> None:
        """Note a person's private room in a club, in the place of an earlier one."""
        await self._run(
            "INSERT INTO matrix_direct VALUES (?, ?, ?)"
            " ON CONFLICT (room_id, user_id) DO UPDATE SET target = excluded.target",
            direct.room_id,
            direct.user_id,
            direct.target,
        )
        (await self._known_directs())[direct.room_id, direct.user_id] = direct

    def forget_directs(self) -> None:
        """Read them anew: a club has moved, and its members' private rooms with it."""
        self._directs = None

    async def _known_directs(self) -> dict[tuple[str, str], DirectRoom]:
        """Return all of them, kept here: every command asks, and nobody else writes them."""
        if self._directs is None:
            rows = await self._database.read(
                lambda link: link.execute("SELECT * FROM matrix_direct").fetchall()
            )
            found = [DirectRoom(*row) for row in rows]
            # Whoever came first has it: it may have been written to since.
            if self._directs is None:
                self._directs = {(each.room_id, each.user_id): each for each in found}
        return self._directs

    async def count_limits(self) -> int:
        """Return how often the homeserver has made us slow down, restarts included."""

        def work(link: sqlite3.Connection) -> int:
            row = link.execute("SELECT limits FROM matrix_stream").fetchone()
            return 0 if row is None else int(row["limits"])

        return await self._database.read(work)

    async def note_limit(self) -> None:
        """Count one more time that the homeserver made us slow down."""
        await self._run(
            "INSERT INTO matrix_stream (id, limits) VALUES (1, 1)"
            " ON CONFLICT (id) DO UPDATE SET limits = limits + 1"
        )

    async def _run(self, statement: str, *values: object) -> None:
        await self._database.write(lambda link: link.execute(statement, values))


def _take_in(
    link: sqlite3.Connection,
    token: str,
    events: Sequence[InboxEvent],
    sent: Mapping[str, str],
) -> tuple[InboxEvent, ...]:
    # What is finished has no place in any order any more, however much there is of it.
    last = link.execute(
        "SELECT coalesce(max(position), 0) FROM matrix_inbox WHERE is_finished = 0"
    ).fetchone()[0]
    link.executemany(
        "INSERT INTO matrix_inbox (event_id, position, room_id, sender, stamped_at, received_at,"
        " body, is_sealed, after_gap) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?) ON CONFLICT DO NOTHING",
        [
            (
                event.event_id,
                position,
                event.room_id,
                event.sender,
                ms_of(event.stamped_at),
                ms_of(event.received_at),
                event.body,
                event.is_sealed,
                event.after_gap,
            )
            for position, event in enumerate(events, start=last + 1)
        ],
    )
    link.executemany(
        "UPDATE OR IGNORE matrix_outbox SET event_id = ?, content = x''"
        " WHERE transaction_id = ? AND event_id IS NULL",
        [(event_id, transaction_id) for transaction_id, event_id in sent.items()],
    )
    link.execute(
        "INSERT INTO matrix_stream (id, token) VALUES (1, ?)"
        " ON CONFLICT (id) DO UPDATE SET token = excluded.token",
        (token,),
    )
    rows = link.execute("SELECT * FROM matrix_inbox WHERE is_finished = 0 ORDER BY position")
    return tuple(_event_of(row) for row in rows)


def _save_drafts(link: sqlite3.Connection, drafts: Sequence[Draft], now: int) -> tuple[Draft, ...]:
    room_id, key = drafts[0].room_id, drafts[0].key
    if there := _load_drafts(link, room_id, key):
        return there
    link.executemany(
        "INSERT INTO matrix_outbox (room_id, key, part, target, transaction_id, kind, content,"
        " relation, commands, saved_at) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
        [
            (
                draft.room_id,
                draft.key,
                draft.part,
                draft.target,
                draft.transaction_id,
                draft.kind,
                draft.content,
                draft.relation,
                msgspec.json.encode(draft.commands).decode(),
                now,
            )
            for draft in drafts
        ],
    )
    return tuple(drafts)


def _load_drafts(link: sqlite3.Connection, room_id: str, key: str) -> tuple[Draft, ...]:
    rows = link.execute(
        "SELECT * FROM matrix_outbox WHERE room_id = ? AND key = ? ORDER BY part", (room_id, key)
    )
    return tuple(_draft_of(row) for row in rows)


def prune_matrix(link: sqlite3.Connection, now: datetime) -> None:
    """Forget ids that no homeserver will name again; the keys of posts in rooms stay."""
    before = ms_of(now - KEEP_FINISHED)
    link.execute("DELETE FROM matrix_inbox WHERE is_finished = 1 AND received_at < ?", (before,))
    link.execute("DELETE FROM matrix_outbox WHERE saved_at < ? AND key LIKE 'answer:%'", (before,))
    prune_unreadable(link, now - KEEP_FINISHED)


def _event_of(row: sqlite3.Row) -> InboxEvent:
    return InboxEvent(
        event_id=row["event_id"],
        room_id=row["room_id"],
        sender=row["sender"],
        stamped_at=moment_of(row["stamped_at"]),
        received_at=moment_of(row["received_at"]),
        body=bytes(row["body"]),
        is_sealed=bool(row["is_sealed"]),
        after_gap=bool(row["after_gap"]),
        tries=row["tries"],
    )


def _draft_of(row: sqlite3.Row) -> Draft:
    return Draft(
        room_id=row["room_id"],
        key=row["key"],
        part=row["part"],
        target=row["target"],
        transaction_id=row["transaction_id"],
        kind=row["kind"],
        content=bytes(row["content"]),
        relation=row["relation"],
        commands=_COMMANDS.decode(row["commands"]),
        event_id=row["event_id"],
    )
