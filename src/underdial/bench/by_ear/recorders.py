"""Recorders and their clocks: compared with a reference or with this machine's time, kept, and used for what they
record later.
"""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from typing import Any, BinaryIO

import numpy as np

from underdial.bench.by_ear.listening import Listened, follow_sound
from underdial.bench.shop import Shop
from underdial.capture import sound
from underdial.capture.recording import Shelf
from underdial.errors import BadInput, RuleBroken
from underdial.listening.hearing import Expected, hear
from underdial.listening.recorder_clock import LEAST_SPAN_S, estimate_from_frames, estimate_from_reference
from underdial.record.recorder import Recorder
from underdial.store.database import reading, writing
from underdial.store.recorders import read_recorders
from underdial.store.records import Writer, add
from underdial.uncertain import Uncertain

# An unchecked quartz clock is sold as good to 15 s a month. [common practice]
QUARTZ_PPM = (0.0, 5.8)
_SECONDS_PER_DAY_PER_PPM = 0.0864
# A comparison by frames that lost some of them shows as a clock no crystal has.
_MOST_FRAMES_PPM = 500.0
_METHOD_WORDS = {
    "frames": "its frames counted against this machine's clock",
    "reference": "a reference that ticked into it",
    "given": "written down as told",
}


@dataclass(frozen=True, slots=True)
class InUse:
    """A comparison as it is used for one recording: which, and what it is good for now."""

    recorder: Recorder
    now_ppm: Uncertain


def recorders(shop: Shop) -> tuple[Recorder, ...]:
    """Every comparison of the shop, the newest first."""
    with reading(shop.engine) as connection:
        return read_recorders(connection)


def recorder_in_use(
    shop: Shop, *, device: str, sample_hz: int, at: datetime | None = None, temperature_deg_c: float | None = None
) -> InUse | None:
    """The comparison that is surest now for a device at a sampling; None when there is none, or only old ones."""
    with reading(shop.engine) as connection:
        found = read_recorders(connection, device=device)
    when = at or shop.now()
    usable = [
        InUse(one, now)
        for one in found
        if one.serves(device=device, sample_hz=sample_hz)
        and (now := one.at(when, temperature_deg_c=temperature_deg_c)) is not None
    ]
    return min(usable, key=lambda one: one.now_ppm.u, default=None)


def keep_recorder(shop: Shop, recorder: Recorder, *, by: str = "repairer") -> Recorder:
    """Keep a comparison."""
    with writing(shop.engine) as connection:
        kept: Recorder = add(connection, replace(recorder, by=by, id=uuid.uuid4().hex), Writer(by=by, at=shop.now()))
    return kept


def recorder_as_told(
    shop: Shop,
    *,
    device: str,
    sample_hz: int,
    ppm: tuple[float, float],
    words: str | None = None,
    temperature_deg_c: float | None = None,
    by: str = "repairer",
) -> Recorder:
    """Keep a value that was found elsewhere; BadInput when nothing is said of how sure it is."""
    if ppm[1] <= 0.0:
        raise BadInput(
            "ppm",
            f"{ppm[0]:g}",
            "a value with its standard error, such as 3+-1",
            "ppm: say how sure it is, such as 3+-1.",
        )
    _check_sampling(sample_hz)
    return keep_recorder(
        shop,
        Recorder(
            device=device.strip(),
            sample_hz=sample_hz,
            ppm=ppm[0],
            u_ppm=ppm[1],
            made_at=shop.now(),
            by=by,
            method="given",
            words=words,
            temperature_deg_c=temperature_deg_c,
        ),
        by=by,
    )


def compare_with_reference(
    shop: Shop,
    path: Path,
    *,
    device: str,
    beats_per_hour: float,
    reference_ppm: tuple[float, float] = QUARTZ_PPM,
    words: str | None = None,
    temperature_deg_c: float | None = None,
    by: str = "repairer",
) -> Recorder:
    """Listen to a reference that ticks with a known count, and keep how fast the recorder runs by it.

    `reference_ppm` is how fast the reference itself is and how sure that is. RuleBroken when the recording tells no
    rate.
    """
    if not 1200.0 <= beats_per_hour <= 72000.0:
        raise BadInput(
            "beats-per-hour",
            f"{beats_per_hour:g}",
            "1200 to 72000",
            "beats-per-hour: a reference of 1200 to 72000 ticks an hour is wanted; a quartz clock has 3600.",
        )
    with sound.open_sound(path) as opened:
        heard = hear(
            follow_sound(opened, beats_per_hour),
            Expected(Uncertain(beats_per_hour), "given", recorder_ppm=Uncertain(0.0, 0.0)),
        )
        sample_hz = opened.recorded_hz
    if heard.refusal is not None or heard.fit is None:
        why = heard.refusal.sentence if heard.refusal else "No beat was fitted."
        raise RuleBroken(
            "file",
            path.name,
            "a recording in which the reference is heard",
            f"file: the reference was not heard well enough. {why}",
        )
    fast, u = reference_ppm
    found = estimate_from_reference(
        heard_beat_s=heard.fit.beat_s,
        heard_u_s=heard.fit.beat_u_s,
        true_beat_s=3600.0 / beats_per_hour / (1.0 + fast * 1e-6),
        true_u_ratio=u * 1e-6,
    )
    said = words or f"a reference of {beats_per_hour:g} ticks an hour, {fast:g} ± {u:g} parts in a million fast"
    return keep_recorder(
        shop,
        Recorder(
            device=device.strip(),
            sample_hz=sample_hz,
            ppm=found.value,
            u_ppm=found.u,
            made_at=shop.now(),
            by=by,
            method="reference",
            words=said,
            span_s=heard.duration_s,
            temperature_deg_c=temperature_deg_c,
        ),
        by=by,
    )


