"""The shape of the database, as an ordered list that only ever grows at its end.

Each migration is the statements that lead from one version to the next; the version stands in the
file (`PRAGMA user_version`). A migration that was released is never changed. Times are UTC
milliseconds, dates are ISO texts, values that only the club reads are JSON texts.
"""

from __future__ import annotations

import sqlite3
from pathlib import Path

from bot.storage.errors import DatabaseFromFutureError, NotADatabaseError
from bot.storage.first_tables import FIRST
from bot.storage.lessons import LESSONS
from bot.storage.link_tables import LINKS
from bot.storage.moving import MOVES
from bot.storage.practice import PRACTICE
from bot.storage.questions import NAMED_TRIES, PLANNED_QUESTIONS, QUESTION_TIMES, QUESTIONS
from bot.storage.result_tables import RESULTS
from bot.storage.weeks import WEEKS

APPLICATION_ID = 0x4E_42_52_4B
"""Marks a file as ours (`PRAGMA application_id`): the letters NBRK."""

OVERWRITTEN: tuple[str, ...] = ()
"""From this version on what is deleted is overwritten; an older file is written anew once."""

MIGRATIONS: tuple[tuple[str, ...], ...] = (
    FIRST,
    (
        """
        CREATE TABLE matrix_stream (
            id INTEGER PRIMARY KEY CHECK (id = 1),
            token TEXT,
            limits INTEGER NOT NULL DEFAULT 0
        ) STRICT
        """,
        """
        CREATE TABLE matrix_inbox (
            event_id TEXT PRIMARY KEY,
            position INTEGER NOT NULL,
            room_id TEXT NOT NULL,
            sender TEXT NOT NULL,
            stamped_at INTEGER NOT NULL,
            received_at INTEGER NOT NULL,
            body BLOB NOT NULL,
            is_sealed INTEGER NOT NULL,
            after_gap INTEGER NOT NULL,
            tries INTEGER NOT NULL DEFAULT 0,
            is_finished INTEGER NOT NULL DEFAULT 0
        ) STRICT
        """,
        "CREATE INDEX matrix_inbox_waiting ON matrix_inbox (position) WHERE is_finished = 0",
        "CREATE INDEX matrix_inbox_by_time ON matrix_inbox (received_at)",
        """
        CREATE TABLE matrix_outbox (
            id INTEGER PRIMARY KEY AUTOINCREMENT,
            room_id TEXT NOT NULL,
            key TEXT NOT NULL,
            part INTEGER NOT NULL,
            target TEXT NOT NULL,
            transaction_id TEXT NOT NULL UNIQUE,
            kind TEXT NOT NULL,
            content BLOB NOT NULL,
            relation TEXT NOT NULL,
            commands TEXT NOT NULL,
            saved_at INTEGER NOT NULL,
            event_id TEXT UNIQUE,
            UNIQUE (room_id, key, part)
        ) STRICT
        """,
        "CREATE INDEX matrix_outbox_unsent ON matrix_outbox (id) WHERE event_id IS NULL",
        """
        CREATE TABLE matrix_direct (
            room_id TEXT NOT NULL,
            user_id TEXT NOT NULL,
            target TEXT,
            PRIMARY KEY (room_id, user_id)
        ) STRICT, WITHOUT ROWID
        """,
        "CREATE INDEX matrix_direct_by_target ON matrix_direct (target)",
    ),
    (
        # Puzzles saved before have no form: they are told apart by their givens, as they were.
        "ALTER TABLE puzzle ADD COLUMN form TEXT NOT NULL DEFAULT ''",
        "ALTER TABLE puzzle ADD COLUMN pattern TEXT NOT NULL DEFAULT ''",
        "CREATE INDEX puzzle_by_form ON puzzle (form)",
    ),
    (
        # A queued puzzle may wait for a day of a level; what a leader saw of days to come is kept.
        "ALTER TABLE queue ADD COLUMN level INTEGER",
        """
        CREATE TABLE pick (
            club_id INTEGER NOT NULL REFERENCES club,
            day TEXT NOT NULL,
            puzzle_id INTEGER NOT NULL REFERENCES puzzle,
            PRIMARY KEY (club_id, day)
        ) STRICT, WITHOUT ROWID
        """,
        # The next seed of a puzzle made for the stock: none is ever used twice.
        """
        CREATE TABLE making (
            id INTEGER PRIMARY KEY CHECK (id = 1),
            next_seed INTEGER NOT NULL
        ) STRICT
        """,
    ),
    (
        # The last moment that the machine's clock was believed at.
        """
        CREATE TABLE clock (
            id INTEGER PRIMARY KEY CHECK (id = 1),
            seen_at INTEGER NOT NULL
        ) STRICT
        """,
        "INSERT INTO clock SELECT 1, max(saved_at) FROM event HAVING count(*) > 0",
        # Days that leaders took back; a date's next puzzle is another edition, with its own keys.
        """
        CREATE TABLE withdrawn (
            club_id INTEGER NOT NULL REFERENCES club,
            day TEXT NOT NULL,
            edition INTEGER NOT NULL,
            puzzle_id INTEGER NOT NULL REFERENCES puzzle,
            PRIMARY KEY (club_id, day, edition)
        ) STRICT, WITHOUT ROWID
        """,
        "ALTER TABLE day ADD COLUMN edition INTEGER NOT NULL DEFAULT 1",
    ),
    (
        # The theme that a day was posted with, empty for none; unknown of days before.
        "ALTER TABLE day ADD COLUMN theme TEXT",
    ),
    (
        # Which shape an entry's JSON columns have; `bot.club.versions` brings older ones up to now.
        "ALTER TABLE entry ADD COLUMN version INTEGER NOT NULL DEFAULT 0",
    ),
    (
        # Marks of those who had their data erased on an open day; they go as it closes.
        """
        CREATE TABLE erased (
            day_id INTEGER NOT NULL REFERENCES day ON DELETE CASCADE,
            salt BLOB NOT NULL,
            digest BLOB NOT NULL
        ) STRICT
        """,
        "CREATE INDEX erased_by_day ON erased (day_id)",
    ),
    (
        # What the Matrix room could not read, by what it is; the newest of it is kept.
        """
        CREATE TABLE matrix_unreadable (
            mark TEXT PRIMARY KEY,
            place TEXT NOT NULL,
            sender TEXT NOT NULL,
            problem TEXT NOT NULL,
            body BLOB NOT NULL,
            times INTEGER NOT NULL,
            last_at INTEGER NOT NULL
        ) STRICT, WITHOUT ROWID
        """,
        "CREATE INDEX matrix_unreadable_by_age ON matrix_unreadable (last_at)",
        "ALTER TABLE matrix_stream ADD COLUMN unreadable INTEGER NOT NULL DEFAULT 0",
    ),
    ("ALTER TABLE entry DROP COLUMN mistake_rung",),
    (
        # How often a puzzle turns; unknown of those that are there.
        "ALTER TABLE puzzle ADD COLUMN turns INTEGER",
    ),
    OVERWRITTEN,
    (
        # The boards that were undone, to redo to.
        "ALTER TABLE entry ADD COLUMN undone TEXT NOT NULL DEFAULT '[]'",
    ),
    RESULTS,
    (
        # What draws a picture again is kept in its place. Of those kept before, what no page shows
        # any more goes: a page is sent the newest 200 lines that somebody may see.
        "ALTER TABLE room_picture ADD COLUMN facts BLOB NOT NULL DEFAULT x''",
        "ALTER TABLE room_picture ADD COLUMN look TEXT NOT NULL DEFAULT 'light'",
        "ALTER TABLE room_picture ADD COLUMN is_loose INTEGER NOT NULL DEFAULT 1",
        """
        DELETE FROM room_picture_use WHERE entry_id NOT IN (
            SELECT id FROM (
                SELECT id, row_number() OVER (
                    PARTITION BY room_id, user_id ORDER BY id DESC
                ) AS place
                FROM room_log
            )
            WHERE place <= 200
        )
        """,
        "DELETE FROM room_picture WHERE token NOT IN (SELECT token FROM room_picture_use)",
        "UPDATE room_picture SET is_loose = 0",
        "CREATE INDEX room_picture_loose ON room_picture (saved_at) WHERE is_loose",
        """
        CREATE TRIGGER room_picture_shown AFTER INSERT ON room_picture_use BEGIN
            UPDATE room_picture SET is_loose = 0 WHERE token = new.token AND is_loose;
        END
        """,
        """
        CREATE TRIGGER room_picture_not_shown AFTER DELETE ON room_picture_use
            WHEN NOT EXISTS (SELECT 1 FROM room_picture_use WHERE token = old.token)
        BEGIN
            DELETE FROM room_picture WHERE token = old.token;
        END
        """,
    ),
    LINKS,
    (
        # What leaders were told that the bot may not do, and who led by the platform's rights.
        "ALTER TABLE club ADD COLUMN lacking TEXT NOT NULL DEFAULT '[]'",
        "ALTER TABLE club ADD COLUMN led_by TEXT NOT NULL DEFAULT '[]'",
    ),
    QUESTIONS,
    MOVES,
    (
        # What a member wishes for: the look of their pictures, and to be reminded.
        "ALTER TABLE member ADD COLUMN look TEXT NOT NULL DEFAULT ''",
        "ALTER TABLE member ADD COLUMN reminds INTEGER NOT NULL DEFAULT 0",
    ),
    PRACTICE,
    QUESTION_TIMES,
    LESSONS,
    WEEKS,
    PLANNED_QUESTIONS,
    NAMED_TRIES,
    (
        # When a member said last that what they write to the bot alone is for this club.
        "ALTER TABLE member ADD COLUMN meant_at INTEGER NOT NULL DEFAULT 0",
    ),
)


