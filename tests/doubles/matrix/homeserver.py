"""A real homeserver for the tests: Synapse as a child of its own, on loopback, with SQLite.

It is started once a test run and shared; every test makes its own people and rooms in it. Its
program is only ever run, never imported (it is AGPL; Ninebark itself does not use it).
"""

from __future__ import annotations

import atexit
import base64
import hashlib
import hmac
import json
import os
import secrets
import shutil
import subprocess
import sys
import tempfile
import urllib.error
import urllib.request
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from tests.patience import PATIENCE
from tests.ports import claim_port

SERVER_NAME = "club.test"
PASSWORD = "correct horse"

_FAST = {"per_second": 10_000, "burst_count": 10_000}
_NO_LIMITS = {
    "rc_message": _FAST,
    "rc_registration": _FAST,
    "rc_login": {"address": _FAST, "account": _FAST, "failed_attempts": _FAST},
    "rc_joins": {"local": _FAST, "remote": _FAST},
    "rc_invites": {"per_room": _FAST, "per_user": _FAST, "per_issuer": _FAST},
    "rc_admin_redaction": _FAST,
    "rc_room_creation": _FAST,
    "rc_key_requests": _FAST,
}
# What no test looks at costs half of the homeserver's time.
_UNUSED = {
    "stats": {"enabled": False},
    "push": {"enabled": False},
    "enable_room_list_search": False,
    "send_federation": False,
}
_QUIET = {
    "version": 1,
    "handlers": {"console": {"class": "logging.StreamHandler"}},
    "root": {"level": "ERROR", "handlers": ["console"]},
    "disable_existing_loggers": False,
}


@dataclass(frozen=True)
class Account:
    """A user of the homeserver, with one device that is signed in."""

    user_id: str
    device_id: str
    token: str


class Homeserver:
    """`has_limits` keeps the rate limits that a server has by default; else they are lifted.
    `tokens_last` is how long access tokens last that can be renewed, as `2s`."""

    def __init__(self, folder: Path, *, has_limits: bool = False, tokens_last: str = "5m") -> None:
        self.folder = folder
        self.port = claim_port()
        self.url = f"http://127.0.0.1:{self.port}"
        self.sign_on_port = claim_port()
        """Where it sends who wants to sign in in a browser; see `sign_on.py` beside this."""
        self._running: subprocess.Popen[bytes] | None = None
        self._config = folder / "homeserver.json"
        seed = base64.b64encode(secrets.token_bytes(32)).decode().rstrip("=")
        (folder / "signing.key").write_text(f"ed25519 a_test {seed}\n", encoding="ascii")
        log = folder / "log.json"
        log.write_text(json.dumps(_QUIET), encoding="ascii")
        # YAML is a superset of JSON, so the config needs no YAML writer.
        config = {
            "server_name": SERVER_NAME,
            "public_baseurl": f"{self.url}/",
            "pid_file": str(folder / "pid"),
            "listeners": [
                {
                    "port": self.port,
                    "bind_addresses": ["127.0.0.1"],
                    "type": "http",
                    "tls": False,
                    "resources": [{"names": ["client"], "compress": False}],
                }
            ],
            "database": {"name": "sqlite3", "args": {"database": str(folder / "server.db")}},
            "media_store_path": str(folder / "media"),
            "signing_key_path": str(folder / "signing.key"),
            "log_config": str(log),
            "registration_shared_secret": "shared",
            "macaroon_secret_key": "macaroon",
            "form_secret": "form",
            "enable_registration": False,
            "trusted_key_servers": [],
            "federation_domain_whitelist": [],
            "bcrypt_rounds": 4,
            "refreshable_access_token_lifetime": tokens_last,
            "cas_config": {"server_url": f"http://127.0.0.1:{self.sign_on_port}"},
            "sso": {"client_whitelist": ["http://127.0.0.1:"]},
            "presence": {"enabled": False},
            "report_stats": False,
            **_UNUSED,
            **({} if has_limits else _NO_LIMITS),
        }
        self._config.write_text(json.dumps(config), encoding="utf-8")

    def start(self) -> None:
        """Start it and return when it answers."""
        with (self.folder / "out.txt").open("ab") as out:
            self._running = subprocess.Popen(
                [sys.executable, "-m", "synapse.app.homeserver", "-c", str(self._config)],
                stdout=out,
                stderr=out,
                cwd=self.folder,
            )
        for _ in range(int(PATIENCE / 0.05)):
            if self._running.poll() is not None:
                break
            try:
                self.get("/_matrix/client/versions")
            except OSError:
                # The child has to be waited for; wait() with a limit is that, and ends early.
                try:
                    self._running.wait(0.05)
                except subprocess.TimeoutExpired:
                    continue
            else:
                return
        said = (self.folder / "out.txt").read_text(encoding="utf-8")[-2000:]
        raise RuntimeError(f"the homeserver did not start: {said}")

    def stop(self) -> None:
        if self._running is not None:
            self._running.terminate()
            try:
                self._running.wait(PATIENCE)
            except subprocess.TimeoutExpired:
                self._running.kill()
                self._running.wait()
            self._running = None

    def register(self, name: str, *, is_admin: bool = False) -> Account:
        """Make a user by the shared-secret call; a name is taken only once."""
        path = "/_synapse/admin/v1/register"
        nonce = self.get(path)["nonce"]
        role = "admin" if is_admin else "notadmin"
        signed = hmac.new(b"shared", digestmod=hashlib.sha1)
        signed.update("\0".join((nonce, name, PASSWORD, role)).encode())
        made = self.call(
            "POST",
            path,
            {
                "nonce": nonce,
                "username": name,
                "displayname": name.split("-")[0].capitalize(),
                "password": PASSWORD,
                "admin": is_admin,
                "mac": signed.hexdigest(),
            },
        )
        return Account(made["user_id"], made["device_id"], made["access_token"])

    def get(self, path: str) -> Any:
        return self.call("GET", path)

    def call(self, method: str, path: str, body: object = None, *, token: str = "") -> Any:
        """Make a plain request; raises OSError, also for a refusal."""
        request = urllib.request.Request(
            self.url + path,
            method=method,
            data=None if body is None else json.dumps(body).encode(),
            headers={"Content-Type": "application/json"}
            | ({"Authorization": f"Bearer {token}"} if token else {}),
        )
        try:
            with urllib.request.urlopen(request, timeout=PATIENCE) as answer:
                return json.load(answer)
        except urllib.error.HTTPError as refusal:
            with refusal:
                said = refusal.read()[:500]
            raise OSError(f"{method} {path}: {refusal.code} {said!r}") from None


def _fast_folder() -> str | None:
    """Return a folder in memory, where the system has one: there is nothing to keep of a test."""
    shared = Path("/dev/shm")
    return str(shared) if os.access(shared, os.W_OK) else None


def _run_for_this_session(*, has_limits: bool) -> Homeserver:
    folder = Path(tempfile.mkdtemp(prefix="homeserver-", dir=_fast_folder()))
    server = Homeserver(folder, has_limits=has_limits)

    def end() -> None:
        server.stop()
        shutil.rmtree(folder, ignore_errors=True)

    atexit.register(end)
    server.start()
    return server


@cache
def shared_homeserver() -> Homeserver:
    """Return the homeserver of this run, without rate limits; it ends with the run."""
    return _run_for_this_session(has_limits=False)


@cache
def limited_homeserver() -> Homeserver:
    """Return a second one with the rate limits that a server has by default."""
    return _run_for_this_session(has_limits=True)
