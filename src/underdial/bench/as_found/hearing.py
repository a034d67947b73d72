"""A look-over's captions taken into the record of a clock: read, kept without its private stretches, findings waiting
to be read through.
"""

from __future__ import annotations

import codecs
import io
from collections.abc import Callable
from dataclasses import replace
from datetime import datetime
from pathlib import Path

from underdial.bench.as_found.looking import TakenIn, name_file, take_in
from underdial.bench.as_found.told_recorder import hours_of, trays_of
from underdial.bench.shop import Job, Shop, job
from underdial.errors import BadInput
from underdial.record.clock import Attachment
from underdial.record.complaint import Complaint
from underdial.record.finding import UNSEEN, Finding
from underdial.record.look_over import LookOver, Stretch
from underdial.record.measurement import Measurement
from underdial.store.files import keep_file
from underdial.telling.heard import Account, Facts
from underdial.telling.look_over import read
from underdial.telling.speech.captions import parse

# A private stretch that is never ended lasts to the end of the recording, and captions do not say when that is.
_END_OF_TIME_S = 1e9
CAPTIONS = (".vtt", ".srt", ".txt")
_UTF_16 = (codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)
# What the record calls words that came without a file.
_TYPED = "what was typed.txt"
_EXTENTS = {"slight": "slight", "moderate": "moderate", "bad": "bad", "severe": "bad"}


def hear_captions(
    shop: Shop,
    clock: str,
    content: bytes,
    *,
    file_name: str,
    begins_at: datetime | None = None,
    by: str = "repairer",
    keeping: Callable[[TakenIn], None] = lambda taken: None,
    gone_too: bool = False,
) -> TakenIn:
    """Read captions and keep what was said, all of it or nothing.

    `begins_at` is when the recording they belong to began, where it says so. `keeping` is told what is about to be
    kept, the last thing before it is; when it raises, nothing is. With `gone_too` it is kept when the clock has gone
    home meanwhile: for what was laid down before it went.

    Raises BadInput when the bytes are no captions, or nothing was said of any part nor of what the owner tells.
    """
    text = text_of(content, file_name)
    if not text.strip():
        raise BadInput("file", file_name, "captions with words in them", f"file: {file_name} is empty.")
    account = read(parse(text, name=file_name))
    if not (account.findings or account.measurements or account.in_doubt) and account.facts == Facts():
        raise BadInput(
            "file",
            file_name,
            "captions in which parts of a clock are spoken of",
            " ".join((f"file: nothing in {file_name} speaks of a part of a clock.", *account.warnings)),
        )
    private = tuple(
        Stretch(start_s=start or 0.0, end_s=end if end is not None else _END_OF_TIME_S)
        for start, end in account.private
    )
    # What was said in private must not lie in a file that is kept; the findings outside it are.
    bytes_kept = None if private else keep_file(shop.attachments, io.BytesIO(content))
    hours, not_counted = hours_of(account)
    with job(shop, clock, by=by, gone_too=gone_too) as at:
        kept = None
        if bytes_kept is not None:
            name = file_name if Path(file_name).suffix.lower() in CAPTIONS else f"{file_name}.vtt"
            nothing_yet = Attachment(
                sha256="0" * 64, name=name, kind="captions", media_type="text/vtt", size_bytes_count=0
            )
            kept = name_file(at, nothing_yet, sha256=bytes_kept[0], size_bytes=bytes_kept[1])
        look_over = LookOver(
            taken_at=at.writer.at,
            begins_at=begins_at,
            by=by,
            file_name=file_name,
            attachment_id=kept.id if kept else None,
            private=private,
            owner_requests=tuple(account.facts.owner_requests),
            last_done=tuple(account.facts.last_done),
            trays=trays_of(account),
            hours=hours,
            in_doubt=tuple(_finding(one) for one in account.in_doubt),
        )
        taken = take_in(
            at,
            look_over,
            [_finding(one) for one in account.findings],
            [_measurement(one) for one in account.measurements],
        )
        _keep_story(at, account)
        only_story = (
            ()
            if taken.findings or taken.measurements or taken.look_over.in_doubt
            else ("Nothing was said of a part; what was told stands on What the owner says.",)
        )
        taken = replace(taken, warnings=(*taken.warnings, *account.warnings, *not_counted, *only_story))
        keeping(taken)
    return taken


def text_of(content: bytes, file_name: str) -> str:
    """The text of captions: UTF-8, or UTF-16 that says so by its first two bytes. Raises BadInput for no text."""
    try:
        return content.decode("utf-16" if content.startswith(_UTF_16) else "utf-8-sig")
    except UnicodeDecodeError:
        raise BadInput(
            "file",
            file_name,
            "captions as text in UTF-8, or sound or film",
            f"file: {file_name} is no text (captions are WebVTT, SRT or plain text in UTF-8), and its ending is none "
            "of sound or film.",
        ) from None


def hear_words(shop: Shop, clock: str, words: str, *, by: str = "repairer") -> TakenIn:
    """Read what was typed or pasted as a look-over, just as a file of plain text is read, and keep what was said.

    Raises BadInput when nothing is written, or it speaks of no part of a clock.
    """
    if not words.strip():
        raise BadInput(
            "words", "nothing", "what you saw, in words", "words: nothing is written there; paste or type what you saw."
        )
    try:
        return hear_captions(shop, clock, words.encode(), file_name=_TYPED, by=by)
    except BadInput as wrong:
        if wrong.field != "file":
            raise
        said = wrong.message.replace("file:", "words:", 1).replace(_TYPED, Path(_TYPED).stem)
        raise BadInput("words", wrong.value, str(wrong.allowed), said) from wrong


def _keep_story(at: Job, account: Account) -> None:
    """What the look-over tells of the complaint, of wishes and of what was done before fills what nobody has written
    yet.
    """
    visit = at.visit
    told, facts = visit.complaint, account.facts
    filled: Complaint = replace(
        told,
        words=told.words or "; ".join(facts.words) or None,
        runs_for_s=told.runs_for_s if told.runs_for_s is not None else facts.runs_for_s,
        rate_s_per_day=told.rate_s_per_day if told.rate_s_per_day is not None else facts.rate_s_per_day,
    )
    wishes = tuple(dict.fromkeys((*visit.aim.wishes, *facts.owner_requests)))
    story = replace(
        visit,
        complaint=filled,
        aim=replace(visit.aim, wishes=wishes),
        last_done=tuple(dict.fromkeys((*visit.last_done, *facts.last_done))),
    )
    if story != visit:
        at.change(story)


def _finding(heard: object) -> Finding:
    names = (
        "component",
        "condition",
        "state",
        "of",
        "place",
        "significance",
        "decision",
        "who",
        "against",
        "value",
        "unit",
        "start_s",
        "end_s",
        "words",
        "rule",
        "guess",
    )
    told = {name: getattr(heard, name) for name in names}
    extent = getattr(heard, "extent", None)
    why = None
    if told["state"] == "not_examined":
        why = next((why for why, condition in UNSEEN.items() if condition == told["condition"]), "not_looked_at")
    return Finding(
        **told,
        why=why,
        extent=_EXTENTS.get(str(extent)),
        certainty=float(getattr(heard, "certainty_probability", 0.9)),
        also_s=tuple(getattr(heard, "also_s", ())),
        flags=tuple(getattr(heard, "flags", ())),
    )


def _measurement(heard: object) -> Measurement:
    names = ("quantity", "of", "value", "unit", "start_s", "words", "position")
    return Measurement(**{name: getattr(heard, name) for name in names})
