"""Pictures of a clock: taken in from the tablet, laid to the findings of their time, marked, given a scale, set beside
what was before.

A picture that was kept is never changed: marks and scale are numbers beside it, and what is shown is made from it each
time.
"""

from __future__ import annotations

import hashlib
import io
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from underdial.bench.as_found.looking import attach_file
from underdial.bench.clock.kept_files import kept_file
from underdial.bench.shop import ClockPage, Job, Shop, clock_page, job
from underdial.capture.photo import read_photo, upright_jpeg
from underdial.errors import BadInput, NotFound, RuleBroken, UnderdialError
from underdial.papers.dossier import Dossier
from underdial.papers.marked_picture import Photograph, bar_of, marks_words, overlay_svg
from underdial.papers.sentences import clock_words, finding_sentence, number_words
from underdial.record.clock import Attachment
from underdial.record.finding import Evidence, Finding
from underdial.record.look_over import LookOver
from underdial.record.looked_over import called
from underdial.record.picture import PictureMark, PictureScale
from underdial.trade.phrases import part_words

MOST_PICTURE_BYTES = 60_000_000
SHOWN_PX, PRINTED_PX, SMALL_PX = 1600, 1100, 480
# A picture belongs to a finding when it was taken while that was said, a little before (the hand goes ahead of the
# word) or after.
_BEFORE_S, _AFTER_S = 8.0, 25.0
_BY_TIME = "laid to it by time"
_RASTER = frozenset({"image/jpeg", "image/png", "image/webp", "image/tiff"})


@dataclass(frozen=True, slots=True)
class TakenPictures:
    """Pictures that were kept, how many were laid to a finding by their time, and in sentences what was not kept and
    why.
    """

    kept: tuple[Attachment, ...]
    matched_count: int
    refused: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ShownPicture:
    """A picture for a page: its record, the drawing that lies over it, words for what is drawn, the findings it belongs
    to, and its pair. `words` are what it shows, never the name of its file.
    """

    picture: Attachment
    words: str
    overlay: str
    drawn_words: str
    scale_words: str
    findings: tuple[tuple[str, str], ...]
    before: Attachment | None
    after: tuple[Attachment, ...]
    next_number_count: int


def take_in_pictures(
    shop: Shop, clock: str, files: Iterable[tuple[str, bytes]], *, after_of: str | None = None, by: str = "repairer"
) -> TakenPictures:
    """Keep pictures as they came, and lay each to the finding that was being spoken of when it was taken.

    What is no picture, or is here already, is left out with a sentence; the rest is kept. BadInput when nothing was
    kept.
    """
    every = clock_page(shop, clock).attachments
    here, aside = {one.sha256 for one in every}, {one.sha256 for one in every if one.set_aside}
    kept: list[Attachment] = []
    refused: list[str] = []
    for name, content in files:
        sha256 = hashlib.sha256(content).hexdigest()
        if sha256 in here:
            use = " and is out of use; use it after all under the pictures" if sha256 in aside else ""
            refused.append(f"{name} was here already{use}.")
            continue
        try:
            kept.append(_keep(shop, clock, name, content, after_of, by))
        except BadInput as wrong:
            refused.append(wrong.message.removeprefix("file: "))
            continue
        here.add(sha256)
    if not kept:
        raise BadInput("file", "pictures", "JPEG, PNG, WebP or TIFF", " ".join(("file: nothing was kept.", *refused)))
    return TakenPictures(tuple(kept), match_pictures(shop, clock, kept, by=by), tuple(refused))


def match_pictures(shop: Shop, clock: str, pictures: Sequence[Attachment], *, by: str = "repairer") -> int:
    """Lay pictures to the findings that were spoken of when they were taken; how many were laid. Those laid already
    stay.
    """
    page, count = clock_page(shop, clock), 0
    laid = {proof.source for one in page.findings for proof in one.evidence if proof.kind == "picture"}
    for picture in pictures:
        if picture.taken_at is None or picture.id in laid:
            continue
        found = _spoken_of_at(page, picture.taken_at)
        if found is not None:
            _lay(shop, clock, picture.id, found.id, _BY_TIME, by)
            count += 1
    return count


def say_when_begun(
    shop: Shop, clock: str, begins_at: datetime, *, look_over_id: str | None = None, by: str = "repairer"
) -> int:
    """Say when the recording of a look-over (the newest, unless one is named) began; how many pictures could be laid to
    findings by that.
    """
    with job(shop, clock, by=by) as at:
        at.change(replace(_look_over(at, look_over_id), begins_at=begins_at))
    return match_pictures(shop, clock, pictures_of(clock_page(shop, clock)), by=by)


