"""Who is suspected: the faults this clock can have, each with its chance and place after the findings.

A finding that points to a fault makes a suspect at the finding's own place; the same fault elsewhere in the train stays
a suspect with its own chance. "Checked, sound" lowers, "not examined" leaves as it was. Of the reports of a fault one
in ten is wrong when nothing was said about certainty; a spoken hedge takes the place of that one in ten.

Limits: faults are independent of one another before the symptoms are told. Chances are starting values of ours.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from underdial.diagnosis.case_file import Case, Report, Unused
from underdial.diagnosis.places import Places
from underdial.diagnosis.severity import chance_of_saying_none
from underdial.trade.fault_laws import FaultLaw, Sign, fault_laws, symptom_laws
from underdial.trade.faults import Fault, applies, faults, matching
from underdial.trade.last_done import heard_works
from underdial.trade.traits import traits as known_traits
from underdial.trade.vocabulary import components, conditions

NAMELESS = "NAMELESS"
UNKNOWN_STOP = "UNKNOWN-STOP"
_POSSIBLE = 0.35
_OWNER_SHARE = 0.6
_MOST_SURE = 0.985
# Of two faults that a finding could mean, the less fitting has this part of the weight. [assumption]
_NEXT_READING = 0.3
# For nine reports of a fault that are right one is wrong.
_WRONG_REPORTS = 1.0 / 9.0
_MOST_WRONG = 0.5
# How many faults of the going a move, a fall or a repair brings on average. [assumption]
_FAULTS_OF_AN_EVENT = 0.8
# What a measured finding says of severity: SI value of severity 1. [assumption]
_MEASURED = {
    "BAL-01": 0.08e-3,
    "TRN-01": 0.12e-3,
    "TRN-02": 0.12e-3,
    "BAL-04": 0.15e-3,
    "ESC-01": 0.15e-3,
    "TRN-08": 0.05e-3,
    "TRN-14": 0.08e-3,
    "TRN-10": 0.08e-3,
}
_SYMPTOM_FINDINGS = {
    "loses": ("rate_kind", "loses"),
    "gains": ("rate_kind", "gains"),
    "trips": ("races", True),
    "strikes_wrong": ("strikes", "wrong_count"),
    "no_strike": ("strikes", "never"),
    "low_amplitude": ("swing", "too_small"),
    "squeaks": ("noise", "squeak"),
    "stops": ("stops", True),
}

# What a fault of the hands rubs on: a finding that says against what is none of the others.
_RUBS_ON = {
    "MOT-01": ("hands", "hour_hand", "minute_hand", "seconds_hand", "alarm_hand"),
    "MOT-02": ("glass", "bezel"),
    "MOT-03": ("dial", "dial_centre", "chapter_ring", "numerals"),
}
# A part that was looked at shows that the clock is not built the other way.
_NOT_BUILT = {
    "suspension_spring": "silk_suspension",
    "rack": "count_wheel",
    "rack_tail": "count_wheel",
    "rack_hook": "count_wheel",
    "snail": "count_wheel",
    "count_wheel": "rack",
}


@dataclass(frozen=True)
class Suspect:
    """A fault at a place that the draws may hold.

    `reports` are the numbers of the findings that point to it.

    read_as_none_share: chance, if the fault is there though it was looked for, that it was seen but taken for sound, so
    slight was it.
    """

    fault: str
    law: FaultLaw
    probability: float
    arbors: tuple[int, ...]
    everywhere: bool
    component: str
    condition: str
    of: str | None
    place: str | None
    level: str | None = None
    measured_severity: float | None = None
    looked_at: bool = False
    reports: tuple[int, ...] = ()
    sound_reports: tuple[int, ...] = ()
    earlier_work: str | None = None
    since_factor: float = 1.0
    read_as_none_share: float = 0.0
    heard: str | None = None


@dataclass(frozen=True)
class Pick:
    """A finding that several suspects could explain: with `probability` one of them is there, by their shares.

    `report` is the number of the finding; -1 where it is none.
    """

    probability: float
    members: tuple[int, ...]
    shares: tuple[float, ...]
    report: int = -1


@dataclass(frozen=True)
class Tried:
    """A good part tried: the suspects it takes away, and whether the clock went with it."""

    members: tuple[int, ...]
    cured: bool
    component: str = ""


@dataclass(frozen=True)
class SymptomSuspect:
    """A fault of striking, chiming or alarm with its chance after the findings."""

    fault: str
    probability: float
    signs: tuple[Sign, ...]
    component: str
    condition: str
    of: str | None
    reports: tuple[int, ...] = ()


@dataclass(frozen=True)
class Suspicion:
    """Everybody suspected in one clock, and what was said that points to nobody."""

    suspects: tuple[Suspect, ...]
    picks: tuple[Pick, ...]
    tried: tuple[Tried, ...]
    symptom_suspects: tuple[SymptomSuspect, ...]
    told: Mapping[str, object]
    unused: tuple[Unused, ...]
    places: Places


@dataclass
class _Book:
    """Suspects being gathered; it lives for the length of one call of `suspicion`."""

    suspects: list[Suspect] = field(default_factory=list)
    general: dict[str, int] = field(default_factory=dict)
    placed: dict[tuple[str, int], int] = field(default_factory=dict)
    picks: list[Pick] = field(default_factory=list)
    symptom: dict[str, SymptomSuspect] = field(default_factory=dict)
    unused: list[Unused] = field(default_factory=list)


def suspicion(
    case: Case,
    *,
    traits: frozenset[str],
    may_have: frozenset[str],
    places: Places,
    priors: Mapping[str, float] | None = None,
) -> Suspicion:
    """Gather the suspects of a case.

    `traits` are carried, `may_have` unknown; `priors` overrides chances of faults by id (learned from finished jobs).
    """
    since = str(case.told.get("since", ""))
    may_have = may_have - {
        _NOT_BUILT[one.component] for one in case.reports if one.component in _NOT_BUILT and one.state != "not_examined"
    }
    book = _Book()
    of_going = (
        any(name not in ("strikes", "chimes", "alarm", "since", "words") for name in case.told) or len(case.told) < 2
    )
    _general_suspects(book, traits, may_have, places, (since if of_going else "", since), priors or {})
    for sentence in case.last_done:
        _hear_work(book, sentence)
    told: dict[str, object] = dict(case.told)
    for report in case.reports:
        if (
            report.component in ("movement", "pendulum", "pallets")
            and report.condition in _SYMPTOM_FINDINGS
            and report.component == "movement"
        ):
            if report.state == "present":
                key, value = _SYMPTOM_FINDINGS[report.condition]
                told.setdefault(key, value)
            continue
        _hear(book, report, traits, may_have, places)
    tried = _trials(book, case)
    return Suspicion(
        tuple(book.suspects),
        tuple(book.picks),
        tuple(tried),
        tuple(book.symptom.values()),
        told,
        tuple(book.unused),
        places,
    )


def _general_suspects(
    book: _Book,
    traits: frozenset[str],
    may_have: frozenset[str],
    places: Places,
    since: tuple[str, str],
    priors: Mapping[str, float],
) -> None:
    """Every fault such a clock can have.

    `since` is what going faults, and what those of striking and the rest, are dated from.
    """
    known = faults()
    share = _event_share(traits, may_have, since[0], priors)
    for fault_id, law in fault_laws().items():
        factor = 1.0 + share * (law.since.get(since[0], 1.0) - 1.0)
        chance = _chance(known[fault_id], traits, may_have, priors.get(fault_id, law.prior_probability), factor)
        if chance <= 0.0:
            continue
        arbors, everywhere = places.of_law(law.place)
        book.general[fault_id] = len(book.suspects)
        book.suspects.append(
            Suspect(
                fault_id,
                law,
                chance,
                arbors,
                everywhere,
                known[fault_id].component,
                known[fault_id].condition,
                places.label(arbors[0]) if len(arbors) == 1 and law.place != "motion" else None,
                None,
                since_factor=factor,
            )
        )
    for name, law in _nameless(priors).items():
        arbors, everywhere = places.of_law(law.place)
        book.general[name] = len(book.suspects)
        book.suspects.append(
            Suspect(name, law, law.prior_probability, arbors, everywhere, "movement", "none_of_these", None, None)
        )
    for fault_id, symptom in symptom_laws().items():
        chance = _chance(
            known[fault_id],
            traits,
            may_have,
            priors.get(fault_id, symptom.prior_probability),
            symptom.since.get(since[1], 1.0),
        )
        if chance > 0.0:
            book.symptom[fault_id] = SymptomSuspect(
                fault_id, chance, symptom.signs, known[fault_id].component, known[fault_id].condition, None
            )


def _event_share(traits: frozenset[str], may_have: frozenset[str], since: str, priors: Mapping[str, float]) -> float:
    """Part of the odds of an event that counts, so that it brings about one fault of the going on average and not
    several.
    """
    new = 0.0
    for fault_id, law in fault_laws().items():
        prior, fault = priors.get(fault_id, law.prior_probability), faults()[fault_id]
        new += _chance(fault, traits, may_have, prior, law.since.get(since, 1.0)) - _chance(
            fault, traits, may_have, prior, 1.0
        )
    return min(1.0, _FAULTS_OF_AN_EVENT / new) if new > 0.0 else 1.0


def _hear_work(book: _Book, sentence: str) -> None:
    """Work done before: what it leaves behind is likelier, what it put right less."""
    for work in heard_works(sentence):
        for fault_id, factor in work.odds.items():
            if fault_id in book.general:
                number = book.general[fault_id]
                old = book.suspects[number]
                kept = sentence if factor > 1.0 else old.earlier_work
                book.suspects[number] = replace(old, probability=_odds(old.probability, factor), earlier_work=kept)
            if fault_id in book.symptom:
                one = book.symptom[fault_id]
                book.symptom[fault_id] = replace(one, probability=_odds(one.probability, factor))


def _nameless(priors: Mapping[str, float]) -> dict[str, FaultLaw]:
    """A drag and a stop that have no name, so that what the list lacks is not blamed on its nearest neighbour."""
    drag = FaultLaw(
        NAMELESS, priors.get(NAMELESS, 0.05), "arbor", (("drag_share", 0.2),), (), (), {}, 1.0, "assumption", 0
    )
    stop = FaultLaw(
        UNKNOWN_STOP, priors.get(UNKNOWN_STOP, 0.02), "none", (), (("random", 0.6),), (), {}, 1.0, "assumption", 0
    )
    return {NAMELESS: drag, UNKNOWN_STOP: stop}


def _chance(fault: Fault, traits: frozenset[str], may_have: frozenset[str], prior: float, odds_ratio: float) -> float:
    if applies(fault, traits, may_have) == "no" or not fault.counted:
        return 0.0
    chance = prior
    for choice in fault.traits:
        if not traits.intersection(choice):
            # A clock that may have any of several makes of a thing mostly has one of them.
            chance *= 1.0 - (1.0 - _POSSIBLE) ** len(may_have.intersection(choice))
    odds = chance / (1.0 - chance) * odds_ratio
    return odds / (1.0 + odds)


def _hear(book: _Book, report: Report, traits: frozenset[str], may_have: frozenset[str], places: Places) -> None:
    name = f"findings[{report.index}] {report.component} {report.condition}"
    kind = conditions()[report.condition].kind
    if report.state == "not_examined" or kind == "status":
        return
    if kind == "sound":
        if report.state == "present":
            _hear_sound(book, report, places)
        return
    if (
        report.state == "present"
        and report.condition == "replaced"
        and heard_works(components()[report.component].preferred)
    ):
        # That a part is not the first one is history, not a fault; it makes likelier what new parts bring.
        _hear_work(book, f"{components()[report.component].preferred} replaced")
        return
    if report.state == "present" and report.significance == "cosmetic":
        book.unused.append(Unused(name, "said to be cosmetic: it stays in the record and is no cause"))
        return
    found = [f for f in matching(report.component, report.condition, report.of) if f.counted]
    if report.against is not None and any(report.against in _RUBS_ON.get(f.id, ()) for f in found):
        found = [f for f in found if f.id not in _RUBS_ON or report.against in _RUBS_ON[f.id]]
    fitting = [f for f in found if applies(f, traits, may_have) != "no"]
    if report.of is None and any(not f.match_of for f in fitting):
        # A fault of one named place is not what a finding without a place is first taken for.
        fitting = [f for f in fitting if not f.match_of] if report.state == "present" else fitting
    other = places.other_train(report.of)
    going = [f for f in fitting if f.id in book.general and not (other and not _of_other_train(f, other))]
    # A fault of the named place takes that of any place with it: a bent tooth of the escape wheel is one fault, not
    # two.
    own = {f.matches[0] for f in going if f.match_of}
    going = [f for f in going if f.match_of or report.of is None or f.matches[0] not in own]
    # Of several readings a fault of this very place comes first, then one that goes by this very name unless it is much
    # the rarer.
    common = 0.5 * max((fault_laws()[f.id].prior_probability for f in going), default=0.0)
    own_name = {
        f.id
        for f in going
        if f.matches[0] == (report.component, report.condition) and fault_laws()[f.id].prior_probability >= common
    }
    going.sort(
        key=lambda f: (not f.match_of, f.id not in own_name, not _of_such_clocks(f, traits) and f.id in own_name)
    )
    striking = [f for f in fitting if f.id in book.symptom and f.id not in book.general]
    if not going and not striking:
        book.unused.append(Unused(name, _why_unused(found, fitting, other)))
        return
    if report.state == "absent":
        for fault in going:
            _lower(book, fault.id, report, places)
        for fault in striking:
            law = symptom_laws()[fault.id]
            old = book.symptom[fault.id]
            book.symptom[fault.id] = replace(
                old,
                probability=_odds(
                    old.probability, _passed_over(law.overlooked_probability, report.certainty, old.probability)
                ),
            )
        return
    _raise(book, report, going, striking, places)


def _of_such_clocks(fault: Fault, carried: frozenset[str]) -> bool:
    """Whether a fault belongs to clocks of this very build or case, not to all with its power or oscillator."""
    kinds = known_traits()
    return any(
        kinds[t].kind in ("case", "build") for choice in fault.traits for t in choice if t in carried and t in kinds
    )


def _of_other_train(fault: Fault, train: str) -> bool:
    return train in fault.match_of or fault.group in (train, "strike", "chime", "alarm", "cuckoo")


def _why_unused(found: Sequence[Fault], fitting: Sequence[Fault], other: str | None) -> str:
    if not found:
        return "the list of faults has none for it; it stays in the record"
    if not fitting:
        return "a fault that this kind of clock cannot have"
    if other:
        return f"in the {other} train, where it does not touch the going"
    return "kept in the record; it does not touch going, striking or alarm"


def _raise(book: _Book, report: Report, going: Sequence[Fault], striking: Sequence[Fault], places: Places) -> None:
    """A finding that is there: put its suspects at its place and give them the chance that the report is right."""
    sure = min(report.certainty * (_OWNER_SHARE if report.who == "owner" else 1.0), _MOST_SURE)
    level = report.level or {"stops": "severe", "none": "slight"}.get(report.significance or "")
    weights, members = [], []
    for rank, fault in enumerate(going):
        number = _placed(book, fault, report, level, places)
        members.append(number)
        weights.append(fault_laws()[fault.id].prior_probability ** 0.5 * _NEXT_READING**rank)
    strike_weights = [symptom_laws()[f.id].prior_probability ** 0.5 * _NEXT_READING**k for k, f in enumerate(striking)]
    total = sum(weights) + sum(strike_weights)
    for number, weight in zip(members, weights, strict=True):
        # The finding is the evidence: what it does not explain of a fault's own chance stays, where others could
        # explain it.
        old_one = book.suspects[number]
        book.suspects[number] = replace(old_one, probability=old_one.probability * (1.0 - weight / sum(weights)))
    if members:
        shares = tuple(w / sum(weights) for w in weights)
        book.picks.append(Pick(sure * sum(weights) / total, tuple(members), shares, report.index))
    for fault, weight in zip(striking, strike_weights, strict=True):
        old = book.symptom[fault.id]
        chance = 1.0 - (1.0 - old.probability) * (1.0 - sure * weight / total)
        book.symptom[fault.id] = replace(
            old,
            probability=chance,
            component=report.component,
            condition=report.condition,
            of=report.of,
            reports=(*old.reports, report.index),
        )


def _placed(book: _Book, fault: Fault, report: Report, level: str | None, places: Places) -> int:
    """The suspect for a fault at a finding's place; the general one when the finding names no place of its own."""
    general = book.general[fault.id]
    law = book.suspects[general].law
    own = report.component if "wheel" in report.component else None
    arbor = places.named(report.of or own)
    measured = report.value_si / _MEASURED[fault.id] if report.value_si is not None and fault.id in _MEASURED else None
    change: dict[str, Any] = {
        "level": level,
        "measured_severity": measured,
        "looked_at": True,
        "component": report.component,
        "condition": report.condition,
        "of": report.of,
        "place": report.place,
    }
    if arbor is None or law.place not in ("arbor", "wide", "all", "fast"):
        old = book.suspects[general]
        book.suspects[general] = replace(old, **change, reports=(*old.reports, report.index))
        return general
    key = (fault.id, arbor)
    if key in book.placed:
        number = book.placed[key]
        old = book.suspects[number]
        book.suspects[number] = replace(old, **change, reports=(*old.reports, report.index))
        return number
    elsewhere = book.suspects[general]
    book.placed[key] = len(book.suspects)
    book.suspects.append(
        replace(
            elsewhere,
            **change,
            probability=elsewhere.probability / max(places.count, 1),
            arbors=(arbor,),
            everywhere=False,
            reports=(report.index,),
            sound_reports=(),
        )
    )
    left = tuple(a for a in elsewhere.arbors if a != arbor)
    if left and not elsewhere.everywhere:
        book.suspects[general] = replace(elsewhere, arbors=left)
    return book.placed[key]


