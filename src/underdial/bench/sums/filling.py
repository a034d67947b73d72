"""A bench sum as a person fills it in: its form as data, what was typed read field by field, and the answer made ready
to be shown.

The words, drawings and figures are those of the command of the same name. What was typed stays text until here.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from underdial import units
from underdial.bench.sums.as_typed import as_typed
from underdial.bench.sums.drawings import sum_drawing, sum_scenes
from underdial.bench.sums.figures import Figure, Rows, figures_of, tables_of, value_words
from underdial.bench.sums.hazards import sum_cautions
from underdial.errors import BadInput, UnderdialError
from underdial.trade.cautions import Caution

if TYPE_CHECKING:
    from underdial.papers.scene import Scene

Compute = Callable[[dict[str, Any]], tuple[Mapping[str, Any], Sequence[str]]]
MOST_READINGS_COUNT = 20_000
# Stands in an address beside what was filled in for a sum that wants more before it can be answered.
BEGUN = "begun"


@dataclass(frozen=True, slots=True, kw_only=True)
class Field:
    """One line of a form. `name` is the command's option; `kind` a kind of unit, or number, plain, count, counts,
    range, pick, tick, text, texts, readings.

    `like` shows how it is written, `without` says what is taken when it is left empty, `group` puts it under a heading
    that is folded away, `to` is the name it has in the bench's function.
    """

    name: str
    label: str
    kind: str
    like: str = ""
    without: str = ""
    picks: tuple[tuple[str, str], ...] = ()
    wanted: bool = False
    group: str = ""
    to: str = ""

    @property
    def key(self) -> str:
        """The name in the bench's function."""
        return self.to or self.name.replace("-", "_")


@dataclass(frozen=True, slots=True, kw_only=True)
class Sum:
    """One computation of the bench as a form.

    `example` holds what one may load to see it work; `makes` tells a size to make from a reading.
    """

    name: str
    title: str
    sentence: str
    fields: tuple[Field, ...]
    compute: Compute
    example: Mapping[str, str]
    makes: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Answered:
    """A sum answered: its first sentence, the lines under it, drawing (SVG) and its files by ending, figures, warnings,
    cautions for what comes next, sums that follow (words, name, what is typed there), what was taken unsaid, sources.
    """

    head: str
    lines: tuple[str, ...]
    refused: bool
    drawing: str | None
    files: Mapping[str, Callable[[str], bytes]]
    tables: tuple[Rows, ...]
    figures: tuple[Figure, ...]
    warnings: tuple[str, ...]
    cautions: tuple[Caution, ...]
    leads_to: tuple[tuple[str, str, Mapping[str, str]], ...]
    assumed: tuple[str, ...]
    sources: tuple[str, ...]


def answer_sum(one: Sum, typed: Mapping[str, str]) -> Answered:
    """Read what was typed and compute. BadInput, in the words of the form, for what cannot be read or lies outside."""
    given = {field.key: value for field in one.fields if (value := _read(field, typed.get(field.name, ""))) is not None}
    result, lines = one.compute(dict(given))
    # Lines set in stand for a list, and the page has that as a table.
    said = [line for line in lines if line.strip() and not line.startswith("  ")]
    drawn = sum_drawing(one.name, result, given)
    refused = result.get("verdict") == "refused"
    if refused and result.get("reason") and said[0] != result["reason"]:
        said = [str(result["reason"]), *(line for line in said if line != result["reason"])]
    return Answered(
        head=said[0],
        lines=tuple(said[1:]),
        refused=refused,
        drawing=drawn[0] if drawn else None,
        files=drawn[1] if drawn else {},
        tables=tables_of(result),
        figures=figures_of(result),
        warnings=tuple(result["warnings"]),
        cautions=() if refused else sum_cautions(one.name),
        leads_to=_leads_to(result),
        assumed=tuple(value_words(key, value) for key, value in result.get("assumed", {}).items()),
        sources=tuple(re.sub(r"(?<=\D)(?=\d{4}$)", " ", one) for one in result["sources"]),
    )


def _leads_to(result: Mapping[str, Any]) -> tuple[tuple[str, str, Mapping[str, str]], ...]:
    """The drawing of a wheel whose counts were found; its form is only begun where the module is not known."""
    return tuple(
        (
            f"Draw the wheel of {one['wheel_count']} and its pinion of {one['pinion_count']}",
            "teeth",
            {
                "teeth": f"{one['wheel_count']}/{one['pinion_count']}",
                **(
                    {"module": f"{one['module_m'] * 1e3:.4f}+-{max(one['module_u_m'], 1e-7) * 1e3:.4f}mm"}
                    if one["module_m"] is not None
                    else {BEGUN: "yes"}
                ),
            },
        )
        for one in result.get("to_make") or ()
    )


