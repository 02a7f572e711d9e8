"""From nothing to a club in Matrix: sign-in, what `ninebark check` finds, the leader's first word,
and a config that names Matrix where its library is not installed.
"""

from __future__ import annotations

import asyncio
import json
import signal
import stat
import subprocess
import sys
from collections.abc import AsyncIterator
from pathlib import Path

import pytest

from bot.wording.matrix import MATRIX
from tests.doubles.matrix.club_house import call, new_account, new_room
from tests.doubles.matrix.homeserver import PASSWORD, Account, shared_homeserver
from tests.doubles.matrix.member import Member, signed_devices, text_of
from tests.doubles.program import ninebark
from tests.matrix.conftest import Bench
from tests.patience import PATIENCE

ROOT = Path(__file__).parents[2]

KNOWN = {"NINEBARK_MATRIX_PASSWORD": PASSWORD}

# Stands for an installation without the extra: the library cannot be imported.
WITHOUT_LIBRARY = """
import sys
sys.modules["nio"] = sys.modules["vodozemac"] = None
from bot.cli.main import main
sys.exit(main(sys.argv[1:]))
"""


def write_config(folder: Path, bot: Account, leader: Account, *, room_id: str = "") -> Path:
    server = shared_homeserver()
    club = f'[[club]]\nplatform = "matrix"\nroom = "{room_id}"\nname = "Maple Street"\n'
    path = folder / "config.toml"
    path.write_text(
        f'[web]\nport = 0\n[matrix]\nhomeserver = "{server.url}"\nuser = "{bot.user_id}"\n'
        f'inviters = ["{leader.user_id}"]\n' + (club if room_id else ""),
        encoding="utf-8",
    )
    return path


async def without_library(*arguments: str) -> tuple[int, str, str]:
    """Run the program where the library is not installed; return its exit code, and its words."""
    child = await asyncio.create_subprocess_exec(
        sys.executable, "-c", WITHOUT_LIBRARY, *arguments, cwd=ROOT,
        stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, stderr=subprocess.PIPE,
    )  # fmt: skip
    out, err = await asyncio.wait_for(child.communicate(), PATIENCE)
    assert child.returncode is not None
    return child.returncode, out.decode(), err.decode()


async def test_the_check_signs_in_once_keeps_no_password_and_says_what_is_missing(
    tmp_path: Path,
) -> None:
    server = shared_homeserver()
    bot, rowan = await new_account(server, "ninebark"), await new_account(server, "rowan")
    room_id = await new_room(server, rowan, bot=bot, bot_power=0)
    config = write_config(tmp_path, bot, rowan, room_id=room_id)

    code, _, err = await ninebark("run", "--config", str(config))
    assert code == 2
    assert "ninebark check" in err

    code, _, err = await ninebark("check", "--config", str(config))
    assert code == 1
    assert "no password was given" in err

    wrong = {"NINEBARK_MATRIX_PASSWORD": "wrong"}
    code, _, err = await ninebark("check", "--config", str(config), **wrong)
    assert code == 1
    assert "does not accept" in err

    code, out, err = await ninebark("check", "--config", str(config), **KNOWN)
    assert code == 1, "one thing is missing"
    assert "may not remove answers" in out, err
    assert "has signed its device" in out
    assert "No recovery key was made here" in out, "it would stay in a log"

    power = f"rooms/{room_id}/state/m.room.power_levels/"
    levels = await call(server, rowan, "GET", power)
    levels["users"][bot.user_id] = 50
    await call(server, rowan, "PUT", power, levels)
    code, out, err = await ninebark("check", "--config", str(config))
    assert code == 0, out + err
    assert "all is well" in out

    folder = tmp_path / "data" / "matrix"
    assert stat.S_IMODE(folder.parent.stat().st_mode) == 0o700
    assert stat.S_IMODE(folder.stat().st_mode) == 0o700
    for path in folder.iterdir():
        assert stat.S_IMODE(path.stat().st_mode) == 0o600, path.name
        assert PASSWORD.encode() not in path.read_bytes()
    keys = await call(server, rowan, "POST", "keys/query", {"device_keys": {bot.user_id: []}})
    assert len(signed_devices(keys, bot.user_id)) == 1


async def test_after_a_lost_store_the_check_makes_a_new_device_that_is_signed_too(
    tmp_path: Path,
) -> None:
    server = shared_homeserver()
    bot, rowan = await new_account(server, "ninebark"), await new_account(server, "rowan")
    config = write_config(tmp_path, bot, rowan)
    assert (await ninebark("check", "--config", str(config), **KNOWN))[0] == 0
    (tmp_path / "data" / "matrix" / "keys.db").unlink()
    code, _, err = await ninebark("run", "--config", str(config))
    assert code == 2
    assert "keys are gone" in err
    code, _, err = await ninebark("check", "--config", str(config), **KNOWN)
    assert code == 0, err
    keys = await call(server, rowan, "POST", "keys/query", {"device_keys": {bot.user_id: []}})
    assert len(signed_devices(keys, bot.user_id)) == 2, "one identity has signed both devices"


