"""What is wrong with a clock: a case file, or a clock of the shop, to causes, choices and next tests."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING, Any

import numpy as np

from underdial.bench.causes.not_used import with_said
from underdial.errors import BadInput, OutsideModel
from underdial.trade.phrases import part_words

if TYPE_CHECKING:
    from underdial.diagnosis.question import Learned

_CAUSES_SHOWN = 6
# Below this chance of curing the clock alone, nothing is said to be the cause. [assumption]
A_CAUSE = 0.15
_TOGETHER = 2
_NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight")


def diagnose(
    case: Mapping[str, Any],
    *,
    hour_price_minor: int | None = None,
    currency: str | None = None,
    learned: Learned | None = None,
    version_count: int = 0,
    progress: Callable[[float], None] | None = None,
) -> dict[str, Any]:
    """Answer a case given as a mapping with the keys of a case file.

    `learned` are the chances and effects of a version of the shop's own, `version_count` its number; 0 is as delivered.
    The answer names it, and the same case with the same version has the same answer to the last digit. A movement
    outside the model gives a refusal with the same keys. Raises BadInput and NotFound, naming the field.
    """
    from underdial.diagnosis import answer
    from underdial.diagnosis.case_file import parse_case
    from underdial.diagnosis.choices import DEFAULT_CURRENCY, DEFAULT_RATE_MINOR_PER_H, Price

    parsed = parse_case(case)
    price = Price(
        DEFAULT_RATE_MINOR_PER_H if hour_price_minor is None else hour_price_minor, currency or DEFAULT_CURRENCY
    )
    rng = np.random.default_rng(int(parsed.digest[:16], 16))
    try:
        found = answer.diagnose(parsed, rng, price=price, learned=learned, progress=progress).result
    except OutsideModel as outside:
        empty: dict[str, Any] = dict.fromkeys(answer.published_keys())
        found = {
            "verdict": "refused",
            "reason": outside.message,
            **empty,
            "assumed": [],
            "warnings": [],
            "sources": list(answer.SOURCES),
        }
    unused = with_said(found["unused"], case) if found["unused"] else found["unused"]
    return {**found, "unused": unused, "chances_version_count": version_count}


def diagnose_text(text: str, **how: Any) -> dict[str, Any]:
    """Answer a case file given as its text; BadInput when it is no JSON object."""
    try:
        data = json.loads(text)
    except ValueError as wrong:
        raise BadInput("case", "text", "a JSON object", f"case: the file is no JSON ({wrong}).") from None
    if not isinstance(data, Mapping):
        raise BadInput("case", type(data).__name__, "a JSON object", "case: the file holds no JSON object.")
    return diagnose(data, **how)


def diagnosis_in_words(result: Mapping[str, Any]) -> str:
    """The answer as a repairer reads it on a terminal."""
    if result.get("verdict") == "refused":
        return str(result["reason"])
    lines = [f"As it stands it goes its full time: {round(100 * result['runs_full_probability'])} in 100."]
    lines += [f"Note: {warning}" for warning in result["warnings"]]
    lines += ["", "What is wrong"]
    together = together_of(result)
    if together:
        lines.append(f"  {not_one_thing(together)}: {'; '.join(together)}.")
    shown = [row for n, row in enumerate(result["causes"], 1) if n <= _CAUSES_SHOWN or row.get("reported")]
    lines += [f"  {n}. {row['sentence']}" + ("" if together else f" {row['alone']}") for n, row in enumerate(shown, 1)]
    if result["model_fits"]:
        lines.append(f"  None of these: {round(100 * result['none_of_these_probability'])} in 100.")
    beside = [one for one in result.get("found", ()) if not one["in_sums"]]
    lines += ["", "Found too"] if beside else []
    lines += [f"  {found_words(one)}" for one in beside]
    lines += ["", "Choices"]
    for one in result["choices"]:
        works = "; ".join(_work_words(work) for work in one["works"]) or "leave it as it is"
        low, _, high = (x / 100 for x in one["price_minor"])
        lines.append(
            f"  {low:.0f} to {high:.0f} {one['currency']}: {works}. Goes its full time: "
            f"{round(100 * one['runs_full_probability'])} in 100."
        )
        if one["works"] and one.get("unfixed_words"):
            lines.append(f"    Stays: {'; '.join(one['unfixed_words'])}.")
    left = result.get("as_left")
    if left is not None:
        low, likely, high = left["amplitude_deg"]
        lines += [
            "",
            "As it was left",
            f"  Swing to each side {likely:.3g} deg likely, {low:.3g} to {high:.3g}; goes its full time: "
            f"{round(100 * left['runs_full_probability'])} in 100.",
        ]
        lines += [f"  {one['as_written']}: acts on {one['acts_on']}." for one in left["used"]]
        lines += [f"  Not used: {one['what']} ({one['reason']})." for one in left["unused"]]
    lines += ["", "Next"]
    for test in result["next_tests"][:4]:
        minutes = f", {test['time_s'] // 60} min" if test["time_s"] else ""
        lines.append(f"  {test['test']}{minutes}{'' if test['worth_it'] else ' (does not pay)'}")
    if result.get("chances_version_count"):
        lines += ["", f"Reckoned with version {result['chances_version_count']} of the shop's own chances."]
    lines += [f"Not used: {one.get('said') or one['what']} ({one['reason']})" for one in result["unused"]]
    return "\n".join(lines)


def together_of(result: Mapping[str, Any]) -> list[str]:
    """What was found and is to be put right together, as clauses; empty where one cause alone may be enough."""
    words, rows = (result.get("found_together") or {}).get("words", []), result["causes"]
    if len(words) < _TOGETHER or (rows and rows[0]["necessary_probability"] >= A_CAUSE):
        return []
    return [f"{one[0].lower()}{one[1:]}" for one in words]


def not_one_thing(together: Sequence[str]) -> str:
    """`Not one thing: these six together`."""
    count = len(together)
    return f"Not one thing: these {_NUMBERS[count] if count < len(_NUMBERS) else count} together"


def found_words(one: Mapping[str, Any]) -> str:
    """A fault that the sums do not use, and what it takes: `The glass is cracked; to put it right: new glass.`"""
    danger = ", and dangerous" if one["dangerous"] else ""
    takes = f"; to put it right: {one['work_words']}" if one["work_words"] else ""
    return f"{one['words'][0].upper()}{one['words'][1:]}{danger}{takes}."


def _work_words(work: Mapping[str, Any]) -> str:
    """A work, with its part where that belongs to a wheel or a train."""
    part = f" ({part_words(work['component'], work['of'], work['place'])})" if work["of"] else ""
    return f"{work['words']}{part}"
