"""What a leader's ruling makes of a member's result."""

from __future__ import annotations

from msgspec.structs import replace

from bot.club.problems import Missing, Problem
from bot.club.refusal import refuse
from bot.club.state import MemberSolve, Verdict

_VERDICTS: dict[str, Verdict] = {
    "accept": "accepted",
    "unrank": "unranked",
    "restore": "accepted",
}


def rule(entry: MemberSolve, verdict: str, reason: str) -> MemberSolve:
    """Return a finished entry with the leader's ruling; restored is as good as accepted."""
    if entry.finished_at is None:
        raise refuse("club result", Problem.NO_RESULT)
    if verdict not in _VERDICTS:
        raise refuse("club result", Problem.VALUE, f"verdict={verdict}")
    if not reason.strip():
        raise refuse("club result", Problem.MISSING, Missing.REASON)
    return replace(entry, verdict=_VERDICTS[verdict], reason=reason.strip())
