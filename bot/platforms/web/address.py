"""The address at which the world outside reaches the page, by the host's own proxy.

The page itself only ever listens on loopback; this is what the host says that the proxy in front
of it is called, and so what a page of ours, a link to it and a cookie may bear. Pure.
"""

from __future__ import annotations

import ipaddress
import re
from dataclasses import dataclass

from yarl import URL

_NAME = re.compile(r"[a-z0-9]([a-z0-9-]*[a-z0-9])?(\.[a-z0-9]([a-z0-9-]*[a-z0-9])?)*")


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
