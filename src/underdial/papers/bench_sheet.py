"""The bench sheet: the agreed works in order of strip, each with its cautions, sizes and a place to write what was
left.

Only what somebody agreed to is on it. Cautions stand before the step they belong to, two to a step at most, each
printed where it is first called for. Sizes come as plain data: as found, target, tolerance; the last column is for the
pen.
"""

from __future__ import annotations

from dataclasses import dataclass

from underdial.papers.blocks import Block, Caution, Facts, Paper, Rows, Signatures, Words
from underdial.papers.counter_papers import _paper
from underdial.papers.dossier import Dossier, PlannedSize
from underdial.papers.sentences import finding_sentence, measurement_words, number_words
from underdial.papers.strip_order import Stage, consumables, measure_after, stage_of, stages, triggers_of_work
from underdial.record.consent import agreed_lines
from underdial.record.finding import Finding
from underdial.trade.cautions import AT_MOST_COUNT, due
from underdial.trade.dangers import triggers_of_dangers
from underdial.trade.phrases import part_words

_SIZE_HEAD, _SIZE_WIDTHS = ("size", "as found", "make it", "from, to", "as left"), (4, 3, 2, 3, 2)
_PEN = "………………"
_SPRING_DRIVEN = frozenset({"open_spring", "going_barrel", "fusee"})


@dataclass(frozen=True, slots=True)
class Step:
    """One agreed work: its line, part, deed in words, the stage at which its part is reached, and the findings it
    answers.
    """

    line: str
    component: str
    of: str | None
    place: str | None
    words: str
    stage: Stage
    because: tuple[Finding, ...]


def bench_sheet(dossier: Dossier) -> Paper:
    """Works agreed, in order of strip and assembly, with sizes, cautions and consumables."""
    steps = agreed_steps(dossier)
    if not steps:
        return _paper(
            dossier,
            "bench",
            "At the bench",
            "",
            [Words("", ("Nobody has agreed to any work yet. Look, photograph and measure; alter nothing.",))],
        )
    printed: set[str] = set()
    blocks: list[Block] = [
        Rows(
            "The order",
            ("stage", "apart", "works there"),
            _order(steps),
            (1, 4, 5),
            note="Put together in the same order backwards; measure as each stage closes.",
        )
    ]
    for stage in stages():
        here = [one for one in steps if one.stage.number_count == stage.number_count]
        blocks += _stage(dossier, stage, here, printed)
    blocks += _loose_sizes(dossier, steps)
    laid_out = consumables((one.component, one.words) for one in steps)
    if laid_out:
        blocks.append(Words("To lay out", ("; ".join(laid_out).capitalize() + ".",)))
    blocks.append(
        Rows(
            "Together again",
            ("stage", "measure before it closes", "as left"),
            _assembly(steps),
            (3, 5, 2),
            note="What is left goes into the record: the next prediction starts from it.",
        )
    )
    blocks.append(Signatures(("Done by",)))
    blocks += _parts_to_make(dossier)
    return _paper(
        dossier, "bench", "At the bench", "Only what is on this sheet was agreed. Anything more is asked first.", blocks
    )


def agreed_steps(dossier: Dossier) -> tuple[Step, ...]:
    """Every work to which the owner's last word is yes, in order of strip."""
    planned = {
        (work.line, work.work, work.component, work.of): work for choice in dossier.choices for work in choice.works
    }
    steps = []
    for line in agreed_lines(dossier.consents).values():
        work = planned.get((line.line, line.work, line.component, line.of))
        words = work.words if work and work.words else line.work.replace("_", " ")
        because = tuple(
            one for one in dossier.findings if one.id and one.id in (*line.findings, *(work.findings if work else ()))
        )
        steps.append(
            Step(
                line.line,
                line.component,
                line.of,
                work.place if work else None,
                words,
                stage_of(line.component),
                because,
            )
        )
    return tuple(sorted(steps, key=lambda one: (one.stage.number_count, part_words(one.component, one.of), one.line)))


def _order(steps: tuple[Step, ...]) -> tuple[tuple[str, ...], ...]:
    rows = []
    for stage in stages():
        here = [
            f"{part_words(one.component, one.of, one.place)}: {one.words}"
            for one in steps
            if one.stage.number_count == stage.number_count
        ]
        rows.append((str(stage.number_count), stage.words, "; ".join(here) or "nothing agreed here"))
    return tuple(rows)


