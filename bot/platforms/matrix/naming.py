"""Rooms as a leader names them for a move: by address, by id, or by a link to either.

The homeserver tells which room an address is of. A room counts where the bot and whoever names it
are in it, by its own state; the bot enters none for that.
"""

from __future__ import annotations

from collections.abc import Callable
from urllib.parse import quote, unquote

from bot.platforms.matrix.inbound import is_id
from bot.platforms.matrix.rights import lacking_in
from bot.platforms.matrix.server import Server
from bot.platforms.matrix.words import MatrixWords
from bot.platforms.message import Place, RoomError

LINK = "https://matrix.to/#/"


async def find_place(
    server: Server,
    named: str,
    user_id: str,
    words: MatrixWords,
    leads: Callable[[str, str], bool],
) -> Place:
    """Return the room that somebody names, as it is for them."""
    nowhere, places = Place(how=words.name_place), server.places
    room_id = await _room_named(server, named)
    if not places.is_in(room_id) or not places.has_member(room_id, user_id):
        return nowhere
    lacking = lacking_in(places, room_id, server.user_id, words)
    title = places.title_of(room_id)
    return Place(room_id, title, leads(room_id, user_id), lacking, nowhere.how)


async def _room_named(server: Server, named: str) -> str:
    name = unquote(named.removeprefix(LINK)).partition("?")[0].strip()
    if not is_id(name, "#"):
        return name
    try:
        found = await server.request("GET", f"directory/room/{quote(name, safe='')}")
    except RoomError:
        return ""
    return str(found.get("room_id", ""))
