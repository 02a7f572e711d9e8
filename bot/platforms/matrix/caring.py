"""What encryption wants done besides what is said: keys backed up, verifications answered.

It waits in lanes of its own, so that nothing that is said waits for it.
"""

from __future__ import annotations

from collections.abc import Callable, Collection
from datetime import datetime
from functools import partial
from pathlib import Path

from bot.platforms.matrix.key_backup import KeyBackup
from bot.platforms.matrix.lanes import Lanes
from bot.platforms.matrix.server import Server
from bot.platforms.matrix.verifying import Verifying


class Caring:
    """`allowed` may verify us; `folder` holds the identity, and what is known of the backup."""

    def __init__(
        self,
        server: Server,
        folder: Path,
        allowed: Collection[str],
        now: Callable[[], datetime],
    ) -> None:
        self._server = server
        self._backup = KeyBackup(server, folder)
        self.verifying = Verifying(server, folder, allowed, now)

    def take_up(self, lanes: Lanes) -> None:
        """Go on with what a sync has brought."""
        if not self._server.is_encrypting:
            return
        lanes.put_if_idle("backup", self._backup.go_on)
        asked, self._server.verifications = self._server.verifications, []
        if asked:
            lanes.put("verification", partial(self.verifying.take_all, asked))