def _lower(book: _Book, fault_id: str, report: Report, places: Places) -> None:
    """A fault that was looked for and not seen: less likely there; at one place of many, less likely there only."""
    number = book.general[fault_id]
    old = book.suspects[number]
    factor = _passed_over(old.law.overlooked_probability, report.certainty, old.probability)
    share = old.read_as_none_share
    arbor = places.named(report.of or (report.component if "wheel" in report.component else None))
    if arbor is not None and old.law.place in ("arbor", "fast") and arbor in old.arbors and len(old.arbors) > 1:
        left = tuple(a for a in old.arbors if a != arbor)
        chance = old.probability * (len(left) + factor) / len(old.arbors)
        old = replace(old, arbors=left)
    elif arbor is not None and old.law.place == "wide" and places.count > 1:
        chance = _odds(old.probability, 1.0 - (1.0 - factor) / places.count)
    else:
        chance = _odds(old.probability, factor)
        share = max(share, _read_as_none(old.law.overlooked_probability, report.certainty))
    book.suspects[number] = replace(
        old,
        probability=chance,
        looked_at=True,
        sound_reports=(*old.sound_reports, report.index),
        read_as_none_share=share,
    )


def _hear_sound(book: _Book, report: Report, places: Places) -> None:
    """`Good`: every fault that goes by a name of this part is less likely. Of a whole movement it says little."""
    part = report.component
    vague = part in ("movement", "train", "plates", "case", "clock")
    known = faults()
    for fault_id, number in list(book.general.items()):
        if fault_id not in known:
            continue
        named = any(
            c == part or part in components()[c].kinds or c in components()[part].kinds
            for c, _ in known[fault_id].matches
        )
        if not named or (part == "movement" and known[fault_id].group not in ("train", "power", "escapement")):
            continue
        if vague:
            old = book.suspects[number]
            book.suspects[number] = replace(
                old, probability=_odds(old.probability, 0.7), sound_reports=(*old.sound_reports, report.index)
            )
        else:
            _lower(book, fault_id, report, places)
    for fault_id, symptom in list(book.symptom.items()):
        if any(c == part for c, _ in known[fault_id].matches):
            factor = _passed_over(
                symptom_laws()[fault_id].overlooked_probability, report.certainty, symptom.probability
            )
            book.symptom[fault_id] = replace(symptom, probability=_odds(symptom.probability, factor))


