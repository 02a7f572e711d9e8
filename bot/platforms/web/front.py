"""What stands between the page and the world outside: the host's proxy, and whom it speaks for.

What a request says of where it came from is believed only from the proxies that the config names,
and only in X-Forwarded-For and X-Forwarded-Proto, which every proxy sets anew or adds to. Forwarded
and X-Forwarded-Host are never read: proxies that do not know them pass on what anybody wrote. Pure.
"""

from __future__ import annotations

import ipaddress
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from bot.platforms.web.address import PublicAddress

Network = ipaddress.IPv4Network | ipaddress.IPv6Network
Ip = ipaddress.IPv4Address | ipaddress.IPv6Address

WIDTH_OF_ONE = 64
"""Bits of an IPv6 address that tell one customer's line from another's, as networks hand them
out (RFC 6177): what comes after them anybody chooses freely."""


def parse_network(text: str) -> Network:
    """Return an address, or a network such as 10.0.0.0/8. Raises ValueError."""
    return ipaddress.ip_network(text.strip())


LOOPBACK = (parse_network("127.0.0.1"), parse_network("::1"))


@dataclass(frozen=True, slots=True)
class Front:
    """The page's address outside, and the proxies that are believed."""

    address: PublicAddress
    proxies: tuple[Network, ...] = LOOPBACK

    def believes(self, peer: str) -> bool:
        """Tell whether what this peer says of where a request came from counts."""
        ip = _parse_ip(peer)
        return ip is not None and self._is_proxy(ip)

    def place_of(self, peer: str, forwarded: Sequence[str]) -> str:
        """Return what stands for where a request came from, to be counted by: an IPv4 address, or
        the network that an IPv6 address is in.

        `forwarded` are the X-Forwarded-For headers. Each proxy adds at the end whom it heard, so
        they are read from there, as far as proxies of ours wrote them.
        """
        at = _parse_ip(peer)
        for hop in _backwards(forwarded):
            if at is None or not self._is_proxy(at):
                break
            before = _parse_ip(hop)
            if before is None:
                break
            at = before
        return peer if at is None else _line_of(at)

    def _is_proxy(self, ip: Ip) -> bool:
        return any(ip in network for network in self.proxies)


@dataclass(frozen=True, slots=True)
class Listening:
    """Where the page listens; port 0 takes any free one. Without a `front` it is for this machine
    alone."""

    host: str
    port: int
    front: Front | None = None


def _backwards(headers: Sequence[str]) -> Iterable[str]:
    for header in reversed(headers):
        yield from (hop.strip() for hop in reversed(header.split(",")))


def _parse_ip(text: str) -> Ip | None:
    try:
        ip = ipaddress.ip_address(text)
    except ValueError:
        return None
    mapped = ip.ipv4_mapped if ip.version == 6 else None
    return mapped or ip


def _line_of(ip: Ip) -> str:
    if ip.version == 4:
        return str(ip)
    return str(ipaddress.ip_network((int(ip), WIDTH_OF_ONE), strict=False))
