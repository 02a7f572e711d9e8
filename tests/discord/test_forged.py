"""Ids that name another server's club, in every kind of interaction and every place of an id.

Rowan leads a club in a server of their own. Maple Street's club is in another server, and Rowan's
client sends whatever it likes. Nothing of Maple Street may change, and nothing of it be told.
"""

from __future__ import annotations

import copy
import sqlite3
from collections import Counter
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass
from random import Random
from typing import Any

import pytest

from bot.wording.discord import DISCORD
from tests.bot.club.stories import EASY_SOLUTION, crook_puzzle
from tests.discord.conftest import Bench
from tests.doubles.discord.gateway import GUILD_MESSAGES
from tests.doubles.discord.people import AUTOCOMPLETE, COMMAND, COMPONENT, SUBMIT, Person, answer_of
from tests.doubles.discord.shapes import channel_json, member_json, message_json
from tests.doubles.discord.world import VIEW_CHANNEL, Channel, Interaction, Message

BUTTON, MENU, CHANNEL_MENU = 2, 3, 8
LINES = (
    "club setup name=Stolen", "club setup", "club preview 3", "club report", "club queue",
    "club plan", "club post-now", "club pause", "club turning 2026-11-23", "today", "start",
    "board", "hint board", "check", "leaderboard week", "walkthrough 2026-11-22", "me",
    "privacy erase", f"hand-in {EASY_SOLUTION}",
)  # fmt: skip


@dataclass
class Scene:
    """`maple`: the club that is attacked; `hazel`: the attacker's own; `lane`: a channel of the
    attacked server without a club."""

    bench: Bench
    maple: Channel
    lane: Channel
    hazel: Channel
    rowan: Person
    ada: Person

    async def sent(self, who: Person, kind: int, typed: Any, **more: Any) -> Interaction:
        return await self.bench.answered(await who.craft(kind, typed, **more))

    def maples(self) -> list[tuple[Any, ...]]:
        """Return all that is kept of Maple Street's club, and which clubs there are."""
        with closing(sqlite3.connect(self.bench.database)) as database:
            ((club,),) = database.execute("SELECT id FROM club WHERE room_id=?", [self.maple.id])
            rows = database.execute("SELECT room_id FROM club ORDER BY id").fetchall()
            rows += database.execute("SELECT * FROM club WHERE id = ?", [club]).fetchall()
            for table in ("member", "queue", "day", "notice", "event"):
                select = f"SELECT * FROM {table} WHERE club_id = ? ORDER BY id"
                rows += database.execute(select, [club]).fetchall()
            rows += database.execute("SELECT * FROM entry ORDER BY id").fetchall()
        return rows


@pytest.fixture
async def scene(bench: Bench, club: Channel) -> Scene:
    hazel = bench.double.add_club("Hazel Lane")
    bench.add_club(hazel, name="Hazel Lane")
    await bench.queue(hazel, crook_puzzle())
    lane = bench.double.world.add_channel(bench.double.guild_of(club), "lane")
    rowan = bench.double.person("Rowan", hazel, leads=True)
    ada = bench.double.person("Ada", club)
    await bench.start()
    await bench.tick()
    await ada.command("start")
    return Scene(bench, club, lane, hazel, rowan, ada)


def pressed(custom_id: str, *values: str, kind: int = BUTTON) -> dict[str, Any]:
    return {"custom_id": custom_id, "component_type": kind, "values": list(values)}


def form(custom_id: str, **fields: str) -> dict[str, Any]:
    rows = [
        {"type": 18, "id": 1, "component": {
            "type": 4, "id": 2, "custom_id": name, "value": value}}
        for name, value in fields.items()
    ]  # fmt: skip
    return {"custom_id": custom_id, "components": rows}


def typed(command: str, **options: tuple[int, str]) -> dict[str, Any]:
    top, _, sub = command.partition(" ")
    given = [{"name": key, "type": kind, "value": value} for key, (kind, value) in options.items()]
    inner = [{"name": sub, "type": 1, "options": given}] if sub else given
    return {"id": "1", "name": top, "type": 1, "options": inner}


Forgery = tuple[int, dict[str, Any], dict[str, Any]]
"""The kind of interaction, what the client sends, and what of the envelope is replaced."""


def envelopes(scene: Scene) -> dict[str, dict[str, Any]]:
    """Return envelopes that contradict themselves: the service sends none of these."""
    world = scene.bench.double.world
    maple = channel_json(scene.maple, world)
    under = {**channel_json(scene.hazel, world), "id": "12345678901234567", "type": 11}
    under |= {"parent_id": scene.maple.id, "owner_id": "1", "member_count": 1, "message_count": 1}
    under["thread_metadata"] = {
        "archived": False, "auto_archive_duration": 60, "locked": False,
        "archive_timestamp": "2026-11-23T12:00:00+00:00",
    }  # fmt: skip
    return {
        "channel": {"channel_id": scene.maple.id, "channel": maple},
        "thread's parent": {"channel_id": under["id"], "channel": under},
        "application": {"application_id": "987654321"},
    }


