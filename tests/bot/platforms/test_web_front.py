"""Where a request came from: what proxies say is believed from the config's own alone."""

from __future__ import annotations

import pytest

from bot.platforms.web.address import parse_address
from bot.platforms.web.front import Front, parse_network

ADDRESS = parse_address("https://club.example.org")
NEAR = Front(ADDRESS)
FAR = Front(ADDRESS, tuple(map(parse_network, ("127.0.0.1", "10.0.0.0/8", "2001:db8:1::/48"))))


@pytest.mark.parametrize(
    ("front", "peer", "forwarded", "place"),
    [
        (NEAR, "127.0.0.1", [], "127.0.0.1"),
        (NEAR, "127.0.0.1", ["192.0.2.7"], "192.0.2.7"),
        (NEAR, "::1", ["192.0.2.7"], "192.0.2.7"),
        # What the visitor wrote stands before what the proxy added.
        (NEAR, "127.0.0.1", ["198.51.100.1, 192.0.2.7"], "192.0.2.7"),
        (NEAR, "127.0.0.1", ["198.51.100.1", "192.0.2.7"], "192.0.2.7"),
        (NEAR, "127.0.0.1", ["127.0.0.1, 192.0.2.7"], "192.0.2.7"),
        # Nobody else is believed, whatever they write.
        (NEAR, "127.0.0.2", ["192.0.2.7"], "127.0.0.2"),
        (NEAR, "203.0.113.5", ["192.0.2.7"], "203.0.113.5"),
        (Front(ADDRESS, ()), "127.0.0.1", ["192.0.2.7"], "127.0.0.1"),
        # A chain of proxies of ours is followed to its end, and no further.
        (FAR, "127.0.0.1", ["192.0.2.7, 10.1.2.3"], "192.0.2.7"),
        (FAR, "127.0.0.1", ["192.0.2.7, 10.9.9.9, 10.1.2.3"], "192.0.2.7"),
        (FAR, "127.0.0.1", ["10.9.9.9, 192.0.2.7, 10.1.2.3"], "192.0.2.7"),
        (FAR, "127.0.0.1", ["192.0.2.7, 2001:db8:1::5"], "192.0.2.7"),
        # What is no address is nobody's.
        (NEAR, "127.0.0.1", ["unknown"], "127.0.0.1"),
        (NEAR, "127.0.0.1", [""], "127.0.0.1"),
        (NEAR, "127.0.0.1", ["192.0.2.7, "], "127.0.0.1"),
        (NEAR, "127.0.0.1", ["192.0.2.7, 10.0.0.300"], "127.0.0.1"),
        (NEAR, "", ["192.0.2.7"], ""),
        # One line, one count: who has an IPv6 network chooses among its addresses.
        (NEAR, "127.0.0.1", ["2001:db8:0:1::7"], "2001:db8:0:1::/64"),
        (NEAR, "127.0.0.1", ["2001:db8:0:1:ffff::9"], "2001:db8:0:1::/64"),
        (NEAR, "127.0.0.1", ["2001:db8:0:2::7"], "2001:db8:0:2::/64"),
        (NEAR, "::ffff:127.0.0.1", ["::ffff:192.0.2.7"], "192.0.2.7"),
    ],
)  # fmt: skip
def test_a_request_is_counted_where_our_own_proxies_heard_it(
    front: Front, peer: str, forwarded: list[str], place: str
) -> None:
    assert front.place_of(peer, forwarded) == place


def test_an_endless_chain_is_read_once_from_its_end() -> None:
    assert NEAR.place_of("127.0.0.1", ["10.0.0.1," * 2000 + "192.0.2.7"]) == "192.0.2.7"


@pytest.mark.parametrize("text", ["", "club", "127.0.0.1/8", "300.0.0.1", "10.0.0.0/33"])
def test_what_is_no_network_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match=r"IPv4|host bits"):
        parse_network(text)
