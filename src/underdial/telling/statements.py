"""A clause that states something: which parts its states are said of, in which sense, how surely.

In order: parts named before the state; a part it is on; the part of the state before it; a part named behind it;
else what is in focus - unless the clause has a subject that is no part of a clock.

Never here: clauses that repeat, weigh or say what was not seen.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from underdial.telling import likely_parts, places_of_parts, polarity, state_words, states, subjects, turns
from underdial.telling.clauses import Clause
from underdial.telling.fitting import fitting, of_holes
from underdial.telling.headings import heading
from underdial.telling.heard import Finding
from underdial.telling.notebook import Notebook, in_focus, keep, stamped, text_of, words_of
from underdial.telling.subjects import Phrase, Target
from underdial.telling.tags import Item
from underdial.telling.words import listed

_PLAIN_CERTAINTY = 0.9
_CONTACT = frozenset(("rubbing", "fouling", "rubbing_mark", "caught"))
_HISTORY = listed("punched bushed_before soldered glued altered signed got_at repaired shimmed repainted wrong_lubricant overpainted")
_COPULA = listed("is are was were 's be been looks look feels feel seems has have had got gets")
_FUTURE = listed("would will could can might may should to going gonna must shall cannot")
_VERBAL = listed("match shine slip slips rub rubs touch touches catch catches stick sticks hit hits jam jams clip hang wobble flop rattle bend split crack tear break lean hold bind scrape drop foul stop squeak lift come leak")
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

def _new_subject(clause: Clause, state: Item, from_word: int) -> bool:
    """ "The spring is good full power is there": what stands before the second verb is no part that we know."""
    between = [item for item in clause.items if from_word <= item.start and item.end <= state.start]
    cut = next((at for at, item in enumerate(between) if item.kind == "word" and item.value in _COPULA and item.value not in ("has", "have", "had", "got")), None)
    return cut is not None and any(item.kind == "word" and item.value not in _FUNCTION and not item.value.endswith("ly") for item in between[:cut])


_LOSING = frozenset(("missing", "lost", "is missing", "has lost", "lacking", "lacks", "short of"))


def state_clause(book: Notebook, clause: Clause, text: str, pieces: Sequence[Clause], at: int, excepted: bool) -> None:
    """Every state of a clause, of its parts, in its sense."""
    if book.question or _is_target(text) or re.search(r"\b(?:i thought|i had (?:it|them|that) down|i would have sworn|you would think|i was going to say|(?<=no )not a (?:repair|crack|break|chip))\b", text) or (at and re.match(r"not an? \w+$", text) and pieces[at - 1].items[-1].value == "no"):
        if clause.phrases:
            heading(book, clause)
        return
    previous_end = clause.start
    was_denied = False
    carried: tuple[Target, ...] | None = None
    hedge = hedge_of(book, clause, pieces, at)
    for nth, state in enumerate(clause.states):
        following = clause.states[nth + 1].start if nth + 1 < len(clause.states) else clause.end
        found = _subjects_of(book, clause, state, previous_end, following, carried, text)
        denied = "negation" in book.layers and polarity.denied(clause.items, state, previous_end, before_denied=was_denied)
        between = [item for item in clause.items if previous_end <= item.start and item.end <= state.start]
        before_good = nth and getattr(states.state_of(clause.states[nth - 1].value, "movement"), "condition", "") == "good"
        if nth and denied and len(between) == 1 and between[0].value == "not" and not was_denied and not before_good:
            previous_end = state.end
            continue
        if found is not None and not _only_possible(book, clause, state):
            targets, rule, against = found
            _state_of_parts(book, targets, state, denied, hedge, clause, rule, against, excepted)
            if targets[0].component != "movement" and book.last and (book.last[-1].sentence, book.last[-1].component, book.last[-1].clause) == (book.index, "movement", book.clause_count):
                targets = (Target("movement"),)
            carried = targets
            book.focus.settle(targets, stated=True)
        previous_end, was_denied = state.end, denied


def _subjects_of(book: Notebook, clause: Clause, state: Item, from_word: int, to_word: int, carried: tuple[Target, ...] | None, text: str) -> tuple[tuple[Target, ...], str, str | None] | None:
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
            place_only = [item.value for item in phrase.items if item.kind == "place"]
            if targets and phrase.preposition is None and any(t.place is not None for t in targets):
                continue
            side = next((item.value for item in phrase.items if item.kind == "train"), None)
            if side is not None and had_subject and targets and phrase.preposition in ("on", "of", "for", "in") and all(t.component in places_of_parts.POWER and t.of != side for t in targets):
                targets = tuple(replace(t, of=side) for t in targets)
                continue
            base = targets or (in_focus(book) if _may_carry(book, clause, state, from_word) else ())
            if place_only and base:
                book.focus.subjects = base
                targets = subjects.targets(phrase, book.focus) or base
                rule = rule or "said of the part in focus, at a place"
            elif not place_only and base and not targets and phrase.preposition in ("on", "of", "in"):
                book.focus.subjects = base
                targets = subjects.targets(phrase, book.focus)
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


def _only_possible(book: Notebook, clause: Clause, state: Item) -> bool:
    """ "It could slip", "will be loose": nothing is said to be so."""
    before = [item for item in clause.items if item.end <= state.start]
    if state.value in ("broken", "snapped", "cracked", "split", "torn", "snapped off", "broke") and before and before[-1].value == "been" and re.search(r"\b(?:and|then|but) (?:\w+ ){0,2}(?:soldered|repaired|mended|glued|brazed|riveted|silver|welded|pinned|stuck|spliced|joined|filled)", text_of(book.sentence)):
        return True
    words = [item.value for item in before if item.kind == "word"]
    if first_word(state) in ("scraping", "scrubbing", "buffing", "hammering", "filing") and before and before[-1].value == "no" and not clause.phrases and len(before) <= 2:
        return True
    if state.value in ("glue", "hide glue", "solder", "soft solder", "epoxy", "superglue", "super glue") and (set(words) & {"will", "would", "get", "need", "needs", "use", "want", "wants", "put", "dab", "drop", "some"} or words[-2:] == ["bit", "of"]) and not set(words) & {"has", "have", "is", "'s", "there", "been", "somebody", "someone", "they", "he"}:
        return True
    first = state.value.split()[0]
    if words[-1:] and words[-1] in ("gets", "get", "getting") and state.value in ("replaced", "bushed", "repaired", "polished", "glued", "soldered", "filed"):
        return True
    lead = [item.value for item in before if item.value not in ("and", "but", "please", "so", "just", "you", "now", "even")]
    if first in _VERBAL and not states.is_noun(state.value) and words[-1:] and (words[-1] in ("i", "we", "you") or (words[-1] == "do" and words[-2:-1] and words[-2] in ("i", "we", "you"))):
        return True
    if first in _VERBAL and lead in (["do", "not"], ["never"], ["not"], ["nobody"], ["nobody", "else"], ["do", "not", "anybody"], ["do", "not", "anyone"], ["no", "one"]) and not states.is_noun(state.value) and (lead[0] in ("do", "never") or (len(lead) and lead[0] in ("nobody", "no"))):
        return True
    if {"until", "till", "unless", "if", "once", "before"} & set(words[-6:]) or words[-2:-1] == ["let"] or words[-1:] == ["let"]:
        return True
    if first in _VERBAL and {"could", "would", "might", "will", "let", "lets", "may"} & set(words[-6:]) and not {"is", "are", "has"} & set(words[-3:]):
        return True
    if (first in _VERBAL and words and words[-1] in _FUTURE) or (first in _VERBAL and len(words) >= 2 and words[-2] in _FUTURE and words[-1] in ("not", "just", "let", "all", "still")):
        return not (len(words) >= 2 and words[-1] == "can" and "see" in words)
    if words[-2:] in (["would", "be"], ["will", "be"], ["could", "be"], ["to", "be"], ["must", "be"], ["should", "be"], ["can", "be"], ["gets", "to"]):
        good = states.state_of(state.value, "movement")
        return not (good is not None and good.condition == "good" and words[-2] in ("should", "will", "must"))
    return False


def first_word(state: Item) -> str:
    """The first word of a state phrase."""
    return state.value.split()[0]


def hedge_of(book: Notebook, clause: Clause, pieces: Sequence[Clause], at: int) -> float | None:
    """The lowest hedge of the clause, or of a neighbour that is nothing but a hedge."""
    if "hedges" not in book.layers:
        return None
    found = [float(item.value.rstrip("n")) for item in clause.items if item.kind == "hedge"]
    for near in (at - 1, at + 1):
        if 0 <= near < len(pieces) and not pieces[near].states and not pieces[near].phrases and not any(i.kind == "weight" for i in pieces[near].items):
            found += [float(item.value.rstrip("n")) for item in pieces[near].items if item.kind == "hedge"]
    if re.search(r"\b(?:can|could) not (?:really )?(?:see|find|feel)\b", words_of(book, clause)):
        found.append(0.75)
    if re.search(r"\b(?:should|ought to) be (?:fine|okay|good|all right)", words_of(book, clause)):
        found.append(0.7)
    return min(found) if found else None


def _state_of_parts(book: Notebook, targets: Sequence[Target], state: Item, denied: bool, hedge: float | None, clause: Clause, rule: str, against: str | None, excepted: bool) -> None:
    fresh: list[Finding] = []
    if book.place_ahead is not None:
        targets = [replace(t, place=book.place_ahead) if t.place in (None, "all") and t.component in places_of_parts.WITH_ENDS else t for t in targets]
    if targets and targets[0].aspect == "endshake" and re.search(r"\b(?:all of (?:them|those)|everywhere|throughout|on all|all round|right through|all through|all the way through|the lot)\b|^all\b", words_of(book, clause)):
        targets = [Target("arbor", None, "all", "endshake")]
    said_of = words_of(book, clause)
    if len(targets) == 1 and targets[0].component in ("pallets", "pin_pallet", "pallet_stone") and targets[0].place is None and re.search(r"\b(?:in|on|of|at) each\b(?! (?:other|side))|\bboth (?:faces|sides|of them)\b", text_of(book.sentence)):
        targets = [replace(targets[0], place="both")]
    every = re.search(r"\b(all|both|each) of (?:them|these|those)\b", said_of)
    if every and len(targets) == 1 and targets[0].place is None and _reading_of(state, targets[0]):
        targets = [replace(targets[0], place=subjects.counted(targets[0].component, "all" if every[1] == "all" else "both"))]
    if targets and (targets[0].place == "both" or re.match(r"(?:and )?they\b", said_of)) and not re.search(r"\b(?:strike|going|time|chime)\b", said_of):
        targets = [replace(t, of=None) if t.component in places_of_parts.POWER and t.of in ("going", "strike", "chime") else t for t in targets]
    if re.search(r"\b(?:the )?(?:rest|others|other (?:two|three|four|five|six)) (?:is|are|'s|\w+)", said_of) and rule.startswith("said of the part in focus"):
        targets = [replace(t, of=None, place=None) if t.component in places_of_parts.HOSTS and t.component not in ("tooth", "leaf", "screw", "trundle") else replace(t, place=None) for t in targets]
    for target in targets:
        reading = next((s for s in states.state_phrases().get(state.value, ()) if s.parts is not None and target.aspect in s.parts), None) or states.state_of(state.value, target.component)
        if reading is None:
            continue
        present = reading.present != (denied and not excepted)
        if reading.condition in ("good", "endshake_ok") and not present:
            continue
        if denied and rule.startswith("said of the part in focus") and reading.present and re.match(r"^(?:(?:no|well|oh|so|and|but|actually) )*(?:(?:it|that|they|he|she) (?:is|are|was|has|does|do) not\b|not \w+$)", text_of(book.sentence)):
            earlier = next((f for f in reversed(book.findings) if f.condition == reading.condition and f.state == "present" and book.index - f.sentence <= (6 if len(book.sentence) == 2 else 3)), None)
            if earlier is not None and earlier.component != target.component:
                target = Target(earlier.component, earlier.of, earlier.place)
        if not present and re.search(r"\b(?:the|all) (?:rest|others|other (?:one|ones|two|three|four|five|six))\b", said_of) and any(f.component == target.component and f.condition == reading.condition and f.state == "present" and book.index - f.sentence <= 3 for f in book.findings):
            continue
        if rule.startswith("said of the part in focus") and _of_all(reading.condition, text_of(book.sentence)):
            target = Target("movement")
        if rule.startswith("said of the part in focus") and "references" in book.layers:
            if reading.condition in ("dirty", "old_oil") and (target.component in ("taper_pin", "screw", "pillar", "case_screw", "steady_pin", "key", "label") or target.component == "plates") and (target.component != "plates" or re.match(r"^(?:and |but |so |well |oh )*(?:it|everything|all) ", said_of)):
                target = Target("movement")
            able = _able(book, target, reading.condition)
            if able is None:
                continue
            target = able
        placed = fitting(reading.condition, target, book.focus)
        if placed is None:
            continue
        component, of, place, condition = of_holes(*placed, text_of(book.sentence), book.last)
        if component == "chain_hook" and (end := re.search(r"\b(fusee|barrel) end\b", said_of)) is not None:
            of = end[1]
        if place == "all" and component == "tooth" and condition in ("missing", "bent", "good"):
            place = None
        finding = Finding(component, condition, "present" if present else "absent", of, place, _PLAIN_CERTAINTY if hedge is None else hedge,
                          against=against, extent=polarity.graded(clause.items, state) if present else None,
                          rule=f"{rule}; {'denied; ' if denied else ''}'{state.value}' is {condition} {'present' if present else 'absent'}", aspect=target.aspect)
        if (condition in _HISTORY and present) or (turns.says("earlier", text_of(book.sentence)) and condition in (*_HISTORY, "replaced", "mismatched", "wrong_size")):
            finding.who = "earlier-work"
        fresh.append(stamped(book, finding, clause))
    if {f.component for f in fresh} >= {"minute_hand", "hour_hand"} and fresh[0].condition in ("mismatched", "replaced"):
        fresh = [replace(fresh[0], component="hands")]
    if fresh:
        book.focus.denied = fresh[-1].condition if fresh[-1].state == "absent" else None
        keep(book, fresh)


def _of_all(condition: str, text: str) -> bool:
    """ "Toffee, everywhere you look": dirt and oil that are everywhere are the movement's."""
    return condition in ("dirty", "dust", "old_oil", "dry", "over_oiled", "wrong_lubricant", "insect_debris") and (
        condition == "wrong_lubricant" or re.search(r"\b(?:everywhere|all over (?:it|everything|the place|the inside)|all through|throughout|right through|the whole thing|the whole lot|inside and out|all round|wherever|in here)\b", text) is not None)


