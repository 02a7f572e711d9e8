"""The Matrix part of the wiring: the sign-in, the room with its words, and its clubs.

The library is loaded only for a config that names Matrix; without it everything else works.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from bot.club.notations import switch
from bot.config_tables import PlatformTable, address, list_of, matching
from bot.platforms.matrix.look import MatrixLook
from bot.platforms.matrix.refusals import ExtraMissingError, ProofMissingError
from bot.platforms.matrix.settings import MatrixSettings
from bot.platforms.message import RoomError
from bot.storage import SqliteStore
from bot.storage.matrix import MEMORY, SqliteMatrixJournal
from bot.wiring.club_rooms import ClubRooms
from bot.wiring.matrix.proofs import HostProofs, Proofs
from bot.wiring.platform import Checked, Host, OpenRoom, Platform, RoomNeeds, Told
from bot.wording import matrix as words

if TYPE_CHECKING:
    from bot.platforms.matrix.session import Session

PLATFORM = "matrix"


@dataclass(frozen=True, slots=True)
class MatrixAccess:
    """Where Matrix is, who may bring the bot into rooms, and the folder of the sign-in."""

    settings: MatrixSettings
    folder: Path
    platform = PLATFORM
    secret = ""
    origin = ""

    async def make_room(self, needs: RoomNeeds) -> OpenRoom:
        """Return the room for all clubs in Matrix that the store knows, not yet connected.

        Raises ExtraMissingError.
        """
        require_library()
        from bot.platforms.matrix.room import MatrixRoom

        rooms = await ClubRooms.load(PLATFORM, needs)
        journal = SqliteMatrixJournal(needs.store.database, needs.now)
        needs.served.watch(lambda club_id, room_id: journal.forget_directs())
        room = MatrixRoom(
            self.settings,
            self.folder,
            rooms.as_clubs(),
            journal=journal,
            words=words.MATRIX,
            now=needs.now,
        )
        return OpenRoom(room, lambda: (words.READY if room.is_connected else words.WAITING,))


def matrix_access(settings: MatrixSettings, host: Host) -> MatrixAccess:
    """Return the access: the sign-in is in the data folder, and the clubs' leaders may invite."""
    leaders = {leader for club in host.clubs_on(PLATFORM) for leader in club.settings.leaders}
    inviters = (*settings.inviters, *sorted(leaders))
    return MatrixAccess(replace(settings, inviters=inviters), host.folder / "matrix")


def require_library() -> None:
    """Raises ExtraMissingError where the optional extra is not installed."""
    try:
        import nio  # noqa: F401 - only whether it is there
    except ImportError:
        raise ExtraMissingError from None


async def sign_in_and_look(
    access: MatrixAccess, proofs: Proofs, room_ids: Sequence[str]
) -> tuple[MatrixLook, bool]:
    """Sign in if need be, and return what is found, and whether the device is signed.

    Raises RoomError.
    """
    require_library()
    from bot.platforms.matrix.check import look_around
    from bot.platforms.matrix.login import publish_identity
    from bot.platforms.matrix.recovery import keep_recoverable, recover_identity
    from bot.platforms.matrix.session import hold_folder, load_session

    settings, folder = access.settings, access.folder

    def kept() -> Session:
        """Return the sign-in with the newest tokens: every request may have renewed them."""
        return load_session(folder, settings.user, settings.homeserver)

    with hold_folder(folder):
        signed_in = await _sign_in(settings, folder, proofs)
        password = signed_in.password
        count = await recover_identity(
            folder, signed_in.session, proofs.recovery_key, is_new=signed_in.is_new
        )
        if count is not None:
            proofs.tell(words.recovered(count))
        is_signed = await publish_identity(folder, kept(), password)
        if not is_signed and not password:
            password = proofs.password(or_browser=proofs.can_ask)
            approve = partial(_approve, proofs) if proofs.can_ask else None
            is_signed = await publish_identity(folder, kept(), password, approve)
        if is_signed and proofs.can_ask:
            tell = partial(_tell_recovery_key, proofs)
            await keep_recoverable(folder, kept(), tell)
        found = await look_around(folder, kept(), room_ids, encrypt=settings.encrypt)
    return found, is_signed


