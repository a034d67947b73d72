"""Words out of a recording or from the tablet's microphone.

A look-over is heard by the recogniser of free talk, led by trade words; a single line by the grammar of `one_line`. A
transcript that any other recogniser made is always taken instead.
"""

from __future__ import annotations

import io
import re
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from underdial.bench.as_found.one_line import MOST_ORDER_S, ORDERS, SOUNDS, OneLine, line_grammar, read_line
from underdial.capture import speech
from underdial.capture.film import SPEECH_HZ, Samples, speech_blocks
from underdial.errors import BadInput
from underdial.telling.speech.captions import Cue, Transcript

# Words that the recogniser of free talk shall expect; its prompt has room for about 200 pieces of words.
PROMPT = (
    "Looking over a clock movement at the bench. The third wheel, front pivot is scored, back hole worn oval. "
    "Pallets grooved, crutch, suspension spring, anchor. Mainspring is set, barrel hook, click, "
    "click spring, ratchet, arbor, great wheel, centre wheel, escape wheel, pinion leaves pitted, endshake, bushed, "
    "bushing. Fusee chain, stop work, maintaining power. Hairspring, balance staff, roller, "
    "guard pin, fork. Strike: rack tail, snail, gathering pallet, rack hook, lifting piece, warning, fly, hammer. "
    "Dial, bezel, minute hand rubbing, cannon pinion. One point four two millimetres, six thou, point one five."
)
HEARD_HERE = (
    "The words were heard by the recogniser on this machine, which gets about one word in ten wrong: read "
    "the findings through."
)
LEAST_LINE_S, MOST_LINE_S = 0.4, 20.0
# The hush before and after a line by which the page knows that it has ended.
QUIET_S = 1.4


@dataclass(frozen=True, slots=True)
class Heard:
    """A line as it was heard and what it was taken for, or the order to the page that it is; `twice` when a second
    recogniser heard the same number, None when there is none.
    """

    text: str
    line: OneLine | None
    order: str | None = None
    twice: bool | None = None


def free_talk_heard_here() -> bool:
    """Whether free talk can be heard on this machine."""
    return speech.free_recogniser_there()


def hear_recording(
    path: Path, *, progress: Callable[[float], None] | None = None, stop: Callable[[], bool] | None = None
) -> Transcript:
    """Everything said in a recording, as cues with their times; what was amiss with it stands in the warnings.

    Raises BadInput for a file that is broken or has no sound, MachineRefused when no recogniser is installed.
    """
    warnings: list[str] = []
    cues = tuple(
        Cue(one.text, one.start_s, one.end_s)
        for one in speech.hear_freely(
            speech_blocks(path, warnings=warnings, progress=progress), prompt=PROMPT, stop=stop
        )
    )
    if not cues and not warnings:
        warnings.append(f"Nobody is heard to speak in {path.name}.")
    return Transcript(cues, (*warnings, *((HEARD_HERE,) if cues else ())))


def hear_line(sound: bytes) -> Heard:
    """One line or order spoken to the tablet (WAV), read but not kept.

    Raises BadInput when it is no sound, too short or long, or no line of part, place and state or size.
    """
    samples = _samples(sound)
    lasts_s = samples.size / SPEECH_HZ
    if not LEAST_LINE_S <= lasts_s <= MOST_LINE_S:
        raise BadInput(
            "line",
            f"{lasts_s:.1f} s",
            f"{LEAST_LINE_S:g} to {MOST_LINE_S:g} s",
            f"line: {lasts_s:.1f} s were heard; a line takes {LEAST_LINE_S:g} to {MOST_LINE_S:g} s.",
        )
    text = speech.hear_line(samples, grammar=line_grammar(), sounds=SOUNDS)
    if text is None:
        raise BadInput(
            "line",
            "nothing",
            "part, place, then a state or a size",
            "line: nothing was heard that is a part with a state or a size; say it as in “front pivot third wheel, "
            "one point four two”.",
        )
    if text in ORDERS:
        if lasts_s > MOST_ORDER_S + QUIET_S:
            raise BadInput(
                "line",
                "talk",
                "part, place, then a state or a size",
                "line: that was talk, not a line; say part, place, then a state or a size.",
            )
        return Heard(text, None, order=ORDERS[text])
    line = read_line(text)
    return Heard(text, line, twice=_heard_twice(samples, line))


def hear_order(sound: bytes) -> str | None:
    """The order to the page in a sound, and of everything else nothing: what is said in private is not even read."""
    try:
        return hear_line(sound).order
    except BadInput:
        return None


def _heard_twice(samples: Samples, line: OneLine) -> bool | None:
    """Whether the second recogniser hears the same figures; None where there is none, or no figure."""
    if line.measurement is None or not speech.free_recogniser_there():
        return None
    again = " ".join(one.text for one in speech.hear_freely([samples], prompt=PROMPT))
    figures = re.sub(r"[^0-9]", "", f"{line.measurement.value:g}").strip("0")
    return figures in re.sub(r"[^0-9]", "", _in_figures(again))


def _in_figures(text: str) -> str:
    words = ["zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine"]
    return re.sub(
        r"\b(?:" + "|".join((*words, "oh")) + r")\b",
        lambda found: "0" if found[0] == "oh" else str(words.index(found[0])),
        text.casefold(),
    )


def _samples(sound: bytes) -> Samples:
    import soundfile
    import soxr

    try:
        samples, rate_hz = soundfile.read(io.BytesIO(sound), dtype="float32", always_2d=True)
    except (soundfile.LibsndfileError, RuntimeError) as wrong:
        raise BadInput(
            "line", "sound", "a WAV", "line: what came from the tablet is no sound that can be read."
        ) from wrong
    mono = np.nan_to_num(samples.mean(axis=1))
    return mono if rate_hz == SPEECH_HZ else np.asarray(soxr.resample(mono, rate_hz, SPEECH_HZ), dtype=np.float32)
