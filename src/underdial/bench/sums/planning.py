"""Computed sizes go into the record: as a size to make, kept with the visit, or as a reading with the sum as its
instrument.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace
from decimal import Decimal
from urllib.parse import parse_qsl, urlencode

from underdial.bench.clock.left_sizes import is_made_by
from underdial.bench.clock.naming import owner_part_named
from underdial.bench.clock.readings import check_believable
from underdial.bench.shop import ClockPage, Shop, job
from underdial.bench.sums.figures import with_error
from underdial.bench.sums.filling import Sum, answer_sum, scenes_of
from underdial.bench.sums.forms_of_trains import sum_named
from underdial.errors import BadInput, NotFound, UnderdialError
from underdial.papers.blocks import Figure
from underdial.papers.dossier import PlannedSize as SizeOnPaper
from underdial.papers.drawing_sheet import figure_of
from underdial.papers.sentences import placed_words
from underdial.record.consent import ConsentLine, agreed_lines
from underdial.record.measurement import Measurement
from underdial.record.planned_size import PlannedSize, planned_anew, without_planned
from underdial.trade.phrases import part_words

_MOST_TYPED_COUNT, _MOST_GIVEN_COUNT = 400, 4000
# A figure of a sum -> the reading that says how it was found.
_FOUND_AS = {"bore": "hole_diameter", "bore_before": "hole_diameter", "clearance": "side_shake"}
_BORES = ("bore", "bore_before")


def keep_computed(
    shop: Shop,
    clock: str,
    one: Sum,
    typed: Mapping[str, str],
    key: str,
    *,
    line: str | None = None,
    of: str = "",
    allowed_off: float | None = None,
    as_reading: bool = False,
    by: str = "repairer",
) -> str:
    """Compute a sum anew and keep one of its figures with a clock; the name of what was kept, in words.

    BadInput when the sum refuses or the figure is not in it, NotFound for a clock or line that is not there.
    """
    answered = answer_sum(one, typed)
    if answered.refused:
        raise BadInput("sum", one.name, "a sum that gives a size", answered.head)
    figure = next((each for each in answered.figures if each.key == key), None)
    if figure is None:
        raise BadInput(
            "size",
            key,
            ", ".join(each.key for each in answered.figures),
            "size: this sum gives no such figure; take one from the list.",
        )
    wheel, given = (
        owner_part_named(of),
        urlencode({field.name: typed[field.name] for field in one.fields if typed.get(field.name, "").strip()}),
    )
    with job(shop, clock, by=by, why=f"worked out by {one.name}") as at:
        if as_reading:
            reading = Measurement(
                quantity=figure.word,
                value=figure.value,
                u=figure.u,
                unit=figure.unit,
                of=wheel,
                instrument=f"bench sum: {one.title.lower()}",
                taken_at=at.writer.at,
                words=_typed(one, typed),
                standing="confirmed",
                visit_id=at.visit_id,
            )
            check_believable(at.read_clock(), reading)
            at.add(reading)
            return figure.name
        if line is not None and not any(work.line == line for choice in at.all("choice") for work in choice.works):
            raise NotFound("line", line, "a work of a choice of this clock")
        size = PlannedSize(
            quantity=figure.word,
            words=figure.name,
            value=figure.value,
            u=figure.u,
            unit=figure.unit,
            allowed_off=allowed_off,
            computed_by=one.name,
            kept_at=at.writer.at,
            typed=_typed(one, typed),
            line=line,
            of=wheel,
            given=given if len(given) <= _MOST_GIVEN_COUNT else "",
        )
        at.change(replace(at.visit, planned_sizes=planned_anew(at.visit.planned_sizes, size)))
    return figure.name


def drop_planned(shop: Shop, clock: str, number: int, *, by: str = "repairer") -> None:
    """Take a size out of the plan; the history keeps it."""
    with job(shop, clock, by=by) as at:
        at.change(replace(at.visit, planned_sizes=without_planned(at.visit.planned_sizes, number)))


def sizes_on_paper(page: ClockPage) -> tuple[SizeOnPaper, ...]:
    """The sizes to make as the bench sheet prints them, each at the line of its work, to the place that its error
    reaches, with what was found.
    """
    return tuple(_on_paper(page, one) for one in page.visit.planned_sizes)


def part_drawings(page: ClockPage) -> tuple[Figure, ...]:
    """The parts that sizes are to be made for, each drawn once from what was typed: at its own size where that can be
    read, a bar under each.

    A sum that no longer answers to what was typed then draws nothing; its sizes stand in the table all the same.
    Nothing is drawn for a work that was refused.
    """
    refused = _refused_lines(page)
    kept = dict.fromkeys(
        (one.computed_by, one.given, one.of)
        for one in page.visit.planned_sizes
        if one.given and one.line not in refused
    )
    figures = []
    for number, (name, given, of) in enumerate(kept):
        try:
            scenes = scenes_of(sum_named(name), dict(parse_qsl(given)))
        except UnderdialError:
            continue
        for k, scene in enumerate(scenes):
            drawn = figure_of(scene, prefix=f"part{number}-{k}")
            belongs = f" For the {part_words(of.rpartition('.')[2], None)}." if of else ""
            caption = drawn["caption"] + belongs
            figures.append(Figure(drawn["svg"], drawn["alternative"], caption, drawn["width_mm"], drawn["height_mm"]))
    return tuple(figures)


def _refused_lines(page: ClockPage) -> set[str]:
    """Lines to which somebody said no, and under whose number nothing is agreed."""
    refused = {
        line.line for one in page.consents if one.withdrawn_at is None for line in one.lines if line.answer == "no"
    }
    return refused - {line.line for line in agreed_lines(page.consents).values()}


def made_sizes(page: ClockPage) -> tuple[tuple[str, bool | None] | None, ...]:
    """For each size to make what was left and by how much it is off, and whether that is allowed (None where nothing
    was said); None while it is not made.
    """
    return tuple(_made(page, one) for one in page.visit.planned_sizes)


def to_make(page: ClockPage, agreed: ConsentLine) -> list[PlannedSize]:
    """The sizes that are still to be made in a work: those planned for it, and those planned for none."""
    sizes = zip(page.visit.planned_sizes, made_sizes(page), strict=True)
    return [size for size, made in sizes if made is None and size.line in (None, agreed.line)]


def unit_shown(unit: str) -> str:
    """A unit as it is written for people: `um` as `µm`."""
    return {"um": "µm", "uNm": "µN m", "mNm": "mN m", "nNm": "nN m", "gcm2": "g cm²", "kg/m3": "kg/m³"}.get(unit, unit)


def _made(page: ClockPage, one: PlannedSize) -> tuple[str, bool | None] | None:
    left = [
        size for work in page.works for size in work.sizes if size.after is not None and is_made_by(one, work, size)
    ]
    if not left or left[-1].after is None:
        return None
    size, off = left[-1], left[-1].after - one.value
    unit = unit_shown(one.unit)
    words = (
        f"Made {with_error(left[-1].after, size.u)} {unit}, {with_error(abs(off), size.u).split(' ')[0]} {unit} "
        f"{'over' if off > 0 else 'under'}"
    )
    return words, None if one.allowed_off is None else abs(off) <= one.allowed_off


def _on_paper(page: ClockPage, one: PlannedSize) -> SizeOnPaper:
    places, off = _places(one), one.allowed_off
    wheel = f", {one.of.replace('.', ' ').replace('_', ' ')}" if one.of else ""
    found = _as_found(page, one)
    axes = list(dict.fromkeys(each.value for each in found))[-2:] if one.quantity in _BORES else []
    return SizeOnPaper(
        line=one.line or "",
        quantity=f"{one.words}{wheel}",
        unit=unit_shown(one.unit),
        as_found=found[-1].value if found else None,
        as_found_u=found[-1].u if found else None,
        as_found_across=next((each for each in axes if each != found[-1].value), None),
        target=round(one.value, places),
        low=None if off is None else round(one.value - off, places),
        high=None if off is None else round(one.value + off, places),
        of=one.of,
        places_count=places,
    )


def make_words(one: PlannedSize) -> str:
    """To what a size is to be made, to the place it can be made to: `1.270 mm`."""
    return f"{placed_words(one.value, _places(one))} {unit_shown(one.unit)}".rstrip()


def _places(one: PlannedSize) -> int:
    """Decimal places to which a size is made: as far as its error reaches, and all of what it may be off, to two
    figures.
    """
    spans = [abs(span) for span in (one.u, one.allowed_off) if span]
    if not spans:
        return 1 if one.unit == "um" else 3
    reach = max(0, *(-math.floor(math.log10(span)) for span in spans))
    two_figures = f"{one.allowed_off:.2g}" if one.allowed_off else ""
    off = format(Decimal(two_figures), "f") if two_figures else ""
    return max(reach, len(off.partition(".")[2].rstrip("0")))


def _as_found(page: ClockPage, one: PlannedSize) -> list[Measurement]:
    """Readings of what a size is to replace, taken before the work: none of a test or of what a round saw."""
    later = {key for proof in page.proofs for key in proof.results}
    return [
        each
        for each in page.measurements
        if each.standing != "rejected"
        and each.unit == one.unit
        and each.round_id is None
        and each.id not in later
        and (each.of == one.of or (one.of is not None and each.of == f"pivot_hole:{one.of}"))
        and each.quantity in (one.quantity, _FOUND_AS.get(one.quantity))
    ]


def _typed(one: Sum, typed: Mapping[str, str]) -> str:
    """What went into the sum, short: tables of readings by their number of lines."""
    said = []
    for field in one.fields:
        text = typed.get(field.name, "").strip()
        if text:
            said.append(
                f"{field.label}: {len(text.splitlines()) - 1} readings"
                if field.kind == "readings"
                else f"{field.label}: {text}"
            )
    return "; ".join(said)[:_MOST_TYPED_COUNT]
