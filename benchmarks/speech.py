"""How well the recognisers of speech hear the bench, spoken by Debian's flite voices (slt, rms, awb).

    .venv/bin/python -m benchmarks.speech [--json]

Lines: 48 of part, place, size or state, heard by the grammar; how many come out with the same meaning, and how many are
taken at all (the rest ends half-way and is refused). Orders to the page: how many are heard as such. Ordinary talk: 60
sentences of the bench put through the same grammar, to count how many are taken as a line or as an order, which is why
a line is read back before it is kept; and through the recogniser of free talk where that is installed, with and without
its prompt. Word error: Levenshtein distance over the words spoken.
"""

from __future__ import annotations

import json
import re
import shutil
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

import numpy as np

from underdial.bench.as_found.dictating import PROMPT, QUIET_S
from underdial.bench.as_found.one_line import MOST_ORDER_S, ORDERS, SOUNDS, line_grammar, read_line
from underdial.capture import speech
from underdial.capture.film import speech_blocks
from underdial.errors import UnderdialError

VOICES = ("slt", "rms", "awb")
SENTENCES = Path(__file__).parents[1] / "tests" / "telling" / "bench_sentences.txt"
LINES = (
    "front pivot third arbor one point four two",
    "back pivot third wheel one point three eight",
    "third wheel back hole worn",
    "third wheel front hole one point four six",
    "escape wheel front pivot point nine four",
    "escape wheel back pivot scored",
    "great wheel front pivot two point one five",
    "second wheel back hole oval",
    "centre wheel front hole two point oh four",
    "fourth wheel pinion worn",
    "escape wheel pinion pitted",
    "pallets grooved",
    "entry pallet badly worn",
    "exit pallet is good",
    "crutch loose",
    "suspension spring kinked",
    "mainspring set",
    "mainspring point four five thick",
    "mainspring nineteen millimetres high",
    "click worn",
    "click spring weak",
    "barrel hook is bent",
    "rack tail bent",
    "snail is good",
    "gathering pallet loose",
    "fly slipping",
    "hammer spring weak",
    "hour hand loose",
    "minute hand rubbing",
    "cannon pinion loose",
    "balance staff i think bent",
    "hairspring dirty",
    "impulse pin is not loose",
    "guard pin bent",
    "fork point one two wide",
    "great wheel ninety six teeth",
    "escape wheel thirty teeth",
    "third wheel endshake point one five",
    "centre arbor endshake point two",
    "front plate is sound",
    "back plate scored",
    "strike second wheel front hole slightly worn",
    "strike great wheel teeth good",
    "click not looked at",
    "mainspring could not be reached",
    "third arbor front pivot forty two thou",
    "bob sixty one millimetres diameter",
    "dial foot broken",
)


def main(argv: list[str]) -> int:
    """Print the table; `--json` as one object."""
    if shutil.which("flite") is None:
        print("speech: flite is not installed; apt-get install flite brings the voices.")
        return 1
    talk = [
        line.split("=")[0].strip()
        for line in SENTENCES.read_text(encoding="utf-8").splitlines()
        if line and not line.startswith("#")
    ][:60]
    result: dict[str, Any] = {}
    with tempfile.TemporaryDirectory() as place:
        for voice in VOICES:
            result[voice] = {
                "line": by_grammar(Path(place), voice, LINES),
                "orders": orders(Path(place), voice),
                "talk_by_grammar": taken_talk(Path(place), voice, talk),
            }
            if speech.free_recogniser_there():
                result[voice] |= {
                    "free": freely(Path(place), voice, talk, PROMPT),
                    "free_without_prompt": freely(Path(place), voice, talk, ""),
                }
    print(json.dumps(result) if "--json" in argv else table(result))
    return 0


