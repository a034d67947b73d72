"""Slips of the tongue put right: "third, no, fourth", "No, it's a scratch", "other way about", "ignore that".

Never here: contrast that only grades ("bent, not broken").
"""

from __future__ import annotations

import re

from underdial.telling import clauses, places_of_parts
from underdial.telling.notebook import Notebook, text_of
from underdial.telling.states import state_of
from underdial.telling.subjects import Target
from underdial.telling.tags import tag
from underdial.telling.words import Word


def answered(book: Notebook, sentence: tuple[Word, ...]) -> tuple[Word, ...]:
    """A sentence that begins with "no" takes back what was just said, when it says something else instead."""
    if "corrections" not in book.layers or not sentence:
        return sentence
    text = text_of(sentence)
    flat_no = re.match(r"^(?:oh |er )*no (?:it|they|that|she|he) (?:is|are|has|does|did|was) not\b", text)
    if book.asked and len(sentence) <= 2:
        return sentence
    there = re.match(r"^(?:oh |er )*no there (?:is|are) not\b", text)
    if there is not None and book.last and book.last[0].sentence >= book.index - 1:
        book.findings = [f for f in book.findings if f not in book.last]
        book.last = []
        return sentence[len(there[0].split()):]
    if flat_no is not None and book.last and book.last[0].sentence >= book.index - 1:
        for finding in book.last:
            if finding.condition not in ("good", "endshake_ok") and finding.state == "present":
                finding.state, finding.significance, finding.rule = "absent", None, finding.rule + "; then denied"
        return sentence[len(flat_no[0].split()):]
    denied = re.fullmatch(r"(?:(?:oh|no|well|actually) )*(?:it|they|that|she|he) (?:is|are|has|does) not", text) is not None and not book.asked
    if denied and book.last and book.index - book.last[0].sentence <= 6 and all(f.state == "absent" or f.condition in ("good", "endshake_ok") for f in book.last):
        book.findings = [f for f in book.findings if f not in book.last]
        book.last = []
        return ()
    if _turned_about(book, sentence, text):
        return ()
    taken_back = re.match(r"^(?:(?:oh|well|er|um|wait|hang on|sorry|actually) )*(?:no (?:wait|sorry|hang on)|scratch that|correction|strike that|i tell a lie|i take that back|my mistake|forget that|no (?=it is|that is|they are|the)|no$)", text)
    if taken_back is None and sentence[0].text == "no" and sentence[0].stop == "," and 2 <= len(sentence) <= 6 and _says_otherwise(book, sentence[1:]):
        book.findings = [f for f in book.findings if f not in book.last]
        return sentence[1:]
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
    far = [f for f in book.findings[-1:] if f.sentence >= book.index - 3]
    if far and re.fullmatch(r"(?:that|it|they|those) (?:is|are) (?:all )?(?:right|fine|okay|good|allright)", text_of(rest)):
        last = far[-1]
        book.findings = [f for f in book.findings if not (f.component == last.component and f.of == last.of and f.state == "present" and f.condition not in ("good", "endshake_ok") and f.sentence >= book.index - 3)]
        book.last = []
        return rest
    if recent and not any(f.state == "not_examined" for f in recent[-1:]) and (not rest or any(c.states for c in row) or text_of(rest).startswith(("it is", "that is", "they are"))):
        last = recent[-1]
        book.findings = [f for f in book.findings if not (f.sentence == last.sentence and f.clause == last.clause)]
        book.last = []
    return rest


def _turned_about(book: Notebook, sentence: tuple[Word, ...], text: str) -> bool:
    """Whether a sentence does nothing but put the last one right: ends changed over, a wheel misnamed, all of it taken back."""
    if re.search(r"\bother way (?:about|round|around)\b", text):
        for finding in book.findings:
            if finding.sentence >= book.index - 2 and finding.place in ("front", "back", "left", "right", "entry", "exit"):
                finding.place = {"front": "back", "back": "front", "left": "right", "right": "left", "entry": "exit", "exit": "entry"}[finding.place]
        return True
    other = re.match(r"^(?:(?:no|oh|wait|sorry|hang on) )*(?:that|it|this) is not the (\w+)(?: \w+)? (?:(?:it|that|this) is )?(?:the )?(\w+)", text)
    if other is not None and book.last:
        row = clauses.clauses(sentence)
        wheels = [item.value for c in row for item in c.items if item.kind == "wheel"]
        if len(wheels) == 2 and not any(c.states for c in row):
            for finding in book.last:
                if finding.of is not None and finding.of.endswith(wheels[0]):
                    finding.of = places_of_parts.of_wheel(wheels[1], finding.of.split(".")[0] if "." in finding.of else book.focus.section)
                elif finding.component == wheels[0]:
                    finding.component = wheels[1]
            book.focus.hosts = (wheels[1],)
            return True
    if re.search(r"\b(?:i have )?got (?:it|that|them|those) (?:upside down|back to front|the wrong way (?:round|up|about)|the wrong way|mixed up|muddled)\b", text):
        book.findings = [f for f in book.findings if not (f.sentence == book.index - 1 and book.last and f.of == book.last[-1].of and f.place == book.last[-1].place)]
        book.last = []
        return True
    if re.match(r"^(?:ignore|forget|scratch|never mind) (?:that|it)(?: one)?$", text):
        book.findings = [f for f in book.findings if not (f.sentence == book.index - 1 and f.state != "not_examined")]
        book.last = []
        return True
    return False


def _says_otherwise(book: Notebook, rest: tuple[Word, ...]) -> bool:
    """ "One crack. No, scratch." - another fault of the same thing, plainly put in place of the one just said."""
    row = clauses.clauses(rest)
    said = [item.value for clause in row for item in clause.items if item.kind == "state"]
    if not book.last or book.last[0].sentence != book.index - 1 or book.last[0].state != "present" or len(said) != 1 or any(c.phrases for c in row) or any(i.kind == "not" for c in row for i in c.items):
        return False
    reading = state_of(said[0], book.last[0].component)
    return reading is not None and reading.present and reading.condition not in ("good", "endshake_ok", book.last[0].condition)


def _rather(sentence: tuple[Word, ...]) -> tuple[Word, ...]:
    """ "The upper cup, or the front cup should I say": of the two the second was meant."""
    words = [word.text for word in sentence]
    said = next((at for at in range(len(words) - 2) if words[at:at + 3] in (["should", "i", "say"], ["i", "should", "say"])), None)
    if said is None or "or" not in words[:said]:
        return sentence
    turn = max(at for at in range(said) if words[at] == "or")
    named = tag(words[:turn])
    back = len(named)
    while back > 0 and (named[back - 1].kind in ("part", "shared", "wheel", "place", "train") or named[back - 1].value in ("the", "a", "its")):
        back -= 1
    first = named[back].start if back < len(named) else turn
    return (*sentence[:first], *sentence[turn + 1:said], *sentence[said + 3:])


def put_right(book: Notebook, sentence: tuple[Word, ...]) -> tuple[Word, ...]:
    """ "Third, no, fourth": of two of a kind with a "no" between, the second holds."""
    if "corrections" not in book.layers or not {"no", "sorry", "rather", "mean", "say"} & {word.text for word in sentence}:
        return sentence
    sentence = _rather(sentence)
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
