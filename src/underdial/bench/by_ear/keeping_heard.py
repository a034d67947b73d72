"""What was heard, kept: the recording, its whole answer with its pictures' numbers, and each reading with its error."""

from __future__ import annotations

import io
import json
import math
import uuid
from collections.abc import Mapping
from dataclasses import asdict, replace
from typing import Any

from underdial.bench.as_found.looking import name_file
from underdial.bench.by_ear.listening import listen_answer, timing_shown
from underdial.bench.by_ear.microphone import Held, Listener, Told
from underdial.bench.shop import ClockPage, Job, Shop, clock_page, job
from underdial.errors import RuleBroken
from underdial.listening.wheel_patterns import SURE_PROBABILITY
from underdial.papers.timing_figure import ResidualShown, RungShown, TimingShown
from underdial.record.clock import Attachment
from underdial.record.finding import Evidence
from underdial.record.measurement import Measurement
from underdial.record.proof import Proof, check_results
from underdial.store.files import keep_file, open_file
from underdial.store.records import add

_INSTRUMENT = "microphone"
_MEDIA = {".wav": "audio/wav", ".flac": "audio/flac", ".ogg": "audio/ogg", ".mp3": "audio/mpeg", ".m4a": "audio/mp4"}
_ANSWER_MEDIA = "application/json"
_FORM = "underdial-heard"


def keep_heard(
    shop: Shop, listener: Listener, tag: str, word: str, *, proof_id: str | None = None, by: str = "repairer"
) -> int:
    """Put an accepted answer into the record: its recording, the whole answer, each reading, all or nothing; how many
    readings.

    With `proof_id` the readings count as results of that test. What the frames told of the recorder is kept with it.
    Keeping twice keeps once. RuleBroken when the recording was refused: it carries no number.
    """
    held = listener.find(clock_page(shop, tag).clock.tag, word)
    if held.listened.heard.refusal is not None:
        raise RuleBroken(
            "listen",
            word,
            "a recording that was accepted",
            f"listen: there is no reading to keep. {held.listened.heard.refusal.sentence}",
        )
    with listener.lock:
        if held.kept:
            return 0
        held.kept = True
    try:
        return _kept(shop, tag, held, proof_id, by)
    except Exception:
        held.kept = False
        raise


def kept_heard(shop: Shop, page: ClockPage) -> dict[str, dict[str, Any]]:
    """The answers that were kept at this visit, by the id of their sound, in the order they were kept."""
    found = {}
    for one in page.attachments:
        if one.kind == "readings" and one.media_type == _ANSWER_MEDIA:
            with open_file(shop.attachments, one.sha256) as kept:
                told = json.load(kept)
            if isinstance(told, dict) and told.get("form") == _FORM:
                found[str(told["sound"])] = told
    return found


def shown_again(told: Mapping[str, Any]) -> TimingShown:
    """The picture's numbers of an answer that was kept."""
    picture = told["picture"]
    return TimingShown(
        picture["sentence"],
        tuple(picture["notes"]),
        tuple(ResidualShown(**one) for one in picture["residuals"]),
        tuple((late, u) for late, u in picture["petals_s"]),
        tuple(RungShown(**one) for one in picture["rungs"]),
        picture["span_s"],
    )


def _kept(shop: Shop, tag: str, held: Held, proof_id: str | None, by: str) -> int:
    answer = listen_answer(held.listened)
    with held.path.open("rb") as source:
        sound_bytes = keep_file(shop.attachments, source)
    with job(shop, tag, by=by) as at:
        sound = _named(
            at,
            held.path.name,
            "sound",
            _MEDIA.get(held.path.suffix.lower(), "application/octet-stream"),
            sound_bytes,
            f"{answer['duration_s']:.0f} s heard",
        )
        told = {
            "form": _FORM,
            "sound": sound.id,
            "device": held.told.recorder,
            "since_winding_h": held.told.since_winding_h,
            "heard_at": at.writer.at.isoformat(),
            "answer": answer,
            "picture": asdict(timing_shown(held.listened, answer)),
        }
        told_bytes = keep_file(
            shop.attachments,
            io.BytesIO(json.dumps(told, ensure_ascii=False, allow_nan=False, sort_keys=True, default=float).encode()),
        )
        _named(
            at, f"{held.path.stem}-heard.json", "readings", _ANSWER_MEDIA, told_bytes, "What was heard, with its errors"
        )
        kept = [
            at.add(replace(one, visit_id=at.visit_id, taken_at=at.writer.at, standing="confirmed"))
            for one in _readings(answer, held.told, sound.id)
        ]
        if proof_id is not None:
            _count_as_results(at, proof_id, kept)
        if held.compared is not None:
            add(at.connection, replace(held.compared, by=by, id=uuid.uuid4().hex), at.writer)
    return len(kept)


def _named(at: Job, name: str, kind: str, media_type: str, kept: tuple[str, int], caption: str) -> Attachment:
    blank = Attachment(
        sha256="0" * 64, name=name, kind=kind, media_type=media_type, size_bytes_count=0, caption=caption
    )
    return name_file(at, blank, sha256=kept[0], size_bytes=kept[1])


def _count_as_results(at: Job, proof_id: str, kept: list[Measurement]) -> None:
    proof: Proof = at.read("proof", proof_id)
    if proof.ended_at is not None and proof.verdict != "not_yet":
        raise RuleBroken(
            "proof",
            proof_id,
            "a test that is still open",
            "proof: this test has ended; keep the readings without it, or begin a new one.",
        )
    check_results(proof, kept)
    at.change(replace(proof, results=tuple(dict.fromkeys((*proof.results, *(one.id for one in kept))))))


def _readings(answer: Mapping[str, Any], told: Told, sound_id: str) -> list[Measurement]:
    """The readings of an accepted answer: a rate where the count is known, else the beats that were heard; the swing of
    each arbor's pattern.
    """
    rows: list[tuple[str, str | None, str, Any, Any]] = [
        ("rate", "movement", "s/d", answer["rate_s_per_day"], answer["rate_u_s_per_day"]),
        (
            "beat_rate",
            "movement",
            "/h",
            answer["beats_per_hour"] if answer["rate_s_per_day"] is None else None,
            answer["beats_per_hour_u"],
        ),
        ("beat_error", "movement", "ms", answer["beat_error_ms"], answer["beat_error_u_ms"]),
        ("half_arc", "balance", "deg", answer["amplitude_deg"], answer["amplitude_u_deg"]),
        *(
            ("periodic_error", one["arbor"], "ms", one["peak_ms"], one["peak_u_ms"])
            for one in answer["periodic"]
            if one["arbor"] and one["chance_probability"] is not None and one["chance_probability"] < SURE_PROBABILITY
        ),
    ]
    kept = []
    for quantity, of, unit, value, u in rows:
        if value is not None:
            # Two figures of the error, and the value to the same place: more would say more than was heard.
            places = 1 - math.floor(math.log10(u))
            kept.append(
                Measurement(
                    quantity=quantity,
                    of=of,
                    value=round(float(value), places),
                    u=round(float(u), places),
                    unit=unit,
                    position=told.position,
                    since_winding_h=told.since_winding_h,
                    instrument=_INSTRUMENT,
                    evidence=(Evidence(kind="sound", source=sound_id, start_s=0.0, end_s=float(answer["duration_s"])),),
                )
            )
    return kept
