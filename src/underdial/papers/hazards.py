"""What must be known before a clock is touched, from its record: how it is built, what was named at the counter, and
what was found.
"""

from __future__ import annotations

from underdial.papers.dossier import Dossier
from underdial.papers.sentences import finding_sentence
from underdial.record.as_left import faults_told_by
from underdial.record.finding import Finding, is_fault
from underdial.trade.dangers import danger_words, dangers
from underdial.trade.vocabulary import components, conditions

# Traits of which one is enough, and what they mean for whoever opens the clock. Source: common practice, as in the
# cautions of the trade.
_BUILT = (
    (("weight",), "It is driven by weights: they come off before it is moved or opened."),
    (
        ("fusee",),
        "A mainspring pulls a fusee: it holds its power, even when the clock has stopped, until it is let down.",
    ),
    (
        ("open_spring", "going_barrel"),
        "It is driven by a mainspring: it holds its power, even when the clock has stopped, until it is let down.",
    ),
    (("mercury_pendulum",), "There is mercury in the pendulum."),
    (("luminous",), "Luminous paint, which may be radium, glowing or not."),
    (("mains",), "It is fed from the mains: wiring and earth were not tested."),
    (("slate_case",), "Heavy slabs of slate or marble, which fall from old plaster."),
    (("longcase",), "A tall case, which falls unless it is fixed."),
)
_SAFETY = "safety"
# Clicks, lines, mercury jar, wall fixing, seat board, mains wiring: faults that hurt whoever does not know of them.
_FAULTS = frozenset(
    {
        *("PWR-18", "PWR-19", "PWR-20", "PWR-21", "PWR-22", "PWR-25", "PWR-26", "PWR-44"),
        *("PEN-20", "PEN-30", "LNG-01", "ELE-01", "MOT-17", "CAS-13"),
    }
)
_CONDITIONS = frozenset({"wormed", "wont_hold"})
_PARTS = frozenset({"mirror", "celluloid", "luminous_paint", "mercury_jar"})
_GLASS, _SHARP = frozenset({"glass", "dome", "tablet"}), frozenset({"cracked", "broken"})


def hazards_of_build(dossier: Dossier) -> tuple[str, ...]:
    """Sentences of what is dangerous by the way the clock is built."""
    return tuple(words for traits, words in _BUILT if set(traits) & set(dossier.traits))


def hazards_named(dossier: Dossier) -> tuple[str, ...]:
    """The dangers named at the counter that the build does not tell of already."""
    told = {f"trait:{one}" for traits, _ in _BUILT for one in traits if one in dossier.traits}
    return danger_words(
        one for one in dossier.clock.hazards if one not in dangers() or not told.issuperset(dangers()[one].triggers)
    )


def hazards_found(dossier: Dossier) -> tuple[str, ...]:
    """What was found and can hurt, a sentence each, with the hedge that was spoken."""
    return tuple(finding_sentence(one) for one in dossier.findings if is_fault(one) and _hurts(one))


def _hurts(one: Finding) -> bool:
    if one.condition in _CONDITIONS or one.component in _PARTS:
        return True
    if one.condition in conditions() and conditions()[one.condition].kind == _SAFETY:
        return True
    kinds = {one.component, *(components()[one.component].kinds if one.component in components() else ())}
    if kinds & _GLASS and one.condition in _SHARP:
        return True
    return bool(faults_told_by(one) & _FAULTS)
