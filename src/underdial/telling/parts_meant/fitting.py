"""The part and condition a statement is written under, by the rules of labelling.

Endshake belongs to an arbor, wear said of a wheel to the hole it runs in, a beat that is out to the movement.

Never here: words of speech beyond the sentence's own.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from underdial.telling.heard import Finding
from underdial.telling.names import places_of_parts
from underdial.telling.parts_meant.focus import Focus, Target


def fitting(condition: str, target: Target, focus: Focus) -> tuple[str, str | None, str | None, str] | None:
    """Component, of, place and condition as the rules of labelling write them."""
    component, of, place = target.component, target.of, target.place
    if condition in ("no_endshake", "too_much_endshake", "endshake_ok") or target.aspect == "endshake":
        if component in places_of_parts.WHEELS or component in ("lever", "pallet_arbor", "balance"):
            component, of = "arbor", places_of_parts.of_wheel(component, of)
        return ("arbor", of, place, "endshake_ok" if condition == "good" else condition)
    if condition in ("out_of_beat", "gains", "loses"):
        return ("movement", None, None, condition)
    if component == "plates" and place in ("front", "back") and condition not in ("worn", "oval"):
        component, place = f"{place}_plate", None
    if component == "pivot_hole" and condition == "loose":
        condition = "worn"
    if component == "oil" and condition == "dirty" and focus.recent[:1] == ["oil"] and focus.denied == "old_oil":
        return ("movement", None, None, "dirty")
    if component == "oil":
        return (
            "movement",
            None,
            place if place != "all" else None,
            "old_oil" if condition in ("dirty", "worn", "hardened", "verdigris", "tarnished") else condition,
        )
    if (
        condition in ("out_of_true", "out_of_flat", "out_of_round")
        and component in ("tooth", "pinion")
        and of is not None
    ):
        wheel = of.rsplit(".", 1)[-1]
        return (wheel, of.split(".")[0] if "." in of else None, None, condition)
    if condition == "worn" and component in places_of_parts.ON_PIVOTS:
        return ("pivot_hole", places_of_parts.of_wheel(component, of), place, condition)
    if condition in ("unequal_drop", "unequal_lock"):
        return ("pallets", None, None, condition)
    if condition == "sideshake":
        condition = "too_much_sideshake"
    if component == "arbor" and target.aspect is None and place in ("front", "back", "both") and of is not None:
        component = "pivot_hole"
    if condition == "short_run":
        return ("warning", of, None, condition)
    if condition == "oval" and component in places_of_parts.WHEELS:
        return ("pivot_hole", places_of_parts.of_wheel(component, of), place, condition)
    if (
        component == "bush"
        and target.aspect == "bush"
        and (focus.bushing_said or focus.counting == "us")
        and condition in ("worn", "oval", "good", "too_much_sideshake", "bushed_before", "dry", "dirty")
    ):
        return ("pivot_hole", of, place, condition)
    if condition == "trips" and component not in places_of_parts.WHEELS and component != "pallets":
        return ("movement", None, None, condition)
    return (component, of, place, condition)


def of_holes(
    component: str, of: str | None, place: str | None, condition: str, text: str, last: Sequence[Finding]
) -> tuple[str, str | None, str | None, str]:
    """Marks of earlier work belong to the holes they stand round, and what is "nowhere" to the plates."""
    if (
        re.search(r"\b(?:no|not)\b", text)
        and condition == "rusty"
        and re.search(r"\b(?:anything|anywhere|at all|everywhere)\b", text)
    ):
        return ("movement", None, None, condition)
    if (
        condition in ("soldered", "punched")
        and re.fullmatch(r"(?:no|not any|and no) (?:\w+ )?\w+(?: \w+)?", text)
        and component in ("back_plate", "front_plate", "movement", "pillar", "pivot_hole")
    ):
        return ("plates", None, None, condition)
    if (
        re.search(r"\b(?:anywhere|ever|nowhere)\b", text)
        and condition in ("bushed_before", "soldered", "punched")
        and re.search(r"\b(?:no|not|never|nowhere)\b", text)
    ):
        return ("plates", None, None, condition)
    train = re.search(r"\b(strike|chime)\b", text)
    if (
        condition == "bushed_before"
        and component in ("front_plate", "back_plate", "plates")
        and last
        and last[0].component == "pivot_hole"
    ):
        return ("pivot_hole", last[0].of, None, condition)
    if condition in ("punched", "bushed_before"):
        if component in places_of_parts.WHEELS:
            return ("pivot_hole", places_of_parts.of_wheel(component, of), place, condition)
        if component in ("front_plate", "back_plate", "plates") and re.search(r"\bholes?\b", text):
            return (
                "pivot_hole",
                train[1] if train else None,
                {"front_plate": "front", "back_plate": "back"}.get(component, place),
                condition,
            )
    if (
        component in places_of_parts.WHEELS
        and condition in ("bent", "broken", "missing", "chipped", "burred", "hooked")
        and last
        and last[0].component == "tooth"
        and re.search(r"\b(?:one|ones|two|three|couple|few)\b", text)
    ):
        return ("tooth", places_of_parts.of_wheel(component, of), place, condition)
    if (
        condition in ("off_centre", "proud")
        and component in places_of_parts.WHEELS
        and last
        and last[0].condition == "bushed_before"
    ):
        return ("bush", places_of_parts.of_wheel(component, of), place, condition)
    return (component, of, place, condition)
