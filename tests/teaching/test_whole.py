"""Sums in whole numbers while the network is taught. Skipped where torch is not installed."""

from __future__ import annotations

import pytest

torch = pytest.importorskip("torch", reason="torch is wanted for teaching only: the optional group teach")

from teaching.encoder_graph import LARGEST_WHOLE  # noqa: E402

from teaching import whole  # noqa: E402

# Derived: eight bits without a sign.
STEPS_COUNT = 255


def test_numbers_fall_on_even_steps_between_least_and_largest() -> None:
    x = torch.randn(40, 16, generator=torch.Generator().manual_seed(1))
    step = float(x.max() - x.min()) / STEPS_COUNT
    cut = whole.cut(x)

    # Derived: rounding errs by half a step at most.
    assert float((cut - x).abs().max()) <= 0.5 * step * (1 + 1e-4)
    assert torch.allclose(cut / step, (cut / step).round(), atol=1e-3)


def test_zero_stays_zero_when_all_numbers_have_one_sign() -> None:
    x = torch.tensor([[0.0, 3.0, 5.1]])

    # Derived: the steps begin at 0, so that what is not there adds nothing.
    assert float(whole.cut(x)[0, 0]) == 0.0
    assert float(whole.cut(torch.zeros(2, 2)).abs().max()) == 0.0


def test_gradients_pass_as_if_nothing_were_cut() -> None:
    layer = torch.nn.Linear(6, 4)
    x = torch.randn(3, 6, requires_grad=True)
    whole.affine(layer, whole.cut(x)).sum().backward()
    rows = layer.weight.detach()
    step = rows.abs().amax(1, keepdim=True) / LARGEST_WHOLE

    assert x.grad is not None
    # Derived: the gradient of a sum of affine sums is the sum of the rows, here those that were cut.
    assert torch.allclose(x.grad[0], ((rows / step).round() * step).sum(0), atol=1e-5)
    assert layer.weight.grad is not None
    assert torch.allclose(layer.weight.grad[0], whole.cut(x).detach().sum(0), atol=1e-5)
