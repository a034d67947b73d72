"""A look-over as sound or film: words from captions beside it or from the recogniser, stills of what was found, the
recording kept.

Captions of the same name beside a recording are taken before the recogniser here: any other recogniser may have made
them. A recording with something private in it is not kept; stills are taken outside the private stretches only.

What was cut off once its look-over was kept goes on from there: each still, and the recording, is kept together with
what names it, so that what is named is done, and what is not is still to do.
"""

from __future__ import annotations

import io
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from underdial.bench.as_found.dictating import hear_recording
from underdial.bench.as_found.hearing import CAPTIONS, hear_captions, text_of
from underdial.bench.as_found.looking import TakenIn, name_file
from underdial.bench.shop import ClockPage, Shop, job
from underdial.capture.film import Recording, read_recording
from underdial.capture.stills import Still, sharpest_near
from underdial.errors import BadInput, MachineRefused, RuleBroken
from underdial.record.clock import Attachment
from underdial.record.finding import Evidence, Finding
from underdial.record.look_over import LookOver
from underdial.store.clocks import find_clock
from underdial.store.database import reading
from underdial.store.files import keep_file
from underdial.store.records import read_all
from underdial.telling.speech import captions
from underdial.telling.speech.captions import Transcript

Progress = Callable[[str, float], None]

# A picture that was held still longer shows no more; stills of findings said in one breath are the same still.
_SAME_STILL_S = 1.0
UNFINISHED = "A film that its camera did not finish"
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
            told = captions.parse(text_of(beside.read_bytes(), beside.name), name=beside.name)
            return replace(
                told, warnings=(*told.warnings, f"The words are from {beside.name}, which lies beside the recording.")
            )
    return hear_recording(path, progress=None if progress is None else lambda part: progress("heard", part), stop=stop)


def make_folder(folder: Path) -> None:
    """A folder for stills, made before anything is heard: hearing takes minutes. Raises MachineRefused."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as wrong:
        raise _not_written(folder, wrong) from wrong


def write_stills(
    path: Path,
    findings: Iterable[dict[str, Any]],
    folder: Path,
    *,
    private: Iterable[tuple[float, float]] = (),
    progress: Progress | None = None,
) -> list[str]:
    """A still for each finding of an answer into a folder, its file named in the finding; what was amiss. None out of
    what is private.

    Raises MachineRefused when the folder cannot be written.
    """
    warnings: list[str] = []
    if not read_recording(path).has_film:
        return [f"{path.name} is sound without film, so there are no stills in it."]
    spans = {
        (float(one["start_s"]), float(one["end_s"] or one["start_s"])) for one in findings if one["start_s"] is not None
    }
    hidden = tuple(private)
    make_folder(folder)
    try:
        for still in _sharpest(path, _apart(spans), warnings, progress):
            if _is_private(still, hidden):
                continue
            minutes, seconds = divmod(int(still.moment_s), 60)
            file = folder / f"{minutes:03d}-{seconds:02d}-{round(100 * (still.moment_s % 1)):02d}.jpg"
            file.write_bytes(still.jpeg)
            for one in findings:
                if one["start_s"] is not None and abs(float(one["start_s"]) - still.moment_s) < 1e-6:
                    one["still"] = {"file": file.name, "at_s": round(still.at_s, 3)}
    except OSError as wrong:
        raise _not_written(folder, wrong) from wrong
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
    keeping: Callable[[TakenIn], None] = lambda taken: None,
) -> Filmed:
    """Take a recorded look-over into the record of a clock: findings that wait to be read through, stills, and the
    recording.

    A film in which nobody speaks is kept without findings. Stopped while it is heard, nothing is kept; stopped later,
    what was heard is. `hear` hears the words in place of `hear_words`. `keeping` is told what was heard, with all that
    was amiss, the last thing before it is kept. Raises BadInput when nothing in it speaks of a part, MachineRefused
    when there is no recogniser and no captions were given. The clock may have gone home since it was laid down.
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
        keeping=lambda taken: keeping(replace(taken, warnings=_together(warnings, taken.warnings))),
        gone_too=True,
    )
    taken = replace(taken, warnings=_together(warnings, taken.warnings))
    return go_on_with_recording(shop, clock, path, taken, name=name, by=by, progress=progress, stop=stop)