def _trials(book: _Book, case: Case) -> list[Tried]:
    """A good part put in its place: the suspects that belong to the part, and whether the clock then went."""
    known = faults()
    out = []
    for trial in case.trials:
        part = trial.component
        hit = tuple(n for n, one in enumerate(book.suspects) if one.fault in known and _belongs(known[one.fault], part))
        if hit:
            out.append(Tried(hit, trial.cured, part))
        else:
            book.unused.append(Unused(f"trials {part}", "no fault of the list belongs to this part"))
    return out


def _belongs(fault: Fault, part: str) -> bool:
    """Whether a good part in its place takes the fault away: a name of the fault is the part, a kind of it, or sits in
    it.

    A platform carries its whole escapement; the contrate wheel that drives it stays with the movement.
    """
    if part == "platform":
        return fault.group in ("lever", "balance", "platform") and fault.component != "contrate_wheel"
    return any(_within(c, part) for c, _ in fault.matches)


def _within(component: str, part: str) -> bool:
    """Whether a component is a part, a kind of it, or sits in it; a group may be listed as a part of itself."""
    known = components()
    passed: set[str] = set()
    while component in known and component not in passed:
        if component == part or part in known[component].kinds:
            return True
        passed.add(component)
        component = known[component].part_of
    return component == part


def wrong_report_probability(probability: float, overlooked: float) -> float:
    """Chance that a look at a part without the fault reports it, such that of all reports one in ten is wrong."""
    seen = (1.0 - overlooked) * (1.0 - chance_of_saying_none())
    return min(probability * seen * _WRONG_REPORTS / max(1.0 - probability, 1e-9), _MOST_WRONG)


def _passed_over(overlooked: float, certainty: float, probability: float) -> float:
    """Odds factor of "looked for, not seen": passed over, or read as none; a hedge weakens it.

    A sound part, too, is not always called so: of those that hold no fault some are reported to.
    """
    factor = (overlooked + (1.0 - overlooked) * chance_of_saying_none()) / (
        1.0 - wrong_report_probability(probability, overlooked)
    )
    return 1.0 - certainty * (1.0 - factor)


def _read_as_none(overlooked: float, certainty: float) -> float:
    """Of the faults that are there though the part was called sound, the share that was seen but taken for none."""
    none = (1.0 - overlooked) * chance_of_saying_none()
    return certainty * none / (1.0 - certainty * (1.0 - overlooked - none))


def _odds(probability: float, factor: float) -> float:
    odds = probability / max(1.0 - probability, 1e-9) * factor
    return odds / (1.0 + odds)
