"""Sentences to findings: the walk through a look-over, sentence by sentence.

A question waits for its answer, what the owner claims waits for its denial, talk is passed over; what is left is
cut into clauses and read clause by clause. Every finding carries the rule that made it.

Never here: numbers with units (`measuring`), the owner's story (`owner_story`).
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from underdial.telling.findings import questions
from underdial.telling.findings.clause_reading import read_clause
from underdial.telling.findings.corrections import answered, put_right
from underdial.telling.names import places_of_parts
from underdial.telling.parts_meant import said_places
from underdial.telling.parts_meant.focus import Target
from underdial.telling.parts_meant.notebook import Notebook
from underdial.telling.sentences import clauses
from underdial.telling.sentences.clauses import Clause
from underdial.telling.speech import turns
from underdial.telling.speech.paraphrase import put_plainly
from underdial.telling.speech.words import Word, listed, text_of

_TAG_QUESTION = re.compile(r"\b(?:is|does|has|are|do|did|was) (?:not )?(?:it|they|he|she|that)$")
_CLAIMED = re.compile(
    "|".join(
        (
            r"^(?:and |but |well |now |so )*(?:i was|i am|i have been|we were) told\b",
            r"^(?:and |but |well )*(?:he|she|they) (?:told|tells|tell) (?:me|us)\b",
            r"^(?:and |but |well )*(?:it is |it was |they are )?(?:supposed|said|meant) to be\b",
        )
    )
)
_SUMMING_UP = re.compile(
    r"^(?:(?:okay|right|well|now|and|so) )*"
    r"(?:so|verdict|summary|bottom line|to finish|all in all|together|in short|in one sentence|overall|to sum up"
    r"|conclusion|what stops|the list)\b"
)
_ANY = re.compile(r"^(?:and |so |is there |are there |was there )*(?:any|no|not)?\b")
_ANY_MARKS = re.compile(
    r"^(?:and |so |is there |are there |was there )*any (?:\w+ )?"
    r"(?:solder|rust|punch|glue|repairs|bushes|names|worm)"
)
_BARE_ANSWER = re.compile(r"(?:it|they|there|that|he|she) (?:is|are|does|do|has|have|was)(?: not)?")
_TALKERS = listed("i somebody someone they he she used is was are will would have had")
_TURNING_TO = listed("look check let now next see try count turn")


def read(book: Notebook, sentence: Sequence[Word], index: int) -> None:
    """Take in one sentence."""
    _turn_to(book, sentence, index)
    sentence = _after_answer(book, tuple(sentence), index)
    sentence = answered(book, sentence) if sentence else ()
    sentence = put_plainly(put_right(book, sentence))
    if not sentence:
        return
    book.sentence = sentence
    text = text_of(sentence)
    book.asked = sentence[-1].stop == "?"
    book.question = (
        sentence[-1].stop == "?"
        and not _TAG_QUESTION.search(text)
        and not text.endswith(("see", "look", "okay", "right"))
    )
    if book.question and questions.is_open(sentence):
        book.open_question = sentence
    if _CLAIMED.match(text):
        book.claims(sentence)
        return
    book.summary = book.summary or (index >= book.summary_from and _SUMMING_UP.match(text) is not None)
    if not (book.heading_only and book.pending and len(sentence) <= 12):
        book.pending = []
    if turns.says("talk", text) and not _states_part(book):
        return
    _read_clauses(book, sentence)


def _turn_to(book: Notebook, sentence: Sequence[Word], index: int) -> None:
    """Put away what held for the sentence before only."""
    book.index = index
    book.named = []
    book.colon = False
    book.focus.said_now = None
    if book.status is not None and (len(sentence) > 6 or sentence[0].text in ("so", "right", "summary")):
        book.status = None
    book.focus.train = (
        book.focus.section
        if not any(t.component in places_of_parts.POWER for t in book.focus.subjects)
        else book.focus.train
    )


def _after_answer(book: Notebook, sentence: tuple[Word, ...], index: int) -> tuple[Word, ...]:
    """What is left of a sentence behind the answer to a question; the question is read as it was answered."""
    question, book.open_question = book.open_question, ()
    claimed, book.only_claimed = book.only_claimed, False
    if not question or "questions" not in book.layers:
        return sentence
    said = questions.answer(sentence)
    if claimed and said is None:
        return sentence
    if claimed:
        question = _what_was_claimed(question)
    statement = questions.stated(question, said[0] if said else None)
    if statement and _asks_of_the_whole(book, question):
        book.focus.settle((Target("movement"),))
    if statement:
        read(book, statement, index)
        book.open_question = ()
    rest = sentence[said[1] :] if said and statement else sentence
    return () if said and statement and _BARE_ANSWER.fullmatch(text_of(rest)) else rest


def _what_was_claimed(sentence: tuple[Word, ...]) -> tuple[Word, ...]:
    """ "He says the bell's cracked" without the saying."""
    words = [word.text for word in sentence]
    at = next(
        (
            at
            for at, word in enumerate(words[:6])
            if word in ("told", "says", "said", "thinks", "thought", "reckons", "claims", "swears", "be")
        ),
        None,
    )
    if at is None:
        return sentence
    while at + 1 < len(words) - 1 and words[at + 1] in ("me", "us", "that", "him"):
        at += 1
    return sentence[at + 1 :] or sentence


def _asks_of_the_whole(book: Notebook, question: tuple[Word, ...]) -> bool:
    """ "Any rust?" where no part that could have it is in focus."""
    text = text_of(question)
    return (
        _ANY.match(text) is not None
        and _ANY_MARKS.match(text) is not None
        and not any(
            t.component in ("plates", "front_plate", "back_plate", "pivot_hole", "movement", "case", "pivot")
            for t in book.focus.subjects
        )
    )


def _states_part(book: Notebook) -> bool:
    """Whether a sentence says a state of a part that it names."""
    return any(c.states and c.phrases for c in clauses.clauses(book.sentence))


def _read_clauses(book: Notebook, sentence: tuple[Word, ...]) -> None:
    """Read a sentence clause by clause, and remember whether it was no more than a heading."""
    pieces = clauses.clauses(sentence)
    book.focus.bushing_said = book.focus.bushing_said or any(word.text.startswith("bushing") for word in sentence)
    book.focus.nearby = (
        [item.value for c in pieces for item in c.items if item.kind in ("part", "wheel")]
        if len(sentence) <= 25
        else []
    )
    book.place_ahead = _place_ahead(pieces)
    for at, clause in enumerate(pieces):
        book.clause_count += 1
        read_clause(book, clause, pieces, at)
    book.previous_length_count = len(sentence)
    book.heading_only = (
        any(c.phrases for c in pieces)
        and all(not c.states and not any(i.kind in ("decision", "weight", "not_seen") for i in c.items) for c in pieces)
        and bool(book.pending)
        and not _talks_on(pieces)
    )


def _place_ahead(pieces: Sequence[Clause]) -> str | None:
    """ "Behind, third, a little oval": a place said first holds for the whole sentence."""
    first = pieces[0] if pieces else None
    if (
        first is None
        or len(pieces) < 2
        or first.states
        or len(first.phrases) != 1
        or any(item.kind != "place" for item in first.phrases[0].items)
        or len(first.items) > 4
    ):
        return None
    place = said_places.place_of(first.phrases[0])
    return (
        place
        if place in ("front", "back", "upper", "lower", "top", "bottom")
        and pieces[1].joined in (",", ":", "new")
        and any(item.kind in ("wheel", "quant", "part") for piece in pieces[1:] for item in piece.items)
        else None
    )


def _talks_on(pieces: Sequence[Clause]) -> bool:
    """Whether a sentence without a state is more than the name of what comes next."""
    words = [item.value for clause in pieces for item in clause.items if item.kind == "word"]
    return bool(_TALKERS & set(words)) and len(words) > 3 and not (_TURNING_TO & set(words))
