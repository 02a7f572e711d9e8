"""Names in the web room: which are let in, which look like another's, and the table behind it."""

from __future__ import annotations

import unicodedata
from typing import Any

import aiohttp
import pytest

from bot.platforms.look_alikes import is_mixed, look_alike, look_of, tell_apart
from bot.platforms.web.door import PageClubs, Place
from bot.platforms.web.front import Listening
from bot.platforms.web.guard import clean_name
from bot.platforms.web.log import FakeRoomLog
from bot.platforms.web.names import People, find_problem
from bot.platforms.web.room import WebRoom
from bot.wording.web import NAMES, WEB
from tests.bot.platforms.conftest import WEB_PAGE, Client, EchoClub, HandClock
from tests.bot.platforms.look_alikes_table import TABLE, table_of

LIKE_ROWAN = (
    "R\u043ewan",  # Cyrillic o
    "R\u03bfwan",  # Greek omicron
    "\u13a1owan",  # Cherokee
    "Rowa\u0578",  # Armenian
    "\uff32\uff4f\uff57\uff41\uff4e",  # full-width
    "\U0001d4e1owan",  # mathematical script
    "\u0280owan",  # small capital
    "R0wan",
    "Rovvan",
    "Rów\u0323an",
    "Rowan\u0301\u0301",
    "R\u034fowan",
    "Ro\u200bwan\u200d",
    "\u202eRowan\u202c",
    "Ro\u3164wan",
    "Rowan\ufe0f",
    "r o w a n",
    "ROWAN!",
    "Rowan (leader)",
    "The real Rowan",
)


@pytest.mark.parametrize("name", LIKE_ROWAN)
def test_a_name_that_reads_as_the_leaders_is_another_persons_and_refused(name: str) -> None:
    people = People(leaders=("Rowan",), members={"ada": "Ada"})
    cleaned = clean_name(name)
    problem = find_problem(cleaned, people, ("Hazel Lane",), NAMES)
    if cleaned.casefold() == "rowan":
        assert problem is None  # what made it another's was taken out: the leader's own name
    else:
        assert problem == "name-leader"


@pytest.mark.parametrize("name", ["Rowan", "rowan", "ROWAN", "  Rowan  ", "Ro\u200bwan"])
def test_a_leader_comes_in_under_their_name_however_it_is_typed(name: str) -> None:
    assert find_problem(clean_name(name), People(("Rowan",)), (), NAMES) is None


@pytest.mark.parametrize(
    "name",
    ["Ninebark", "NINEBARK", "N1nebark", "Nlnebark", "N\u0456nebark", "Nine bark", "Ninebärk",
     "Ninebark 2", "Ninebark helps", "\uff2einebark", "Hazel Lane", "Hazel-Lane",
     "H\u0430zel Lane", "The Hazel Lane Club", "a former member", "someone", "Leader",
     "The Leader", "admin", "Host", "Everyone"],
)  # fmt: skip
def test_the_clubs_own_names_are_nobodys(name: str) -> None:
    # Not even of somebody who is known under one from earlier days.
    people = People(members={clean_name(name).casefold(): name})
    assert find_problem(clean_name(name), people, ("Hazel Lane",), NAMES) == "name-reserved"


@pytest.mark.parametrize(
    "name",
    ["Ada", "Ada Byrne", "Rowan B", "Rowena", "Zoë", "José", "Žofia", "Đorđe", "Алёна", "Дмитрий",
     "Ελένη", "Արամ", "नमिता", "李小龙", "さくら", "サクラ Tanaka", "김민준", "محمد", "דנה", "ภูมิ",
     "O'Brien", "Anne-Marie", "Bo 2", "<b>Bo</b>", "Sam Leader-Smith", "Bo Админов", "Nina Bark"],
)  # fmt: skip
def test_names_of_any_script_are_welcome(name: str) -> None:
    people = People(("Rowan", "Odile Fenn"), {"grace": "Grace"})
    assert find_problem(clean_name(name), people, ("Hazel Lane",), NAMES) is None


@pytest.mark.parametrize("name", ["Gr\u0430ce", "Gr4ce \u0430b\u0441a", "\u0410da", "Яn"])
def test_a_word_of_two_alphabets_is_refused(name: str) -> None:
    assert is_mixed(name)
    assert find_problem(clean_name(name), People(), (), NAMES) == "name-mixed"


@pytest.mark.parametrize("name", ["Ada ", "A d a", "Áda", "\u0410\u0434\u0430\u043c", "4da"])
def test_no_word_of_one_alphabet_is_mixed(name: str) -> None:
    assert not is_mixed(name)


