"""Attention and dropout of the network while it is taught, a few heads at a time and from cheap chance.

On a processor the sums of torch take most of their time in going through large tables again and again: here each group
of heads is small enough to stay close to the core, forward and back. The numbers are those of softmax(q k') v. Source:
Dao et al. 2022, FlashAttention (the way back from the mixed values, without the shares' own gradient).

Never here: a layer, a parameter. Needs torch.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import torch
from torch import Tensor

# Heads whose tables are worked on together: those of one stretch.
HEADS_TOGETHER = 12
# Dropout draws a byte a number.
_BYTES = 256
_NOT_SEEN = -1e4


class Attention(torch.autograd.Function):
    """Each piece's mixture of all values."""

    @staticmethod
    def forward(ctx: Any, query: Tensor, key: Tensor, value: Tensor, hidden: Tensor | None) -> Tensor:
        """Mixed values of shape (h, n, w) from query (scaled), key and value of that shape; `hidden`, shape (h, 1, n),
        is added to the scores.
        """
        mixed = torch.empty_like(query)
        raised, parts = [], []
        for own in _groups(len(query)):
            scores = torch.bmm(query[own], key[own].transpose(1, 2))
            if hidden is not None:
                scores += hidden[own]
            scores -= scores.amax(-1, keepdim=True)
            raised.append(scores.exp_())
            parts.append(1.0 / scores.sum(-1, keepdim=True))
            torch.mul(torch.bmm(scores, value[own]), parts[-1], out=mixed[own])
        ctx.save_for_backward(query, key, value, mixed)
        ctx.raised, ctx.parts = raised, parts
        return mixed

    @staticmethod
    def backward(ctx: Any, *of_mixed: Tensor) -> tuple[Tensor | None, ...]:
        """Gradients of query, key and value."""
        query, key, value, mixed = ctx.saved_tensors
        of_query, of_key, of_value = (torch.empty_like(one) for one in (query, key, value))
        along = (of_mixed[0].float() * mixed.float()).sum(-1, keepdim=True)
        for own, raised, part in zip(_groups(len(query)), ctx.raised, ctx.parts, strict=True):
            arriving = of_mixed[0][own] * part
            torch.bmm(raised.transpose(1, 2), arriving, out=of_value[own])
            of_scores = torch.bmm(arriving, value[own].transpose(1, 2))
            of_scores -= (along[own] * part).to(of_scores.dtype)
            of_scores *= raised
            torch.bmm(of_scores, key[own], out=of_query[own])
            torch.bmm(of_scores.transpose(1, 2), query[own], out=of_key[own])
        return of_query, of_key, of_value, None


def _groups(heads_count: int) -> list[slice]:
    return [slice(begin, begin + HEADS_TOGETHER) for begin in range(0, heads_count, HEADS_TOGETHER)]


def mixed(query: Tensor, key: Tensor, value: Tensor, mask: Tensor) -> Tensor:
    """Mixed values of shape (b, heads, n, w) from tensors of that shape; pieces where `mask`, shape (b, n), is false
    are not seen.
    """
    b, heads_count, n, width = query.shape
    hidden = None
    if not bool(mask.all()):
        hidden = (
            torch.where(mask, 0.0, _NOT_SEEN)
            .to(query.dtype)[:, None, None, :]
            .expand(b, heads_count, 1, n)
            .reshape(-1, 1, n)
        )
    rows = [one.reshape(-1, n, width).contiguous() for one in (query * width**-0.5, key, value)]
    found: Tensor = Attention.apply(*rows, hidden)
    return found.view(b, heads_count, n, width)


class Dropout(torch.nn.Module):
    """Numbers left out by chance while teaching, the others raised so that their sum is the same on average.

    Torch's own draws a number of four bytes for each; these draws are its generator's seed and NumPy's bytes.
    """

    def __init__(self, probability: float) -> None:
        super().__init__()
        self.left_out_count = round(probability * _BYTES)
        self._chance: np.random.Generator | None = None

    def forward(self, x: Tensor) -> Tensor:
        """The numbers, some of them 0."""
        if not self.training:
            return x
        if self._chance is None:
            self._chance = np.random.Generator(np.random.SFC64(torch.initial_seed()))
        drawn = torch.from_numpy(self._chance.integers(0, _BYTES, x.numel(), dtype=np.uint8)).view(x.shape)
        return x * ((drawn >= self.left_out_count).to(x.dtype) * (_BYTES / (_BYTES - self.left_out_count)))
