"""The sign-in on a homeserver, kept in a folder that only this user can read.

It holds the device's token and the key of the encryption store beside it, never a password. A lock
keeps a second process off: two with one encryption store would ruin it. A device whose store is
lost is never used again, since its old keys cannot be had back: the host signs in anew.
"""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterable, Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import TypeVar

import msgspec
from msgspec.structs import replace

from bot.platforms.matrix.refusals import SessionLostError, SessionProblem, StoreInUseError

SESSION_FILE = "session.json"
STORE_FILE = "keys.db"
IDENTITY_FILE = "identity.json"
RECOVERY_FILE = "recovery.json"
BACKED_UP_FILE = "backed-up.txt"


class Session(msgspec.Struct, frozen=True):
    """`pickle_key` opens the encryption store; `is_encrypting`: the device had one when made.

    `homeserver` is its address in the config, `base` where its API was found, empty for the same.
    `refresh_token` is empty where the token lasts.
    """

    homeserver: str
    user_id: str
    device_id: str
    token: str
    pickle_key: str
    is_encrypting: bool
    base: str = ""
    refresh_token: str = ""

    @property
    def address(self) -> str:
        """Return where the homeserver's API is, without a slash at the end."""
        return self.base or self.homeserver

    def __repr__(self) -> str:
        return f"Session({self.user_id!r}, {self.device_id!r})"


class Identity(msgspec.Struct, frozen=True):
    """The cross-signing keys, each its 32 bytes in base64. Where `seal` is not empty they are from
    an older version: accounts that sign with them, sealed with it."""

    user_id: str
    seal: bytes
    master: str
    self_signing: str
    user_signing: str

    def __repr__(self) -> str:
        return f"Identity({self.user_id!r})"


class Recovery(msgspec.Struct, frozen=True):
    """What is known of the recovery that is set up, nothing of it secret: whose it is, by the
    identity's public `master` key, the id of the recovery key, and the backup of keys with the
    `public` half of its own."""

    user_id: str
    master: str
    key_id: str
    version: str
    public: str


_Own = TypeVar("_Own", Identity, Recovery)


@contextmanager
def hold_folder(folder: Path) -> Iterator[None]:
    """Make the folder, and keep others off it until the end of the block, or of this process.

    Raises StoreInUseError.
    """
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    folder.chmod(0o700)
    # SQLite's own lock on an empty file: a child that this process began just before it died holds
    # none of it, and keeps nobody out.
    with closing(sqlite3.connect(folder / "lock", timeout=0, check_same_thread=False)) as lock:
        try:
            lock.execute("BEGIN EXCLUSIVE")
        except sqlite3.OperationalError:
            raise StoreInUseError(str(folder)) from None
        yield


def load_session(folder: Path, user_id: str, homeserver: str) -> Session:
    """Return the sign-in. Raises SessionLostError where it cannot be used (any more)."""
    path = folder / SESSION_FILE
    try:
        session = msgspec.json.decode(path.read_bytes(), type=Session)
    except (FileNotFoundError, msgspec.MsgspecError):
        raise SessionLostError(SessionProblem.NONE) from None
    if session.user_id != user_id:
        raise SessionLostError(SessionProblem.USER)
    if session.homeserver != homeserver:
        raise SessionLostError(SessionProblem.HOMESERVER)  # its token goes nowhere else
    if session.is_encrypting and not (folder / STORE_FILE).exists():
        raise SessionLostError(SessionProblem.STORE)
    return session


def save_session(folder: Path, session: Session) -> None:
    """Write the sign-in, its token included, to a file for the owner alone."""
    _write_private(folder / SESSION_FILE, msgspec.json.encode(session))


def keep_tokens(folder: Path, session: Session, token: str, refresh_token: str) -> None:
    """Save a sign-in with the tokens that it has from now on."""
    save_session(folder, replace(session, token=token, refresh_token=refresh_token))


def forget_device(folder: Path) -> None:
    """Put away a device's session and store, before another takes their place."""
    (folder / SESSION_FILE).unlink(missing_ok=True)
    for path in folder.glob(f"{STORE_FILE}*"):
        path.unlink()
    for path in (*folder.glob("*_devices"), *folder.glob(BACKED_UP_FILE)):
        path.unlink()


def load_identity(folder: Path, user_id: str) -> Identity | None:
    """Return the identity kept for this user, None where there is none that can be read."""
    return _load_own(folder / IDENTITY_FILE, Identity, user_id)


def save_identity(folder: Path, identity: Identity) -> None:
    """Write the identity, its keys sealed, to a file for the owner alone."""
    _write_private(folder / IDENTITY_FILE, msgspec.json.encode(identity))


def load_recovery(folder: Path, user_id: str) -> Recovery | None:
    """Return what is known of this user's recovery, None where none is set up from here."""
    return _load_own(folder / RECOVERY_FILE, Recovery, user_id)


def save_recovery(folder: Path, recovery: Recovery) -> None:
    """Note that a recovery is set up."""
    _write_private(folder / RECOVERY_FILE, msgspec.json.encode(recovery))


def load_backed_up(folder: Path, version: str) -> set[str]:
    """Return the ids of the keys that a backup has."""
    try:
        first, *found = (folder / BACKED_UP_FILE).read_text(encoding="utf-8").split("\n")
    except FileNotFoundError:
        return set()
    return set(found) if first == version else set()


def save_backed_up(folder: Path, version: str, ids: Iterable[str]) -> None:
    """Note which keys a backup has, in the place of what was noted."""
    _write_private(folder / BACKED_UP_FILE, "\n".join((version, *sorted(ids))).encode())


def tighten(folder: Path) -> None:
    """Take away what other users could read; the encryption store's files come with the umask."""
    for path in folder.iterdir():
        if path.is_file():
            path.chmod(0o600)


def _load_own(path: Path, kind: type[_Own], user_id: str) -> _Own | None:
    try:
        found = msgspec.json.decode(path.read_bytes(), type=kind)
    except (FileNotFoundError, msgspec.MsgspecError):
        return None
    return found if found.user_id == user_id else None


def _write_private(path: Path, content: bytes) -> None:
    """Replace a file as a whole, so that a crash leaves the old one or the new one."""
    beside = path.with_name(path.name + ".new")
    target = os.open(beside, os.O_CREAT | os.O_WRONLY | os.O_TRUNC, 0o600)
    with os.fdopen(target, "wb") as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())
    beside.replace(path)
