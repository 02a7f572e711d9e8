"""Who leads a club in Discord: a role or people whom the club names, or whom the server lets."""

from __future__ import annotations

from bot.wording.leading import MORE_SETTINGS
from tests.discord.conftest import Bench
from tests.discord.test_directly import told
from tests.discord.test_stories import KEY
from tests.doubles.discord.people import Person, answer_of
from tests.doubles.discord.world import EVERYONE, Channel, Role

MORE = MORE_SETTINGS.label


def put_in_role(bench: Bench, person: Person) -> Role:
    """Give somebody a new role that may do nothing more than others."""
    guild = bench.double.guild_of(person.channel)
    role = Role(bench.double.world.ids.next(), "Solvers' circle", EVERYONE)
    guild.roles.append(role)
    guild.members[person.user.id] = [role.id]
    return role


async def a_club_of_four(
    bench: Bench, club: Channel
) -> tuple[Person, Person, Person, Person, Role]:
    """Return who leads, three who do not, and the role that the second of them is in."""
    rowan = bench.double.person("Rowan", club, leads=True)
    ada, ben, cleo = (bench.double.person(name, club) for name in ("Ada", "Ben", "Cleo"))
    role = put_in_role(bench, ben)
    await bench.start()
    return rowan, ada, ben, cleo, role


async def test_whom_the_server_lets_use_the_command_leads_and_so_do_their_presses(
    bench: Bench, club: Channel
) -> None:
    hazel = bench.double.person("Hazel", club)
    await bench.start()
    bench.double.world.may_command.add(hazel.user.id)
    page = answer_of(await hazel.command("club setup", post_time="13:00"))
    assert "Changed: post-time" in page.text
    page = answer_of(await hazel.choose(page, "Time zone", "Europe/London"))
    assert "Changed: zone" in page.text
    bench.later(minutes=15)
    refused = answer_of(await hazel.choose(page, "Time zone", "Europe/Paris"))
    assert "is for the club's leaders" in refused.text


async def test_a_club_founded_by_whom_the_server_lets_use_the_command_is_led_by_them(
    bench: Bench,
) -> None:
    channel = bench.double.add_club()
    hazel = bench.double.person("Hazel", channel)
    await bench.start()
    bench.double.world.may_command.add(hazel.user.id)
    assert "post-time" in answer_of(await hazel.command("club setup", channel=channel.id)).text


async def test_leaders_are_named_by_mentions_of_people_and_roles_and_a_mere_name_is_refused(
    bench: Bench, club: Channel
) -> None:
    rowan, ada, ben, cleo, role = await a_club_of_four(bench, club)
    refused = answer_of(await rowan.command("club setup", leaders="@host"))
    assert "I know nobody here as \u201c@host\u201d" in refused.text
    named = f"<@{ada.user.id}>, <@&{role.id}>"
    page = answer_of(await rowan.command("club setup", leaders=named))
    assert "Changed: leaders" in page.text
    assert "post-time" in (await told(bench, ada, "club setup")).text
    assert "post-time" in (await told(bench, ben, "club setup")).text
    assert "is for the club's leaders" in (await told(bench, cleo, "club setup")).text


async def test_leaders_are_picked_from_the_servers_own_lists_of_roles_and_of_people(
    bench: Bench, club: Channel
) -> None:
    rowan, ada, ben, cleo, role = await a_club_of_four(bench, club)
    page = answer_of(await rowan.press(answer_of(await rowan.command("club setup")), MORE))
    roles, people = (page.control(each) for each in ("Roles that lead", "People who lead"))
    assert [(each.kind, each.picked) for each in (roles, people)] == [(6, ()), (5, ())]
    page = answer_of(await rowan.pick(page, "Roles", role.id))
    assert "Changed: leaders" in page.text
    page = answer_of(await rowan.pick(page, "People", ada.user.id, cleo.user.id))
    assert page.control("Roles").picked == (role.id,)
    assert page.control("People").picked == (ada.user.id, cleo.user.id)
    for leader in (ada, ben, cleo):
        assert "post-time" in (await told(bench, leader, "club setup")).text
    # Whoever is left out leads no more, and the other list stays as it is.
    page = answer_of(await rowan.pick(page, "People", ada.user.id))
    assert "is for the club's leaders" in (await told(bench, cleo, "club setup leaders")).text
    page = answer_of(await rowan.pick(page, "Roles"))
    assert (page.control("Roles").picked, page.control("People").picked) == ((), (ada.user.id,))
    assert "is for the club's leaders" in (await told(bench, ben, "club setup leaders")).text
    assert "post-time" in (await told(bench, ada, "club setup leaders")).text
    assert bench.house is not None
    (kept,) = await bench.house.store.load_clubs()
    assert kept.settings.leaders == (ada.user.id,)


