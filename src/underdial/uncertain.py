"""A value with its standard uncertainty, and linear propagation after the GUM.

Linear propagation is handed to the `uncertainties` library; what is ours is one frozen record that crosses the
rooms and one function that carries the inputs' uncertainties through any formula of ours, whatever is inside it.

Limits: first order, inputs independent. Source: JCGM 100:2008 (GUM), 5.1.2, eq. 10.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Uncertain:
    """A value and its standard uncertainty (k = 1), both in the unit the name of the field says."""

    value: float
    u: float = 0.0

    def __post_init__(self) -> None:
        assert self.u >= 0.0 or math.isnan(self.u), "a standard uncertainty is never negative"


def propagate(
    formula: Callable[..., float], inputs: Mapping[str, float], u_inputs: Mapping[str, float]
) -> Uncertain:
    """Value of `formula(**inputs)` and its standard uncertainty from those of the inputs.

    Central differences half a standard uncertainty wide to each side: the same first-order law as eq. 10 of the
    GUM with the slope taken over the span that matters; for a formula curved over that span its error is of third
    order in u. An input whose step leaves the formula's range is stepped to the other side only.
    """
    from underdial.errors import OutOfRange

    centre = float(formula(**inputs))
    total = 0.0
    for name, u in u_inputs.items():
        if u == 0.0:
            continue
        sides = []
        for sign in (0.5, -0.5):
            moved = {**inputs, name: inputs[name] + sign * u}
            try:
                sides.append((sign, float(formula(**moved))))
            except OutOfRange:
                continue
        if not sides:
            raise OutOfRange(f"{name}_u", u, 0.0, 0.0)
        if len(sides) == 1:
            sides.append((0.0, centre))
        slope = (sides[0][1] - sides[1][1]) / (sides[0][0] - sides[1][0])
        total += slope**2
    return Uncertain(centre, math.sqrt(total))
