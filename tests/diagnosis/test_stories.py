"""Repair stories of our own, red herrings among them: complaint and observations in, cause out.

Each mechanism of the room has a story that plants it. The quick ones run always; all of them with the slow tests. A
story counts as told when one of its causes stands first; where general knowledge of the trade cannot tell two faults
apart, both are named.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from tests.diagnosis.cases import asked, finding, leading
from underdial.bench.causes.diagnose import diagnose
from underdial.diagnosis.choices import SET_UP
from underdial.diagnosis.misfit import FITS_FROM, misfit_probability
from underdial.diagnosis.question import cause_sits_in

LONGCASE, FRENCH, AMERICAN, BRACKET = (
    "english_longcase",
    "french_round_pendulum",
    "american_eight_day_pendulum",
    "english_fusee_bracket",
)
OPEN, ALARM, CARRIAGE, TORSION = (
    "open_spring_balance_30h",
    "pin_pallet_alarm",
    "carriage_platform_lever",
    "torsion_four_hundred_day",
)
CUCKOO, CHIMING = "cuckoo_thirty_hour", "going_barrel_chiming_pendulum"
Story = tuple[str, str, dict[str, Any], list[dict[str, Any]], set[str]]

QUICK: list[Story] = [
    (
        "goes only tilted since it was moved",
        LONGCASE,
        {"runs_for_s": 900, "since": "moved", "goes_only": "tilted"},
        [finding("pivot_hole", "worn", of="great_wheel", extent="slight")],
        {"PEN-01", "PEN-18"},
    ),
    (
        "minute hand meets the glass",
        FRENCH,
        {"stops_at": "same_minute", "goes_only": "hands_off"},
        [finding("minute_hand", "rubbing")],
        {"MOT-02"},
    ),
    (
        "ticks but the hands stand",
        FRENCH,
        {"hands_stand": True},
        [finding("movement", "old_oil", extent="moderate")],
        {"MOT-05"},
    ),
    (
        "weight and pendulum meet",
        LONGCASE,
        {"stops_at": "same_wind", "runs_for_s": 345600},
        [finding("weight", "rubbing")],
        {"PWR-33"},
    ),
    (
        "bang while winding",
        OPEN,
        {"never_runs": True, "winding": "slips", "since": "wound", "noise": "a bang"},
        [finding("movement", "old_oil", extent="slight")],
        {"PWR-02", "PWR-03"},
    ),
    (
        "bent tooth of the third wheel",
        LONGCASE,
        {"runs_for_s": 300},
        [finding("tooth", "bent", of="third_wheel", extent="severe"), finding("dial", "faded")],
        {"TRN-18"},
    ),
    (
        "goes lying, not standing",
        OPEN,
        {"runs_for_s": 60, "runs_dial_up_for_s": 108000, "goes_only": "dial_up"},
        [finding("movement", "old_oil", state="absent"), finding("mainspring", "set", state="absent")],
        {"BAL-04", "BAL-07", "BAL-05"},
    ),
    (
        "calendar holds it at change-over",
        LONGCASE,
        {"stops_at": "same_dial_time", "runs_for_s": 40000},
        [finding("date_wheel", "sticking"), finding("movement", "old_oil", extent="slight")],
        {"MOT-18"},
    ),
    (
        "wrong pendulum from a helpful uncle",
        FRENCH,
        {"rate_s_per_day": -1800, "rate_kind": "loses", "since": "owner_work"},
        [],
        {"PEN-15"},
    ),
    ("races after the pallets were set", ALARM, {"races": True, "since": "owner_work"}, [], {"LEV-04", "LEV-02"}),
    (
        "line jumped off since it was wound",
        LONGCASE,
        {"runs_for_s": 50000, "since": "wound"},
        [finding("gut_line", "crossed")],
        {"PWR-39"},
    ),
    (
        "hair round the escape arbor",
        ALARM,
        {"runs_for_s": 120},
        [finding("arbor", "hair", of="escape_wheel", extent="severe"), finding("case", "scratched")],
        {"TRN-32"},
    ),
    (
        "case rocks on its new carpet",
        LONGCASE,
        {"runs_for_s": 86400, "since": "moved", "noise": "sways"},
        [finding("case", "loose")],
        {"LNG-03", "PEN-17"},
    ),
    (
        "suspension broke on the way",
        LONGCASE,
        {"never_runs": True, "since": "moved"},
        [finding("suspension_spring", "broken")],
        {"PEN-03"},
    ),
    (
        "gummed oil, worse in the cold",
        FRENCH,
        {"runs_for_s": 3600, "stops_in_cold": True},
        [finding("movement", "old_oil", extent="severe")],
        {"TRN-27"},
    ),
    (
        "knocks since a new spring",
        OPEN,
        {"swing": "knocks", "since": "repair"},
        [finding("bezel", "dented")],
        {"PWR-07"},
    ),
]

MORE: list[Story] = [
    ("hands catch", LONGCASE, {"goes_only": "hands_off", "runs_for_s": 9000}, [finding("hands", "caught")], {"MOT-01"}),
    ("holds up before the hour", BRACKET, {"stops_at": "before_hour", "runs_for_s": 7200}, [], {"STR-09", "STR-14"}),
    (
        "rack tail behind the snail",
        LONGCASE,
        {"stops_at": "same_dial_time"},
        [finding("rack_tail", "caught")],
        {"STR-12"},
    ),
    ("click does not hold", FRENCH, {"winding": "will_not_wind"}, [finding("click", "wont_hold")], {"PWR-18"}),
    (
        "gains an hour a day since a fall",
        ALARM,
        {"rate_kind": "gains", "rate_s_per_day": 3600, "since": "fall"},
        [],
        {"BAL-35"},
    ),
    (
        "magnetised hairspring",
        CARRIAGE,
        {"rate_kind": "gains", "rate_s_per_day": 600},
        [finding("hairspring", "magnetised")],
        {"BAL-25"},
    ),
    (
        "bent staff, rates all over",
        OPEN,
        {"rate_kind": "irregular", "runs_for_s": 108000},
        [finding("balance_staff", "bent", extent="moderate")],
        {"BAL-01"},
    ),
    (
        "tight bush since a repair",
        AMERICAN,
        {"runs_for_s": 600, "since": "repair"},
        [finding("bush", "tight", of="fourth_wheel", extent="severe")],
        {"TRN-05"},
    ),
    (
        "impulse pin gone",
        CARRIAGE,
        {"never_runs": True, "since": "fall"},
        [finding("impulse_pin", "missing")],
        {"BAL-19"},
    ),
    ("overbanked", ALARM, {"never_runs": True, "since": "fall"}, [finding("lever", "over_banked")], {"LEV-07"}),
    (
        "year clock out of beat",
        TORSION,
        {"runs_for_s": 7200, "since": "moved"},
        [finding("movement", "out_of_beat", extent="severe")],
        {"TOR-04"},
    ),
    (
        "bird door wired shut",
        CUCKOO,
        {"stops_at": "before_hour", "strikes": "never"},
        [finding("bird_door", "jammed")],
        {"CUK-01"},
    ),
    (
        "chain broke with a bang",
        BRACKET,
        {"never_runs": True, "since": "wound", "noise": "bang"},
        [finding("fusee_chain", "broken")],
        {"PWR-25"},
    ),
    ("set mainspring", OPEN, {"runs_for_s": 60000}, [finding("mainspring", "set", extent="severe")], {"PWR-01"}),
    (
        "weights exchanged",
        LONGCASE,
        {"runs_for_s": 10000, "swing": "too_small", "goes_only": "more_weight"},
        [finding("weight", "wrong_size", extent="severe")],
        {"PWR-32"},
    ),
    (
        "deep grooves in the pallets",
        LONGCASE,
        {"runs_for_s": 86400, "swing": "too_small"},
        [finding("pallets", "grooved", extent="severe")],
        {"ESC-01"},
    ),
    (
        "anchor loose on its arbor",
        LONGCASE,
        {"runs_for_s": 5000},
        [finding("anchor", "loose", extent="severe")],
        {"ESC-09"},
    ),
    (
        "seconds hand pushed too far",
        LONGCASE,
        {"runs_for_s": 100},
        [finding("seconds_hand", "rubbing", extent="severe")],
        {"MOT-12"},
    ),
    (
        "third hole badly worn",
        CARRIAGE,
        {"runs_for_s": 86400},
        [finding("pivot_hole", "worn", of="third_wheel", extent="severe"), finding("platform", "good")],
        {"TRN-01"},
    ),
]

STRIKING: list[Story] = [
    ("always the wrong count", FRENCH, {"strikes": "wrong_count"}, [], {"CNT-04"}),
    ("wrong at one hour", AMERICAN, {"strikes": "one_hour_wrong"}, [], {"CNT-01", "RAK-03"}),
    (
        "strikes until it is run down",
        BRACKET,
        {"strikes": "runs_on"},
        [finding("gathering_pallet", "too_short")],
        {"RAK-06"},
    ),
    ("rattles off its blows", FRENCH, {"strikes": "too_fast"}, [], {"STR-05"}),
    ("drags through its blows", FRENCH, {"strikes": "slow"}, [], {"STR-08", "TRN-27"}),
    ("warning fails", FRENCH, {"strikes": "never"}, [finding("warning", "mis_set")], {"STR-01"}),
    ("quarters out of order", CHIMING, {"chimes": "out_of_order"}, [], {"CHM-02"}),
    ("alarm at the wrong time", ALARM, {"alarm": "wrong_time"}, [], {"ALM-01"}),
    ("rack falls short", LONGCASE, {"strikes": "wrong_count"}, [finding("rack", "sticking")], {"RAK-02"}),
]


@pytest.mark.parametrize("story", QUICK, ids=lambda s: s[0])
def test_a_story_puts_its_cause_first(story: Story) -> None:
    _, family, complaint, findings, causes = story

    order, _, _ = leading(asked(family, complaint=complaint, findings=findings))

    assert order[0] in causes


@pytest.mark.parametrize("story", STRIKING, ids=lambda s: s[0])
def test_a_story_of_striking_puts_its_cause_first(story: Story) -> None:
    from tests.diagnosis.cases import rows_of_symptoms

    _, family, complaint, findings, causes = story

    assert rows_of_symptoms(asked(family, complaint=complaint, findings=findings))[0] in causes


@pytest.mark.slow
@pytest.mark.parametrize("story", [*QUICK, *MORE, *STRIKING], ids=lambda s: s[0])
def test_a_whole_answer_to_a_story_puts_its_cause_first(story: Story) -> None:
    _, family, complaint, findings, causes = story

    answer = diagnose({"family": family, "complaint": complaint, "findings": findings})

    assert answer["causes"][0]["fault"] in causes


def test_a_worn_hole_is_first_taken_for_the_common_oval_one() -> None:
    one = asked(CARRIAGE, findings=[finding("pivot_hole", "worn", of="third_wheel")])

    likeliest = max(
        one.suspicion.picks[0].members,
        key=lambda k: one.suspicion.picks[0].shares[one.suspicion.picks[0].members.index(k)],
    )

    assert one.suspicion.suspects[likeliest].fault == "TRN-01"


def test_two_planted_faults_stand_above_all_others() -> None:
    findings = [finding("movement", "old_oil", extent="severe"), finding("cone_pivot", "blunt", extent="severe")]

    order, _, causes = leading(asked(OPEN, complaint={"runs_for_s": 90}, findings=findings))

    assert set(order[:2]) == {"TRN-27", "BAL-04"}
    assert causes.smallest, "a set that would cure it"


def test_a_good_part_tried_in_vain_clears_the_faults_of_that_part() -> None:
    complaint, wedge = {"runs_for_s": 3000}, [finding("impulse_pin", "loose", certainty=0.5)]
    cleared = []
    for trials in ([], [{"component": "platform", "result": "no_change"}]):
        one = asked(CARRIAGE, complaint=complaint, findings=wedge, trials=trials)
        _, _, causes = leading(one)
        cleared.append(sum(s.necessary for s in causes.singles if one.suspicion.suspects[s.suspect].fault == "BAL-37"))

    assert cleared[1] < 0.35 * cleared[0]  # Pinned: a trial is strong evidence, wrong in one of twenty


def test_a_part_that_cured_it_was_the_cause() -> None:
    one = asked(OPEN, complaint={"runs_for_s": 50_000}, trials=[{"component": "mainspring", "result": "cured"}])

    order, _, _ = leading(one)

    assert order[0].startswith("PWR")


@pytest.mark.parametrize(("family", "complaint", "part", "findings"), [
    (CARRIAGE, {"runs_for_s": 3000}, "platform", []),
    (FRENCH, {"winding": "slips"}, "click", []),
    (LONGCASE, {"runs_for_s": 900}, "suspension_spring", [finding("suspension_spring", "twisted")]),
])  # fmt: skip
def test_a_part_that_cured_it_is_nearly_certain_to_hold_the_cause(
    family: str, complaint: dict[str, Any], part: str, findings: list[dict[str, Any]]
) -> None:
    one = asked(family, complaint=complaint, findings=findings, trials=[{"component": part, "result": "cured"}])

    _, found, _ = leading(one)

    # Pinned: a false cure is taken to happen once in a thousand
    assert cause_sits_in(one, found, one.suspicion.tried[0].members) > 0.9


def test_a_fault_found_and_cured_is_nearly_certain() -> None:
    one = asked(
        LONGCASE,
        complaint={"runs_for_s": 900},
        findings=[finding("suspension_spring", "twisted")],
        trials=[{"component": "suspension_spring", "result": "cured"}],
    )

    order, _, causes = leading(one)

    assert order[0] == "PEN-02"
    assert causes.singles[0].present > 0.95  # Pinned: found, and gone with another


def test_what_an_owner_dates_it_from_is_not_blamed_on_old_oil() -> None:
    for family, complaint in (
        (FRENCH, {"never_runs": True, "since": "fall"}),
        (ALARM, {"never_runs": True, "since": "fall"}),
    ):
        order, _, _ = leading(asked(family, complaint=complaint, findings=[finding("movement", "old_oil")]))

        assert order[0] != "TRN-27"
        assert order[0] in {
            "PEN-23",
            "PEN-03",
            "PEN-16",
            "PEN-31",
            "PEN-24",
            "PEN-01",
            "TRN-10",
            "TRN-11",
            "BAL-06",
            "BAL-01",
            "BAL-31",
            "LEV-07",
            "BAL-35",
        }


def test_a_beat_read_after_a_move_stands_first_and_is_most_of_it() -> None:
    beat = [{"quantity": "beat_offset", "value": 1.1, "unit": "deg"}]
    one = asked(
        LONGCASE,
        complaint={"runs_for_s": 1200, "since": "moved"},
        findings=[finding("movement", "old_oil", extent="slight")],
        measurements=beat,
    )

    order, _, causes = leading(one)
    necessary = {one.suspicion.suspects[s.suspect].fault: s.necessary for s in causes.singles}

    assert order[0] == "PEN-01"
    assert "PEN-18" in order[:3]
    others = [chance for fault, chance in necessary.items() if fault not in SET_UP]
    # Pinned: beat and level together, against any other fault
    assert necessary["PEN-01"] + necessary["PEN-18"] > 3.0 * max(others)


def test_a_new_spring_before_makes_a_wrong_one_likelier() -> None:
    told = {"swing": "knocks"}
    shares = []
    for done in ([], ["new mainspring two years ago"]):
        one = asked(OPEN, complaint=told, last_done=done)
        _, _, causes = leading(one)
        shares.append(sum(s.necessary for s in causes.singles if one.suspicion.suspects[s.suspect].fault == "PWR-07"))

    assert shares[1] > 2.0 * shares[0]  # Pinned: odds of eight, less what it explained before


@pytest.mark.parametrize("seconds", [1800, 86_400, 345_600])
def test_a_rocking_case_is_not_said_to_be_odd(seconds: int) -> None:
    one = asked(
        LONGCASE, complaint={"runs_for_s": seconds, "noise": "the case rocks"}, findings=[finding("case", "loose")]
    )

    misfit = misfit_probability(one, np.random.default_rng(3))

    assert misfit is not None
    assert misfit >= FITS_FROM
