"""What the reader of look-overs gets right on the labelled ones, what each layer adds, and how fast it is.

    python3 dev.py bench lookover [--json]

Scores every pair in tests/data/lookovers with `lookover_score`, each file and pooled; reads them again with one
layer left out at a time; and times an hour of transcript (the files said one after the other).
"""

from __future__ import annotations

import json
import sys
import time
from dataclasses import replace
from pathlib import Path
from typing import Any

from benchmarks.lookover_score import Score, score
from underdial.bench.as_found.lookover import answer_of
from underdial.telling import look_over
from underdial.telling.sentences import tags
from underdial.telling.speech import captions

FOLDER = Path(__file__).parents[1] / "tests" / "data" / "lookovers"
_HOUR_S = 3600.0


def main(argv: list[str]) -> int:
    """Print the figures; `--json` as one object."""
    files = [
        path
        for path in sorted(FOLDER.iterdir())
        if path.suffix in (".vtt", ".srt", ".txt") and labels_of(path).exists()
    ]
    scores = {path.stem: score_file(path) for path in files}
    pooled = sum(scores.values(), Score())
    layers = {layer: sum((score_file(path, without=layer) for path in files), Score()) for layer in look_over.LAYERS}
    seconds = hour_takes_s(files)
    if "--json" in argv:
        print(
            json.dumps(
                {
                    "files": {name: figures(one) for name, one in scores.items()},
                    "pooled": figures(pooled),
                    "without": {name: figures(one) for name, one in layers.items()},
                    "hour_takes_s": seconds,
                }
            )
        )
        return 0
    print("look-over      basic P   R     F1    full F1  numbers F1  in time  reversed")
    for name, one in (*scores.items(), ("pooled", pooled)):
        print(line(name, one))
    print("\nwithout this layer: what is lost of F1 (basic, full, numbers), and states reversed")
    for name, one in layers.items():
        print(
            f"  {name:14s} {pooled.basic.f1_ratio - one.basic.f1_ratio:+.3f}  "
            f"{pooled.full.f1_ratio - one.full.f1_ratio:+.3f}  "
            f"{pooled.measurements.f1_ratio - one.measurements.f1_ratio:+.3f}   {one.reversals_count} reversed"
        )
    print(f"\nan hour of transcript in {seconds:.2f} s")
    return 0


def labels_of(path: Path) -> Path:
    """The labels beside a caption file."""
    return path.with_name(f"{path.stem}.gold.json")


def score_file(path: Path, *, without: str | None = None) -> Score:
    """The score of one file, with one layer left out when it is named."""
    transcript = captions.parse(path.read_text(encoding="utf-8-sig"), name=path.name)
    account = look_over.read(transcript, layers=frozenset(look_over.LAYERS) - {without or ""})
    return score(json.loads(labels_of(path).read_text(encoding="utf-8")), answer_of(account))


def hour_takes_s(files: list[Path]) -> float:
    """Seconds to read an hour of transcript, made of the files one after the other; the best of three, nothing kept
    from one to the next.
    """
    cues: list[captions.Cue] = []
    clock_s = 0.0
    while clock_s < _HOUR_S:
        for path in files:
            taken = captions.parse(path.read_text(encoding="utf-8-sig"), name=path.name).cues
            cues += [
                replace(cue, start_s=(cue.start_s or 0.0) + clock_s, end_s=(cue.end_s or 0.0) + clock_s)
                for cue in taken
            ]
            clock_s += max((cue.end_s or 0.0) for cue in taken) + 1.0
            if clock_s >= _HOUR_S:
                break
    taken_s = []
    for _ in range(3):
        tags.items_of.cache_clear()
        started = time.perf_counter()
        look_over.read(captions.Transcript(tuple(cues)))
        taken_s.append(time.perf_counter() - started)
    return min(taken_s)


def figures(one: Score) -> dict[str, Any]:
    """A score as numbers for JSON."""
    return {
        "basic_f1_ratio": one.basic.f1_ratio,
        "basic_precision_ratio": one.basic.precision_ratio,
        "basic_recall_ratio": one.basic.recall_ratio,
        "full_f1_ratio": one.full.f1_ratio,
        "measurements_f1_ratio": one.measurements.f1_ratio,
        "in_time_ratio": one.timely.recall_ratio,
        "reversals_count": one.reversals_count,
    }


def line(name: str, one: Score) -> str:
    """A score as one row of the table."""
    return (
        f"{name:14s} {one.basic.precision_ratio:5.3f} {one.basic.recall_ratio:5.3f} {one.basic.f1_ratio:5.3f}   "
        f"{one.full.f1_ratio:5.3f}    {one.measurements.f1_ratio:5.3f}       "
        f"{one.timely.recall_ratio:5.3f}    {one.reversals_count}"
    )


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