def forgeries(scene: Scene, line: str) -> Iterator[tuple[str, Forgery]]:
    """Yield every kind of interaction with every id in it that could name Maple Street."""
    maple, lane, hazel = scene.maple.id, scene.lane.id, scene.hazel.id
    to_maple, empty = f"nb:{maple}:{line}"[:100], {}  # type: tuple[str, dict[str, Any]]
    yield "button, room", (COMPONENT, pressed(to_maple), empty)
    yield "menu, room", (COMPONENT, pressed(to_maple, "x", kind=MENU), empty)
    yield "form, room", (SUBMIT, form(to_maple, grid="1" * 81, answer="1"), empty)
    yield "founding menu, club's channel", (
        COMPONENT, pressed("nb-found", maple, kind=CHANNEL_MENU), empty)  # fmt: skip
    yield "founding menu, plain channel", (
        COMPONENT, pressed("nb-found", lane, kind=CHANNEL_MENU), empty)  # fmt: skip
    for what, room in (("club's", maple), ("plain", lane)):
        setup = typed("club setup", name=(3, "Stolen"), channel=(7, room))
        yield f"command, {what} channel", (COMMAND, setup, empty)
    resolved = {"channels": {maple: {"id": maple, "type": 0, "name": "x", "permissions": "8"}}}
    setup = typed("club setup", channel=(7, maple))
    yield "command, resolved channel", (COMMAND, {**setup, "resolved": resolved}, empty)
    for where, envelope in envelopes(scene).items():
        yield f"button, {where}", (COMPONENT, pressed(to_maple), envelope)
        yield f"form, {where}", (SUBMIT, form(to_maple), envelope)
        yield f"command, {where}", (COMMAND, typed("club setup", name=(3, "Stolen")), envelope)
    message = message_json(Message("1", maple, scene.ada.user, {}))
    yield "button, message's channel", (COMPONENT, pressed(to_maple), {"message": message})
    yield "form, message's channel", (SUBMIT, form(to_maple), {"message": message})
    own = f"nb:{hazel}:"
    yield "button, room twice", (COMPONENT, pressed(f"{own}nb:{maple}:{line}"[:100]), empty)
    yield "menu, room as a value", (
        COMPONENT, pressed(f"{own}club setup ", f"nb:{maple}:x", kind=MENU), empty)  # fmt: skip
    yield "form, room as a field", (
        SUBMIT, form(f"{own}club queue", room_id=maple, grid=f"nb:{maple}:x"), empty)  # fmt: skip
    yield "command, server's id", (COMMAND, {**typed("today"), "guild_id": maple}, empty)
    result = typed("club result", member=(6, scene.ada.user.id), verdict=(3, "unrank"))
    yield "command, member", (COMMAND, result, empty)
    yield "command on a message", (
        COMMAND, {**typed("today"), "type": 3, "target_id": maple}, empty)  # fmt: skip
    yield "autocomplete, channel", (
        AUTOCOMPLETE, typed("club setup", channel=(7, maple), zone=(3, "Eur")), empty)  # fmt: skip


OWN = ("room twice", "as a value", "as a field", "server's id", "command, member")
"""Those that name their own club, and hold the other's id where none is looked for."""

REFUSALS = (DISCORD.foreign, DISCORD.stale, DISCORD.leaders_only)


def tells_of_maple(scene: Scene, interaction: Interaction) -> bool:
    shown = [answer_of(interaction)] if interaction.messages else []
    texts = [each.text + each.code + "".join(each.alts) for each in shown]
    return any(word in text for text in texts for word in ("Maple", "Ada", "5 3 blank blank 7"))


async def test_no_id_in_any_interaction_reaches_a_club_of_another_server(
    scene: Scene, caplog: pytest.LogCaptureFixture
) -> None:
    before = scene.maples()
    every = [(line, *each) for line in LINES for each in forgeries(scene, line)]
    for line, place, (kind, sent, envelope) in every:
        name = f"{place}: {line}"
        caplog.clear()
        interaction = await scene.sent(scene.rowan, kind, sent, **envelope)
        assert scene.maples() == before, name
        assert not tells_of_maple(scene, interaction), (name, interaction.messages)
        if kind == AUTOCOMPLETE or place.endswith(OWN):
            continue
        assert answer_of(interaction).text in REFUSALS, name
        (refused,) = [each for each in caplog.messages if "was refused" in each]
        assert interaction.id in refused, name


