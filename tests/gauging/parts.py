"""Simulated parts on the lathe, and balances, for these tests: truth known, readings drawn."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

FloatArray = npt.NDArray[np.float64]


@dataclass(frozen=True)
class Readings:
    """What a bench would write down."""

    z_m: list[float]
    angles_rad: list[float]
    readings_m: list[float]


def staff(
    rng: np.random.Generator,
    *,
    slope: float = 0.0,
    z_b: float = 0.015,
    angle: float = 0.0,
    bow: float = 0.0,
    noise: float = 1.5e-6,
    stations: int = 6,
    angles: int = 12,
    length: float = 0.03,
    oval: float = 2e-6,
) -> Readings:
    """A staff chucked off centre and askew, with a kink or a bow, a little oval."""
    z = np.repeat(np.linspace(0.0, length, stations), angles)
    t = np.tile(np.arange(angles) * 2.0 * math.pi / angles, stations)
    offset, tilt = rng.normal(0.0, 20e-6, 2), rng.normal(0.0, 1e-3, 2)
    off = slope * np.maximum(0.0, z - z_b) + bow * z**2
    x = offset[0] + tilt[0] * z + off * math.cos(angle)
    y = offset[1] + tilt[1] * z + off * math.sin(angle)
    readings = (
        50e-6 + x * np.cos(t) + y * np.sin(t) + oval * np.cos(2.0 * t - 1.0) + rng.normal(0.0, noise, len(z))
        if noise
        else (50e-6 + x * np.cos(t) + y * np.sin(t) + oval * np.cos(2.0 * t - 1.0))
    )
    return Readings([float(one) for one in z], [float(one) for one in t], [float(one) for one in readings])


def turned(value: float) -> float:
    """An angle brought to -pi..pi."""
    return (value + math.pi) % (2.0 * math.pi) - math.pi
