"""What the bot gives of its keys: which are out, who has them, and what else devices are sent.

The library takes an answer without JSON for a success, says nothing of whoever did not get a key,
and saves a key after it is out. Here what fails stays due, what a homeserver refuses is let go of,
and what somebody may use has been saved before.
"""

from __future__ import annotations

import logging
from collections.abc import Iterable, Mapping
from typing import Any

import nio

from bot.platforms.matrix.errors import LimitedError, as_room_errors, unwrap
from bot.platforms.matrix.json import parse_json
from bot.platforms.matrix.renewing import RenewingClient
from bot.platforms.message import PlatformRefusedError, RoomError, RoomUnreachableError

MOST_QUEUED = 100
"""Messages to devices that wait to be sent; of more, the oldest are let go of."""

_LOG = logging.getLogger("ninebark.matrix")


class GivingClient(RenewingClient):
    """The library's client, of whose requests for encryption each fails by itself."""

    async def parse_body(self, transport_response: Any) -> dict[Any, Any]:
        """Return what was answered; {} where that is no JSON, however deep or long it is."""
        found = parse_json(await transport_response.read())
        return found if isinstance(found, dict) else {}

    async def create_matrix_response(
        self, response_class: Any, transport_response: Any, data: Any = None, save_to: Any = None
    ) -> Any:
        """Read an answer. One that is no success by its status is none, whatever it holds."""
        response: Any
        if 200 <= transport_response.status < 300:
            response = await super().create_matrix_response(
                response_class, transport_response, data, save_to
            )
        else:
            said = await self.parse_body(transport_response)
            code, text = str(said.get("errcode", "")), str(said.get("error", ""))
            response = nio.ErrorResponse(text, code, said.get("retry_after_ms"))
            response.transport_response = transport_response
        if response_class is nio.ShareGroupSessionResponse and data:
            self._note_refusal(response, *data)
        return response

    async def keys_upload(self) -> Any:
        """Upload the keys that are due; both halves of them are saved before anybody can use one.

        Whether it goes well or not, they are never offered again: a homeserver refuses another key
        of a number that it has, and else one upload that came to nothing would grow the next.
        """
        assert self.olm is not None
        keys = self.olm.share_keys()
        self.olm.mark_keys_as_published()
        self.olm.save_account()
        method, path, body = nio.Api.keys_upload(self.access_token, keys)
        return await self._send(nio.KeysUploadResponse, method, path, body)

    async def send_queued(self) -> None:
        """Send what waits for devices, each by itself; what cannot be sent now stays.

        Raises LimitedError and PlatformRefusedError, of which the next would be told, too.
        """
        queue = self.outgoing_to_device_messages
        del queue[:-MOST_QUEUED]
        for message in tuple(queue):
            try:
                with as_room_errors():
                    unwrap(await self.to_device(message))
            except (LimitedError, PlatformRefusedError):
                raise
            except Exception as problem:
                _LOG.warning(
                    "a message to a device of %s was not sent: %s: %s",
                    message.recipient, type(problem).__name__, problem,
                )  # fmt: skip
                if not isinstance(problem, RoomUnreachableError):
                    queue.remove(message)

    async def keys_claim(self, user_set: Mapping[str, Iterable[str]]) -> Any:
        """Claim keys of devices. Raises RoomUnreachableError: without them nobody is told more."""
        answer = await super().keys_claim(user_set)
        try:
            unwrap(answer)
        except RoomUnreachableError:
            raise
        except RoomError as problem:
            _LOG.warning("keys could not be claimed: %s", problem)
        return answer

    async def claim_wanted(self) -> Any:
        """Ask once for the keys of devices that we want to reach anew."""
        assert self.olm is not None
        answer = await self.keys_claim(self.get_users_for_key_claiming())
        if not isinstance(answer, nio.ErrorResponse):
            # A device whose key did not come, or was none, wants something again by itself.
            self.olm.wedged_devices.clear()
            self.olm.key_request_devices_no_session.clear()
        return answer

    async def share_group_session(self, room_id: str, *arguments: Any, **options: Any) -> Any:
        """Give a room's members its key; a failure on the way is the next one's fresh start.

        Raises RoomUnreachableError while somebody who can be reached has not got it.
        """
        is_under_way = room_id in self.sharing_session
        try:
            answer = await super().share_group_session(room_id, *arguments, **options)
        except BaseException:
            # The library would let everybody who writes there wait for ever.
            left = None if is_under_way else self.sharing_session.pop(room_id, None)
            if left is not None:
                left.set()
            raise
        without = self._count_without_key(room_id)
        if without:
            assert self.olm is not None
            self.olm.outbound_group_sessions[room_id].shared = False
            raise RoomUnreachableError(f"{without} devices are without the key of {room_id}")
        return answer

    def _count_without_key(self, room_id: str) -> int:
        """Return how many devices that were to be given a room's key have not been."""
        olm = self.olm
        assert olm is not None
        session = olm.outbound_group_sessions[room_id]
        done = session.users_shared_with | session.users_ignored
        return sum(
            (user_id, device.id) not in done
            and device.id != self.device_id
            and olm.session_store.get(device.curve25519) is not None
            and not olm.is_device_blacklisted(device)
            for user_id in self.rooms[room_id].users
            for device in olm.device_store.active_user_devices(user_id)
        )

    def _note_refusal(self, answer: object, room_id: str, devices: Iterable[Any]) -> None:
        """Let go of devices whose key the homeserver refuses to pass on: it would again."""
        try:
            unwrap(answer)
        except (RoomUnreachableError, PlatformRefusedError):
            return
        except RoomError as problem:
            _LOG.warning("the key of %s was refused: %s", room_id, problem)
            assert self.olm is not None
            self.olm.outbound_group_sessions[room_id].users_ignored.update(devices)
