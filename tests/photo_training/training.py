"""The training itself, by torch on one core: the same seed gives the same weights, byte for byte.

That holds for one version of torch and numpy on one kind of processor, since sums are added in
whatever order these choose. What comes out is what `bot.photo.network` reads: half floats in a row,
batch norms folded into the convolutions before them.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import torch
from numpy.typing import NDArray
from torch import nn

from bot.photo.network import KINDS, WIDTHS

BATCH = 128
SHARPEST = 4e-3
"""The highest rate of learning, reached early and left slowly."""


@dataclass(frozen=True, slots=True)
class Pool:
    """Cells to train on, as bytes, and their labels."""

    cells: NDArray[np.uint8]
    labels: NDArray[np.uint8]


def build() -> nn.Sequential:
    """Return the network with the shapes of `bot.photo.network`, untrained."""
    first, second, third, fourth = WIDTHS
    return nn.Sequential(
        nn.Conv2d(1, first, 5, padding=2, stride=2, bias=False), nn.BatchNorm2d(first), nn.ReLU(),
        nn.Conv2d(first, second, 3, padding=1, bias=False), nn.BatchNorm2d(second), nn.ReLU(),
        nn.MaxPool2d(2),
        nn.Conv2d(second, third, 3, padding=1, bias=False), nn.BatchNorm2d(third), nn.ReLU(),
        nn.MaxPool2d(2),
        nn.Conv2d(third, fourth, 3, bias=False), nn.BatchNorm2d(fourth), nn.ReLU(),
        nn.Flatten(), nn.Dropout(0.2), nn.Linear(fourth * 4, KINDS),
    )  # fmt: skip


def train(
    pool: Pool, seed: int, epochs: int, tell: Callable[[int, float], None]
) -> NDArray[np.float16]:
    """Return the weights; `tell` gets each epoch's number and mean loss."""
    torch.set_num_threads(1)
    torch.manual_seed(seed)
    torch.use_deterministic_algorithms(True)
    random = np.random.default_rng(seed)
    network = build().to(memory_format=torch.channels_last)
    steps = epochs * (len(pool.labels) // BATCH)
    optimiser = torch.optim.AdamW(network.parameters(), lr=SHARPEST, weight_decay=0.01)
    rates = torch.optim.lr_scheduler.OneCycleLR(optimiser, SHARPEST, steps, pct_start=0.15)
    mean = torch.optim.swa_utils.AveragedModel(
        network, multi_avg_fn=torch.optim.swa_utils.get_ema_multi_avg_fn(0.998), use_buffers=True
    )
    for epoch in range(epochs):
        network.train()
        order, losses = random.permutation(len(pool.labels)), []
        for start in range(0, len(order) - BATCH + 1, BATCH):
            chosen = order[start : start + BATCH]
            cells = torch.from_numpy(_vary(pool.cells[chosen], random))
            cells = cells.to(memory_format=torch.channels_last)
            labels = torch.from_numpy(pool.labels[chosen].astype(np.int64))
            loss = nn.functional.cross_entropy(network(cells), labels)
            optimiser.zero_grad()
            loss.backward()
            optimiser.step()
            rates.step()
            mean.update_parameters(network)
            losses.append(loss.item())
        tell(epoch + 1, float(np.mean(losses)))
    return export(mean.module)


def _vary(cells: NDArray[np.uint8], random: np.random.Generator) -> NDArray[np.float32]:
    """Return a batch, each cell a little elsewhere, lighter or darker."""
    wide = cells.shape[1]
    padded = np.pad(cells, ((0, 0), (2, 2), (2, 2)), mode="edge")
    moves = random.integers(0, 5, (len(cells), 2))
    moved = np.stack(
        [each[y : y + wide, x : x + wide] for each, (y, x) in zip(padded, moves, strict=True)]
    )
    strength = random.uniform(0.75, 1.2, (len(cells), 1, 1)).astype(np.float32)
    return np.minimum(moved.astype(np.float32) / 255 * strength, 1)[:, None]


def export(network: nn.Module) -> NDArray[np.float16]:
    """Return all weights and shifts in a row, norms folded in."""
    layers = [each for each in network.modules() if not isinstance(each, nn.Sequential)]
    parts: list[torch.Tensor] = []
    for layer, after in zip(layers, [*layers[1:], None], strict=True):
        if isinstance(layer, nn.Conv2d):
            assert isinstance(after, nn.BatchNorm2d)
            scale = after.weight / torch.sqrt(after.running_var + after.eps)
            parts += [layer.weight * scale[:, None, None, None]]
            parts += [after.bias - after.running_mean * scale]
        elif isinstance(layer, nn.Linear):
            parts += [layer.weight, layer.bias]
    flat = torch.cat([each.detach().contiguous().flatten() for each in parts])
    return flat.numpy().astype(np.float16)
