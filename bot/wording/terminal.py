"""What the command line says: answers as plain text, and errors with an example that works."""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path

from bot.club.facts import Position, facts_of_step
from bot.club.links import NameProblem
from bot.club.problems import Problem
from bot.club.walkthrough import facts_of_path
from bot.grid_input import InputError, InputProblem
from bot.platforms.message import RoomError
from bot.settings import ClubConfig, ConfigError, ConfigProblem
from bot.storage.errors import (
    DatabaseDamagedError,
    DatabaseFromFutureError,
    DatabaseLostError,
    DatabaseMissingError,
    DataInUseError,
    DiskFullError,
    FolderUnwritableError,
    NoClubError,
    NotADatabaseError,
    SaveFailedError,
    SqliteTooOldError,
    StorageError,
    TargetExistsError,
)
from bot.wording import rungs, technique_name
from bot.wording.links import name_problem
from bot.wording.prose import count_of, paragraphs, sentences
from bot.wording.story import tell_story
from bot.wording.techniques import never_needed
from bot.wording.times import tell_minutes
from bot.wording.turning import tell_briefly, tell_needs, tell_then
from bot.wording.unusable import EXAMPLE_GRID as EXAMPLE_GRID
from engine import Grid, Rating, Step, format_grid, grading
from engine import Path as SolvingPath


def input_error(error: InputError) -> str:
    match error.problem:
        case InputProblem.NO_FILE:
            return (
                f"There is no file {error.found} to read. Give a grid of 81 characters, nine "
                "lines, a file, or - for standard input. "
                f"Example: ninebark rate {EXAMPLE_GRID}"
            )
        case InputProblem.REMOVED:
            return (
                f"{error.found!r} does not say which candidates are struck. Name a cell and its "
                "digits, with commas between cells. Example: --removed 'r1c2 3, r1c4 1 5'"
            )
        case InputProblem.NOTHING:
            return f"There is no grid to read there. Example: ninebark rate {EXAMPLE_GRID}"


def config_error(error: ConfigError) -> str:
    """Say what is wrong in a config file, what was expected, and a line that works."""
    file = error.path.name
    where = f"[[{error.where}]]" if error.where == "club" else f"[{error.where}]"
    place = f"in {where} of {file}" if error.where else f"at the top of {file}"
    match error.problem:
        case ConfigProblem.MISSING_FILE:
            return (
                f"There is no config file {error.path}. Copy config.example.toml, change what you "
                "like, and name the copy. Example: ninebark run --config config.toml"
            )
        case ConfigProblem.TOML:
            return f"{file} cannot be read as TOML: {error.found}."
        case ConfigProblem.NO_CLUB:
            return (
                f"{file} names no club. Add one. Example:\n\n[[club]]\n{error.example}\n"
                'room = "main"\nname = "Hedgerow Sudoku Club"'
            )
        case ConfigProblem.TWICE:
            return f"Two clubs in {file} share the room {error.found}. Give each a room of its own."
        case ConfigProblem.MISSING_KEY:
            return f"The setting `{error.key}` is missing {place}. Example: {error.example}"
        case ConfigProblem.UNKNOWN_KEY:
            guess = f" Did you mean `{error.nearest}`?" if error.nearest else ""
            example = f" Example: {error.example}" if error.example else ""
            return f"There is no setting `{error.key}` {place}.{guess}{example}"
        case ConfigProblem.NEVER_NEEDED:
            return (
                f"`{error.key}` does not work {place}. {never_needed(error.found)} Example: "
                f"{error.example}"
            )
        case ConfigProblem.VALUE:
            return f"`{error.key} = {error.found}` does not work {place}. Example: {error.example}"


def rating(judged: Rating, *, with_all: bool = False) -> str:
    """A rating in a few lines for a leader to read; `with_all` steps of each turning point."""
    if judged.solutions == 0:
        return "No solution: this grid cannot be filled."
    if judged.solutions > 1:
        return "More than one solution: logic cannot settle this puzzle. Check the givens."
    spare = "none to spare" if judged.minimal else "some could be spared"
    lines = [f"One solution, {judged.givens} givens ({spare})."]
    if judged.level is None:
        lines.append("The ladder gets stuck before the end, so the puzzle has no level.")
    else:
        lines.append(
            f"Level {judged.level}; the hardest step is {technique_name(judged.hardest or '')}; "
            f"effort {judged.effort}, {tell_minutes(judged.minutes or 1)}."
        )
    needs = tell_needs({each: judged.way_rounds.get(each, ()) for each in judged.needs})
    counts = ", ".join(f"{technique_name(t)} {n}" for t, n in judged.techniques.items())
    lines += [*filter(None, [needs]), f"Steps: {counts}."]
    for number, point in enumerate(judged.turning_points, start=1):
        lines.append(
            f"Turning point {number} (level {point.level_on}): {format_grid(point.position)}"
        )
        lines.extend(f"  {_way_line(point.position, way)}" for way in point.ways)
        lines.extend(f"  {line}" for line in _others(judged, point, with_all=with_all))
    lines.append(f"Solution: {judged.solution}")
    return "\n".join(lines)