def scenes_of(one: Sum, typed: Mapping[str, str]) -> list[Scene]:
    """The drawings of what was typed, the one to cut from first; none where it is refused or has no drawing."""
    given = {field.key: value for field in one.fields if (value := _read(field, typed.get(field.name, ""))) is not None}
    result, _ = one.compute(dict(given))
    return [] if result.get("verdict") == "refused" else sum_scenes(one.name, result, given)


def worded(one: Sum, wrong: UnderdialError) -> tuple[str, str]:
    """The field a refusal speaks of (empty when it is none of the form's), and its sentence with the form's labels for
    the command's options.
    """
    labels = {field.name: field.label for field in one.fields}
    wrong = as_typed(wrong, labels)
    plain = re.sub(r"such as --[a-z-]+ ", "such as ", wrong.message)
    message = re.sub(
        r"--([a-z][a-z-]*)", lambda found: f"“{labels[found[1]]}”" if found[1] in labels else found[0], plain
    )
    for spelt in (wrong.field, wrong.field.replace("_", "-")):
        field = next((name for name in labels if name == spelt or spelt in (name.replace("-", "_"),)), "")
        if field:
            return field, re.sub(rf"^{re.escape(wrong.field)}: ", f"{labels[field]}: ", message)
    column = {"file", "z_mm", "angle_deg", "reading_um", "up_deg", "amplitude_deg", "rate_s_per_day"} & {wrong.field}
    readings = next((field for field in one.fields if field.kind == "readings" and field.name != "stock"), None)
    if column and readings is not None:
        return readings.name, re.sub(r"^file: ", f"{readings.label}: ", message)
    return "", message


def _read(field: Field, text: str) -> Any:
    text = text.strip()
    if not text:
        if field.wanted:
            like = " as in the example" if field.kind == "readings" else f", such as {field.like}" if field.like else ""
            raise BadInput(
                field.name,
                "nothing",
                field.like or "a value",
                f"{field.name}: nothing is written there; write it{like}.",
            )
        return None
    if len(text) > MOST_READINGS_COUNT:
        raise BadInput(
            field.name,
            f"{len(text)} letters",
            f"up to {MOST_READINGS_COUNT}",
            f"{field.name}: {len(text)} letters; up to {MOST_READINGS_COUNT} can be read here.",
        )
    if field.kind in units.KINDS:
        return _value(field, text)
    return _READERS[field.kind](field, text)


def _value(field: Field, text: str) -> units.Quantity:
    """A value with its unit; one without is told which units there are."""
    if units.is_bare(text):
        like = f"{text}{units.allowed_units(field.kind).split(', ')[0]}"
        raise BadInput(
            field.name,
            text,
            units.allowed_units(field.kind),
            f"{field.name}: {text} needs a unit, such as {like}; allowed: {units.allowed_units(field.kind)}.",
        )
    return units.parse(text, kind=field.kind, field=field.name)


def _number(field: Field, text: str) -> tuple[float, float]:
    return units.parse_number(text, field=field.name)


def _plain(field: Field, text: str) -> float:
    value, u = units.parse_number(text, field=field.name)
    if u:
        raise BadInput(
            field.name,
            text,
            "a bare number without its error",
            f"{field.name}: {text} carries an error; a bare number is wanted.",
        )
    return value


def _count(field: Field, text: str) -> int:
    value = _plain(field, text)
    if value != math.floor(value) or abs(value) > 1e9:
        raise BadInput(field.name, text, "a whole number", f"{field.name}: {text} is no whole number.")
    return int(value)


def _counts(field: Field, text: str) -> tuple[int, ...]:
    parts = [one.strip() for one in text.split(",") if one.strip()]
    if not parts or not all(re.fullmatch(r"[1-9]\d{0,3}", one) for one in parts):
        raise BadInput(
            field.name,
            text,
            "whole numbers with commas between",
            f"{field.name}: {text} cannot be read; write whole numbers with commas between, such as {field.like}.",
        )
    return tuple(int(one) for one in parts)


def _range(field: Field, text: str) -> tuple[int, int]:
    match = re.fullmatch(r"(\d{1,4})\s*(?:-|to)\s*(\d{1,4})", text)
    if match is None:
        raise BadInput(
            field.name,
            text,
            "two counts",
            f"{field.name}: {text} cannot be read; write two counts, such as {field.like}.",
        )
    return int(match[1]), int(match[2])


def _picked(field: Field, text: str) -> str:
    if text not in dict(field.picks):
        raise BadInput(
            field.name,
            text,
            ", ".join(dict(field.picks)),
            f"{field.name}: {text} is not one of {', '.join(words for _, words in field.picks)}.",
        )
    return text


def _texts(field: Field, text: str) -> tuple[str, ...]:
    return tuple(one.strip() for one in re.split(r"[;\n]", text) if one.strip())


_READERS: dict[str, Callable[[Field, str], Any]] = {
    "number": _number,
    "plain": _plain,
    "count": _count,
    "counts": _counts,
    "range": _range,
    "pick": _picked,
    "tick": lambda _, text: text == "yes",
    "text": lambda _, text: text,
    "texts": _texts,
    "readings": lambda _, text: text,
}
