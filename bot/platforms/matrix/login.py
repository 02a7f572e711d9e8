"""Signing in once, with a proof that is used and forgotten; what stays is the device's token.

A device that is signed in and whole is kept. After a lost store or a refused token a new device
takes its place. The identity that signs devices is kept over that where it can be.
"""

from __future__ import annotations

import secrets
from pathlib import Path
from typing import Any

from msgspec.structs import replace

from bot.platforms.matrix.address import API, ask
from bot.platforms.matrix.connection import Connection, can_encrypt
from bot.platforms.matrix.errors import as_room_errors, unwrap
from bot.platforms.matrix.identity import Approve, ensure_identity
from bot.platforms.matrix.refusals import (
    AnotherUserError,
    PasswordRefusedError,
    SessionLostError,
    SignedOutError,
    TokenProblem,
    TokenRefusedError,
)
from bot.platforms.matrix.session import Session, forget_device, load_session, save_session
from bot.platforms.message import (
    PlatformRefusedError,
    RightMissingError,
    RoomError,
    RoomUnreachableError,
)

DEVICE_NAME = "Ninebark"


class SignIn:
    """Signs a user in on a homeserver, as a new device that is kept in `folder`.

    `homeserver` is the address in the config, `address` where its API is.
    """

    def __init__(
        self, folder: Path, homeserver: str, address: str, user_id: str, *, encrypt: bool
    ) -> None:
        self._folder = folder
        self._homeserver = homeserver
        self._address = address
        self._user_id = user_id
        self._encrypt = encrypt

    async def find(self) -> Session | None:
        """Return the sign-in if it is whole and the homeserver takes it. Raises RoomError."""
        try:
            session = load_session(self._folder, self._user_id, self._homeserver)
        except SessionLostError:
            return None
        if self._encrypt and can_encrypt() and not session.is_encrypting:
            return None  # a device that began without encryption is never trusted with it
        if session.address != self._address:
            session = replace(session, base=self._address)
            save_session(self._folder, session)
        server = Connection(session, self._folder, encrypt=self._encrypt)
        try:
            known = await server.request("GET", "account/whoami")
        except PlatformRefusedError:
            return None
        finally:
            await server.close()
        if known.get("device_id") != session.device_id:
            return None
        # What had to be renewed on the way has been saved.
        return load_session(self._folder, self._user_id, self._homeserver)

    async def by_password(self, password: str) -> Session:
        """Sign in with the user's password. Raises RoomError."""
        user = {"type": "m.id.user", "user": self._user_id}
        proof = {"type": "m.login.password", "identifier": user, "password": password}
        try:
            return await self._log_in(proof)
        except RightMissingError:
            raise PasswordRefusedError(self._user_id) from None

    async def by_browser(self, login_token: str) -> Session:
        """Sign in with what the homeserver's page gave in exchange. Raises RoomError."""
        if not login_token:
            raise TokenRefusedError(TokenProblem.REFUSED)
        try:
            return await self._log_in({"type": "m.login.token", "token": login_token})
        except (RightMissingError, SignedOutError):
            raise TokenRefusedError(TokenProblem.REFUSED) from None

    async def by_token(self, token: str) -> Session:
        """Take over an access token, with the device that it was made for. Raises RoomError."""
        try:
            known = await ask("GET", f"{self._address}{API}/account/whoami", token=token)
        except (RightMissingError, SignedOutError):
            raise TokenRefusedError(TokenProblem.REFUSED) from None
        if known.get("user_id") != self._user_id:
            raise AnotherUserError(str(known.get("user_id", "")))
        device_id = known.get("device_id")
        if not isinstance(device_id, str) or not device_id:
            raise TokenRefusedError(TokenProblem.NO_DEVICE)
        if self._encrypt and can_encrypt():
            wish = {"device_keys": {self._user_id: [device_id]}}
            found = await ask("POST", f"{self._address}{API}/keys/query", wish, token=token)
            if found.get("device_keys", {}).get(self._user_id, {}).get(device_id):
                # Its keys are in another program's hands, or lost: two would ruin each other.
                raise TokenRefusedError(TokenProblem.IN_USE)
        return self._keep({"device_id": device_id, "access_token": token})

    async def _log_in(self, proof: dict[str, Any]) -> Session:
        asked = {**proof, "initial_device_display_name": DEVICE_NAME, "refresh_token": True}
        login = await ask("POST", f"{self._address}{API}/login", asked)
        if login.get("user_id") != self._user_id:
            await self._log_out(str(login.get("access_token", "")))
            raise AnotherUserError(str(login.get("user_id", "")))
        return self._keep(login)

    async def _log_out(self, token: str) -> None:
        """Give up a device that is not ours to have."""
        try:
            await ask("POST", f"{self._address}{API}/logout", {}, token=token)
        except RoomError:
            return  # what is told of it counts more

    def _keep(self, login: dict[str, Any]) -> Session:
        if not all(isinstance(login.get(name), str) for name in ("device_id", "access_token")):
            raise RoomUnreachableError("half an answer to a sign-in")
        forget_device(self._folder)
        session = Session(
            homeserver=self._homeserver,
            user_id=self._user_id,
            device_id=login["device_id"],
            token=login["access_token"],
            pickle_key=secrets.token_hex(32),
            is_encrypting=self._encrypt and can_encrypt(),
            base="" if self._address == self._homeserver else self._address,
            refresh_token=str(login.get("refresh_token") or ""),
        )
        save_session(self._folder, session)
        return session


async def publish_identity(
    folder: Path, session: Session, password: str, approve: Approve | None = None
) -> bool:
    """Upload the device's keys and have it signed. False where that needs a password, or that
    somebody approves of it in a browser."""
    server = Connection(session, folder)
    if not server.is_encrypting:
        await server.close()
        return True
    try:
        if server.client.should_upload_keys:
            with as_room_errors():
                unwrap(await server.client.keys_upload())
        return await ensure_identity(server, folder, password, approve)
    finally:
        await server.close()
