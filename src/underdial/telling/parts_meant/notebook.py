"""What has been read so far: the findings, what was said last, and what is in focus.

One notebook goes through a look-over with the reader. Findings are added through `keep`, which sees that a
restatement adds a time and no second finding, that mere evidence adds nothing, and that final words win.

Never here: how a sentence is understood.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field

from underdial.telling.heard import Finding
from underdial.telling.names.states import SOUND
from underdial.telling.parts_meant.fitting import fitting
from underdial.telling.parts_meant.focus import Focus, Target
from underdial.telling.sentences.clauses import Clause
from underdial.telling.speech.words import Word, listed, raw_of, text_of

_WEAR = listed(
    "grooved scored pitted oval blunt hooked worn_thin tapered stretched stripped hardened too_much_sideshake"
)
# What is said behind these takes back what was said before them in the same breath.
_TAKING_BACK = re.compile(r"\b(?:no (?:it|they|that|wait|sorry)|actually|i tell a lie|scratch that)\b")


@dataclass
class Notebook:
    """All that later sentences may point back to.

    `layers` names the steps that are on; `summary_from` is the sentence from which a closing summary may begin;
    `named` holds the parts named in the sentence at hand with their places in it.
    """

    focus: Focus
    layers: frozenset[str]
    summary_from: int
    findings: list[Finding] = field(default_factory=list)
    last: list[Finding] = field(default_factory=list)
    pending: list[Target] = field(default_factory=list)
    named: list[tuple[int, Target]] = field(default_factory=list)
    sentence: tuple[Word, ...] = ()
    index: int = 0
    clause_count: int = 0
    question: bool = False
    asked: bool = False
    open_question: tuple[Word, ...] = ()
    only_claimed: bool = False
    summary: bool = False
    heading_only: bool = False
    status: str | None = None
    listed: bool = False
    colon: bool = False
    listing: int = -1
    place_ahead: str | None = None
    unseen_here: tuple[int, str] = (-1, "")
    previous_length_count: int = 0
    arc_at: int = -9

    def claims(self, sentence: tuple[Word, ...]) -> None:
        """What the owner or somebody else says of a part: it stands open until it is denied."""
        if len(sentence) <= 14:
            self.open_question, self.only_claimed = sentence, True


def note(
    book: Notebook,
    component: str,
    condition: str,
    sentence: Sequence[Word],
    index: int,
    value: float | None = None,
    unit: str | None = None,
) -> None:
    """Add a finding that a number tells, unless the words have told it already."""
    if any(f.component == component and f.condition == condition and index - f.sentence <= 2 for f in book.findings):
        return
    book.sentence = tuple(sentence)
    finding = Finding(
        component,
        condition,
        "present",
        value=value,
        unit=unit,
        start_s=sentence[0].start_s,
        end_s=sentence[-1].end_s,
        words=raw_of(sentence),
        rule="told by the number",
        sentence=index,
    )
    book.findings.append(finding)
    book.last = [finding]


def stamped(book: Notebook, finding: Finding, clause: Clause) -> Finding:
    """A finding with its words, its time and its place in the look-over."""
    said = book.sentence[clause.start : clause.end]
    finding.start_s, finding.end_s = said[0].start_s, said[-1].end_s
    finding.words = raw_of(said)
    taken = [f"{word.raw} taken as {word.text}" for word in said if word.guess]
    finding.guess = "; ".join(dict.fromkeys(taken)) or None
    finding.sentence, finding.clause = book.index, book.clause_count
    return finding


def keep(book: Notebook, fresh: Sequence[Finding]) -> None:
    """Add findings; what was said before is a restatement, what contradicts the same fact replaces it."""
    kept: list[Finding] = []
    for finding in fresh:
        if "merging" in book.layers and (_only_evidence(book, finding) or _mere_contrast(book, finding)):
            continue
        _keeps_extent(book, finding)
        same = _restated(book, finding) if "merging" in book.layers else None
        if same is not None:
            if finding.start_s is not None and same.sentence < book.index - 1:
                same.also_s.append(finding.start_s)
            same.end_s = finding.end_s if same.sentence == book.index else same.end_s
            kept.append(same)
            continue
        if book.summary:
            known = [
                f
                for f in book.findings
                if f.component == finding.component and f.state == "present" and f.condition not in SOUND
            ]
            if known and finding.start_s is not None:
                known[0].also_s.append(finding.start_s)
                kept.append(known[0])
                continue
        _overrule(book, finding)
        _of_one_end_only(book, finding)
        book.findings.append(finding)
        kept.append(finding)
    book.last = kept


def emit_all(
    book: Notebook, targets: Sequence[Target], condition: str, state: str, clause: Clause, certainty: float, rule: str
) -> None:
    """One finding for each part, all of one condition, state and certainty."""
    fresh = []
    for target in targets:
        placed = fitting(condition, target, book.focus)
        if placed is not None:
            component, of, place, condition = placed
            fresh.append(stamped(book, Finding(component, condition, state, of, place, certainty, rule=rule), clause))
    if fresh:
        keep(book, fresh)


def _restated(book: Notebook, new: Finding) -> Finding | None:
    for old in reversed(book.findings):
        if (old.component, old.condition, old.state) != (new.component, new.condition, new.state):
            continue
        near = book.index - old.sentence <= 2
        of_fits = old.of == new.of or (new.of is None and not near) or (near and new.of is None)
        place_fits = old.place == new.place or new.place is None
        if of_fits and place_fits:
            return old
        if (
            old.of == new.of
            and old.place is None
            and old.sentence == book.index
            and old.clause >= new.clause - 1
            and new.place is not None
        ):
            old.place = new.place
            return old
    return None


def _only_evidence(book: Notebook, new: Finding) -> bool:
    """What only shows or repeats less exactly what was just said of the same part is no second fact."""
    for old in reversed(book.findings[-6:]):
        if (
            old.component != new.component
            or old.of != new.of
            or book.index - old.sentence > 1
            or old.state != new.state
            or not (old.place == new.place or None in (old.place, new.place))
        ):
            continue
        if (new.state == "present" and (new.condition == "worn" and old.condition in _WEAR)) or (
            new.state == "present"
            and new.condition in ("too_much_sideshake", "rubbing_mark", "play")
            and old.condition in ("oval", "worn", "rubbing", "loose")
        ):
            return True
        if (new.condition == "slipping" and old.condition == "loose") or (
            new.condition == "lumpy" and old.condition == "off_centre"
        ):
            return True
        if (
            old.condition == "worn"
            and new.condition in _WEAR - {"blunt"}
            and old.place in (None, new.place)
            and old.sentence >= book.index - 1
            and old.state == "present"
        ):
            book.findings.remove(old)
            return False
        if (new.condition == "missing" and new.state == "absent" and old.condition == "good") or (
            new.condition == "good" and new.state == "present" and old.condition == "endshake_ok"
        ):
            return True
    if new.condition == "good" and new.state == "present":
        for old in list(book.findings[-2:]):
            if (
                old.sentence == book.index
                and old.component == new.component
                and old.of == new.of
                and old.condition == "missing"
                and old.state == "absent"
            ):
                book.findings.remove(old)
    return False


def _mere_contrast(book: Notebook, new: Finding) -> bool:
    """ "Old but not gummy", "rusty round the rim, but not rusted through", "cracked, but it works": a contrast in one
    breath grades; it does not take back, as "worn, no, it is not worn" does.
    """
    text = text_of(book.sentence)
    if (
        new.condition == "good"
        and new.state == "present"
        and re.fullmatch(
            r"(?:but |and |well |so |still )*(?:it|they|that) (?:is|are) (?:still |probably )?(?:okay|fine|all right"
            r"|allright|good enough)",
            text,
        )
        and book.findings
        and book.findings[-1].state == "present"
        and book.findings[-1].condition not in SOUND
        and (book.findings[-1].component, book.findings[-1].of) == (new.component, new.of)
        and book.index - book.findings[-1].sentence == 1
    ):
        return True
    for old in book.findings[-4:]:
        if old.component != new.component or old.of != new.of or old.state != "present" or old.condition in SOUND:
            continue
        if (
            old.sentence == book.index
            and old.condition == new.condition
            and new.state == "absent"
            and new.place in (old.place, None)
            and _TAKING_BACK.search(text) is None
        ):
            return True
        soft = (
            re.search(r"\b(?:but|still|though|although|however)\b", text) is not None
            and re.search(r"\b(?:works?|all right|holds?|holding|all there|there|is okay|it is fine)\b", text)
            is not None
        )
        if (
            soft
            and book.index - old.sentence <= 1
            and (new.condition == "good" or (new.condition == "missing" and new.state == "absent"))
            and "otherwise" not in text
        ):
            return True
    return False


def _overrule(book: Notebook, new: Finding) -> None:
    """Final words win: the same fact said the other way, or "good" of what is now found bad in the same breath."""
    for old in list(book.findings):
        if (
            old.component == new.component
            and old.of == new.of
            and old.condition == new.condition
            and {old.state, new.state} == {"present", "absent"}
            and (old.place == new.place or (book.index - old.sentence <= 4 and new.place in ("both", "all", None)))
        ):
            book.findings.remove(old)


def _keeps_extent(book: Notebook, new: Finding) -> None:
    """ "Worn, slightly, oval": the grade that was said of the wear holds for what is said more exactly."""
    graded = next(
        (
            f
            for f in book.last
            if f.component == new.component and f.of == new.of and f.sentence == book.index and f.extent is not None
        ),
        None,
    )
    if graded is not None and new.extent is None and new.state == "present" and new.condition in _WEAR:
        new.extent = graded.extent


_OTHER_END = {
    "front": "back",
    "back": "front",
    "upper": "lower",
    "lower": "upper",
    "entry": "exit",
    "exit": "entry",
    "left": "right",
    "right": "left",
}


def _of_one_end_only(book: Notebook, new: Finding) -> None:
    """ "Good both ends ... back's gone oval": what was good at both ends stays so at the other."""
    if new.state != "present" or new.condition in SOUND or new.place not in _OTHER_END:
        return
    for old in book.findings:
        if (old.component, old.of, old.place, old.condition) == (
            new.component,
            new.of,
            "both",
            "good",
        ) and book.index - old.sentence <= 8:
            old.place = _OTHER_END[new.place]


def words_of(book: Notebook, clause: Clause) -> str:
    """The words of a clause, one blank apart."""
    return text_of(book.sentence[clause.start : clause.end])


def in_focus(book: Notebook) -> tuple[Target, ...]:
    """What is spoken of when a clause names no part: the last subject, or a whole list when one was opened."""
    listed = (
        book.listed
        or len(book.pending) >= 3
        or book.colon
        or re.search(r"\b(?:all|both)\b", text_of(book.sentence)) is not None
    )
    if len(book.pending) > 1 and listed and set(book.pending) >= set(book.focus.subjects):
        return tuple(book.pending)
    if (
        len(book.pending) == 1
        and len(book.focus.subjects) == 1
        and book.pending[0].component == book.focus.subjects[0].component
        and book.pending[0].place in ("inside", "outside", "inner", "back", "front")
        and book.focus.subjects[0].place is None
    ):
        return tuple(book.pending)
    return book.focus.subjects
