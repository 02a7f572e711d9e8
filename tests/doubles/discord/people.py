"""People on the double: they type commands, press, fill forms, write, and see what is theirs."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import TYPE_CHECKING, Any

from tests.doubles.discord.limits import TEXT_DISPLAY, TEXT_INPUT, walk
from tests.doubles.discord.shapes import channel_json, member_json, message_json
from tests.doubles.discord.shown import Control, Shown, read_plain, show
from tests.doubles.discord.world import Channel, Guild, Interaction, Message, User

if TYPE_CHECKING:
    from tests.doubles.discord.double import DiscordDouble

COMMAND, COMPONENT, AUTOCOMPLETE, SUBMIT = 2, 3, 4, 5
FILE_UPLOAD, ATTACHMENT = 19, 11
_OPTION_KINDS = {"member": 6, "channel": 7}


class FilledIn:
    """A modal on a person's screen: its fields as they stand."""

    def __init__(self, modal: dict[str, Any], under: Message | None = None) -> None:
        self.under = under
        self.custom_id = str(modal["custom_id"])
        self.title = str(modal["title"])
        every = list(walk(modal["components"]))
        self.text = read_plain("\n".join(e["content"] for e in every if e["type"] == TEXT_DISPLAY))[
            0
        ]
        self.fields = {
            str(each["custom_id"]): str(each.get("value") or "")
            for each in every
            if each["type"] == TEXT_INPUT
        }
        self.uploads = [str(each["custom_id"]) for each in every if each["type"] == FILE_UPLOAD]
        self.labels = [str(each["label"]) for each in every if each["type"] == 18]


