"""A lost data folder is no lost identity: the recovery key brings it back, and what was said."""

from __future__ import annotations

import base64
import hmac
import secrets
import shutil
from functools import reduce
from operator import xor

import pytest
import vodozemac
from cryptography.hazmat.primitives.ciphers import Cipher, algorithms, modes
from cryptography.hazmat.primitives.hashes import SHA256
from cryptography.hazmat.primitives.kdf.hkdf import HKDF

from bot.platforms.matrix.identity import open_identity
from bot.platforms.matrix.secret_storage import WrongKeyError, new_key, parse_key
from bot.platforms.matrix.server import Server
from bot.platforms.matrix.session import (
    Identity,
    load_backed_up,
    load_identity,
    load_recovery,
    load_session,
)
from bot.platforms.matrix.signer import Signer
from bot.platforms.message import RoomError
from bot.wording import matrix as words
from tests.doubles.matrix.club_house import call
from tests.doubles.matrix.homeserver import PASSWORD
from tests.doubles.matrix.member import signed_devices
from tests.every_log import as_logged, hear_all
from tests.matrix.setting import Setting
from tests.matrix.test_signing_in import Typed, sign_in


def key_in(host: Typed) -> str:
    (text,) = [text for text in host.said if "recovery key" in text]
    return text.rpartition("\n")[2].strip()


async def test_a_lost_folder_comes_back_with_its_identity_and_its_keys(
    setting: Setting, caplog: pytest.LogCaptureFixture
) -> None:
    hear_all(caplog)
    await setting.prepare(is_encrypted=True)
    home, bot, folder = setting.line.url, setting.bot.user_id, setting.folder / "matrix"
    asked: dict[str, dict[str, list[str]]] = {"device_keys": {bot: []}}
    before = await call(setting.server, setting.account, "POST", "keys/query", asked)

    assert not (await sign_in(folder, home, bot, Typed(can_ask=False), encrypt=True)).has_recovery
    host = Typed()
    assert (await sign_in(folder, home, bot, host, encrypt=True)).has_recovery
    host = Typed()
    await sign_in(folder, home, bot, host, encrypt=True)
    assert not host.said, "it is told once"
    lost = load_recovery(folder, bot)
    assert lost is not None
    path = f"room_keys/version/{lost.version}"
    await call(setting.server, setting.bot, "DELETE", path)
    await sign_in(folder, home, bot, host, encrypt=True)
    key = key_in(host)

    await setting.start()
    await setting.meet()
    recovery = load_recovery(folder, bot)
    assert recovery is not None
    olm = setting.ada.client.olm
    assert olm is not None
    session_id = olm.outbound_group_sessions[setting.room_id].id
    await setting.ada.until(lambda: session_id in load_backed_up(folder, recovery.version))
    path = f"rooms/{setting.room_id}/messages?dir=b&limit=20"
    said = (await setting.ada.call("GET", path))["chunk"]
    sealed = next(
        event
        for event in said
        if event["sender"] == setting.ada.user_id and event["type"] == "m.room.encrypted"
    )
    await setting.stop()
    shutil.rmtree(folder)

    with pytest.raises(RoomError) as refused:
        await sign_in(folder, home, bot, Typed(PASSWORD, key=new_key().text), encrypt=True)
    assert "not the bot's recovery key" in words.check_failed(refused.value)
    host = Typed(key=f"  {key}\n")
    await sign_in(folder, home, bot, host, encrypt=True)
    (told,) = host.said
    assert "old identity back" in told

    after = await call(setting.server, setting.account, "POST", "keys/query", asked)
    assert after["master_keys"] == before["master_keys"]
    session = load_session(folder, bot, home)
    assert session.device_id not in signed_devices(before, bot)
    assert session.device_id in signed_devices(after, bot)
    server = Server(session, folder)
    try:
        opened = server.decrypt(sealed, setting.room_id)
    finally:
        await server.close()
    assert opened is not None
    assert opened["content"]["body"] == "!hello"

    await setting.start()
    await setting.ada.say(setting.room_id, "!again")
    await setting.ada.until(lambda: "answer to !again" in setting.answers())
    identity = load_identity(folder, bot)
    assert identity is not None
    hidden = (
        PASSWORD,
        key,
        session.token,
        session.pickle_key,
        identity.master,
        identity.self_signing,
    )
    assert not [secret for secret in hidden if secret in as_logged(caplog.records)]


def test_a_recovery_key_is_read_as_it_is_written_and_never_another() -> None:
    for _ in range(20):
        key = new_key()
        description = key.describe("Ninebark")
        assert parse_key(f" {key.text.replace(' ', '')} ", key.key_id, description) == key
        wrong = ("x" if key.text[9] != "x" else "y").join((key.text[:9], key.text[10:]))
        for text in (wrong, key.text[:-1], key.text + "1", "", "0OIl", new_key().text, "z" * 999):
            with pytest.raises(WrongKeyError):
                parse_key(text, key.key_id, description)
    for odd in ("é", "AA", "="):
        with pytest.raises(WrongKeyError):
            parse_key(key.text, key.key_id, {**description, "mac": odd})
    assert repr(key.raw) not in repr(key)


def test_secrets_and_keys_are_written_as_the_specification_has_them() -> None:
    """Client-Server API v1.11, "Recovery key" and "Secret storage", read by another library."""
    key = new_key()
    # 0x8B 0x01, the key, and a byte that makes the parity of all even; in base58.
    digits = "123456789ABCDEFGHJKLMNPQRSTUVWXYZabcdefghijkmnopqrstuvwxyz"
    number = 0
    for digit in key.text.replace(" ", ""):
        number = 58 * number + digits.index(digit)
    raw = number.to_bytes(35)
    assert raw[:-1] == b"\x8b\x01" + key.raw
    assert reduce(xor, raw) == 0

    secret = secrets.token_bytes(32)
    sealed = key.seal("m.name", secret)["encrypted"][key.key_id]
    iv, hidden, mac = (
        base64.b64decode(sealed[name] + "==") for name in ("iv", "ciphertext", "mac")
    )
    both = HKDF(SHA256(), 64, bytes(32), b"m.name").derive(key.raw)
    assert hmac.digest(both[32:], hidden, "sha256") == mac
    opening = Cipher(algorithms.AES(both[:32]), modes.CTR(iv)).decryptor()
    assert base64.b64decode(opening.update(hidden) + b"==") == secret
    assert iv[8] < 128, "bit 63 is clear"
    assert key.open("m.name", key.seal("m.name", secret)) == secret
    for kept in ({}, {"encrypted": 5}, {"encrypted": {key.key_id: {**sealed, "mac": "AA"}}}):
        with pytest.raises(WrongKeyError):
            key.open("m.name", kept)


def test_an_identity_of_an_older_version_is_the_same() -> None:
    seal = secrets.token_bytes(32)
    accounts = [vodozemac.Account() for _ in range(3)]
    identity = Identity("@n:club.test", seal, *(each.pickle(seal) for each in accounts))
    for account, signer in zip(accounts, open_identity(identity), strict=True):
        assert signer.public == account.ed25519_key.to_base64()
        assert signer.sign({"a": 1}) == account.sign(b'{"a":1}').to_base64()
        assert Signer(signer.seed).public == signer.public
