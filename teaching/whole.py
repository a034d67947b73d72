"""The sums of the encoder as the package does them, in whole numbers of eight bits, while the network is taught.

What comes to a matrix is cut to 256 steps between its least and largest number, each row of the matrix to 127 steps, so
that the network learns to do with that. Gradients pass as if nothing were cut. Sources: Jacob et al. 2018, Quantization
and training of neural networks for efficient integer-arithmetic-only inference; Bengio, Léonard, Courville 2013,
Estimating or propagating gradients through stochastic neurons (straight through).

Never here: a layer. Needs torch.
"""

from __future__ import annotations

from typing import Any

import torch
import torch.nn.functional as F
from torch import Tensor, nn

from teaching.encoder_graph import LARGEST_WHOLE

_STEPS = 255.0
_LEAST = 1e-9


class _Cut(torch.autograd.Function):
    @staticmethod
    def forward(ctx: Any, x: Tensor) -> Tensor:
        least, largest = torch.aminmax(x.detach())
        step = (largest.clamp(min=0.0) - least.clamp(max=0.0)).float().clamp(min=_LEAST) / _STEPS
        return (x * (1.0 / step).to(x.dtype)).round_().mul_(step.to(x.dtype))

    @staticmethod
    def backward(ctx: Any, *of_cut: Tensor) -> Tensor:
        return of_cut[0]


class _CutRows(torch.autograd.Function):
    @staticmethod
    def forward(ctx: Any, matrix: Tensor) -> Tensor:
        step = matrix.abs().amax(1, keepdim=True).clamp(min=_LEAST) / LARGEST_WHOLE
        return (matrix / step).round_().mul_(step)

    @staticmethod
    def backward(ctx: Any, *of_cut: Tensor) -> Tensor:
        return of_cut[0]


def cut(x: Tensor) -> Tensor:
    """Numbers of a tensor on 256 even steps."""
    found: Tensor = _Cut.apply(x)
    return found


def affine(layer: nn.Linear, x: Tensor) -> Tensor:
    """The sums of a layer for what `cut` gave."""
    return F.linear(x, _CutRows.apply(layer.weight), layer.bias)
