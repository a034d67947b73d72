"""The developed train of a clock, from its own counts, with its flags and the power that is left at each arbor."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from typing import Any

import numpy as np

from underdial.bench.clock.composing import can_be_composed, composed_by_hand
from underdial.bench.shop import ClockPage
from underdial.errors import UnderdialError
from underdial.mechanics.energy_balance import predict
from underdial.mechanics.parameters import spread, tabulate
from underdial.mechanics.train_power import power_through
from underdial.movement.as_made import Movement
from underdial.movement.composition import compose
from underdial.papers.scene import svg
from underdial.papers.sentences import finding_mark
from underdial.papers.train_drawing import ArborShown, Flag, PowerShown, TrainShown, train_scene
from underdial.record.clock import Clock
from underdial.record.finding import Finding, is_fault
from underdial.trade.families import families
from underdial.trade.phrases import part_words

_NAMES = {"great_wheel": "great wheel", "escape_wheel": "escape"}
_SHARES = ("once", "twice", "three times", "four times", "five times", "six times")
_AFTER_TRAIN = (
    "pallets",
    "entry_pallet",
    "exit_pallet",
    "pin_pallet",
    "anchor",
    "balance",
    "balance_staff",
    "hairspring",
    "pendulum",
    "suspension_spring",
    "crutch",
    "lever",
    "platform",
    "cup_bearing",
    "bob",
    "rating_nut",
)


@dataclass(frozen=True, slots=True)
class TrainRow:
    """A row of the drawing's table; `should` and `found` in parts of a hundred of the power."""

    name: str
    counts: str
    turns: str
    should: str
    found: str
    flags: tuple[str, ...]


def movement_of(page: ClockPage) -> Movement | None:
    """The movement as composed, or None where the clock is not described or lies outside the sums."""
    return composed(page.clock)


def composed(clock: Clock) -> Movement | None:
    """The same of the clock itself, whatever visit it is in for."""
    if clock.family not in families() and not (clock.family is None and can_be_composed(clock.movement)):
        return None
    try:
        if clock.family is None:
            return composed_by_hand(clock.movement)
        return compose(asdict(families()[clock.family]), clock.movement)
    except UnderdialError:
        return None


def train_svg(page: ClockPage, answer: Mapping[str, Any] | None, *, printed: bool = False) -> tuple[str, str] | None:
    """The drawing as SVG and the words that stand for it; None where there is no train to draw."""
    movement = movement_of(page)
    if movement is None:
        return None
    scene = train_scene(train_shown(page, movement, answer))
    return svg(scene, printed=printed, prefix="train"), scene.description


def train_headline(page: ClockPage, answer: Mapping[str, Any] | None) -> str | None:
    """What the drawing says, in a sentence; None where there is no train to draw."""
    movement = movement_of(page)
    if movement is None:
        return None
    shown = train_shown(page, movement, answer)
    should, found, need = shown.should_be.left[-1], shown.found.left[-1], shown.need or 0.0
    if not answer:
        return (
            f"Of 100 parts of its power {should:.0f} should reach the {shown.oscillator}; it needs {need:.0f} to "
            "keep going."
        )
    return (
        f"As found, {found:.0f} of 100 parts of its power reach the {shown.oscillator}; {should:.0f} should, and "
        f"it needs {need:.0f}."
    )


def train_rows(page: ClockPage, answer: Mapping[str, Any] | None) -> list[TrainRow]:
    """What the drawing shows as a table, an arbor a row and the oscillator last; none where there is no train."""
    movement = movement_of(page)
    if movement is None:
        return []
    shown = train_shown(page, movement, answer)
    flags = [
        tuple(f"{flag.word}: {' '.join(flag.rows)}" for flag in shown.flags if flag.arbor == k)
        for k in range(len(shown.arbors) + 1)
    ]
    rows = [
        TrainRow(
            arbor.name,
            f"{arbor.wheel_count} on {arbor.pinion_count}" if arbor.pinion_count else f"{arbor.wheel_count} teeth",
            arbor.turns,
            f"{shown.should_be.left[2 * k]:.0f}",
            f"{shown.found.left[2 * k]:.0f}",
            flags[k],
        )
        for k, arbor in enumerate(shown.arbors)
    ]
    name, beats, *_ = shown.oscillator_words
    should, found = f"{shown.should_be.left[-1]:.0f}", f"{shown.found.left[-1]:.0f}"
    need = "" if shown.need is None else f"; needs {shown.need:.0f}"
    return [*rows, TrainRow(name, beats, "", should + need, found, flags[-1])]