def by_grammar(place: Path, voice: str, lines: tuple[str, ...]) -> dict[str, float]:
    """Word error, meanings right, lines taken, and times as fast as speech."""
    wrong = words = right = taken = taken_wrong = 0
    spoken_s = spent_s = 0.0
    speech.hear_line(np.zeros(8000, dtype=np.float32), grammar=line_grammar(), sounds=SOUNDS)
    for at, line in enumerate(lines):
        samples = say(place, voice, line, at)
        began = time.perf_counter()
        heard = speech.hear_line(samples, grammar=line_grammar(), sounds=SOUNDS)
        spent_s += time.perf_counter() - began
        spoken_s += samples.size / speech.SPEECH_HZ
        text = heard or ""
        errors, count = word_errors(line, text)
        wrong, words = wrong + errors, words + count
        same = meaning(text) == meaning(line)
        right += same
        taken += meaning(text) is not None
        taken_wrong += meaning(text) is not None and not same
        if "--show" in sys.argv and not same:
            print(voice, "|", line, "|", text)
    return {
        "word_error_ratio": wrong / words,
        "right_ratio": right / len(lines),
        "taken_ratio": taken / len(lines),
        "taken_wrong_count": taken_wrong,
        "times_real": spoken_s / spent_s,
    }


def orders(place: Path, voice: str) -> dict[str, float]:
    """Orders heard as what they are, and lines that were heard as an order."""
    right = sum(
        ORDERS.get(_heard(place, voice, words, at) or "") == order for at, (words, order) in enumerate(ORDERS.items())
    )
    return {
        "right_count": right,
        "of_count": len(ORDERS),
        "lines_as_order_count": sum((_heard(place, voice, line, at) or "") in ORDERS for at, line in enumerate(LINES)),
    }


def _heard(place: Path, voice: str, line: str, at: int) -> str | None:
    return speech.hear_line(say(place, voice, line, at), grammar=line_grammar(), sounds=SOUNDS)


def taken_talk(place: Path, voice: str, talk: list[str]) -> dict[str, float]:
    """Ordinary sentences that the grammar would take as a line, and as an order."""
    taken = as_order = 0
    for at, line in enumerate(talk):
        heard = _heard(place, voice, line, at)
        taken += heard is not None and meaning(heard) is not None
        as_order += heard in ORDERS and say(place, voice, line, at).size <= (MOST_ORDER_S + QUIET_S) * speech.SPEECH_HZ
    return {"taken_count": taken, "as_order_count": as_order, "of_count": len(talk)}


def freely(place: Path, voice: str, talk: list[str], prompt: str) -> dict[str, float]:
    """Word error of free talk, said in one go with pauses, and times as fast as speech."""
    whole = np.concatenate(
        [
            np.concatenate((say(place, voice, line, at), np.zeros(8000, dtype=np.float32)))
            for at, line in enumerate(talk)
        ]
    )
    list(speech.hear_freely([whole[: speech.SPEECH_HZ]], prompt=prompt))
    began = time.perf_counter()
    heard = " ".join(one.text for one in speech.hear_freely([whole], prompt=prompt))
    spent_s = time.perf_counter() - began
    errors, count = word_errors(" ".join(talk), heard)
    if "--show" in sys.argv:
        print(heard)
    return {"word_error_ratio": errors / count, "times_real": whole.size / speech.SPEECH_HZ / spent_s}


def say(place: Path, voice: str, line: str, at: int) -> Any:
    """A line in a voice, as samples."""
    file = place / f"{voice}-{at}-{abs(hash(line))}.wav"
    if not file.exists():
        subprocess.run(["flite", "-voice", voice, "-t", line, "-o", str(file)], check=True)
    return np.concatenate(list(speech_blocks(file, warnings=[])))


def word_errors(spoken: str, heard: str) -> tuple[int, int]:
    """Words put in, left out or changed, and the words spoken."""
    a, b = (re.findall(r"[a-z']+|\d+", text.casefold()) for text in (spoken, heard))
    row = list(range(len(b) + 1))
    for i, word in enumerate(a, 1):
        previous, row[0] = row[0], i
        for j, other in enumerate(b, 1):
            previous, row[j] = row[j], min(row[j] + 1, row[j - 1] + 1, previous + (word != other))
    return row[-1], len(a)


def meaning(line: str) -> tuple[object, ...] | None:
    """What a line says, apart from its words."""
    try:
        told = read_line(line)
    except UnderdialError:
        return None
    f, m = told.finding, told.measurement
    return (
        f and (f.component, f.of, f.place, f.condition, f.state, f.extent, f.certainty),
        m and (m.quantity, m.of, m.place, m.value, m.unit),
    )


def table(result: dict[str, Any]) -> str:
    """The figures as lines."""
    rows = []
    for voice, found in result.items():
        for name, one in found.items():
            rows.append(f"{voice:4s} {name:20s} " + "  ".join(f"{key} {value:.3g}" for key, value in one.items()))
    return "\n".join(rows)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
