"""What an inbound event is allowed to be: the one place where Matrix's side of that is decided.

Whatever the homeserver passes on is somebody's claim until it has been read here. Talk is a message
or a reaction; state comes undecrypted and with a state key, nowhere else, so nothing that comes out
of a decryption can be state. What cannot be read is set aside with its reason, each by itself, and
the rest of its sync is taken in. Pure: JSON comes in, values of ours go out.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterator, Mapping
from typing import Any

from bot.platforms.matrix.json import as_json, clean
from bot.platforms.matrix.news import (
    Closing,
    Creation,
    Encryption,
    Levels,
    Membership,
    Naming,
    News,
    RoomNews,
    SetAside,
    State,
    Talk,
)

MESSAGE, REACTION, SEALED = "m.room.message", "m.reaction", "m.room.encrypted"
MARK = "ninebark.direct"
"""Our own sign in the first event of a private room that the bot has made."""
VERIFYING = "m.key.verification."
"""How the kinds of messages begin that verify a device."""
TALK = (MESSAGE, REACTION, *(f"{VERIFYING}{kind}" for kind in ("start", "key", "mac", "cancel")))
MOST_VERIFICATIONS = 100
"""So many of them in one sync are looked at."""
MEGOLM = "m.megolm.v1.aes-sha2"
TO_DEVICE = "to-device"
"""The place of what is sent to the bot's device and to no room."""

ID_BYTES = 255
"""The specification's limit of an id."""
NAME_LIMIT = 255
BODY_KEPT = 64 * 1024
LONGEST_TOKEN = 2048
"""Characters of a place in the stream: it has to fit into a request's line."""
MOST_KEYS = 10_000
FIRST_UNLIMITED_VERSION = 12
"""The first room version whose creators stand above all power levels."""

_MEMBERSHIPS = ("join", "invite", "leave", "ban", "knock")


class UnreadableError(ValueError):
    """Something from outside is not what it has to be; the text says what."""


def read_sync(answer: Mapping[str, Any]) -> News:
    """Read a homeserver's answer to a sync. Raises UnreadableError where it names no place."""
    token = answer.get("next_batch")
    if not is_token(token):
        raise UnreadableError("no token")
    news = News(str(token))
    keep = news.unreadable
    rooms = _part(answer, "rooms", {}, "sync", keep)
    for room_id, room in _rooms_in(rooms, "join", keep):
        news.joined[room_id] = _read_room(room_id, room, keep)
    for room_id, room in _rooms_in(rooms, "invite", keep):
        stripped = _part(room, "invite_state", {}, room_id, keep)
        news.claims[room_id] = tuple(_states_in(room_id, stripped, keep))
    news.left = [room_id for room_id, _ in _rooms_in(rooms, "leave", keep)]
    to_device = _part(answer, "to_device", {}, TO_DEVICE, keep)
    for event in _part(to_device, "events", [], TO_DEVICE, keep):
        if not _is_plain_event(event):
            keep.append(set_aside(TO_DEVICE, event, "no event"))
        elif event["type"] == SEALED:
            # Keys come sealed. Wishes for keys of ours are not answered.
            news.to_device.append(event)
        elif event["type"].startswith(VERIFYING) and _names_transaction(event["content"]):
            news.verifications.append(event)
    del news.verifications[MOST_VERIFICATIONS:]
    lists = _part(answer, "device_lists", {}, "sync", keep)
    for name in ("changed", "left"):
        users = _part(lists, name, [], "sync", keep)
        news.changed_users += [user for user in users if is_id(user, "@")]
    counts = _part(answer, "device_one_time_keys_count", {}, "sync", keep)
    count = counts.get("signed_curve25519")
    if isinstance(count, int) and 0 <= count <= MOST_KEYS:
        news.key_count = count
    return news


def admit_event(source: object) -> Talk | State | None:
    """Return what an event of a room is; None for a kind that does not concern us.

    Raises UnreadableError for one of ours that is not as it has to be.
    """
    if not isinstance(source, dict) or not isinstance(source.get("type"), str):
        raise UnreadableError("no event")
    kind = source["type"]
    reader = _STATE.get(kind)
    if reader is not None:
        return _read_state(source, reader)
    if kind not in (*TALK, SEALED) or "state_key" in source:
        return None
    content = source.get("content")
    if not isinstance(content, dict):
        raise UnreadableError("no content")
    if kind == SEALED:
        if content.get("algorithm") != MEGOLM:
            return None
        _id_of(content.get("session_id"), "", "session")
        if not isinstance(content.get("ciphertext"), str) or not content["ciphertext"]:
            raise UnreadableError("no ciphertext")
    stamp: object = source.get("origin_server_ts")
    if not isinstance(stamp, int) or isinstance(stamp, bool):
        raise UnreadableError("no stamp")
    unsigned = source.get("unsigned")
    transaction_id = unsigned.get("transaction_id") if isinstance(unsigned, dict) else None
    return Talk(
        event_id=_id_of(source.get("event_id"), "$", "event id"),
        sender=_id_of(source.get("sender"), "@", "sender"),
        kind=kind,
        stamp=stamp,
        transaction_id=str(transaction_id) if is_id(transaction_id, "") else "",
        source=source,
    )


