"""A network that gets more layers reads nearly what it read before. Skipped where torch is not installed."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

torch = pytest.importorskip("torch", reason="torch is wanted for teaching only: the optional group teach")

from teaching.base_weights import WordPieces  # noqa: E402
from teaching.examples import Example  # noqa: E402
from teaching.network import _BASE_NAMES, INNER, WIDTH, Network  # noqa: E402
from teaching.stretches import lay_out, stretches  # noqa: E402

from teaching import checkpoint, deeper, lessons  # noqa: E402


def _base(layers_count: int) -> dict[str, np.ndarray]:
    rng = np.random.default_rng(1)
    rows = {"widen": INNER}
    found: dict[str, np.ndarray] = {}
    for number in range(layers_count):
        for own, theirs in _BASE_NAMES.items():
            name = f"encoder.layer.{number}.{theirs}"
            height, breadth = rows.get(own, WIDTH), INNER if own == "narrow" else WIDTH
            found[f"{name}.weight"] = (
                np.ones(WIDTH, np.float32)
                if "norm" in own
                else rng.normal(scale=0.05, size=(height, breadth)).astype(np.float32)
            )
            found[f"{name}.bias"] = np.zeros(height, np.float32)
    return found


def test_new_layers_change_little_at_first(
    network: Network, example: Example, pieces: WordPieces, tmp_path: Path
) -> None:
    laid = lay_out(example, pieces, network.tags)
    lesson = [(laid, stretches(len(laid.ids))[0])]
    batch = lessons.batch_of(lesson, pieces)
    network.eval()
    before = network.encode(batch.ids, batch.marks, batch.mask).detach()
    count = len(network.layers)
    deep = deeper.deepened(network, count + 2, _base(count + 2), [laid], pieces).eval()
    after = deep.encode(batch.ids, batch.marks, batch.mask).detach()

    assert len(deep.layers) == count + 2
    # Pinned: with additions cut to a tenth the vectors turn by less than a fifth of their spread.
    assert float((after - before).std() / before.std()) < 0.2
    checkpoint.write(tmp_path / "deep.pt", deep)
    assert len(checkpoint.read(tmp_path / "deep.pt", pieces_count=len(pieces.numbers)).layers) == count + 2
