"""Practice: a member's own series of positions for a technique, in private.

Each has the technique where nothing easier gives the same away, or now and then has none at all,
and then "none" is right. A find is judged as a question's is, on the position alone; any find of
the technique counts. Tries are counted, help is to be had, and how it went decides when the
technique comes again (`bot.club.spacing`).
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime
from typing import Literal

from msgspec import structs

from bot.club.acts import Act, Event
from bot.club.asking import FindJudged, SayFind, judged_facts
from bot.club.clock import local_date
from bot.club.course import Course, Decision
from bot.club.exercises import Drawn, draw_exercise, has_bare, practised_techniques
from bot.club.facts import GridPicture, HintPicture, Marks, StepFacts, facts_of_step, step_of_facts
from bot.club.ladders import ladder_of
from bot.club.loading import Loading
from bot.club.ports import Change, SaveMember
from bot.club.practised import Exercise, Practised, SaveExercise, SaveSkill, with_needs
from bot.club.problems import Problem
from bot.club.refusal import refuse
from bot.club.replies import decode_reply, encode_reply
from bot.club.reply import Reply
from bot.club.spacing import choose_technique, grade_of, graded
from bot.club.state import Member, Scene
from engine import (
    LADDER,
    WITHOUT_UNIQUENESS,
    Grid,
    Step,
    claims,
    find_steps,
    technique_with,
)

HIGHEST_OFFERED = 4
"""Techniques above this level are practised by name, or once the member has met them."""

WHERE, WHICH = 1, 2
"""The rungs of help; after them the find is shown."""

_RUNG_NAMES = {WHERE: "where", WHICH: "which"}


@dataclass(frozen=True, slots=True)
class Practise(Act):
    """Practise a technique, or what is due; `marks`: what is shown beside the digits, None as it
    was before. `way`: help with the position, have it shown, or leave it for another."""

    technique: str = ""
    marks: Marks | None = None
    way: Literal["", "hint", "show", "next"] = ""


class ExerciseShown(Reply, frozen=True, kw_only=True):
    """A position to find the technique at. `step`, None where there is none, is not told.

    `is_again`: it was shown before. `needs_marks`: the technique is never shown without all
    candidates, though `wished` are others; so it is of those that come.
    """

    technique: str
    picture: GridPicture
    step: StepFacts | None = None
    is_again: bool = False
    needs_marks: bool = False
    wished: Marks = "all"


class ExerciseHelped(Reply, frozen=True, kw_only=True):
    """A rung of help: where to look, or which cells."""

    technique: str
    rung: int
    step: StepFacts
    picture: HintPicture


class ExerciseMissed(Reply, frozen=True, kw_only=True):
    """What was said is not the find: `judged` says what it is; None where the member says there is
    none, and there is."""

    technique: str
    judged: FindJudged | None = None
    tries: int = 0


class ExerciseOver(Reply, frozen=True, kw_only=True):
    """It was found in so many `tries`, or `is_shown`; `step` None: there is none to find.

    `again_at`: when the technique is due. `is_late`: it was over before, and counts no more.
    """

    technique: str
    step: StepFacts | None
    picture: GridPicture | HintPicture
    tries: int = 0
    is_shown: bool = False
    is_late: bool = False
    again_at: datetime | None = None
    is_today: bool = False
    zone: str = "UTC"


class ExerciseWanted(Reply, frozen=True, kw_only=True):
    """The member is given the form, with the position: on it they may point."""

    technique: str
    picture: GridPicture | None = None


class NoExercise(Reply, frozen=True):
    """No position is under way."""


# --- a position ---


@dataclass(frozen=True, slots=True)
class ToPractise:
    """What is kept of the member, and the position that comes next, where one does."""

    practised: Practised
    technique: str = ""
    marks: Marks = "all"
    wished: Marks = "all"
    drawn: Drawn | None = None


async def load_practice(loading: Loading, scene: Scene, event: Event, act: Practise) -> ToPractise:
    """Load what the member has practised, and have a position made where another is wanted."""
    practised = with_needs(await loading.store.load_practice(scene.club.id, event.user_id))
    exercise = practised.exercise
    is_open = exercise is not None and not exercise.is_over
    asks_for_other = act.technique or act.marks is not None or act.way == "next"
    if act.way in ("hint", "show") or (is_open and not asks_for_other):
        return ToPractise(practised)
    technique = _wanted(scene, event, act, practised)
    before = _shown(exercise).wished if exercise else scene.club.settings.marks
    wished = act.marks or before
    marks: Marks = wished if has_bare(technique) else "all"
    skill = practised.skill_in(technique)
    drawn = loading.studies.of(
        draw_exercise,
        technique,
        f"{event.event_id} {event.user_id} {technique}",
        await loading.store.load_seen(scene.club.id, event.user_id, technique),
        marks != "all",
        skill is not None,
    )
    return ToPractise(practised, technique, marks, wished, drawn)


def _wanted(scene: Scene, event: Event, act: Practise, practised: Practised) -> str:
    """Return the technique to practise. Raises RefusedError for one that cannot be."""
    techniques = {each.id: each for each in ladder_of(scene.club.settings)}
    able = [technique for technique in practised_techniques() if technique in techniques]
    if act.technique:
        if act.technique in able:
            return act.technique
        if act.technique in techniques or act.technique not in practised_techniques():
            raise refuse("practice", Problem.NO_EXERCISE, act.technique)
        raise refuse("practice", Problem.UNIQUENESS, act.technique)
    met = {skill.technique for skill in practised.skills}
    offered = [
        name
        for name in able
        if name in met
        or (techniques[name].level <= HIGHEST_OFFERED and not techniques[name].is_shortcut)
    ]
    return choose_technique(practised.skills, offered, event.acted_at)


def decide_practice(scene: Scene, event: Event, act: Practise, wider: ToPractise) -> Decision:
    """Show a position, help with it, or show its find."""
    exercise = wider.practised.exercise
    if wider.drawn is not None:
        return _with_new(scene, event, wider, wider.drawn)
    if exercise is None or (exercise.is_over and act.way == "hint"):
        return Decision(NoExercise())
    shown = _shown(exercise)
    if act.way == "show" or (act.way == "hint" and (exercise.rung == WHICH or shown.step is None)):
        return _end(scene, event, wider.practised, exercise, shown.step, is_found=False)
    if act.way == "hint":
        return _help(scene, event, exercise)
    return Decision(structs.replace(shown, is_again=True))


def _with_new(scene: Scene, event: Event, wider: ToPractise, drawn: Drawn) -> Decision:
    position = drawn.position
    reply = ExerciseShown(
        technique=wider.technique,
        picture=GridPicture(
            position.givens,
            position,
            with_candidates=wider.marks != "none",
            marks=wider.marks,
            keeps_marks=True,
        ),
        step=drawn.step,
        needs_marks=wider.marks != wider.wished,
        wished=wider.wished,
    )
    exercise = Exercise(
        wider.technique, encode_reply(reply), drawn.fingerprint, drawn.base, event.acted_at
    )
    needed = [SaveSkill(scene.club.id, event.user_id, skill) for skill in wider.practised.unsaved]
    return Decision(reply, (*_known(scene, event), _saved(scene, event, exercise), *needed))


def _shown(exercise: Exercise) -> ExerciseShown:
    shown = decode_reply(exercise.reply)
    assert isinstance(shown, ExerciseShown)
    return shown


def _known(scene: Scene, event: Event) -> tuple[Change, ...]:
    """Return what makes the member known to the club, where they are not yet."""
    member = Member(0, scene.club.id, event.user_id, event.name)
    return () if scene.member else (SaveMember(member),)


def _saved(scene: Scene, event: Event, exercise: Exercise) -> SaveExercise:
    return SaveExercise(scene.club.id, event.user_id, exercise)


# --- help, and the end ---


def _help(scene: Scene, event: Event, exercise: Exercise) -> Decision:
    shown, rung = _shown(exercise), exercise.rung + 1
    assert shown.step is not None, "help ends with the find where there is none"
    picture = HintPicture(
        shown.picture.givens,
        shown.picture.position,
        shown.step,
        _RUNG_NAMES[rung],
        shown.picture.marks,
        keeps_marks=True,
    )
    helped = ExerciseHelped(technique=shown.technique, rung=rung, step=shown.step, picture=picture)
    return Decision(helped, (_saved(scene, event, replace(exercise, rung=rung)),))


def _end(
    scene: Scene,
    event: Event,
    practised: Practised,
    exercise: Exercise,
    step: StepFacts | None,
    *,
    is_found: bool,
) -> Decision:
    """Tell the find; the first time it is over, how it went is graded."""
    shown = _shown(exercise)
    picture: GridPicture | HintPicture = shown.picture
    if step is not None:
        picture = HintPicture(picture.givens, picture.position, step, "why", keeps_marks=True)
    skill, changes = practised.skill_in(exercise.technique), tuple[Change, ...]()
    if not exercise.is_over:
        grade = grade_of(
            tries=exercise.tries,
            rungs=exercise.rung,
            is_found=is_found,
            seconds=(event.acted_at - exercise.shown_at).total_seconds(),
            level=technique_with(exercise.technique).level,
        )
        skill = graded(
            skill,
            exercise.technique,
            grade,
            event.acted_at,
            is_alone=is_found and not exercise.rung,
        )
        changes = (
            _saved(scene, event, replace(exercise, is_over=True)),
            SaveSkill(scene.club.id, event.user_id, skill),
        )
    zone = scene.club.settings.zone
    over = ExerciseOver(
        technique=exercise.technique,
        step=step,
        picture=picture,
        tries=exercise.tries,
        is_shown=not is_found,
        is_late=exercise.is_over,
        again_at=skill.due_at if skill else None,
        is_today=skill is not None
        and local_date(skill.due_at, zone) <= local_date(event.acted_at, zone),
        zone=zone,
    )
    return Decision(over, changes)


# --- a find ---


def decide_exercise(scene: Scene, event: Event, act: SayFind, practised: Practised) -> Decision:
    """Judge what is said of the position under way, or the last one."""
    exercise = practised.exercise
    if exercise is None:
        return Decision(NoExercise())
    if act.said is None and not act.says_none:
        picture = _shown(exercise).picture
        return Decision(ExerciseWanted(technique=exercise.technique, picture=picture))
    shown = _shown(exercise)
    if act.said is None:
        tried = replace(exercise, tries=exercise.tries + 1)
        if shown.step is None:
            return _end(scene, event, practised, tried, None, is_found=True)
        return _miss(scene, event, exercise, tried, None)
    grid = shown.picture.position.to_grid()
    asked = _meant(grid, act.said, exercise.technique)
    if asked is None and shown.step is not None:
        asked = step_of_facts(grid.layout, shown.step)
    by_uniqueness = technique_with(exercise.technique).is_by_uniqueness
    judged = judged_facts(grid, act.said, asked, LADDER if by_uniqueness else WITHOUT_UNIQUENESS)
    tried = replace(exercise, tries=exercise.tries + 1)
    is_right = judged.judgement in (claims.Judgement.RIGHT, claims.Judgement.RIGHT_AND_MORE)
    if is_right and asked is not None:
        step = facts_of_step(grid.layout, asked)
        return _end(scene, event, practised, tried, step, is_found=True)
    if judged.judgement is not claims.Judgement.FAILS:
        tried = exercise
    return _miss(scene, event, exercise, tried, judged)


def _miss(
    scene: Scene, event: Event, before: Exercise, tried: Exercise, judged: FindJudged | None
) -> Decision:
    if before.is_over:
        tried = before
    missed = ExerciseMissed(technique=tried.technique, judged=judged, tries=tried.tries)
    changes = (_saved(scene, event, tried),) if tried != before else ()
    return Decision(missed, changes)


def _meant(grid: Grid, said: claims.Said, technique: str) -> Step | None:
    """Return the instance of a technique that somebody means: the one that shares most with what
    they say, None where none shares anything."""

    def shared(step: Step) -> int:
        strikes = (step.removes & said.removes).bit_count()
        places = len(set(step.places) & set(said.places))
        if not said.has_pattern:
            return 100 * (strikes + places)
        cells = len(set(step.cells) & set(said.cells))
        houses = len(set(step.houses) & set(said.houses))
        digits = len(set(step.digits) & set(said.digits))
        return 100 * (strikes + places) + 10 * (cells + houses) + digits

    best = max(find_steps(grid, technique), key=shared, default=None)
    return best if best is not None and shared(best) else None


PRACTISE = Course(Practise, decide_practice, load_practice)
