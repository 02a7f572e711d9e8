"""Keeps the connection to the service standing, until the service refuses the bot for good."""

from __future__ import annotations

import asyncio
import logging
from collections.abc import Callable
from contextlib import suppress

import discord

from bot.platforms.discord.client import ClubClient
from bot.platforms.discord.errors import NETWORK_ERRORS, refusal_of
from bot.platforms.discord.refusals import DiscordRefusedError
from bot.platforms.message import PlatformRefusedError, Refusal

_LOG = logging.getLogger("ninebark.discord")

FIRST_BACK_OFF, LONGEST_BACK_OFF = 1.0, 60.0


async def stay_connected(
    make: Callable[[], ClubClient],
    token: str,
    *,
    hold: Callable[[ClubClient | None], None],
    was_ready: Callable[[], bool],
) -> None:
    """Stay connected until cancelled; ends only where the service refuses the bot.

    `hold` is given the client that is logged in, None when there is none any more.
    """
    back_off = FIRST_BACK_OFF
    while True:
        client = make()
        try:
            await client.login(token)
            hold(client)
            await client.connect()
            raise DiscordRefusedError(Refusal.CLOSED)
        except PlatformRefusedError:
            raise
        except (discord.DiscordException, *NETWORK_ERRORS) as error:
            refusal = refusal_of(error)
            if refusal is not None:
                raise refusal from None
            _LOG.warning("no connection to Discord, again in %.0f s: %r", back_off, error)
        except Exception:
            # Whatever the library stumbles over must not end the clubs of other platforms.
            _LOG.exception("the connection to Discord broke, again in %.0f s", back_off)
        finally:
            hold(None)
            with suppress(*NETWORK_ERRORS):
                await client.close()
        back_off = FIRST_BACK_OFF if was_ready() else back_off
        await asyncio.sleep(back_off)
        back_off = min(LONGEST_BACK_OFF, 2 * back_off)