def train_shown(page: ClockPage, movement: Movement, answer: Mapping[str, Any] | None) -> TrainShown:
    """What the sheet shows: counts and periods, power as it should be and as found, the findings that matter most."""
    should, need = _sound_power(movement)
    told = (answer or {}).get("power_through_train") or {}
    found = _found_power(movement, should, told) if told else should
    arbors = movement.train.arbors
    counts = [(mesh.wheel_count, mesh.pinion_count) for mesh in movement.train.meshes]
    wheels = [*(wheel for wheel, _ in counts), movement.escapement.teeth_count]
    pinions = [0, *(pinion for _, pinion in counts)]
    names = [_NAMES.get(arbor.name, arbor.name.removesuffix("_wheel")) for arbor in arbors]
    if 0 < movement.train.hour_arbor <= len(names) and movement.train.hour_arbor > 1:
        names[movement.train.hour_arbor - 1] = "centre"
    flags = _flags(page.holding, [arbor.name for arbor in arbors], movement.train.hour_arbor)
    unseen = any(one.component == "pallets" and one.state == "not_examined" for one in page.holding)
    ratio = arbors[0].period_s / arbors[-1].period_s
    source = ("from the", "weight") if movement.power.kind == "weight" else ("from the", "spring")
    alike = () if told else ("What it loses as found has not been worked out yet, so both are drawn alike.",)
    return TrainShown(
        title=f"Going train of {page.clock.name}, developed from its counts",
        arbors=tuple(
            ArborShown(name, wheel, pinion, _turns(arbor.period_s))
            for name, wheel, pinion, arbor in zip(names, wheels, pinions, arbors, strict=True)
        ),
        oscillator="balance" if movement.oscillator.kind == "balance" else "pendulum",
        oscillator_words=_oscillator_words(movement),
        source_words=source,
        source="fusee" if movement.power.kind == "fusee" else "barrel",
        ratio=ratio,
        should_be=should,
        found=found,
        need=need,
        flags=flags,
        pallets_unseen=unseen,
        foot=(
            f"Each line is two of the hundred parts that the {source[1]} gives. Ink: what is left. Dots: lost where "
            "it should not be.",
            f"A rub on the escape arbor costs {ratio:,.0f} times what it costs on the great wheel.".replace(",", " "),
            *alike,
        ),
    )


def _sound_power(movement: Movement) -> tuple[PowerShown, float]:
    """Parts of a hundred left along the train of a sound movement at full wind, and what keeps it going."""
    layout, nominal = tabulate(movement)
    values = spread(nominal, draws_count=1)
    through = power_through(layout, values, np.array([movement.power.full_torque_n_m]))
    left: list[float] = []
    kept = 1.0
    meshes = [*through.mesh_loss_ratio[:, 0]]
    for k in range(layout.arbors_count):
        kept -= float(through.pivot_loss_ratio[k, 0] + through.drag_loss_ratio[k, 0])
        left.append(100 * kept)
        if k < len(meshes):
            kept -= float(meshes[k])
            left.append(100 * kept)
    escapement = movement.escapement
    share = max(0.0, (1 - escapement.drop_ratio) * escapement.impulse_efficiency_ratio - escapement.unlocking_ratio)
    reaching = 100 * kept * share
    reserve = float(np.min(predict(layout, values).reserve_ratio))
    return PowerShown((*left, reaching)), reaching / max(reserve, 1e-9)


