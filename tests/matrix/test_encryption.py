"""Encryption that is lost or not there: nothing is said in clear, and people are told why."""

from __future__ import annotations

import logging
import subprocess
import sys
from datetime import timedelta
from pathlib import Path
from subprocess import PIPE
from typing import Any

import pytest

from bot.platforms.matrix.refusals import SessionLostError, StoreInUseError
from bot.platforms.matrix.session import STORE_FILE, hold_folder
from bot.platforms.message import Message
from bot.wording import matrix as matrix_words
from bot.wording.matrix import MATRIX
from tests.matrix.setting import Setting
from tests.patience import PATIENCE

ROOT = Path(__file__).parents[2]

LATE = ("m.room.member", "m.room.encryption")

SEALED = {
    "algorithm": "m.megolm.v1.aes-sha2",
    "sender_key": "Sb26eNnVIPr4nRUAoZCHgnHBaPvZiOOUSCy3nZ9VAFs",
    "ciphertext": "AwgAEhAqqqqqqqqqqqqqqqqqqqqq",
    "session_id": "IkJJUWXv7pXOIHXFC8vFEZwA6GqTvKnRZ2eQPXFHBvQ",
    "device_id": "NOWHERE",
}
"""A message whose key nobody has."""


async def test_a_lost_store_is_said_and_its_device_is_never_used_again(setting: Setting) -> None:
    await setting.prepare(is_encrypted=True)
    await setting.start()
    await setting.meet()
    await setting.stop()
    (setting.folder / "matrix" / STORE_FILE).unlink()
    before = setting.line.total
    with pytest.raises(SessionLostError) as caught:
        await setting.start()
    assert caught.value.problem == "store"
    assert "encryption keys are gone" in (matrix_words.problem(caught.value) or "")
    assert setting.line.total == before
    setting.room = None


async def test_a_second_bot_on_the_same_sign_in_is_refused(setting: Setting) -> None:
    await setting.prepare()
    first = await setting.start()
    with pytest.raises(StoreInUseError):
        await setting.start()
    setting.room = first


OUTLIVED = """
import os, signal, sys
from pathlib import Path
from bot.platforms.matrix.session import hold_folder
with hold_folder(Path(sys.argv[1])):
    if os.fork() == 0:
        sys.stdin.read()
        os._exit(0)
    print("held", flush=True)
    signal.pause()
"""


def test_a_child_that_outlives_its_bot_keeps_the_next_bot_from_nothing(tmp_path: Path) -> None:
    """As one does that was being started when the bot was killed: it has all that was open."""
    folder = tmp_path / "matrix"
    command = [sys.executable, "-c", OUTLIVED, str(folder)]
    with subprocess.Popen(command, stdin=PIPE, stdout=PIPE, cwd=ROOT) as bot:
        assert bot.stdout is not None
        assert bot.stdout.readline() == b"held\n"
        with pytest.raises(StoreInUseError), hold_folder(folder):
            pass
        bot.kill()
        bot.wait(PATIENCE)
        with hold_folder(folder):
            pass


async def test_without_encryption_nothing_is_said_in_an_encrypted_room_and_the_leader_is_told(
    setting: Setting, caplog: pytest.LogCaptureFixture
) -> None:
    await setting.prepare(is_encrypted=True, bot_encrypts=False)
    room = await setting.start()
    with caplog.at_level(logging.WARNING), pytest.raises(Exception, match=setting.room_id[:5]):
        await room.post(setting.room_id, Message("the secret day"), key="day:1")
    ada = setting.ada
    await ada.until(lambda: _told(setting))
    (text,) = _told(setting)
    assert "encrypted" in text
    assert not ada.texts(setting.room_id, by=setting.bot.user_id)
    assert setting.room_id in caplog.text


async def test_a_message_without_a_key_is_tried_again_and_then_explained(setting: Setting) -> None:
    await setting.prepare(is_encrypted=True)
    await setting.start()
    await setting.meet()
    ada, place = setting.ada, setting.private_room()
    await ada.call("PUT", f"rooms/{place}/send/m.room.encrypted/sealed-1", SEALED)
    await ada.say(place, "readable")
    await ada.until(lambda: "answer to readable" in setting.answers())
    assert MATRIX.unreadable not in ada.texts(place, by=setting.bot.user_id)
    setting.ahead = timedelta(minutes=2)
    for number in range(3):
        await ada.say(place, f"later {number}")
    await ada.until(lambda: MATRIX.unreadable in ada.texts(place, by=setting.bot.user_id))
    assert ada.texts(place, by=setting.bot.user_id).count(MATRIX.unreadable) == 1


async def test_a_private_room_that_the_stream_tells_of_in_parts_is_waited_for(
    setting: Setting,
) -> None:
    """The homeserver tells of a room that it is still making; nothing is said there in clear, nor
    with a key that its person does not get.
    """
    await setting.prepare(is_encrypted=True)
    held: dict[str, list[dict[str, Any]]] = {}
    is_released = False

    def alter(path: str, answer: Any) -> Any:
        if not path.endswith("/sync"):
            return answer
        joined = answer.setdefault("rooms", {}).setdefault("join", {})
        if is_released:
            for room_id, late in held.items():
                room = joined.setdefault(room_id, {"timeline": {"events": []}})
                room["timeline"]["events"][:0] = late
            held.clear()
            return answer
        for room_id in joined.keys() - {setting.room_id}:
            late = held.setdefault(room_id, [])
            for part in joined[room_id].values():
                for event in list(part.get("events", [])):
                    if event["type"] in LATE and event["state_key"] != bot:
                        part["events"].remove(event)
                        late.append(event)
        return answer

    bot, ada = setting.bot.user_id, setting.ada
    setting.line.alter = alter
    await setting.start()
    await ada.say(setting.room_id, "!hello")
    await ada.until(lambda: bool(held))
    (place,) = held
    await setting.pass_syncs(3)
    is_released = True
    await setting.pass_syncs(1)
    await ada.until(lambda: setting.answers() == ["answer to !hello"])
    found = await ada.call("GET", f"rooms/{place}/messages?dir=b&limit=20")
    kinds = {each["type"] for each in found["chunk"] if each["sender"] == bot}
    assert "m.room.encrypted" in kinds
    assert "m.room.message" not in kinds


def _told(setting: Setting) -> list[str]:
    """Return what the bot has said to Ada outside the club's room."""
    rooms = [room_id for room_id in setting.ada.invited if room_id != setting.room_id]
    by = setting.bot.user_id
    return [text for room_id in rooms for text in setting.ada.texts(room_id, by=by)]
