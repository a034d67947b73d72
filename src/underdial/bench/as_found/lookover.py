"""A spoken look-over, from a file of captions or a recording, to what was said in it."""

from __future__ import annotations

import math
from collections.abc import Callable
from pathlib import Path
from typing import Any

from underdial.bench.as_found import filming
from underdial.bench.as_found.hearing import text_of
from underdial.errors import MachineRefused, NotFound
from underdial.telling import look_over
from underdial.telling.findings.not_examined import not_mentioned, said_not_examined
from underdial.telling.heard import Account, Finding
from underdial.telling.speech import captions
from underdial.trade.families import families
from underdial.trade.wheels import position_of

MEDIA = frozenset(
    (".wav", ".flac", ".mp3", ".m4a", ".aac", ".ogg", ".opus", ".mp4", ".m4v", ".mov", ".webm", ".mkv", ".avi")
)
_SIDES = frozenset(
    ("front", "back", "upper", "lower", "top", "bottom", "left", "right", "entry", "exit", "inner", "outer")
)
_SOURCES = ("rules of labelling of the look-overs: docs/reference/look-over.md",)


def read_look_over(
    file: Path,
    *,
    said: str | None = None,
    family: str | None = None,
    counting: str = "uk",
    tenth_mm: float = 0.1,
    stills: Path | None = None,
    progress: Callable[[str, float], None] | None = None,
) -> dict[str, Any]:
    """Read a file of captions, or of sound or film, and answer with findings, measurements, facts and what was not
    examined.

    `said` is the text itself, where it has been read already and `file` only names it. `tenth_mm` is what this
    speaker's "a tenth" is, in millimetres. `stills` is a folder for pictures out of a film. `progress` is told what is
    being done ("heard", "stills") and the part that is done, 0 to 1. Raises NotFound or BadInput for a file that is not
    there or is no look-over, MachineRefused when no recogniser is installed.
    """
    warnings: list[str] = []
    if said is None and file.suffix.lower() in MEDIA:
        if stills is not None and file.exists():
            filming.make_folder(stills)
        transcript = filming.hear_words(file, progress=progress)
    else:
        if stills is not None:
            warnings.append("Stills can only be taken out of a film; none were.")
        transcript = captions.parse(_text(file) if said is None else said, name=file.name)
    answer = answer_of(
        look_over.read(transcript, settings=look_over.Settings(family=family, counting=counting, tenth_mm=tenth_mm)),
        family=family,
    )
    answer["warnings"] = [*warnings, *answer["warnings"]]
    if family is not None:
        for one in answer["findings"]:
            one["position_count"] = _position(one, family, counting)
    if stills is not None and file.suffix.lower() in MEDIA:
        private = [
            (one["start_s"] or 0.0, math.inf if one["end_s"] is None else one["end_s"]) for one in answer["private"]
        ]
        answer["warnings"] += filming.write_stills(file, answer["findings"], stills, private=private, progress=progress)
    answer["assumed"] = {"counting": counting, "tenth_m": round(tenth_mm / 1000.0, 9)}
    return answer


def answer_of(account: Account, *, family: str | None = None) -> dict[str, Any]:
    """What was read, in the keys of the reference; refused, with the same keys, when nothing was found for sure."""
    unseen = [
        {"component": one.component, "of": one.of, "why": one.why, "place": one.place}
        for one in said_not_examined(account.findings)
    ]
    if family is not None:
        unseen += [
            {"component": part, "of": None, "why": "not_mentioned", "place": None, "group": group}
            for group, parts in not_mentioned(account.findings, family=family)
            for part in parts
        ]
    answer: dict[str, Any] = {
        "facts": {
            "complaint": {
                "runs_for_s": account.facts.runs_for_s,
                "rate_s_per_day": account.facts.rate_s_per_day,
                "words": "; ".join(account.facts.words) or None,
            },
            "owner_requests": account.facts.owner_requests,
            "last_done": account.facts.last_done,
        },
        "findings": [_finding(one) for one in account.findings],
        "in_doubt": [_finding(one) for one in account.in_doubt],
        "measurements": [
            {
                "quantity": m.quantity,
                "of": m.of,
                "value": m.value,
                "unit": m.unit,
                "start_s": m.start_s,
                "position": m.position,
                "words": m.words,
            }
            for m in account.measurements
        ],
        "not_examined": unseen,
        "private": [{"start_s": start, "end_s": end} for start, end in account.private],
        "orders": [{"order": one.order, "start_s": one.start_s, "value": one.value} for one in account.orders],
        "warnings": list(account.warnings),
        "sources": list(_SOURCES),
    }
    if not account.findings and not account.measurements:
        reason = "Nothing was said in it about any part of a clock"
        answer |= {"verdict": "refused", "reason": f"{reason} for sure." if account.in_doubt else f"{reason}."}
    return answer


