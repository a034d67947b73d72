"""Which look-over a finding is from, for the condition record: when it was, what was open, by what light and how; and
what another look-over said of the same part.
"""

from __future__ import annotations

from collections.abc import Mapping

from underdial.papers.blocks import Facts
from underdial.papers.dossier import Dossier
from underdial.papers.sentences import finding_sentence
from underdial.record.finding import Finding
from underdial.record.look_over import LookOver
from underdial.record.looked_over import called, in_time, look_over_of, overtaken

_BY_EYE = "by eye, spoken as it was seen"
_NOT_WRITTEN = "not written down"


def findings_by_look_over(dossier: Dossier) -> list[tuple[Facts | None, tuple[Finding, ...]]]:
    """The findings of each look-over under what is said of it, the earliest first, and last those written down singly.

    One look-over has no heading of its own: the paper's own facts tell of it.
    """
    if len(dossier.look_overs) < 2:
        return [(None, dossier.findings)]
    looks = in_time(dossier.look_overs)
    of = {one.id: tuple(each for each in dossier.findings if look_over_of(each) == one.id) for one in looks}
    singly = tuple(one for one in dossier.findings if look_over_of(one) not in of)
    found: list[tuple[Facts | None, tuple[Finding, ...]]] = [
        (Facts(_heading(one, dossier), _facts(one)), of[one.id]) for one in looks
    ]
    if singly:
        found.append((Facts("Written down singly", (("When", "in none of these look-overs"),)), singly))
    return found


def look_over_pairs(dossier: Dossier) -> tuple[tuple[str, str], ...]:
    """When it was looked over, by whom, what was open, by what light and how, for the paper's own facts."""
    looks = in_time(dossier.look_overs)
    if not looks:
        return (
            ("Looked over", "no look-over has been taken"),
            ("By", _NOT_WRITTEN),
            ("Light", _NOT_WRITTEN),
            ("How", f"{_BY_EYE}; sizes with the instruments named"),
        )
    if len(looks) == 1:
        name = (("Called", looks[0].occasion),) if looks[0].occasion else ()
        return (("Looked over", _when(looks[0])), *name, *_facts(looks[0])[1:])
    said = "; ".join(f"{called(one, looks)}, {_when(one)}" for one in looks)
    return (
        ("Looked over", f"{len(looks)} times: {said}"),
        ("What holds", "where a later one says something else of a part, both stand below, and the later holds"),
    )


def from_which(finding: Finding, dossier: Dossier) -> str:
    """From which of several look-overs a finding is; empty where there is only one, or none."""
    found = next((one for one in dossier.look_overs if one.id == look_over_of(finding)), None)
    return _named(found, dossier) if found is not None and len(dossier.look_overs) > 1 else ""


class OtherLooks:
    """What another look-over said of the same part, for each finding of a paper."""

    def __init__(self, dossier: Dossier) -> None:
        self._dossier = dossier
        self._later: Mapping[str, Finding] = overtaken(dossier.findings, dossier.look_overs, dossier.works)

    def took_place_of(self, finding: Finding) -> Finding | None:
        """The finding that holds in the place of this one."""
        return self._later.get(finding.id)

    def words(self, finding: Finding) -> str:
        """What was said otherwise, when, and which holds; empty where nothing was."""
        later = self._later.get(finding.id)
        parts = [f"said otherwise {self._where(later)}, which holds: {_sentence(later)}"] if later is not None else []
        parts += [
            f"{self._where(one)} it was: {_sentence(one)}"
            for one in self._dossier.findings
            if (holds := self._later.get(one.id)) is not None and holds.id == finding.id
        ]
        return "; ".join(parts)

    def _where(self, finding: Finding) -> str:
        named = from_which(finding, self._dossier)
        return f"in {named}" if named else "written down singly"


def _sentence(finding: Finding) -> str:
    return finding_sentence(finding).rstrip(".")


def _heading(one: LookOver, dossier: Dossier) -> str:
    looks = in_time(dossier.look_overs)
    name, at = called(one, looks), looks.index(one) + 1
    return f"{name}, look-over {at} of {len(looks)}" if one.occasion else f"{name} of {len(looks)}"


def _named(one: LookOver, dossier: Dossier) -> str:
    name = called(one, dossier.look_overs)
    told = f"“{name}”" if one.occasion else f"the {name[:1].lower()}{name[1:]}"
    return f"{told} ({one.at:%-d %B %Y %H:%M})"


def _when(one: LookOver) -> str:
    return f"{one.at:%-d %B %Y %H:%M}"


def _facts(one: LookOver) -> tuple[tuple[str, str], ...]:
    return (
        ("When", _when(one)),
        ("By", one.by),
        ("Open", one.opened or _NOT_WRITTEN),
        ("Light", one.light or _NOT_WRITTEN),
        ("How", f"{one.method or _BY_EYE}; sizes with the instruments named"),
    )