async def test_who_owns_a_channel_is_asked_of_the_server_and_a_stranger_there_gets_nothing(
    scene: Scene,
) -> None:
    """The same press by a leader of the club's own server counts."""
    willow = scene.bench.double.person("Willow", scene.maple, leads=True)
    press = pressed(f"nb:{scene.maple.id}:club setup name=Maple")
    assert "name: Maple" in answer_of(await scene.sent(willow, COMPONENT, press)).text
    willow.channel = scene.lane
    assert "name: Maple" in answer_of(await scene.sent(willow, COMPONENT, press)).text


async def test_a_channel_that_a_member_cannot_see_is_closed_to_their_presses_too(
    bench: Bench, club: Channel
) -> None:
    hall = bench.double.world.add_channel(bench.double.guild_of(club), "hall")
    club.denied_to_all = VIEW_CHANNEL
    ada = bench.double.person("Ada", hall)
    await bench.start()
    await bench.tick()
    press = pressed(f"nb:{club.id}:today")
    assert (
        answer_of(await bench.answered(await ada.craft(COMPONENT, press))).text == DISCORD.foreign
    )
    assert answer_of(await ada.command("today")).text == DISCORD.no_club
    direct = bench.double.world.direct_channel(ada.user)
    assert (
        answer_of(await bench.answered(await ada.craft(COMPONENT, press, place=direct))).text
        == DISCORD.foreign
    )
    await ada.write_directly("today")
    await bench.double.until(lambda: bool(ada.direct()), "an answer")
    assert ada.direct()[-1].text == DISCORD.no_club_direct


async def test_a_press_in_a_direct_message_counts_for_members_of_the_clubs_server_alone(
    scene: Scene, caplog: pytest.LogCaptureFixture
) -> None:
    direct = scene.bench.double.world.direct_channel(scene.rowan.user)
    before = scene.maples()
    ids = [f"nb:{scene.maple.id}:{line}"[:100] for line in LINES]
    for kind, sent in [
        *((COMPONENT, pressed(to_maple)) for to_maple in ids),
        *((COMPONENT, pressed(to_maple, "x", kind=MENU)) for to_maple in ids),
        *((SUBMIT, form(to_maple, grid="1")) for to_maple in ids),
    ]:
        caplog.clear()
        refused = await scene.sent(scene.rowan, kind, sent, place=direct)
        assert answer_of(refused).text == DISCORD.foreign
        assert any(refused.id in each for each in caplog.messages)
    for room in (scene.maple.id, scene.hazel.id, direct.id):
        founding = pressed("nb-found", room, kind=CHANNEL_MENU)
        answer = answer_of(await scene.sent(scene.rowan, COMPONENT, founding, place=direct))
        assert answer.text == DISCORD.leaders_only
    assert scene.maples() == before


async def test_who_leads_is_asked_in_a_direct_message_too_and_a_conversation_without_us_is_none(
    scene: Scene,
) -> None:
    direct = scene.bench.double.world.direct_channel(scene.rowan.user)
    own = pressed(f"nb:{scene.hazel.id}:club setup")
    assert (
        "name: Hazel Lane"
        in answer_of(await scene.sent(scene.rowan, COMPONENT, own, place=direct)).text
    )
    elsewhere = await scene.sent(scene.rowan, COMPONENT, own, place=direct, context=2)
    assert answer_of(elsewhere).text == DISCORD.foreign
    group = {"id": "77777777777777777", "type": 3, "recipients": [], "flags": 0}
    in_group = await scene.sent(
        scene.rowan, COMPONENT, own, place=direct, channel=group, channel_id=group["id"]
    )
    assert answer_of(in_group).text == DISCORD.foreign
    place = scene.bench.double.world.direct_channel(scene.ada.user)
    press = pressed(f"nb:{scene.maple.id}:club setup name=Stolen")
    assert "leaders" in answer_of(await scene.sent(scene.ada, COMPONENT, press, place=place)).text
    # Who has left the server is no member any more, whatever their old buttons say.
    del scene.bench.double.guild_of(scene.maple).members[scene.ada.user.id]
    board = pressed(f"nb:{scene.maple.id}:board")
    assert (
        answer_of(await scene.sent(scene.ada, COMPONENT, board, place=place)).text
        == DISCORD.foreign
    )


async def test_a_line_written_directly_goes_to_no_club_that_its_writer_is_not_in(
    scene: Scene,
) -> None:
    before = scene.maples()
    for line in LINES:
        there = len(scene.rowan.direct())
        await scene.rowan.write_directly(line)
        await scene.bench.double.until(
            lambda there=there: len(scene.rowan.direct()) > there,  # type: ignore[misc]
            f"an answer to {line}",
        )
        assert scene.rowan.direct()[-1].text == DISCORD.no_club_direct
    assert scene.maples() == before


