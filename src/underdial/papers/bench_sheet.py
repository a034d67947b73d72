"""The bench sheet: what the owner ruled out, then the agreed works in order of strip, each with its cautions, sizes and
a place to write what was left.

Only what somebody agreed to is on it. Cautions stand before the step they belong to, two to a step at most, each
printed where it is first called for. Sizes come as plain data: as found, target, tolerance; the last column is for the
pen, and a reading of a test or of a round stands there and never as found.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from underdial.papers.blocks import Block, Caution, Facts, Paper, Rows, Signatures, Words
from underdial.papers.counter_papers import _paper
from underdial.papers.dossier import Dossier, PlannedSize
from underdial.papers.packing import packed
from underdial.papers.sentences import finding_sentence, measurement_words, placed_words, sum_words
from underdial.papers.strip_order import Stage, build_of, consumables, measure_after, stage_of, stages, triggers_of_work
from underdial.record.choice import PlannedWork
from underdial.record.consent import ConsentLine, agreed_lines, ceiling, last_words
from underdial.record.finding import Finding
from underdial.record.measurement import Measurement
from underdial.trade.cautions import AT_MOST_COUNT, due
from underdial.trade.dangers import triggers_of_dangers
from underdial.trade.phrases import clause, part_words

_SIZE_HEAD, _SIZE_WIDTHS = ("size", "as found", "make it", "from, to", "as left"), (4, 3, 2, 3, 2)
_PEN = "………………"
_SPRING_DRIVEN = frozenset({"open_spring", "going_barrel", "fusee"})
# Part -> what is read of it under the name of its wheel.
_READ_OF_WHEEL = {
    "pivot_hole": ("hole_diameter", "side_shake", "play"),
    "bush": ("hole_diameter", "side_shake", "play"),
    "pivot": ("diameter", "runout"),
    "arbor": ("end_shake", "runout"),
    "tooth": ("depth",),
}
# Counts stay as they are; nothing is left differently.
_NO_SIZES = ("tooth_count", "leaf_count")
# States of a part that say its size is the fault, and words of a work that say so.
_WRONG_SIZE = frozenset({"wrong_size", "too_short", "too_long", "too_wide", "too_narrow", "weak"})
_RIGHT_SIZE = re.compile(r"\bright (?:thickness|size|length|strength|height)|\bof the right\b")


@dataclass(frozen=True, slots=True)
class Step:
    """One agreed work: its line, part, deed in words, the key of the stage at which its part is reached, and the
    findings it answers.
    """

    line: str
    component: str
    of: str | None
    place: str | None
    words: str
    stage: str
    because: tuple[Finding, ...]


def bench_sheet(dossier: Dossier) -> Paper:
    """What is ruled out, and works agreed, in order of strip and assembly, with sizes, cautions and consumables."""
    steps, ruled = agreed_steps(dossier), _ruled_out(dossier)
    if not steps:
        nothing = Words("", ("Nobody has agreed to any work yet. Look, photograph and measure; alter nothing.",))
        return _paper(dossier, "bench", "At the bench", "", [nothing, *ruled])
    order = stages(build_of(dossier.clock, dossier.traits), [one.stage for one in steps])
    printed: set[str] = set()
    read: set[str] = set()
    blocks: list[Block] = [
        *ruled,
        Rows(
            "The order",
            ("stage", "apart", "works there"),
            _order(order, steps),
            (1, 4, 5),
            note="Put together in the same order backwards, then set up; measure as each stage closes.",
        ),
    ]
    for stage in order:
        here = [one for one in steps if one.stage == stage.key]
        blocks += _stage(dossier, stage, here, printed, read)
    blocks += _loose_sizes(dossier, steps)
    laid_out = consumables((one.component, one.words, _size_wanted(dossier, one)) for one in steps)
    if laid_out:
        blocks.append(Words("To lay out", ("; ".join(laid_out).capitalize() + ".",)))
    blocks.append(
        Rows(
            "Together again",
            ("stage", "measure before it closes", "as left"),
            _assembly(order, steps),
            (3, 5, 2),
            note="What is left goes into the record: the next prediction starts from it.",
        )
    )
    blocks.append(Signatures(("Done by",)))
    blocks += _parts_to_make(dossier)
    return _paper(
        dossier,
        "bench",
        "At the bench",
        "Only the works in the order below were agreed. Anything more is asked first.",
        blocks,
    )


def agreed_steps(dossier: Dossier) -> tuple[Step, ...]:
    """Every work to which the owner's last word is yes, in order of strip."""
    build, planned = build_of(dossier.clock, dossier.traits), _planned(dossier)
    steps = []
    for line in agreed_lines(dossier.consents).values():
        work = planned.get((line.line, line.work, line.component, line.of))
        words = _deed(dossier, line)
        because = tuple(
            one for one in dossier.findings if one.id and one.id in (*line.findings, *(work.findings if work else ()))
        )
        steps.append(
            Step(
                line.line,
                line.component,
                line.of,
                line.place or (work.place if work else None),
                words,
                stage_of(line.component, build, of=line.of, words=words),
                because,
            )
        )
    place = {one.key: one.number_count for one in stages(build, [one.stage for one in steps])}
    return tuple(sorted(steps, key=lambda one: (place[one.stage], part_words(one.component, one.of), one.line)))


