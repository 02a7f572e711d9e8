"""Alternative text: for each picture the same facts in words, short enough for every platform.

A hint picture's text keeps to its rung: it reads the position, which is no secret, and then tells
as much of the step as the picture shows. What is marked comes first, since a long text may be cut.
"""

from __future__ import annotations

from bot.club.facts import (
    CoverPicture,
    GridPicture,
    HintPicture,
    Picturable,
    SkillsPicture,
    TablePicture,
    marked,
    step_of_facts,
)
from bot.wording import labels
from bot.wording.marks import tell_marks
from bot.wording.prose import capitalise, clean_text, join_words, sentences
from bot.wording.rungs import where, which
from bot.wording.spoken import (
    BLANK,
    speak_layout,
    speak_placed,
    tell_doubtful,
    tell_mistakes,
)
from bot.wording.steps import conclusion_of
from bot.wording.tables import improved_sentence, table_lines, table_title
from bot.wording.times import format_full_date
from engine import Grid, Step, pattern_parts, witnesses

ALT_LIMIT = 1000
"""Characters of an alternative text: a platform takes 1024 at most."""

_SINGLES_LEVEL = 1
_CUT = "… The whole of it as text: board text"
_REST = "more in the whole table."


def describe(picture: Picturable) -> str:
    """Return the alternative text of a picture: the same facts, at most ALT_LIMIT characters."""
    match picture:
        case GridPicture():
            return _describe_grid(picture)
        case HintPicture():
            return _describe_hint(picture)
        case TablePicture():
            return _describe_table(picture)
        case SkillsPicture():
            return _describe_skills(picture)
        case CoverPicture():
            return _describe_cover(picture)


def _describe_grid(picture: GridPicture) -> str:
    caption = capitalise(clean_text(picture.caption, 120).rstrip("."))
    grid = picture.position.as_written()
    about = (*picture.lines, *picture.houses, *picture.cells)
    return _fit(
        sentences(
            f"{caption}." if caption else "",
            tell_mistakes(picture.mistakes),
            tell_doubtful(picture.doubtful),
            f"Marked: {join_words(about)}." if about else "",
            _tell_places(picture.places),
        ),
        grid,
        picture.givens,
        candidates=marked(grid, picture.marks) if picture.with_candidates else None,
    )


def _tell_places(places: tuple[tuple[str, int], ...]) -> str:
    told = join_words(f"{digit} in {cell}" for cell, digit in places)
    return f"Boxed, since they come next: {told}." if places else ""


def _describe_hint(picture: HintPicture) -> str:
    """Say what the rung shows: the house alone; then the pattern; then what follows.

    As in the picture, the first rung shows no candidates, and a single only those of its own cells.
    """
    step, grid = picture.step, picture.position.as_written()
    if picture.rung == "where":
        return _fit(f"Marked: {step.houses[0]}. {where(step)}", grid, picture.givens)
    shown = marked(grid, picture.marks)
    if picture.marks != "all":
        struck = step.removes if picture.rung == "why" else ()
        shown |= grid.layout.parse_pairs((*step.pattern, *struck)) & grid.candidates
    if step.level == _SINGLES_LEVEL:
        shown &= sum(grid.layout.cell_bits[grid.layout.parse_cell(name)] for name in step.cells)
    found = step_of_facts(grid.layout, step)
    if pattern_parts.is_told_by_candidates(found):
        shown = 0
    houses = () if step.technique in pattern_parts.WALKED else step.houses
    if picture.rung == "which":
        named = join_words((*houses, "the cells of the pattern"))
        return _fit(
            sentences(f"Marked: {named}.", which(step), tell_marks(found, grid)),
            grid,
            picture.givens,
            candidates=shown,
        )
    named = join_words((*houses, *step.covers, "the pattern", "what follows"))
    start = sentences(
        f"Marked: {named}.",
        which(step),
        conclusion_of(found, grid),
        _ringed(found, grid),
        tell_marks(found, grid, is_whole=True),
    )
    return _fit(start, grid, picture.givens, candidates=0 if step.places else shown)


def _ringed(step: Step, grid: Grid) -> str:
    """Name the cells that the picture rings: a single is explained by digits that stand."""
    if step.level != _SINGLES_LEVEL:
        return ""
    cells = witnesses.find_witnesses(grid, step.constraints)
    if not cells:
        return ""
    return f"Ringed, since they explain it: {join_words(map(grid.layout.format_cell, cells))}."


def _describe_table(picture: TablePicture) -> str:
    """Read the rows as far as they fit; the message beside the picture has them all."""
    table = picture.table
    lines = [f"{clean_text(table.club, 60)}. {table_title(table)}."]
    improved = improved_sentence(table)
    room = ALT_LIMIT - len(improved) - len(_REST) - 8
    rows = table_lines(table)
    for number, row in enumerate(rows):
        if sum(len(line) + 1 for line in lines) + len(row) > room:
            lines.append(f"{len(rows) - number} {_REST}")
            break
        lines.append(row)
    if not rows:
        lines.append(labels.NO_RESULTS)
    return "\n".join([*lines, improved] if improved else lines)[:ALT_LIMIT]


def _describe_skills(picture: SkillsPicture) -> str:
    """Read the bars as far as they fit; the message beside the picture has them all."""
    lines = [f"{labels.PRACTICE}."]
    for number, skill in enumerate(picture.skills):
        due = f", {labels.DUE}" if skill.is_due else ""
        line = f"{labels.format_technique(skill.technique)}: {labels.format_alone(skill)}{due}."
        if sum(len(each) + 1 for each in lines) + len(line) > ALT_LIMIT - 40:
            return "\n".join([*lines, labels.format_more(len(picture.skills) - number)])
        lines.append(line)
    return "\n".join(lines)


def _describe_cover(picture: CoverPicture) -> str:
    return (
        f"Cover of a sealed puzzle: {clean_text(picture.club, 60)}, "
        f"{format_full_date(picture.date)}, level {picture.level}. Nothing of the puzzle is shown."
    )


def _fit(start: str, grid: Grid, givens: str, *, candidates: int | None = None) -> str:
    """Join the start and the fullest reading of the grid that fits.

    `candidates`: the candidate mask that the picture shows, None where it shows none.
    """
    shape, placed = speak_layout(grid.layout), speak_placed(grid, givens)
    shown = candidates or 0
    ways = [(0, " ", BLANK), (0, " ", ".")]
    if candidates is not None:
        ways = [(shown, " ", BLANK), (shown, "", BLANK), *ways]
    text = ""
    for held, between, blank in ways:
        reading = _read(grid, held, between=between, blank=blank)
        text = "\n".join(filter(None, (start, shape, reading, placed)))
        if len(text) <= ALT_LIMIT:
            return text
    return text[: ALT_LIMIT - len(_CUT)] + _CUT


def _read(grid: Grid, candidates: int, *, between: str = " ", blank: str = BLANK) -> str:
    """Read the grid by rows; open cells as their candidates in brackets, or as blanks."""
    layout, lines = grid.layout, []
    for row in layout.rows:
        cells = []
        for cell in row.cells:
            held = [str(digit) for _, digit in layout.pairs(candidates & layout.cell_bits[cell])]
            if grid.digit_at(cell):
                cells.append(str(grid.digit_at(cell)))
            else:
                cells.append(f"({between.join(held)})" if held else blank)
        lines.append(f"{row.name}: {' '.join(cells)}")
    return "\n".join(lines)
