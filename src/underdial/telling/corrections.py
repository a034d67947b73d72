"""Slips of the tongue put right: "third, no, fourth", "No, it's a scratch", "other way about", "ignore that".

Never here: contrast that only grades ("bent, not broken").
"""

from __future__ import annotations

import re

from underdial.telling import clauses, places_of_parts
from underdial.telling.notebook import Notebook, text_of
from underdial.telling.subjects import Target
from underdial.telling.words import Word


def answered(book: Notebook, sentence: tuple[Word, ...]) -> tuple[Word, ...]:
    """A sentence that begins with "no" takes back what was just said, when it says something else instead."""
    if "corrections" not in book.layers or not sentence:
        return sentence
    text = text_of(sentence)
    flat_no = re.match(r"^(?:oh |er )*no (?:it|they|that|she|he) (?:is|are|has|does|did|was) not\b", text)
    if book.asked and len(sentence) <= 2:
        return sentence
    if flat_no is not None and book.last and book.last[0].sentence >= book.index - 1:
        for finding in book.last:
            if finding.condition not in ("good", "endshake_ok") and finding.state == "present":
                finding.state, finding.significance, finding.rule = "absent", None, finding.rule + "; then denied"
        return sentence[len(flat_no[0].split()):]
    if re.search(r"\bother way (?:about|round|around)\b", text):
        for finding in book.findings:
            if finding.sentence >= book.index - 2 and finding.place in ("front", "back", "left", "right", "entry", "exit"):
                finding.place = {"front": "back", "back": "front", "left": "right", "right": "left", "entry": "exit", "exit": "entry"}[finding.place]
        return ()
    if re.match(r"^(?:ignore|forget|scratch|never mind) (?:that|it)(?: one)?$", text):
        book.findings = [f for f in book.findings if not (f.sentence == book.index - 1 and f.state != "not_examined")]
        book.last = []
        return ()
    taken_back = re.match(r"^(?:(?:oh|well|er|um|wait|hang on|sorry|actually) )*(?:no (?:wait|sorry|hang on)|scratch that|correction|strike that|i tell a lie|i take that back|my mistake|forget that|no (?=it is|that is|they are|the)|no$)", text)
    if taken_back is None or (sentence[-1].stop == "?" and len(sentence) <= 2):
        return sentence
    recent = [f for f in book.findings if f.sentence >= book.index - 1] or [f for f in book.findings[-1:] if f.sentence >= book.index - 2]
    rest = sentence[len(taken_back[0].split()):]
    rehost = re.match(r"^(?:sorry )?(?:that|it|this) is (?:the|on the) (\w+)", text_of(rest))
    row = clauses.clauses(rest) if rest else []
    wheel = next((i.value for c in row for i in c.items if i.kind == "wheel"), None)
    if rehost and wheel and recent and not any(c.states for c in row):
        for finding in recent[-1:]:
            finding.of = places_of_parts.of_wheel(wheel, book.focus.host_train)
        book.focus.hosts = (wheel,)
        book.focus.subjects = tuple(Target(f.component, f.of, f.place) for f in recent[-1:])
        return ()
    if recent and not any(f.state == "not_examined" for f in recent[-1:]) and (not rest or any(c.states for c in row) or text_of(rest).startswith(("it is", "that is", "they are"))):
        last = recent[-1]
        book.findings = [f for f in book.findings if not (f.sentence == last.sentence and f.clause == last.clause)]
        book.last = []
    return rest


def put_right(book: Notebook, sentence: tuple[Word, ...]) -> tuple[Word, ...]:
    """ "Third, no, fourth": of two of a kind with a "no" between, the second holds."""
    if "corrections" not in book.layers or not {"no", "sorry", "rather", "mean"} & {word.text for word in sentence}:
        return sentence
    from underdial.telling.tags import tag

    items = tag([word.text for word in sentence])
    for at in range(1, len(items) - 1):
        if not ((items[at].kind == "not" and items[at].value == "no") or (items[at].kind == "word" and (items[at].value in ("sorry", "rather") or (items[at].value == "i" and items[at + 1].value == "mean")))):
            continue
        ahead = at + 1
        while ahead < len(items) and items[ahead].kind in ("word", "not") and items[ahead].value in ("no", "sorry", "wait", "call", "it", "make", "that", "the", "i", "mean", "hang", "on", "tell", "a", "lie", "is"):
            ahead += 1
        back = at - 1
        while back >= 0 and items[back].kind == "word" and items[back].value in ("er", "um", "the", "wait"):
            back -= 1
        if ahead < len(items) and back >= 0 and items[ahead].kind == items[back].kind and (items[back].kind in ("wheel", "place", "train", "number") or (items[back].kind == "state" and items[at].value == "i")):
            return (*sentence[:items[back].start], *put_right(book, sentence[items[ahead].start:]))
    return sentence
