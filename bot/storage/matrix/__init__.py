"""What the Matrix room remembers, in SQLite."""

from bot.storage.matrix.journal import SqliteMatrixJournal

__all__ = ["SqliteMatrixJournal"]
