"""Cautions for a clock: which are called for by what it is built with, what was found, and the step that is open."""

from __future__ import annotations

from collections.abc import Iterable

from underdial.bench.shop import ClockPage
from underdial.record.finding import is_fault
from underdial.trade.cautions import Caution, due, shown
from underdial.trade.families import families
from underdial.trade.faults import applies, matching
from underdial.trade.traits import described, traits
from underdial.trade.vocabulary import components


def triggers_of(page: ClockPage, *, steps: Iterable[str] = ()) -> set[str]:
    """What the record of a clock calls cautions by; `steps` are triggers such as `step:let-down` of the page that is open."""
    built, may_have = _built(page)
    called = {f"trait:{one}" for one in built}
    for one in page.findings:
        if not is_fault(one):
            continue
        if one.component in components():
            called.add(f"component:{one.component}")
        called.add(f"condition:{one.condition}")
        fitting = [fault for fault in matching(one.component, one.condition, one.of) if applies(fault, built, may_have) != "no"]
        called |= {f"fault:{fault.id}" for fault in fitting[:1]}
    return called | set(steps)


def bench_cautions(page: ClockPage, *, steps: Iterable[str] = (), acknowledged: Iterable[str] = ()) -> tuple[Caution, ...]:
    """At most two cautions for the bench, the highest rank first."""
    return shown(triggers_of(page, steps=steps), reader="bench", acknowledged=tuple(acknowledged))


def owner_cautions(page: ClockPage) -> tuple[str, ...]:
    """Sentences of the cautions that the owner is told, the highest rank first."""
    return tuple(one.text for one in due(triggers_of(page, steps=("step:clock moved",)), reader="owner"))


def _built(page: ClockPage) -> tuple[frozenset[str], frozenset[str]]:
    """What this clock carries, and what it may have, by its family and what was said of it."""
    family = families().get(page.clock.family or "")
    carried, may_have = (frozenset(family.traits), frozenset(family.may_have)) if family else (frozenset[str](), frozenset[str]())
    return described(carried, may_have, frozenset(page.clock.traits) & frozenset(traits()))