def admit_opened(sealed: Mapping[str, Any], opened: object) -> dict[str, Any]:
    """Return a decrypted event as it counts: talk by the sender of the envelope, or nothing said.

    Kind and content alone are taken from inside. Raises UnreadableError.
    """
    if not isinstance(opened, dict) or not isinstance(opened.get("content"), dict):
        raise UnreadableError("nothing readable under the encryption")
    envelope = {name: sealed[name] for name in ("event_id", "sender", "origin_server_ts")}
    if opened.get("type") not in TALK:
        return {**envelope, "type": "", "content": {}}
    return {**envelope, "type": opened["type"], "content": opened["content"]}


def set_aside(place: str, thing: object, problem: str, *, sender: object = None) -> SetAside:
    """Return something with why it was set aside; its sender is who it names, if nobody is told."""
    if sender is None and isinstance(thing, dict):
        sender = thing.get("sender")
    try:
        body = as_json(thing)[:BODY_KEPT]
    except (ValueError, RecursionError):
        body = b""
    return SetAside(clean(place), str(sender) if is_id(sender, "@") else "", problem, body)


# --- the parts ---


def _read_room(room_id: str, room: Mapping[str, Any], keep: list[SetAside]) -> RoomNews:
    state = _part(room, "state", {}, room_id, keep)
    timeline = _part(room, "timeline", {}, room_id, keep)
    before = timeline.get("prev_batch")
    return RoomNews(
        state=tuple(_states_in(room_id, state, keep)),
        timeline=tuple(_read_all(room_id, timeline, keep)),
        is_limited=timeline.get("limited") is True,
        before=before if is_token(before) else "",
    )


def _read_all(
    room_id: str, holder: Mapping[str, Any], keep: list[SetAside]
) -> Iterator[Talk | State]:
    for source in _part(holder, "events", [], room_id, keep):
        found = contained(room_id, source, keep)
        if found is not None:
            yield found


def _states_in(room_id: str, holder: Mapping[str, Any], keep: list[SetAside]) -> Iterator[State]:
    return (each for each in _read_all(room_id, holder, keep) if not isinstance(each, Talk))


def contained(room_id: str, source: object, keep: list[SetAside]) -> Talk | State | None:
    """Read one event; what fails is put into `keep` and does not count as said."""
    try:
        return admit_event(source)
    except UnreadableError as problem:
        keep.append(set_aside(room_id, source, str(problem)))
    except Exception as problem:  # whatever it is: it is this event's, and stays with it
        keep.append(set_aside(room_id, source, type(problem).__name__))
    return None


def _part(
    holder: Mapping[str, Any], name: str, empty: Any, place: str, keep: list[SetAside]
) -> Any:
    """Return a part of the kind that `empty` is; another kind is set aside, and nothing is."""
    found = holder.get(name)
    if isinstance(found, type(empty)):
        return found
    if found is not None:
        keep.append(set_aside(place, {name: found}, f"{name} is of another kind"))
    return empty


def _rooms_in(
    rooms: Mapping[str, Any], how: str, keep: list[SetAside]
) -> Iterator[tuple[str, Mapping[str, Any]]]:
    for room_id, room in _part(rooms, how, {}, "sync", keep).items():
        if is_id(room_id, "!") and isinstance(room, dict):
            yield room_id, room
        else:
            keep.append(set_aside("sync", {room_id: room}, "no room"))


def _read_state(
    source: Mapping[str, Any], reader: Callable[[str, str, Mapping[str, Any], Any], State]
) -> State | None:
    key, content = source.get("state_key"), source.get("content")
    if key is None:
        return None  # a mere message of that name, which anybody may send
    if not isinstance(key, str) or not isinstance(content, dict):
        raise UnreadableError("no state")
    if key and reader is not _membership:
        return None  # only the state without a key is the room's
    return reader(_id_of(source.get("sender"), "@", "sender"), key, content, source)