async def test_without_the_library_a_config_that_names_matrix_says_what_to_install(
    tmp_path: Path,
) -> None:
    path = tmp_path / "config.toml"
    path.write_text(
        '[web]\nport = 0\n[matrix]\nhomeserver = "http://127.0.0.1:1"\nuser = "@n:club.test"\n',
        encoding="utf-8",
    )
    for command in ("run", "check"):
        code, out, err = await without_library(command, "--config", str(path))
        assert code != 0
        assert "pip install 'ninebark[matrix]'" in out + err
        assert "Traceback" not in err
    code, out, _ = await without_library("rate", "." * 81)
    assert code == 2
    path.write_text(
        '[web]\nport = 0\n[[club]]\nplatform = "web"\nroom = "main"\nname = "Hedgerow"\n',
        encoding="utf-8",
    )
    code, _, err = await without_library("check", "--config", str(path))
    assert code == 0, err


async def test_where_the_homeserver_is_away_or_forgets_the_bot_the_program_says_so(
    tmp_path: Path,
) -> None:
    server = shared_homeserver()
    bot, rowan = await new_account(server, "ninebark"), await new_account(server, "rowan")
    config = write_config(tmp_path, bot, rowan)
    run = ("run", "--config", str(config))
    check = ("check", "--config", str(config))
    assert (await ninebark(*check, **KNOWN))[0] == 0
    await asyncio.to_thread(server.stop)
    try:
        code, _, err = await ninebark(*check)
        assert code == 1
        assert "could not be reached just now" in err
        child = await asyncio.create_subprocess_exec(
            sys.executable, "-m", "bot", *run, cwd=ROOT, stdout=subprocess.PIPE, stderr=None
        )
        assert child.stdout is not None
        line = await asyncio.wait_for(child.stdout.readline(), PATIENCE)
        assert b"open as soon as it answers" in line
    finally:
        await asyncio.to_thread(server.start)
    child.send_signal(signal.SIGTERM)
    assert await asyncio.wait_for(child.wait(), PATIENCE) == 0
    session = json.loads((tmp_path / "data" / "matrix" / "session.json").read_bytes())
    gone = Account(bot.user_id, session["device_id"], session["token"])
    await call(server, gone, "POST", "logout", {})
    code, _, err = await ninebark(*run)
    assert code == 2
    assert "no longer accepts the bot's sign-in" in err
    assert (await ninebark(*check, **KNOWN))[0] == 0


@pytest.fixture
async def unfounded(tmp_path: Path) -> AsyncIterator[Bench]:
    """People, a room and a signed-in bot, but no club yet."""
    made = Bench(tmp_path, shared_homeserver(), is_encrypted=False)
    await made.prepare(found=False)
    yield made
    await made.close()


async def test_a_leader_invites_the_bot_and_founds_the_club_from_the_room(
    unfounded: Bench,
) -> None:
    bench = unfounded
    house = await bench.start()
    wish = {"invite": [bench.bot.user_id, bench.ada.user_id], "preset": "private_chat"}
    made = await bench.rowan.call("POST", "createRoom", wish)
    bench.room_id = made["room_id"]
    await bench.ada.sync()
    rowan: Member = bench.rowan

    def is_in() -> bool:
        room = rowan.client.rooms.get(bench.room_id)
        bot = room.users.get(bench.bot.user_id) if room is not None else None
        return bot is not None and not bot.invited

    await rowan.until(is_in)
    await bench.ada.say(bench.room_id, "!club setup")  # a member founds nothing
    # Nor does a leader by another word, but is told how, once.
    for line in ("!help", "!hint"):
        await rowan.say(bench.room_id, line)
    how = MATRIX.unfounded.format("!")
    await rowan.until(lambda: how in rowan.texts(bench.room_id))
    assert not await house.store.load_clubs()
    told = [text_of(each) for each in await bench.ask(rowan, "club setup", messages=2)]
    assert sum("zone" in each for each in told) == 1, "the settings, and what is missing"
    assert all(MATRIX.give_rights.format(50) in each for each in told)
    (club,) = await house.store.load_clubs()
    assert (club.platform, club.room_id, club.paused) == ("matrix", bench.room_id, True)
    assert bench.private_room(bench.ada) is None
    assert rowan.texts(bench.room_id, by=bench.bot.user_id) == [how]


async def test_in_a_room_upgraded_to_version_12_its_creator_leads_and_sets_the_club_up(
    unfounded: Bench,
) -> None:
    """Creators are not among the power levels there, and the first event names no older one."""
    bench = unfounded
    house = await bench.start()
    rowan: Member = bench.rowan
    old = await rowan.call("POST", "createRoom", {"preset": "private_chat", "room_version": "11"})
    path = f"rooms/{old['room_id']}/upgrade"
    made = await rowan.call("POST", path, {"new_version": "12"})
    bench.room_id = str(made["replacement_room"])
    created = await rowan.call("GET", f"rooms/{bench.room_id}/state/m.room.create/")
    assert "event_id" not in created["predecessor"]
    levels = await rowan.call("GET", f"rooms/{bench.room_id}/state/m.room.power_levels/")
    assert rowan.user_id not in levels["users"]
    wish = {"user_id": bench.bot.user_id}
    await rowan.call("POST", f"rooms/{bench.room_id}/invite", wish)

    def is_in() -> bool:
        room = rowan.client.rooms.get(bench.room_id)
        bot = room.users.get(bench.bot.user_id) if room is not None else None
        return bot is not None and not bot.invited

    await rowan.until(is_in)
    told = [text_of(each) for each in await bench.ask(rowan, "club setup", messages=2)]
    assert sum("zone" in each for each in told) == 1, "the settings, and what is missing"
    (club,) = await house.store.load_clubs()
    assert club.room_id == bench.room_id