def go_on_with_recording(
    shop: Shop,
    clock: str,
    path: Path,
    taken: TakenIn,
    *,
    name: str,
    by: str = "repairer",
    progress: Progress | None = None,
    stop: Callable[[], bool] = lambda: False,
) -> Filmed:
    """Stills for the findings of a look-over that have none yet, and the recording itself if it is not kept yet.

    Raises BadInput when the file can no longer be read.
    """
    held = read_recording(path)
    warnings = list(taken.warnings)
    stills = _keep_stills(shop, clock, path, taken, warnings, by, progress, stop) if held.has_film else 0
    if taken.look_over.private:
        warnings.append(
            "The recording itself is not kept: something private was said in it. Its findings and stills are."
        )
        return Filmed(taken, stills, tuple(warnings))
    kept = _keep_recording(shop, clock, path, name, held, taken.look_over, by)
    return Filmed(replace(taken, look_over=kept), stills, tuple(warnings))


def read_look_over(shop: Shop, clock: str, look_over_id: str) -> TakenIn | None:
    """What a look-over brought into the record, as it stands there now; None when there is none of that id."""
    with reading(shop.engine) as connection:
        clock_id = find_clock(connection, clock)
        kept = {
            kind: [one.record for one in read_all(connection, kind, clock_id=clock_id)]
            for kind in ("look_over", "finding", "measurement")
        }
    look_over = next((one for one in kept["look_over"] if one.id == look_over_id), None)
    if look_over is None:
        return None
    findings, measurements = (
        tuple(
            one
            for one in kept[kind]
            if any(proof.kind == "look_over" and proof.source == look_over_id for proof in one.evidence)
        )
        for kind in ("finding", "measurement")
    )
    return TakenIn(look_over=look_over, findings=findings, measurements=measurements)


def keep_unfinished(shop: Shop, clock: str, path: Path, name: str, *, by: str | None = None) -> None:
    """Keep a film that its camera never finished, as it came, with the clock: somebody may mend it. Kept twice is kept
    once.
    """
    with path.open("rb") as source:
        sha256, size_bytes = keep_file(shop.attachments, source)
    film = Attachment(
        sha256="0" * 64,
        name=name,
        kind="other",
        media_type=MEDIA_TYPES.get(path.suffix.lower(), "application/octet-stream"),
        size_bytes_count=0,
        caption=UNFINISHED,
    )
    with job(shop, clock, by=by or shop.settings.repairer) as at:
        if not any(one.sha256 == sha256 for one in at.all("attachment")):
            name_file(at, film, sha256=sha256, size_bytes=size_bytes)


def unfinished_films(page: ClockPage) -> tuple[Attachment, ...]:
    """Films that were kept though their camera never finished them."""
    return tuple(one for one in page.attachments if one.kind == "other" and one.caption == UNFINISHED)


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
    with path.open("rb") as source:
        sha256, size_bytes = keep_file(shop.attachments, source)
    film = _attachment_of(path, name, held)
    with job(shop, clock, by=by, gone_too=True) as at:
        # The same bytes under the same name are kept already when the film was cut off at this very end.
        if not any(one.sha256 == sha256 and one.name == name and one.kind == "film" for one in at.all("attachment")):
            name_file(at, film, sha256=sha256, size_bytes=size_bytes)
    return Filmed(None, 0, (*(warnings or [said]), "The film is kept with the clock; there are no findings in it."))


def _attachment_of(path: Path, name: str, held: Recording) -> Attachment:
    """The recording as the record will name it, its bytes not counted yet."""
    return Attachment(
        sha256="0" * 64,
        name=name,
        kind="film" if held.has_film else "sound",
        media_type=MEDIA_TYPES.get(path.suffix.lower(), "application/octet-stream"),
        size_bytes_count=0,
        caption="The look-over",
        taken_at=held.made_at,
    )


