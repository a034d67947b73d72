"""The numbers of a sentence written down: new measurements, the last one put right, what a value tells of a finding.

Never here: which numbers are measurements (`measuring`).
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from underdial import spoken_numbers as numbers
from underdial.telling.heard import Account, Measurement
from underdial.telling.measurements import measuring, spoken_units
from underdial.telling.parts_meant.focus import Target
from underdial.telling.parts_meant.notebook import Notebook, note
from underdial.telling.speech.words import Word, text_of

_PUTS_RIGHT = re.compile(
    r"^(?:(?:no|oh|sorry|wait|hang on|er) )*(?:scratch that|strike that|correction|i tell a lie|make that"
    r"|call that|i mean|sorry|no|rather)\b"
)
# A longer sentence says more than one number anew.
_LONGEST_PUT_RIGHT_COUNT = 8
_IN_BEAT = re.compile(r"(?<!not )\bin beat\b|\bbeat (?:is|was) (?:even|fine|good|right|okay)\b|\bacceptable\b")


def take_down(
    account: Account, book: Notebook, sentence: tuple[Word, ...], index: int, bench: spoken_units.Bench
) -> None:
    """The numbers of a sentence, each of the part named with it, and the value of the finding it belongs to."""
    near = book.focus.subjects[0] if book.focus.subjects else None
    if _puts_last_right(account, sentence, index) and _put_right(account, book, sentence, index, near, bench):
        return
    for measured in measuring.read(sentence, index, near, book.named, bench):
        if not _said_before(account, measured):
            account.measurements.append(measured)
            _tell_findings(book, measured, sentence, index)


def _puts_last_right(account: Account, sentence: Sequence[Word], index: int) -> bool:
    """ "No, make that six", right behind a measurement."""
    return (
        bool(account.measurements)
        and index - account.measurements[-1].sentence <= 1
        and len(sentence) <= _LONGEST_PUT_RIGHT_COUNT
        and _PUTS_RIGHT.match(text_of(sentence)) is not None
    )


def _put_right(
    account: Account,
    book: Notebook,
    sentence: Sequence[Word],
    index: int,
    near: Target | None,
    bench: spoken_units.Bench,
) -> bool:
    """Put the number of this sentence in place of the last measurement; False where it has none of that kind."""
    last = account.measurements[-1]
    reads = measuring.read(sentence, index, near, book.named, bench)
    spoken = next((one for one in reads if spoken_units.of_one_kind(one.unit, last.unit)), None)
    # With a unit of another kind it is another measurement, and corrects nothing.
    value = spoken.value if spoken is not None else None if reads else _first_number(sentence)
    if value is None:
        return False
    book.findings = [f for f in book.findings if not (f.rule == "told by the number" and f.value == last.value)]
    bench.passed_over.append(last.start_s)
    last.unit = spoken.unit if spoken is not None else last.unit
    last.value, last.start_s, last.sentence = value, sentence[0].start_s, index
    last.words = " ".join(word.raw for word in sentence)
    return True


def _first_number(sentence: Sequence[Word]) -> float | None:
    words = [word.text for word in sentence]
    return next((one.value for at in range(len(words)) if (one := numbers.read(words, at)) is not None), None)


def _said_before(account: Account, measured: Measurement) -> bool:
    """Whether the same was measured a moment ago."""
    return any(
        (one.value, one.unit, one.of) == (measured.value, measured.unit, measured.of)
        for one in account.measurements[-4:]
    )


def _tell_findings(book: Notebook, measured: Measurement, sentence: Sequence[Word], index: int) -> None:
    """What a measurement tells of the clock: the arc was read, the beat is out, how much a fault is."""
    if measured.quantity in ("half_arc", "total_arc"):
        book.arc_at = index
    # A number alone does not put a clock out of beat that is called in beat.
    if (
        measured.quantity == "beat_error"
        and measured.value > 0
        and "status" in book.layers
        and _IN_BEAT.search(text_of(sentence)) is None
    ):
        note(book, "movement", "out_of_beat", sentence, index, measured.value, measured.unit)
    part = (measured.of or "").split(":")[0]
    for finding in reversed(book.findings[-6:]):
        if (
            finding.value is None
            and finding.component == part
            and index - finding.sentence <= 2
            and finding.state == "present"
        ):
            finding.value, finding.unit = measured.value, measured.unit
            break
