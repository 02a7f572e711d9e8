"""The club's data in one SQLite file: opened, kept, copied. The front door of this package."""

from bot.storage.backup import backup_store, check_store
from bot.storage.restoring import restore_store
from bot.storage.store import SqliteStore, open_store

__all__ = [
    "SqliteStore",
    "backup_store",
    "check_store",
    "open_store",
    "restore_store",
]
