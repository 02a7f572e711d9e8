"""What can go wrong with the club's data, as facts.

The command line chooses the words. Nothing here names SQLite's own errors: a caller that sees one
of these needs to know nothing of the database underneath.
"""

from __future__ import annotations

from pathlib import Path


class StorageError(Exception):
    """The root of the family. `may_pass`: trying again later may be all that is needed."""

    may_pass = False


class FolderUnwritableError(StorageError):
    """The data cannot be created or written at `path`; `reason` is the system's own word."""

    def __init__(self, path: Path, reason: str) -> None:
        super().__init__(path, reason)
        self.path = path
        self.reason = reason


class DiskFullError(FolderUnwritableError):
    """There is no room at `path`, or the disk failed just now."""

    may_pass = True


class NotADatabaseError(StorageError):
    """The file at `path` is something else, and is left as it is."""

    def __init__(self, path: Path) -> None:
        super().__init__(path)
        self.path = path


class DatabaseDamagedError(StorageError):
    """The database at `path` fails its own check; `findings` are the first lines of it."""

    def __init__(self, path: Path, findings: tuple[str, ...]) -> None:
        super().__init__(path, findings)
        self.path = path
        self.findings = findings


class DatabaseFromFutureError(StorageError):
    """A newer version wrote it: its schema is `found`, and this version knows up to `known`."""

    def __init__(self, path: Path, found: int, known: int) -> None:
        super().__init__(path, found, known)
        self.path = path
        self.found = found
        self.known = known


class DataInUseError(StorageError):
    """Another running bot holds the data at `path`."""

    may_pass = True

    def __init__(self, path: Path) -> None:
        super().__init__(path)
        self.path = path


class DatabaseMissingError(StorageError):
    """There is no file at `path` to read from."""

    def __init__(self, path: Path) -> None:
        super().__init__(path)
        self.path = path


class DatabaseLostError(StorageError):
    """There is no club in the file at `path`, but `beside` it is what only a club leaves."""

    def __init__(self, path: Path, beside: tuple[Path, ...]) -> None:
        super().__init__(path, beside)
        self.path = path
        self.beside = beside


class NoClubError(StorageError):
    """The copy at `path` is empty: there is nothing in it to put back."""

    def __init__(self, path: Path) -> None:
        super().__init__(path)
        self.path = path


class TargetExistsError(StorageError):
    """A backup never overwrites: there is a file at `path` already."""

    def __init__(self, path: Path) -> None:
        super().__init__(path)
        self.path = path


class SqliteTooOldError(StorageError):
    """The SQLite that Python brings is `found`; `needed` is the oldest that will do."""

    def __init__(self, found: str, needed: str) -> None:
        super().__init__(found, needed)
        self.found = found
        self.needed = needed


class SaveFailedError(StorageError):
    """The database refused while running: a full disk, a broken rule. Nothing was changed.

    `code` is SQLite's name of the failure, `reason` its text.
    """

    may_pass = True

    def __init__(self, code: str, reason: str) -> None:
        super().__init__(code, reason)
        self.code = code
        self.reason = reason
