"""Rooms and bots on the tests' homeserver: what a leader does by hand before a club can begin."""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Sequence
from datetime import UTC, datetime
from functools import partial
from itertools import count
from pathlib import Path
from typing import Any

from bot.platforms.matrix.login import publish_identity
from bot.platforms.matrix.session import Session, hold_folder, save_session
from tests.doubles.matrix.homeserver import PASSWORD, Account, Homeserver

_numbers = count(1)


def local_noon() -> tuple[str, str]:
    """Return a zone where it is between 12:00 and 13:00 now, and a post time an hour before.

    The homeserver stamps by the real clock, so the club's day has to be around it.
    """
    behind = datetime.now(UTC).hour - 12
    return (f"Etc/GMT{behind:+d}" if behind else "Etc/GMT"), "11:00"


async def new_account(server: Homeserver, name: str) -> Account:
    """Register a user whose name begins with `name` and is like no other's."""
    return await asyncio.to_thread(server.register, f"{name}-{next(_numbers)}")


async def call(
    server: Homeserver, account: Account, method: str, path: str, body: object = None
) -> Any:
    ask = partial(server.call, method, f"/_matrix/client/v3/{path}", body, token=account.token)
    return await asyncio.to_thread(ask)


async def new_room(
    server: Homeserver,
    leader: Account,
    *,
    name: str = "Hazel Lane",
    members: Sequence[Account] = (),
    bot: Account | None = None,
    bot_power: int = 50,
    is_encrypted: bool = False,
    made_known: Callable[[str], None] = lambda room_id: None,
) -> str:
    """Have the leader make a room; members come in, and so does the bot where one is given.

    `made_known` hears of the room before anybody comes in.
    """
    secret = {
        "type": "m.room.encryption",
        "state_key": "",
        "content": {"algorithm": "m.megolm.v1.aes-sha2"},
    }
    invited = [*members, *([bot] if bot is not None else [])]
    made = await call(
        server,
        leader,
        "POST",
        "createRoom",
        {
            "name": name,
            "preset": "private_chat",
            "invite": [each.user_id for each in invited],
            "initial_state": [secret] if is_encrypted else [],
            "power_level_content_override": (
                {"users": {bot.user_id: bot_power}} if bot is not None else {}
            ),
        },
    )
    room_id = str(made["room_id"])
    made_known(room_id)
    for account in invited:
        await call(server, account, "POST", f"join/{room_id}", {})
    return room_id


async def sign_in_bot(
    server: Homeserver, folder: Path, *, encrypt: bool, url: str | None = None
) -> Account:
    """Register a bot and leave its session in `folder`, as `ninebark check` would."""
    account = await new_account(server, "ninebark")
    with hold_folder(folder):
        session = Session(
            homeserver=url or server.url,
            user_id=account.user_id,
            device_id=account.device_id,
            token=account.token,
            pickle_key="pickle",
            is_encrypting=encrypt,
        )
        save_session(folder, session)
        if encrypt:
            assert await publish_identity(folder, session, PASSWORD)
    return account
