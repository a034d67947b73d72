"""Small networks of causes, exactly: discrete nodes, tables of chances, answers by summing over everything.

For networks of up to some twenty yes/no nodes and as a reference for anything larger. A table has one axis for each
parent, in their order, and the node's own states last. `noisy_or` makes such a table from the strengths of causes.

Source: [Pearl1988]_ ch. 2 and 4. Exact up to rounding.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from underdial.errors import BadInput, OutOfRange

FloatArray = npt.NDArray[np.float64]
MOST_STATES = 2**22


@dataclass(frozen=True, slots=True)
class Node:
    """A node: its name, its parents, and the chances of its states, shape (states of parent 1, …, own states)."""

    name: str
    parents: tuple[str, ...]
    table: FloatArray


@dataclass(frozen=True, slots=True)
class Network:
    """Nodes in an order in which parents come before children."""

    nodes: tuple[Node, ...]

    def __post_init__(self) -> None:
        known: dict[str, int] = {}
        for node in self.nodes:
            _check(node, known)
            known[node.name] = node.table.shape[-1]
        if int(np.prod(list(known.values()), dtype=object)) > MOST_STATES:
            raise OutOfRange("nodes", len(self.nodes), 1, 22)


def yes_no(name: str, probability: float | Sequence[object], parents: Sequence[str] = ()) -> Node:
    """A yes/no node from the chance of yes for every state of its parents (nested lists, index 0 is no, 1 is yes)."""
    yes = np.asarray(probability, dtype=np.float64)
    return Node(name, tuple(parents), np.stack((1.0 - yes, yes), axis=-1))


def noisy_or(name: str, strengths: Mapping[str, float], *, leak_probability: float = 0.0) -> Node:
    """A yes/no node that any of its yes/no parents can bring about on its own, each with its strength.

    The chance of no is (1 - leak) times the product of (1 - strength) over the parents that are present.
    """
    miss = np.array(1.0 - leak_probability)
    for strength in strengths.values():
        if not 0.0 <= strength <= 1.0:
            raise OutOfRange("strength", strength, 0.0, 1.0)
        miss = np.multiply.outer(miss, np.array([1.0, 1.0 - strength]))
    return Node(name, tuple(strengths), np.stack((miss, 1.0 - miss), axis=-1))


def posterior(network: Network, of: str, given: Mapping[str, int]) -> FloatArray:
    """Chances of the states of one node, given states of others; shape (states,).

    Raises BadInput for a node or state that is not there, and when what is given cannot happen.
    """
    joint = _joint(network, given)
    axis = _axis(network, of)
    summed = joint.sum(axis=tuple(j for j in range(joint.ndim) if j != axis))
    total = float(summed.sum())
    if total <= 0.0:
        raise BadInput("given", ", ".join(f"{k}={v}" for k, v in given.items()), "states that can happen together")
    return np.asarray(summed / total)


def probability(network: Network, given: Mapping[str, int]) -> float:
    """Chance that all the given nodes are in the given states."""
    return float(_joint(network, given).sum())


def _joint(network: Network, given: Mapping[str, int]) -> FloatArray:
    """The joint table over all nodes in order, with everything that contradicts `given` put to nought."""
    names = [node.name for node in network.nodes]
    sizes = [node.table.shape[-1] for node in network.nodes]
    joint = np.ones(sizes)
    for own, node in enumerate(network.nodes):
        axes = [names.index(parent) for parent in node.parents] + [own]
        order = np.argsort(axes)
        shape = [1] * len(names)
        for axis in axes:
            shape[axis] = sizes[axis]
        joint = joint * np.transpose(node.table, order).reshape(shape)
    for name, state in given.items():
        axis = _axis(network, name)
        if not 0 <= state < sizes[axis]:
            raise BadInput(name, state, f"a state from 0 to {sizes[axis] - 1}")
        keep = np.zeros(sizes[axis])
        keep[state] = 1.0
        joint = joint * keep.reshape([-1 if j == axis else 1 for j in range(len(names))])
    return joint


def _axis(network: Network, name: str) -> int:
    for axis, node in enumerate(network.nodes):
        if node.name == name:
            return axis
    raise BadInput("node", name, ", ".join(node.name for node in network.nodes))


def _check(node: Node, known: Mapping[str, int]) -> None:
    if node.name in known:
        raise BadInput("node", node.name, "each name once")
    for parent in node.parents:
        if parent not in known:
            raise BadInput(
                "parents",
                parent,
                "nodes that come before",
                f"node {node.name}: its parent {parent} does not come before it",
            )
    want = tuple(known[parent] for parent in node.parents)
    if node.table.ndim != len(want) + 1 or node.table.shape[:-1] != want:
        raise BadInput(
            "table", str(node.table.shape), f"one axis for each parent, {want}, and the node's own states last"
        )
    if np.any(node.table < 0.0) or not np.allclose(node.table.sum(axis=-1), 1.0, atol=1e-9):
        raise BadInput("table", node.name, "chances from 0 to 1 that add to 1 over the node's states")