def compare_with_upload(shop: Shop, source: BinaryIO, *, name: str, **told: Any) -> Recorder:
    """The same from a recording that is handed in; `told` as for `compare_with_reference`. The recording is not
    kept.
    """
    shelf = Shelf()
    path = shelf.lay(source, name)
    try:
        return compare_with_reference(shop, path, **told)
    finally:
        shelf.clear(path)


def compare_by_frames(
    *,
    device: str,
    sample_hz: int,
    frames_count: list[int],
    stamps_s: list[float],
    wander_s: float | None,
    at: datetime,
    by: str = "repairer",
    temperature_deg_c: float | None = None,
) -> Recorder | None:
    """A comparison by the frames of one recording against this machine's clock; not kept yet.

    None when the machine's clock is not kept by network time, the recording is too short, or frames were lost in it.
    """
    if wander_s is None or len(stamps_s) < 20 or stamps_s[-1] - stamps_s[0] < LEAST_SPAN_S:
        return None
    found = estimate_from_frames(
        frames_count=np.asarray(frames_count, dtype=np.float64),
        stamps_s=np.asarray(stamps_s),
        sample_hz=sample_hz,
        wander_s=wander_s,
    )
    if abs(found.value) > _MOST_FRAMES_PPM:
        return None
    span = stamps_s[-1] - stamps_s[0]
    return Recorder(
        device=device,
        sample_hz=sample_hz,
        ppm=found.value,
        u_ppm=found.u,
        made_at=at,
        by=by,
        method="frames",
        span_s=span,
        temperature_deg_c=temperature_deg_c,
        words=f"frames counted for {span / 60.0:.0f} min; this machine's clock, kept by network time, wanders by "
        f"{1e3 * wander_s:.0f} ms",
    )


def with_recorder(given: Mapping[str, Any], used: InUse | None) -> dict[str, Any]:
    """What is expected of a recording, with its recorder's own clock where that is known."""
    return dict(given) if used is None else {**given, "recorder_ppm": (used.now_ppm.value, used.now_ppm.u)}


def told_of_recorder(listened: Listened, used: InUse | None, *, device: str | None, sample_hz: int | None) -> Listened:
    """The answer with the sentence that says which comparison was used, or that there is none of this device."""
    if used is not None:
        return replace(listened, recorder=recorder_words(used))
    if device:
        at = f" at {sample_hz:,} samples a second".replace(",", "\u202f") if sample_hz else ""
        return replace(
            listened,
            recorder=f"{device} was not compared{at} in the last two years; until it is, its clock may be 50 parts "
            "in a million off.",
        )
    return listened


def recorder_words(used: InUse) -> str:
    """Which comparison was used, in a sentence."""
    one, now = used.recorder, used.now_ppm
    return (
        f"{one.device} runs {now.value:+.1f} parts in a million fast, give or take {now.u:.1f} "
        f"({now.u * _SECONDS_PER_DAY_PER_PPM:.2g} s a day): "
        f"{_METHOD_WORDS[one.method]}, {one.made_at:%-d %B %Y}, by {one.by}."
    )


def recorders_answer(shop: Shop, shown: tuple[Recorder, ...], *, warnings: tuple[str, ...] = ()) -> dict[str, Any]:
    """Comparisons as the command and the page show them, with what each is good for now."""
    rows = []
    for one in shown:
        now = one.at(shop.now())
        rows.append(
            {
                "device": one.device,
                "sample_hz": one.sample_hz,
                "ppm": one.ppm,
                "ppm_u": one.u_ppm,
                "now_ppm_u": now.u if now else None,
                "made_at": one.made_at.isoformat(),
                "by": one.by,
                "method": one.method,
                "words": one.words,
                "temperature_deg_c": one.temperature_deg_c,
                "verdict": "used" if now else "too_old",
            }
        )
    return {"verdict": "told", "recorders": rows, "warnings": list(warnings), "sources": ["JCGM100"]}


def recorders_words(answer: Mapping[str, Any]) -> list[str]:
    """The same as lines to read."""
    lines = []
    for one in answer["recorders"]:
        now = (
            f"good for ± {one['now_ppm_u']:.1f} now"
            if one["now_ppm_u"] is not None
            else "too old to be used; compare it again"
        )
        lines.append(
            f"{one['device']}, {one['sample_hz']} a second: {one['ppm']:+.2f} ± {one['ppm_u']:.2g} parts in a "
            f"million fast ({_METHOD_WORDS[one['method']]}, {one['made_at'][:10]}, by {one['by']}); {now}."
        )
    return lines or [
        "No recorder has been compared yet. Until one is, 50 parts in a million (4.3 s a day) stand in the error of "
        "every rate."
    ]


def _check_sampling(sample_hz: int) -> None:
    if not sound.LEAST_HZ <= sample_hz <= sound.MOST_HZ:
        raise BadInput(
            "sampling",
            sample_hz,
            f"{sound.LEAST_HZ} to {sound.MOST_HZ}",
            f"sampling: {sample_hz} samples a second will not do; {sound.LEAST_HZ} to {sound.MOST_HZ} are heard.",
        )
