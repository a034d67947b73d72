"""What one kind of tick sounds like here, and when each beat came, timed by a template that has not heard it.

Windows round the expected beats are whitened by the noise between ticks and weighed by how far the ticks stand above
it. A template is the mean of aligned windows. Even beats of a kind are timed with the template of its odd beats and
the reverse: a template that holds the beat's own noise would agree with that noise, and the weaker the ticks the
more exact they would seem. Two rulers are tried, the waveform itself and its envelope; the one with the smaller
scatter is used (real movements vary their waveform more than its outline).

Limits: sampling 8 to 48 kHz (resample above); beats known beforehand to a few milliseconds. Source of the
whitened matched filter: [Turin1960]_.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import fft, ndimage

Array = NDArray[np.float64]
Floats = NDArray[np.float32]
Complex = NDArray[np.complex64]

_WINDOW_S = 0.064
_BEFORE_RATIO = 0.4
_UP = 2
_FOLDS = 2
_HEARD_STRENGTH = 5.0


@dataclass(frozen=True, slots=True)
class Lens:
    """How a window is cut: sizes in samples, whitening gain over its spectrum, weight of each part in an outline."""

    sample_hz: int
    size: int
    before: int
    padded: int
    gain: Floats
    weight: Floats


@dataclass(frozen=True, slots=True)
class Templates:
    """Unit templates per kind and fold as spectra, shape (kinds, folds, bins), and which ruler they are for."""

    ruler: str
    spectra: Complex


@dataclass(frozen=True, slots=True)
class Arrivals:
    """Time of each beat [s] by its template, and how far the agreement stands above chance, in noise units."""

    times_s: Array
    strength: Array


def cut(samples: Floats, starts: NDArray[np.int64], size: int) -> Floats:
    """Windows of the sound, shape (beats, size); what lies outside the recording is silence."""
    out = np.zeros((starts.size, size), dtype=np.float32)
    for row, start in enumerate(starts):
        low, high = max(start, 0), min(start + size, samples.size)
        if high > low:
            out[row, low - start : high - start] = samples[low:high]
    return out


def make_lens(samples: Floats, sample_hz: int, expected_s: Array, *, beat_s: float) -> Lens:
    """Whiten by the median spectrum between the ticks; weigh outlines by how far the median tick stands above it."""
    size = int(min(_WINDOW_S, 0.6 * beat_s) * sample_hz)
    padded = fft.next_fast_len(int(size * 1.5), real=True)
    before = int(_BEFORE_RATIO * size)
    # Half a beat away there is nothing of this beat; the lesser of two places misses the neighbour's ringing.
    quiet = np.minimum(
        *(
            _median_power(samples, sample_hz, expected_s + shift * beat_s - before / sample_hz, size, padded)
            for shift in (0.42, 0.58)
        )
    )
    short = min(int(0.016 * sample_hz), size)
    tick = _median_power(samples, sample_hz, expected_s - 0.003, short, padded) * (size / short)
    width = max(int(250.0 * padded / sample_hz), 3)
    # A median over few windows scatters; smoothing over 250 Hz leaves a few per cent.
    tick, quiet = (ndimage.uniform_filter1d(one, width, mode="nearest") for one in (tick, quiet))
    quiet = np.maximum(quiet, 1e-4 * float(np.median(quiet)) + 1e-20)
    over = np.clip(tick / quiet - 1.1, 0.0, None)
    hz = np.arange(quiet.size) * sample_hz / padded
    heard = (hz > 200.0) & (hz < 0.48 * sample_hz)
    weight = np.sqrt(over / (over + 1.0)) * heard if np.any(over[heard] > 0) else heard.astype(float)
    return Lens(sample_hz, size, before, padded, (heard / np.sqrt(quiet)).astype(np.float32), weight.astype(np.float32))


def window_spectra(samples: Floats, lens: Lens, expected_s: Array, offset_s: float = 0.0) -> tuple[Complex, Array]:
    """Whitened spectra of the windows round the expected times, and the time [s] of each window's mark."""
    starts = np.round((expected_s - offset_s) * lens.sample_hz).astype(np.int64) - lens.before
    spectra = fft.rfft(cut(samples, starts, lens.size), lens.padded, axis=1) * lens.gain
    return spectra.astype(np.complex64), (starts + lens.before) / lens.sample_hz + offset_s