def _way_line(grid: Grid, way: Sequence[Step]) -> str:
    first, *then = (facts_of_step(grid.layout, step) for step in way)
    return sentences(f"{tell_briefly(first)}.", tell_then(then))


def _others(judged: Rating, point: grading.TurningPoint, *, with_all: bool) -> list[str]:
    """Say which steps at a turning point lead nowhere yet, or are above the puzzle's level."""
    leading = {way[0] for way in point.ways}
    others = [step for step in point.steps if step not in leading]
    if not others:
        return []
    above = sum(step.level > (judged.level or 0) for step in others)
    count = count_of(len(others), "more step")
    share = f"{above} of them " if above < len(others) else "all " if above > 1 else ""
    beyond = f", {share}above the puzzle's level" if above else ""
    if not with_all:
        return [f"{count}{beyond}. To list them: --all"]
    return [
        f"{count}{beyond}:",
        *(f"  {step_line(point.position, step)}" for step in others),
    ]


def rating_line(grid: str, judged: Rating) -> str:
    """A rating in one line, for many grids at once."""
    if judged.solutions != 1:
        return f"{grid}: {'no' if judged.solutions == 0 else 'more than one'} solution"
    needs = ", ".join(technique_name(each) for each in judged.needs) or "nothing special"
    return (
        f"{grid}: level {judged.level or 'unknown'}; effort {judged.effort or 'unknown'}; "
        f"needs {needs}; {judged.givens} givens"
    )


def step_line(grid: Grid, step: Step) -> str:
    """A step in one line: its technique, pattern and what follows."""
    return tell_briefly(facts_of_step(grid.layout, step))


def hint(grid: Grid, step: Step) -> str:
    """The four rungs, each under its name, so that a leader can choose how far to go."""
    said = rungs(facts_of_step(grid.layout, step), Position.of(grid))
    named = (f"{name.capitalize():6} {said[name]}" for name in said)
    return "\n".join(each.replace("\n", f"\n{' ' * 7}") for each in named)


def hint_line(grid: Grid, step: Step) -> str:
    """The last rung on one line, for many grids at once; rows of a table end in a semicolon."""
    why = rungs(facts_of_step(grid.layout, step), Position.of(grid))["why"]
    return re.sub("(?<![.:])\n", "; ", why).replace("\n", " ")


STUCK = "No technique on the ladder finds anything here."
COMPLETE = "Every cell is filled: there is nothing left to find."


def walkthrough(path: SolvingPath) -> str:
    """A path as a story, its steps numbered, a blank line between chapters."""
    told = facts_of_path(path)
    chapters = tell_story(format_grid(path.start), told.steps, told.positions)
    end = f"Solved: {format_grid(path.end)}" if path.is_solved else f"{STUCK}\n{path.end}"
    return paragraphs(*(chapter.text for chapter in chapters), end)


def folder_error(folder: Path, reason: str) -> str:
    return (
        f"The folder {folder} cannot be used for the clubs' data: {reason}. Name a folder that "
        'this user may write in. Example: data = "data" in the config, or --data club-data'
    )


def port_wrong(port: int) -> str:
    return f"Ports run from 0 to 65535, so {port} is not one. Example: ninebark try --port 8400"


ONE_GRID_A_PICTURE = "A picture shows one grid. Example: ninebark picture GRID --out grid.png"


def not_a_picture(file: Path) -> str:
    return (
        f"The picture is a PNG, so {file.name} should end in .png. "
        "Example: ninebark picture GRID --out grid.png"
    )


def picture_unwritable(file: Path, reason: str) -> str:
    return (
        f"The picture cannot be saved as {file} ({reason}). "
        "Example: ninebark picture GRID --out grid.png"
    )


def placed(line: int, text: str) -> str:
    """Put the line that a grid stood on before what is said of it; 0 where it came alone."""
    return f"line {line}: {text}" if line else text


CONFIG_FINE = "The config is fine. Start the clubs with: ninebark run --config FILE"
NO_PUZZLES = "No such puzzle in stock. Add some. Example: ninebark puzzles add --config FILE GRID"


def club_line(entry: ClubConfig, leaders: str, *, is_known: bool) -> str:
    """Tell of a club of the config. `leaders`: who leads it where the config names nobody."""
    settings = entry.settings
    state = "it has met before, so its leaders' settings apply" if is_known else "new"
    leaders = ", ".join(settings.leaders) or leaders
    return (
        f"{settings.name}: {entry.platform} room {entry.room}, posts at {settings.post_time} "
        f"({settings.zone}); leaders: {leaders}; {state}."
    )


