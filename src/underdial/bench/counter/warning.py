"""Cautions for a clock: which are called for by what it is built with, what is dangerous about it, what was found, and
the step that is open.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from itertools import groupby

from underdial.bench.clock.composing import MAKES
from underdial.bench.counter.receiving import change_clock
from underdial.bench.shop import ClockPage, Shop, clock_page
from underdial.errors import BadInput
from underdial.record.as_left import is_put_right
from underdial.record.clock import Clock
from underdial.record.consent import agreed_lines
from underdial.record.finding import is_fault
from underdial.trade.cautions import AT_MOST_COUNT, Caution, due
from underdial.trade.dangers import danger_words, dangers, triggers_of_dangers
from underdial.trade.families import families
from underdial.trade.faults import applies, matching
from underdial.trade.traits import described, traits
from underdial.trade.vocabulary import components

_SPRING_DRIVEN = frozenset({"trait:open_spring", "trait:going_barrel", "trait:fusee"})
_AT_HOME = ("ready", "gone")
# What an owner does with a clock at home that the bench knows as a step.
_AT_HOME_STEPS = ("step:clock moved", "step:case moved", "step:case opened")


def dangers_to_tick() -> tuple[tuple[str, str], ...]:
    """Ids and words of what may be dangerous about a clock, as it is asked at the counter."""
    return tuple((one.id, one.words) for one in dangers().values())


def dangers_shown(clock: Clock) -> str:
    """The dangers written down for a clock, in one line; empty when none is."""
    return ", ".join(danger_words(clock.hazards))


def dangers_named(ticked: Iterable[str], *, before: Iterable[str] = ()) -> tuple[str, ...]:
    """The dangers ticked, each once, and of `before` what the list to tick does not have.

    BadInput for one that is not in the list.
    """
    wanted = tuple(dict.fromkeys(ticked))
    for one in wanted:
        if one not in dangers():
            raise BadInput(
                "danger",
                one,
                ", ".join(dangers()),
                f"danger: {one} is not in the list; allowed: {', '.join(dangers())}.",
            )
    return (*wanted, *(one for one in before if one not in dangers()))


def name_dangers(
    shop: Shop, clock: str, ticked: Iterable[str], *, version_count: int | None = None, by: str = "repairer"
) -> Clock:
    """Write down what is dangerous about a clock; what is not ticked any more is taken off."""
    page = clock_page(shop, clock)
    return change_clock(
        shop,
        clock,
        {"hazards": dangers_named(ticked, before=page.clock.hazards)},
        version_count=version_count or page.versions[page.clock.id],
        by=by,
    )


def triggers_of(page: ClockPage, *, steps: Iterable[str] = ()) -> set[str]:
    """What the record of a clock calls cautions by; `steps` are triggers such as `step:let-down` of the page that is
    open.
    """
    built, may_have = _built(page)
    called = {f"trait:{one}" for one in built} | triggers_of_dangers(page.clock.hazards)
    for one in page.findings:
        if not is_fault(one):
            continue
        if one.component in components():
            called.add(f"component:{one.component}")
        called.add(f"condition:{one.condition}")
        fitting = [
            fault for fault in matching(one.component, one.condition, one.of) if applies(fault, built, may_have) != "no"
        ]
        called |= {f"fault:{fault.id}" for fault in fitting[:1]}
    called |= set(steps)
    # A clock that is known to go by a spring has no weight to put on.
    return called - {"step:weight on or off"} if called & _SPRING_DRIVEN and "trait:weight" not in called else called


def bench_cautions(
    page: ClockPage, *, steps: Iterable[str] = (), acknowledged: Iterable[str] = ()
) -> tuple[Caution, ...]:
    """At most two cautions for the bench, the highest rank first; within a rank those of the dangers that somebody
    wrote down come first.
    """
    steps, seen = tuple(steps), frozenset(acknowledged)
    without = replace(page, clock=replace(page.clock, hazards=()))
    anyhow = {one.id for one in due(triggers_of(without, steps=steps), reader="bench")}
    called = (one for one in due(triggers_of(page, steps=steps), reader="bench") if one.id not in seen)
    ordered = (
        one
        for _, rank in groupby(called, key=lambda one: one.rank)
        for one in sorted(rank, key=lambda one: one.id in anyhow)
    )
    return tuple(ordered)[:AT_MOST_COUNT]


def owner_cautions(page: ClockPage) -> tuple[str, ...]:
    """What the owner is told, in words for use at home, the highest rank first: of how the clock is built, and of the
    faults that no work has put right.
    """
    standing = replace(page, findings=tuple(one for one in page.findings if not is_put_right(one, page.works)))
    return _told_to_owner(standing, (*_AT_HOME_STEPS, *_left_steps(page)))


def counter_cautions(page: ClockPage) -> tuple[str, ...]:
    """What the owner is told on the receipt: of how the clock is built and of the dangers that were named, for nothing
    has been looked at yet.
    """
    return _told_to_owner(replace(page, findings=()), _AT_HOME_STEPS)


def _told_to_owner(page: ClockPage, steps: Iterable[str]) -> tuple[str, ...]:
    return tuple(one.owner_text for one in due(triggers_of(page, steps=steps), reader="owner"))


def _left_steps(page: ClockPage) -> tuple[str, ...]:
    """The state in which a clock goes home: unrepaired, or with a fault that stops it left in it."""
    done = [one for one in page.works if one.alters]
    if not done:
        declined = any(one.withdrawn_at is None for one in page.consents) and not agreed_lines(page.consents)
        return ("step:clock goes back unrepaired",) if declined or page.visit.stage in _AT_HOME else ()
    left = any(is_fault(one) and one.significance == "stops" and not is_put_right(one, done) for one in page.findings)
    return ("step:a fault that stops or endangers is still there",) if left and page.visit.stage in _AT_HOME else ()


def _built(page: ClockPage) -> tuple[frozenset[str], frozenset[str]]:
    """What this clock carries, and what it may have, by its family and what was said of it."""
    family = families().get(page.clock.family or "")
    carried, may_have = (
        (frozenset(family.traits), frozenset(family.may_have)) if family else (frozenset[str](), frozenset[str]())
    )
    told = {str(page.clock.movement[key]) for key in MAKES if page.clock.movement.get(key)}
    return described(carried, may_have, (frozenset(page.clock.traits) | told) & frozenset(traits()))