@dataclass(frozen=True, slots=True)
class _SignedIn:
    """`password` is the one that was used; `is_new`: the device has just been made."""

    session: Session
    password: str = ""
    is_new: bool = True


async def _sign_in(settings: MatrixSettings, folder: Path, proofs: Proofs) -> _SignedIn:
    """Sign in where nobody is. Raises RoomError."""
    from bot.platforms.matrix.address import find_address, find_ways
    from bot.platforms.matrix.browser import sign_on
    from bot.platforms.matrix.login import SignIn

    address = await find_address(settings.homeserver)
    way_in = SignIn(folder, settings.homeserver, address, settings.user, encrypt=settings.encrypt)
    session = await way_in.find()
    if session is not None:
        return _SignedIn(session, is_new=False)
    if proofs.token:
        return _SignedIn(await way_in.by_token(proofs.token))
    ways = await find_ways(address)
    if ways.password and (password := proofs.password(or_browser=ways.browser)):
        return _SignedIn(await way_in.by_password(password), password)
    if not ways.browser or not proofs.can_ask:
        raise ProofMissingError(password=ways.password, browser=ways.browser)

    def tell_link(link: str) -> None:
        proofs.tell(words.open_link(link))

    token = await sign_on(address, tell_link, proofs.pasted, done=words.SIGNED_ON)
    return _SignedIn(await way_in.by_browser(token))


async def _approve(proofs: Proofs, link: str) -> None:
    proofs.tell(words.approve(link))
    await proofs.pasted()


def _tell_recovery_key(proofs: Proofs, key: str) -> None:
    proofs.tell(words.recovery_key(key))


def _explain(error: RoomError) -> Told | None:
    said = words.problem(error)
    return None if said is None else Told(said, is_input=True)


async def _check(
    own: MatrixSettings, host: Host, room_ids: Collection[str], store: SqliteStore
) -> Checked:
    """Sign in to Matrix if need be, and say how things stand; what was set aside comes last."""
    journal = SqliteMatrixJournal(store.database)
    aside = words.unreadable(await journal.count_unreadable(), await journal.load_unreadable())

    try:
        found, is_signed = await sign_in_and_look(
            matrix_access(own, host), HostProofs(host.environment), tuple(room_ids)
        )
    except RoomError as error:
        return Checked(aside, is_fine=False, failure=Told(words.check_failed(error)))
    limits = await journal.count_limits()
    lines = words.tell_look(found, is_signed=is_signed, limits=limits)
    return Checked([*lines, *aside], is_fine=is_signed and found.is_fine)


def _find_fault(room: str) -> str:
    # An address ("#…") can be given to another room; the id stays.
    return "" if room.startswith("!") else 'room = "!abcdefgh:example.org"'


_USER = matching(r"@[^:\s]+:\S+")


def _make_settings(values: Mapping[str, Any], folder: Path) -> MatrixSettings:
    return MatrixSettings(**{**values, "homeserver": values["homeserver"].rstrip("/")})


def _leader_id(text: str) -> str:
    """Return a user id, also out of a link to one. Raises ValueError for a mere name."""
    return str(_USER(text.strip().removeprefix("https://matrix.to/#/")))


MATRIX = Platform(
    name=PLATFORM,
    title=words.TITLE,
    leaders=words.LEADERS,
    table=PlatformTable(
        keys={
            "homeserver": (address("http", "https"), 'homeserver = "https://matrix.example.org"'),
            "user": (_USER, 'user = "@ninebark:example.org"'),
            "prefix": (matching(r"[^\w\s]{1,3}"), 'prefix = "!"'),
            "inviters": (list_of(_USER), 'inviters = ["@rowan:example.org"]'),
            "encrypt": (switch().check, "encrypt = true"),
        },
        make=_make_settings,
        required=("homeserver", "user"),
        find_fault=_find_fault,
    ),
    access=matrix_access,
    explain=_explain,
    check=_check,
    memory=MEMORY,
    leader_id=_leader_id,
)