def _membership(
    sender: str, key: str, content: Mapping[str, Any], source: Mapping[str, Any]
) -> Membership:
    if content.get("membership") not in _MEMBERSHIPS:
        raise UnreadableError("no membership")
    name = content.get("displayname")
    unsigned = source.get("unsigned")
    before = unsigned.get("prev_content") if isinstance(unsigned, dict) else None
    was = before.get("membership") if isinstance(before, dict) else None
    return Membership(
        user_id=_id_of(key, "@", "member"),
        state=content["membership"],
        sender=sender,
        name=clean(name)[:NAME_LIMIT] if isinstance(name, str) else "",
        was=was if was in _MEMBERSHIPS else "",
        is_direct=content.get("is_direct") is True,
    )


def _levels(sender: str, key: str, content: Mapping[str, Any], source: object) -> Levels:
    users, events = content.get("users", {}), content.get("events", {})
    if not isinstance(users, dict) or not isinstance(events, dict):
        raise UnreadableError("no power levels")
    posting = _level(content.get("events_default"), 0)
    return Levels(
        users={user: _level(level, 0) for user, level in users.items()},
        default=_level(content.get("users_default"), 0),
        redact=_level(content.get("redact"), 50),
        post=_level(events.get(MESSAGE), posting),
        react=_level(events.get(REACTION), posting),
    )


def _creation(sender: str, key: str, content: Mapping[str, Any], source: object) -> Creation:
    version, more = content.get("room_version", "1"), content.get("additional_creators")
    if not isinstance(version, str):
        raise UnreadableError("no room version")
    # A version that is no number is one that is tried out, later than those that we know.
    is_number = re.fullmatch("[0-9]{1,4}", version) is not None
    before = _room_in(content.get("predecessor"), "room_id")
    if is_number and int(version) < FIRST_UNLIMITED_VERSION:
        return Creation(sender, mark=content.get(MARK), predecessor=before)
    others = [each for each in more if is_id(each, "@")] if isinstance(more, list) else []
    return Creation(sender, frozenset((sender, *others)), content.get(MARK), before)


def _closing(sender: str, key: str, content: Mapping[str, Any], source: object) -> Closing:
    return Closing(sender, _room_in(content, "replacement_room"))


def _room_in(content: object, name: str) -> str:
    """Return the room that something names, empty where it names none."""
    found = content.get(name) if isinstance(content, dict) else None
    return str(found) if is_id(found, "!") else ""


def _naming(sender: str, key: str, content: Mapping[str, Any], source: object) -> Naming:
    name = content.get("name")
    return Naming(clean(name)[:NAME_LIMIT] if isinstance(name, str) else "")


def _encryption(sender: str, key: str, content: Mapping[str, Any], source: object) -> Encryption:
    return Encryption()


_STATE: Mapping[str, Callable[[str, str, Mapping[str, Any], Any], State]] = {
    "m.room.member": _membership,
    "m.room.power_levels": _levels,
    "m.room.create": _creation,
    "m.room.name": _naming,
    "m.room.encryption": _encryption,
    "m.room.tombstone": _closing,
}


# --- small things ---


def _is_plain_event(event: object) -> bool:
    return (
        isinstance(event, dict)
        and isinstance(event.get("type"), str)
        and isinstance(event.get("content"), dict)
        and is_id(event.get("sender"), "@")
    )


def _names_transaction(content: Mapping[str, Any]) -> bool:
    return is_id(content.get("transaction_id"), "")


def is_id(found: object, sign: str) -> bool:
    """Return whether something is an id: text that begins with `sign` and can be stored."""
    if not isinstance(found, str) or not found.startswith(sign) or not found.isprintable():
        return False
    try:
        return 0 < len(found.encode()) <= ID_BYTES
    except UnicodeEncodeError:
        return False


def _id_of(found: object, sign: str, what: str) -> str:
    if not is_id(found, sign):
        raise UnreadableError(f"no {what}")
    return str(found)


def is_token(found: object) -> bool:
    """Return whether something is a place in the stream, or in a room's history."""
    return isinstance(found, str) and 0 < len(found) <= LONGEST_TOKEN and clean(found) == found


def _level(found: object, default: float) -> float:
    """Return a power level; old rooms may hold it as text."""
    if isinstance(found, bool) or not isinstance(found, int | float | str):
        return default
    try:
        level = float(found)
    except (ValueError, OverflowError):
        return default
    return level if math.isfinite(level) else default