def _planned(dossier: Dossier) -> dict[tuple[str, str, str, str | None], PlannedWork]:
    return {
        (work.line, work.work, work.component, work.of): work for choice in dossier.choices for work in choice.works
    }


def _deed(dossier: Dossier, line: ConsentLine) -> str:
    """The work of a line in the words of the choice that offered it."""
    work = _planned(dossier).get((line.line, line.work, line.component, line.of))
    return work.words.replace("/", " or ") if work and work.words else line.work.replace("_", " ")


def _ruled_out(dossier: Dossier) -> list[Block]:
    """What the owner does not want, and how far the sum goes; nothing where nothing was said."""
    standing = [one for one in dossier.consents if one.withdrawn_at is None]
    limits = dict.fromkeys(limit for one in standing for limit in one.limits)
    pairs = [("Not to be done", limit) for limit in limits]
    pairs += [("The owner wishes", wish) for wish in dossier.visit.aim.wishes]
    top = ceiling(dossier.consents)
    if top is not None:
        pairs.append(("Not above", f"{sum_words(top)} without asking"))
    said = {"no": "Refused", "ask_again": "Ask first"}
    pairs += [
        (said[line.answer], f"{part_words(line.component, line.of)}: {_deed(dossier, line)}")
        for line in last_words(dossier.consents).values()
        if line.answer in said
    ]
    pairs += [
        ("Held", f"{one.why.rstrip('.')}: not to {', not to '.join(one.forbids).replace('_', ' ')}")
        for one in dossier.holds
        if one.lifted_at is None
    ]
    return [Facts("The owner's word", tuple(pairs))] if pairs else []


def _order(order: tuple[Stage, ...], steps: tuple[Step, ...]) -> tuple[tuple[str, ...], ...]:
    rows = []
    for stage in order:
        here = [
            f"{part_words(one.component, one.of, one.place)}: {one.words}" for one in steps if one.stage == stage.key
        ]
        rows.append((str(stage.number_count), stage.words, "; ".join(here) or "nothing agreed here"))
    return tuple(rows)


def _stage(dossier: Dossier, stage: Stage, here: list[Step], printed: set[str], read: set[str]) -> list[Block]:
    """A stage with its cautions, then each work there with its own; nothing where there is neither."""
    calls = _cautions(dossier, set(stage.steps), printed)
    if not here and not calls:
        return []
    blocks: list[Block] = [Words(f"{stage.number_count}. {stage.words}", (stage.opens,)), *calls]
    if calls:
        blocks.append(Words("", (_works_words(here),)))
    for step in here:
        blocks += _cautions(dossier, triggers_of_work(step.component, step.words, step.stage), printed)
        blocks += _step(dossier, step, read)
    return blocks


def _works_words(here: list[Step]) -> str:
    if not here:
        return "Nothing is altered at this stage; the cautions hold all the same."
    return f"{len(here)} {'work' if len(here) == 1 else 'works'} at this stage."


def _cautions(dossier: Dossier, triggers: set[str], printed: set[str]) -> list[Caution]:
    """Cautions of a stage or of a work that have not been printed yet; two at most, the highest rank first."""
    if not triggers:
        return []
    traits = {*dossier.traits, *dossier.clock.traits}
    called = {f"trait:{one}" for one in traits} | triggers_of_dangers(dossier.clock.hazards) | triggers
    if traits & _SPRING_DRIVEN and "weight" not in traits:
        called.discard("step:weight on or off")
    wanted = [
        one
        for one in due(called, reader="bench")
        if one.id not in printed
        and one.rank != "law_block"
        and any(not all(t.startswith("trait:") for t in entry) for entry in one.show_when)
    ]
    chosen = wanted[:AT_MOST_COUNT]
    printed |= {one.id for one in chosen}
    return [Caution("note" if one.rank == "note" else one.rank, one.text) for one in chosen]


def _step(dossier: Dossier, step: Step, read: set[str]) -> list[Block]:
    pairs = [("Do", step.words[:1].upper() + step.words[1:])]
    pairs += [("Because", finding_sentence(one)) for one in step.because]
    after = measure_after(step.component)
    if after:
        pairs.append(("Measure after", ", ".join(after)))
    title = part_words(step.component, step.of, step.place)
    blocks: list[Block] = [Facts(title[:1].upper() + title[1:], tuple(pairs))]
    sizes = tuple(_size_row(one) for one in dossier.planned_sizes if _tied(one, step))
    if sizes:
        return [*blocks, Rows("", _SIZE_HEAD, sizes, _SIZE_WIDTHS)]
    rows = _readings(dossier, step, read)
    return [*blocks, Rows("", ("size", "as found", "as left"), rows, (3, 2, 2))] if rows else blocks


