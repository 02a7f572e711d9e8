"""What a member says that they see: of the position that they practise at, else of the question.

A find is of the one position or the other: the one that is named, else the one under way.
"""

from __future__ import annotations

from dataclasses import dataclass

from bot.club.acts import Event
from bot.club.asked import Asked
from bot.club.asking import SayFind, decide_find, load_asked
from bot.club.course import Course, Decision
from bot.club.loading import Loading
from bot.club.practised import Practised, with_needs
from bot.club.practising import decide_exercise
from bot.club.state import Scene


@dataclass(frozen=True, slots=True)
class ToSee:
    """The club's question, and the member's practice."""

    asked: Asked | None
    practised: Practised


async def load_to_see(loading: Loading, scene: Scene, event: Event, act: SayFind) -> ToSee:
    """Load what the find may be about."""
    asked = await load_asked(loading, scene, event, act)
    practised = await loading.store.load_practice(scene.club.id, event.user_id)
    return ToSee(asked, with_needs(practised))


def decide_seeing(scene: Scene, event: Event, act: SayFind, wider: ToSee) -> Decision:
    """Judge a find by what it is about."""
    exercise = wider.practised.exercise
    is_under_way = exercise is not None and not exercise.is_over
    if act.about == "practice" or (is_under_way and not act.about):
        return decide_exercise(scene, event, act, wider.practised)
    return decide_find(scene, event, act, wider.asked)


SEE = Course(SayFind, decide_seeing, load_to_see, is_long=True)
