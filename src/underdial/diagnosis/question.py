"""A case made ready for the sums: movement, suspects, readings and complaint in one frozen question."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from underdial.diagnosis import complaint_model, effects, readings
from underdial.diagnosis.case_file import COMPLAINT, Case, Unused
from underdial.diagnosis.complaint_model import SignTable, sign_table
from underdial.diagnosis.effects import Bench
from underdial.diagnosis.fate import Fate, fate
from underdial.diagnosis.fault_draws import FaultDraws
from underdial.diagnosis.heard_patterns import with_heard_patterns
from underdial.diagnosis.places import places_of
from underdial.diagnosis.readings import Gauges, TrainBeats
from underdial.diagnosis.set_up import with_set_up_counted
from underdial.diagnosis.suspects import Suspicion, suspicion
from underdial.diagnosis.symptoms import Cause, chance_of
from underdial.errors import NotFound
from underdial.mechanics import pendulum
from underdial.mechanics.energy_balance import predict
from underdial.mechanics.parameters import Array, spread, tabulate
from underdial.mechanics.pendulum_regulation import nut_s_per_day_per_turn
from underdial.movement.as_made import Movement
from underdial.movement.composition import compose, presets_by_likeness
from underdial.trade.families import families
from underdial.trade.traits import described, traits

# How far off its setting alone leaves a clock's rate as found, one standard deviation [s/day]; that of a pendulum is
# one turn of a nut of half a millimetre pitch where this is more: 168 s/day for a French one. [assumption]
_REGULATOR_SD = {"balance": 90.0, "pendulum": 60.0, "torsion": 60.0}
_NUT_PITCH_M = 0.5e-3
# A good part that changed nothing clears the clock's own in nineteen of twenty cases: it too can be a bad one. That a
# clock goes with it although nothing was wrong with its own part happens once in a thousand. [assumption]
_TRIED_WRONG = {False: 0.05, True: 0.001}
# Faults whose odds an event raises at least so far may have come with it. [assumption]
_CAME_WITH_IT = 1.3


@dataclass(frozen=True)
class Learned:
    """What finished jobs have taught: chances of faults, and factors on their effects, by fault id."""

    priors: Mapping[str, float] = field(default_factory=dict)
    sizes: Mapping[str, float] = field(default_factory=dict)


class Draws(Protocol):
    """Clocks drawn: their sound movements and their faults."""

    theta: Array
    draws: FaultDraws


@dataclass(frozen=True)
class Question:
    """Everything the sampler needs to weigh a draw.

    `told` is the complaint with what findings added to it, `may_have` what such clocks may be built with.
    """

    case: Case
    movement: Movement
    bench: Bench
    suspicion: Suspicion
    gauges: Gauges
    signs: SignTable
    told: Mapping[str, object]
    regulator_sd: float
    typical_rate: float
    learned: Learned
    unused: tuple[Unused, ...]
    assumed: tuple[str, ...]
    may_have: frozenset[str] = frozenset()


def question(case: Case, learned: Learned | None = None) -> Question:
    """Compose the movement, gather the suspects and sort the readings of a case.

    Raises NotFound for a family that is not known, OutsideModel for a movement the sums do not cover.
    """
    learned = learned or Learned()
    movement, may_have, assumed = _movement(case)
    own = movement.positions
    sorted_readings = readings.gauges(
        case,
        oscillator=movement.oscillator.kind,
        own_positions=own,
        duration_s=movement.power.duration_s,
        beats=TrainBeats(movement.oscillator.beats_per_hour, told=_own_train(case)),
    )
    layout, nominal = tabulate(movement, positions=sorted_readings.positions)
    places = places_of(movement, layout)
    bench = effects.bench(layout, nominal, places)
    carried = movement.traits | ({movement.strike} & {"rack", "count_wheel"})
    if movement.strike in ("rack", "count_wheel", "none"):
        may_have = may_have - {"rack", "count_wheel"}
    if movement.strike == "none":
        carried = carried - {"rack", "count_wheel"}
    found = with_heard_patterns(
        suspicion(case, traits=carried, may_have=may_have, places=places, priors=learned.priors), case.readings
    )
    found = with_set_up_counted(found, case.readings)
    told = _told(case, found)
    signs = sign_table(found.suspects, _outside(found))
    sound = predict(layout, spread(nominal, draws_count=1), hours_h=sorted_readings.hours_h)
    typical = float(sound.rate_at_s_per_day[0, 0, 0])
    unused = (*case.unused, *found.unused, *sorted_readings.unused)
    return Question(
        case,
        movement,
        bench,
        found,
        sorted_readings,
        signs,
        told,
        _regulator_sd_s_per_day(movement),
        typical,
        learned,
        unused,
        (*assumed, *sorted_readings.assumed),
        may_have,
    )


def _regulator_sd_s_per_day(movement: Movement) -> float:
    usual = _REGULATOR_SD[movement.oscillator.kind]
    if movement.oscillator.kind != "pendulum":
        return usual
    length_m = pendulum.length_m(beats_per_hour=movement.oscillator.beats_per_hour)
    return max(usual, nut_s_per_day_per_turn(length_m=length_m, pitch_m=_NUT_PITCH_M))


def weigh(asked: Question, theta: Array, draws: FaultDraws) -> tuple[Fate, Array]:
    """The fate of every draw and the log likelihood of all that was told and read."""
    suspects = asked.suspicion.suspects
    what = fate(asked.bench, theta, suspects, draws, hours_h=asked.gauges.hours_h, sizes=asked.learned.sizes)
    total = complaint_model.log_likelihood(
        asked.told,
        asked.bench,
        asked.signs,
        what,
        draws,
        regulator_sd=asked.regulator_sd,
        typical_rate=asked.typical_rate,
    )
    total = total + readings.log_likelihood(
        asked.gauges.gauges, asked.bench, what, regulator_sd=asked.regulator_sd, typical_rate=asked.typical_rate
    )
    for tried in asked.suspicion.tried:
        members = np.zeros(len(suspects), bool)
        members[list(tried.members)] = True
        wrong = _TRIED_WRONG[tried.cured]
        gone = _came_with(asked, theta, draws, what, members, wrong=wrong, worse=wrong)
        total = total + (gone if tried.cured else np.log(1.0 + wrong - np.exp(gone)))
    since = asked.told.get("since")
    if since is not None:
        brought = np.asarray([one.law.since.get(str(since), 1.0) >= _CAME_WITH_IT for one in suspects])
        total = total + _came_with(
            asked, theta, draws, what, brought, wrong=complaint_model.DATED_WRONG, worse=complaint_model.DATED_WORSE
        )
    return what, total


def _came_with(
    asked: Question,
    theta: Array,
    draws: FaultDraws,
    what: Fate,
    members: NDArray[np.bool_],
    *,
    wrong: float,
    worse: float,
) -> Array:
    """Log chance that the complaint is said to have come, or gone, with some suspects: the clocks are run again without
    them.
    """
    columns = np.flatnonzero((draws.severity[members] > 0.0).any(axis=0))
    earlier = draws.chosen(columns)
    earlier.severity[members] = 0.0
    before = fate(
        asked.bench,
        theta[:, columns],
        asked.suspicion.suspects,
        earlier,
        hours_h=asked.gauges.hours_h[:1],
        sizes=asked.learned.sizes,
    )
    return complaint_model.log_since(
        asked.told,
        asked.bench,
        asked.signs,
        (what, draws),
        (before, earlier),
        columns,
        regulator_sd=asked.regulator_sd,
        typical_rate=asked.typical_rate,
        wrong=wrong,
        worse=worse,
    )


def cause_sits_in(asked: Question, found: Draws, members: tuple[int, ...]) -> float:
    """Chance that the complaint would be gone with all the faults of one part put right, and is there with them."""
    now = fate(
        asked.bench,
        found.theta,
        asked.suspicion.suspects,
        found.draws,
        hours_h=asked.gauges.hours_h,
        sizes=asked.learned.sizes,
    )
    chosen = np.zeros(len(asked.suspicion.suspects), bool)
    chosen[list(members)] = True
    return float(np.exp(_came_with(asked, found.theta, found.draws, now, chosen, wrong=1e-6, worse=1e-6)).mean())


def with_faults_put_right(asked: Question, theta: Array, draws: FaultDraws, members: tuple[int, ...]) -> Fate:
    """The same clocks, had some of their faults been put right."""
    left = draws.without(members)
    return fate(
        asked.bench, theta, asked.suspicion.suspects, left, hours_h=asked.gauges.hours_h, sizes=asked.learned.sizes
    )


def symptom_causes(found: Suspicion) -> list[Cause]:
    """Causes of striking, chiming and alarm symptoms, for the exact sums."""
    return [
        Cause(one.fault, one.probability, {f"{s.field}={s.value}": s.probability for s in one.signs})
        for one in found.symptom_suspects
    ]


def _outside(found: Suspicion) -> dict[tuple[str, str], float]:
    """Chance of each striking, chiming and alarm symptom from the faults that leave the going alone."""
    shared = {one.fault for one in found.suspects}
    alone = [c for c in symptom_causes(found) if c.key not in shared]
    out = {}
    for name in ("strikes", "chimes", "alarm"):
        values = COMPLAINT[name]
        for value in values if isinstance(values, tuple) else ():
            out[(name, value)] = min(chance_of(alone, f"{name}={value}"), 0.9)
    return out


def _told(case: Case, found: Suspicion) -> dict[str, object]:
    told = dict(found.told)
    for reading in case.readings:
        if reading.quantity == "minute_of_stop" and "stops_at" not in told:
            told["stops_at"] = "same_minute"
        if (
            reading.quantity == "duration"
            and reading.kind == "time"
            and reading.of in (None, "movement")
            and "runs_for_s" not in told
        ):
            told["runs_for_s"] = reading.value
    return told


def _own_train(case: Case) -> bool:
    """Whether the beats of this very clock were told: as such, or by its counts from the first wheel to the escape."""
    told = case.movement
    return "beats_per_hour" in told or bool(
        (told.get("train") or told.get("wheel_teeth")) and (told.get("escape") or told.get("escape_teeth"))
    )


def _movement(case: Case) -> tuple[Movement, frozenset[str], list[str]]:
    """The movement as composed, the traits it may have, and which family's values were taken for what was not said."""
    presets = {name: _plain(one) for name, one in families().items()}
    assumed = []
    name = case.family
    if name is None:
        name = presets_by_likeness(case.movement, presets)[0]
        assumed.append(f"values not given taken from the family {name}")
    elif name not in presets:
        raise NotFound(
            "family", name, ", ".join(presets), f"family: {name} is not known here; known: {', '.join(presets)}."
        )
    movement = compose(presets[name], case.movement)
    named = frozenset(movement.traits) & frozenset(traits())
    may_have = frozenset(families()[name].may_have)
    _, may_have = described(frozenset(families()[name].traits), may_have, named)
    assumed += [
        f"{key} carried over from the family by position"
        if key != "beats_per_hour"
        else "beats_per_hour from the counts"
        for key in movement.assumed
    ]
    return movement, may_have - movement.traits, assumed


def _plain(family: object) -> dict[str, object]:
    data = dataclasses.asdict(family)  # type: ignore[call-overload]
    return {key: list(value) if isinstance(value, tuple) else value for key, value in data.items()}
