"""A migration: the tables of results and of the sums that are kept of them, and their triggers.

Whatever row of `result` comes, goes or changes, by a statement or by a foreign key, is counted in
`tally` in the same transaction. Released, so never changed: see `bot.storage.migrations`.
"""

from __future__ import annotations

_COUNT = """
    INSERT INTO tally (
        club_id, span, member_id, results, solved, adjusted, raw, hints, late, wrong
    )
    SELECT
        {row}.club_id, spans.span, {row}.member_id, {sign}1, {sign}{row}.is_ranked,
        {sign}{row}.is_ranked * ({row}.raw + {row}.added), {sign}{row}.is_ranked * {row}.raw,
        {sign}{row}.is_ranked * {row}.hints,
        {sign}({row}.is_late AND {row}.verdict <> 'unranked'),
        {sign}{row}.is_ranked * {row}.tries
    FROM (
        SELECT 'all' AS span
        UNION ALL SELECT 'month ' || substr({row}.date, 1, 7)
        UNION ALL SELECT 'week ' || date({row}.date, 'weekday 0', '-6 days')
    ) AS spans
    WHERE true
    ON CONFLICT (club_id, span, member_id) DO UPDATE SET
        results = results + excluded.results, solved = solved + excluded.solved,
        adjusted = adjusted + excluded.adjusted, raw = raw + excluded.raw,
        hints = hints + excluded.hints, late = late + excluded.late, wrong = wrong + excluded.wrong;
"""
_IN = _COUNT.format(row="new", sign="")
_OUT = (
    _COUNT.format(row="old", sign="-")
    + """
    DELETE FROM tally WHERE club_id = old.club_id AND member_id = old.member_id AND results = 0
        AND span IN (
            'all', 'month ' || substr(old.date, 1, 7),
            'week ' || date(old.date, 'weekday 0', '-6 days')
        );
"""
)

RESULTS = (
    # Finished entries as tables need them, and the sums of them: made by `bot.storage.results`.
    """
    CREATE TABLE result (
        member_id INTEGER NOT NULL,
        date TEXT NOT NULL,
        club_id INTEGER NOT NULL REFERENCES club,
        entry_id INTEGER UNIQUE REFERENCES entry ON DELETE CASCADE,
        level INTEGER NOT NULL,
        raw INTEGER NOT NULL,
        added INTEGER NOT NULL,
        hints INTEGER NOT NULL,
        tries INTEGER NOT NULL,
        is_late INTEGER NOT NULL,
        verdict TEXT NOT NULL,
        finished_at INTEGER NOT NULL,
        run INTEGER NOT NULL DEFAULT 0,
        is_ranked INTEGER NOT NULL AS (NOT is_late AND verdict IN ('ranked', 'accepted')) STORED,
        PRIMARY KEY (member_id, date)
    ) STRICT, WITHOUT ROWID
    """,
    "CREATE INDEX result_by_date ON result (club_id, date)",
    "CREATE INDEX result_by_level ON result (member_id, level, date) WHERE is_ranked",
    """
    CREATE TABLE tally (
        club_id INTEGER NOT NULL,
        span TEXT NOT NULL,
        member_id INTEGER NOT NULL,
        results INTEGER NOT NULL,
        solved INTEGER NOT NULL,
        adjusted INTEGER NOT NULL,
        raw INTEGER NOT NULL,
        hints INTEGER NOT NULL,
        late INTEGER NOT NULL,
        wrong INTEGER NOT NULL,
        PRIMARY KEY (club_id, span, member_id)
    ) STRICT, WITHOUT ROWID
    """,
    f"CREATE TRIGGER result_in AFTER INSERT ON result BEGIN {_IN} END",
    f"CREATE TRIGGER result_out AFTER DELETE ON result BEGIN {_OUT} END",
    "CREATE TRIGGER result_changed AFTER UPDATE OF"
    " member_id, level, raw, added, hints, tries, is_late, verdict ON result"
    f" BEGIN {_OUT} {_IN} END",
    # The techniques that a hint was asked for on each entry.
    """
    CREATE TABLE asked (
        member_id INTEGER NOT NULL,
        technique TEXT NOT NULL,
        entry_id INTEGER NOT NULL REFERENCES entry ON DELETE CASCADE,
        steps INTEGER NOT NULL,
        PRIMARY KEY (member_id, technique, entry_id)
    ) STRICT, WITHOUT ROWID
    """,
    "CREATE INDEX asked_by_entry ON asked (entry_id)",
    # Whom results below zero were of, by what stands in the keys of what was said of them.
    """
    CREATE TABLE former (
        id INTEGER PRIMARY KEY AUTOINCREMENT,
        club_id INTEGER NOT NULL REFERENCES club,
        mark TEXT NOT NULL
    ) STRICT
    """,
    # The rules by which what is kept of entries was made; made anew where they are others now.
    "CREATE TABLE kept_by (id INTEGER PRIMARY KEY CHECK (id = 1), rules INTEGER NOT NULL) STRICT",
    # What acts and the clock ask for, so that no question reads all days or all entries.
    "CREATE INDEX day_by_closing ON day (club_id, closes_at)",
    "CREATE INDEX day_not_closed ON day (club_id, date) WHERE is_closed = 0",
    "CREATE INDEX day_not_up ON day (club_id, due_at) WHERE posted_at IS NULL",
    "CREATE INDEX entry_of_member ON entry (member_id, day_id)",
    "DROP INDEX entry_by_member",
    # Which replies may name somebody, and which lines: an erasure looks through no others.
    "ALTER TABLE event ADD COLUMN names INTEGER NOT NULL DEFAULT 1",
    "CREATE INDEX notice_of_member ON notice (club_id, user_id) WHERE user_id <> ''",
    "CREATE INDEX event_naming ON event (club_id) WHERE names",
    "CREATE INDEX room_log_said ON room_log (room_id) WHERE kind NOT IN ('post', 'thread')",
    "CREATE INDEX room_log_private ON room_log (logged_at) WHERE user_id IS NOT NULL",
)