def _keep_recording(
    shop: Shop, clock: str, path: Path, name: str, held: Recording, look_over: LookOver, by: str
) -> LookOver:
    """The look-over with its recording, both kept in one go; kept before, it is left."""
    with path.open("rb") as source:
        sha256, size_bytes = keep_file(shop.attachments, source)
    recording = _attachment_of(path, name, held)
    with job(shop, clock, by=by, visit_id=look_over.visit_id) as at:
        now: LookOver = at.read("look_over", look_over.id)
        if now.attachment_id is not None and at.read("attachment", now.attachment_id).kind in ("film", "sound"):
            return now
        kept = name_file(at, recording, sha256=sha256, size_bytes=size_bytes)
        changed: LookOver = at.change(replace(now, attachment_id=kept.id, lasts_s=held.lasts_s))
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
    """Stills into the record, each as evidence of the findings said there; how many there are then."""
    private = [(one.start_s, one.end_s) for one in taken.look_over.private]
    spans = {(one.start_s, one.end_s or one.start_s) for one in taken.findings if one.start_s is not None}
    there = {proof.source for one in taken.findings for proof in one.evidence if _is_still(proof)}
    have = {one.start_s for one in taken.findings if any(_is_still(proof) for proof in one.evidence)}
    left = [span for span in _apart(spans) if span[0] not in have]
    count = len(there)
    for still in _sharpest(path, left, warnings, progress) if left else ():
        if stop():
            warnings.append(f"Stopped after {count} stills; what was heard is kept.")
            break
        if _is_private(still, private):
            continue
        _keep_still(shop, clock, still, taken, by)
        count += 1
    return count


def _keep_still(shop: Shop, clock: str, still: Still, taken: TakenIn, by: str) -> None:
    """A still and what it is evidence of, both kept in one go."""
    sha256, size_bytes = keep_file(shop.attachments, io.BytesIO(still.jpeg))
    picture = Attachment(
        sha256="0" * 64,
        name=f"still-{int(still.at_s) // 60}-{int(still.at_s) % 60:02d}.jpg",
        kind="picture",
        media_type="image/jpeg",
        size_bytes_count=0,
        caption=f"Still at {int(still.at_s) // 60}:{int(still.at_s) % 60:02d} of the look-over",
        taken_at=_moment_of(taken.look_over, still.at_s),
        width_px=still.size_px[0],
        height_px=still.size_px[1],
    )
    with job(shop, clock, by=by, visit_id=taken.look_over.visit_id) as at:
        kept = name_file(at, picture, sha256=sha256, size_bytes=size_bytes)
        for one in taken.findings:
            if one.start_s is not None and abs(one.start_s - still.moment_s) <= _SAME_STILL_S:
                now: Finding = at.read("finding", one.id)
                proof = Evidence(kind="picture", source=kept.id, start_s=still.at_s)
                at.change(replace(now, evidence=(*now.evidence, proof)))


def _not_written(folder: Path, wrong: OSError) -> MachineRefused:
    return MachineRefused(
        "stills",
        str(folder),
        "a folder that can be written",
        f"stills: {folder} cannot be written ({wrong.strerror or wrong})",
    )


def _is_private(still: Still, private: Iterable[tuple[float, float]]) -> bool:
    """That a still shows something of a private stretch, or of the half second before it was said."""
    return any(low - 0.5 <= still.at_s <= high for low, high in private)


def _is_still(proof: Evidence) -> bool:
    """That a picture is out of the film: one laid to a finding by hand or by its time has no second of the film."""
    return proof.kind == "picture" and proof.start_s is not None


def _together(first: Iterable[str], more: Iterable[str]) -> tuple[str, ...]:
    """What was amiss, each thing once."""
    return tuple(dict.fromkeys((*first, *more)))


def _moment_of(look_over: LookOver, at_s: float) -> datetime:
    """When a still was taken, as far as the film says when it began."""
    return look_over.taken_at if look_over.begins_at is None else look_over.begins_at + timedelta(seconds=at_s)


def _apart(spans: Iterable[tuple[float, float]]) -> list[tuple[float, float]]:
    """The stretches that do not begin within the same still as the one before."""
    apart: list[tuple[float, float]] = []
    for span in sorted(spans):
        if not apart or span[0] - apart[-1][0] > _SAME_STILL_S:
            apart.append(span)
    return apart


def _sharpest(
    path: Path, apart: list[tuple[float, float]], warnings: list[str], progress: Progress | None
) -> Iterable[Still]:
    return sharpest_near(
        path, apart, warnings=warnings, progress=None if progress is None else lambda part: progress("stills", part)
    )


def _stamp(at_s: float) -> str:
    millis = round(at_s * 1000)
    return f"{millis // 3600000:02d}:{millis // 60000 % 60:02d}:{millis // 1000 % 60:02d}.{millis % 1000:03d}"