def _readings(dossier: Dossier, step: Step, read: set[str]) -> tuple[tuple[str, ...], ...]:
    """Readings of the part a work is on, each on the sheet once: as found, and as left where one was taken after."""
    later = {key for proof in dossier.proofs for key in proof.results}
    mine = [one for one in dossier.measurements if _reads(one, step) and one.id not in read]
    read |= {one.id for one in mine if one.id}
    left = {_what(one): measurement_words(one)[1] for one in mine if one.id in later or one.round_id is not None}
    found = [one for one in mine if one.id not in later and one.round_id is None]
    rows = [(*measurement_words(one), left.pop(_what(one), _PEN)) for one in found]
    names = {_what(one): measurement_words(one)[0] for one in mine}
    return tuple(rows + [(names[what], "not measured", value) for what, value in left.items()])


def _what(one: Measurement) -> tuple[str, str | None, str | None]:
    return one.quantity, one.of, one.position


def _reads(one: Measurement, step: Step) -> bool:
    """Whether a reading is of the part that a work is on."""
    if one.of is None or one.standing == "rejected" or one.quantity in _NO_SIZES:
        return False
    part, named, owner = one.of.partition(":")
    if named:
        whose = (step.of, (step.of or "").rpartition(".")[2], None if step.of is None else f"going.{step.of}")
        return part == step.component and (step.of is None or owner in whose)
    if one.of == step.component:
        return True
    return one.of == step.of and one.quantity in _READ_OF_WHEEL.get(step.component, ())


def _tied(one: PlannedSize, step: Step) -> bool:
    """Whether a size to make belongs to a work: of its line, and of no other wheel."""
    return one.line == step.line and (one.of is None or step.of is None or one.of == step.of)


def _size_row(one: PlannedSize) -> tuple[str, ...]:
    """Name, as found, target and span of a size, every number of it to the same place."""

    def placed(value: float) -> str:
        return placed_words(value, one.places_count)

    def said(value: float | None) -> str:
        return "" if value is None else f"{placed(value)} {one.unit}".rstrip()

    found = said(one.as_found) or "not measured"
    if one.as_found is not None and one.as_found_across is not None:
        least, most = sorted((one.as_found, one.as_found_across))
        found = f"{placed(least)} × {placed(most)} {one.unit}"
    elif one.as_found is not None and one.as_found_u:
        found = f"{placed(one.as_found)} ± {placed(one.as_found_u)} {one.unit}"
    span = f"{placed(one.low)} to {placed(one.high)}" if one.low is not None and one.high is not None else ""
    name = one.quantity.replace("_", " ") + (f" ({one.measured_with})" if one.measured_with else "")
    return name, found, said(one.target), span, _PEN


def _size_wanted(dossier: Dossier, step: Step) -> str:
    """Of which size a new part is to be laid out: as the sums gave it, as found, or still to be worked out."""
    sums = [one for one in dossier.planned_sizes if _tied(one, step) and one.target is not None]
    if sums:
        return ", ".join(
            f"{one.quantity} {placed_words(one.target or 0.0, one.places_count)} {one.unit}".rstrip() for one in sums
        )
    wrong = next(
        (one for one in step.because if one.component == step.component and one.condition in _WRONG_SIZE), None
    )
    if wrong is not None:
        said = clause(wrong.component, wrong.condition, of=wrong.of)
        return f"its size to be worked out ({said[:1].lower()}{said[1:]})"
    return "its size to be worked out" if _RIGHT_SIZE.search(step.words) else "of the size found"


def _loose_sizes(dossier: Dossier, steps: tuple[Step, ...]) -> list[Block]:
    loose = tuple(_size_row(one) for one in dossier.planned_sizes if not any(_tied(one, step) for step in steps))
    if not loose:
        return []
    note = "Not tied to a work that was agreed: nothing is made to them before it is."
    return [Rows("Other sizes kept", _SIZE_HEAD, loose, _SIZE_WIDTHS, note=note)]


def _assembly(order: tuple[Stage, ...], steps: tuple[Step, ...]) -> tuple[tuple[str, ...], ...]:
    """The stages backwards, setting up last."""
    rows, backwards = [], order[::-1]
    for stage in sorted(backwards, key=lambda one: one.key == "set_up"):
        wanted = dict.fromkeys(
            f"{part_words(one.component, one.of)}: {', '.join(measure_after(one.component))}"
            for one in steps
            if one.stage == stage.key and measure_after(one.component)
        )
        rows.append((stage.words, "; ".join((*wanted, stage.closes)), _PEN))
    return tuple(rows)


def _parts_to_make(dossier: Dossier) -> list[Block]:
    if not dossier.part_drawings:
        return []
    how = "Print at 100 %. The bar under each drawing tells whether you did: lay a rule on it first."
    return [Words("Parts to make", (how,)), *packed(dossier.part_drawings)]