def lay_to_finding(shop: Shop, clock: str, picture_id: str, finding_id: str, *, by: str = "repairer") -> Finding:
    """Say that a picture shows what a finding tells of; laid there twice is laid once."""
    _picture(clock_page(shop, clock), picture_id)
    return _lay(shop, clock, picture_id, finding_id, None, by)


def take_from_finding(shop: Shop, clock: str, picture_id: str, finding_id: str, *, by: str = "repairer") -> Finding:
    """Say that a picture does not show what a finding tells of."""
    with job(shop, clock, by=by) as at:
        one = at.read("finding", finding_id)
        kept: Finding = at.change(
            replace(
                one,
                evidence=tuple(
                    proof for proof in one.evidence if not (proof.kind == "picture" and proof.source == picture_id)
                ),
            )
        )
    return kept


def draw_mark(shop: Shop, clock: str, picture_id: str, mark: PictureMark, *, by: str = "repairer") -> Attachment:
    """Draw a mark on a picture."""
    picture = _picture(clock_page(shop, clock), picture_id)
    return _change(shop, clock, picture_id, by, marks=(*picture.marks, mark))


def take_mark_away(shop: Shop, clock: str, picture_id: str, *, by: str = "repairer") -> Attachment:
    """Take the newest mark of a picture away."""
    picture = _picture(clock_page(shop, clock), picture_id)
    if not picture.marks:
        raise RuleBroken(
            "marks", "no mark", "a mark on the picture", "marks: there is no mark on this picture to take away."
        )
    return _change(shop, clock, picture_id, by, marks=picture.marks[:-1])


def set_scale(
    shop: Shop, clock: str, picture_id: str, scale: PictureScale | None, *, by: str = "repairer"
) -> Attachment:
    """Give a picture a scale, or take it away."""
    _picture(clock_page(shop, clock), picture_id)
    return _change(shop, clock, picture_id, by, scale=scale)


def set_beside(shop: Shop, clock: str, picture_id: str, before_id: str | None, *, by: str = "repairer") -> Attachment:
    """Say that a picture shows after the work what another shows before it; None parts them."""
    page = clock_page(shop, clock)
    _picture(page, picture_id)
    if before_id is not None and (before_id == picture_id or _picture(page, before_id).after_of is not None):
        raise RuleBroken(
            "before",
            before_id,
            "another picture, from before the work",
            "before: pick another picture, one from before the work.",
        )
    return _change(shop, clock, picture_id, by, after_of=before_id)


def call_it(shop: Shop, clock: str, picture_id: str, words: str, *, by: str = "repairer") -> Attachment:
    """Say in words what a picture shows; nothing takes the words away."""
    _picture(clock_page(shop, clock), picture_id)
    return _change(shop, clock, picture_id, by, caption=words.strip().rstrip(".") or None)


def set_aside(shop: Shop, clock: str, picture_id: str, *, by: str = "repairer") -> Attachment:
    """Take a picture out of use, such as one that was handed in to the wrong clock; the record keeps it."""
    page = clock_page(shop, clock)
    _picture(page, picture_id)
    return _change(shop, clock, picture_id, by, set_aside=True)


def use_after_all(shop: Shop, clock: str, picture_id: str, *, by: str = "repairer") -> Attachment:
    """Take a picture that was set aside into use again, with all that was drawn on it and laid to it."""
    return _change(shop, clock, picture_id, by, set_aside=False)


def say_how(
    shop: Shop,
    clock: str,
    *,
    light: str,
    method: str,
    occasion: str = "",
    opened: str = "",
    look_over_id: str | None = None,
    version_count: int | None = None,
    by: str = "repairer",
) -> LookOver:
    """Say what a look-over (the newest, unless one is named) is called, what was open, by what light and how it was."""
    told = {"light": light, "method": method, "occasion": occasion, "opened": opened}
    changes: dict[str, Any] = {name: words.strip() or None for name, words in told.items()}
    with job(shop, clock, by=by) as at:
        kept: LookOver = at.change(replace(_look_over(at, look_over_id), **changes), version_count=version_count)
    return kept


def pictures_of(page: ClockPage) -> tuple[Attachment, ...]:
    """The photographs and stills of a clock at this visit that are in use, as they were taken; drawings left aside."""
    return tuple(one for one in _every_picture(page) if not one.set_aside)


def films_without_words(page: ClockPage) -> tuple[Attachment, ...]:
    """Films that were kept without a look-over, because nobody speaks in them."""
    spoken = {one.attachment_id for one in page.look_overs}
    return tuple(one for one in page.attachments if one.kind == "film" and one.id not in spoken)


