"""The condition record: what the clock is and what was seen, by what light and within which limits.

No diagnosis in it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

from underdial.papers.blocks import Block, Caution, Facts, Marked, Paper, Photos, Rows, Signatures, Words
from underdial.papers.dossier import Dossier, who
from underdial.papers.hazards import hazards_found, hazards_named, hazards_of_build
from underdial.papers.look_overs import OtherLooks, findings_by_look_over, from_which, look_over_pairs
from underdial.papers.marked_picture import Photograph, bar_of, marks_words, photograph_svg
from underdial.papers.sentences import clock_words, finding_mark, finding_sentence, measurement_words, number_words
from underdial.record.as_left import seen_as_found, stand_of_reading
from underdial.record.finding import NOTED, Finding
from underdial.trade.vocabulary import components, conditions

# Heads of the vocabulary under which a part may stand, in the order in which a clock is looked over.
_ORDER = (
    (
        "Case, dial and hands",
        ("case", "dial", "hands", "bezel", "door", "base", "accessories", "motion", "travelling_case"),
    ),
    ("Power and winding", ("power", "winding", "barrel", "fusee", "maintaining_power")),
    (
        "Escapement and what it drives",
        (
            "escapement",
            "pallets",
            "pendulum",
            "balance",
            "platform",
            "lever",
            "cylinder",
            "crutch",
            "anchor",
            "suspension_spring",
            "floating_balance",
        ),
    ),
    ("Strike, chime and alarm", ("strike", "chime", "cuckoo", "alarm", "hammer", "gong", "rack", "fly")),
    ("Movement and train", ("movement", "train", "plates", "wheel", "pinion", "arbor")),
)


# The kind of condition that tells of earlier hands.
_EARLIER = "history"


def condition_record(dossier: Dossier) -> Paper:
    """The record of what was seen, fit to be signed and to be read by the next repairer.

    Only what was found: findings and readings of the time after the work stand in the service record.
    """
    dossier = _as_found(dossier)
    numbers = _picture_numbers(dossier)
    blocks: list[Block] = [_identification(dossier), _method(dossier), *_hazards(dossier)]
    for head, findings in findings_by_look_over(dossier):
        blocks += [head] if head is not None else []
        for heading, group in _grouped(findings):
            blocks += _seen(heading, group, dossier, numbers)
    if not dossier.findings:
        blocks.append(Words("Findings", ("No finding has been written down yet. The look-over fills this page.",)))
    if dossier.measurements:
        blocks.append(
            Rows(
                "Measured",
                ("what", "value", "with", "state of wind"),
                tuple(
                    (
                        *measurement_words(one),
                        one.instrument or "not said",
                        f"{one.since_winding_h:g} h after winding" if one.since_winding_h is not None else "not said",
                    )
                    for one in dossier.measurements
                ),
                (2.2, 1.2, 1.2, 1.2),
                note="What stands behind ± is one standard uncertainty.",
            )
        )
    blocks += _earlier_work(dossier, numbers)
    blocks += [
        *_unseen(dossier, numbers),
        *_pairs(dossier, numbers),
        *_other_pictures(dossier, numbers),
        Signatures(("Looked over by",)),
    ]
    return Paper(
        "record",
        "Condition record",
        "What was seen, not what follows from it.",
        dossier.clock.tag,
        dossier.shop.name,
        dossier.clock.name,
        dossier.today.isoformat(),
        dossier.record_sha256,
        tuple(blocks),
    )


def _as_found(dossier: Dossier) -> Dossier:
    works, look_overs = dossier.works, dossier.look_overs
    return replace(
        dossier,
        findings=tuple(one for one in dossier.findings if seen_as_found(one, works=works, look_overs=look_overs)),
        measurements=tuple(
            one
            for one in dossier.measurements
            if stand_of_reading(one, works=works, proofs=dossier.proofs, look_overs=look_overs) == "as_found"
        ),
    )


def _seen(heading: str, group: Iterable[Finding], dossier: Dossier, numbers: Mapping[str, int]) -> list[Block]:
    """A heading with its findings as lines, and under them the pictures that show them."""
    others = OtherLooks(dossier)
    lines = tuple(
        (*_seen_mark(one, others), finding_sentence(one), _second(one, numbers, others.words(one))) for one in group
    )
    pictured = [
        one
        for one in dossier.photographs
        if one.id in numbers and _first_of(one, dossier) in {finding.id for finding in group} and one.after_of is None
    ]
    return [
        Marked(heading, lines),
        *([Photos("", tuple(_photo(one, dossier, numbers) for one in pictured))] if pictured else []),
    ]


def _seen_mark(one: Finding, others: OtherLooks) -> tuple[str, str]:
    """Sound, not looked at, or noted: what a thing does to the going of the clock is no matter of this paper."""
    if others.took_place_of(one) is not None:
        return "none", "otherwise later"
    kind, word = finding_mark(replace(one, significance=None))
    return kind, word


def _picture_numbers(dossier: Dossier) -> dict[str, int]:
    """The number of each photograph, in the order of the findings that they show, then as they were taken."""
    by_finding = [proof.source for one in _in_order(dossier) for proof in one.evidence if proof.kind == "picture"]
    known = [one.id for one in dossier.photographs]
    return {each: 1 + k for k, each in enumerate(dict.fromkeys([each for each in by_finding if each in known] + known))}


def _first_of(picture: Photograph, dossier: Dossier) -> str | None:
    """The finding under which a picture is printed: the first that it shows, in the order of the paper."""
    return next(
        (
            one.id
            for one in _in_order(dossier)
            if any(proof.kind == "picture" and proof.source == picture.id for proof in one.evidence)
        ),
        None,
    )


def _in_order(dossier: Dossier) -> list[Finding]:
    """The findings in the order in which the paper prints them."""
    return [
        *(
            finding
            for _, findings in findings_by_look_over(dossier)
            for _, group in _grouped(findings)
            for finding in group
        ),
        *_earlier(dossier),
        *_said_unseen(dossier),
    ]


def _photo(one: Photograph, dossier: Dossier, numbers: Mapping[str, int]) -> tuple[str, str, str, float]:
    shows = [
        finding_sentence(finding)
        for finding in dossier.findings
        if finding.standing != "rejected" and any(proof.source == one.id for proof in finding.evidence)
    ]
    said = " ".join(shows[:2]) or ("The same after the work." if one.after_of in numbers else f"{one.caption}.")
    drawn = marks_words(one.marks, one.scale)
    scale = ""
    if one.scale is not None:
        length_m, _ = bar_of(one.scale, width_px=one.width_px, height_px=one.height_px)
        scale = f" Bar: {number_words(1000.0 * length_m)} mm, in the plane of {one.scale.what}."
    taken = f" Taken {one.taken_at:%-d %B %Y %H:%M}." if one.taken_at else ""
    return (
        photograph_svg(one),
        f"Picture {numbers[one.id]}: {said}" + (f" Drawn on it: {drawn}." if drawn else ""),
        f"{numbers[one.id]}. {said}{scale}{taken}",
        one.height_px / one.width_px,
    )


def _earlier(dossier: Dossier) -> list[Finding]:
    return [one for one in dossier.findings if _is_earlier(one)]


def _is_earlier(one: Finding) -> bool:
    kind = conditions()[one.condition].kind if one.condition in conditions() else ""
    return one.state == "present" and one.standing != "rejected" and (one.who == "earlier-work" or kind == _EARLIER)


def _earlier_work(dossier: Dossier, numbers: Mapping[str, int]) -> list[Block]:
    found = _earlier(dossier)
    return (
        _seen("Earlier work", found, dossier, numbers)
        if found
        else [Words("Earlier work", ("No sign of earlier work was noted.",))]
    )


def _pairs(dossier: Dossier, numbers: Mapping[str, int]) -> list[Block]:
    """Pictures of the same before and after the work, side by side."""
    every = {one.id: one for one in dossier.photographs}
    pairs = [(every[one.after_of], one) for one in dossier.photographs if one.after_of in every]
    items = tuple(_photo(one, dossier, numbers) for pair in pairs for one in pair)
    return [Photos("Before and after", items, ("Before", "After"))] if items else []


def _other_pictures(dossier: Dossier, numbers: Mapping[str, int]) -> list[Block]:
    """Photographs that show no finding: the whole, the dial, the back."""
    paired = {one.after_of for one in dossier.photographs if one.after_of}
    rest = [
        one
        for one in dossier.photographs
        if one.after_of is None and one.id not in paired and _first_of(one, dossier) is None
    ]
    return [Photos("Other pictures", tuple(_photo(one, dossier, numbers) for one in rest))] if rest else []


def _identification(dossier: Dossier) -> Facts:
    clock, visit = dossier.clock, dossier.visit
    pairs = [
        ("Clock", clock.name),
        ("Ticket", clock.tag),
        ("Received", f"{visit.received_at:%-d %B %Y}, {visit.arrived_as.replace('_', ' ')}"),
    ]
    pairs += [
        (name, value)
        for name, value in (
            ("Signed", clock.signed),
            ("Marks", clock.identifying_marks),
            ("Description", clock.description),
        )
        if value
    ]
    pairs += [
        (
            f"{one.called[:1].upper()}{one.called[1:]}",
            one.status.replace("_", " ") + (f"; {one.note}" if one.note else ""),
        )
        for one in visit.handed_over
    ]
    sizes = [
        f"{name} {1000 * value:.0f} mm"
        for name, value in (("height", clock.height_m), ("width", clock.width_m))
        if value
    ]
    if sizes:
        pairs.append(("Size", ", ".join(sizes)))
    pairs.append(("Brought by", ", ".join(who(dossier, "brings")) or "not written down"))
    return Facts("", tuple(pairs))


def _method(dossier: Dossier) -> Facts:
    private = sum(len(one.private) for one in dossier.look_overs)
    pairs = [
        *look_over_pairs(dossier),
        ("Left and right", "as one faces the dial; front is the dial side"),
        ("Limits", "only what could be reached as it stood; see what was not examined, below"),
    ]
    if private:
        pairs.append(("Left out", f"{private} private stretch{'es' if private > 1 else ''} of the recording"))
    return Facts("How it was looked at", tuple(pairs))


def _hazards(dossier: Dossier) -> list[Block]:
    """What must be known before it is touched: by how it is built, as named at the counter, and as found."""
    built, known, seen = hazards_of_build(dossier), hazards_named(dossier), hazards_found(dossier)
    if not built and not known and not seen:
        return [Words("Hazards", ("None is written down for this clock. Nothing was tested for.",))]
    told = [f"Known of this clock: {', '.join(known)}."] if known else []
    return [
        Words("Hazards", (*built, "Read the cautions before it is opened or moved. Nothing was tested for.")),
        *([Caution("stop", " ".join((*told, *seen)))] if told or seen else []),
    ]


def _grouped(findings: tuple[Finding, ...]) -> list[tuple[str, list[Finding]]]:
    def place(one: Finding) -> int:
        part: str | None = one.component
        for _ in range(9):
            for k, (_, heads) in enumerate(_ORDER):
                if part in heads:
                    return k
            part = components()[part].part_of if part is not None and part in components() else None
        return len(_ORDER)

    shown = [
        one for one in findings if one.state != "not_examined" and one.standing != "rejected" and not _is_earlier(one)
    ]
    groups = []
    for k, heading in enumerate([*(heading for heading, _ in _ORDER), "Elsewhere"]):
        inside = [one for one in shown if place(one) == k]
        if inside:
            groups.append((heading, inside))
    return groups


def _second(finding: Finding, numbers: Mapping[str, int], *more: str) -> str:
    parts = [finding.note.strip().rstrip(".")] if finding.note and finding.condition != NOTED else []
    if finding.against:
        parts.append(f"against the {finding.against.replace('_', ' ')}")
    if finding.start_s is not None:
        parts.append(f"look-over {clock_words(finding.start_s)}")
    pictures = [
        str(numbers[proof.source])
        for proof in finding.evidence
        if proof.kind == "picture" and proof.source is not None and proof.source in numbers
    ]
    if pictures:
        parts.append(f"picture{'s' if len(pictures) > 1 else ''} {', '.join(dict.fromkeys(pictures))}")
    if finding.standing == "heard":
        parts.append("heard, not yet read through")
    parts += [one for one in more if one]
    return "; ".join(parts)


def _said_unseen(dossier: Dossier) -> list[Finding]:
    """What was not examined in any look-over."""
    others = OtherLooks(dossier)
    return [
        one
        for one in dossier.findings
        if one.state == "not_examined" and one.standing != "rejected" and others.took_place_of(one) is None
    ]


def unseen_sentences(dossier: Dossier) -> tuple[str, ...]:
    """What was not examined, a sentence each, and in one sentence what nobody spoke of."""
    silent = "; ".join(_group_words(group, parts).rstrip(".") for group, parts in dossier.unseen)
    return (
        *(finding_sentence(one) for one in _said_unseen(dossier)),
        *([f"Not mentioned: {silent}."] if silent else []),
    )


def _unseen(dossier: Dossier, numbers: Mapping[str, int]) -> list[Block]:
    said = _said_unseen(dossier)
    lines = [
        ("unseen", finding_mark(one)[1], finding_sentence(one), _second(one, numbers, from_which(one, dossier)))
        for one in said
    ]
    lines += [("unseen", "not mentioned", _group_words(group, parts), "") for group, parts in dossier.unseen]
    if not lines:
        if not dossier.look_overs:
            words = "No look-over has been taken, so nothing can be said of what was not examined."
        elif dossier.clock.family is None:
            words = "What kind of movement it is is not said, so there is no list to hold the look-over against."
        else:
            words = "Every part on the list for this kind of movement was looked at."
        return [Words("Not examined", (words,))]
    pictured = [
        one
        for one in dossier.photographs
        if _first_of(one, dossier) in {finding.id for finding in said} and one.after_of is None
    ]
    return [
        Marked("Not examined", tuple(lines)),
        *([Photos("", tuple(_photo(one, dossier, numbers) for one in pictured))] if pictured else []),
    ]


def _group_words(group: str, parts: Iterable[str]) -> str:
    """A group of the list with its parts by their names; the group alone when it is its one part."""
    names = [
        components()[one].preferred.split(" (")[0] if one in components() else one.replace("_", " ") for one in parts
    ]
    return f"{group}." if names == [group] else f"{group}: {', '.join(names)}."
