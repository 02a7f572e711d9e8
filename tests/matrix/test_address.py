"""Where a Matrix homeserver is: what a site says of it counts as far as the way there is safe."""

from __future__ import annotations

import ssl
from datetime import UTC, datetime
from ipaddress import ip_address
from pathlib import Path

import pytest
from aiohttp import web
from aiohttp.test_utils import TestServer
from cryptography import x509
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.hashes import SHA256
from cryptography.hazmat.primitives.serialization import (
    Encoding,
    NoEncryption,
    PrivateFormat,
)
from cryptography.x509.oid import NameOID

from bot.platforms.matrix.address import WELL_KNOWN, find_address
from bot.platforms.matrix.refusals import AddressWrongError

HOST = "127.0.0.1"


def certify(folder: Path) -> tuple[ssl.SSLContext, ssl.SSLContext]:
    """Return what a site on this machine proves itself by, and what trusts it."""
    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, HOST)])
    made = (
        x509.CertificateBuilder(name, name, key.public_key(), x509.random_serial_number())
        .not_valid_before(datetime(2000, 1, 1, tzinfo=UTC))
        .not_valid_after(datetime(2200, 1, 1, tzinfo=UTC))
        .add_extension(x509.SubjectAlternativeName([x509.IPAddress(ip_address(HOST))]), False)
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), True)
        .sign(key, SHA256())
    )
    own = key.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption())
    path = folder / "site.pem"
    path.write_bytes(own + made.public_bytes(Encoding.PEM))
    serving = ssl.create_default_context(ssl.Purpose.CLIENT_AUTH)
    serving.load_cert_chain(path)
    return serving, ssl.create_default_context(cafile=path)


@pytest.mark.parametrize("is_safe", [True, False])
async def test_a_site_sends_on_to_its_homeserver_and_not_by_a_way_without_encryption(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, is_safe: bool
) -> None:
    serving, trusting = certify(tmp_path)
    monkeypatch.setattr("aiohttp.connector._SSL_CONTEXT_VERIFIED", trusting)
    sites: list[TestServer] = []

    async def send_on(request: web.Request) -> web.Response:
        raise web.HTTPFound(str(sites[0 if is_safe else 1].make_url("/named")))

    async def name(request: web.Request) -> web.Response:
        return web.json_response({"m.homeserver": {"base_url": str(sites[0].make_url("/api"))}})

    async def tell(request: web.Request) -> web.Response:
        return web.json_response({"versions": ["v1.11"]})

    app = web.Application()
    app.router.add_get(WELL_KNOWN, send_on)
    app.router.add_get("/named", name)
    app.router.add_get("/api/_matrix/client/versions", tell)
    clear = web.Application()
    clear.router.add_get("/named", name)
    sites += [TestServer(app, scheme="https", host=HOST), TestServer(clear, host=HOST)]
    await sites[0].start_server(ssl=serving)
    await sites[1].start_server()
    try:
        homeserver = str(sites[0].make_url("")).rstrip("/")
        if is_safe:
            assert await find_address(homeserver) == f"{homeserver}/api"
        else:
            with pytest.raises(AddressWrongError):
                await find_address(homeserver)
    finally:
        for site in sites:
            await site.close()