def envelope_spectra(spectra: Complex, lens: Lens) -> Complex:
    """Spectra of the windows' outlines, cut at 4 kHz and freed of their mean."""
    whole = np.zeros((spectra.shape[0], lens.padded), dtype=np.complex64)
    whole[:, : spectra.shape[1]] = 2.0 * spectra * lens.weight
    outline = np.abs(fft.ifft(whole, axis=1)).astype(np.float32)
    outline[:, lens.size :] = np.median(outline[:, : lens.size], axis=1, keepdims=True)
    out = fft.rfft(outline, axis=1)
    hz = np.arange(out.shape[1]) * lens.sample_hz / lens.padded
    out *= np.exp(-0.5 * (hz / 2000.0) ** 2).astype(np.float32)
    out[:, 0] = 0.0
    return np.asarray(out, dtype=np.complex64)


def arrivals(
    spectra: Complex, marks_s: Array, template: Complex, lens: Lens, *, near_s: Array, within_s: float
) -> Arrivals:
    """Where each window agrees best with its template, no further than `within_s` from `near_s`.

    `template` has shape (bins,) or (beats, bins). Strength is the agreement there over its robust spread far away.
    A tick rings, so the agreement has neighbours almost as high one swing of the ringing away. Which of them is meant
    is decided with the expectation in hand (spread of a quarter of `within_s`); where it lies, by the sound alone.
    """
    agreement = _agreement(spectra, template, lens, up=_UP)
    return _best(agreement, _noise_of(agreement), marks_s, near_s, within_s, rate_hz=lens.sample_hz * _UP)


