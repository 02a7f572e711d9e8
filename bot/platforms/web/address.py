"""What the page is called: on this machine, or outside by the host's own proxy.

The page itself only ever listens on loopback. By its names a request is known as one for this page
(Host) and from it (Origin); another site's page, or another name made to point here, is refused.
The address outside is what links to it begin with, too. Pure.
"""

from __future__ import annotations

import ipaddress
import re
from dataclasses import dataclass

from yarl import URL

_NAME = re.compile(r"[a-z0-9]([a-z0-9-]*[a-z0-9])?(\.[a-z0-9]([a-z0-9-]*[a-z0-9])?)*")


@dataclass(frozen=True, slots=True)
class Site:
    """What a page's own requests say of it: `authorities` are the hosts that they name."""

    scheme: str
    authorities: frozenset[str]

    def is_own_origin(self, origin: str | None) -> bool:
        """Tell whether an Origin header is our own page's. None, as no browser sends it, is not."""
        scheme, _, authority = (origin or "").partition("://")
        return scheme == self.scheme and authority.lower() in self.authorities

    def content_policy(self, host: str) -> str:
        """Return the Content-Security-Policy: our own files only, nothing inline, no framing.

        The socket is named beside 'self' because some browsers do not count ws: as the same origin;
        `host` is what the request calls us, and nothing is repeated that is no name of ours.
        """
        names = [host.lower()] if host.lower() in self.authorities else sorted(self.authorities)
        sockets = " ".join(f"{self.scheme.replace('http', 'ws')}://{name}" for name in names)
        return (
            "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; "
            f"font-src 'self'; connect-src 'self' {sockets}; base-uri 'none'; form-action 'none'; "
            "frame-ancestors 'none'"
        )


def loopback_site(address: str, port: int) -> Site:
    """Return the site that only this machine reaches: by address and port, or as localhost."""
    literal = f"[{address}]" if ":" in address else address
    hosts = {literal, "localhost"}
    names = {f"{host}:{port}" for host in hosts}
    return Site("http", frozenset(names | hosts if port == 80 else names))


@dataclass(frozen=True, slots=True)
class PublicAddress:
    """Scheme and authority as a browser writes them: lower case, in letters that a Host header can
    bear, without a port that goes without saying."""

    scheme: str
    authority: str

    @property
    def origin(self) -> str:
        """The address without a slash at its end, as an Origin header has it; links begin so."""
        return f"{self.scheme}://{self.authority}"

    @property
    def site(self) -> Site:
        """What the page is called outside."""
        return Site(self.scheme, frozenset({self.authority}))

    def __str__(self) -> str:
        return f"{self.origin}/"


class NotPublicError(ValueError):
    """`text` is no address that a page for members elsewhere could have."""

    def __init__(self, text: str) -> None:
        super().__init__(text)
        self.text = text


def parse_address(text: str) -> PublicAddress:
    """Return the address of a whole site: no folder in it, no name or password, no query.

    Only a name of this machine does with http: elsewhere a link, which is its bearer's sign-in,
    would go over the wire in the open. Raises NotPublicError.
    """
    try:
        url = URL(text.strip())
    except ValueError:
        raise NotPublicError(text) from None
    host = url.raw_host or ""
    is_site = url.raw_path in ("", "/") and not any(sign in text for sign in "?#@\\")
    if not is_site or url.explicit_port == 0 or not _is_host(host):
        raise NotPublicError(text)
    if url.scheme != "https" and not (url.scheme == "http" and _is_this_machine(host)):
        raise NotPublicError(text)
    return PublicAddress(url.scheme, url.host_port_subcomponent or host)


def _is_host(host: str) -> bool:
    """Tell a name of letters, digits, hyphens, or a number: fit for a header as it stands."""
    return _ip(host) is not None or (len(host) <= 253 and _NAME.fullmatch(host) is not None)


def _is_this_machine(host: str) -> bool:
    number = _ip(host)
    if number is not None:
        return number.is_loopback
    return host == "localhost" or host.endswith(".localhost")


def _ip(host: str) -> ipaddress.IPv4Address | ipaddress.IPv6Address | None:
    try:
        return None if "%" in host else ipaddress.ip_address(host)
    except ValueError:
        return None
