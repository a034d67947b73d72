"""The condition record: what the clock is and what was seen, by what light and within which limits. No diagnosis in it."""

from __future__ import annotations

from collections.abc import Iterable

from underdial.papers.blocks import Block, Caution, Facts, Figure, Marked, Paper, Rows, Words
from underdial.papers.dossier import Dossier, who
from underdial.papers.sentences import finding_mark, finding_sentence, measurement_words
from underdial.record.finding import Finding
from underdial.trade.vocabulary import components

# Heads of the vocabulary under which a part may stand, in the order in which a clock is looked over.
_ORDER = (
    ("Case, dial and hands", ("case", "dial", "hands", "bezel", "door", "base", "accessories", "motion", "travelling_case")),
    ("Power and winding", ("power", "winding", "barrel", "fusee", "maintaining_power")),
    ("Escapement and what it drives", ("escapement", "pallets", "pendulum", "balance", "platform", "lever", "cylinder", "crutch", "anchor", "suspension_spring", "floating_balance")),
    ("Strike, chime and alarm", ("strike", "chime", "cuckoo", "alarm", "hammer", "gong", "rack", "fly")),
    ("Movement and train", ("movement", "train", "plates", "wheel", "pinion", "arbor")),
)


def condition_record(dossier: Dossier) -> Paper:
    """The record of what was seen, fit to be signed and to be read by the next repairer."""
    blocks: list[Block] = [_identification(dossier), _method(dossier), *_hazards(dossier)]
    for heading, group in _grouped(dossier.findings):
        blocks.append(Marked(heading, tuple((*finding_mark(one), finding_sentence(one), _second(one)) for one in group)))
    if not dossier.findings:
        blocks.append(Words("Findings", ("No finding has been written down yet. The look-over fills this page.",)))
    if dossier.measurements:
        blocks.append(Rows("Measured", ("what", "value", "with", "state of wind"), tuple(
            (*measurement_words(one), one.instrument or "not said", f"{one.since_winding_h:g} h after winding" if one.since_winding_h is not None else "not said")
            for one in dossier.measurements), (2.2, 1.2, 1.2, 1.2), note="What stands behind ± is one standard uncertainty."))
    blocks.append(_unseen(dossier))
    earlier = [one for one in dossier.findings if one.who == "earlier-work"]
    if earlier:
        blocks.append(Words("Earlier work", tuple(finding_sentence(one) for one in earlier)))
    blocks += [Figure(svg, words, "Drawn, not photographed.") for svg, words in dossier.pictures]
    return Paper("record", "Condition record", "What was seen, not what follows from it.", dossier.clock.tag, dossier.shop.name,
                 dossier.clock.name, dossier.today.isoformat(), dossier.record_sha256, tuple(blocks))


def _identification(dossier: Dossier) -> Facts:
    clock, visit = dossier.clock, dossier.visit
    pairs = [("Clock", clock.name), ("Ticket", clock.tag), ("Received", f"{visit.received_at:%-d %B %Y}, {visit.arrived_as.replace('_', ' ')}")]
    pairs += [(name, value) for name, value in (("Signed", clock.signed), ("Marks", clock.identifying_marks), ("Description", clock.description)) if value]
    pairs += [(one.component.replace("_", " ").capitalize(), one.status.replace("_", " ")) for one in visit.handed_over]
    sizes = [f"{name} {1000 * value:.0f} mm" for name, value in (("height", clock.height_m), ("width", clock.width_m)) if value]
    if sizes:
        pairs.append(("Size", ", ".join(sizes)))
    pairs.append(("Brought by", ", ".join(who(dossier, "brings")) or "not written down"))
    return Facts("", tuple(pairs))


def _method(dossier: Dossier) -> Facts:
    looks = dossier.look_overs
    by = ", ".join(dict.fromkeys(one.by for one in looks)) or "not written down"
    taken = ", ".join(f"{one.taken_at:%-d %B %Y %H:%M}" for one in looks) or "no look-over has been taken"
    private = sum(len(one.private) for one in looks)
    pairs = [("Looked over", taken), ("By", by), ("How", "by eye at the bench lamp, spoken as it was seen; sizes with the instruments named"),
             ("Left and right", "as one faces the dial; front is the dial side"),
             ("Limits", "only what could be reached as it stood; see what was not looked at, below")]
    if private:
        pairs.append(("Left out", f"{private} private stretch{'es' if private > 1 else ''} of the recording"))
    return Facts("How it was looked at", tuple(pairs))


def _hazards(dossier: Dossier) -> list[Block]:
    hazards = [one.replace("_", " ") for one in dossier.clock.hazards]
    return [Caution("stop", f"Known of this clock: {', '.join(hazards)}. Read the cautions before it is opened or moved.")] if hazards else []


def _grouped(findings: tuple[Finding, ...]) -> list[tuple[str, list[Finding]]]:
    def place(one: Finding) -> int:
        part: str | None = one.component
        for _ in range(9):
            for k, (_, heads) in enumerate(_ORDER):
                if part in heads:
                    return k
            part = components()[part].part_of if part is not None and part in components() else None
        return len(_ORDER)

    shown = [one for one in findings if one.state != "not_examined" and one.standing != "rejected"]
    groups = []
    for k, heading in enumerate([*(heading for heading, _ in _ORDER), "Elsewhere"]):
        inside = [one for one in shown if place(one) == k]
        if inside:
            groups.append((heading, inside))
    return groups


def _second(finding: Finding) -> str:
    parts = []
    if finding.against:
        parts.append(f"against the {finding.against.replace('_', ' ')}")
    if finding.start_s is not None:
        parts.append(f"look-over {int(finding.start_s) // 60}:{int(finding.start_s) % 60:02d}")
    if finding.standing == "heard":
        parts.append("heard, not yet read through")
    return "; ".join(parts)


def _unseen(dossier: Dossier) -> Block:
    said = [one for one in dossier.findings if one.state == "not_examined" and one.standing != "rejected"]
    lines = [("unseen", finding_mark(one)[1], finding_sentence(one), "") for one in said]
    lines += [("unseen", "not mentioned", _group_words(group, parts), "") for group, parts in dossier.unseen]
    if not lines:
        return Words("Not examined", ("Every part on the list for this kind of movement was looked at.",))
    return Marked("Not examined", tuple(lines))


def _group_words(group: str, parts: Iterable[str]) -> str:
    """A group of the list with its parts by their names; the group alone when it is its one part."""
    names = [components()[one].preferred.split(" (")[0] if one in components() else one.replace("_", " ") for one in parts]
    return f"{group}." if names == [group] else f"{group}: {', '.join(names)}."
