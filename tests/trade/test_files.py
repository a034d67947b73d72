"""A broken data file gives one sentence that names the file and the key."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from underdial.errors import BadInput
from underdial.trade.cautions import read_cautions
from underdial.trade.dangers import read_dangers
from underdial.trade.families import read_families
from underdial.trade.fault_names import read_fault_names
from underdial.trade.fault_scales import read_fault_scales
from underdial.trade.faults import read_faults
from underdial.trade.files import DATA
from underdial.trade.last_done import read_last_done
from underdial.trade.materials import read_materials
from underdial.trade.sources import read_texts
from underdial.trade.speech import read_speech
from underdial.trade.traits import read_traits
from underdial.trade.vocabulary import read_vocabulary
from underdial.trade.wheels import read_wheels
from underdial.trade.works import read_works

from .conftest import Break

POWER = "faults/power.json"


def _put(*way: Any) -> Callable[[Any], None]:
    """Set the value at the end of a way of keys and numbers."""
    *steps, last, value = way

    def spoil(held: Any) -> None:
        for step in steps:
            held = held[step]
        held[last] = value

    return spoil


def _drop(*way: Any) -> Callable[[Any], None]:
    *steps, last = way

    def spoil(held: Any) -> None:
        for step in steps:
            held = held[step]
        del held[last]

    return spoil


def _twice(held: Any) -> None:
    held.append(held[0])


CASES: list[tuple[str, Callable[[Path], Any], Callable[[Any], None], str]] = [
    ("components.json", read_vocabulary, _twice, "[movement]"),
    ("fault_names.json", read_fault_names, _put(0, "may", "The mainspring is broken"), "[PWR-02].may"),
    ("fault_names.json", read_fault_names, _put(0, "fault", "XXX-01"), "[XXX-01].fault"),
    ("last_done.json", read_last_done, _put(0, "odds", "XXX-01", 2.0), "[suspension].odds.XXX-01"),
    ("last_done.json", read_last_done, _put(0, "odds", "PEN-04", 0.0), "[suspension].odds.PEN-04"),
    ("components.json", read_vocabulary, _put(0, "part_of", "clokc"), "[movement].part_of"),
    ("components.json", read_vocabulary, _put(0, "spoken", []), "[movement].spoken"),
    ("components.json", read_vocabulary, _put(0, "kind_of", "movement"), "[movement].kind_of"),
    ("components.json", read_vocabulary, _put(0, "id", "The Movement"), "[The Movement].id"),
    ("components.json", read_vocabulary, _put(0, "colour", "brass"), "[movement].colour"),
    ("conditions.json", read_vocabulary, _drop(0, "term"), "[worn].term"),
    ("quantities.json", read_vocabulary, _put(0, "units", "mm"), "[diameter].units"),
    ("sources.json", read_texts, _put(0, "year", "1905"), ".year"),
    ("wheels.json", read_wheels, _put(0, "ids", 0, "greta_wheel"), "[going uk]"),
    ("speech.json", read_speech, _put("hedges", 0, "certainty_probability", 1.5), "certainty_probability"),
    ("speech.json", read_speech, _put("negations", 0, "sense", "perhaps"), ".sense"),
    ("speech.json", read_speech, _put("ambiguities", 0, "ids", ["verge"]), "ambiguities[verge].ids"),
    ("traits.json", read_traits, _put(0, "kind", "engine"), "[open_spring].kind"),
    (
        "fault_scales.json",
        read_fault_scales,
        _put("stops_alone", 0, "probability", 1.0),
        "stops_alone[never].probability",
    ),
    (POWER, read_faults, _put(0, "id", "PWR-1"), "[PWR-1].id"),
    (POWER, read_faults, _put(0, "group", "train"), "[PWR-01].group"),
    (POWER, read_faults, _put(0, "traits", [["open_sprung"]]), "[PWR-01].traits"),
    (POWER, read_faults, _put(0, "matches", []), "[PWR-01].matches"),
    (POWER, read_faults, _put(0, "matches", [["mainspring", "sad"]]), "[PWR-01].matches"),
    (POWER, read_faults, _put(0, "match_of", ["striking"]), "[PWR-01].match_of"),
    (POWER, read_faults, _put(0, "effects", ["sulks"]), "[PWR-01].effects"),
    (POWER, read_faults, _put(0, "stops_alone", "perhaps"), "[PWR-01].stops_alone"),
    (POWER, read_faults, _put(0, "sources", [{"mark": "seen"}]), "[PWR-01].sources"),
    (POWER, read_faults, _put(0, "sources", [{"mark": "seen", "key": "nobody"}]), "[PWR-01].sources"),
    (POWER, read_faults, _put(0, "sources", []), "[PWR-01].sources"),
    (POWER, read_faults, _put(0, "remedies", 0, "time_low_h", 9.0), "[PWR-01].remedies[leave_tell_owner].time_low_h"),
    (POWER, read_faults, _put(0, "remedies", 0, "invasiveness", 6), "[PWR-01].remedies[leave_tell_owner].invasiveness"),
    (
        POWER,
        read_faults,
        _put(0, "remedies", 0, "time_low_h", "half an hour"),
        "[PWR-01].remedies[leave_tell_owner].time_low_h",
    ),
    (POWER, read_faults, _twice, "[PWR-01]"),
    (POWER, read_faults, _put(0, "raises", ["PWR-01"]), "[PWR-01]"),
    ("cautions.json", read_cautions, _put(0, "show_when", [["fault:PWR-99"]]), "[C01].show_when"),
    ("cautions.json", read_cautions, _put(0, "show_when", [["mood:dark"]]), "[C01].show_when"),
    ("cautions.json", read_cautions, _put(0, "rank", "shout"), "[C01].rank"),
    ("cautions.json", read_cautions, _drop(0), "[C02].id"),
    ("dangers.json", read_dangers, _put(0, "triggers", ["trait:luminous_bob"]), "[weights].triggers"),
    ("dangers.json", read_dangers, _put(0, "triggers", []), "[weights]"),
    ("dangers.json", read_dangers, _twice, "[weights]"),
    ("families.json", read_families, _put(0, "wheel_teeth", [72]), "[open_spring_balance_30h]"),
    ("families.json", read_families, _put(0, "oscillator", "pendulum"), "[open_spring_balance_30h].oscillator"),
    ("families.json", read_families, _put(0, "full_torque_n_m", None), "[open_spring_balance_30h].full_torque_n_m"),
    ("families.json", read_families, _put(0, "may_have", ["balance"]), "[open_spring_balance_30h].may_have"),
    ("families.json", read_families, _put(0, "sources", 0, "about", "mood"), "[open_spring_balance_30h].sources"),
    ("works.json", read_works, _put(0, "time_low_h", -1.0), "[leave_as_it_is].time_low_h"),
    (
        "materials.json",
        read_materials,
        _put("metals", 0, "density_low_kg_per_m3", 9000.0),
        "[spelter].density_low_kg_per_m3",
    ),
    ("materials.json", read_materials, _put("metals", 0, "share_ratio", 0.5), "share_ratio"),
    ("materials.json", read_materials, _put("metals", 0, "forbids", 0, "treatment", "singing"), "[spelter].forbids"),
]


@pytest.mark.parametrize(("file", "read", "spoil", "key"), CASES)
def test_a_broken_file_is_refused_by_file_and_key(
    break_file: Break, file: str, read: Callable[[Path], Any], spoil: Callable[[Any], None], key: str
) -> None:
    folder = break_file(file, spoil)

    with pytest.raises(BadInput) as refused:
        read(folder)

    assert file.split("/")[-1] in refused.value.field or file.split("/")[0] in refused.value.field
    assert key in refused.value.field
    assert "\n" not in refused.value.message


def test_a_file_that_is_no_json_or_not_there_is_refused_by_its_name(break_file: Break) -> None:
    folder = break_file("traits.json", lambda held: None)
    (folder / "traits.json").write_text("[{", encoding="utf-8")
    (folder / "sources.json").unlink()

    with pytest.raises(BadInput, match=r"traits\.json: file"):
        read_traits(folder)
    with pytest.raises(BadInput, match=r"sources\.json: file"):
        read_texts(folder)


def test_every_data_file_is_broken_by_a_test_and_named_in_the_readme() -> None:
    readme = (DATA / "README.md").read_text(encoding="utf-8")
    tests = "".join(path.read_text(encoding="utf-8") for path in Path(__file__).parents[1].rglob("test_*.py"))
    groups = {f"faults/{group}.json" for group in read_fault_scales(DATA).groups}

    for path in DATA.rglob("*.json"):
        name = path.relative_to(DATA).as_posix()
        assert name in groups or name in tests, name
        assert f"`{name}`" in readme or (name in groups and "`faults/*.json`" in readme), name


def test_no_data_file_is_too_big_to_read() -> None:
    # Pinned: our own rule that a JSON file over 300 kB is unfriendly.
    assert max(path.stat().st_size for path in DATA.rglob("*.json")) < 300_000


def test_every_text_of_the_list_is_used() -> None:
    used = {key for path in DATA.rglob("*.json") for key in _keys(json.loads(path.read_text(encoding="utf-8")))}

    assert set(read_texts(DATA)) == used


def _keys(held: Any) -> set[str]:
    if isinstance(held, list):
        return {key for one in held for key in _keys(one)}
    if isinstance(held, dict):
        own = {held["key"]} if "mark" in held and held.get("key") else set()
        return own | {key for one in held.values() for key in _keys(one)}
    return set()
