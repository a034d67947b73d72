"""Papers of the work: consent, what was done, the test, the bill, care at home, and the service record for the next
repairer.
"""

from __future__ import annotations

from underdial.papers.blocks import Block, Caution, Facts, Paper, Rows, Signatures, Words
from underdial.papers.choice_words import agreed_choice, spread_words, work_words
from underdial.papers.counter_papers import _paper, _upper
from underdial.papers.dossier import Dossier, who
from underdial.papers.sentences import finding_sentence, measurement_words, number_words, sum_words
from underdial.record.finding import is_fault
from underdial.record.money import total
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
    titles = {one.id: one.title for one in dossier.choices}
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
                            work_words(dossier, line.work),
                            part_words(line.component, line.of),
                            line.answer.replace("_", " "),
                        )
                        for line in one.lines
                    ),
                    (2, 3, 1),
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
            ("Why", one.why or "as agreed"),
            ("By", one.by),
            ("Done", f"{one.done_at:{_DAY}}" if one.done_at else "not finished"),
            (
                "How far it goes",
                f"{one.invasiveness_count} on a scale from 0 (nothing of the clock changed) to 5 (cannot be undone)",
            ),
        ]
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


def test_sheet(dossier: Dossier) -> Paper:
    """The plan laid down before, the results beside it, and the verdict."""
    readings = {one.id: one for one in dossier.measurements}
    blocks: list[Block] = []
    for proof in dossier.proofs:
        blocks.append(
            Facts(
                proof.title,
                (
                    ("Planned", f"{proof.planned_at:{_DAY}}"),
                    ("In its case", "yes" if proof.cased else "no, on the stand"),
                    ("To last", f"{proof.lasts_h:g} hours" if proof.lasts_h else "not said"),
                    ("Compared with", proof.reference_clock or "not said"),
                    ("Stops", "; ".join(proof.stops) or "none seen"),
                    (
                        "Verdict",
                        proof.verdict.replace("_", " ") + (f": {proof.verdict_words}" if proof.verdict_words else ""),
                    ),
                ),
            )
        )
        blocks.append(
            Rows(
                "",
                ("what must be reached", "from", "to"),
                tuple(
                    (
                        f"{line.words or line.quantity.replace('_', ' ')}",
                        f"{number_words(line.low)} {line.unit}",
                        f"{number_words(line.high)} {line.unit}",
                    )
                    for line in proof.lines
                ),
                (3, 1, 1),
            )
        )
        results = [readings[name] for name in proof.results if name in readings]
        if results:
            blocks.append(
                Rows("Read on test", ("what", "value"), tuple(measurement_words(one) for one in results), (2, 1))
            )
    if not blocks:
        blocks.append(Words("", ("No test has been planned yet.",)))
    on_test = {name for proof in dossier.proofs for name in proof.results}
    for heard in dossier.heard:
        when = "on test" if on_test.intersection(heard.readings) else "not on test"
        blocks += [Facts(f"{heard.title}, {when}", heard.pairs), heard.figure]
    return _paper(
        dossier, "test", "On test", "The plan was laid down before the test began." if dossier.proofs else "", blocks
    )


def invoice(dossier: Dossier) -> Paper:
    """What was agreed and what is charged, line by line."""
    charged = [one for one in dossier.works if one.charged is not None]
    if not charged:
        return _paper(dossier, "invoice", "Invoice", "", [Words("", ("Nothing has been charged.",))])
    rows = tuple(
        (work_words(dossier, one.work), part_words(one.component, one.of, one.place), sum_words(one.charged))
        for one in charged
        if one.charged
    )
    amount = total(tuple(one.charged for one in charged if one.charged), currency=dossier.shop.currency)
    blocks: list[Block] = [
        Facts(
            "",
            (
                ("To", " and ".join(who(dossier, "pays") or who(dossier, "owns")) or "not written down"),
                ("From", ", ".join((dossier.shop.name, *dossier.shop.address))),
            ),
        ),
        Rows("", ("work", "part", "sum"), (*rows, ("", "Together", sum_words(amount))), (2, 3, 1)),
    ]
    if dossier.shop.law_words:
        blocks.append(Words("", (dossier.shop.law_words,)))
    return _paper(dossier, "invoice", "Invoice", "", blocks)


def care_sheet(dossier: Dossier) -> Paper:
    """How to live with this clock: winding, setting, moving, when to call; cautions that still stand."""
    traits = set(dossier.clock.traits)
    rows = [
        "Wind it on the same day each week, evenly, to the stop but not against it."
        if "weight" not in traits
        else "Wind the weights up on the same day each week, until just below the seat board, never against it.",
        "Set it to time by the minute hand, forwards, and let it strike each time it is due.",
        "Do not oil it and do not spray it. If it stops, note the time on the dial, how long since it was wound, and "
        "whether it was moved; then call us.",
    ]
    if "balance" not in traits:
        rows.append(
            "It keeps time only where it stands level enough for an even tick. Before it is moved, take off the "
            "pendulum" + (", and the weights." if "weight" in traits else ".")
        )
    chosen = agreed_choice(dossier)
    spread = spread_words(chosen) if chosen is not None else None
    blocks: list[Block] = [
        *(Caution("before_step", one) for one in dossier.owner_cautions[:2]),
        Words("At home", tuple(rows)),
    ]
    if spread is not None:
        blocks.append(
            Words("What to expect of its rate", (f"From day to day it should stay within {spread} of its mean.",))
        )
    blocks.append(
        Words(
            "When it should come back",
            (
                "When it stops, when its swing grows small, or when the oil is seen to be dark; an interval in years "
                "is only a habit of the trade, and opinions run from five to fifteen.",
            ),
        )
    )
    return _paper(dossier, "care", "Living with your clock", "", blocks)


def service_record(dossier: Dossier) -> Paper:
    """The short history that stays with the clock."""
    blocks: list[Block] = [
        Facts(
            "This visit",
            (
                ("Received", f"{dossier.visit.received_at:{_DAY}}"),
                ("Complaint", dossier.visit.complaint.words or "none told"),
                ("Ticket", dossier.clock.tag),
            ),
        )
    ]
    faults = [one for one in dossier.findings if is_fault(one)]
    if faults:
        blocks.append(Words("Found", tuple(finding_sentence(one) for one in faults)))
    blocks.append(
        Words(
            "Done",
            tuple(
                f"{_upper(work_words(dossier, one.work))}: {part_words(one.component, one.of, one.place)}."
                for one in dossier.works
            )
            or ("Nothing was altered at this visit.",),
        )
    )
    if dossier.measurements:
        blocks.append(
            Rows(
                "Readings to compare with next time",
                ("what", "value"),
                tuple(measurement_words(one) for one in dossier.measurements),
                (2, 1),
            )
        )
    return _paper(dossier, "service", "Service record", "For whoever opens it next. Keep it with the clock.", blocks)


def _size(before: float | None, after: float | None, u: float | None, unit: str) -> str:
    give = f" ± {number_words(u)}" if u else ""
    was = f"{number_words(before)} {unit} as found" if before is not None else "not measured before"
    return was + (f", {number_words(after)}{give} {unit} as left" if after is not None else "")
