"""Every pair of paints that may meet has the contrast that it needs, and no other pair is drawn."""

from __future__ import annotations

import pytest

from bot.club.facts import Picturable
from bot.drawing import draw_canvas
from bot.drawing.canvas import Canvas, UnlistedPairError
from bot.drawing.fonts import Face
from bot.drawing.geometry import Rect
from bot.drawing.theme import LISTED, PAIRS, Look, Paint, Pair, Use, theme_of
from engine.techniques import LADDER
from tests.bot.drawing.contrast import contrast
from tests.bot.drawing.scenes import every_picture, steps_by_technique

LOOKS: tuple[Look, ...] = ("light", "dark")
WHITE = (255, 255, 255)


@pytest.mark.parametrize(
    ("colour", "ratio"),
    [
        # W3C, Web Content Accessibility Guidelines 2.2: ratios on white.
        ((0x76, 0x76, 0x76), 4.542),
        ((0x77, 0x77, 0x77), 4.478),
        ((0x94, 0x94, 0x94), 3.033),
        ((0xFF, 0x00, 0x00), 3.998),
        # Okabe & Ito, Color Universal Design, 2008: blue on white.
        ((0x00, 0x72, 0xB2), 5.19),
        ((0, 0, 0), 21.0),
    ],
)
def test_the_ratio_is_the_published_one(colour: tuple[int, int, int], ratio: float) -> None:
    assert contrast(colour, WHITE) == pytest.approx(ratio, abs=0.006)


@pytest.mark.parametrize("look", LOOKS)
@pytest.mark.parametrize("pair", PAIRS, ids=lambda p: f"{p.front.name}-{p.back.name}-{p.use.name}")
def test_a_listed_pair_has_the_contrast_that_it_needs(pair: Pair, look: Look) -> None:
    colours = theme_of(look).colours
    assert contrast(colours[pair.front], colours[pair.back]) >= pair.use.value


def test_text_needs_more_than_shapes_as_wcag_has_it() -> None:
    # WCAG 2.2, 1.4.3 and 1.4.11.
    assert (Use.TEXT.value, Use.GRAPHIC.value) == (4.5, 3.0)


def test_only_grounds_go_without_contrast() -> None:
    grounds = {
        Paint.CARD, Paint.MARKED, Paint.HOUSE, Paint.PATTERN, Paint.SETTLED, Paint.STRIPE,
    }  # fmt: skip
    assert {pair.front for pair in PAIRS if pair.use is Use.SURFACE} <= grounds


@pytest.mark.parametrize("look", LOOKS)
def test_every_paint_has_a_colour_and_all_fit_one_palette(look: Look) -> None:
    theme = theme_of(look)
    assert set(theme.colours) == set(Paint)
    assert len(theme.palette) <= 3 * 256


def test_a_look_that_there_is_none_of_is_refused() -> None:
    with pytest.raises(ValueError, match="sepia"):
        theme_of("sepia")  # type: ignore[arg-type]


def test_the_scenes_hold_every_technique_of_the_ladder() -> None:
    assert {technique.id for technique in LADDER} == {
        step.technique for _, step in steps_by_technique().values()
    }


def test_every_listed_pair_that_is_drawn_is_drawn_somewhere() -> None:
    drawn: set[Pair] = set()
    for _, picture in every_picture():
        drawn |= draw_canvas(picture, "light").drawn
    assert drawn <= LISTED
    # Pairs that no step of levels 1 to 3 brings about, but that a later technique can.
    rare = {
        (front, back)
        for front in (Paint.INK, Paint.PLACED, Paint.OUTLINE, Paint.SLASH, Paint.BOX, Paint.PLATE)
        for back in (Paint.CARD, Paint.PATTERN, Paint.HOUSE, Paint.MARKED)
    } | {(Paint.SETTLED, Paint.CARD), (Paint.SETTLED, Paint.PATTERN), (Paint.PATTERN, Paint.CARD)}
    rare |= {(Paint.LINK, Paint.SETTLED)}
    assert {(pair.front, pair.back) for pair in LISTED - drawn} <= rare


def test_words_in_an_unlisted_pair_are_refused() -> None:
    canvas = Canvas(200, 60, "light")
    with pytest.raises(UnlistedPairError) as refusal:
        canvas.text("faint", 10, 30, Paint.THIN, size=20)
    assert refusal.value.pair == Pair(Paint.THIN, Paint.PAPER, Use.TEXT)


def test_a_shape_is_judged_by_the_ground_that_it_really_lies_on() -> None:
    canvas = Canvas(200, 60, "dark", ground=Paint.CARD)
    rect = Rect(10, 10, 40, 40)
    canvas.digit(7, rect, Paint.PLACED, face=Face.SLANTED, size=24)
    assert Pair(Paint.PLACED, Paint.CARD, Use.TEXT) in canvas.drawn
    other = Canvas(200, 60, "dark", ground=Paint.BAND)
    with pytest.raises(UnlistedPairError):
        other.digit(7, rect, Paint.PLACED, face=Face.SLANTED, size=24)


@pytest.mark.parametrize(("name", "picture"), tuple(every_picture()))
def test_a_picture_is_made_of_listed_colours_alone(name: str, picture: Picturable) -> None:
    canvas = draw_canvas(picture, "dark")
    used = {index for _, index in canvas.image.getcolors(256) or []}
    assert max(used) < len(theme_of("dark").palette) // 3
    assert canvas.drawn