def _every_picture(page: ClockPage) -> tuple[Attachment, ...]:
    found = [one for one in page.attachments if one.kind == "picture" and one.media_type in _RASTER]
    return tuple(
        sorted(found, key=lambda one: (one.taken_at is None, one.taken_at.timestamp() if one.taken_at else 0.0))
    )


def album(shop: Shop, page: ClockPage) -> dict[str, list[Any]]:
    """The pictures of a clock for a page: pairs of before and after, and the rest."""
    every = {one.id: shown(page, _with_size(shop, page, one)) for one in pictures_of(page)}
    pairs = [(every[one.picture.after_of], one) for one in every.values() if one.picture.after_of in every]
    paired = {one.picture.id for pair in pairs for one in pair}
    return {
        "pairs": pairs,
        "photos": [one for one in every.values() if one.picture.id not in paired],
        "aside": [one for one in _every_picture(page) if one.set_aside],
    }


def shown_picture(shop: Shop, page: ClockPage, picture_id: str) -> ShownPicture:
    """One picture with everything about it. Raises NotFound."""
    return shown(page, _with_size(shop, page, _picture(page, picture_id)))


def shown(page: ClockPage, picture: Attachment) -> ShownPicture:
    """A picture whose size is known, as a page shows it."""
    findings = tuple(
        (one.id, finding_sentence(one))
        for one in page.findings
        if one.standing != "rejected" and any(proof.source == picture.id for proof in one.evidence)
    )
    every = {one.id: one for one in pictures_of(page)}
    sized = picture.width_px is not None and picture.height_px is not None
    overlay = (
        overlay_svg(
            width_px=picture.width_px or 1, height_px=picture.height_px or 1, marks=picture.marks, scale=picture.scale
        )
        if sized
        else ""
    )
    number = 1 + max((one.number_count or 0 for one in picture.marks), default=0)
    return ShownPicture(
        picture,
        shown_words(page, picture),
        overlay,
        marks_words(picture.marks, picture.scale),
        _scale_words(picture),
        findings,
        every.get(picture.after_of or ""),
        tuple(one for one in every.values() if one.after_of == picture.id),
        number,
    )


def shown_words(page: ClockPage, picture: Attachment) -> str:
    """What a picture shows, as far as is known: in the repairer's words, else the parts of its findings, else where in
    a look-over it was taken. The name of its file says nothing to a reader.
    """
    laid = [
        one
        for one in page.findings
        if one.standing != "rejected" and any(proof.source == picture.id for proof in one.evidence)
    ]
    parts = tuple(dict.fromkeys(part_words(one.component, one.of, one.place) for one in laid))
    if picture.component is not None:
        parts = parts or (part_words(picture.component, None),)
    said = picture.caption or " and ".join(parts[:2]) or _moment_words(page, picture)
    return said[:1].upper() + said[1:]


def findings_to_pick(page: ClockPage) -> list[tuple[str, str]]:
    """Findings that a picture may be laid to, as they were said, each with its sentence."""
    ordered = sorted(
        (one for one in page.findings if one.standing != "rejected"),
        key=lambda one: (one.start_s is None, one.start_s or 0.0),
    )
    return [(one.id, f"{clock_words(one.start_s)} {finding_sentence(one)}".strip()) for one in ordered]


def upright(shop: Shop, clock: str, picture_id: str, *, most_px: int = SHOWN_PX) -> bytes:
    """A kept picture upright, as JPEG. Raises NotFound, and BadInput for a file that is no picture."""
    found, content = kept_file(shop, clock, picture_id)
    return upright_jpeg(content, name=found.name, most_px=most_px)


def with_photographs(dossier: Dossier, shop: Shop, page: ClockPage) -> Dossier:
    """What a paper takes, with the pictures of the clock; one that cannot be read is left out."""
    made = []
    for one in pictures_of(page):
        try:
            sized = _with_size(shop, page, one)
            jpeg = upright(shop, page.clock.tag, one.id, most_px=PRINTED_PX)
        except UnderdialError:
            continue
        if sized.width_px is None or sized.height_px is None:
            continue
        made.append(
            Photograph(
                id=one.id,
                jpeg=jpeg,
                width_px=sized.width_px,
                height_px=sized.height_px,
                caption=shown_words(page, one),
                marks=one.marks,
                scale=one.scale,
                taken_at=one.taken_at,
                after_of=one.after_of,
            )
        )
    return replace(dossier, photographs=tuple(made))


