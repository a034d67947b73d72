"""A clause that states something: which parts its states are said of, in which sense, how surely.

Never here: clauses that repeat, weigh or say what was not seen.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from underdial.telling import likely_parts, places_of_parts, polarity, states, subjects, turns
from underdial.telling.clauses import Clause
from underdial.telling.fitting import fitting, of_holes
from underdial.telling.headings import heading
from underdial.telling.heard import Finding
from underdial.telling.notebook import Notebook, keep, stamped, text_of, words_of
from underdial.telling.subjects import Target
from underdial.telling.tags import Item
from underdial.telling.whose_state import subjects_of
from underdial.telling.words import listed

_PLAIN_CERTAINTY = 0.9
_HISTORY = listed("punched bushed_before soldered glued altered signed got_at repaired shimmed repainted wrong_lubricant overpainted")
_FUTURE = listed("would will could can might may should to going gonna must shall cannot")
_VERBAL = listed("match shine slip slips rub rubs touch touches catch catches stick sticks hit hits jam jams clip hang wobble flop rattle bend split crack tear break lean hold bind scrape drop foul stop squeak lift come leak")
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
        found = subjects_of(book, clause, state, previous_end, following, carried, text)
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
        if rule.startswith("said of the part in focus") and _of_all(reading.condition, text_of(book.sentence)) and not any(f.condition == reading.condition and book.index - f.sentence <= 1 for f in book.findings[-3:]):
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
    if "likely_parts" not in book.layers or likely_parts.can_be(target.component, condition):
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
