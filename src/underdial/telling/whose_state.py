"""Of which parts a state is said, and what it touches.

In order: parts named before the state; a part it is on; the part of the state before it; a part named behind it;
else what is in focus - unless the clause has a subject that is no part of a clock.

Never here: the sense of a state, or how surely it is said.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from underdial.telling import places_of_parts, state_words, states, subjects
from underdial.telling.clauses import Clause
from underdial.telling.notebook import Notebook, in_focus, words_of
from underdial.telling.subjects import Phrase, Target
from underdial.telling.tags import Item
from underdial.telling.words import listed

_CONTACT = frozenset(("rubbing", "fouling", "rubbing_mark", "caught"))
_COPULA = listed("is are was were 's be been looks look feels feel seems has have had got gets")
_LOSING = frozenset(("missing", "lost", "is missing", "has lost", "lacking", "lacks", "short of"))


_FUNCTION = listed("""a an the it its it's is are was were be been being i you he she we they them their his her my your our me us that this these those there here what which who
and or but so then now also too very quite rather just still only even well right yes no not oh er um ah hmm look see got get has have had do does did can could would will might may
in on at of for to from with by as if than up down out off over under round around about into onto back again all both each any some one two three four five six seven eight nine ten
first next other another same more less most a bit little touch lot bit way far much many few couple every little really pretty nicely badly slightly heavily lightly mostly nearly almost
fairly perhaps maybe actually basically obviously certainly definitely say said think mean know guess suppose reckon like looks look seems seem feels feel runs run goes go gone going comes come
stays stay sits sit moves move turns turn works work hangs hang where when while because though although though since until after before near along across through inside outside
front middle long short old new big small tiny huge wee deep fine whole half end ends side sides way thing things place places time something anything nothing everything somebody someone
okay course sure mind honestly frankly apparently already yet ever never always once twice today too enough sort kind least last less look't tell hear heard feel find found take
let's let us put give given made make makes makes doing done being having getting starting beginning own it'd they'd part parts piece pieces bits spot spots point number hand nail finger
lens glass eye light daylight open opened closed proper properly perfectly totally completely absolutely hell heck goodness dear blimey ooh och aye lovely nasty horrible terrible awful massive
great decent reasonable obvious definite certain visible real serious bad worst worse best better dodgy proper solid nice oddly sadly luckily happily clearly plainly surely simply certainly probably
nose beak toe heel lip flank mouth bore groove grooves thread threads slot slots rivet rivets head heads marks surface link links face faces paint paintwork brass wood steel metal gilding silver silvering finish surface rivet solder walnut oak mahogany slate marble leather cloth iron possibly job clock customer owner must shall should needs need wants want up behind between against above below beside towards toward past like unlike except apart bar save besides plus minus
per without within wear amount total rest remaining others ones straight directly deal great good shame pity nice left right call honest
""")

def subjects_of(book: Notebook, clause: Clause, state: Item, from_word: int, to_word: int, carried: tuple[Target, ...] | None, text: str) -> tuple[tuple[Target, ...], str, str | None] | None:
    """The parts a state is said of, the rule that found them, and what it touches."""
    before = [p for p in clause.phrases if from_word <= p.start and p.end <= state.start and p.preposition not in ("than", "like")]
    after = [p for p in clause.phrases if state.end <= p.start < to_word and p.preposition not in ("than", "like")]
    if carried is not None and states.is_noun(state.value) and any(item.kind == "word" and item.value == "with" and item.end == state.start for item in clause.items):
        return carried, "second state of the same part", None
    named = [p for p in before if p.preposition is None]
    if before and after and all(item.kind in ("place", "word") for p in before for item in p.items) and any(item.kind == "part" for item in after[0].items) and after[0].preposition in ("from", "off", "on", "of") and state.value.split()[0] in state_words.SURFACES:
        named = before = []
    if named and before[-1] is not named[-1] and before[-1].start - named[-1].end > 5:
        named = [before[-1]]
    if named:
        targets, rule = _named_before(book, named, clause), "said of the part named before it"
    elif before:
        targets, rule = subjects.targets(before[-1], book.focus), "said of the part it is on"
        if before[-1].items[0].kind == "place" and len(before[-1].items) == 1 and not targets:
            targets = in_focus(book)
    elif carried is not None and _new_subject(clause, state, from_word):
        return None
    elif carried is not None:
        targets, rule = carried, "second state of the same part"
    else:
        targets, rule = (), ""
    return _with_after(book, clause, state, targets, rule, after, text, from_word)


def _new_subject(clause: Clause, state: Item, from_word: int) -> bool:
    """ "The spring is good full power is there": what stands before the second verb is no part that we know."""
    between = [item for item in clause.items if from_word <= item.start and item.end <= state.start]
    cut = next((at for at, item in enumerate(between) if item.kind == "word" and item.value in _COPULA and item.value not in ("has", "have", "had", "got")), None)
    return cut is not None and any(item.kind == "word" and item.value not in _FUNCTION and not item.value.endswith("ly") for item in between[:cut])


def _with_after(book: Notebook, clause: Clause, state: Item, targets: tuple[Target, ...], rule: str, after: Sequence[Phrase], text: str, from_word: int) -> tuple[tuple[Target, ...], str, str | None] | None:
    against: str | None = None
    contact = any(s.condition in _CONTACT - {"rubbing_mark"} for s in states.state_phrases().get(state.value, ()))
    had_subject = before_named = bool(targets)
    for phrase in after:
        if phrase.preposition is None and phrase.start - state.end <= 2 and state.value.split()[-1] in ("on", "in", "against", "off", "to", "of", "round", "into"):
            phrase = replace(phrase, preposition=state.value.split()[-1])
        has_part = any(item.kind in ("part", "shared", "wheel", "aspect") for item in phrase.items)
        if has_part and any(item.kind == "word" and item.value == "where" and state.end <= item.start < phrase.start for item in clause.items):
            continue
        adjacent = phrase.start - state.end <= 1 and phrase.preposition is None and not (contact and had_subject)
        if contact and not targets and not before_named and has_part and phrase.preposition is None and phrase.start - state.end <= 1 and book.focus.subjects and _pronoun(clause, state) and not _is_attribute(clause, state):
            targets, rule, had_subject = in_focus(book), "said of the part in focus", True
        if not has_part and (phrase.preposition in ("towards", "toward", "past", "from") or (phrase.preposition == "to" and subjects.place_of(phrase) in ("left", "right", "front", "back"))):
            continue
        if has_part and targets and had_subject and state.value in _LOSING and phrase.start - state.end <= 2 and phrase.preposition is None:
            targets, rule = _lacking(book, targets, phrase), "what the part named before it lacks"
            continue
        if not has_part:
            targets, rule = _at_place(book, clause, state, targets, rule, phrase, from_word, had_subject)
            continue
        if had_subject is False and has_part and phrase.preposition is None and {"somebody", "someone", "they", "nobody", "man", "whoever"} & {i.value for i in clause.items if i.end <= state.start}:
            targets, rule = subjects.targets(phrase, book.focus), "done to the part named behind it"
            continue
        if targets and had_subject and not adjacent:
            targets, against = _located(book, targets, phrase, contact, against, state, clause)
            continue
        if not targets and not adjacent and not before_named and not states.is_noun(state.value) and state.value.split()[0] not in ("nothing", "no", "not", "signed", "punched", "punch", "ring") \
                and phrase.preposition is not None and (state.start - clause.start <= 2 or _pronoun(clause, state)) and book.focus.subjects and _may_carry(book, clause, state, from_word):
            targets, rule, had_subject = in_focus(book), "said of the part in focus", True
            targets, against = _located(book, targets, phrase, contact, against, state, clause)
            continue
        if not targets or (adjacent and _is_attribute(clause, state)):
            if contact and not adjacent and _may_carry(book, clause, state, from_word):
                targets, rule = in_focus(book), "said of the part in focus"
                against = _first_part(subjects.targets(phrase, book.focus))
                had_subject = True
                continue
            if phrase.preposition in ("by", "with", "like") and not adjacent and not state.value.startswith(("nothing", "no ", "happy")):
                continue
            shown = [item.value for item in phrase.items if item.kind == "part" and item.value in places_of_parts.PLACE_PARTS]
            if shown and not targets and phrase.preposition in ("round", "around", "at", "by", "near") and book.focus.subjects and _may_carry(book, clause, state, from_word):
                targets, rule = tuple(replace(t, place=shown[0]) for t in in_focus(book)), "said of the part in focus, at a place"
                continue
            if targets:
                book.focus.settle(targets)
            if phrase.preposition in ("off", "from") and state.value.split()[0] in (*state_words.SURFACES, "flaking", "flaked", "peeling", "paint", "lacquer", "veneer") and not targets:
                targets, rule = subjects.targets(phrase, book.focus), "said of the part it has come off"
                had_subject = bool(targets)
                continue
            if phrase.preposition in ("off", "from", "near", "past", "towards", "toward", "behind", "above", "below", "between", "into", "through", "than", "beside"):
                continue
            if adjacent and states.is_noun(state.value) and state.start != clause.start:
                continue
            found = subjects.targets(phrase, book.focus)
            if found:
                targets, rule = found, "said of the part named behind it"
    return _or_carried(book, clause, state, targets, rule, against, text, from_word, contact and before_named)


def _at_place(book: Notebook, clause: Clause, state: Item, targets: tuple[Target, ...], rule: str, phrase: Phrase, from_word: int, had_subject: bool) -> tuple[tuple[Target, ...], str]:
    """A phrase behind a state that names only a place or a train: where on its parts, or of which side, it is said."""
    place_only = [item.value for item in phrase.items if item.kind == "place"]
    if targets and phrase.preposition is None and any(t.place is not None for t in targets):
        return targets, rule
    side = next((item.value for item in phrase.items if item.kind == "train"), None)
    if side is not None and had_subject and targets and phrase.preposition in ("on", "of", "for", "in") and all(t.component in places_of_parts.POWER and t.of != side for t in targets):
        targets = tuple(replace(t, of=side) for t in targets)
        return targets, rule
    base = targets or (in_focus(book) if _may_carry(book, clause, state, from_word) else ())
    if place_only and base:
        book.focus.subjects = base
        targets = subjects.targets(phrase, book.focus) or base
        rule = rule or "said of the part in focus, at a place"
    elif not place_only and base and not targets and phrase.preposition in ("on", "of", "in"):
        book.focus.subjects = base
        targets = subjects.targets(phrase, book.focus)
    return targets, rule


def _lacking(book: Notebook, targets: tuple[Target, ...], phrase: Phrase) -> tuple[Target, ...]:
    """ "The minute wheel's lost a tooth": it is the tooth that is missing."""
    held = book.focus.subjects, book.focus.hosts, book.focus.host_train, list(book.focus.recent), book.focus.train
    book.focus.settle(targets)
    lost = subjects.targets(phrase, book.focus)
    book.focus.subjects, book.focus.hosts, book.focus.host_train, book.focus.recent, book.focus.train = held
    return lost or targets


def _or_carried(book: Notebook, clause: Clause, state: Item, targets: tuple[Target, ...], rule: str, against: str | None, text: str, from_word: int, touched: bool) -> tuple[tuple[Target, ...], str, str | None] | None:
    """What was found, or what is in focus when the clause names no part."""
    if not targets and _may_carry(book, clause, state, from_word):
        targets, rule = in_focus(book), "said of the part in focus"
        every = re.search(r"\b(both|either|each|all|every one)(?: one)? of (?:them|those|these|the)\b|^(?:they are |are |and )?(both|all)\b(?! right)|(?<!at )\b(both|all)$", text)
        if every and targets and len(targets) == 1:
            word = next(w for w in every.groups() if w)
            targets = tuple(replace(t, place=subjects.counted(t.component, "all" if word in ("all", "every one") else "both")) for t in targets)
    if rule == "said of the part in focus" and re.match(r"^(?:and |but |while |whereas )*the other (?:one|end|side|is|'s|has|does|looks)\b", text) and targets:
        targets = subjects.other_one(targets)
    if touched and targets and re.search(r"\b(?:catches|hits|rubs|touches|clips|fouls|rubbing|touching|catching) (?:it|on it|against it)\b", text) and book.focus.subjects:
        targets, against = book.focus.subjects[:1], targets[0].component
    if not targets and not book.focus.subjects and _of_the_whole(state):
        return (Target("movement"),), "said of the whole, nothing having been named", None
    return (targets, rule, against) if targets else None


def _of_the_whole(state: Item) -> bool:
    """What may be said of a clock before any part of it is named: dirt, oil, rust, the beat."""
    return any(s.condition in ("dirty", "dust", "old_oil", "dry", "over_oiled", "wrong_lubricant", "out_of_beat", "insect_debris", "trips") for s in states.state_phrases().get(state.value, ()))


def _pronoun(clause: Clause, state: Item) -> bool:
    """Whether "it", "they", "he" or "that" is the subject of the state."""
    lead = [item.value for item in clause.items if item.end <= state.start and item.kind == "word"]
    lead = [value for value in lead if value not in ("and", "but", "so", "well", "yes", "now", "though", "because", "oh", "or", "then", "still", "also")]
    numbers = [item for item in clause.items if item.end <= state.start and item.kind == "number" and item.value == "1"]
    if numbers and lead and lead[0] in ("the", "that", "this", "each", "every", "other"):
        return True
    return bool(lead) and lead[0] in ("it", "they", "he", "she", "that", "this", "these", "those")


def _located(book: Notebook, targets: tuple[Target, ...], phrase: Phrase, contact: bool, against: str | None, state: Item, clause: Clause) -> tuple[tuple[Target, ...], str | None]:
    """A part named behind a statement that has its subject: what is touched, where it is, or the part of a part."""
    held = book.focus.subjects, book.focus.hosts, book.focus.host_train, list(book.focus.recent), book.focus.train
    book.focus.settle(targets)
    found = subjects.targets(phrase, book.focus)
    book.focus.subjects, book.focus.hosts, book.focus.host_train, book.focus.recent, book.focus.train = held
    if not found:
        return targets, against
    part = found[0].component
    if contact:
        hour = next((t.place for t in found if t.place is not None and t.place.startswith("at_")), None)
        return tuple(replace(t, place=hour) if hour is not None and t.place is None else t for t in targets), against or part
    if targets[0].component == "oil" and part == "oil_sink":
        return (replace(found[0], of=None),), against
    if part in places_of_parts.PLACE_PARTS:
        return tuple(replace(t, place=part if part != "numerals" else "numerals") for t in targets), against
    if phrase.preposition in ("in", "on", "of", "to", "round", "around") and part in places_of_parts.HOSTS and targets[0].component in places_of_parts.WHEELS and not _stated_flatly(clause, state):
        return found, against
    if part == "pivot_hole" and targets[0].component in ("plates", "front_plate", "back_plate") and phrase.preposition in ("round", "around", "at", "in", "on", "by"):
        return found, against
    if phrase.preposition in ("in", "on", "along", "to") and states.is_noun(state.value) and places_of_parts.part_of(part) == targets[0].component:
        return found, against
    if part in places_of_parts.WHEELS and phrase.preposition in ("on", "of", "in") and targets[0].component in places_of_parts.HOSTS and targets[0].of is None:
        return tuple(replace(t, of=places_of_parts.of_wheel(part, found[0].of)) for t in targets), against
    place = found[0].place
    if place is not None and targets[0].place is None and part == targets[0].component:
        return tuple(replace(t, place=place) for t in targets), against
    return targets, against


def _named_before(book: Notebook, named: Sequence[Phrase], clause: Clause) -> tuple[Target, ...]:
    """Parts named before a state: all of a list, else the last with the others as its hosts."""
    words = [word.text for word in book.sentence]
    chosen: list[Target] = []
    relative = next((nth for nth in range(1, len(named)) if {"that", "which", "where"} & set(words[named[nth - 1].end:named[nth].start])), None)
    for nth, phrase in enumerate(named[:relative]):
        joined = nth and any(w in ("and", "or", "nor", "plus", "with") for w in words[named[nth - 1].end:phrase.start])
        found = subjects.targets(phrase, book.focus, all_of=_floating(book, clause, phrase))
        if not joined:
            if chosen and not (found and found[0].component in places_of_parts.HOSTS):
                book.focus.settle(chosen)
                found = subjects.targets(phrase, book.focus, all_of=_floating(book, clause, phrase)) or tuple(chosen)
            elif chosen:
                book.focus.settle(chosen)
                found = subjects.targets(phrase, book.focus, all_of=_floating(book, clause, phrase))
            chosen = list(found)
        else:
            chosen += [t for t in found if t not in chosen]
    listed = (len(named) > 1 and len(chosen) > 1) or (re.search(r"\b(?:all|both)\b", words_of(book, clause)) is not None and len(book.pending) > 1)
    if listed and book.pending and clause.joined in (",", "and") and not any(t.component in places_of_parts.HOSTS for t in chosen):
        chosen = [*[t for t in book.pending if t not in chosen], *chosen]
    return tuple(chosen)


def _floating(book: Notebook, clause: Clause, phrase: Phrase) -> str | None:
    """ "Pivots both scored", "teeth all good": the word stands behind the noun."""
    following = [item for item in clause.items if item.start >= phrase.end][:2]
    for item in following:
        if item.kind == "quant" and (phrase.plural or item.value == "both") and not any(i.kind == "word" and i.value in ("and", "or") for i in clause.items if i.start < phrase.end):
            return item.value
        if not (item.kind == "word" and item.value in ("are", "is", "'s", "were")):
            break
    return None


def _may_carry(book: Notebook, clause: Clause, state: Item, from_word: int) -> bool:
    """A statement without a part is said of what is in focus, unless it has a subject of its own that we do not know."""
    if "focus" not in book.layers:
        return False
    words = [item for item in clause.items if from_word <= item.start < state.start]
    cut = next((n for n, item in enumerate(words) if item.kind == "word" and item.value in _COPULA), None)
    lead = words[:cut] if cut is not None else words
    if cut is None and len(words) > 5:
        return all(item.kind != "word" or item.value in _FUNCTION for item in words)
    strangers = [item.value for item in lead if item.kind == "word" and item.value not in _FUNCTION and not item.value.endswith("ly")]
    if cut is None:
        return len(strangers) <= 1
    return not strangers


def _is_attribute(clause: Clause, state: Item) -> bool:
    before = [item for item in clause.items if item.end <= state.start]
    return not before or before[-1].kind in ("number", "not") or (before[-1].kind == "word" and before[-1].value in ("a", "an", "some", "the", "with", "has", "got", "have", "few", "couple", "of", "slightly", "badly", "very", "any", "two", "three"))


def _stated_flatly(clause: Clause, state: Item) -> bool:
    before = [item for item in clause.items if item.end <= state.start]
    return bool(before) and before[-1].kind == "word" and before[-1].value in ("is", "are", "'s") and state.value not in ("wear", "rust", "cracks", "crack")


def _first_part(targets: Sequence[Target]) -> str | None:
    return targets[0].component if targets else None
