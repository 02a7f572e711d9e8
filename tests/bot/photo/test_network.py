"""The network that ships: small, whole, and made again from its seed."""

from __future__ import annotations

from importlib.util import find_spec

import numpy as np
import pytest

from bot import assets
from bot.photo.cells import SIDE
from bot.photo.network import KINDS, load_network, unpack
from tests.bench.photo.hands import find_folder
from tests.photo_training.glyphs import Glyphs, load_font
from tests.photo_training.sheets import Sources, draw_sheet

MOST_BYTES = 300_000
FILE = assets.path("photo", "network.npy")


def test_the_network_is_small_and_told_where_it_is_from() -> None:
    assert FILE.stat().st_size <= MOST_BYTES
    told = (FILE.parent / "README.txt").read_text(encoding="utf-8")
    assert "CC BY-SA 3.0" in told
    assert f"{len(np.load(FILE)):,} weights" in told


def test_weights_of_another_shape_are_refused() -> None:
    weights = np.load(FILE)
    with pytest.raises(ValueError, match="weights where"):
        unpack(weights[:-1])
    with pytest.raises(ValueError, match="weights where"):
        unpack(np.append(weights, np.float16(0)))


def test_each_cell_is_judged_by_itself() -> None:
    random = np.random.default_rng(2)
    ink = random.random((5, SIDE, SIDE), dtype=np.float32)
    for tell in (load_network().tell, load_network().tell_surely):
        together = tell(ink)
        assert together.shape == (5, KINDS)
        assert np.allclose(together.sum(axis=1), 1, atol=1e-5)
        alone = np.concatenate([tell(ink[place : place + 1]) for place in range(5)])
        assert np.allclose(together, alone, atol=1e-4)


def test_what_hangs_on_a_pixel_is_less_sure() -> None:
    ink = np.random.default_rng(3).random((40, SIDE, SIDE), dtype=np.float32)
    network = load_network()
    moved = np.roll(ink, 1, axis=2)
    once, surely = network.tell(ink) - network.tell(moved), network.tell_surely(ink)
    assert np.abs(surely - network.tell_surely(moved)).sum() < 0.7 * np.abs(once).sum()


def test_the_same_seed_draws_the_same_sheet() -> None:
    font = load_font(assets.path("fonts", "atkinson-hyperlegible-next-medium.ttf"))
    glyphs = Glyphs({digit: (font[digit],) for digit in font})
    sources = Sources([glyphs], [glyphs], glyphs)
    (ink, kinds), (again, same_kinds), (other, _) = (
        draw_sheet(sources, np.random.default_rng(seed)) for seed in (3, 3, 4)
    )
    assert ink.tobytes() == again.tobytes()
    assert kinds.tolist() == same_kinds.tolist()
    assert ink.tobytes() != other.tobytes()
    assert set(kinds.tolist()) == set(range(KINDS))


@pytest.mark.long
@pytest.mark.skipif(find_spec("torch") is None, reason="torch, which trains, is not installed")
@pytest.mark.skipif(find_folder() is None, reason="the folder of samples and fonts is not named")
def test_the_network_is_made_again_byte_for_byte() -> None:
    from tests.photo_training.__main__ import make_network

    folder = find_folder()
    assert folder is not None
    assert make_network(folder).tobytes() == np.load(FILE).tobytes()
