"""Why a recording does not support a number, in words, each with what to do about it.

A wrong number that is believed is the worst that can happen here; a refusal costs one more recording.
"""

from __future__ import annotations

from dataclasses import dataclass

REASONS = ("too_short", "noisy", "no_beat", "two_clocks", "speech", "hum", "clipped", "gain", "spliced")

_ADVICE = {
    "too_short": "Record again for longer.",
    "noisy": "Bring the microphone nearer, or let it touch the case or movement, and keep the room quiet.",
    "no_beat": "See that the clock goes, bring the microphone nearer, and give its count with --beats-per-hour or "
    "--train.",
    "two_clocks": "Stop the other clock or carry this one out of its hearing, and record again.",
    "speech": "Record again without talking, or with the microphone on the case.",
    "hum": "Move away from mains and motors, or lay the microphone on the case, and record again.",
    "clipped": "Turn the recording level down or move the microphone back, and record again.",
    "gain": "Switch automatic gain and noise suppression off on the recorder, and record again.",
    "spliced": "Use one uncut recording straight from the recorder.",
}


@dataclass(frozen=True, slots=True)
class Refusal:
    """One of the nine reasons, and the sentence that says what was heard and what to do."""

    reason_id: str
    sentence: str


def refuse(reason_id: str, what: str) -> Refusal:
    """A refusal whose sentence says what was heard, then what to do."""
    assert reason_id in REASONS
    return Refusal(reason_id, f"{what} {_ADVICE[reason_id]}")
