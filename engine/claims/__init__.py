"""A member's own find: what follows from it, or which condition fails."""

from engine.claims.checking import CHECKS, check_claim, claim_of_step
from engine.claims.following import find_doubt
from engine.claims.judging import Judged, Judgement, Said, judge
from engine.claims.verdict import Claim, Condition, Flaw, Found, Verdict, Way

__all__ = [
    "CHECKS",
    "Claim",
    "Condition",
    "Flaw",
    "Found",
    "Judged",
    "Judgement",
    "Said",
    "Verdict",
    "Way",
    "check_claim",
    "claim_of_step",
    "find_doubt",
    "judge",
]
