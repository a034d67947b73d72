"""How a fault works where a median of torque or swing does not show it: its stop, its turn, its time, what the hand
feels.

Numbers are those of this movement: periods of its own arbors, its own duration.
"""

from __future__ import annotations

from underdial.diagnosis.causes import Single
from underdial.diagnosis.question import Question
from underdial.diagnosis.suspects import Suspect
from underdial.diagnosis.told_words import share_words, time_words
from underdial.trade.phrases import preferred

_HARD_FROM, _SELDOM = 0.25, 0.02
# From this share on, or from this chance that it alone keeps the clock from going, a stop is said as what it does;
# below as what it does in some clocks. [assumption]
_MOSTLY, _A_CAUSE = 0.6, 0.15
_STOPS = {
    "dead": "keeps the clock from going at all",
    "hour1": "stops the clock at one minute of the hour",
    "crossing": "stops the clock where the hands pass each other, every 65 min",
    "hour12": "stops the clock at one time on the dial, once in 12 h",
    "hour24": "stops the clock at one time of the day, once in 24 h",
    "before_hour": "stops the clock before the hour, as the strike is lifted",
    "quarter": "stops the clock as the chime is lifted before the quarter",
    "one_oclock": "stops the clock between twelve and one, once in 12 h",
    "random": "stops the clock now and then",
    "tilt": "stops the clock in some positions",
    "slip": "lets the movement go while the hands stand",
}
_FELT = {
    ("winding", "slips"): "lets the winding slip",
    ("winding", "will_not_wind"): "keeps the clock from being wound",
    ("races", "yes"): "lets the train race",
    ("hands_stand", "yes"): "lets the movement go while the hands stand",
    ("noise", "sway"): "lets the case sway",
    ("noise", "knock"): "makes it knock",
    ("noise", "scrape"): "makes it scrape",
    ("noise", "squeak"): "makes it squeak",
    ("noise", "creak"): "makes it creak",
    ("noise", "bang"): "goes off with a bang",
    ("noise", "click"): "makes it click",
    ("noise", "rattle"): "makes it rattle",
    ("noise", "jangle"): "makes it jangle",
    ("swing", "knocks"): "makes the balance knock on its banking",
    ("swing", "too_big"): "makes it swing too wide",
    ("swing", "too_small"): "keeps its swing small",
    ("rate_kind", "irregular"): "makes its rate unsteady",
    ("rate_kind", "changes_over_wind"): "makes its rate change over the wind",
    ("stops_in_cold", "yes"): "stops the clock in the cold",
}


def stop_words(asked: Question, suspect: Suspect, one: Single) -> str:
    """How it stops this clock hard, when at least a quarter of the clocks that have it are stopped so; in how many,
    where they are not most.
    """
    kind, often = stop_kind(asked, suspect, one)
    if not kind or not often:
        return ""
    stops = _stop(asked, suspect, kind)
    sure = kind == "slip" or one.hard_share >= _MOSTLY or one.necessary >= _A_CAUSE
    return stops if sure or not stops else f"in {share_words(one.hard_share)} such clocks {stops}"


def stop_kind(asked: Question, suspect: Suspect, one: Single) -> tuple[str, bool]:
    """The way in which it stops this clock hard, empty when it does not, and whether it does so in at least a quarter
    of the clocks that have it.
    """
    kinds = [kind for kind, _ in suspect.law.events]
    if kinds and kinds[0] == "slip":
        return "slip", True
    if not kinds or one.hard_share < _SELDOM:
        return "", False
    return _leading(asked, kinds), one.hard_share >= _HARD_FROM


def mechanism(asked: Question, suspect: Suspect, one: Single, *, beside: bool) -> str:
    """What it does in its own way when the medians show little; with `beside`, only what a stop or a turn adds."""
    laws = dict(suspect.law.laws)
    duration = asked.bench.layout.duration_s
    kind, often = stop_kind(asked, suspect, one)
    if kind and not often:
        return f"in {share_words(one.hard_share)} such clocks {_stop(asked, suspect, kind)}"
    if beside:
        return ""
    if "ripple" in laws or "tooth_ripple" in laws:
        turn = _turn(asked, suspect)
        return (
            f"makes the power rise and fall once a turn of {turn}"
            if turn
            else "makes the power rise and fall with the teeth"
        )
    if "turns" in laws:
        return f"shortens its run, which should be {time_words(duration)}"
    if "beat" in laws:
        return "sets the beat to one side, so that it needs a wider swing"
    if any(kind.startswith("rate") for kind in laws):
        return "changes its rate by less than its regulator can take up"
    if "trip" in laws:
        return "lets a tooth slip by at times"
    if "quality" in laws or "coulomb" in laws:
        return f"brakes the swing by less than 3 in 100 of its {_arc(one)}"
    if one.torque_without_n_m > 0.0:
        return f"takes less than 2 in 100 of the {_torque(one)} at the escape wheel"
    return ""


def felt_words(asked: Question, suspect: Suspect) -> str:
    """A sign that was told, as what the fault does."""
    for sign in suspect.law.signs:
        told = asked.told.get(sign.field)
        if told is not None and str(told) in (sign.value, "True") and sign.field not in ("goes_only", "rate_s_per_day"):
            words = _FELT.get((sign.field, sign.value), "")
            if words:
                return words
    return ""


def _leading(asked: Question, kinds: list[str]) -> str:
    """Of several ways to stop it the one that fits what was told."""
    wanted = {"same_wind": ("wind", "winding_stop"), "before_hour": ("before_hour",), "same_minute": ("hour1",)}.get(
        str(asked.told.get("stops_at")), ()
    )
    return next((kind for kind in kinds if kind in wanted), kinds[0])


def _stop(asked: Question, suspect: Suspect, kind: str) -> str:
    if kind in ("arbor", "escape"):
        turn = _turn(asked, suspect, escape=kind == "escape")
        return (
            f"stops the clock at its place in the turn of {turn}"
            if turn
            else "stops the clock once a turn of its wheel"
        )
    if kind == "wind":
        return f"stops the clock at one state of its {time_words(asked.bench.layout.duration_s)} of wind"
    if kind == "winding_stop":
        return "stops the clock while it is being wound"
    return _STOPS.get(kind, "")


def _turn(asked: Question, suspect: Suspect, *, escape: bool = False) -> str:
    """The arbor a fault sits on, with its period; empty when it is not known which."""
    layout = asked.bench.layout
    arbor = (
        layout.arbors_count - 1
        if escape
        else (suspect.arbors[0] if len(suspect.arbors) == 1 and not suspect.everywhere else -1)
    )
    if not 0 <= arbor < layout.arbors_count:
        return ""
    return f"the {preferred(layout.arbor_names[arbor])}, every {time_words(layout.arbor_period_s[arbor])}"


def _arc(one: Single) -> str:
    degrees = 57.29578 * one.amplitude_without_rad
    return f"{degrees:.0f} deg" if degrees > 20.0 else f"{degrees:.1f} deg"


def _torque(one: Single) -> str:
    size = one.torque_without_n_m * 1e6
    return f"{size:.0f} µN m" if size < 1e4 else f"{size * 1e-3:.0f} mN m"
