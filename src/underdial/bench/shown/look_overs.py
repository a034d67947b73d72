"""The look-overs of a visit as the pages show them: what each is called, when it was, what was open, how many findings
it brought, and its findings with what another look-over said of the same part.
"""

from __future__ import annotations

from collections.abc import Container
from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from underdial.bench.shop import ClockPage, Shop
from underdial.bench.shown.pages import FindingShown, findings_shown
from underdial.papers.sentences import finding_sentence
from underdial.record.finding import Finding
from underdial.record.look_over import LookOver
from underdial.record.looked_over import called, in_time, look_over_of, overtaken


@dataclass(frozen=True, slots=True)
class LookShown:
    """A look-over on a page: its name, when it was in the shop's own hours, and what is known of how it was done."""

    look_over: LookOver
    name: str
    when: str
    how: str
    findings_count: int
    version_count: int


@dataclass(frozen=True, slots=True)
class OtherLook:
    """What another look-over said of the same part: where and when, in which sentence."""

    id: str
    where: str
    sentence: str


@dataclass(frozen=True, slots=True)
class FindingOfLook:
    """A finding with the one that holds in its place, and those whose place it took."""

    shown: FindingShown
    later: OtherLook | None
    before: tuple[OtherLook, ...]


@dataclass(frozen=True, slots=True)
class LookFindings:
    """The findings of one look-over; `look` None for those written down singly."""

    look: LookShown | None
    findings: tuple[FindingOfLook, ...]


def looks_shown(shop: Shop, page: ClockPage) -> list[LookShown]:
    """The look-overs of this visit, the earliest first."""
    zone = ZoneInfo(shop.settings.zone)
    looks = in_time(page.look_overs)
    return [
        LookShown(
            one,
            called(one, looks),
            _when(one.at, zone),
            "; ".join(word for word in (one.opened, one.light, one.method) if word),
            sum(look_over_of(each) == one.id for each in page.findings),
            page.versions.get(one.id, 0),
        )
        for one in looks
    ]


def findings_by_look(shop: Shop, page: ClockPage) -> list[LookFindings]:
    """The findings under their look-overs, the earliest first; those written down singly last."""
    looks = looks_shown(shop, page)
    names = {one.look_over.id: f"{_in_words(one)}, {one.when}" for one in looks}
    later = overtaken(page.findings, page.look_overs, page.works)
    before: dict[str, list[Finding]] = {}
    for one in page.findings:
        if one.id in later:
            before.setdefault(later[one.id].id, []).append(one)

    def other(one: Finding) -> OtherLook:
        return OtherLook(one.id, names.get(look_over_of(one) or "", "written down singly"), finding_sentence(one))

    def of_look(one: FindingShown) -> FindingOfLook:
        holds = later.get(one.id)
        earlier = tuple(other(each) for each in before.get(one.id, ()))
        return FindingOfLook(one, None if holds is None else other(holds), earlier)

    shown = findings_shown(page)
    groups: list[LookFindings] = []
    for look in (*looks, None):
        its = look.look_over.id if look else None
        found = [one for one in shown if _known(look_over_of(one.finding), names) == its]
        if found:
            groups.append(LookFindings(look, tuple(of_look(one) for one in found)))
    return groups


def _known(look_over_id: str | None, names: Container[str]) -> str | None:
    return look_over_id if look_over_id in names else None


def _in_words(one: LookShown) -> str:
    return f"“{one.name}”" if one.look_over.occasion else one.name[:1].lower() + one.name[1:]


def _when(at: datetime, zone: ZoneInfo) -> str:
    return f"{at.astimezone(zone):%-d %B %Y %H:%M}"
