"""The care sheet: how to live with this clock, by how it is built and how long it goes from one wind.

Nothing is said of a part that the clock is not known to have. Sentences are common practice.
"""

from __future__ import annotations

import re

from underdial.papers.blocks import Block, Caution, Paper, Words
from underdial.papers.choice_words import agreed_choice, rate_over_wind_words
from underdial.papers.counter_papers import _paper
from underdial.papers.dossier import Dossier

# Going time up to so many hours, and how often such a clock is wound.
_WOUND = (
    (40.0, "every day at the same hour"),
    (480.0, "on the same day each week"),
    (2400.0, "on the same day each month"),
    (float("inf"), "once a year, on the same day"),
)
_SPRINGS = frozenset({"open_spring", "going_barrel", "fusee"})
_PULLED = frozenset({"pull_wound", "endless_loop", "chain_weight"})
_STRIKES = frozenset({"rack", "count_wheel", "repeat", "cuckoo"})
_FED = frozenset({"mains", "battery"})


def care_sheet(dossier: Dossier) -> Paper:
    """How to live with this clock: winding, setting, moving, when to call; cautions that still stand."""
    rows = (
        *_winding(dossier),
        _setting(dossier),
        "Do not oil it and do not spray it. If it stops, note the time on the dial, how long since it was wound, and "
        "whether it was moved; then call us.",
        _place(frozenset(dossier.traits)),
    )
    blocks: list[Block] = [*(Caution("before_step", one) for one in dossier.owner_cautions[:2]), Words("At home", rows)]
    chosen = agreed_choice(dossier)
    drift = rate_over_wind_words(chosen) if chosen is not None else None
    if drift is not None:
        blocks.append(Words("What to expect of its rate", (f"{drift[0].upper()}{drift[1:]}.",)))
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


def _winding(dossier: Dossier) -> tuple[str, ...]:
    built = frozenset(dossier.traits)
    if built & _FED:
        return ()
    often = _how_often(dossier.going_time_h)
    if "weight" in built and built & _PULLED:
        return (
            f"Wind it {often}: pull the chain or rope down steadily until the weight is just below the case, and do "
            "not lift the weight with your hand.",
        )
    if "weight" in built:
        return (f"Wind it {often}, slowly and evenly, each weight to just below the seat board and never against it.",)
    if built & _SPRINGS:
        return (
            f"Wind it {often}, evenly, until you feel the stop. Do not force it there, and let the key come back "
            "gently.",
        )
    return (f"Wind it {often}, evenly, and never hard against its stop.",)


def _how_often(going_time_h: float | None) -> str:
    if going_time_h is None:
        return "at the same hour, before it runs down"
    return next(words for most_h, words in _WOUND if going_time_h <= most_h)


def _setting(dossier: Dossier) -> str:
    """How it is set to time; of striking only where it strikes, or may."""
    built = frozenset(dossier.traits)
    how = (
        "Set it to time forwards, by the knob or square at its back if it has one, else by the minute hand"
        if "balance" in built
        else "Set it to time by the minute hand, forwards"
    )
    if "chime" in built:
        return f"{how}, and wait at each quarter until it has chimed."
    if built & _STRIKES:
        return f"{how}, and each time it strikes wait until it has finished."
    if _is_timepiece(dossier):
        return f"{how}."
    return f"{how}; if it strikes, wait each time until it has finished."


def _is_timepiece(dossier: Dossier) -> bool:
    """Whether it is known not to strike: it was said so, or it is called a timepiece, the trade's word for that."""
    return dossier.clock.movement.get("strike") == "none" or bool(
        re.search(r"\btimepiece\b", dossier.clock.name, re.IGNORECASE)
    )


def _place(built: frozenset[str]) -> str:
    """Where it stands, and what comes before it is moved."""
    if "torsion" in built:
        return (
            "Stand it level, where nobody knocks against it. Its pendulum is locked before it is moved; ask us how, if "
            "you were not shown."
        )
    if "balance" in built:
        return "Stand it firmly, away from damp and heat, and carry it upright."
    level = "It keeps time only where it stands or hangs firmly, and level enough for an even tick."
    if "weight" in built and "pendulum" in built:
        return (
            f"{level} Before it is moved, take off the weights first, then the pendulum; put them back the other way."
        )
    if "pendulum" in built:
        return f"{level} Before it is moved, take off the pendulum, or fasten it if it has a hold for that."
    return "Ask us before it is moved."
