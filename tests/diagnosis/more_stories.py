"""Stories of the bench with the causes a repairer would look for, set down before any of them was run.

Source of every expected cause: common practice of the trade, and the weights of complaints in the trade's own table.
Where nothing told could part two faults, both are named. `STORIES` were run, then the model was mended; `UNSEEN` were
set down before that mending and run once after it. What was measured with them stands in
docs/explanation/calibration.md.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from tests.diagnosis.cases import finding

OPEN, OPEN_8, ALARM, CARRIAGE = (
    "open_spring_balance_30h",
    "open_spring_balance_8d",
    "pin_pallet_alarm",
    "carriage_platform_lever",
)
LONGCASE, THIRTY, REGULATOR, TURRET = "english_longcase", "longcase_thirty_hour", "weight_regulator", "turret_pinwheel"
FRENCH, AMERICAN, BRACKET = "french_round_pendulum", "american_eight_day_pendulum", "english_fusee_bracket"
CHIMING, TORSION, CUCKOO = "going_barrel_chiming_pendulum", "torsion_four_hundred_day", "cuckoo_thirty_hour"
_BALANCE_OR_LEVER = frozenset({f"BAL-{n:02d}" for n in range(1, 38)} | {f"LEV-{n:02d}" for n in range(1, 18)})


@dataclass(frozen=True)
class Story:
    """What is told and seen of one clock, and the causes any of which may stand first."""

    name: str
    family: str
    causes: frozenset[str]
    complaint: dict[str, Any] = field(default_factory=dict)
    findings: tuple[dict[str, Any], ...] = ()
    measurements: tuple[dict[str, Any], ...] = ()
    more: dict[str, Any] = field(default_factory=dict)

    def case(self) -> dict[str, Any]:
        """The case file of the story."""
        return {
            "family": self.family,
            "complaint": self.complaint,
            "findings": list(self.findings),
            "measurements": list(self.measurements),
            **self.more,
        }


def _story(
    name: str,
    family: str,
    causes: str,
    complaint: dict[str, Any],
    *findings: dict[str, Any],
    read: tuple[dict[str, Any], ...] = (),
    **more: Any,
) -> Story:
    return Story(name, family, frozenset(causes.split()), complaint, findings, read, more)


def _read(quantity: str, value: float, unit: str, **more: Any) -> dict[str, Any]:
    return {"quantity": quantity, "value": value, "unit": unit, **more}


STORIES: tuple[Story, ...] = (
    # Run time and state of wind.
    _story(
        "stops on the fifth day of every week",
        LONGCASE,
        "PWR-33",
        {"runs_for_s": 410_000, "stops_at": "same_wind"},
        finding("gut_line", "good"),
        finding("movement", "old_oil", extent="slight"),
    ),
    _story(
        "fusee runs out of breath on the sixth day",
        BRACKET,
        "PWR-27 PWR-01",
        {"runs_for_s": 520_000, "stops_at": "same_wind", "rate_kind": "changes_over_wind"},
        finding("set_up", "mis_set"),
        finding("dial", "stained"),
    ),
    _story(
        "half the wind and no more since a new spring",
        AMERICAN,
        "PWR-08 PWR-11 PWR-10",
        {"runs_for_s": 300_000, "stops_at": "same_wind", "since": "repair"},
        finding("pivot_hole", "worn", of="third_wheel", extent="slight"),
        last_done=["new mainspring fitted last autumn"],
    ),
    _story(
        "great hole worn to an egg",
        AMERICAN,
        "TRN-01 TRN-02 PWR-17",
        {"runs_for_s": 172_800},
        finding("pivot_hole", "oval", of="second_wheel", value=0.6, unit="mm"),
        finding("case", "scratched"),
        finding("movement", "old_oil", state="absent"),
    ),
    _story(
        "no endshake at the escape arbor since it was bushed",
        FRENCH,
        "TRN-25",
        {"runs_for_s": 2700, "since": "repair"},
        finding("arbor", "no_endshake", of="escape_wheel"),
        finding("bob", "tarnished"),
    ),
    _story(
        "bent tooth of the escape wheel",
        THIRTY,
        "ESC-05",
        {"runs_for_s": 1500},
        finding("tooth", "bent", of="escape_wheel"),
        finding("rope", "worn", extent="slight"),
    ),
    # Same time on the dial, same minute, before the hour.
    _story(
        "stops at a quarter past twelve, calendar sound",
        LONGCASE,
        "MOT-01 MOT-09 STR-12",
        {"stops_at": "same_dial_time", "runs_for_s": 30_000},
        finding("date_wheel", "good"),
        finding("calendar_ring", "good"),
    ),
    _story(
        "stops at twenty to, since the glass was changed",
        CARRIAGE,
        "MOT-02",
        {"stops_at": "same_minute", "since": "repair"},
        finding("glass", "replaced"),
        finding("movement", "old_oil", extent="slight"),
    ),
    _story(
        "gives up as the strike is lifted",
        AMERICAN,
        "STR-09 STR-14",
        {"stops_at": "before_hour", "runs_for_s": 3000},
        finding("mainspring", "good"),
        finding("lifting_piece", "dirty"),
    ),
    _story(
        "cuckoo stops as the door should open",
        CUCKOO,
        "CUK-01 STR-09 STR-14",
        {"stops_at": "before_hour", "since": "moved"},
        finding("weight_chain", "good"),
    ),
    # Winding.
    _story(
        "key turns for ever",
        FRENCH,
        "PWR-02 PWR-03 PWR-04 PWR-13",
        {"winding": "slips", "never_runs": True, "since": "wound"},
        finding("click", "good"),
        finding("dial", "hairline"),
    ),
    _story(
        "square too round to wind",
        CARRIAGE,
        "PWR-24",
        {"winding": "will_not_wind"},
        finding("winding_square", "worn"),
        finding("click", "good"),
    ),
    _story(
        "rope slips through",
        THIRTY,
        "PWR-43 PWR-44 PWR-34",
        {"winding": "slips", "runs_for_s": 9000},
        finding("pulley", "good"),
    ),
    _story(
        "stands whenever it has been wound",
        REGULATOR,
        "PWR-29",
        {"stops_at": "same_wind", "since": "wound"},
        finding("maintaining_spring", "set"),
    ),
    # Moved, dropped.
    _story(
        "fell from the mantelpiece",
        FRENCH,
        "PEN-03 PEN-31 PEN-24 PEN-16 PEN-23 PEN-01 PEN-08 TRN-10 TRN-11 TRN-14 ESC-05 ESC-09",
        {"never_runs": True, "since": "fall"},
        finding("movement", "old_oil", extent="moderate"),
    ),
    _story(
        "alarm dropped on the floor",
        ALARM,
        "BAL-06 BAL-01 BAL-35 BAL-31 LEV-07 LEV-03 BAL-19 BAL-27",
        {"never_runs": True, "since": "fall"},
        finding("movement", "old_oil", extent="slight"),
    ),
    _story(
        "moved, and the beat is a degree out",
        LONGCASE,
        "PEN-01 PEN-18",
        {"runs_for_s": 1200, "since": "moved"},
        finding("pallets", "grooved", extent="slight"),
        read=(_read("beat_offset", 1.1, "deg"), _read("half_arc", 2.3, "deg", of="pendulum")),
    ),
    _story(
        "cuckoo goes only with its foot pushed aside",
        CUCKOO,
        "PEN-18 PEN-01 PEN-30",
        {"goes_only": "tilted", "since": "moved", "runs_for_s": 600},
        finding("bellows", "torn"),
        finding("weight_chain", "good"),
    ),
    _story(
        "scrapes since it was carried upstairs",
        BRACKET,
        "PEN-13 PEN-27 PEN-11",
        {"noise": "scrapes", "since": "moved", "runs_for_s": 1800},
    ),
    _story(
        "shelf that rocks with the pendulum",
        FRENCH,
        "PEN-17",
        {"noise": "the case rocks", "runs_for_s": 5400},
        finding("case", "loose"),
    ),
    _story(
        "year clock stands after two hours",
        TORSION,
        "TOR-04 TOR-05",
        {"runs_for_s": 7200, "since": "moved", "swing": "too_small"},
        finding("torsion_strip", "good"),
        finding("base", "not_level", extent="slight"),
    ),
    # Rate.
    _story(
        "twenty minutes fast since it was cleaned",
        OPEN_8,
        "BAL-21 BAL-35",
        {"rate_s_per_day": 1200, "rate_kind": "gains", "since": "cleaned"},
        finding("case", "plating_worn"),
    ),
    _story(
        "regulator unsteady on its new wall",
        REGULATOR,
        "PEN-30 PEN-29 PEN-17 PEN-21",
        {"rate_kind": "irregular", "since": "moved"},
        finding("suspension_spring", "good"),
    ),
    _story(
        "platform swings low and loses",
        CARRIAGE,
        "TRN-27 BAL-15 LEV-12",
        {"rate_kind": "loses", "rate_s_per_day": -480},
        finding("movement", "old_oil", extent="moderate"),
        finding("case", "lacquer_worn"),
        read=(
            _read("half_arc", 140, "deg", of="balance", position="12_up"),
            _read("half_arc", 152, "deg", of="balance", position="dial_up"),
        ),
    ),
    _story(
        "year clock flutters", TORSION, "TOR-03", {"races": True, "since": "owner_work"}, finding("dome", "chipped")
    ),
    # Power and arc by measurement, trials, what was done before.
    _story(
        "weak at the great wheel",
        ALARM,
        "PWR-01 PWR-03 PWR-06 PWR-08",
        {"runs_for_s": 43_000},
        finding("hairspring", "good"),
        read=(
            _read("half_arc", 118, "deg", position="12_up"),
            _read("half_arc", 126, "deg", position="dial_up"),
            _read("main_torque", 0.12, "Nm"),
        ),
    ),
    _story(
        "flat cones by the microscope",
        OPEN_8,
        "BAL-04",
        {"runs_for_s": 3600},
        finding("balance_staff", "bent", state="absent"),
        read=(
            _read("half_arc", 105, "deg", position="12_up"),
            _read("half_arc", 178, "deg", position="dial_up"),
            _read("flat_diameter", 0.25, "mm", of="cone_pivot"),
        ),
    ),
    _story(
        "another platform cured it",
        CARRIAGE,
        " ".join(sorted(_BALANCE_OR_LEVER)),
        {"runs_for_s": 3000},
        finding("mainspring", "good"),
        trials=[{"component": "platform", "result": "cured"}],
    ),
    _story(
        "knocks on its banking since a new spring",
        OPEN,
        "PWR-07",
        {"swing": "knocks"},
        finding("movement", "good"),
        last_done=["mainspring replaced two years ago"],
    ),
    _story(
        "turret hands held in the wind",
        TURRET,
        "TUR-01 TUR-02",
        {"goes_only": "hands_off", "stops_in_cold": True, "stops_at": "irregular"},
        finding("movement", "old_oil", extent="moderate"),
    ),
    _story(
        "ticks on, minute hand loose on its square",
        AMERICAN,
        "MOT-11",
        {"hands_stand": True},
        finding("minute_hand", "loose"),
        finding("pivot_hole", "worn", extent="moderate"),
    ),
    # Strike, chime, alarm.
    _story(
        "cuckoo calls till the weight is down",
        CUCKOO,
        "CNT-02 STR-07",
        {"strikes": "runs_on"},
        movement={"strike": "count_wheel"},
    ),
    _story(
        "one hour wrong on a rack",
        BRACKET,
        "RAK-03 RAK-04",
        {"strikes": "one_hour_wrong"},
        finding("bell", "good"),
        movement={"strike": "rack"},
    ),
    _story(
        "silent since the house was moved",
        LONGCASE,
        "STR-13 PWR-41",
        {"strikes": "never", "since": "moved"},
        finding("bell", "good"),
        movement={"strike": "rack"},
    ),
    _story(
        "counts wrong since the owner turned the hands back",
        LONGCASE,
        "CNT-04 MOT-21 MOT-22",
        {"strikes": "wrong_count", "since": "owner_work"},
        movement={"strike": "count_wheel"},
    ),
    _story(
        "rack clock counts wrong since a repair",
        LONGCASE,
        "RAK-01 MOT-21 RAK-02",
        {"strikes": "wrong_count", "since": "repair"},
        finding("movement", "good"),
        movement={"strike": "rack"},
    ),
    _story(
        "quarters will not go off",
        CHIMING,
        "CHM-10 CHM-08 PWR-41",
        {"chimes": "never", "since": "repair"},
        finding("gong", "good"),
    ),
    _story("quarters run and run", CHIMING, "CHM-10 STR-07", {"chimes": "runs_on"}),
    _story("alarm stays silent", ALARM, "ALM-01 PWR-41", {"alarm": "never"}, finding("bell", "good")),
)

UNSEEN: tuple[Story, ...] = (
    _story(
        "knocks the back of its case since a move",
        AMERICAN,
        "PEN-13 PEN-18 PEN-27 PEN-01",
        {"noise": "knocks", "since": "moved", "runs_for_s": 900},
    ),
    _story(
        "worn cup, goes on its back",
        OPEN,
        "BAL-07 BAL-04",
        {"goes_only": "dial_up", "runs_dial_up_for_s": 100_000, "runs_for_s": 300},
        finding("cup_bearing", "worn"),
    ),
    _story(
        "alarm clock stands at one time of day",
        ALARM,
        "MOT-19 MOT-01 MOT-09",
        {"stops_at": "same_dial_time", "runs_for_s": 20_000},
    ),
    _story(
        "dead since it was cleaned at home",
        CARRIAGE,
        "TRN-45 PLT-01 LEV-07 BAL-35",
        {"never_runs": True, "since": "cleaned"},
    ),
    _story(
        "loses since a new suspension",
        AMERICAN,
        "PEN-04 PEN-14 PEN-15",
        {"rate_kind": "loses", "rate_s_per_day": -1200},
        last_done=["new suspension spring"],
    ),
    _story(
        "bang inside while winding",
        BRACKET,
        "PWR-25 PWR-02 PWR-03",
        {"never_runs": True, "since": "wound", "noise": "a bang"},
    ),
    _story(
        "rope creeps on its sprocket",
        THIRTY,
        "PWR-34 PWR-43",
        {"stops_at": "irregular", "runs_for_s": 40_000},
        finding("rope", "worn"),
    ),
    _story(
        "full torque, half the arc",
        REGULATOR,
        "PEN-02 PEN-17 PEN-30 PEN-31 PEN-24 PEN-09 PEN-11 PEN-13 PEN-27",
        {"swing": "too_small", "since": "moved"},
        read=(_read("half_arc", 1.2, "deg"), _read("escape_torque", 100, "uNm")),
    ),
    _story(
        "stands before the quarter, no chime",
        CHIMING,
        "CHM-08 CHM-10",
        {"stops_at": "same_minute", "chimes": "never", "runs_for_s": 700},
    ),
    _story("alarm clock ticks, hands stand", ALARM, "MOT-05 MOT-11 MOT-07", {"hands_stand": True}),
    _story("rattles off the hours", AMERICAN, "STR-05", {"strikes": "too_fast"}),
    _story(
        "strikes without end since a repair",
        BRACKET,
        "RAK-06 RAK-05 STR-07",
        {"strikes": "runs_on", "since": "repair"},
        movement={"strike": "rack"},
    ),
    _story(
        "year clock will not start after its journey", TORSION, "TOR-07 TOR-05", {"never_runs": True, "since": "moved"}
    ),
    _story(
        "third hole bushed too tight",
        OPEN_8,
        "TRN-05",
        {"runs_for_s": 2000, "since": "repair"},
        finding("bush", "tight", of="third_wheel"),
        finding("movement", "old_oil", state="absent"),
    ),
    _story(
        "pallets grooved three tenths deep",
        LONGCASE,
        "ESC-01",
        {"runs_for_s": 30_000},
        finding("pallets", "grooved", value=0.3, unit="mm"),
        read=(_read("half_arc", 1.8, "deg"),),
    ),
    _story(
        "cuckoo silent after its first hanging",
        CUCKOO,
        "CUK-01 PWR-41 STR-13 CUK-05",
        {"strikes": "never", "since": "moved"},
    ),
    _story(
        "turret weight caught in its chute",
        TURRET,
        "TUR-05",
        {"never_runs": True, "since": "wound"},
        finding("weight", "caught"),
    ),
    _story(
        "unsteady since a fall, staff five hundredths out",
        CARRIAGE,
        "BAL-01 BAL-12",
        {"rate_kind": "irregular", "since": "fall"},
        finding("balance_staff", "bent"),
        read=(_read("runout", 0.05, "mm", of="balance_staff"),),
    ),
    _story(
        "stands on the sixth day at a bad tooth of the barrel",
        FRENCH,
        "PWR-15",
        {"runs_for_s": 520_000, "stops_at": "same_wind"},
        finding("tooth", "bent", of="barrel"),
    ),
    _story(
        "a good mainspring tried, and it goes",
        ALARM,
        "PWR-01 PWR-02 PWR-03 PWR-04 PWR-05 PWR-06 PWR-07 PWR-08 PWR-11",
        {"runs_for_s": 50_000},
        trials=[{"component": "mainspring", "result": "cured"}],
    ),
)
