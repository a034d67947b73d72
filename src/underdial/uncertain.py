"""A value with its standard uncertainty, and linear propagation after the GUM.

Linear propagation is handed to the `uncertainties` library; what is ours is one frozen record that crosses the
rooms and one function that carries the inputs' uncertainties through any formula of ours, whatever is inside it.

Limits: first order, inputs independent. Source: JCGM 100:2008 (GUM), 5.1.2, eq. 10.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Uncertain:
    """A value and its standard uncertainty (k = 1), both in the unit the name of the field says."""

    value: float
    u: float = 0.0

    def __post_init__(self) -> None:
        assert self.u >= 0.0 or math.isnan(self.u), "a standard uncertainty is never negative"


def propagate(formula: Callable[..., float], inputs: Mapping[str, float], u_inputs: Mapping[str, float]) -> Uncertain:
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


@dataclass(frozen=True, slots=True)
class Part:
    """One input of an uncertainty budget: value, standard uncertainty, degrees of freedom (infinite when known
    well).
    """

    value: float
    u: float = 0.0
    degrees_of_freedom: float = math.inf


@dataclass(frozen=True, slots=True)
class Budget:
    """What a budget adds up to: value, combined u, effective degrees of freedom, and each input's own share (a
    size).
    """

    value: float
    u: float
    degrees_of_freedom: float
    shares: Mapping[str, float]


def standard_u(*, half_width: float, shape: str) -> float:
    """Standard uncertainty of a quantity known to lie within a half-width: rectangular, triangular or arcsine.

    Source: JCGM 100:2008, 4.3.7, 4.3.9 and H.1.
    """
    from underdial.errors import BadInput

    divisors = {"rectangular": 3.0, "triangular": 6.0, "arcsine": 2.0}
    if shape not in divisors:
        raise BadInput("shape", shape, ", ".join(divisors))
    return half_width / math.sqrt(divisors[shape])


def budget(formula: Callable[..., float], parts: Mapping[str, Part]) -> Budget:
    """Uncertainty budget of `formula` over its inputs: GUM eq. 10 with Welch-Satterthwaite degrees of freedom
    (G.2b).
    """
    values = {name: part.value for name, part in parts.items()}
    slopes = _slopes(formula, values, {name: part.u for name, part in parts.items()})
    shares = {name: abs(slopes[name]) * part.u for name, part in parts.items()}
    u = math.sqrt(math.fsum(one * one for one in shares.values()))
    known = [(shares[name], part.degrees_of_freedom) for name, part in parts.items()]
    return Budget(float(formula(**values)), u, effective_degrees_of_freedom(u, known), shares)


def effective_degrees_of_freedom(u: float, shares: Sequence[tuple[float, float]]) -> float:
    """Welch-Satterthwaite: u^4 over the sum of share^4 / degrees of freedom. Source: JCGM 100:2008, G.4.1, eq. G.2b."""
    below = math.fsum(share**4 / df for share, df in shares if math.isfinite(df) and share > 0.0)
    return u**4 / below if below > 0.0 else math.inf


def coverage_factor(*, probability: float, degrees_of_freedom: float) -> float:
    """Two-sided factor of Student's t: so many u to each side hold the value with this probability.

    Source: GUM, G.3.
    """
    from scipy.special import ndtri, stdtrit

    from underdial.errors import OutOfRange

    if not 0.0 < probability < 1.0:
        raise OutOfRange("probability", probability, 0.0, 1.0)
    if degrees_of_freedom <= 0.0:
        raise OutOfRange("degrees_of_freedom", degrees_of_freedom, 1.0, math.inf)
    upper = 0.5 + probability / 2.0
    return float(ndtri(upper) if math.isinf(degrees_of_freedom) else stdtrit(degrees_of_freedom, upper))


def expanded_u(*, u: float, probability: float, degrees_of_freedom: float = math.inf) -> float:
    """Half-width that holds the value with this probability: coverage factor times u. Source: GUM, 6.2 and G.3."""
    return u * coverage_factor(probability=probability, degrees_of_freedom=degrees_of_freedom)


def correlated(
    formulas: Sequence[Callable[..., float]], parts: Mapping[str, Part], correlations: Mapping[tuple[str, str], float]
) -> tuple[list[Uncertain], list[list[float]]]:
    """Several results of the same, perhaps correlated inputs: each with its u, and the results' own correlations.

    `correlations` names pairs of inputs once; pairs left out are independent. Source: JCGM 100:2008, 5.2.2, H.2.
    """
    names = list(parts)
    values = {name: part.value for name, part in parts.items()}
    us = {name: part.u for name, part in parts.items()}
    rows = []
    for formula in formulas:
        slopes = _slopes(formula, values, us)
        rows.append([slopes[name] * us[name] for name in names])

    def between(first: str, second: str) -> float:
        return 1.0 if first == second else correlations.get((first, second), correlations.get((second, first), 0.0))

    cover = [
        [math.fsum(a[i] * b[j] * between(p, q) for i, p in enumerate(names) for j, q in enumerate(names)) for b in rows]
        for a in rows
    ]
    found = [
        Uncertain(float(formula(**values)), math.sqrt(max(0.0, cover[i][i]))) for i, formula in enumerate(formulas)
    ]
    spread = [one.u or 1.0 for one in found]
    return found, [[cover[i][j] / (spread[i] * spread[j]) for j in range(len(rows))] for i in range(len(rows))]


def _slopes(formula: Callable[..., float], values: Mapping[str, float], us: Mapping[str, float]) -> dict[str, float]:
    """Slope against each input, by central differences half a standard uncertainty wide to each side."""
    found = {}
    for name, u in us.items():
        step = 0.5 * u
        if step == 0.0:
            found[name] = 0.0
            continue
        above, below = {**values, name: values[name] + step}, {**values, name: values[name] - step}
        found[name] = (float(formula(**above)) - float(formula(**below))) / (2.0 * step)
    return found