def _able(book: Notebook, target: Target, condition: str) -> Target | None:
    """The part in focus, or the nearest one spoken of that can be in this condition."""
    if likely_parts.can_be(target.component, condition):
        return target
    if condition == "scored" and target.component == "pivot_hole":
        return replace(target, component="pivot")
    for finding in [f for f in reversed(book.findings[-5:]) if book.index - f.sentence <= 3]:
        if likely_parts.can_be(finding.component, condition):
            return Target(finding.component, finding.of, finding.place)
    near = likely_parts.nearest(condition, [part for part in book.focus.recent if part != target.component])
    return Target(near) if near is not None else None


def _reading_of(state: Item, target: Target) -> bool:
    """Whether a state phrase can be said of a part at all."""
    return states.state_of(state.value, target.component) is not None


def _is_target(text: str) -> bool:
    return (turns.says("target", text) and not re.search(r"should be (?:fine|okay|good|all right)|(?:like|as) (?:it|they) should|(?:how|where) (?:it|they) should be|that is as it|the way (?:it|they|that)|just (?:as|how|like)|where (?:it|they)", text)) or turns.says("general", text)


def _is_attribute(clause: Clause, state: Item) -> bool:
    before = [item for item in clause.items if item.end <= state.start]
    return not before or before[-1].kind in ("number", "not") or (before[-1].kind == "word" and before[-1].value in ("a", "an", "some", "the", "with", "has", "got", "have", "few", "couple", "of", "slightly", "badly", "very", "any", "two", "three"))


def _stated_flatly(clause: Clause, state: Item) -> bool:
    before = [item for item in clause.items if item.end <= state.start]
    return bool(before) and before[-1].kind == "word" and before[-1].value in ("is", "are", "'s") and state.value not in ("wear", "rust", "cracks", "crack")


def _first_part(targets: Sequence[Target]) -> str | None:
    return targets[0].component if targets else None