def test_a_name_that_looks_like_a_members_is_refused_and_the_member_comes_back() -> None:
    people = People(
        members={
            "ivy": "Ivy",
            "gr\u0430ce": "Gr\u0430ce",
            "\u0432\u0435\u0430": "\u0412\u0435\u0430",
        }
    )
    assert find_problem("lvy", people, (), NAMES) == "name-taken"
    assert find_problem("Bea", people, (), NAMES) == "name-taken"
    for own in people.members.values():
        assert find_problem(own, people, (), NAMES) is None


def test_a_member_who_was_there_before_a_leader_of_a_like_name_comes_back() -> None:
    people = People(leaders=("Zoë",), members={"zoe": "Zoe", "zo\u0435": "Zo\u0435"})
    assert find_problem("Zoe", people, (), NAMES) is None
    # Letters borrowed from another alphabet are no name of one's own.
    assert find_problem("Zo\u0435", people, (), NAMES) == "name-leader"
    assert find_problem("Zoe", People(leaders=("Zoë",)), (), NAMES) == "name-leader"


def test_looks_are_the_same_for_a_name_and_for_all_ways_to_write_it() -> None:
    for name in ("Rowan", "Odile Fenn", "Ninebark", "Zoë", "Willow 10"):
        for written in (name.upper(), name.lower(), unicodedata.normalize("NFD", name)):
            assert look_alike(name, written)
        assert look_of(look_of(name)) == look_of(name)
    assert not look_alike("...", "!!!")


@pytest.mark.parametrize(
    ("name", "own", "shown"),
    [
        ("N1nebark", ("Ninebark",), "N1nebark (@n1)"),
        ("The Ninebark of us all here", ("Ninebark",), "The Ninebark of (@n1)"),
        ("Alice", ("Al",), "Alice"),
        ("AI", ("Al",), "AI (@n1)"),
        ("Ada", ("", "..."), "Ada"),
        ("x" * 100_000, ("Ninebark",), "x" * 100_000),
    ],
)
def test_a_handle_stands_beside_a_name_that_reads_as_the_bots(
    name: str, own: tuple[str, ...], shown: str
) -> None:
    assert tell_apart(name, "@n1", own) == shown


def test_the_table_is_what_the_unicode_data_says() -> None:
    confusables = pytest.importorskip(
        "confusable_homoglyphs.confusables", reason="confusable-homoglyphs is not installed"
    )
    assert TABLE.read_text(encoding="ascii") == table_of(confusables.confusables_data)
    # Pairs printed in Unicode Technical Standard 39, section 4 (memory): these look alike there.
    for one, other in (("paypal", "p\u0430yp\u0430l"), ("scope", "\u0455\u0441\u043e\u0440\u0435")):
        assert look_alike(one, other)


async def test_the_room_refuses_by_what_its_club_knows_and_by_who_is_there(
    clock: HandClock, log: FakeRoomLog, club: EchoClub
) -> None:
    async def people_of(room_id: str) -> People:
        return People(("Willow",), {"ada": "Ada"}) if room_id == "hazel" else People()

    room = WebRoom(
        PageClubs(
            {"hazel": Place("Hazel Lane", ("Rowan",)), "birch": Place("Birch Row")},
            people_of=people_of,
        ),
        at=Listening("127.0.0.1", 0),
        shipped=WEB_PAGE.parent,
        log=log,
        now=clock.now,
        token=lambda: "first",
        words=WEB,
    )
    await room.start(club.answer)
    async with aiohttp.ClientSession() as session:
        client = Client(session, room)

        async def ask(name: str, in_room: str = "hazel") -> str:
            tab = await client.open_tab()
            await tab.socket.send_json({"type": "enter", "room": in_room, "name": name})
            frame: dict[str, Any] = await tab.socket.receive_json()
            return str(frame.get("problem", frame["type"]))

        assert await ask("Ninebark") == "name-reserved"
        assert await ask("Birch Row", "birch") == "name-reserved"
        assert await ask("R\u043ewan") == await ask("W\u0456llow") == "name-leader"
        assert await ask("\u0410d\u0430") == "name-mixed"
        assert await ask("A.d.a.") == "name-taken"
        assert await ask("Bea") == await ask("bea") == "entered"
        assert await ask("\u0412\u0435\u0430") == "name-taken"
        assert await ask("\u0412\u0435\u0430", "birch") == "entered"
        assert await ask("Rowan") == await ask("Willow") == await ask("Ada") == "entered"
        assert not club.heard
        await client.close()
    await room.stop()
