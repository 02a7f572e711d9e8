"""Caddy and nginx, started with the very texts that the hosting guide gives, on free ports.

What a test changes in a text is where things are on this machine: ports, and for nginx the two
files of the certificate. What stands around it is what a packaged installation has around it.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import threading
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import pytest
from markdown_it import MarkdownIt

from tests.ports import claim_port

GUIDE = Path(__file__).resolve().parents[3] / "assets" / "guides" / "hosting.md"
NAME = "club.example.org"
PLACES = os.pathsep.join((os.environ.get("PATH", os.defpath), "/usr/sbin"))
"""Where programs are; a user's own path may lack the one of servers."""


@dataclass(frozen=True)
class Proxy:
    """A running proxy: its ports, the certificate that it is known by, and all that it logged."""

    program: str
    port: int
    plain_port: int
    certificate: Path
    upstream: int
    said: list[str]
    access_log: Path

    @property
    def address(self) -> str:
        return f"https://{NAME}:{self.port}"

    def log(self) -> str:
        written = self.access_log.read_text() if self.access_log.exists() else ""
        return written + "".join(self.said)


def config_of(word: str) -> str:
    """Return the one block of the hosting guide that holds a word."""
    tokens = MarkdownIt("commonmark").parse(GUIDE.read_text(encoding="utf-8"))
    blocks = [each.content for each in tokens if each.type == "code_block"]
    (found,) = (block for block in blocks if word in block)
    return found


def with_ports(text: str, changes: dict[str, str]) -> str:
    """Replace what stands in a text exactly once."""
    for there, here in changes.items():
        assert text.count(there) == 1, there
        text = text.replace(there, here)
    return text


@contextmanager
def running(program: str, folder: Path) -> Iterator[Proxy]:
    """Start a proxy as the guide sets it up, and end it."""
    if shutil.which(program, path=PLACES) is None:
        pytest.skip(f"needs a program that pip cannot install: {program}")
    upstream, port, plain_port = claim_port(), claim_port(), claim_port()
    start = {"caddy": _start_caddy, "nginx": _start_nginx}[program]
    command, signs, certificate = start(folder, upstream, port, plain_port)
    said: list[str] = []
    with _program(command, folder, said, signs):
        log = folder / "access.log"
        yield Proxy(program, port, plain_port, certificate, upstream, said, log)


def _start_caddy(
    folder: Path, upstream: int, port: int, plain_port: int
) -> tuple[Sequence[str], Sequence[str], Path]:
    """Caddy's own authority stands in for the one that the internet knows."""
    around = (
        f"admin off\nhttp_port {plain_port}\nhttps_port {port}\nlocal_certs\nskip_install_trust\n"
        f"storage file_system {folder}\n"
    )
    text = with_ports(config_of("reverse_proxy"), {"127.0.0.1:8317": f"127.0.0.1:{upstream}"})
    assert text.startswith("{\n")
    logs = f"{NAME} {{\n    log {{\n        output file {folder}/access.log\n    }}\n"
    text = with_ports("{\n" + around + text.removeprefix("{\n"), {f"{NAME} {{\n": logs})
    config = folder / "Caddyfile"
    config.write_text(text, encoding="utf-8")
    command = ("caddy", "run", "--config", str(config), "--adapter", "caddyfile")
    signs = ("serving initial configuration", "certificate obtained successfully")
    return command, signs, folder / "pki" / "authorities" / "local" / "root.crt"


def _start_nginx(
    folder: Path, upstream: int, port: int, plain_port: int
) -> tuple[Sequence[str], Sequence[str], Path]:
    certificate, key = folder / "fullchain.pem", folder / "privkey.pem"
    subprocess.run(
        ("openssl", "req", "-x509", "-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:prime256v1",
         "-nodes", "-days", "2", "-subj", f"/CN={NAME}", "-addext", f"subjectAltName=DNS:{NAME}",
         "-keyout", str(key), "-out", str(certificate)),
        check=True, capture_output=True,
    )  # fmt: skip
    live = f"/etc/letsencrypt/live/{NAME}"
    text = with_ports(
        config_of("proxy_pass"),
        {
            "listen 80;": f"listen 127.0.0.1:{plain_port};",
            "listen 443 ssl;": f"listen 127.0.0.1:{port} ssl;",
            "127.0.0.1:8317": f"127.0.0.1:{upstream}",
            f"{live}/fullchain.pem": str(certificate),
            f"{live}/privkey.pem": str(key),
        },
    )
    kinds = ("client_body", "proxy", "fastcgi", "uwsgi", "scgi")
    places = "".join(f"{kind}_temp_path {folder}/{kind};\n" for kind in kinds)
    config = folder / "nginx.conf"
    config.write_text(
        f"daemon off;\nmaster_process off;\npid {folder}/nginx.pid;\nerror_log stderr notice;\n"
        f"events {{}}\nhttp {{\naccess_log {folder}/access.log;\n{places}{text}}}\n",
        encoding="utf-8",
    )
    command = ("nginx", "-c", str(config), "-p", str(folder), "-e", "stderr")
    return command, ("using the",), certificate


@contextmanager
def _program(
    command: Sequence[str], folder: Path, said: list[str], signs: Sequence[str]
) -> Iterator[None]:
    """Run a program until the context is left; it is ready once it has said every sign."""
    environment = {"HOME": str(folder), "PATH": PLACES}
    with subprocess.Popen(
        command, stderr=subprocess.PIPE, text=True, env=environment, cwd=folder
    ) as program:
        assert program.stderr is not None
        lines = iter(program.stderr.readline, "")
        reading = threading.Thread(target=lambda: said.extend(lines))
        try:
            for line in lines:
                said.append(line)
                if all(any(sign in each for each in said) for sign in signs):
                    break
            else:
                raise AssertionError("".join(said))
            reading.start()
            yield
        finally:
            program.terminate()
            program.wait()
            if reading.is_alive():
                reading.join()
