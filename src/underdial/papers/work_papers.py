"""Papers of the work: consent, what was done, the test."""

from __future__ import annotations

from underdial.papers.blocks import Block, Facts, Paper, Rows, Signatures, Words
from underdial.papers.choice_words import owner_title, owner_work_words, work_words
from underdial.papers.counter_papers import _paper, _upper
from underdial.papers.dossier import Dossier
from underdial.papers.sentences import finding_sentence, measurement_words, number_words, sum_words
from underdial.record.consent import was_ended
from underdial.record.measurement import Measurement
from underdial.record.proof import VERDICT_WORDS, Proof, answering, span_words, went_h, within
from underdial.record.work import Work
from underdial.trade.fault_scales import fault_scales
from underdial.trade.phrases import part_words

_DAY = "%-d %B %Y"
_CHANNEL = {
    "in_person": "in the shop",
    "telephone": "by telephone",
    "letter": "by letter",
    "email": "by e-mail",
    "message": "by message",
    "form": "on a form",
}


def consent_record(dossier: Dossier) -> Paper:
    """Who said yes to what, in which words, by which way, and within which limits; every later change beside it."""
    blocks: list[Block] = []
    titles = {one.id: owner_title(one) for one in dossier.choices}
    for one in dossier.consents:
        name = dossier.people[one.person_id].name if one.person_id in dossier.people else "not written down"
        pairs = [
            ("Choice", titles.get(one.choice_id, one.choice_id)),
            ("Given by", name),
            ("When and how", f"{one.given_at:{_DAY} %H:%M}, {_CHANNEL[one.channel]}"),
            ("In their words", f"“{one.words}”"),
        ]
        if one.ceiling:
            pairs.append(("Not above", sum_words(one.ceiling)))
        pairs += [("Limit", limit) for limit in one.limits]
        if was_ended(one, dossier.consents):
            pairs.append(("Ended", "by the later yes to another choice"))
        if one.withdrawn_at:
            pairs.append(("Taken back", f"{one.withdrawn_at:{_DAY} %H:%M}: “{one.withdrawn_words or ''}”"))
        blocks.append(Facts(f"{one.given_at:{_DAY}}", tuple(pairs)))
        if one.lines:
            blocks.append(
                Rows(
                    "",
                    ("work", "part", "answer"),
                    tuple(
                        (
                            owner_work_words(dossier, line.work),
                            part_words(line.component, line.of, line.place),
                            line.answer.replace("_", " "),
                        )
                        for line in one.lines
                    ),
                    (3, 2.4, 0.8),
                )
            )
    if not blocks:
        blocks.append(Words("", ("Nobody has agreed to anything yet, so nothing may be altered.",)))
    blocks.append(Signatures(("For the shop", "Owner")))
    return _paper(dossier, "consent", "What was agreed", "One copy stays with the owner.", blocks)


def work_log(dossier: Dossier) -> Paper:
    """Every work: part, why, sizes before and after, materials, hours, where the old part is."""
    blocks: list[Block] = []
    for one in dossier.works:
        pairs = [
            ("Why", one.why or _because(dossier, one) or "as agreed"),
            ("By", one.by),
            ("Done", f"{one.done_at:{_DAY}}" if one.done_at else "not finished"),
        ]
        # Works of before the scale was kept hold a 0 that nobody gave.
        pairs += [("How far it goes", _depth_words(one.invasiveness_count))] if one.invasiveness_count else []
        pairs += [
            (size.quantity.replace("_", " "), _size(size.before, size.after, size.u, size.unit)) for size in one.sizes
        ]
        pairs += [("With", ", ".join(one.materials))] if one.materials else []
        pairs += [("Old part", one.old_part_kept)] if one.old_part_kept else []
        pairs += [("Hours", f"{one.hours_h:g}")] if one.hours_h is not None else []
        blocks.append(
            Facts(
                f"{_upper(work_words(dossier, one.work))}: {part_words(one.component, one.of, one.place)}", tuple(pairs)
            )
        )
    return _paper(dossier, "work", "Work done", "", blocks or [Words("", ("No work has been written down yet.",))])


def _because(dossier: Dossier, work: Work) -> str:
    """The findings that a work answers, as sentences."""
    return " ".join(finding_sentence(one) for one in dossier.findings if one.id in work.findings)


def _depth_words(rank: int) -> str:
    """`5 of 5: original plate, case or main part altered for good`."""
    steps = fault_scales().invasiveness
    meaning = next(one.meaning for one in steps if one.rank == rank).replace("/", " or ")
    return f"{rank} of {max(one.rank for one in steps)}: {meaning}"


def test_sheet(dossier: Dossier) -> Paper:
    """The plan laid down before, the results beside it, and the verdict."""
    blocks: list[Block] = []
    for proof in dossier.proofs:
        blocks += _tested(dossier, proof)
    if not blocks:
        blocks.append(Words("", ("No test has been planned yet.",)))
    on_test = {name for proof in dossier.proofs for name in proof.results}
    for heard in dossier.heard:
        when = "on test" if on_test.intersection(heard.readings) else "not on test"
        blocks += [Facts(f"{heard.title}, {when}", heard.pairs), heard.figure]
    return _paper(
        dossier, "test", "On test", "The plan was laid down before the test began." if dossier.proofs else "", blocks
    )


def _tested(dossier: Dossier, proof: Proof) -> list[Block]:
    """One test: when, how long, what must be reached beside what was read, and the verdict."""
    readings = {one.id: one for one in dossier.measurements}
    results = [readings[name] for name in proof.results if name in readings]
    verdict = VERDICT_WORDS[proof.verdict] + (f": {proof.verdict_words}" if proof.verdict_words else "")
    facts = Facts(
        proof.title,
        (
            ("Planned", f"{proof.planned_at:{_DAY} %H:%M}"),
            ("Began", f"{proof.began_at:{_DAY} %H:%M}" if proof.began_at else "not begun"),
            ("Ended", f"{proof.ended_at:{_DAY} %H:%M}" if proof.ended_at else "not ended"),
            ("In its case", "yes" if proof.cased else "no, on the stand"),
            ("To last", span_words(proof.lasts_h) if proof.lasts_h else "not said"),
            *((("Went", span_words(went_h(proof))),) if proof.ended_at else ()),
            ("Compared with", proof.reference_clock or "not said"),
            ("Stops", "; ".join(proof.stops) or "none seen"),
            ("Verdict", verdict),
        ),
    )
    lines = Rows(
        "",
        ("what must be reached", "must be", "read", "within"),
        tuple(
            (
                _upper(line.name) + (f" ({line.because})" if line.because else ""),
                line.must_be,
                "; ".join(measurement_words(one)[1] for one in answering(line, results)) or "not read",
                {True: "yes", False: "no", None: "not judged"}[within(line, results)],
            )
            for line in proof.lines
        ),
        (4, 2, 2, 1),
    )
    beside = [one for one in results if not any(answering(line, [one]) for line in proof.lines)]
    return [facts, lines, *([Rows("Also read on test", ("what", "value"), _words(beside), (2, 1))] if beside else [])]


def _words(readings: list[Measurement]) -> tuple[tuple[str, str], ...]:
    return tuple(measurement_words(one) for one in readings)


def _size(before: float | None, after: float | None, u: float | None, unit: str) -> str:
    give = f" ± {number_words(u)}" if u else ""
    was = f"{number_words(before)} {unit} as found" if before is not None else "not measured before"
    return was + (f", {number_words(after)}{give} {unit} as left" if after is not None else "")
