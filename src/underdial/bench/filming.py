"""A look-over as sound or film: words from captions beside it or from the recogniser, stills of what was found, the
recording kept.

Captions of the same name beside a recording are taken before the recogniser here: any other recogniser may have made
them. A recording with something private in it is not kept; stills are taken outside the private stretches only.
"""

from __future__ import annotations

import io
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from underdial.bench.dictating import hear_recording
from underdial.bench.hearing import CAPTIONS, hear_captions
from underdial.bench.looking import TakenIn, attach_file
from underdial.bench.shop import Shop, job
from underdial.capture.film import Recording, read_recording
from underdial.capture.stills import Still, sharpest_near
from underdial.errors import BadInput, MachineRefused, RuleBroken
from underdial.record.clock import Attachment
from underdial.record.finding import Evidence
from underdial.record.look_over import LookOver
from underdial.telling import captions
from underdial.telling.captions import Transcript

Progress = Callable[[str, float], None]

# A picture that was held still longer shows no more; stills of findings said in one breath are the same still.
_SAME_STILL_S = 1.0
MEDIA_TYPES = {
    ".mp4": "video/mp4",
    ".m4v": "video/mp4",
    ".mov": "video/quicktime",
    ".webm": "video/webm",
    ".mkv": "video/x-matroska",
    ".avi": "video/x-msvideo",
    ".wav": "audio/wav",
    ".flac": "audio/flac",
    ".mp3": "audio/mpeg",
    ".m4a": "audio/mp4",
    ".aac": "audio/aac",
    ".ogg": "audio/ogg",
    ".opus": "audio/ogg",
}


@dataclass(frozen=True, slots=True)
class Filmed:
    """What a recording brought into the record (None for a film in which nobody speaks), how many stills, and in
    sentences what was amiss.
    """

    taken: TakenIn | None
    stills_count: int
    warnings: tuple[str, ...]


def hear_words(path: Path, *, progress: Progress | None = None, stop: Callable[[], bool] | None = None) -> Transcript:
    """The words of a recording: from captions of the same name beside it, else by the recogniser.

    Raises BadInput for a broken or empty file, MachineRefused when there are neither captions nor a recogniser.
    """
    read_recording(path)
    for ending in CAPTIONS:
        beside = path.with_suffix(ending)
        if beside.exists():
            told = captions.parse(beside.read_text(encoding="utf-8-sig"), name=beside.name)
            return replace(
                told, warnings=(*told.warnings, f"The words are from {beside.name}, which lies beside the recording.")
            )
    return hear_recording(path, progress=None if progress is None else lambda part: progress("heard", part), stop=stop)


def write_stills(
    path: Path, findings: Iterable[dict[str, Any]], folder: Path, *, progress: Progress | None = None
) -> list[str]:
    """A still for each finding of an answer into a folder, its file named in the finding; what was amiss.

    Raises MachineRefused when the folder cannot be written.
    """
    warnings: list[str] = []
    if not read_recording(path).has_film:
        return [f"{path.name} is sound without film, so there are no stills in it."]
    spans = {
        (float(one["start_s"]), float(one["end_s"] or one["start_s"])) for one in findings if one["start_s"] is not None
    }
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for still in _stills(path, spans, warnings, progress):
            minutes, seconds = divmod(int(still.moment_s), 60)
            file = folder / f"{minutes:03d}-{seconds:02d}-{round(100 * (still.moment_s % 1)):02d}.jpg"
            file.write_bytes(still.jpeg)
            for one in findings:
                if one["start_s"] is not None and abs(float(one["start_s"]) - still.moment_s) < 1e-6:
                    one["still"] = {"file": file.name, "at_s": round(still.at_s, 3)}
    except OSError as wrong:
        raise MachineRefused(
            "stills",
            str(folder),
            "a folder that can be written",
            f"stills: {folder} cannot be written ({wrong.strerror or wrong})",
        ) from wrong
    return warnings


def take_in_recording(
    shop: Shop,
    clock: str,
    path: Path,
    *,
    name: str,
    captions_text: bytes | None = None,
    by: str = "repairer",
    progress: Progress | None = None,
    stop: Callable[[], bool] = lambda: False,
    hear: Callable[..., Transcript] | None = None,
) -> Filmed:
    """Take a recorded look-over into the record of a clock: findings that wait to be read through, stills, and the
    recording.

    A film in which nobody speaks is kept without findings. Stopped while it is heard, nothing is kept; stopped later,
    what was heard is. `hear` hears the words in place of `hear_words`. Raises BadInput when nothing in it speaks of a
    part, MachineRefused when there is no recogniser and no captions were given.
    """
    held = read_recording(path)
    warnings: list[str] = []
    if captions_text is None:
        told = (
            (hear or hear_words)(path, progress=progress, stop=stop)
            if held.has_sound
            else Transcript((), (f"{name} has no sound, so nothing was said in it.",))
        )
        if stop():
            raise RuleBroken(
                "film",
                name,
                "a film heard to its end",
                f"film: {name} was stopped while it was heard; nothing of it was kept.",
            )
        warnings += told.warnings
        if not told.cues:
            return _keep_mute(shop, clock, path, name, held, warnings, by)
        captions_text = webvtt(told).encode()
    taken = hear_captions(
        shop,
        clock,
        captions_text,
        file_name=name,
        begins_at=None if held.made_at is None else held.made_at.astimezone(ZoneInfo(shop.settings.zone)),
        by=by,
    )
    warnings += [one for one in taken.warnings if one not in warnings]
    stills = _keep_stills(shop, clock, path, taken, warnings, by, progress, stop) if held.has_film else 0
    kept = _keep_recording(shop, clock, path, name, held, taken.look_over, by)
    if kept is None:
        warnings.append(
            "The recording itself is not kept: something private was said in it. Its findings and stills are."
        )
        return Filmed(taken, stills, tuple(warnings))
    return Filmed(replace(taken, look_over=kept), stills, tuple(warnings))


