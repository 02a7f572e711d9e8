"""Whatever can be wrong with a platform has words of its own."""

from __future__ import annotations

import pytest

from bot.platforms.discord.refusals import DiscordRefusedError
from bot.platforms.matrix.refusals import (
    AddressProblem,
    PasswordRefusedError,
    SessionLostError,
    SessionProblem,
    SigningProblem,
    SigningRefusedError,
    TokenProblem,
)
from bot.platforms.message import Refusal, RoomError, RoomUnreachableError
from bot.wording import discord, matrix


def test_every_refusal_of_discord_has_words() -> None:
    assert set(discord.REFUSALS) == set(Refusal)
    told = discord.refused(DiscordRefusedError(Refusal.TOKEN, code=401))
    assert "refuses the bot's token" in told
    assert told.endswith("(Code 401.)")


def test_every_reason_why_a_sign_in_to_matrix_cannot_be_used_has_words() -> None:
    assert set(matrix.LOST) == set(SessionProblem)
    assert set(matrix.ADDRESS_WRONG) == set(AddressProblem)
    assert set(matrix.TOKEN_REFUSED) == set(TokenProblem)
    assert "not signed in" in matrix.check_failed(SessionLostError(SessionProblem.NONE))


@pytest.mark.parametrize(
    ("error", "said"),
    [
        (PasswordRefusedError("@ninebark:example.org"), "does not accept this user name"),
        (SigningRefusedError(SigningProblem.PASSWORD), "NINEBARK_MATRIX_PASSWORD=…"),
        (SigningRefusedError(SigningProblem.SIGNATURE), "did not accept the signature"),
        (RoomUnreachableError("timed out"), "could not be reached just now (timed out)"),
        (RoomError("HTTP 403"), "The homeserver refused: HTTP 403"),
    ],
)
def test_what_kept_the_check_from_signing_in_is_told_by_its_kind(
    error: RoomError, said: str
) -> None:
    assert said in matrix.check_failed(error)
