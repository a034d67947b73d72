"""A network with more layers than it was taught with: the new ones begin by changing little.

Each new layer is the sentence encoder's of that number, its two additions cut to a tenth, its norms set to give back
the spread and mean that the vectors had. So what was taught stays, and the new layers are taught into it. Source:
Bachlechner et al. 2021, ReZero is all you need (layers that begin as next to nothing).

Never here: teaching. Needs torch.
"""

from __future__ import annotations

from collections.abc import Sequence

import torch

from teaching.base_weights import Arrays, WordPieces
from teaching.lessons import batch_of
from teaching.network import Layer, Network
from teaching.stretches import LaidOut, stretches

# What a new layer adds at first, against the layer it was.
FIRST_RATIO = 0.1


@torch.no_grad()
def deepened(
    network: Network, layers_count: int, base: Arrays, texts: Sequence[LaidOut], pieces: WordPieces
) -> Network:
    """The network itself with new layers behind its last, up to `layers_count`; `texts` show the spread of its
    vectors.
    """
    network.eval()
    batches = [batch_of([(laid, stretch)], pieces) for laid in texts for stretch in stretches(len(laid.ids))]
    vectors = torch.cat([network.encode(batch.ids, batch.marks, batch.mask)[0] for batch in batches])
    mean, spread = float(vectors.mean()), float(vectors.std(1, unbiased=False).mean())
    tensors = {name: torch.from_numpy(array.copy()) for name, array in base.items()}
    for number in range(len(network.layers), layers_count):
        layer = Layer()
        layer.take_base(tensors, number)
        for addition in (layer.out, layer.narrow):
            addition.weight.mul_(FIRST_RATIO)
            addition.bias.mul_(FIRST_RATIO)
        for norm in (layer.norm1, layer.norm2):
            norm.weight.fill_(spread)
            norm.bias.fill_(mean)
        network.layers.append(layer)
    return network
