"""What the host can show a homeserver to sign the bot in: from the environment, or typed in.

Nothing of it is kept here, and nothing is shown.
"""

from __future__ import annotations

import asyncio
import getpass
import sys
from collections.abc import Mapping
from typing import Protocol

from bot.wording import matrix as words

PASSWORD_VARIABLE = "NINEBARK_MATRIX_PASSWORD"
TOKEN_VARIABLE = "NINEBARK_MATRIX_TOKEN"
RECOVERY_VARIABLE = "NINEBARK_MATRIX_RECOVERY_KEY"


class Proofs(Protocol):
    """Where proofs of who the bot is come from. `can_ask`: somebody is there who can answer."""

    @property
    def token(self) -> str:
        """Return an access token that was made elsewhere, empty where none was given."""

    @property
    def can_ask(self) -> bool:
        """Tell whether somebody is there to open a link."""

    def password(self, *, or_browser: bool = False) -> str:
        """Return the bot's password, empty where none is given."""

    def recovery_key(self) -> str:
        """Return the bot's recovery key, empty where none is given."""

    def tell(self, text: str) -> None:
        """Show something at once."""

    async def pasted(self) -> str:
        """Wait for a line that somebody pastes; for ever, where nobody can."""


class HostProofs:
    """The host at the command line. `environment` may hold a password or a token."""

    def __init__(self, environment: Mapping[str, str]) -> None:
        self._environment = environment

    @property
    def token(self) -> str:
        """Return the token of the environment."""
        return self._environment.get(TOKEN_VARIABLE, "").strip()

    @property
    def can_ask(self) -> bool:
        """Tell whether the command was started where one can type."""
        return sys.stdin.isatty()

    def password(self, *, or_browser: bool = False) -> str:
        """Take the password from the environment, or ask for it where somebody can type it."""
        given = self._environment.get(PASSWORD_VARIABLE, "")
        if given or not self.can_ask:
            return given
        return getpass.getpass(words.PASSWORD_OR_BROWSER if or_browser else words.PASSWORD_PROMPT)

    def recovery_key(self) -> str:
        """Take the recovery key from the environment, or ask for it where somebody can type it."""
        given = self._environment.get(RECOVERY_VARIABLE, "")
        if given or not self.can_ask:
            return given
        return getpass.getpass(words.RECOVERY_PROMPT)

    def tell(self, text: str) -> None:
        """Print it."""
        print(text, flush=True)  # noqa: T201 - the host's terminal

    async def pasted(self) -> str:
        """Return the next line that is typed, without keeping anything else from its turn."""
        loop = asyncio.get_running_loop()
        line: asyncio.Future[str] = loop.create_future()
        try:
            loop.add_reader(sys.stdin.fileno(), lambda: line.set_result(sys.stdin.readline()))
        except NotImplementedError:  # where the loop cannot watch a terminal, the browser is left
            return await line
        try:
            return await line
        finally:
            loop.remove_reader(sys.stdin.fileno())
