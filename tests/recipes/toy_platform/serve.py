"""Serves a club on the toy platform by a config, and prints what can be seen of it, as JSON."""

from __future__ import annotations

import asyncio
import json
import sys
from pathlib import Path

import bot
from bot.wiring.platform import Host
from bot.wiring.platforms import BY_NAME, read_settings
from bot.wiring.running import open_clubs


async def serve(config: Path) -> None:
    settings = read_settings(config)
    host = Host(settings.folder, settings.clubs, {})
    accesses = [BY_NAME[name].access(own, host) for name, own in settings.platforms.items()]
    async with open_clubs(settings.clubs, *accesses, database=None) as running:
        room = running.rooms["toy"]
        for club in await running.store.load_clubs():
            await running.schedule.serve(club)
        answers = await room.say("shelf", "Ada", "help")
        seen = room.visible("shelf", "ada")
        told = {
            "place": bot.__path__[0],
            "announced": list(running.announce()),
            "posts": [each.messages[0].text for each in seen if each.kind == "post"],
            "answer": answers[0].text,
        }
    print(json.dumps(told))  # noqa: T201


asyncio.run(serve(Path(sys.argv[1])))
