"""What was heard in a look-over and is too doubtful to be written: shown apart, a finding once somebody says that it
is so.

Never here: what is in doubt (`telling`).
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from underdial.bench.shop import ClockPage, Shop, job
from underdial.errors import NotFound
from underdial.papers.sentences import clock_words, finding_sentence
from underdial.record.codec import to_plain
from underdial.record.finding import Evidence, Finding
from underdial.record.look_over import LookOver

# Why a finding was written that was in doubt; by it the deed can be taken back.
TAKEN_UP = "so, though it was heard in doubt"
_AROUND_S = 1.5


@dataclass(frozen=True, slots=True)
class Doubt:
    """One thing that may have been said: `key` names it, `sentence` is what would be written."""

    key: str
    sentence: str
    words: str
    time: str
    look_over_id: str
    play_from_s: float
    play_to_s: float


def doubts_of(page: ClockPage) -> tuple[Doubt, ...]:
    """What is in doubt and written by nobody yet, in the order of the look-overs and of what was said."""
    return tuple(
        Doubt(
            key=_key(look_over, one),
            sentence=finding_sentence(one),
            words=one.words or "",
            time=clock_words(one.start_s) if one.start_s is not None else "",
            look_over_id=look_over.id,
            play_from_s=max(0.0, (one.start_s or 0.0) - _AROUND_S),
            play_to_s=(one.end_s or one.start_s or 0.0) + _AROUND_S,
        )
        for look_over, one in _open(page.look_overs, page.findings)
    )


def take_up(shop: Shop, clock: str, key: str, *, by: str = "repairer") -> Finding:
    """Write what was in doubt as a finding: the repairer says that it is so. Raises NotFound when nothing of that key
    is in doubt, or is no more.
    """
    with job(shop, clock, by=by, why=TAKEN_UP) as at:
        looked = [one for one in at.all("look_over") if one.visit_id == at.visit_id]
        doubted = _open(looked, at.all("finding"))
        meant = next(((look_over, one) for look_over, one in doubted if _key(look_over, one) == key), None)
        if meant is None:
            raise NotFound("doubt", key, "one that is shown", "doubt: it is written already, or was not heard.")
        look_over, one = meant
        heard = Evidence(kind="look_over", source=look_over.id, start_s=one.start_s, end_s=one.end_s)
        kept: Finding = at.add(
            replace(one, visit_id=at.visit_id, standing="confirmed", guess=None, evidence=(*one.evidence, heard))
        )
    return kept


def _open(look_overs: Iterable[LookOver], findings: Iterable[Finding]) -> Iterator[tuple[LookOver, Finding]]:
    """What is in doubt in each look-over and is not written."""
    written = [one for one in findings if one.standing != "rejected"]
    for look_over in look_overs:
        for one in look_over.in_doubt:
            if not any(_same(one, other) for other in written):
                yield look_over, one


def _same(one: Finding, other: Finding) -> bool:
    return (one.component, one.condition, one.state) == (other.component, other.condition, other.state) and all(
        mine == its or None in (mine, its) for mine, its in ((one.of, other.of), (one.place, other.place))
    )


def _key(look_over: LookOver, one: Finding) -> str:
    told = json.dumps([look_over.id, to_plain(one)], sort_keys=True)
    return hashlib.sha256(told.encode()).hexdigest()[:16]