def _agreement(spectra: Complex, template: Complex, lens: Lens, *, up: int) -> Floats:
    """Agreement of each window with its template against lag; negative lags stand at the end."""
    product = np.zeros((spectra.shape[0], lens.padded * up // 2 + 1), dtype=np.complex64)
    product[:, : spectra.shape[1]] = spectra * np.conj(template)
    return np.asarray(fft.irfft(product, lens.padded * up, axis=1) * up, dtype=np.float32)


def _noise_of(agreement: Floats) -> Array:
    noise = 1.4826 * np.median(np.abs(agreement[:, ::19]), axis=1).astype(np.float64)
    return np.maximum(np.maximum(noise, 0.5 * np.median(noise)), 1e-20)


def _best(
    agreement: Floats, noise: Array, marks_s: Array, near_s: Array, within_s: float, *, rate_hz: float
) -> Arrivals:
    wanted = near_s - marks_s
    low = int(np.floor((wanted.min() - within_s) * rate_hz)) - 14
    high = int(np.ceil((wanted.max() + within_s) * rate_hz)) + 15
    columns = np.arange(low, high)
    part = agreement[:, columns % agreement.shape[1]]
    lag = columns / rate_hz
    away = lag - wanted[:, None]
    inside = np.abs(away) <= within_s + 0.5 / rate_hz
    rows = np.arange(part.shape[0])
    usual = max(float(np.median(np.where(inside, part, -np.inf).max(axis=1) / noise)), 1.0)
    penalty = noise[:, None] * away**2 / (2.0 * (0.25 * within_s) ** 2 * usual)
    best = np.argmax(np.where(inside, part - penalty, -np.inf), axis=1)
    best = _climb(part, rows, np.clip(best, 1, part.shape[1] - 2))
    left, top, right = (part[rows, best + k] for k in (-1, 0, 1))
    bend = left - 2.0 * top + right
    shift = np.where(bend < 0, 0.5 * (left - right) / np.where(bend < 0, bend, 1.0), 0.0)
    return Arrivals(marks_s + lag[best] + np.clip(shift, -1, 1) / rate_hz, top / noise)


def mean_template(spectra: Complex, marks_s: Array, times_s: Array, weights: Array, lens: Lens) -> Complex:
    """Weighted mean of windows shifted to their times, cut in time to where it stands out, of unit size."""
    if not np.any(weights > 0):
        return np.zeros(spectra.shape[1], dtype=np.complex64)
    turn = _turns(times_s - marks_s, spectra.shape[1], lens) * (weights / np.sum(weights)).astype(np.float32)[:, None]
    mean = np.einsum("bf,bf->f", turn, spectra)
    wave = np.roll(fft.irfft(mean, lens.padded), lens.before)
    energy = ndimage.uniform_filter1d(wave**2, max(int(0.001 * lens.sample_hz), 3), mode="wrap")
    floor = np.median(energy[: lens.size])
    gate = np.clip(1.0 - 3.0 * floor / np.maximum(energy, 1e-30), 0.0, 1.0)
    if not np.any(gate > 0.3):
        # Waveforms not yet brought together hardly stand out; the loudest part is then the best guess there is.
        gate = np.clip(2.0 * energy / np.maximum(energy.max(), 1e-30) - 1.0, 0.0, 1.0)
    gate = ndimage.uniform_filter1d(gate, max(int(0.001 * lens.sample_hz), 3), mode="wrap")
    shaped = fft.rfft(np.roll(wave * gate, -lens.before))
    # What the mean still holds of noise is read off where the gate is shut, and taken off part by part.
    left = (
        np.abs(fft.rfft(np.roll(wave * (1.0 - gate), -lens.before))) ** 2
        * np.mean(gate)
        / max(1.0 - float(np.mean(gate)), 0.1)
    )
    width = max(int(200.0 * lens.padded / lens.sample_hz), 3)
    power, left = (ndimage.uniform_filter1d(one, width, mode="nearest") for one in (np.abs(shaped) ** 2, left))
    shaped *= np.clip(1.0 - 1.5 * left / np.maximum(power, 1e-30), 0.0, 1.0)
    size = float(np.sqrt(np.sum(np.abs(shaped) ** 2)))
    return np.asarray(shaped / size if size > 0 else shaped, dtype=np.complex64)


def fit_templates(
    samples: Floats, lens: Lens, expected_s: Array, kinds: NDArray[np.int8], *, within_s: float
) -> tuple[Templates, Arrivals]:
    """Templates of each kind and the arrival of each beat, cross-fitted, by the ruler that scatters less."""
    spectra, marks = window_spectra(samples, lens, expected_s)
    outline = envelope_spectra(spectra, lens)
    fold = _folds(kinds)
    rough = Arrivals(expected_s, np.ones_like(expected_s))
    by_outline, rough = _refine(outline, marks, rough, expected_s, kinds, fold, lens, within_s=within_s, rounds=4)
    # The outline has brought the beats together to a tenth of a millisecond, near enough for waveforms to add up.
    by_wave, fine = _refine(spectra, marks, rough, expected_s, kinds, fold, lens, within_s=within_s, rounds=4)
    # A template with nothing in it agrees with everything equally: the waveform must be heard before it may measure.
    heard = float(np.median(fine.strength)) > _HEARD_STRENGTH
    if heard and scatter_s(fine.times_s, expected_s, kinds) < scatter_s(rough.times_s, expected_s, kinds):
        return Templates("wave", by_wave), fine
    return Templates("outline", by_outline), rough


def time_beats(
    samples: Floats,
    lens: Lens,
    templates: Templates,
    expected_s: Array,
    kinds: NDArray[np.int8],
    *,
    within_s: float,
    again_s: float | None = None,
) -> Arrivals:
    """Arrival of beats that the templates have not heard.

    With `again_s` the beats are looked for a second time, within that much of where their neighbours say they should
    be.
    """
    spectra, marks = window_spectra(samples, lens, expected_s)
    if templates.ruler == "outline":
        spectra = envelope_spectra(spectra, lens)
    if expected_s.size == 0:
        return Arrivals(np.zeros(0), np.zeros(0))
    # An outline holds nothing above 4 kHz: its agreement needs no finer grid than the sound's own.
    up = 1 if templates.ruler == "outline" and lens.sample_hz > 24000 else _UP
    agreement = _agreement(spectra, templates.spectra.mean(axis=1)[kinds], lens, up=up)
    noise = _noise_of(agreement)
    got = _best(agreement, noise, marks, expected_s, within_s, rate_hz=lens.sample_hz * up)
    if again_s is None or again_s >= within_s:
        return got
    near = smoothed_s(got.times_s, expected_s, kinds)
    return _best(agreement, noise, marks, near, again_s, rate_hz=lens.sample_hz * up)


def scatter_s(times_s: Array, expected_s: Array, kinds: NDArray[np.int8]) -> float:
    """Robust scatter of single beats [s] about their neighbours of the same kind (second differences / sqrt 6)."""
    found = []
    for kind in (0, 1):
        late = (times_s - expected_s)[kinds == kind]
        if late.size >= 3:
            found.append(np.diff(late, 2))
    if not found:
        return float("inf")
    return float(1.4826 * np.median(np.abs(np.concatenate(found))) / np.sqrt(6.0))


def follows_ratio(
    samples: Floats, lens: Lens, templates: Templates, times_s: Array, kinds: NDArray[np.int8], *, within_s: float
) -> float:
    """How far found beats go along when looked for a little elsewhere: 0 for beats that are heard, 1 for what the
    looking itself puts in.
    """
    # Half a millisecond to either side, the side by golden steps so that it follows no pattern of the beats.
    moved = 5e-4 * np.where(0.618034 * np.arange(times_s.size) % 1.0 < 0.5, -1.0, 1.0)
    both = [
        time_beats(samples, lens, templates, times_s + shift, kinds, within_s=within_s).times_s
        for shift in (moved, -moved)
    ]
    return float(np.median((both[0] - both[1]) / (2.0 * moved)))


def mean_outlines(samples: Floats, lens: Lens, times_s: Array, kinds: NDArray[np.int8]) -> tuple[Array, Array]:
    """Mean loudness round each kind of beat over its floor's scatter, shape (2, places), and the places [s] from its
    mark.
    """
    spectra, marks = window_spectra(samples, lens, times_s)
    turned = spectra * lens.weight * _turns(times_s - marks, spectra.shape[1], lens)
    whole = np.zeros((spectra.shape[0], lens.padded), dtype=np.complex64)
    whole[:, : spectra.shape[1]] = 2.0 * turned
    power = np.roll(np.abs(fft.ifft(whole, axis=1)) ** 2, lens.before, axis=1)[:, : lens.size]
    # The square root tames the loud drop beside the soft unlocking; the median over beats ignores knocks.
    rows = np.stack(
        [
            np.sqrt(np.median(power[kinds == kind], axis=0)) if np.any(kinds == kind) else np.zeros(lens.size)
            for kind in (0, 1)
        ]
    )
    rows = ndimage.gaussian_filter1d(rows, 0.00025 * lens.sample_hz, axis=1)
    floor = np.quantile(rows, 0.3, axis=1, keepdims=True)
    scatter = 1.4826 * np.median(np.abs(np.minimum(rows - floor, 0.0)), axis=1, keepdims=True)
    scatter = np.maximum(scatter, 0.004 * (rows.max(axis=1, keepdims=True) - floor))
    return (rows - floor) / np.maximum(scatter, 1e-12), (np.arange(lens.size) - lens.before) / lens.sample_hz


def _folds(kinds: NDArray[np.int8]) -> NDArray[np.int8]:
    fold = np.zeros(kinds.size, dtype=np.int8)
    for kind in (0, 1):
        which = np.flatnonzero(kinds == kind)
        fold[which] = np.arange(which.size) % _FOLDS
    return fold


def smoothed_s(times_s: Array, expected_s: Array, kinds: NDArray[np.int8], *, width: int = 9) -> Array:
    """Expected times moved by the running median of the lateness of the nearest beats of the same kind."""
    out = expected_s.copy()
    for kind in (0, 1):
        mine = kinds == kind
        late = (times_s - expected_s)[mine]
        if late.size:
            out[mine] += ndimage.median_filter(late, min(width, late.size), mode="mirror")
    return out


def window_s(scatter: float, *, most_s: float) -> float:
    """Half width of the search [s]: eight scatters, never so tight that the search itself would look like order."""
    return float(min(max(8.0 * scatter, 0.0012), most_s))


def _climb(agreement: Floats, rows: NDArray[np.int64], best: NDArray[np.int64]) -> NDArray[np.int64]:
    """The top of the hump on whose side the expectation left us."""
    for _ in range(12):
        step = (agreement[rows, best + 1] > agreement[rows, best]).astype(np.int64)
        step -= (agreement[rows, best - 1] > agreement[rows, best]) & (step == 0)
        best = np.clip(best + step, 1, agreement.shape[1] - 2)
    return best


def _turns(shift_s: Array, bins: int, lens: Lens) -> Complex:
    """Factors that shift each window by its own time, shape (windows, bins); made of two short tables, as exponentials
    cost.
    """
    step = 2j * np.pi * lens.sample_hz / lens.padded * shift_s[:, None]
    coarse = np.exp(step * np.arange(0, bins, 64)).astype(np.complex64)
    fine = np.exp(step * np.arange(64)).astype(np.complex64)
    return np.asarray((coarse[:, :, None] * fine[:, None, :]).reshape(shift_s.size, -1)[:, :bins])


def _refine(
    spectra: Complex,
    marks: Array,
    start: Arrivals,
    expected_s: Array,
    kinds: NDArray[np.int8],
    fold: NDArray[np.int8],
    lens: Lens,
    *,
    within_s: float,
    rounds: int,
) -> tuple[Complex, Arrivals]:
    now = start
    made = np.zeros((2, _FOLDS, spectra.shape[1]), dtype=np.complex64)
    known = start.times_s is not expected_s
    for turn in range(rounds):
        weights = _weights(now.strength)
        for kind in (0, 1):
            for part in range(_FOLDS):
                mine = (kinds == kind) & (fold != part)
                made[kind, part] = mean_template(spectra[mine], marks[mine], now.times_s[mine], weights[mine], lens)
            _bring_together(made[kind], lens)
        near, span = expected_s, within_s
        if turn > 0 or known:
            near = smoothed_s(now.times_s, expected_s, kinds)
            span = window_s(scatter_s(now.times_s, expected_s, kinds), most_s=within_s)
        now = arrivals(spectra, marks, made[kinds, fold], lens, near_s=near, within_s=span)
    return made, now


def _bring_together(pair: Complex, lens: Lens) -> None:
    """Shift the folds' templates of one kind onto each other, half the way each, so that they share one mark."""
    zero = np.zeros(1)
    lag = float(arrivals(pair[1:2], zero, pair[0], lens, near_s=zero, within_s=0.002).times_s[0])
    hz = np.arange(pair.shape[1]) * lens.sample_hz / lens.padded
    turn = np.exp(1j * np.pi * hz * lag)
    pair[0] *= np.conj(turn)
    pair[1] *= turn


def _weights(strength: Array) -> Array:
    usual = float(np.median(strength))
    if usual <= 0:
        return np.ones_like(strength)
    # A beat far louder than the rest (a knock on top of it) counts no more than the others, a lost one not at all.
    return np.where((strength > 0.3 * usual) & (strength < 3.0 * usual), 1.0, 0.0)


def _median_power(samples: Floats, sample_hz: int, times_s: Array, size: int, padded: int) -> Array:
    step = max(times_s.size // 200, 1)
    starts = np.round(times_s[::step] * sample_hz).astype(np.int64)
    starts = starts[(starts >= 0) & (starts + size <= samples.size)]
    if starts.size == 0:
        return np.full(padded // 2 + 1, 1e-20)
    spectra = fft.rfft(cut(samples, starts, size), padded, axis=1)
    return np.asarray(np.median(np.abs(spectra) ** 2, axis=0), dtype=np.float64)
