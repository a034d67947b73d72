"""The energy balance of every draw, compiled: the same question and answer as `energy_balance.predict`.

    from underdial.mechanics.kernel import predict
    outcome = predict(layout, values, hours_h=(1.0, 24.0))      # mechanics.energy_balance.Outcome

`values` is the table of `mechanics.parameters`: float64, shape (rows, draws), C order (anything else is copied).
`threads_count` shares the draws out over threads; answers do not depend on it. Numba is imported at the first call,
its compiled code kept in the folder of `cache_folder`, by default the user's cache folder.

Written apart from the NumPy version; a test holds the two together to 1e-12 over random cases of all families.
"""

from __future__ import annotations

import os
import tempfile
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from functools import lru_cache
from itertools import pairwise
from pathlib import Path
from types import ModuleType

import numpy as np

from underdial.mechanics.energy_balance import Outcome, check_table
from underdial.mechanics.parameters import PARAMETERS, Array, Layout
from underdial.mechanics.periodic_loads import terms

# Rows of the compiled functions' answer for each position, in this order.
_PER_POSITION = (
    "amplitude_full_rad", "amplitude_end_rad", "reserve_ratio", "margin_ratio", "runs_full", "stop_s",
    "free_decay_q_ratio", "beat_angle_rad", "amplitude_ripple_ratio",
)  # fmt: skip


def predict(layout: Layout, values: Array, *, hours_h: Sequence[float] = (), threads_count: int = 1) -> Outcome:
    """What becomes of every draw over one wind, compiled.

    Parameters
    ----------
    layout : Layout
        Of the movement.
    values : array, shape (rows, draws)
        Parameters, float64, in C order.
    hours_h : sequence of float
        Hours since full winding at which swing, rate and torques are wanted [h], 0 or more.
    threads_count : int
        Threads that share the draws, 1 to 64.

    Returns
    -------
    Outcome
        As of `energy_balance.predict`.

    Raises
    ------
    BadInput
        The table has another number of rows than the layout.

    Notes
    -----
    Agrees with the NumPy version to 1e-12, cases on a threshold apart (tests/mechanics/test_kernel.py).
    """
    check_table(layout, values)
    loops = compiled()
    values = np.ascontiguousarray(values)
    draws, positions = values.shape[1], len(layout.positions)
    hours = np.asarray(hours_h, dtype=float)
    table = terms(layout)
    first = np.array([layout.first_row[name] for name in PARAMETERS], dtype=np.int64)
    counts = np.array(
        [layout.arbors_count, layout.escape_count, int(layout.oscillator == "pendulum"), table.steps_in_turn]
    )
    scales = np.array([layout.omega_rad_per_s, layout.duration_s, table.stride_s])
    vertical = np.array([one.axis_vertical for one in layout.positions])
    down = np.array([one.down_rad for one in layout.positions])
    gearing = np.asarray(layout.gearing_ratio, dtype=float)
    both = np.empty((2, draws))
    per_position = np.empty((positions, len(_PER_POSITION), draws))
    torques = np.empty((len(hours), 2, draws))
    at = np.empty((len(hours), positions, 2, draws))

    def share(part: tuple[int, int]) -> None:
        loops.run(
            values, part[0], part[1], first, counts, scales, gearing, vertical, down, hours * 3600.0,
            table.size_rows, table.phase_rows, table.period_s, table.kind, table.cosines, table.sines,
            both, per_position, torques, at,
        )  # fmt: skip

    parts = _parts(draws, threads_count)
    if len(parts) == 1:
        share(parts[0])
    else:
        with ThreadPoolExecutor(len(parts)) as pool:
            list(pool.map(share, parts))
    columns = {name: per_position[:, i] for i, name in enumerate(_PER_POSITION)}
    runs = columns.pop("runs_full") > 0.5
    return Outcome(
        **columns, runs_full=runs, escape_torque_n_m=both[0], main_torque_n_m=both[1], amplitude_at_rad=at[:, :, 0],
        rate_at_s_per_day=at[:, :, 1], escape_torque_at_n_m=torques[:, 0], main_torque_at_n_m=torques[:, 1],
    )  # fmt: skip


@lru_cache(maxsize=1)
def compiled(cache_folder: Path | None = None) -> ModuleType:
    """The module of compiled loops; the first call says where numba keeps its code.

    Where that folder cannot be written the code goes to a temporary one and is compiled again next time.
    """
    import platformdirs

    folder = cache_folder or Path(
        os.environ.get("NUMBA_CACHE_DIR") or platformdirs.user_cache_path("underdial") / "numba"
    )
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryFile(dir=folder):
            pass
    except OSError:
        folder = Path(tempfile.mkdtemp(prefix="underdial-numba-"))
    import numba

    numba.config.CACHE_DIR = str(folder)  # type: ignore[attr-defined]
    from underdial.mechanics import kernel_loops

    return kernel_loops


def _parts(draws: int, threads_count: int) -> list[tuple[int, int]]:
    """Spans of draws, cut at whole blocks so that no answer depends on the cut."""
    blocks = -(-draws // 64)
    parts = max(1, min(threads_count, blocks))
    cuts = [min(draws, 64 * (blocks * i // parts)) for i in range(parts + 1)]
    return [(a, b) for a, b in pairwise(cuts) if b > a] or [(0, 0)]