def _found_power(movement: Movement, should: PowerShown, told: Mapping[str, Any]) -> PowerShown:
    """Parts left as found: the torque that arrives at each arbor in the answer, the loss before and in each mesh in the
    shares of a sound train.
    """
    arbors = movement.train.arbors
    fully = 100.0 / float(told["as_it_should_be_n_m"][0])
    arriving = [
        min(100.0, float(torque) * fully * arbors[0].period_s / arbor.period_s)
        for torque, arbor in zip(told["as_found_n_m"], arbors, strict=True)
    ]
    sound = [100.0, *should.left[1:-2:2]]
    left: list[float] = []
    for k, here in enumerate(arriving):
        after_pivots = should.left[2 * k]
        if k + 1 < len(arriving):
            share = (sound[k] - after_pivots) / max(sound[k] - sound[k + 1], 1e-9)
            left += [here - share * (here - arriving[k + 1]), arriving[k + 1]]
        else:
            left += [here * after_pivots / sound[k], here * should.left[-1] / sound[k]]
    return PowerShown(tuple(left))


def _flags(findings: Sequence[Finding], names: Sequence[str], hour_arbor: int) -> tuple[Flag, ...]:
    order = {"stops": 0, "contributes": 1, "unseen": 2, "cosmetic": 3}
    chosen: list[tuple[int, Flag]] = []
    for one in findings:
        kind, word = finding_mark(one)
        place = _arbor(one, names, hour_arbor)
        if (
            one.standing == "rejected"
            or place is None
            or kind not in order
            or (kind == "unseen" and one.component not in _AFTER_TRAIN)
        ):
            continue
        if kind == "unseen" or is_fault(one):
            words = part_words(one.component, one.of, one.place)
            condition = "" if kind == "unseen" else one.condition.replace("_", " ")
            chosen.append(
                (
                    order[kind],
                    Flag(
                        kind,
                        word,
                        place,
                        _two_rows(f"{words[0].upper()}{words[1:]}{', ' + condition if condition else ''}"),
                    ),
                )
            )
    chosen.sort(key=lambda pair: pair[0])
    return tuple(flag for _, flag in chosen[:4])


def _arbor(finding: Finding, names: Sequence[str], hour_arbor: int) -> int | None:
    """The arbor a finding belongs to; the number of arbors stands for what comes after the train."""
    for word in (finding.of, finding.component):
        if word is not None and word in names:
            return list(names).index(word)
        if (
            word
            in ("centre_wheel", "cannon_pinion", "motion_work", "minute_hand", "hands", "hour_hand", "lifting_piece")
            and hour_arbor
        ):
            return hour_arbor - 1
    if finding.component in ("mainspring", "barrel", "weight", "gut_line", "fusee"):
        return 0 if finding.of in (None, "going") else None
    return len(names) if finding.component in _AFTER_TRAIN else None


def _two_rows(words: str) -> tuple[str, ...]:
    if len(words) <= 25:
        return (words,)
    cut = words.rfind(" ", 0, 26)
    return words[:cut], words[cut + 1 :][:27]


def _turns(period_s: float) -> str:
    if abs(period_s - 3600) < 0.5:
        return "once an hour"
    if abs(period_s - 60) < 0.05:
        return "once a minute"
    for times, word in enumerate(_SHARES, 1):
        if abs(period_s - 86400 / times) < 1:
            return f"{word} a day"
    if period_s >= 86400:
        return f"{period_s / 86400:.3g} days a turn"
    if period_s >= 3600:
        return f"{period_s / 3600:.3g} h a turn"
    minutes, seconds = divmod(round(period_s, 1), 60)
    return f"{minutes:.0f} min {seconds:.3g} s" if minutes else f"{seconds:.3g} s"


def _oscillator_words(movement: Movement) -> tuple[str, ...]:
    beats = f"{movement.oscillator.beats_per_hour:,.0f} beats an hour".replace(",", " ")
    return (
        (
            "balance"
            if movement.oscillator.kind == "balance"
            else f"{'torsion ' if movement.oscillator.kind == 'torsion' else ''}pendulum"
        ),
        beats,
        "not to scale",
    )
