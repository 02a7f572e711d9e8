"""What the config says about Matrix, as a value that needs no library."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class MatrixSettings:
    """The `[matrix]` table. Neither password nor token is ever in the config.

    `inviters` may bring the bot into rooms, as the leaders of the clubs in Matrix may.
    """

    homeserver: str
    user: str
    prefix: str = "!"
    inviters: tuple[str, ...] = ()
    encrypt: bool = True
