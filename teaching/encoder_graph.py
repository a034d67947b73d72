"""The encoder's sums as a graph in the open ONNX format, which onnxruntime runs for the reading.

The graph holds no numbers: every table stands in it by name and shape only, and is laid in when the graph is loaded
(`underdial.telling.learned.network`). Sums are those of `teaching.network.Layer`, for one stretch at a time: what comes
to a matrix is cut to eight bits between its least and largest number, multiplied in whole numbers, and given its size
back.
Sources: the ONNX operators DynamicQuantizeLinear, MatMulInteger, LayerNormalization and Gelu, operator set 20;
onnxruntime's MultiHeadAttention (com.microsoft 1), the same sums as MatMul, Softmax and MatMul.

Never here: numbers, torch. Needs onnx.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
import numpy.typing as npt
from onnx import NodeProto, TensorProto, helper, numpy_helper

OPERATORS, FORMAT = 20, 9
_OF_ONNXRUNTIME = "com.microsoft"
EPSILON = 1e-12
# Where the numbers of a table lie: not in a file of the graph's own, so any name will do.
_ELSEWHERE = "tables"
GIVEN, WANTED = "pieces_with_marks", "vectors"
# Matrices go from minus this to this: two products of such a number and one of eight bits add up within sixteen bits,
# which older processors need.
LARGEST_WHOLE = 63


class _Graph:
    """Nodes one behind the other; each method adds some and gives the name of what they make."""

    def __init__(self, shapes: Mapping[str, Sequence[int]]) -> None:
        self.shapes = shapes
        self.nodes: list[NodeProto] = []
        self.tables: dict[str, TensorProto] = {}

    def node(self, operator: str, *given: str, made: str | None = None, **settings: Any) -> str:
        name = made or f"{operator}{len(self.nodes)}"
        self.nodes.append(helper.make_node(operator, list(given), [name], **settings))
        return name

    def table(self, name: str, dims: Sequence[int] | None = None, kind: int = TensorProto.FLOAT) -> str:
        table = TensorProto(
            name=name, data_type=kind, dims=dims or self.shapes[name], data_location=TensorProto.EXTERNAL
        )
        table.external_data.add(key="location", value=_ELSEWHERE)
        self.tables[name] = table
        return name

    def constant(self, name: str, value: npt.NDArray[np.generic]) -> str:
        self.tables[name] = numpy_helper.from_array(value, name)
        return name

    def affine(self, name: str, given: str) -> str:
        """A matrix times each row, and a shift; the matrix lies with its columns beside each other, a scale for each
        row of its own.
        """
        height, breadth = self.shapes[name]
        whole, step, zero = (f"{name}.{one}" for one in ("whole", "step", "zero"))
        self.nodes.append(helper.make_node("DynamicQuantizeLinear", [given], [whole, step, zero]))
        summed = self.node(
            "MatMulInteger", whole, self.table(f"{name}.int8", (breadth, height), TensorProto.INT8), zero
        )
        sized = self.node(
            "Mul",
            self.node("Cast", summed, to=TensorProto.FLOAT),
            self.node("Mul", step, self.table(f"{name}.scale", (height,))),
        )
        return self.node("Add", sized, self.table(f"{name}.shift"))

    def normed(self, name: str, given: str, made: str | None = None) -> str:
        return self.node(
            "LayerNormalization",
            given,
            self.table(f"{name}.gain"),
            self.table(f"{name}.shift"),
            made=made,
            epsilon=EPSILON,
        )

    def mixed(self, name: str, given: str, heads_count: int) -> str:
        """Each piece's share of all pieces, head by head."""
        width = self.shapes[f"{name}.out"][1]
        rows = self.constant("rows", np.array([1, -1, 3 * width], np.int64))
        parts = [f"{name}.{part}" for part in ("query", "key", "value")]
        joined = self.node("Reshape", self.affine(f"{name}.attend", given), rows)
        self.nodes.append(helper.make_node("Split", [joined], parts, axis=2, num_outputs=3))
        # Onnxruntime's own operator goes through keys and values in blocks that stay in the processor's memory.
        mixed = self.node("MultiHeadAttention", *parts, domain=_OF_ONNXRUNTIME, num_heads=heads_count)
        return self.node("Reshape", mixed, self.constant("joined", np.array([-1, width], np.int64)))


def encoder_graph(shapes: Mapping[str, Sequence[int]], *, layers_count: int, heads_count: int) -> bytes:
    """The graph as bytes of an ONNX file.

    `shapes` are those of the tables the graph names (`layer0.attend` and so on, queries, keys and values one behind the
    other); it takes pieces with their marks, shape (n, d), and gives their vectors, shape (n, d).
    """
    graph = _Graph(shapes)
    x = graph.normed("norm", GIVEN)
    for at in range(layers_count):
        name = f"layer{at}"
        x = graph.normed(
            f"{name}.norm1", graph.node("Add", x, graph.affine(f"{name}.out", graph.mixed(name, x, heads_count)))
        )
        bent = graph.node("Gelu", graph.affine(f"{name}.widen", x), approximate="tanh")
        x = graph.normed(
            f"{name}.norm2",
            graph.node("Add", x, graph.affine(f"{name}.narrow", bent)),
            made=WANTED if at == layers_count - 1 else None,
        )
    ends = [
        helper.make_tensor_value_info(name, TensorProto.FLOAT, ["n", shapes["norm.gain"][0]])
        for name in (GIVEN, WANTED)
    ]
    made = helper.make_graph(graph.nodes, "encoder", ends[:1], ends[1:], list(graph.tables.values()))
    model = helper.make_model(
        made,
        opset_imports=[helper.make_opsetid("", OPERATORS), helper.make_opsetid(_OF_ONNXRUNTIME, 1)],
        ir_version=FORMAT,
        producer_name="underdial",
    )
    return bytes(model.SerializeToString())