def date_wrong(text: str) -> str:
    return f"{text!r} is not a date. Write the year, month and day. Example: --for 2026-12-01"


def puzzle_refused(problem: Problem | None) -> str:
    match problem:
        case Problem.NO_SOLUTION:
            return "This puzzle has no solution. Check the givens."
        case Problem.MANY_SOLUTIONS:
            return "This puzzle has more than one solution. Check the givens."
        case Problem.COMPLETE:
            return "Every cell is filled: that is a solution, not a puzzle."
    return (
        "The ladder gets stuck on this puzzle, so its hints and its walkthrough would stop "
        "half-way. It was not added."
    )


def backed_up(copy: Path) -> str:
    return f"The database was copied to {copy}."


def restored(copy: Path, kept: Path | None) -> str:
    also = f" What was there before is kept as {kept}." if kept else ""
    return f"The database was put back from {copy}.{also}"


def storage_error(error: StorageError) -> str:
    """Say what is wrong with the clubs' data, and what to try."""
    match error:
        case DiskFullError():
            return (
                f"The disk would not take the clubs' data in {error.path}: {error.reason}. Nothing "
                "was lost. Make some room on it, then start Ninebark again."
            )
        case FolderUnwritableError():
            return folder_error(error.path, error.reason)
        case SaveFailedError():
            return (
                f"The clubs' data could not be saved: {error.reason}. Nothing was lost. If the "
                "disk is full, make some room on it, then start Ninebark again."
            )
        case NoClubError():
            return f"There is no club in {error.path}: the file is empty. Nothing was changed."
        case DatabaseLostError():
            return _database_lost(error)
        case NotADatabaseError():
            return f"{error.path} is not one of Ninebark's databases. It was left as it is."
        case DatabaseDamagedError():
            return (
                f"{error.path} is damaged ({error.findings[0]}). Put a copy back. "
                "Example: ninebark restore --config config.toml copy.db"
            )
        case DatabaseFromFutureError():
            return (
                f"{error.path} was written by a newer Ninebark (its schema is {error.found}, this "
                f"one knows up to {error.known}). Install the newer Ninebark."
            )
        case DataInUseError():
            return (
                f"Another Ninebark is running on {error.path}. Stop it first, or use another data "
                'folder. Example: data = "data-two"'
            )
        case DatabaseMissingError():
            return f"There is no database at {error.path} yet."
        case TargetExistsError():
            return f"{error.path} already exists, and a copy never overwrites. Name another file."
        case SqliteTooOldError():
            return (
                f"This Python comes with SQLite {error.found}; Ninebark needs {error.needed} or "
                "newer."
            )
    return f"The clubs' data could not be used: {error}."


def _database_lost(error: DatabaseLostError) -> str:
    newest, name = error.beside[0], error.path.name
    copy = newest if newest.suffix == error.path.suffix else "copy.db"
    return (
        f"There is no club in {error.path} any more, but {newest.relative_to(error.path.parent)} "
        f"shows that there was one. To get it back, find {name} or put a copy back. Example: "
        f"ninebark restore --config config.toml {copy}. To begin with a new club, name another "
        'data folder. Example: data = "data-two"'
    )


def demo_advice(leader: str, *, kept_in: Path | None) -> str:
    kept = f"It is kept in {kept_in}." if kept_in else "None of it is kept."
    return (
        "Enter any name you like. A second tab can be a second member, and "
        f"{leader} leads the club. {kept}"
    )


NO_ROOM_FOR_LINKS = (
    "No club of this config meets on a page with an address, so there is nothing to invite anybody "
    'to. Give the page one in the config. Example: address = "https://club.example.org"'
)


def nobody_invited(problem: NameProblem) -> str:
    """Say why nobody can be invited under a name."""
    return f'{name_problem(problem)} Example: ninebark invite "Rowan B" --config config.toml'


def sheet_unwritable(file: Path, reason: str) -> str:
    """Say that the sheet with a link cannot be written; the link before it is good no more."""
    why = f" ({reason})" if reason else ""
    return (
        f"I can't write {file}{why}, so ask for another link. "
        "Example: ninebark invite Rowan --config config.toml --sheet rowan.pdf"
    )


def out_of_reach(platform: str, error: RoomError) -> str:
    """Say that a platform, under its title, could not be asked."""
    return f"{_begin(platform)} could not be asked just now: {error}. Try again in a while."


def platform_failed(platform: str, failure: Exception) -> str:
    """Say that a platform failed in a way that nobody has words for."""
    return f"{_begin(platform)} failed: {failure or type(failure).__name__}."


def platform_closed(platform: str, why: str) -> str:
    """Say that one platform's clubs are closed, why, and that the others are not."""
    return (
        f"{why} The clubs in {platform} stay closed until Ninebark is started again; all others "
        "carry on."
    )


def _begin(words: str) -> str:
    return words[:1].upper() + words[1:]
