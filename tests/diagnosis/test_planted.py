"""Each mechanism has a planted case that ranks it first: a finding that names the fault, and the complaint such a clock
brings. (slow)

A mechanism is a kind of law or of hard stop from the table of fault laws; another test sees that none is without its
case.
"""

from __future__ import annotations

from typing import Any

import pytest

from tests.diagnosis.cases import asked, finding, leading
from underdial.diagnosis.made_up import own_name
from underdial.trade.fault_laws import fault_laws, law_kinds

LONGCASE, FRENCH, AMERICAN, BRACKET = (
    "english_longcase",
    "french_round_pendulum",
    "american_eight_day_pendulum",
    "english_fusee_bracket",
)
OPEN, ALARM, CARRIAGE, CHIMING = (
    "open_spring_balance_30h",
    "pin_pallet_alarm",
    "carriage_platform_lever",
    "going_barrel_chiming_pendulum",
)
Planted = tuple[str, str, str | None, dict[str, Any]]

# Family, fault, place said of the finding, complaint; by kind of law.
PLANTED: dict[str, Planted] = {
    "torque": (LONGCASE, "PWR-31", None, {"runs_for_s": 20000, "swing": "too_small"}),
    "torque_either": (LONGCASE, "PWR-32", None, {"runs_for_s": 10000, "swing": "too_small"}),
    "end": (OPEN, "PWR-01", None, {"runs_for_s": 60000}),
    "turns": (ALARM, "PWR-08", None, {"runs_for_s": 50000, "stops_at": "same_wind"}),
    "friction": (ALARM, "TRN-27", None, {"runs_for_s": 3600}),
    "mesh": (CARRIAGE, "TRN-01", "third_wheel", {"runs_for_s": 86400}),
    "ripple": (CARRIAGE, "TRN-01", "third_wheel", {"runs_for_s": 86400}),
    "main_ripple": (FRENCH, "TRN-27", None, {"runs_for_s": 3600}),
    "tooth_ripple": (FRENCH, "TRN-15", None, {"runs_for_s": 3600}),
    "drag_share": (AMERICAN, "TRN-05", None, {"runs_for_s": 600}),
    "drag_fixed": (ALARM, "TRN-32", None, {"runs_for_s": 120}),
    "minute_drag": (FRENCH, "MOT-04", None, {"runs_for_s": 3000, "goes_only": "hands_off"}),
    "lift": (BRACKET, "STR-09", None, {"stops_at": "before_hour", "runs_for_s": 7200}),
    "drop": (LONGCASE, "ESC-02", None, {"runs_for_s": 3600}),
    "impulse": (LONGCASE, "ESC-01", None, {"runs_for_s": 86400, "swing": "too_small"}),
    "unlocking": (CARRIAGE, "LEV-12", None, {"runs_for_s": 3600}),
    "trip": (ALARM, "LEV-04", None, {"races": True}),
    "least": (LONGCASE, "ESC-03", None, {"runs_for_s": 900}),
    "beat": (FRENCH, "PEN-01", None, {"runs_for_s": 900, "goes_only": "tilted"}),
    "quality": (FRENCH, "PEN-02", None, {"runs_for_s": 1200}),
    "oscillator_friction": (CARRIAGE, "BAL-15", None, {"runs_for_s": 3600}),
    "oscillator_friction_level": (CARRIAGE, "BAL-14", None, {"runs_for_s": 108000, "runs_dial_up_for_s": 600}),
    "coulomb": (OPEN, "BAL-21", None, {"rate_kind": "gains", "rate_s_per_day": 600}),
    "tip": (OPEN, "BAL-04", None, {"runs_for_s": 60, "runs_dial_up_for_s": 108000, "goes_only": "dial_up"}),
    "poise": (OPEN, "BAL-16", None, {"rate_kind": "gains"}),
    "rate_up": (CARRIAGE, "BAL-25", None, {"rate_kind": "gains", "rate_s_per_day": 600}),
    "rate_down": (CARRIAGE, "BAL-24", None, {"rate_kind": "loses", "rate_s_per_day": -300}),
    "rate_either": (LONGCASE, "PEN-14", None, {"rate_kind": "loses", "rate_s_per_day": -300}),
    "dead": (OPEN, "PWR-06", None, {"never_runs": True}),
    "arbor": (LONGCASE, "TRN-18", None, {"runs_for_s": 300}),
    "escape": (ALARM, "LEV-05", None, {"runs_for_s": 40}),
    "hour1": (FRENCH, "MOT-02", None, {"stops_at": "same_minute", "goes_only": "hands_off"}),
    "crossing": (LONGCASE, "MOT-01", None, {"goes_only": "hands_off", "runs_for_s": 9000}),
    "hour12": (LONGCASE, "MOT-09", None, {"stops_at": "same_dial_time"}),
    "hour24": (LONGCASE, "MOT-18", None, {"stops_at": "same_dial_time", "runs_for_s": 40000}),
    "before_hour": (BRACKET, "STR-14", None, {"stops_at": "before_hour"}),
    "quarter": (CHIMING, "CHM-08", "chime", {"stops_at": "same_minute"}),
    "one_oclock": (LONGCASE, "STR-12", None, {"stops_at": "same_dial_time"}),
    "wind": (LONGCASE, "PWR-33", None, {"stops_at": "same_wind", "runs_for_s": 345600}),
    "random": (LONGCASE, "PEN-17", None, {"runs_for_s": 20000, "stops_at": "irregular"}),
    "tilt": (CARRIAGE, "TRN-26", None, {"runs_for_s": 20000, "goes_only": "tilted"}),
    "winding_stop": (BRACKET, "PWR-29", None, {"stops_at": "same_wind", "since": "wound"}),
    "slip": (FRENCH, "MOT-05", None, {"hands_stand": True}),
}


def test_every_kind_of_law_has_its_planted_case() -> None:
    assert set(PLANTED) == set(law_kinds())
    for kind, (_, fault, _, _) in PLANTED.items():
        law = fault_laws()[fault]
        assert kind in {k for k, _ in (*law.laws, *law.events)}


@pytest.mark.slow
@pytest.mark.parametrize("kind", PLANTED)
def test_a_planted_mechanism_stands_first(kind: str) -> None:
    family, fault, of, complaint = PLANTED[kind]
    component, condition = own_name(asked(family), fault)

    order, _, _ = leading(
        asked(family, complaint=complaint, findings=[finding(component, condition, of=of, extent="severe")])
    )

    assert order[0] == fault
