"""What a cause does to a clock, in words for its owner: no torque, no angle, no jargon of the sums.

The bench has the figures (`wording`); here a share of the power is about a tenth or a half, a rate is seconds or
minutes. What is only possible is said so.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from underdial.diagnosis.causes import Single
from underdial.diagnosis.mechanism import felt_words, stop_kind
from underdial.diagnosis.question import Question
from underdial.diagnosis.suspects import Suspect, SymptomSuspect
from underdial.diagnosis.told_words import told_words
from underdial.diagnosis.wording import symptom_title, title_of

# The ways to stop it by their kind (`mechanism`), each as what the fault does.
_STOPS: Mapping[str, str] = {
    "dead": "keeps the clock from going at all",
    "hour1": "stops the clock at the same minute of the hour",
    "crossing": "stops the clock where the two hands pass each other",
    "hour12": "stops the clock at the same time on the dial",
    "hour24": "stops the clock at the same time of the day",
    "before_hour": "stops the clock shortly before the hour, as it gets ready to strike",
    "quarter": "stops the clock shortly before the quarter, as it gets ready to chime",
    "one_oclock": "stops the clock between twelve and one",
    "random": "stops the clock now and then",
    "tilt": "stops the clock unless it stands just so",
    "slip": "lets the clock tick on while the hands stand",
    "arbor": "stops the clock when one of its wheels comes round to the same place",
    "escape": "stops the clock when its last wheel comes round to the same place",
    "wind": "stops the clock at the same stage between one winding and the next",
    "winding_stop": "stops the clock while it is being wound",
}
# Words of the bench that an owner would not know, and what is said in their place.
_FOR_BENCH: Mapping[str, str] = {
    "lets the train race": "lets the wheels run away",
    "lets the movement go while the hands stand": "lets the clock tick on while the hands stand",
    "makes the balance knock on its banking": "makes the balance swing so far that it knocks",
    "makes its rate unsteady": "makes its timekeeping unsteady",
    "makes its rate change over the wind": "makes it keep another time when it is nearly run down",
}
_SHARES = (
    (0.1, "a tenth"),
    (0.125, "an eighth"),
    (1 / 6, "a sixth"),
    (0.2, "a fifth"),
    (0.25, "a quarter"),
    (1 / 3, "a third"),
    (0.5, "half"),
)
_LITTLE, _TENTH, _MOST = 0.02, 0.085, 0.6
_SWING_FELT, _RATE_FELT_S_PER_DAY = 0.03, 20.0


def owner_sentence(asked: Question, one: Single) -> str:
    """What is found or may be so, and in a second sentence what it does to this clock."""
    suspect = asked.suspicion.suspects[one.suspect]
    title = title_of(asked, suspect)
    often = _stop(asked, suspect, one, often=True)
    felt = felt_words(asked, suspect)
    does = [often, _FOR_BENCH.get(felt, felt), _rate(one), _power(one), _swing(asked, one), _reserve(one)]
    does = list(dict.fromkeys(text for text in does if text))[:2]
    if len(does) < 2:
        does += [text for text in (_stop(asked, suspect, one, often=False),) if text]
    if not does:
        does = [text for text in (_slight(suspect),) if text]
    how = "This" if suspect.reports and ", which may mean that " not in title else "If so, it"
    return f"{title}. {how} {' and '.join(does)}." if does else f"{title}. Beside the rest it makes no difference."


def owner_symptom_sentence(asked: Question, suspect: SymptomSuspect, told: Sequence[str]) -> str:
    """What is found or may be so of striking, chiming or alarm, and which of the complaints it would explain."""
    title = symptom_title(asked, suspect)
    explained = [told_words(*t.split("=", 1)) for t in _told_of(suspect, told)]
    if not explained:
        return f"{title}. It does not explain what you told us."
    return f"{title}. {'This' if suspect.reports else 'If so, it'} would explain {' and '.join(explained)}."


def symptom_acts_on(suspect: SymptomSuspect, told: Sequence[str]) -> str:
    """What a cause of striking, chiming or alarm acts on: `strikes`, `chimes` or `alarm`."""
    explained = [t.split("=", 1)[0] for t in _told_of(suspect, told)]
    return next(iter([*explained, *(sign.field for sign in suspect.signs)]), "strikes")


def share_of_power(share: float) -> str:
    """A share from 0 to 1: `about a tenth of the clock's power`; empty when it is too little to tell."""
    if share < _LITTLE:
        return ""
    if share < _TENTH:
        return "a little of the clock's power"
    if share > _MOST:
        return "more than half of the clock's power"
    return f"about {min(_SHARES, key=lambda row: abs(row[0] - share))[1]} of the clock's power"


def _told_of(suspect: SymptomSuspect, told: Sequence[str]) -> list[str]:
    brings = {f"{sign.field}={sign.value}" for sign in suspect.signs if sign.probability > 0.0}
    return [t for t in told if t in brings]


def _stop(asked: Question, suspect: Suspect, one: Single, *, often: bool) -> str:
    kind, is_often = stop_kind(asked, suspect, one)
    if not kind or is_often is not often:
        return ""
    verb, rest = _STOPS[kind].split(" ", 1)
    return f"{verb} {rest}" if often else f"can now and then {verb.removesuffix('s')} {rest}"


def _power(one: Single) -> str:
    if one.torque_without_n_m <= 0.0:
        return ""
    words = share_of_power(one.torque_lost_n_m / one.torque_without_n_m)
    return f"takes {words}" if words else ""


def _swing(asked: Question, one: Single) -> str:
    with_it, without = one.amplitude_with_rad, one.amplitude_without_rad
    if without <= 0.0 or abs(without - with_it) < _SWING_FELT * without:
        return ""
    what = "balance" if asked.bench.layout.oscillator == "balance" else "pendulum"
    return f"makes the {what} swing {'wider' if with_it > without else 'less'} than it should"


def _rate(one: Single) -> str:
    size = abs(one.rate_change)
    if size < _RATE_FELT_S_PER_DAY:
        return ""
    how_far = next(
        words
        for most, words in (
            (45.0, "some seconds"),
            (90.0, "about a minute"),
            (180.0, "a few minutes"),
            (1200.0, "several minutes"),
            (3600.0, "much of an hour"),
            (float("inf"), "more than an hour"),
        )
        if size < most
    )
    return f"makes the clock {'gain' if one.rate_change > 0 else 'lose'} {how_far} a day"


def _reserve(one: Single) -> str:
    if one.reserve_without <= 0.0 or one.reserve_with > 0.97 * one.reserve_without:
        return ""
    return (
        "leaves the clock too little power to keep going"
        if one.reserve_with < 1.0
        else "leaves the clock less power to spare"
    )


def _slight(suspect: Suspect) -> str:
    """What a fault does that shows in no figure of the going."""
    laws = dict(suspect.law.laws)
    for names, words in (
        (("ripple", "tooth_ripple"), "makes the power rise and fall as a wheel turns"),
        (("turns",), "shortens the run from one winding to the next"),
        (("beat",), "makes the tick uneven, so that a wider swing is needed"),
        (("trip",), "lets a tooth slip by at times"),
    ):
        if any(name in laws for name in names):
            return words
    if any(name.startswith("rate") for name in laws):
        return "changes the timekeeping by no more than can be set right"
    return "takes very little of the clock's power"