async def test_a_message_counts_where_its_server_has_the_channel_and_a_person_wrote_it(
    scene: Scene,
) -> None:
    double, rowan = scene.bench.double, scene.rowan
    guild = double.guild_of(scene.hazel)
    mention = f"<@{double.world.bot.id}> club setup name=Stolen"
    body = {"content": mention, "mentions": [double.world.bot.payload()]}

    async def deliver(channel_id: str, **more: Any) -> None:
        message = Message(double.world.ids.next(), channel_id, rowan.user, body)
        content = {
            **message_json(message), "guild_id": guild.id,
            "member": member_json(guild, rowan.user), **more,
        }  # fmt: skip
        await double.gateway.dispatch("MESSAGE_CREATE", content, guild.id, intent=GUILD_MESSAGES)

    before = scene.maples()
    own = scene.hazel.id
    await deliver(scene.maple.id)
    await deliver(own, webhook_id="1")
    await deliver(own, type=6)
    await deliver(own, guild_id="99999999999999999")
    await rowan.command("today")
    assert not rowan.direct()
    await deliver(own)
    await double.until(lambda: bool(rowan.direct()), "an answer to the true one")
    assert scene.maples() == before


def _places(value: Any, path: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    """Yield the path of every value inside a payload."""
    if path:
        yield path
    for key in value if isinstance(value, dict) else range(len(value) if _is_list(value) else 0):
        yield from _places(value[key], (*path, key))


def _is_list(value: Any) -> bool:
    return isinstance(value, list)


def _mutate(rng: Random, sent: dict[str, Any], pool: list[Any]) -> dict[str, Any]:
    sent = copy.deepcopy(sent)
    for _ in range(rng.randint(1, 3)):
        *front, last = rng.choice(list(_places(sent)))
        place: Any = sent
        for key in front:
            place = place[key]
        if rng.random() < 0.15 and isinstance(place, dict):
            del place[last]
        else:
            place[last] = copy.deepcopy(rng.choice(pool))
        if not sent:
            break
    return sent


async def fuzz(
    scene: Scene, count: int, seed: int, caplog: pytest.LogCaptureFixture, seen: Counter[str]
) -> None:
    rng, double, maple = Random(seed), scene.bench.double, scene.maple.id
    deep: Any = {"type": 18, "component": {"type": 4, "custom_id": "x", "value": "y"}}
    for _ in range(60):
        deep = {"type": 1, "components": [deep]}
    before = scene.maples()
    direct = double.world.direct_channel(scene.rowan.user)
    for number in range(count):
        line = rng.choice(LINES)
        pool: list[Any] = [
            maple, scene.lane.id, int(maple), scene.ada.user.id, f"nb:{maple}:{line}", "nb-found",
            f"nb:{maple}", "nb::", "", "x" * 7000, None, True, -1, 1.5, [], {}, [maple], [[maple]],
            {"id": maple}, "\ud7ff\u202e\x00", [deep], "9" * 30, "\u0663", "0", line,
        ]  # fmt: skip
        name, (kind, sent, envelope) = rng.choice(list(forgeries(scene, line)))
        place = rng.choice((None, direct)) if not envelope else None
        caplog.clear()
        if rng.random() < 0.7:
            sent = _mutate(rng, sent, pool)
        crafted = await scene.rowan.craft(kind, sent, place=place, **envelope)
        await double.until(lambda: crafted.is_settled or _is_left_out(caplog), "what came of it")  # noqa: B023 - called at once
        assert not tells_of_maple(scene, crafted), (number, name)
        seen[_came_of(crafted)] += 1
    assert scene.maples() == before
    assert len(double.gateway.identifies) == 1, "the connection has outlived them all"


def _is_left_out(caplog: pytest.LogCaptureFixture) -> bool:
    return any("could not be read" in each for each in caplog.messages)


def _came_of(interaction: Interaction) -> str:
    if not interaction.is_settled:
        return "no interaction for the library"
    if not interaction.messages:
        return "choices or a form"
    known = {DISCORD.foreign: "foreign", DISCORD.stale: "stale", DISCORD.leaders_only: "leaders"}
    return known.get(answer_of(interaction).text, "own club")


async def test_whatever_is_put_into_an_interaction_is_answered_and_reaches_no_other_club(
    scene: Scene, caplog: pytest.LogCaptureFixture, fired: Counter[str]
) -> None:
    await fuzz(scene, 300, 9, caplog, fired)
    assert min(fired["foreign"], fired["stale"], fired["own club"]) >= 20


@pytest.mark.long
async def test_the_same_for_many_more_interactions(
    scene: Scene, caplog: pytest.LogCaptureFixture, fired: Counter[str]
) -> None:
    await fuzz(scene, 20_000, 10, caplog, fired)
    assert min(fired["foreign"], fired["stale"], fired["own club"]) >= 1000
