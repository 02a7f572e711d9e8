"""The Matrix part of the wiring: the sign-in, the room with its words, and its clubs.

The library is loaded only for a config that names Matrix; without it everything else works.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from bot.club.ports import Store
from bot.club.state import Club
from bot.founding import Founding
from bot.platforms.matrix.findings import Findings
from bot.platforms.matrix.refusals import ExtraMissingError
from bot.platforms.message import Answerer
from bot.schedule import Schedule
from bot.settings import ClubEntry, MatrixSettings
from bot.storage import SqliteStore
from bot.storage.matrix import SqliteMatrixJournal
from bot.wording.matrix import MATRIX

if TYPE_CHECKING:
    from bot.platforms.matrix.room import MatrixRoom
    from bot.platforms.matrix.session import Session

PLATFORM = "matrix"
PASSWORD_VARIABLE = "NINEBARK_MATRIX_PASSWORD"


@dataclass(frozen=True, slots=True)
class MatrixAccess:
    """Where Matrix is, and the folder of the sign-in. `leaders`: who may invite besides."""

    settings: MatrixSettings
    folder: Path
    leaders: tuple[str, ...] = ()


def matrix_access(
    settings: MatrixSettings, folder: Path, entries: Sequence[ClubEntry]
) -> MatrixAccess:
    """Return the access; `folder` is the data folder."""
    leaders = {
        leader
        for entry in entries
        if entry.platform == PLATFORM
        for leader in entry.settings.leaders
    }
    return MatrixAccess(settings, folder / "matrix", tuple(sorted(leaders)))


def require_library() -> None:
    """Raises ExtraMissingError where the optional extra is not installed."""
    try:
        import nio  # noqa: F401 - only whether it is there
    except ImportError:
        raise ExtraMissingError from None


async def make_matrix_room(
    access: MatrixAccess,
    *,
    store: SqliteStore,
    schedule: Schedule,
    answer: Answerer,
    now: Callable[[], datetime],
) -> MatrixRoom:
    """Return the room for all clubs in Matrix that the store knows, not yet connected.

    Raises ExtraMissingError.
    """
    require_library()
    from bot.platforms.matrix.room import MatrixRoom

    clubs = await _load_clubs(store)

    def place_changed(room_id: str, is_there: bool) -> None:
        if is_there:
            schedule.come_back(clubs[room_id])
        else:
            schedule.rest(clubs[room_id])

    def opened(club: Club) -> None:
        clubs[club.room_id] = club.id
        schedule.wake()

    settings = access.settings
    return MatrixRoom(
        homeserver=settings.homeserver,
        user_id=settings.user,
        folder=access.folder,
        journal=SqliteMatrixJournal(store.database, now),
        words=MATRIX,
        rooms=clubs.keys(),
        allowed=(*settings.inviters, *access.leaders),
        now=now,
        prefix=settings.prefix,
        encrypt=settings.encrypt,
        founder=Founding(store, answer, opened),
        place_changed=place_changed,
    )


async def _load_clubs(store: Store) -> dict[str, int]:
    return {club.room_id: club.id for club in await store.load_clubs() if club.platform == PLATFORM}


async def sign_in_and_look(
    access: MatrixAccess, ask_password: Callable[[], str], room_ids: Sequence[str]
) -> tuple[Findings, bool]:
    """Sign in if need be, and return what is found, and whether the device is signed.

    Raises RoomError.
    """
    require_library()
    from bot.platforms.matrix.check import look_around
    from bot.platforms.matrix.login import find_session, publish_identity, sign_in
    from bot.platforms.matrix.session import hold_folder

    settings, folder = access.settings, access.folder
    with hold_folder(folder):
        password = ""
        session: Session | None = await find_session(
            folder, settings.homeserver, settings.user, encrypt=settings.encrypt
        )
        if session is None:
            password = ask_password()
            session = await sign_in(
                folder, settings.homeserver, settings.user, password, encrypt=settings.encrypt
            )
        is_signed = await publish_identity(folder, session, password)
        if not is_signed and not password:
            is_signed = await publish_identity(folder, session, ask_password())
        found = await look_around(folder, session, room_ids, encrypt=settings.encrypt)
    return found, is_signed
