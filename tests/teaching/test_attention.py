"""Attention of the teaching beside torch's own, forward and back; dropout by its mean. Skipped where torch is not
installed.
"""

from __future__ import annotations

import pytest

torch = pytest.importorskip("torch", reason="torch is wanted for teaching only: the optional group teach")

import torch.nn.functional as F  # noqa: E402

from teaching import attention  # noqa: E402

SHAPE = (3, 12, 9, 8)


@pytest.mark.parametrize("hidden", [0, 4])
def test_attention_and_its_gradients_are_torchs(hidden: int) -> None:
    torch.manual_seed(2)
    given = [torch.randn(SHAPE, requires_grad=True) for _ in range(3)]
    mask = torch.ones(SHAPE[0], SHAPE[2], dtype=torch.bool)
    mask[1, SHAPE[2] - hidden :] = False
    weights = torch.randn(SHAPE)
    found = []
    for mixed in (
        attention.mixed(*given, mask),
        F.scaled_dot_product_attention(*given, attn_mask=mask[:, None, None, :]),
    ):
        found.append((mixed.detach(), *torch.autograd.grad((mixed * weights).sum(), given)))

    for own, other in zip(*found, strict=True):
        assert torch.allclose(own, other, atol=1e-5)  # Derived: the same sums in single precision, in another order


def test_dropout_keeps_the_mean_and_reads_everything() -> None:
    torch.manual_seed(3)
    dropped, x = attention.Dropout(0.1), torch.ones(400, 400)
    share = float((dropped(x) == 0).float().mean())

    # Derived: a tenth in bytes is 26 of 256; 160 000 draws scatter by 0.0008
    assert share == pytest.approx(26 / 256, abs=0.005)
    assert float(dropped(x).mean()) == pytest.approx(1.0, abs=0.006)  # Derived: what stays is raised by the same share
    assert torch.equal(dropped.eval()(x), x)


def test_the_same_seed_leaves_out_the_same() -> None:
    x = torch.ones(50, 50)
    drawn = []
    for _ in range(2):
        torch.manual_seed(4)
        drawn.append(attention.Dropout(0.1)(x))

    assert torch.equal(*drawn)
