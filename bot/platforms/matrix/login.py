"""Signing in once, with a password that is used and forgotten; what stays is the device's token.

A device that is signed in and whole is kept. After a lost store or a refused token a new device
takes its place. The identity that signs devices is kept over that where it can be.
"""

from __future__ import annotations

import asyncio
import secrets
from pathlib import Path

import nio

from bot.platforms.matrix.errors import as_room_errors, unwrap
from bot.platforms.matrix.identity import ensure_identity
from bot.platforms.matrix.refusals import (
    PasswordMissingError,
    PasswordRefusedError,
    SessionLostError,
)
from bot.platforms.matrix.server import ANSWER_SECONDS, Server, can_encrypt
from bot.platforms.matrix.session import Session, forget_device, load_session, save_session
from bot.platforms.message import PlatformRefusedError

DEVICE_NAME = "Ninebark"


async def find_session(
    folder: Path, homeserver: str, user_id: str, *, encrypt: bool
) -> Session | None:
    """Return the sign-in if it is whole and the homeserver takes it. Raises RoomError."""
    try:
        session = load_session(folder, user_id, homeserver)
    except SessionLostError:
        return None
    if encrypt and can_encrypt() and not session.is_encrypting:
        return None  # a device that began without encryption is never trusted with it
    server = Server(session, folder, encrypt=encrypt)
    try:
        known = await server.request("GET", "account/whoami")
    except PlatformRefusedError:
        return None
    finally:
        await server.close()
    return session if known.get("device_id") == session.device_id else None


async def sign_in(
    folder: Path, homeserver: str, user_id: str, password: str, *, encrypt: bool
) -> Session:
    """Sign in as a new device and keep its token.

    Raises RoomError: PasswordMissingError where the password is empty.
    """
    if not password:
        raise PasswordMissingError
    client = nio.AsyncClient(
        homeserver,
        user_id,
        config=nio.AsyncClientConfig(
            max_limit_exceeded=0, max_timeouts=0, encryption_enabled=False
        ),
    )
    try:
        async with asyncio.timeout(ANSWER_SECONDS):
            with as_room_errors():
                answer = await client.login(password, device_name=DEVICE_NAME)
    finally:
        await client.close()  # type: ignore[no-untyped-call] # nio's own
    if isinstance(answer, nio.LoginError) and answer.status_code == "M_FORBIDDEN":
        raise PasswordRefusedError(user_id)
    login = unwrap(answer)
    forget_device(folder)
    session = Session(
        homeserver=homeserver,
        user_id=login.user_id,
        device_id=login.device_id,
        token=login.access_token,
        pickle_key=secrets.token_hex(32),
        is_encrypting=encrypt and can_encrypt(),
    )
    save_session(folder, session)
    return session


async def publish_identity(folder: Path, session: Session, password: str) -> bool:
    """Upload the device's keys and have it signed. False where the password is needed for it."""
    server = Server(session, folder)
    if not server.is_encrypting:
        await server.close()
        return True
    try:
        if server.client.should_upload_keys:
            with as_room_errors():
                unwrap(await server.client.keys_upload())
        return await ensure_identity(server, folder, password)
    finally:
        await server.close()
