"""The bot as its host runs it: exit codes and words where Discord refuses it, a clean end, a token
that shows nowhere, and what `ninebark check` finds.
"""

from __future__ import annotations

import asyncio
import os
import signal
import sys
from collections.abc import AsyncIterator
from pathlib import Path

import pytest

from bot.cli import main as cli
from tests.doubles.discord import TOKEN, DiscordDouble
from tests.doubles.discord.people import answer_of
from tests.doubles.discord.world import CREATE_PUBLIC_THREADS, MANAGE_MESSAGES, Channel
from tests.patience import PATIENCE

ROOT = Path(__file__).parents[2]


@pytest.fixture
async def double() -> AsyncIterator[DiscordDouble]:
    made = DiscordDouble()
    await made.start()
    yield made
    await made.stop()
    assert not made.problems


@pytest.fixture
def channel(double: DiscordDouble) -> Channel:
    return double.add_club("Maple Street", "puzzles")


@pytest.fixture
def config(double: DiscordDouble, channel: Channel, tmp_path: Path) -> Path:
    path = tmp_path / "config.toml"
    path.write_text(
        f"""
log = "debug"
[discord]
api = "{double.api}"
gateway = "{double.gateway.url}"
[[club]]
platform = "discord"
room = "{channel.id}"
name = "Maple Street Solvers"
post_time = "00:00"
"""
    )
    return path


async def run(config: Path, token: str = TOKEN) -> asyncio.subprocess.Process:
    return await asyncio.create_subprocess_exec(
        sys.executable, "-m", "bot", "run", "--config", str(config), cwd=ROOT,
        env={**os.environ, "NINEBARK_DISCORD_TOKEN": token},
        stdout=asyncio.subprocess.PIPE, stderr=asyncio.subprocess.PIPE,
    )  # fmt: skip


async def test_a_wrong_token_ends_it_with_words_that_help(config: Path) -> None:
    bot = await run(config, token="wrong.but.secret")
    out, err = await asyncio.wait_for(bot.communicate(), PATIENCE)
    assert bot.returncode == 2
    assert b"refuses the bot's token" in err
    assert b"wrong.but.secret" not in out + err


async def test_refused_intents_end_it_with_words(double: DiscordDouble, config: Path) -> None:
    double.gateway.close_next_identify = 4014
    bot = await run(config)
    _, err = await asyncio.wait_for(bot.communicate(), PATIENCE)
    last_line = err.strip().splitlines()[-1]
    assert bot.returncode == 1, err[-2000:]
    assert b"intents" in last_line
    assert b"4014" in last_line


def holds(folder: Path, secret: bytes) -> list[Path]:
    return [path for path in folder.rglob("*") if path.is_file() and secret in path.read_bytes()]


def name_token_file(config: Path, token: str) -> None:
    (config.parent / "token").write_text(f"{token}\n")
    named = config.read_text().replace("[discord]", '[discord]\ntoken_file = "token"')
    config.write_text(named)


async def test_it_serves_ends_at_sigterm_and_never_tells_its_token(
    double: DiscordDouble, channel: Channel, config: Path, tmp_path: Path
) -> None:
    ada = double.person("Ada", channel)
    bot = await run(config)
    await double.until(
        lambda: any(each.files for each in channel.messages.values()), "the day's post"
    )
    for _ in range(50):  # until it has noted that the post is up
        started = answer_of(await ada.command("start"))
        if started.alts:
            break
    assert started.alts
    await ada.command("hand-in", answer="1" * 18)
    bot.send_signal(signal.SIGTERM)
    out, err = await asyncio.wait_for(bot.communicate(), PATIENCE)
    assert bot.returncode == 0, err[-2000:]
    assert b"DEBUG" in err, "the log was at its most talkative"
    secret = TOKEN.encode()
    assert secret not in out + err
    assert not holds(tmp_path, secret)
    shown = [*channel.messages.values(), *(
        each for interaction in double.world.interactions.values() for each in interaction.messages
    )]  # fmt: skip
    assert all(secret not in content for each in shown for content in each.files.values())
    assert all(TOKEN not in str(each.body) for each in shown)


async def check(config: Path, capsys: pytest.CaptureFixture[str]) -> tuple[int, str, str]:
    code = await asyncio.to_thread(cli.main, ["check", "--config", str(config)])
    out, err = capsys.readouterr()
    return code, out, err


async def test_check_finds_all_well_and_prints_the_invitation(
    double: DiscordDouble, config: Path, capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:  # fmt: skip
    monkeypatch.setenv("NINEBARK_DISCORD_TOKEN", TOKEN)
    code, out, _ = await check(config, capsys)
    assert code == 0
    assert "the token works" in out
    assert f"client_id={double.world.application_id}" in out
    assert "scope=bot+applications.commands" in out
    # View Channel, Send Messages, Attach Files, Read Message History, Create Public Threads, Send
    # Messages in Threads, Manage Messages: bits 10, 11, 15, 16, 35, 38, 13 of the documentation.
    bits = sum(1 << bit for bit in (10, 11, 13, 15, 16, 35, 38))
    assert f"permissions={bits}" in out
    assert "#puzzles in Maple Street: all permissions are there" in out
    assert TOKEN not in out
    assert not double.world.command_puts, "a check changes nothing"


async def test_check_says_which_permission_is_missing_where(
    channel: Channel, config: Path, capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:  # fmt: skip
    monkeypatch.setenv("NINEBARK_DISCORD_TOKEN", TOKEN)
    channel.denied = CREATE_PUBLIC_THREADS | MANAGE_MESSAGES
    code, out, _ = await check(config, capsys)
    assert code == 1
    assert "#puzzles in Maple Street: missing: Create Public Threads" in out
    assert "Manage Messages" in out


async def test_check_without_or_with_a_wrong_token_says_so(
    config: Path, capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:  # fmt: skip
    monkeypatch.delenv("NINEBARK_DISCORD_TOKEN", raising=False)
    code, _, err = await check(config, capsys)
    assert code != 0
    assert "There is no token" in err
    name_token_file(config, "quite.wrong.token")
    code, out, err = await check(config, capsys)
    assert code == 2
    assert "refuses the bot's token" in err
    assert "quite.wrong.token" not in out + err
