"""Each law of a fault does to the movement what the sentence on it in the trade's data says."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Callable

import numpy as np
import pytest

from tests.diagnosis.cases import asked, number, sound_clocks, with_fault
from underdial.diagnosis import effects
from underdial.mechanics.parameters import Array
from underdial.trade.fault_laws import law_kinds

C, S, ARBOR = 0.2, 0.7, 2
CS = C * S

# Source: `meta.laws` of trade/data/fault_laws.json, a sentence a kind, written out here a second time: parameter, place
# (None where the movement has but one), and what becomes of its value.
WRITTEN: dict[str, dict[tuple[str, int | None], Callable[[float], float]]] = {
    "torque": {("full_torque_n_m", None): lambda v: v * math.exp(-CS)},
    "end": {("end_torque_ratio", None): lambda v: v * (1.0 - CS)},
    "turns": {("available_turns_ratio", None): lambda v: v * math.exp(-CS)},
    "friction": {("pivot_friction_ratio", ARBOR): lambda v: v * (1.0 + CS)},
    "mesh": {("mesh_efficiency_ratio", place): lambda v: v * (1.0 - CS) for place in (ARBOR - 1, ARBOR)},
    "ripple": {("arbor_ripple_ratio", ARBOR): lambda v: v + CS},
    "main_ripple": {("arbor_ripple_ratio", 0): lambda v: v + CS},
    "tooth_ripple": {("mesh_ripple_ratio", place): lambda v: v + CS for place in (ARBOR - 1, ARBOR)},
    "drag_share": {("drag_share_ratio", ARBOR): lambda v: 1.0 - math.exp(-CS)},
    "drop": {("drop_ratio", None): lambda v: v + CS},
    "impulse": {("impulse_efficiency_ratio", None): lambda v: v * math.exp(-CS)},
    "unlocking": {("unlocking_ratio", None): lambda v: v * (1.0 + CS)},
    "least": {("least_amplitude_rad", None): lambda v: v * (1.0 + CS)},
    "quality": {("linear_q_ratio", None): lambda v: v / (1.0 + CS)},
    "oscillator_friction": {
        (name, None): lambda v: v * (1.0 + CS)
        for name in ("axis_horizontal_friction_ratio", "axis_vertical_friction_ratio")
    },
    "oscillator_friction_level": {("axis_vertical_friction_ratio", None): lambda v: v * (1.0 + CS)},
    "tip": {(name, None): lambda v: v * (1.0 + CS) for name in ("cone_tip_radius_m", "cone_flat_radius_m")},
    "rate_up": {("rate_offset_s_per_day", None): lambda v: v + CS},
    "rate_down": {("rate_offset_s_per_day", None): lambda v: v - CS},
}


def acted(kind: str) -> tuple[effects.Bench, Array, Array]:
    """Healthy values of one alarm clock, and the same with a law of this kind alone at its third arbor."""
    one = asked("pin_pallet_alarm")
    theta, none = sound_clocks(one, 1)
    k = number(one, "TRN-01")
    suspect = one.suspicion.suspects[k]
    only = dataclasses.replace(suspect, everywhere=False, law=dataclasses.replace(suspect.law, laws=((kind, C),)))
    draws = with_fault(one, none, "TRN-01", S)
    draws.arbor[k], draws.sense[k] = ARBOR, 1
    sound, changed = effects.healthy(one.bench, theta), effects.healthy(one.bench, theta)
    suspects = tuple(only if i == k else each for i, each in enumerate(one.suspicion.suspects))
    effects.act(one.bench, changed, suspects, draws)
    return one.bench, sound.values[:, 0], changed.values[:, 0]


@pytest.mark.parametrize("kind", sorted(WRITTEN))
def test_a_law_does_what_its_sentence_says_and_nothing_besides(kind: str) -> None:
    bench, sound, changed = acted(kind)
    expected = sound.copy()
    for (name, place), law in WRITTEN[kind].items():
        row = bench.layout.row(name, place)
        expected[row] = law(sound[row])

    # Source: the sentences above; severities are kept in single precision.
    assert changed == pytest.approx(expected, rel=1e-6)
    assert np.any(changed != sound)


def test_laws_that_refer_to_the_clock_take_its_own_scales() -> None:
    bench, sound, changed = acted("drag_fixed")
    row = bench.layout.row("drag_torque_n_m", ARBOR)
    # Source: the sentence on drag_fixed: c s times the torque that should reach the escape wheel.
    assert changed[row] - sound[row] == pytest.approx(CS * bench.escape_torque_n_m, rel=1e-6)

    bench, sound, changed = acted("coulomb")
    row = bench.layout.row("friction_torque_n_m")
    # Source: the sentence on coulomb: a tenth of the torque that would use up the whole impulse, times c s.
    assert changed[row] - sound[row] == pytest.approx(0.1 * CS * bench.impulse_torque_n_m, rel=1e-6)

    bench, sound, changed = acted("beat")
    row, least = bench.layout.row("beat_angle_rad"), bench.layout.row("least_amplitude_rad")
    # Source: the sentence on beat: c s times the least amplitude, that of the family.
    assert changed[row] - sound[row] == pytest.approx(CS * bench.nominal[least], rel=1e-6)

    bench, sound, changed = acted("poise")
    row = bench.layout.row("poise_torque_n_m")
    # Source: the sentence on poise: c s mm, times the weight.
    assert changed[row] - sound[row] == pytest.approx(CS * 1e-3 * bench.oscillator_weight_n, rel=1e-6)


def test_every_sentence_is_held_here_or_said_to_be_left() -> None:
    by_themselves = {"drag_fixed", "coulomb", "beat", "poise"}
    # Senses are drawn, trips are no parameter, and the hour arbor's laws are held by what they do (test_faults_act).
    left = {"torque_either", "rate_either", "trip", "minute_drag", "lift"}

    kinds = {kind for kind in law_kinds() if kind in effects._KINDS}
    assert kinds == set(WRITTEN) | by_themselves | left