class Person:
    def __init__(self, double: DiscordDouble, user: User, channel: Channel) -> None:
        self._double = double
        self.user = user
        self.channel = channel

    # --- acting: each returns when the bot has answered ---

    async def command(
        self, name: str, *, at: datetime | None = None, **options: object
    ) -> Interaction:
        """Use a slash command; `post_time` stands for the option `post-time`."""
        return await self._answered(await self.start_command(name, at=at, **options))

    async def start_command(
        self, name: str, *, at: datetime | None = None, **options: object
    ) -> Interaction:
        """Use a slash command and do not wait for the answer."""
        typed = self._typed(name, options)
        assert self._is_shown(name.split(" ")[0]), f"{self.user.name} is not shown /{name}"
        return await self._interact(COMMAND, typed, at=at)

    def _is_shown(self, command: str) -> bool:
        """Tell whether the service lets them use a command: by its default, or by the server's
        settings under Integrations."""
        world = self._double.world
        needed = next(
            (each.get("default_member_permissions") for each in world.commands
             if each["name"] == command), None,
        )  # fmt: skip
        held = world.permissions_of(self.user.id, self.channel)
        return needed is None or bool(held & int(needed)) or self.user.id in world.may_command

    async def complete(self, name: str, option: str, text: str, **others: object) -> list[str]:
        """Type into an option and return what is offered."""
        typed = self._typed(name, {**others, option: text})
        inner = typed["options"][0].get("options", typed["options"])
        for each in inner:
            if each["name"] == option.replace("_", "-"):
                each["focused"] = True
        interaction = await self._answered(await self._interact(AUTOCOMPLETE, typed))
        return [str(choice["value"]) for choice in interaction.choices or ()]

    async def press(self, shown: Shown, label: str, *, at: datetime | None = None) -> Interaction:
        return await self._answered(await self.start_press(shown, label, at=at))

    async def start_press(
        self, shown: Shown, label: str, *, at: datetime | None = None
    ) -> Interaction:
        """Press a button and do not wait for the answer."""
        typed = {"custom_id": shown.control(label).custom_id, "component_type": 2}
        return await self._interact(COMPONENT, typed, under=shown, at=at)

    async def press_id(
        self, custom_id: str, shown: Shown, *, at: datetime | None = None
    ) -> Interaction:
        typed = {"custom_id": custom_id, "component_type": 2}
        return await self._answered(await self._interact(COMPONENT, typed, under=shown, at=at))

    async def choose(self, shown: Shown, label: str, value: str) -> Interaction:
        control: Control = shown.control(label)
        kind = 3 if control.options else 8
        typed: dict[str, Any] = {
            "custom_id": control.custom_id, "component_type": kind, "values": [value],
        }  # fmt: skip
        return await self._answered(await self._interact(COMPONENT, typed, under=shown))

    async def pick(self, shown: Shown, label: str, *ids: str) -> Interaction:
        """Pick people or roles, whom the menu holds, from a menu of the server's own."""
        control: Control = shown.control(label)
        typed: dict[str, Any] = {
            "custom_id": control.custom_id, "component_type": control.kind, "values": list(ids),
        }  # fmt: skip
        return await self._answered(await self._interact(COMPONENT, typed, under=shown))

    async def submit(
        self,
        form: FilledIn,
        *,
        at: datetime | None = None,
        messages: int = 1,
        file: bytes = b"",
        **fields: str,
    ) -> Interaction:
        """Send a form, with these fields typed over and a file in the field for one; the answer has
        so many messages."""
        texts = {**form.fields, **fields}
        labels = [
            {"type": 18, "id": number + 2, "component": {
                "type": 4, "id": number + 20, "custom_id": name, "value": text}}
            for number, (name, text) in enumerate(texts.items())
        ]  # fmt: skip
        sent = self._double.world.keep_file(file) if file else None
        labels += [
            {"type": 18, "id": number + 50, "component": {
                "type": FILE_UPLOAD, "id": number + 60, "custom_id": name,
                "values": [sent["id"]] if sent else []}}
            for number, name in enumerate(form.uploads)
        ]  # fmt: skip
        typed: dict[str, Any] = {
            "custom_id": form.custom_id, "components": [{"type": 10, "id": 1}, *labels],
        }  # fmt: skip
        if sent:
            typed["resolved"] = {"attachments": {sent["id"]: sent}}
        interaction = await self._interact(SUBMIT, typed, under=form.under, at=at)
        await self._double.until(
            lambda: interaction.is_settled and len(interaction.messages) >= messages,
            f"{messages} messages in answer to {interaction.id}",
        )
        return interaction

    async def craft(
        self, kind: int, typed: Any, *, place: Channel | None = None, **envelope: Any
    ) -> Interaction:
        """Send whatever a hostile client could, and whatever the service never would: `typed` as
        it stands, and parts of the envelope replaced; the answer goes to the true place, and is
        not waited for."""
        world = self._double.world
        interaction = world.add_interaction(kind, self.user, (place or self.channel).id, None)
        payload = {**self.payload(interaction, typed), **envelope}
        await self._double.deliver_interaction(interaction, payload)
        return interaction

    async def write(
        self, text: str, *, at: datetime | None = None, reply_to: Message | None = None
    ) -> Message:
        """Write in the open; nothing is waited for. A reply pings whom it replies to."""
        world, bot = self._double.world, self._double.world.bot
        mentioned = f"<@{bot.id}>" in text or (reply_to is not None and reply_to.author is bot)
        body = {"content": text, "mentions": [bot.payload()] if mentioned else []}
        if reply_to is not None:
            body["reply_to"] = reply_to.id
        message = Message(world.ids.next(at), self.channel.id, self.user, body)
        self.channel.messages[message.id] = message
        await self._double.deliver(message, sees_content=mentioned)
        return message

    async def write_directly(self, text: str, file: bytes = b"") -> Message:
        """Write to the bot alone, with a file where there is one; nothing is waited for."""
        world = self._double.world
        channel = world.direct_channel(self.user)
        body: dict[str, Any] = {"content": text}
        if file:
            body["sent"] = [world.keep_file(file)]
        message = Message(world.ids.next(), channel.id, self.user, body)
        channel.messages[message.id] = message
        await self._double.deliver(message, sees_content=True)
        return message

    # --- seeing ---

    def sees(self, channel: Channel | None = None) -> list[Shown]:
        """Return what this person sees of a channel now, oldest first, private answers included."""
        place = channel or self.channel
        found = [*place.messages.values(), *self._private(place.id)]
        return [show(each) for each in sorted(found, key=lambda each: int(each.id))]

    def direct(self) -> list[Shown]:
        """Return what the bot wrote to this person directly."""
        channel = self._double.world.direct_channel(self.user)
        bot = self._double.world.bot
        return [show(each) for each in channel.messages.values() if each.author is bot]

    def _private(self, channel_id: str) -> list[Message]:
        private = {
            message.id: message
            for interaction in self._double.world.interactions.values()
            if interaction.user is self.user and interaction.channel_id == channel_id
            for message in interaction.messages
            if message.for_user is not None
        }
        return list(private.values())

    # --- wire ---

    def _typed(self, name: str, options: Mapping[str, object]) -> dict[str, Any]:
        top, _, sub = name.partition(" ")
        registered = {command["name"] for command in self._double.world.commands}
        assert top in registered, f"no command {top} among {sorted(registered)}"
        files = {
            key: self._double.world.keep_file(value)
            for key, value in options.items()
            if isinstance(value, bytes)
        }
        made = [
            {
                "name": key.replace("_", "-"),
                "type": self._kind(name, key),
                "value": files[key]["id"] if key in files else str(value),
            }
            for key, value in options.items()
        ]
        if sub:
            made = [{"name": sub, "type": 1, "options": made}]
        typed = {"id": "1", "name": top, "type": 1, "options": made}
        if files:
            typed["resolved"] = {"attachments": {each["id"]: each for each in files.values()}}
        return typed

    def _kind(self, name: str, option: str) -> int:
        top, _, sub = name.partition(" ")
        (command,) = [each for each in self._double.world.commands if each["name"] == top]
        options = command.get("options") or []
        if sub:
            (inner,) = [each for each in options if each["name"] == sub]
            options = inner.get("options") or []
        kinds = {each["name"]: int(each["type"]) for each in options}
        assert option.replace("_", "-") in kinds, f"{name} has no option {option}"
        return kinds[option.replace("_", "-")]

    async def _interact(
        self,
        kind: int,
        typed: dict[str, Any],
        *,
        under: Shown | Message | None = None,
        at: datetime | None = None,
    ) -> Interaction:
        world = self._double.world
        place = world.channels[under.channel_id] if under is not None else self.channel
        interaction = world.add_interaction(kind, self.user, place.id, at)
        interaction.under = None if under is None else world.message(place, under.id)
        await self._double.deliver_interaction(interaction, self.payload(interaction, typed))
        return interaction

    def payload(self, interaction: Interaction, typed: dict[str, Any]) -> dict[str, Any]:
        world = self._double.world
        place = world.channels[interaction.channel_id]
        content: dict[str, Any] = {
            "id": interaction.id,
            "application_id": world.application_id,
            "type": interaction.kind,
            "data": typed,
            "token": interaction.token,
            "version": 1,
            "channel_id": place.id,
            "channel": channel_json(place, world),
            "app_permissions": str(world.permissions_of(world.bot.id, place)),
            "locale": "en-US",
            "entitlements": [],
            "authorizing_integration_owners": {},
            "attachment_size_limit": 10485760,
        }
        if interaction.under is not None:
            content["message"] = message_json(interaction.under)
        if place.guild_id is None:
            return {**content, "user": self.user.payload(), "context": 1}
        guild: Guild = world.guilds[place.guild_id]
        member = member_json(guild, self.user)
        member["permissions"] = str(world.permissions_of(self.user.id, place))
        return {**content, "guild_id": guild.id, "member": member, "context": 0}

    async def _answered(self, interaction: Interaction) -> Interaction:
        await self._double.until(lambda: interaction.is_settled, f"an answer to {interaction.id}")
        return interaction


def form_of(interaction: Interaction) -> FilledIn:
    assert interaction.modal is not None, [show(each).text for each in interaction.messages]
    return FilledIn(interaction.modal, interaction.under)


def answer_of(interaction: Interaction) -> Shown:
    """Return the last message of an answer."""
    assert interaction.messages, interaction.modal
    return show(interaction.messages[-1])