def migrate(connection: sqlite3.Connection, path: Path) -> None:
    """Bring the database up to the newest version; `path` is for the errors.

    Raises NotADatabaseError for another program's database, DatabaseFromFutureError for one that
    a newer version wrote. Both are left as they are.
    """
    found = read_version(connection, path)
    if found == len(MIGRATIONS):
        return
    try:
        connection.execute("BEGIN IMMEDIATE")
        # Read again under the lock: another process may have migrated in between.
        found = read_version(connection, path)
        for statements in MIGRATIONS[found:]:
            for statement in statements:
                connection.execute(statement)
        connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
        connection.execute(f"PRAGMA user_version = {len(MIGRATIONS)}")
        connection.execute("COMMIT")
    except BaseException:
        if connection.in_transaction:
            connection.execute("ROLLBACK")
        raise


def read_version(connection: sqlite3.Connection, path: Path) -> int:
    """Return how many migrations the database has had, 0 for a new one; refuse what is not ours."""
    version = int(connection.execute("PRAGMA user_version").fetchone()[0])
    mark = int(connection.execute("PRAGMA application_id").fetchone()[0])
    is_new = connection.execute("SELECT count(*) FROM sqlite_schema").fetchone()[0] == 0
    if mark != APPLICATION_ID and not is_new:
        raise NotADatabaseError(path)
    if version > len(MIGRATIONS):
        raise DatabaseFromFutureError(path, version, len(MIGRATIONS))
    return version
