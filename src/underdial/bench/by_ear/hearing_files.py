"""Recordings of one clock heard one after the other: the answer of the first, all of them, and how the rate varies
among them.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from underdial.bench.by_ear.listening import Listened, listen_answer, listen_file, listen_words
from underdial.bench.by_ear.recorders import recorder_in_use, told_of_recorder, with_recorder
from underdial.bench.by_ear.variation import rates_of_answers, variation_keys, variation_lines, variation_wanting
from underdial.bench.shop import Shop
from underdial.capture import sound
from underdial.errors import BadInput


def hear_with_recorder(
    path: Path, *, shop: Shop | None, recorder: str | None, temperature_deg_c: float | None = None, **given: Any
) -> Listened:
    """Listen to a file by the clock of the recorder that is named, where the shop has compared it."""
    if shop is None or not recorder:
        return listen_file(path, **given)
    with sound.open_sound(path) as opened:
        sample_hz = opened.recorded_hz
    used = recorder_in_use(shop, device=recorder, sample_hz=sample_hz, temperature_deg_c=temperature_deg_c)
    return told_of_recorder(
        listen_file(path, **with_recorder(given, used)), used, device=recorder.strip(), sample_hz=sample_hz
    )


def listen_files(
    files: Sequence[Path],
    *,
    shop: Shop | None,
    recorder: str | None,
    temperature_deg_c: float | None,
    positions: Sequence[str],
    since_winding_h: Sequence[float],
    **given: Any,
) -> tuple[Listened, dict[str, Any]]:
    """The first recording as it was heard, and the answer of all."""
    for name, count in (("position", len(positions)), ("since-winding", len(since_winding_h))):
        if count not in (0, len(files)):
            raise BadInput(
                name,
                count,
                f"once for each of the {len(files)} files",
                f"{name}: give it once for each file ({len(files)}), or not at all.",
            )
    heard = [
        hear_with_recorder(
            path,
            shop=shop,
            recorder=recorder,
            temperature_deg_c=temperature_deg_c,
            position=positions[k] if positions else None,
            **given,
        )
        for k, path in enumerate(files)
    ]
    answers = [
        {**listen_answer(one), "since_winding_h": since_winding_h[k] if since_winding_h else None}
        for k, one in enumerate(heard)
    ]
    if len(files) == 1:
        return heard[0], answers[0]
    told = variation_keys(rates_of_answers(answers))
    named = [{"file": path.name, **one} for path, one in zip(files, answers, strict=True)]
    return heard[0], {
        **answers[0],
        "recordings": named,
        "variation": told,
        "warnings": [*answers[0]["warnings"], *variation_wanting(told)],
    }


def words_of_files(answer: dict[str, Any]) -> str:
    """The answer as a repairer reads it."""
    if "recordings" not in answer:
        return listen_words(answer)
    each = [f"{one['file']}: {listen_words({**one, 'warnings': []})}" for one in answer["recordings"]]
    return "\n\n".join([*each, "\n".join([*variation_lines(answer["variation"]), *answer["warnings"]])])
