"""A network in the middle of its teaching as a file: all its numbers in full, and the numbers of the tags it knows.

The file that the package ships is cut to eight bits a number and cannot be taught on; this one can.

Never here: the file of the package. Needs torch.
"""

from __future__ import annotations

from pathlib import Path

import torch

from teaching.answers import TagNumbers
from teaching.network import Network
from underdial.errors import BadInput

ENDING = ".pt"
_KEYS = {"numbers", "kinds", "values"}


def write(path: Path, network: Network) -> None:
    """Write the network as it stands."""
    torch.save(
        {"numbers": network.state_dict(), "kinds": dict(network.tags.kinds), "values": dict(network.tags.values)}, path
    )


def read(path: Path, *, pieces_count: int) -> Network:
    """The network of a file.

    Raises BadInput when there is none, or when its answers are not those of now: an id of the vocabulary came or went.
    """
    if not path.is_file():
        raise BadInput(
            "start", path, f"the file with the ending {ENDING} that an earlier round wrote beside its output"
        )
    # Only numbers and names are read: a file cannot run code.
    kept = torch.load(path, weights_only=True)
    if not isinstance(kept, dict) or set(kept) != _KEYS:
        raise BadInput("start", path, "a file that teaching wrote")
    layers_count = len({name.split(".")[1] for name in kept["numbers"] if name.startswith("layers.")})
    network = Network(TagNumbers(kept["kinds"], kept["values"]), pieces_count=pieces_count, layers_count=layers_count)
    own = {name: numbers.shape for name, numbers in network.state_dict().items()}
    if {name: numbers.shape for name, numbers in kept["numbers"].items()} != own:
        raise BadInput(
            "start",
            path,
            "a network with the answers of now; after a change of the vocabulary begin with the first round",
        )
    network.load_state_dict(kept["numbers"])
    return network


def grown(network: Network, tags: TagNumbers) -> Network:
    """The same network with more tags: `tags` begins with the network's own; new ones begin from little."""
    larger = Network(tags, pieces_count=network.pieces.num_embeddings, layers_count=len(network.layers))
    numbers = larger.state_dict()
    with torch.no_grad():
        for name, known in network.state_dict().items():
            if known.ndim:
                numbers[name][: len(known)] = known
            else:
                numbers[name].copy_(known)
    return larger


def mean_of(network: Network, other: Network) -> Network:
    """A network whose numbers lie halfway between those of `network` and of `other`, from which it was taught on.

    Tags met since have the numbers of `network`. Two networks of one teaching read a little better so than either.
    Source: Wortsman et al. 2022, Model soups: averaging weights of multiple fine-tuned models.

    Raises BadInput when the tags of `other` are not the first of `network`.
    """
    if other.tags.with_met(_tags(network.tags)) != network.tags:
        raise BadInput("mean", len(other.tags.values), "a network that this one was taught on from")
    between = grown(network, network.tags)
    numbers = between.state_dict()
    with torch.no_grad():
        for name, own in other.state_dict().items():
            known = numbers[name][: len(own)] if own.ndim else numbers[name]
            known.copy_((known + own) / 2.0)
    return between


def _tags(tags: TagNumbers) -> list[tuple[str, str]]:
    """Kinds and values in the order of their rows."""
    kinds = [(kind, "") for kind in sorted(tags.kinds, key=tags.kinds.__getitem__)]
    values = [value.split(":", 1) for value in sorted(tags.values, key=tags.values.__getitem__)]
    return [*kinds, *((kind, value) for kind, value in values)]