async def test_somebody_who_does_not_lead_makes_themselves_no_leader_by_anothers_menu(
    bench: Bench, club: Channel
) -> None:
    rowan, cleo = (
        bench.double.person(name, club, leads=name == "Rowan") for name in ("Rowan", "Cleo")
    )
    await bench.start()
    page = answer_of(await rowan.press(answer_of(await rowan.command("club setup")), MORE))
    refused = answer_of(await cleo.pick(page, "People", cleo.user.id))
    assert "is for the club's leaders" in refused.text
    for odd in ("1,2", "@everyone", ""):
        await rowan.pick(page, "People", odd)
    assert bench.house is not None
    (kept,) = await bench.house.store.load_clubs()
    assert kept.settings.leaders == ()


async def test_a_new_puzzle_calls_the_role_that_a_leader_picked_and_nobody_else(
    bench: Bench, club: Channel
) -> None:
    rowan, ben = (
        bench.double.person(name, club, leads=name == "Rowan") for name in ("Rowan", "Ben")
    )
    role = put_in_role(bench, ben)
    await bench.start()
    refused = answer_of(await rowan.command("club setup", ping="puzzlers"))
    assert "a role, written as a mention" in refused.text
    assert (
        "Changed: ping" in answer_of(await rowan.command("club setup", ping=f"<@&{role.id}>")).text
    )
    await bench.tick()
    assert not bench.double.pings, "what was up already calls nobody"
    await ben.command("hand-in", answer=KEY)
    bench.later(days=1)
    await bench.tick()
    (called,) = [each for each in club.messages.values() if "<@&" in str(each.body["content"])]
    assert called.body["content"].startswith("Today's puzzle is up.")
    assert called.body["content"].endswith(f"<@&{role.id}>")
    assert called.body["allowed_mentions"]["roles"] == [int(role.id)]
    assert [each.split()[1] for each in bench.double.pings] == [called.id]
    bench.double.pings.clear()
    # Once it is mended it calls nobody.
    bench.later(days=1)
    await bench.tick()
    assert "<@&" not in str(called.body)
    assert [each.split()[1] for each in bench.double.pings] != [called.id]
    bench.double.pings.clear()
    await rowan.command("club setup", ping="none")
    bench.later(days=1)
    await bench.tick()


async def test_a_held_answer_reaches_who_set_the_club_up_with_buttons_to_rule_on_it(
    bench: Bench,
) -> None:
    channel = bench.double.add_club()
    rowan, ada = (
        bench.double.person(name, channel, leads=name == "Rowan") for name in ("Rowan", "Ada")
    )
    bench.add_club(channel, quick=60)
    await bench.start()
    await rowan.command("club setup")
    await bench.tick()
    assert bench.house is not None
    (club,) = await bench.house.store.load_clubs()
    (day,) = await bench.house.store.load_days(club.id, open_only=True)
    await ada.command("start")
    await ada.command("hand-in", answer=day.puzzle.solution)
    await bench.tick()
    (held,) = rowan.sees(bench.double.world.direct_channel(rowan.user))
    ruled = answer_of(await rowan.press(held, "Accept it"))
    assert "accepted, and counts in the ranking" in ruled.text