def _stage(dossier: Dossier, stage: Stage, here: list[Step], printed: set[str]) -> list[Block]:
    """A stage with its cautions and the works that are done there; nothing where there is neither."""
    calls = _cautions(dossier, stage, here, printed)
    if not here and not calls:
        return []
    blocks: list[Block] = [Words(f"{stage.number_count}. {stage.words}", (_stage_words(stage, here),)), *calls]
    for step in here:
        blocks += _step(dossier, step)
    return blocks


def _stage_words(stage: Stage, here: list[Step]) -> str:
    if not here:
        return "Nothing is altered at this stage; the cautions hold all the same."
    return f"{len(here)} {'work' if len(here) == 1 else 'works'} at this stage."


def _cautions(dossier: Dossier, stage: Stage, here: list[Step], printed: set[str]) -> list[Caution]:
    """Cautions of the stage and of its works that have not been printed yet; two at most, the highest rank first."""
    traits = {*dossier.traits, *dossier.clock.traits}
    called = {f"trait:{one}" for one in traits} | triggers_of_dangers(dossier.clock.hazards) | set(stage.steps)
    if traits & _SPRING_DRIVEN and "weight" not in traits:
        called.discard("step:weight on or off")
    for step in here:
        called |= triggers_of_work(step.component, step.words)
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


def _step(dossier: Dossier, step: Step) -> list[Block]:
    pairs = [("Do", step.words[:1].upper() + step.words[1:])]
    pairs += [("Because", finding_sentence(one)) for one in step.because[:2]]
    after = measure_after(step.component)
    if after:
        pairs.append(("Measure after", ", ".join(after)))
    title = part_words(step.component, step.of, step.place)
    blocks: list[Block] = [Facts(title[:1].upper() + title[1:], tuple(pairs))]
    sizes = tuple(_size_row(one) for one in dossier.planned_sizes if one.line == step.line)
    if sizes:
        blocks.append(Rows("", _SIZE_HEAD, sizes, _SIZE_WIDTHS))
    else:
        read = [
            measurement_words(one)
            for one in dossier.measurements
            if one.of in (step.of, step.component) and one.of is not None
        ][:4]
        if read:
            blocks.append(
                Rows("", ("size", "as found", "as left"), tuple((name, value, _PEN) for name, value in read), (3, 2, 2))
            )
    return blocks


def _size_row(one: PlannedSize) -> tuple[str, ...]:
    def said(value: float | None) -> str:
        return "" if value is None else f"{number_words(value)} {one.unit}"

    found = said(one.as_found) or "not measured"
    if one.as_found is not None and one.as_found_u:
        found = f"{number_words(one.as_found)} ± {number_words(one.as_found_u)} {one.unit}"
    span = (
        f"{number_words(one.low)} to {number_words(one.high)}" if one.low is not None and one.high is not None else ""
    )
    name = one.quantity.replace("_", " ") + (f" ({one.measured_with})" if one.measured_with else "")
    return name, found, said(one.target), span, _PEN


def _loose_sizes(dossier: Dossier, steps: tuple[Step, ...]) -> list[Block]:
    tied = {step.line for step in steps}
    loose = tuple(_size_row(one) for one in dossier.planned_sizes if one.line not in tied)
    if not loose:
        return []
    note = "Not tied to a work that was agreed; see to which part each belongs."
    return [Rows("Other sizes to make", _SIZE_HEAD, loose, _SIZE_WIDTHS, note=note)]


def _assembly(steps: tuple[Step, ...]) -> tuple[tuple[str, ...], ...]:
    rows = []
    for stage in reversed(stages()):
        wanted = dict.fromkeys(
            f"{part_words(one.component, one.of)}: {', '.join(measure_after(one.component))}"
            for one in steps
            if one.stage.number_count == stage.number_count and measure_after(one.component)
        )
        rows.append((stage.words, "; ".join((*wanted, stage.closes)), _PEN))
    return tuple(rows)


def _parts_to_make(dossier: Dossier) -> list[Block]:
    if not dossier.part_drawings:
        return []
    how = "Print at 100 %. The bar under each drawing tells whether you did: lay a rule on it first."
    return [Words("Parts to make", (how,)), *dossier.part_drawings]
