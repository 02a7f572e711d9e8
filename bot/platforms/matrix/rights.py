"""What the bot may do in a club's room, and who leads there: by the state that `places` keeps."""

from __future__ import annotations

from bot.platforms.matrix.door import LEADER_POWER
from bot.platforms.matrix.places import Places
from bot.platforms.matrix.words import MatrixWords
from bot.platforms.message import Duty, Lacking


def lacking_in(places: Places, room_id: str, us: str, words: MatrixWords) -> Lacking:
    """Return what the bot, `us`, may not do in a room, and the power level that each takes."""
    if not places.is_in(room_id):
        return Lacking(((Duty.BE_THERE, ""),), words.room_gone)
    power = places.power_of(room_id, us)
    needed = (
        (Duty.POST, places.power_to_post(room_id)),
        (Duty.OFFER_CHOICES, places.power_to_react(room_id)),
        (Duty.REMOVE, places.power_to_redact(room_id)),
    )
    short = tuple((duty, level) for duty, level in needed if power < level)
    if not short:
        return Lacking()
    highest = max(level for _, level in short)
    rights = tuple((duty, words.power_level.format(f"{level:g}")) for duty, level in short)
    return Lacking(rights, words.give_rights.format(f"{highest:g}"))


def leaders_in(places: Places, room_id: str, us: str) -> tuple[str, ...]:
    """Return who but the bot is in a room with the power to lead."""
    return tuple(
        user_id
        for user_id in places.members(room_id)
        if user_id != us and places.power_of(room_id, user_id) >= LEADER_POWER
    )
