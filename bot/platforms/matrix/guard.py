"""The library's client behind a guard: what strangers wrote reaches it piece by piece.

The library raises in the middle of an answer that holds one bad key or one bad message, and leaves
the rest untouched. Here each message to our device, each device of a key query and each claimed key
is handed to it alone; what it cannot take is set aside. Rooms' state never comes from it, and what
it decrypts passes `inbound.admit_opened`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from functools import partial
from typing import Any, TypeVar

import nio
import vodozemac

from bot.platforms.matrix.giving_keys import GivingClient
from bot.platforms.matrix.inbound import (
    SEALED,
    TO_DEVICE,
    UnreadableError,
    admit_opened,
    is_id,
    set_aside,
)
from bot.platforms.matrix.json import clean
from bot.platforms.matrix.news import Membership, News, SetAside
from bot.platforms.matrix.places import PRESENT

T = TypeVar("T")

DEVICE_KEYS, CLAIMED_KEYS = "device keys", "claimed keys"
"""The places of what key queries and key claims bring."""
NAME_LIMIT = 255


class GuardedClient(GivingClient):
    """`unreadable` collects what was set aside, until somebody takes it."""

    def __init__(self, *arguments: Any, **options: Any) -> None:
        super().__init__(*arguments, **options)
        self.unreadable: list[SetAside] = []

    # --- answers to key queries and claims ---

    async def create_matrix_response(
        self, response_class: Any, transport_response: Any, data: Any = None, save_to: Any = None
    ) -> Any:
        """Read answers that hold strangers' keys leniently: the library takes all or nothing."""
        is_whole = 200 <= transport_response.status < 300
        response: Any
        if is_whole and response_class is nio.KeysQueryResponse:
            answer = await self.parse_body(transport_response)
            found, failures = _parts(answer, "device_keys"), _parts(answer, "failures")
            response = nio.KeysQueryResponse(dict(found), dict(failures))
        elif is_whole and response_class is nio.KeysClaimResponse:
            answer = await self.parse_body(transport_response)
            response = nio.KeysClaimResponse(dict(_parts(answer, "one_time_keys")), {})
        else:
            return await super().create_matrix_response(
                response_class, transport_response, data, save_to
            )
        response.transport_response = transport_response
        return response

    async def receive_response(self, response: Any) -> None:
        """Change what is known by an answer; keys are taken in one by one."""
        if isinstance(response, nio.KeysQueryResponse):
            for user_id, devices in response.device_keys.items():
                await self._take_devices(user_id, devices)
        elif isinstance(response, nio.KeysClaimResponse):
            for user_id, devices in response.one_time_keys.items():
                for device_id, keys in _parts({"": devices}, "").items():
                    await self._take_claimed(user_id, device_id, keys)
        else:
            await super().receive_response(response)

    async def keys_query(self) -> Any:
        """Ask for the devices of all whose are not known. Nobody is asked for twice on end.

        A user whose homeserver could not be reached by ours is asked for again.
        """
        asked = set(self.users_for_key_query)
        answer = await super().keys_query()
        if isinstance(answer, nio.KeysQueryResponse):
            self.users_for_key_query.difference_update(
                user for user in asked if user.partition(":")[2] not in answer.failures
            )
        return answer

    async def _take_devices(self, user_id: str, devices: object) -> None:
        known: dict[str, Any] = {}
        if not is_id(user_id, "@") or not isinstance(devices, dict):
            self.unreadable.append(set_aside(DEVICE_KEYS, {str(user_id): devices}, "no devices"))
            return
        for device_id, device in devices.items():
            check = partial(self._check, user_id, device_id, device)
            found = self._contain(DEVICE_KEYS, device, check, sender=user_id)
            if found is not None:
                known[device_id] = found
        response = nio.KeysQueryResponse({user_id: known}, {})
        hand_over = partial(nio.Client.receive_response, self, response)
        self._contain(DEVICE_KEYS, devices, hand_over, sender=user_id)

    def _check(self, user_id: str, device_id: str, device: object) -> dict[str, Any]:
        """Return a device's keys as the library takes them. Raises UnreadableError, ValueError."""
        if not isinstance(device, dict) or not is_id(device_id, ""):
            raise UnreadableError("no device")
        if (device.get("user_id"), device.get("device_id")) != (user_id, device_id):
            raise UnreadableError("another's device")
        keys = _parts(device, "keys")
        vodozemac.Ed25519PublicKey.from_base64(keys[f"ed25519:{device_id}"])
        vodozemac.Curve25519PublicKey.from_base64(keys[f"curve25519:{device_id}"])
        name = _parts(device, "unsigned").get("device_display_name")
        shown = clean(name)[:NAME_LIMIT] if isinstance(name, str) else ""
        checked = {**device, "unsigned": {"device_display_name": shown}}
        assert self.olm is not None
        own = user_id == self.user_id and device_id == self.device_id
        key = keys[f"ed25519:{device_id}"]
        is_signed = self.olm.verify_json(  # type: ignore[no-untyped-call] # nio's own
            dict(checked), key, user_id, device_id
        )
        if not own and not is_signed:
            raise UnreadableError("keys that their device has not signed")
        return checked

    async def _take_claimed(self, user_id: str, device_id: str, keys: object) -> None:
        response = nio.KeysClaimResponse({user_id: {device_id: keys}}, {})
        hand_over = partial(nio.Client.receive_response, self, response)
        self._contain(CLAIMED_KEYS, response.one_time_keys, hand_over, sender=user_id)

    # --- the stream ---

    def take_in(self, news: News) -> None:
        """Take in what a sync brings for encryption: keys, lists of devices, who is where."""
        if self.olm is None:
            return
        olm = self.olm
        assert self.store is not None
        # Together, or a key could be used up without the session that it begins being kept.
        with self.store.database.atomic():
            for source in news.to_device:
                self._contain(TO_DEVICE, source, partial(self._hand_over, source))
        if news.key_count is not None:
            olm.uploaded_key_count = news.key_count
        encrypted = [room for room in self.rooms.values() if room.encrypted]
        olm.add_changed_users(
            {user for user in news.changed_users if any(user in room.users for room in encrypted)}
        )

    def mirror(self, room_id: str, changes: Iterable[object], *, is_encrypted: bool) -> None:
        """Tell the library for whom it encrypts in a room: our book's members, nothing else."""
        if self.olm is None:
            return
        room = self.rooms.get(room_id)
        if room is None:
            room = self.rooms[room_id] = nio.MatrixRoom(room_id, self.user_id)
            # The stream tells all members of a room that we come into.
            room.members_synced = True
        has_changed = False
        for change in changes:
            if not isinstance(change, Membership):
                continue
            if change.state in PRESENT:
                has_changed |= room.add_member(change.user_id, None, None)
            else:
                has_changed |= room.remove_member(change.user_id)
        if has_changed:
            self.invalidate_outbound_session(room_id)
        if is_encrypted and not room.encrypted:
            room.encrypted = True
            self.encrypted_rooms.add(room_id)
            if self.store is not None:
                self.store.save_encrypted_rooms({room_id})
        if room.encrypted:
            self.olm.update_tracked_users(room)  # type: ignore[no-untyped-call] # nio's own

    def _hand_over(self, source: Mapping[str, Any]) -> None:
        event = nio.ToDeviceEvent.parse_event(dict(source))
        if event is None:
            return
        if isinstance(event, nio.BadEvent | nio.UnknownBadEvent):
            raise UnreadableError("no message to a device")
        assert self.olm is not None
        try:
            self.olm.handle_to_device_event(event)  # type: ignore[no-untyped-call] # nio's own
        except vodozemac.SessionCreationException:
            # The library asks a device to begin anew after any other failure to read it.
            key = _parts(source, "content").get("sender_key")
            self.olm._mark_device_for_unwedging(  # type: ignore[no-untyped-call] # nio's own
                event.sender, key
            )
            raise

    def _contain(
        self, place: str, thing: object, work: Callable[[], T], *, sender: object = None
    ) -> T | None:
        """Do what the library may break off; the thing that it broke off at is set aside."""
        try:
            return _guarded(work)
        except UnreadableError as problem:
            self.unreadable.append(set_aside(place, thing, str(problem), sender=sender))
            return None

    # --- what is sealed ---

    def open(self, source: Mapping[str, Any], room_id: str) -> dict[str, Any] | None:
        """Return what an encrypted event says; None where its key is (still) missing.

        Raises UnreadableError where no key would help.
        """
        event = self.sealed_event(source, room_id)
        if self.olm is None or not event.sender_key:
            return None

        def decrypt() -> Any:
            try:
                return self.decrypt_event(event).source
            except nio.EncryptionError:
                return None

        opened = _guarded(decrypt)
        return None if opened is None else admit_opened(source, opened)

    def has_key(self, source: Mapping[str, Any], room_id: str) -> bool:
        """Return whether an encrypted event's key is known; that costs less than to try it."""
        return bool(self._sender_of(room_id, _parts(source, "content").get("session_id")))

    def sealed_event(self, source: Mapping[str, Any], room_id: str) -> nio.MegolmEvent:
        """Return an encrypted event as the library wants it. Raises UnreadableError.

        From which key it is says the session that it belongs to; what it claims itself does not
        count. Senders may leave out from which device it is, too.
        """
        content = dict(_parts(source, "content"))
        if not isinstance(content.get("device_id"), str):
            content["device_id"] = ""
        content["sender_key"] = self._sender_of(room_id, content.get("session_id"))
        plain = {name: source.get(name) for name in ("event_id", "sender", "origin_server_ts")}
        parse = partial(
            nio.Event.parse_encrypted_event, {**plain, "type": SEALED, "content": content}
        )
        event: Any = _guarded(parse)
        if not isinstance(event, nio.MegolmEvent):
            raise UnreadableError("no encrypted event")
        event.room_id = room_id
        return event

    def _sender_of(self, room_id: str, session_id: object) -> str:
        if self.olm is None:
            return ""
        for sender_key, sessions in self.olm.inbound_group_store[room_id].items():
            if session_id in sessions:
                return str(sender_key)
        return ""


def _guarded(work: Callable[[], T]) -> T:
    """Return what the library makes of a stranger's thing. Raises UnreadableError, nothing else."""
    try:
        return work()
    except UnreadableError:
        raise
    except Exception as problem:
        raise UnreadableError(type(problem).__name__) from None
    except BaseException as problem:
        if type(problem).__name__ != "PanicException":  # how its compiled part gives up
            raise
        raise UnreadableError("PanicException") from None


def _parts(holder: object, name: str) -> Mapping[str, Any]:
    found = holder.get(name) if isinstance(holder, dict) else None
    return found if isinstance(found, dict) else {}