def _keep(shop: Shop, clock: str, name: str, content: bytes, after_of: str | None, by: str) -> Attachment:
    if len(content) > MOST_PICTURE_BYTES:
        raise BadInput("file", name, "up to 60 MB", f"file: {name} is larger than 60 MB.")
    photo = read_photo(content, name=name, zone=ZoneInfo(shop.settings.zone))
    # A picture that breaks off is found now, not when somebody wants to see it.
    upright_jpeg(content, name=name, most_px=SMALL_PX)
    kept = attach_file(
        shop,
        clock,
        io.BytesIO(content),
        name=name,
        kind="picture",
        media_type=photo.media_type,
        taken_at=photo.taken_at,
        size_px=(photo.width_px, photo.height_px),
        by=by,
    )
    return kept if after_of is None else set_beside(shop, clock, kept.id, after_of, by=by)


def _spoken_of_at(page: ClockPage, taken_at: datetime) -> Finding | None:
    """The finding that was spoken of at a time of day; the nearest when there are several."""
    best: tuple[float, Finding] | None = None
    begun: dict[str, LookOver] = {one.id: one for one in page.look_overs if one.begins_at is not None}
    for one in page.findings:
        source = next((proof.source for proof in one.evidence if proof.kind == "look_over"), None)
        look_over = begun.get(source or "")
        if look_over is None or look_over.begins_at is None or one.start_s is None or one.standing == "rejected":
            continue
        at_s = (taken_at - look_over.begins_at).total_seconds()
        end_s = one.end_s if one.end_s is not None else one.start_s
        away_s = max(one.start_s - at_s, at_s - end_s, 0.0)
        if one.start_s - _BEFORE_S <= at_s <= end_s + _AFTER_S and (best is None or away_s < best[0]):
            best = (away_s, one)
    return best[1] if best else None


def _moment_words(page: ClockPage, picture: Attachment) -> str:
    """Where in a look-over a picture was taken, as far as its recording says."""
    for one in page.look_overs:
        if one.begins_at is None or one.lasts_s is None or picture.taken_at is None:
            continue
        at_s = (picture.taken_at - one.begins_at).total_seconds()
        if 0.0 <= at_s <= one.lasts_s:
            name = called(one, page.look_overs)
            told = f"“{name}”" if one.occasion else name.lower()
            return f"taken at {clock_words(at_s)} of {'the ' * (not told.startswith(('the ', '“')))}{told}"
    return "not said what it shows"


def _look_over(at: Job, look_over_id: str | None) -> LookOver:
    """The look-over that is named, else the newest."""
    looks: tuple[LookOver, ...] = at.all("look_over")
    if not looks:
        raise RuleBroken("look_over", "none", "a look-over", "look-over: there is none yet; hand one in first.")
    if look_over_id is None:
        return looks[-1]
    found = next((one for one in looks if one.id == look_over_id), None)
    if found is None:
        raise NotFound(
            "look_over",
            look_over_id,
            ", ".join(one.id for one in looks),
            "look-over: this clock has no such look-over at this visit.",
        )
    return found


def _lay(shop: Shop, clock: str, picture_id: str, finding_id: str, note: str | None, by: str) -> Finding:
    with job(shop, clock, by=by) as at:
        one: Finding = at.read("finding", finding_id)
        if any(proof.kind == "picture" and proof.source == picture_id for proof in one.evidence):
            return one
        kept: Finding = at.change(
            replace(one, evidence=(*one.evidence, Evidence(kind="picture", source=picture_id, note=note)))
        )
    return kept


def _change(shop: Shop, clock: str, picture_id: str, by: str, **changes: object) -> Attachment:
    with job(shop, clock, by=by) as at:
        kept: Attachment = at.change(replace(at.read("attachment", picture_id), **changes))
    return kept


def _picture(page: ClockPage, picture_id: str) -> Attachment:
    found = next((one for one in _every_picture(page) if one.id == picture_id), None)
    if found is None:
        raise NotFound(
            "picture", picture_id, "a picture of this visit", "picture: this clock has no such picture at this visit."
        )
    return found


def _with_size(shop: Shop, page: ClockPage, picture: Attachment) -> Attachment:
    """The record with its size, read from the file where it was kept before sizes were; as it is when it cannot be
    read.
    """
    if picture.width_px is not None and picture.height_px is not None:
        return picture
    try:
        _, content = kept_file(shop, page.clock.tag, picture.id)
        photo = read_photo(content, name=picture.name, zone=ZoneInfo(shop.settings.zone))
    except UnderdialError:
        return picture
    return replace(picture, width_px=photo.width_px, height_px=photo.height_px)


def _scale_words(picture: Attachment) -> str:
    if picture.scale is None or picture.width_px is None or picture.height_px is None:
        return ""
    length_m, _ = bar_of(picture.scale, width_px=picture.width_px, height_px=picture.height_px)
    return (
        f"The bar is {number_words(1000 * length_m)} mm, in the plane of {picture.scale.what} "
        f"({number_words(1000 * picture.scale.length_m)} mm)."
    )
