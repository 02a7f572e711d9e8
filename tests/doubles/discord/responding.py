"""The double's interaction endpoints: the first response within 3 seconds, the rest within 15
minutes, judged by the double's clock.
"""

from __future__ import annotations

from typing import Any

from aiohttp import web

from tests.doubles.discord.limits import EPHEMERAL, modal_problems
from tests.doubles.discord.rest import Call, RefusalError, Rest
from tests.doubles.discord.shapes import message_json
from tests.doubles.discord.world import (
    FIRST_RESPONSE_WITHIN,
    TOKEN_LIVES,
    Channel,
    Interaction,
    Message,
)

MESSAGE, DEFERRED_MESSAGE, DEFERRED_UPDATE, UPDATE, CHOICES, MODAL = 4, 5, 6, 7, 8, 9
AUTOCOMPLETE, MODAL_SUBMIT = 4, 5


class Responding:
    def __init__(self, rest: Rest) -> None:
        self._rest = rest
        self._world = rest.world

    def routes(self) -> list[web.RouteDef]:
        callback = "/interactions/{interaction_id}/{interaction_token}/callback"
        hook = "/webhooks/{webhook_id}/{webhook_token}"
        return [
            self._rest.route("POST", callback, self._respond),
            self._rest.route("POST", hook, self._follow_up),
            self._rest.route("PATCH", f"{hook}/messages/@original", self._edit_original),
            self._rest.route("GET", f"{hook}/messages/@original", self._read_original),
            self._rest.route("PATCH", f"{hook}/messages/{{message_id}}", self._edit_one),
        ]

    async def _respond(self, call: Call) -> Any:
        interaction = self._world.interactions.get(call.values["interaction_id"])
        if interaction is None or interaction.token != call.values["interaction_token"]:
            raise RefusalError(404, 10062, "Unknown interaction")
        if interaction.responded is not None:
            raise RefusalError(400, 40060, "Interaction has already been acknowledged.")
        if self._world.now() - interaction.created_at > FIRST_RESPONSE_WITHIN:
            raise RefusalError(404, 10062, "Unknown interaction")
        kind, content = call.body["type"], call.body.get("data") or {}
        message = self._take(interaction, kind, content, call)
        interaction.responded = self._world.now()
        answered: dict[str, Any] = {"id": interaction.id, "type": interaction.kind}
        resource: dict[str, Any] = {"type": kind}
        if message is not None:
            answered["response_message_id"] = message.id
            resource["message"] = message_json(message)
        answered["response_message_loading"] = interaction.is_pending
        return {"interaction": answered, "resource": resource}

    def _take(
        self, interaction: Interaction, kind: int, content: dict[str, Any], call: Call
    ) -> Message | None:
        if (kind == CHOICES) != (interaction.kind == AUTOCOMPLETE):
            raise self._rest.ill_formed(f"response {kind} to an interaction {interaction.kind}")
        if kind == MESSAGE:
            return self._show(interaction, Call(call.values, call.query, content, call.files))
        if kind in (DEFERRED_UPDATE, UPDATE):
            if interaction.under is None:
                raise self._rest.ill_formed("an update of no message")
            interaction.original = interaction.under
            if kind == UPDATE:
                update = Call(call.values, call.query, content, call.files)
                return self._change(interaction, interaction.under, update)
            interaction.is_pending = True
        elif kind == DEFERRED_MESSAGE:
            interaction.is_pending = True
            interaction.announced_flags = content.get("flags") or 0
        elif kind == CHOICES:
            interaction.choices = content.get("choices") or []
            if len(interaction.choices) > 25:
                raise self._rest.ill_formed("more than 25 choices")
        elif kind == MODAL:
            if interaction.kind == MODAL_SUBMIT:
                raise self._rest.ill_formed("a modal in answer to a modal")
            for problem in modal_problems(content):
                raise self._rest.ill_formed(problem)
            interaction.modal = content
        else:
            raise self._rest.ill_formed(f"response type {kind}")
        return None

    def _change(self, interaction: Interaction, message: Message, call: Call) -> Message:
        """Edit a message in answer to an interaction: what is named anew is replaced, files too."""
        body = {**message.body, **call.body}
        body["flags"] = (body.get("flags") or 0) | message.flags & EPHEMERAL
        files = call.files if "attachments" in call.body else {**message.files, **call.files}
        self._rest.check_message(Call(call.values, call.query, body, files))
        message.body, message.files = body, files
        message.edits += 1
        if interaction.is_pending or message is interaction.under:
            interaction.messages.append(message)
        interaction.is_pending = False
        return message

    def _show(self, interaction: Interaction, call: Call) -> Message:
        self._rest.check_message(call)
        is_private = bool((call.body.get("flags") or 0) & EPHEMERAL)
        message = self._rest.store(
            self._channel(interaction), call, for_user=interaction.user.id if is_private else None
        )
        interaction.messages.append(message)
        interaction.original = interaction.original or message
        interaction.is_pending = False
        return message

    def _channel(self, interaction: Interaction) -> Channel:
        return self._world.channels[interaction.channel_id]

    def _by_token(self, call: Call) -> Interaction:
        token = call.values["webhook_token"]
        interaction = self._world.interactions.get(token.removeprefix("it-"))
        is_known = interaction is not None and interaction.token == token
        if not is_known or call.values["webhook_id"] != self._world.application_id:
            raise RefusalError(404, 10015, "Unknown Webhook")
        assert interaction is not None
        if self._world.now() - interaction.created_at > TOKEN_LIVES:
            raise RefusalError(401, 50027, "Invalid Webhook Token")
        if interaction.responded is None:
            raise RefusalError(404, 10015, "Unknown Webhook")
        return interaction

    async def _follow_up(self, call: Call) -> Any:
        return message_json(self._show(self._by_token(call), call))

    async def _edit_original(self, call: Call) -> Any:
        interaction = self._by_token(call)
        if interaction.original is None:
            call.body["flags"] = (call.body.get("flags") or 0) | interaction.announced_flags
            return message_json(self._show(interaction, call))
        return message_json(self._change(interaction, interaction.original, call))

    async def _edit_one(self, call: Call) -> Any:
        interaction = self._by_token(call)
        for message in interaction.messages:
            if message.id == call.values["message_id"]:
                return message_json(self._change(interaction, message, call))
        raise RefusalError(404, 10008, "Unknown Message")

    async def _read_original(self, call: Call) -> Any:
        original = self._by_token(call).original
        if original is None:
            raise RefusalError(404, 10008, "Unknown Message")
        return message_json(original)