def webvtt(told: Transcript) -> str:
    """A transcript as WebVTT."""
    lines = ["WEBVTT", ""]
    for cue in told.cues:
        lines += [
            f"{_stamp(cue.start_s or 0.0)} --> {_stamp(max(cue.end_s or 0.0, (cue.start_s or 0.0) + 0.1))}",
            cue.text,
            "",
        ]
    return "\n".join(lines)


def _keep_mute(shop: Shop, clock: str, path: Path, name: str, held: Recording, warnings: list[str], by: str) -> Filmed:
    """A film in which nobody speaks may still show something; a sound in which nobody speaks is nothing."""
    said = " ".join(warnings) or f"Nobody is heard to speak in {name}."
    if not held.has_film:
        raise BadInput("file", name, "a recording in which somebody speaks", f"file: {said}")
    _attach_recording(shop, clock, path, name, held, by)
    return Filmed(None, 0, (*(warnings or [said]), "The film is kept with the clock; there are no findings in it."))


def _attach_recording(shop: Shop, clock: str, path: Path, name: str, held: Recording, by: str) -> Attachment:
    with path.open("rb") as source:
        return attach_file(
            shop,
            clock,
            source,
            name=name,
            kind="film" if held.has_film else "sound",
            media_type=MEDIA_TYPES.get(path.suffix.lower(), "application/octet-stream"),
            caption="The look-over",
            taken_at=held.made_at,
            by=by,
        )


def _keep_recording(
    shop: Shop, clock: str, path: Path, name: str, held: Recording, look_over: LookOver, by: str
) -> LookOver | None:
    if look_over.private:
        return None
    kept = _attach_recording(shop, clock, path, name, held, by)
    with job(shop, clock, by=by) as at:
        changed: LookOver = at.change(
            replace(at.read("look_over", look_over.id), attachment_id=kept.id, lasts_s=held.lasts_s)
        )
    return changed


def _keep_stills(
    shop: Shop,
    clock: str,
    path: Path,
    taken: TakenIn,
    warnings: list[str],
    by: str,
    progress: Progress | None,
    stop: Callable[[], bool],
) -> int:
    """Stills into the record, each as evidence of the findings said there."""
    private = [(one.start_s, one.end_s) for one in taken.look_over.private]
    spans = {(one.start_s, one.end_s or one.start_s) for one in taken.findings if one.start_s is not None}
    count = 0
    for still in _stills(path, spans, warnings, progress):
        if stop():
            warnings.append(f"Stopped after {count} stills; what was heard is kept.")
            break
        if any(low - 0.5 <= still.at_s <= high for low, high in private):
            continue
        kept = attach_file(
            shop,
            clock,
            io.BytesIO(still.jpeg),
            name=f"still-{int(still.at_s) // 60}-{int(still.at_s) % 60:02d}.jpg",
            kind="picture",
            media_type="image/jpeg",
            caption=f"Still at {int(still.at_s) // 60}:{int(still.at_s) % 60:02d} of the look-over",
            taken_at=_moment_of(taken.look_over, still.at_s),
            size_px=still.size_px,
            by=by,
        )
        count += 1
        with job(shop, clock, by=by) as at:
            for one in taken.findings:
                if one.start_s is not None and abs(one.start_s - still.moment_s) <= _SAME_STILL_S:
                    now = at.read("finding", one.id)
                    at.change(
                        replace(
                            now, evidence=(*now.evidence, Evidence(kind="picture", source=kept.id, start_s=still.at_s))
                        )
                    )
    return count


def _moment_of(look_over: LookOver, at_s: float) -> datetime:
    """When a still was taken, as far as the film says when it began."""
    return look_over.taken_at if look_over.begins_at is None else look_over.begins_at + timedelta(seconds=at_s)


def _stills(
    path: Path, spans: Iterable[tuple[float, float]], warnings: list[str], progress: Progress | None
) -> Iterable[Still]:
    """Stills of the moments that lie apart from one another."""
    apart: list[tuple[float, float]] = []
    for span in sorted(spans):
        if not apart or span[0] - apart[-1][0] > _SAME_STILL_S:
            apart.append(span)
    return sharpest_near(
        path, apart, warnings=warnings, progress=None if progress is None else lambda part: progress("stills", part)
    )


def _stamp(at_s: float) -> str:
    millis = round(at_s * 1000)
    return f"{millis // 3600000:02d}:{millis // 60000 % 60:02d}:{millis // 1000 % 60:02d}.{millis % 1000:03d}"
