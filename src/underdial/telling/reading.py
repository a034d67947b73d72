"""Sentences to findings: the walk through a look-over, clause by clause.

A clause that only names parts sets the focus; a clause that states something is said of the parts named in it,
else of those in focus; a turn of speech that weighs or decides is put on the findings it is said of. Every
finding carries the rule that made it.

Never here: numbers with units (`measuring`), the owner's story (`owner_story`).
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from underdial.telling import clauses, places_of_parts, questions, subjects, turns
from underdial.telling.clauses import Clause
from underdial.telling.corrections import answered, put_right
from underdial.telling.headings import heading
from underdial.telling.notebook import Notebook, emit_all, in_focus, note, text_of, words_of
from underdial.telling.repeats import (
    cleft,
    echoed,
    endshake,
    endshake_said,
    exception,
    is_comparison,
    is_repeat,
    listed,
    repeat_last,
)
from underdial.telling.statements import state_clause
from underdial.telling.subjects import Target
from underdial.telling.unseen import listed_unseen, not_seen
from underdial.telling.weighing import weigh
from underdial.telling.words import Word

_PLAIN_CERTAINTY = 0.9
_INTERJECTIONS = frozenset(("lovely", "good", "fine", "right", "okay", "great", "nice", "perfect", "grand", "allright", "all right", "beautiful", "excellent", "gone", "lovely job", "sweet", "good good", "very good", "correct", "very nice", "how nice"))

def read(book: Notebook, sentence: Sequence[Word], index: int) -> None:
    """Take in one sentence."""
    book.index = index
    book.named = []
    book.colon = False
    book.focus.said_now = None
    if book.status is not None and (len(sentence) > 6 or sentence[0].text in ("so", "right", "summary")):
        book.status = None
    book.focus.train = book.focus.section if not any(t.component in places_of_parts.POWER for t in book.focus.subjects) else book.focus.train
    sentence = _after_answer(book, tuple(sentence), index)
    sentence = answered(book, sentence) if sentence else ()
    sentence = _without_relatives(put_right(book, sentence))
    if not sentence:
        return
    book.sentence = sentence
    text = text_of(sentence)
    book.asked = sentence[-1].stop == "?"
    book.question = sentence[-1].stop == "?" and not re.search(r"\b(?:is|does|has|are|do|did|was) (?:not )?(?:it|they|he|she|that)$", text) and not text.endswith(("see", "look", "okay", "right"))
    if book.question and questions.is_open(sentence):
        book.open_question = sentence
    if re.match(r"^(?:and |but |well |now |so )*(?:i was|i am|i have been|we were) told\b|^(?:and |but |well )*(?:he|she|they) (?:told|tells|tell) (?:me|us)\b|^(?:and |but |well )*(?:it is |it was |they are )?(?:supposed|said|meant) to be\b", text):
        book.claims(sentence)
        return
    book.summary = book.summary or (index >= book.summary_from and re.match(r"^(?:(?:okay|right|well|now|and|so) )*(?:so|verdict|summary|bottom line|to finish|all in all|together|in short|in one sentence|overall|to sum up|conclusion|what stops|the list)\b", text) is not None)
    if book.heading_only and book.pending and len(sentence) <= 12:
        pass
    else:
        book.pending = []
    if turns.says("talk", text) and not _states_part(book, text):
        return
    pieces = clauses.clauses(sentence)
    book.focus.bushing_said = book.focus.bushing_said or any(word.text.startswith("bushing") for word in sentence)
    book.focus.nearby = [item.value for c in pieces for item in c.items if item.kind in ("part", "wheel")] if len(sentence) <= 25 else []
    book.place_ahead = _place_ahead(pieces)
    for at, clause in enumerate(pieces):
        book.clause_count += 1
        _read_clause(book, clause, pieces, at)
    book.previous_length_count = len(sentence)
    book.heading_only = any(c.phrases for c in pieces) and all(not c.states and not any(i.kind in ("decision", "weight", "not_seen") for i in c.items) for c in pieces) and bool(book.pending) and not _talks_on(pieces)


def _place_ahead(pieces: Sequence[Clause]) -> str | None:
    """ "Behind, third, a little oval": a place said first holds for the whole sentence."""
    first = pieces[0] if pieces else None
    if first is None or len(pieces) < 2 or first.states or len(first.phrases) != 1 or any(item.kind != "place" for item in first.phrases[0].items) or len(first.items) > 4:
        return None
    place = subjects.place_of(first.phrases[0])
    return place if place in ("front", "back", "upper", "lower", "top", "bottom") and pieces[1].joined in (",", ":", "new") and any(item.kind in ("wheel", "quant", "part") for piece in pieces[1:] for item in piece.items) else None


def _talks_on(pieces: Sequence[Clause]) -> bool:
    """Whether a sentence without a state is more than the name of what comes next."""
    words = [item.value for clause in pieces for item in clause.items if item.kind == "word"]
    return bool({"i", "somebody", "someone", "they", "he", "she", "used", "is", "was", "are", "will", "would", "have", "had"} & set(words)) and len(words) > 3 and not ({"look", "check", "let", "now", "next", "see", "try", "count", "turn"} & set(words))


def _what_was_claimed(sentence: tuple[Word, ...]) -> tuple[Word, ...]:
    """ "He says the bell's cracked" without the saying."""
    words = [word.text for word in sentence]
    at = next((at for at, word in enumerate(words[:6]) if word in ("told", "says", "said", "thinks", "thought", "reckons", "claims", "swears", "be")), None)
    if at is None:
        return sentence
    while at + 1 < len(words) - 1 and words[at + 1] in ("me", "us", "that", "him"):
        at += 1
    return sentence[at + 1:] or sentence


_GRADES = {"slightly": "slight", "a little": "slight", "a bit": "slight", "a touch": "slight", "just a touch": "slight", "only just": "slight", "lightly": "slight", "barely": "slight", "not much": "slight", "a tiny bit": "slight", "not a lot": "slight",
           "moderately": "moderate", "fairly": "moderate", "somewhat": "moderate", "quite a bit": "moderate", "badly": "bad", "heavily": "bad", "a lot": "bad", "very much": "bad", "severely": "bad", "very badly": "bad", "really badly": "bad", "quite badly": "bad"}
_HOLDING = frozenset(["holds", "hold", "carries", "carry", "drives", "secures", "retains", "keeps", "fixes", "lifts", "locks", "lifts", "takes", "works", "covers", "supports", "turns", "pushes", "fits", "guides", "holding", "carrying", "securing", "retaining"])


def _without_relatives(sentence: tuple[Word, ...]) -> tuple[Word, ...]:
    """ "The screw that holds the crutch is loose" is said of the screw of the crutch."""
    words = [word.text for word in sentence]
    nth = re.search(r"^(?:[\w' ]* )?(?:one|two|three|four|five) (?:of (?:the|them)|are|were|is)\b.* the (second|third|fourth|fifth|sixth)(?= (?:'s|is|one|has|was)\b)", " ".join(words))
    if nth is not None and not {"wheel", "wheels", "arbor", "pinion", "hole", "holes", "pivot", "pivots"} & set(words):
        at = len(" ".join(words)[:nth.start(1)].split())
        return (*sentence[:at], replace(sentence[at], text="one"), *sentence[at + 1:])
    stuck = re.search(r"\b(?:i |you |we )?(?:can|could|will|would) not get ((?:the|its|that|this|his|it|them|either)(?: \w+){0,4}?) to (?:move|turn|shift|budge|go|slide|undo|rotate)\b", " ".join(words))
    if stuck is not None:
        first = len(" ".join(words)[:stuck.start()].split())
        named = first + stuck[0].split().index("get") + 1
        end = named + len(stuck[1].split())
        moved = [replace(sentence[end], text=text, stop=sentence[end + 1].stop if text == "move" else "") for text in ("will", "not", "move")]
        return (*sentence[:first], *sentence[named:end], *moved, *sentence[end + 2:])
    for at in range(1, len(words) - 3):
        held = words[at + 1] if words[at] in ("that", "which") else words[at] if words[at].endswith("ing") else ""
        step = 2 if words[at] in ("that", "which") else 1
        if held not in _HOLDING or words[at + step:at + step + 1] not in (["the"], ["its"], ["it"]):
            continue
        if words[at + step] == "it" or not {"is", "are", "'s", "has", "was", "looks"} & set(words[at + step + 1:at + step + 5]):
            continue
        return (*sentence[:at], replace(sentence[at], text="of"), *sentence[at + step:])
    return sentence


def _after_answer(book: Notebook, sentence: tuple[Word, ...], index: int) -> tuple[Word, ...]:
    """What is left of a sentence behind the answer to the question before it; the question is read as it was answered."""
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
    if statement and re.match(r"^(?:and |so |is there |are there |was there )*(?:any|no|not)?\b", " ".join(w.text for w in question)) and re.match(r"^(?:and |so |is there |are there |was there )*any (?:\w+ )?(?:solder|rust|punch|glue|repairs|bushes|names|worm)", " ".join(w.text for w in question)) and not any(t.component in ("plates", "front_plate", "back_plate", "pivot_hole", "movement", "case", "pivot") for t in book.focus.subjects):
        book.focus.settle((Target("movement"),))
    if statement:
        read(book, statement, index)
        book.open_question = ()
    rest = sentence[said[1]:] if said and statement else sentence
    return () if said and statement and re.fullmatch(r"(?:it|they|there|that|he|she) (?:is|are|does|do|has|have|was)(?: not)?", text_of(rest)) else rest


def _read_clause(book: Notebook, clause: Clause, pieces: Sequence[Clause], at: int) -> None:
    text = words_of(book, clause)
    held = book.focus.subjects, book.focus.hosts, book.focus.host_train, list(book.focus.recent), book.focus.train
    for phrase in clause.phrases:
        book.named += [(phrase.start, target) for target in subjects.targets(phrase, book.focus)[:1]]
    book.focus.subjects, book.focus.hosts, book.focus.host_train, book.focus.recent, book.focus.train = held
    if (re.match(rf"^(?:and |so |but )?{turns.IF_CLAUSE}", text) and book.unseen_here[0] != book.index) or (clause.joined in ("if", "or") and clause.states and not clause.phrases and "will" in text.split()):
        return
    excepted = (re.match(r"^(?:but |and )?(?:only (?=the |on |at |one )|just (?=the ))", text) is not None and clause.joined in (",", "but", "except", "only") and not clause.states and bool(book.last) and book.last[0].state == "absent") or re.match(r"^(?:apart from|except(?: for)?|other than|bar|but for|save for|aside from|with the exception of)\b", text) is not None or (clause.joined in ("except", "bar") and not clause.states)
    if "swing" in _arc_words(book, text):
        note(book, "balance" if "balance" in book.focus.traits and "torsion" not in book.focus.traits else "pendulum", "low_amplitude", book.sentence, book.index)
        return
    if clause.joined == "which" and at and pieces[at - 1].phrases and (not clause.phrases or (pieces[at - 1].joined == "except" and clause.states)):
        if pieces[at - 1].joined == "except" and book.last and book.last[0].sentence == book.index:
            named = subjects.targets(pieces[at - 1].phrases[-1], book.focus)
            held_by = book.last[0].component
            if held_by in places_of_parts.HOSTS and named and named[0].component in places_of_parts.WHEELS:
                named = tuple(Target(held_by, places_of_parts.of_wheel(t.component, t.of), t.place) for t in named)
            book.focus.settle(named or book.focus.subjects)
        else:
            book.focus.settle(subjects.targets(pieces[at - 1].phrases[-1], book.focus) or book.focus.subjects)
    if re.match(r"^(?:and |but |well )?(?:it|she|he) (?:runs|goes|strikes|ticks|chimes) ", text) and not clause.phrases and not book.findings:
        return
    if re.fullmatch(r"(?:there is |and )?nothing(?: there| either| here| at all)?", text) and clause.joined in (",", ":", "new") and at and pieces[at - 1].phrases and not pieces[at - 1].states and "references" in book.layers:
        emit_all(book, in_focus(book), "good", "present", clause, _PLAIN_CERTAINTY, "nothing was found on the part named before it")
        return
    extent = _GRADES.get(text)
    if extent is not None and book.last and book.last[0].sentence == book.index:
        for finding in book.last:
            finding.extent = extent if finding.state == "present" else finding.extent
        return
    if clause.states and _only_exclaimed(book, clause, text, pieces, at):
        return
    if _places_last(book, clause, pieces, at):
        return
    everyone = re.fullmatch(r"(?:all (?:two|three|four|five|six|eight|the same|round)|every one|all of them|each one|every single one|the lot of them|both of them)(?: of them)?", text)
    if everyone and book.last and book.last[0].sentence >= book.index - 1 and all(f.place is None for f in book.last):
        for finding in book.last:
            finding.place = subjects.counted(finding.component, "both" if text.startswith("both") else "all")
        return
    following = pieces[at + 1] if at + 1 < len(pieces) else None
    if following is not None and following.joined == ":" and following.phrases and not following.states and clause.states and not clause.phrases and len(clause.items) <= 3:
        return
    _told(book, clause, text, pieces, at, excepted)
    if "weight" in book.layers:
        weigh(book, clause)
    if any(item.kind == "weight" for item in clause.items) and clause.phrases and not clause.states:
        meant = subjects.targets(clause.phrases[-1], book.focus)
        if meant:
            book.focus.settle(meant)


def _told(book: Notebook, clause: Clause, text: str, pieces: Sequence[Clause], at: int, excepted: bool) -> None:
    """What a clause tells: what was not seen, a state, the same again, an exception, or only what comes next."""
    if "status" in book.layers and any(item.kind == "not_seen" for item in clause.items):
        not_seen(book, clause, pieces, at)
    elif clause.states:
        book.status = None
        book.colon = clause.joined == ":" or (book.colon and clause.joined in (",", "and"))
        state_clause(book, clause, text, pieces, at, excepted)
    elif "references" in book.layers and echoed(book, clause) is not None:
        repeat_last(book, clause, state=echoed(book, clause))
    elif ("references" in book.layers and cleft(book, clause)) or ("references" in book.layers and at and clause.phrases and not any(i.kind in ("decision", "weight") for i in clause.items) and _in_list(book, clause, pieces, at) and listed(book, clause, _head_of_list(pieces, at))):
        pass
    elif "references" in book.layers and (is_repeat(text) or is_comparison(text, clause) or (clause.joined == "so" and re.match(r"(?:is|are|has|does) (?:the|its|that|this|both)\b", text))):
        repeat_last(book, clause)
    elif "references" in book.layers and re.match(r"^nothing (?:at|on|in) the \w+", text) and clause.phrases and book.last and book.last[0].sentence >= book.index - 1:
        repeat_last(book, clause, state="absent")
    elif clause.phrases and endshake_said(clause) is not None and any(i.kind == "aspect" and i.value == "endshake" for i in clause.items):
        endshake(book, clause, endshake_said(clause) or "")
    elif clause.phrases and any(f.condition == "endshake_ok" and f.sentence == book.index for f in book.findings[-3:]) and endshake_said(clause) is not None and any(i.kind == "wheel" for p in clause.phrases for i in p.items):
        found = [Target("arbor", places_of_parts.of_wheel(t.component, t.of)) for p in clause.phrases for t in subjects.targets(p, book.focus) if t.component in places_of_parts.WHEELS]
        emit_all(book, found[:1], endshake_said(clause) or "", "present", clause, _PLAIN_CERTAINTY, "endshake judged by its amount")
    elif excepted and clause.phrases and book.last:
        exception(book, clause)
    elif (clause.joined in ("or", "nor") or clause.items[0].value in ("or", "nor")) and clause.phrases and book.last and book.last[0].sentence == book.index and all(f.condition == "good" or f.state == "absent" for f in book.last):
        repeat_last(book, clause)
    elif (clause.phrases and book.unseen_here[0] == book.index and clause.joined in (",", "and", "or", "nor") and clause.phrases[0].preposition in (None, "nor", "in", "at", "under", "behind") and not any(i.kind == "word" and i.value in ("is", "are", "'s", "was", "has", "have", "so", "because", "but", "it", "how", "see", "from", "i", "what", "with") for i in clause.items)) or (clause.phrases and book.status is not None and clause.phrases[0].preposition in (None, "nor", "in")):
        listed_unseen(book, clause)
    elif clause.phrases and not any(item.kind in ("decision", "weight") for item in clause.items):
        heading(book, clause)
    elif any(t.aspect == "endshake" for t in book.focus.subjects) and endshake_said(clause) is not None and not clause.phrases:
        emit_all(book, book.focus.subjects, endshake_said(clause) or "", "present", clause, 0.9, "endshake judged by its amount")


def _head_of_list(pieces: Sequence[Clause], at: int) -> Clause:
    """The clause whose condition a list of parts stands under."""
    head = at - 1
    while head > 0 and not pieces[head].states:
        head -= 1
    return pieces[head]


def _in_list(book: Notebook, clause: Clause, pieces: Sequence[Clause], at: int) -> bool:
    """Whether only parts follow from the head of a list to the end of the sentence, the last joined by "and" or behind a colon."""
    head = _head_of_list(pieces, at)
    rest = pieces[list(pieces).index(head) + 1:]
    plain = all(c.phrases and not c.states and not any(i.kind in ("decision", "weight", "not_seen") for i in c.items) for c in rest)
    return bool(head.states) and plain and (rest[-1].joined in ("and", "plus") or rest[0].joined == ":" or "and" in {i.value for i in rest[-1].items})


def _only_exclaimed(book: Notebook, clause: Clause, text: str, pieces: Sequence[Clause], at: int) -> bool:
    """ "Right." "Lovely, leave that." "... tight, that's good." say nothing of a part."""
    if text in _INTERJECTIONS and at == 0 and ((len(pieces) > 1 and not pieces[1].states) or not book.heading_only) and not (book.heading_only and text not in ("right", "gone", "okay")):
        return len(pieces) > 1 or text in ("right", "okay", "gone", "lovely", "great", "nice", "good", "fine")
    said_before = any(c.states for c in pieces[:at])
    return (re.fullmatch(r"(?:and |so |but )?(?:that is|which is|this is) (?:\w+ )?(?:good|fine|okay|nice|right|lovely|perfect|correct|a nice change|the main thing)", text) is not None and said_before) or (text.startswith(("that will be the", "that is the ", "that will be his", "that will be her")) and not clause.phrases)


def _arc_words(book: Notebook, text: str) -> str:
    """ "That's poor" behind an arc that was read is said of the swing."""
    if re.fullmatch(r"(?:and |but )?(?:that is |which is |it is )?(?:very |too |rather |pretty |really )?(?:poor|low|weak|feeble|miserable|down)(?: for \w+(?: \w+)?| for an? \w+)?", text) and book.index - book.arc_at <= 1:
        return "swing"
    return ""


def _places_last(book: Notebook, clause: Clause, pieces: Sequence[Clause], at: int) -> bool:
    """ "Chipped, front edge": a place alone behind a statement is where that was."""
    if not at or clause.states or not clause.phrases or any(i.kind in ("decision", "weight", "not_seen") for i in clause.items) or not book.last or book.last[0].sentence != book.index:
        return False
    if is_repeat(words_of(book, clause)) or is_comparison(words_of(book, clause), clause):
        return False
    if clause.joined == "so" or re.match(r"^(?:and |but )?(?:so|as|nor|neither) (?:is|are|has|does|was)\b|^(?:is|are|has|does) (?:the|its|that)\b", words_of(book, clause)):
        return False
    following = pieces[at + 1] if at + 1 < len(pieces) else None
    if any(item.kind in ("part", "shared", "wheel", "aspect", "train") for p in clause.phrases for item in p.items) or (following is not None and following.states and not following.phrases):
        return False
    place = subjects.place_of(clause.phrases[0])
    if place is not None and (all(f.place is None for f in book.last) or place.startswith("at_")):
        for finding in book.last:
            finding.place = place
    return place is not None


def _states_part(book: Notebook, text: str) -> bool:
    row = clauses.clauses(book.sentence)
    return any(c.states and c.phrases for c in row)
