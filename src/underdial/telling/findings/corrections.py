"""Slips of the tongue put right: "third, no, fourth", "No, it's a scratch", "other way about", "ignore that".

Never here: contrast that only grades ("bent, not broken").
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from underdial.telling.heard import Finding
from underdial.telling.names import places_of_parts
from underdial.telling.names.states import SOUND, state_of
from underdial.telling.parts_meant.focus import Target
from underdial.telling.parts_meant.notebook import Notebook
from underdial.telling.sentences import clauses
from underdial.telling.sentences.clauses import Clause
from underdial.telling.sentences.items import Item
from underdial.telling.sentences.tags import tag, tag_sentence
from underdial.telling.speech.words import Word, listed, text_of

_NOT_THERE = re.compile(r"^(?:oh |er )*no there (?:is|are) not\b")
_IS_NOT = re.compile(r"^(?:oh |er )*no (?:it|they|that|she|he) (?:is|are|has|does|did|was) not\b")
_IT_IS_NOT = re.compile(r"(?:(?:oh|no|well|actually) )*(?:it|they|that|she|he) (?:is|are|has|does) not")
_TAKING_BACK = re.compile(
    r"^(?:(?:oh|well|er|um|wait|hang on|sorry|actually) )*(?:no (?:wait|sorry|hang on)|scratch that|correction"
    r"|strike that|i tell a lie|i take that back|my mistake|forget that|no (?=it is|that is|they are|the)|no$)"
)
_OF_ANOTHER = re.compile(r"^(?:sorry )?(?:that|it|this) is (?:the|on the) (\w+)")
_ALL_RIGHT = re.compile(r"(?:that|it|they|those) (?:is|are) (?:all )?(?:right|fine|okay|good|allright)")
_OTHER_WAY = re.compile(r"\bother way (?:about|round|around)\b")
_MISNAMED = re.compile(
    r"^(?:(?:no|oh|wait|sorry|hang on) )*(?:that|it|this) is not the (\w+)(?: \w+)? "
    r"(?:(?:it|that|this) is )?(?:the )?(\w+)"
)
_NO_THE = re.compile(
    r"^(?:(?:no|oh|wait|sorry|hang on) )+(?:not the \w+(?: \w+)? )?"
    r"(?:i mean |make that |that is |it is )?the \w+(?: \w+)?$"
)
_MIXED_UP = re.compile(
    r"\b(?:i have )?got (?:it|that|them|those) "
    r"(?:upside down|back to front|the wrong way (?:round|up|about)|the wrong way|mixed up|muddled)\b"
)
_IGNORE = re.compile(r"^(?:ignore|forget|scratch|never mind) (?:that|it)(?: one)?$")
_ENDS = ("front back", "left right", "entry exit", "upper lower", "top bottom", "inner outer", "inside outside")
_OTHER_END = {one: other for ends in map(str.split, _ENDS) for one, other in (ends, ends[::-1])}
# Words between a slip of the tongue and what was meant.
_BEFORE_MEANT = listed("no sorry wait call it make that the i mean hang on tell a lie is")


def answered(book: Notebook, sentence: tuple[Word, ...]) -> tuple[Word, ...]:
    """A sentence that begins with "no" takes back what was just said, when it says something else instead."""
    if "corrections" not in book.layers or not sentence:
        return sentence
    if book.asked and len(sentence) <= 2:
        return sentence
    text = text_of(sentence)
    rest = _flatly_denied(book, sentence, text)
    if rest is not None:
        return rest
    if _turned_about(book, sentence, text):
        return ()
    taken_back = _TAKING_BACK.match(text)
    if (
        taken_back is None
        and sentence[0].text == "no"
        and sentence[0].stop == ","
        and 2 <= len(sentence) <= 6
        and _says_otherwise(book, sentence[1:])
    ):
        book.findings = [f for f in book.findings if f not in book.last]
        return sentence[1:]
    if taken_back is None or (sentence[-1].stop == "?" and len(sentence) <= 2):
        return sentence
    return _said_instead(book, sentence[len(taken_back[0].split()) :])


def _flatly_denied(book: Notebook, sentence: tuple[Word, ...], text: str) -> tuple[Word, ...] | None:
    """ "No, it isn't": what was just said is denied, or its denial dropped. What is left of the sentence, else None."""
    just_said = bool(book.last) and book.last[0].sentence >= book.index - 1
    not_there = _NOT_THERE.match(text)
    if not_there is not None and just_said:
        _drop_last(book)
        return sentence[len(not_there[0].split()) :]
    is_not = _IS_NOT.match(text)
    if is_not is not None and just_said:
        for finding in book.last:
            if finding.condition not in SOUND and finding.state == "present":
                finding.state, finding.significance, finding.rule = "absent", None, finding.rule + "; then denied"
        return _without_what_is_denied(book.last, sentence[len(is_not[0].split()) :])
    if (
        _IT_IS_NOT.fullmatch(text) is not None
        and not book.asked
        and book.last
        and book.index - book.last[0].sentence <= 6
        and all(f.state == "absent" or f.condition in SOUND for f in book.last)
    ):
        _drop_last(book)
        return ()
    return None


def _without_what_is_denied(denied: Sequence[Finding], rest: tuple[Word, ...]) -> tuple[Word, ...]:
    """ "No, it isn't cracked, that's dirt": without the state that is only named to be denied."""
    for item in tag_sentence(rest):
        if item.kind == "state":
            named = [state_of(item.value, finding.component) for finding in denied]
            again = any(
                state is not None and state.condition == finding.condition
                for state, finding in zip(named, denied, strict=True)
            )
            return rest[item.end :] if again else rest
        if item.kind != "word":
            return rest
    return rest


def _drop_last(book: Notebook) -> None:
    book.findings = [f for f in book.findings if f not in book.last]
    book.last = []


def _turned_about(book: Notebook, sentence: tuple[Word, ...], text: str) -> bool:
    """Whether a sentence only puts the last one right: ends changed over, a wheel misnamed, all of it taken back."""
    if _OTHER_WAY.search(text):
        for finding in book.findings:
            if finding.sentence >= book.index - 2 and finding.place in _OTHER_END:
                finding.place = _OTHER_END[finding.place]
        return True
    if _MISNAMED.match(text) is not None and book.last and _renamed(book, sentence):
        return True
    if _NO_THE.match(text) is not None and _meant_another(book, sentence):
        return True
    if _MIXED_UP.search(text):
        book.findings = [f for f in book.findings if not _of_last_place(book, f)]
        book.last = []
        return True
    if _IGNORE.match(text):
        book.findings = [f for f in book.findings if not (f.sentence == book.index - 1 and f.state != "not_examined")]
        book.last = []
        return True
    return False


def _renamed(book: Notebook, sentence: tuple[Word, ...]) -> bool:
    """ "That's not the third, it's the fourth": what was said of the one wheel is of the other."""
    row = clauses.clauses(sentence)
    wheels = [item.value for c in row for item in c.items if item.kind == "wheel"]
    if len(wheels) != 2 or any(c.states for c in row):
        return False
    for finding in book.last:
        if finding.of is not None and finding.of.endswith(wheels[0]):
            finding.of = places_of_parts.of_wheel(
                wheels[1], finding.of.split(".")[0] if "." in finding.of else book.focus.section
            )
        elif finding.component == wheels[0]:
            finding.component = wheels[1]
    book.focus.hosts = (wheels[1],)
    return True


def _meant_another(book: Notebook, sentence: tuple[Word, ...]) -> bool:
    """ "No, not the third, the escape pinion": what was just said is said of the wheel named last here."""
    row = clauses.clauses(sentence)
    wheels = [item.value for c in row for item in c.items if item.kind == "wheel"]
    parts = {item.value for c in row for item in c.items if item.kind in ("part", "shared")}
    said = [one for one in book.last if one.sentence == book.index - 1 and one.of is not None]
    if not wheels or any(c.states for c in row) or not said or parts - {one.component for one in said}:
        return False
    for finding in said:
        assert finding.of is not None
        finding.of = places_of_parts.of_wheel(
            wheels[-1], finding.of.split(".")[0] if "." in finding.of else book.focus.section
        )
    book.focus.hosts = (wheels[-1],)
    return True


def _of_last_place(book: Notebook, finding: Finding) -> bool:
    """Said in the sentence before, of the very place that was spoken of last."""
    return (
        finding.sentence == book.index - 1
        and len(book.last) > 0
        and finding.of == book.last[-1].of
        and finding.place == book.last[-1].place
    )


def _says_otherwise(book: Notebook, rest: tuple[Word, ...]) -> bool:
    """ "One crack. No, scratch." - another fault of the same thing, plainly put in place of the one just said."""
    row = clauses.clauses(rest)
    said = [item.value for clause in row for item in clause.items if item.kind == "state"]
    if (
        not book.last
        or book.last[0].sentence != book.index - 1
        or book.last[0].state != "present"
        or len(said) != 1
        or any(c.phrases for c in row)
        or any(i.kind == "not" for c in row for i in c.items)
    ):
        return False
    reading = state_of(said[0], book.last[0].component)
    return reading is not None and reading.present and reading.condition not in (*SOUND, book.last[0].condition)


def _said_instead(book: Notebook, rest: tuple[Word, ...]) -> tuple[Word, ...]:
    """What stands behind "no, wait" and the like: another host, "that's fine", or another statement."""
    recent = [f for f in book.findings if f.sentence >= book.index - 1] or [
        f for f in book.findings[-1:] if f.sentence >= book.index - 2
    ]
    row = clauses.clauses(rest) if rest else []
    if recent and _rehosted(book, recent[-1], rest, row):
        return ()
    far = [f for f in book.findings[-1:] if f.sentence >= book.index - 3]
    if far and _ALL_RIGHT.fullmatch(text_of(rest)):
        book.findings = [f for f in book.findings if not _fault_of_same(book, f, far[-1])]
        book.last = []
        return rest
    if (
        recent
        and recent[-1].state != "not_examined"
        and (not rest or any(c.states for c in row) or text_of(rest).startswith(("it is", "that is", "they are")))
    ):
        last = recent[-1]
        book.findings = [f for f in book.findings if not (f.sentence == last.sentence and f.clause == last.clause)]
        book.last = []
    return rest


def _rehosted(book: Notebook, last: Finding, rest: tuple[Word, ...], row: Sequence[Clause]) -> bool:
    """ "No, wait, that's the third": the last finding is of another wheel."""
    wheel = next((i.value for c in row for i in c.items if i.kind == "wheel"), None)
    if _OF_ANOTHER.match(text_of(rest)) is None or not wheel or any(c.states for c in row):
        return False
    last.of = places_of_parts.of_wheel(wheel, book.focus.host_train)
    book.focus.hosts = (wheel,)
    book.focus.subjects = (Target(last.component, last.of, last.place),)
    return True


def _fault_of_same(book: Notebook, finding: Finding, last: Finding) -> bool:
    return (
        finding.component == last.component
        and finding.of == last.of
        and finding.state == "present"
        and finding.condition not in SOUND
        and finding.sentence >= book.index - 3
    )


def put_right(book: Notebook, sentence: tuple[Word, ...]) -> tuple[Word, ...]:
    """ "Third, no, fourth": of two of a kind with a "no" between, the second holds."""
    if "corrections" not in book.layers or not {"no", "sorry", "rather", "mean", "say"} & {
        word.text for word in sentence
    }:
        return sentence
    sentence = _rather(sentence)
    items = tag([word.text for word in sentence])
    for at in range(1, len(items) - 1):
        if not _takes_back(items, at):
            continue
        ahead = at + 1
        while ahead < len(items) and items[ahead].kind in ("word", "not") and items[ahead].value in _BEFORE_MEANT:
            ahead += 1
        back = at - 1
        while back >= 0 and items[back].kind == "word" and items[back].value in ("er", "um", "the", "wait"):
            back -= 1
        if ahead < len(items) and back >= 0 and _of_a_kind(items[back], items[ahead], items[at]):
            return (*sentence[: items[back].start], *put_right(book, sentence[items[ahead].start :]))
    return sentence


def _rather(sentence: tuple[Word, ...]) -> tuple[Word, ...]:
    """ "The upper cup, or the front cup should I say": of the two the second was meant."""
    words = [word.text for word in sentence]
    said = next(
        (at for at in range(len(words) - 2) if words[at : at + 3] in (["should", "i", "say"], ["i", "should", "say"])),
        None,
    )
    if said is None or "or" not in words[:said]:
        return sentence
    turn = max(at for at in range(said) if words[at] == "or")
    named = tag(words[:turn])
    back = len(named)
    while back > 0 and (
        named[back - 1].kind in ("part", "shared", "wheel", "place", "train")
        or named[back - 1].value in ("the", "a", "its")
    ):
        back -= 1
    first = named[back].start if back < len(named) else turn
    return (*sentence[:first], *sentence[turn + 1 : said], *sentence[said + 3 :])


def _takes_back(items: Sequence[Item], at: int) -> bool:
    """ "No", "sorry", "rather", "I mean"."""
    item = items[at]
    if item.kind == "not":
        return item.value == "no"
    return item.kind == "word" and (
        item.value in ("sorry", "rather") or (item.value == "i" and items[at + 1].value == "mean")
    )


def _of_a_kind(said: Item, meant: Item, turn: Item) -> bool:
    """Two wheels, places, trains or numbers; two states only around "I mean"."""
    return meant.kind == said.kind and (
        said.kind in ("wheel", "place", "train", "number") or (said.kind == "state" and turn.value == "i")
    )