def in_words(answer: dict[str, Any]) -> str:
    """The same for a person to read: one line a finding, then numbers, then what was not seen."""
    if answer.get("verdict") == "refused":
        return "\n".join((str(answer["reason"]), *_in_doubt(answer), *answer["warnings"]))
    lines = [_line(one) for one in answer["findings"]]
    lines += [
        f"measured: {m['quantity'].replace('_', ' ')} {(m['of'] or '').replace('_', ' ').replace(':', ' of ')} "
        f"{m['value']:g} {m['unit']}"
        for m in answer["measurements"]
    ]
    lines += _unseen_in_words(answer["not_examined"])
    lines += _in_doubt(answer)
    lines += _told_recorder(answer)
    return "\n".join((*lines, *answer["warnings"]))


def _unseen_in_words(unseen: list[dict[str, Any]]) -> list[str]:
    """One line each for what was not looked at, not reached, not tried and not spoken of; whole groups by their
    name.
    """
    lines = []
    for why, heading in (
        ("not_looked_at", "not looked at"),
        ("not_reached", "could not be reached"),
        ("not_tested", "not tried"),
        ("not_mentioned", "not spoken of"),
    ):
        named = [one.get("group") or _part_in_words(one) for one in unseen if one["why"] == why]
        if named:
            lines.append(f"{heading}: {', '.join(dict.fromkeys(named))}")
    return lines


def _part_in_words(one: dict[str, Any]) -> str:
    """A part with whose and which it is: `third wheel back pivot`."""
    side = one["place"] if one["place"] in _SIDES else None
    named = " ".join(word for word in (one["of"], side, one["component"]) if word)
    end = f" ({one['place']})" if one["place"] and not side else ""
    return (named + end).replace("_", " ").replace(".", " ")


def _in_doubt(answer: dict[str, Any]) -> list[str]:
    """One line for each thing that may have been said and is no finding."""
    return [f"in doubt: {_line(one).strip()}" for one in answer["in_doubt"]]


def _told_recorder(answer: dict[str, Any]) -> list[str]:
    """One line each for trays, counted hours and what was left out as private."""
    orders = {"tray": "tray {value}", "hours_start": "hours start", "hours_stop": "hours stop"}
    lines = [
        f"{_moment(one['start_s'])}  {orders[one['order']].format(value=one['value'])}"
        for one in answer["orders"]
        if one["order"] in orders
    ]
    private = [
        _moment(one["start_s"]).strip()
        + (f" to {_moment(one['end_s'])}" if one["end_s"] is not None else " to the end")
        for one in answer["private"]
        if one["start_s"] is not None
    ]
    untimed = len(answer["private"]) - len(private)
    private += [f"{untimed} without a time"] if untimed else []
    return [*lines, *([f"private, left out: {', '.join(private)}"] if private else [])]


def _moment(at_s: float | None) -> str:
    return "     " if at_s is None else f"{int(at_s) // 60:02d}:{int(at_s) % 60:02d}"


def _position(one: dict[str, Any], family: str, counting: str) -> int | None:
    """Which arbor from the power a wheel of the going train sits on, by this speaker's counting; None where it has
    none.
    """
    spoken = one["of"] or one["component"]
    if "." in spoken or one["of"] in ("strike", "chime", "alarm"):
        return None
    arbors_count = len(families()[family].wheel_teeth) + 1
    return position_of(spoken, arbors_count, counting="us" if counting == "us" else "uk")


def _line(one: dict[str, Any]) -> str:
    moment = _moment(one["start_s"])
    part = one["component"].replace("_", " ")
    whose = f" of {one['of'].replace('_', ' ').replace('.', ' ')}" if one["of"] else ""
    place = f", {one['place'].replace('_', ' ')}" if one["place"] else ""
    sense = {"present": one["condition"], "absent": f"not {one['condition']}", "not_examined": one["condition"]}[
        one["state"]
    ].replace("_", " ")
    sure = "" if one["certainty"] >= 0.9 else f" ({one['certainty']:g} sure)"
    more = "".join(f"; {one[key].replace('_', ' ')}" for key in ("significance", "decision") if one[key])
    return f"{moment}  {part}{whose}{place}: {sense}{sure}{more}" + (
        f"  [guess: {one['guess']}]" if one["guess"] else ""
    )


def _finding(one: Finding) -> dict[str, Any]:
    return {
        "start_s": one.start_s,
        "end_s": one.end_s,
        "component": one.component,
        "of": one.of,
        "place": one.place,
        "condition": one.condition,
        "state": one.state,
        "certainty": one.certainty_probability,
        "significance": one.significance,
        "decision": one.decision,
        "who": one.who,
        "extent": one.extent,
        "value": one.value,
        "unit": one.unit,
        "against": one.against,
        "also_s": one.also_s,
        "flags": one.flags,
        "words": one.words,
        "rule": one.rule,
        "guess": one.guess,
    }


def _text(file: Path) -> str:
    try:
        content = file.read_bytes()
    except FileNotFoundError:
        raise NotFound("file", str(file), "a file that exists", f"file: {file} is not there") from None
    except OSError as wrong:
        raise MachineRefused(
            "file", str(file), "a file that can be read", f"file: {file} cannot be read ({wrong.strerror})"
        ) from wrong
    return text_of(content, file.name)
