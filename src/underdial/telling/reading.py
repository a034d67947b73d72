"""Sentences to findings: each state of each clause is given its part, its sense and its certainty.

The reader walks once through the sentences. A clause that only names parts sets the focus; a clause that states
something is said of the parts named in it, else of those in focus; a turn of speech that weighs or decides is
put on the findings it is said of. Every finding carries the rule that made it.

Never here: numbers with units (`measuring`), the owner's story (`owner_story`).
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from underdial.telling import clauses, lexicon, places_of_parts, polarity, subjects, turns
from underdial.telling.clauses import Clause
from underdial.telling.heard import Finding
from underdial.telling.subjects import Focus, Phrase, Target
from underdial.telling.tags import Item
from underdial.telling.words import Word

_PLAIN_CERTAINTY = 0.9
_CONTACT = frozenset(("rubbing", "fouling", "rubbing_mark", "caught"))
_HISTORY = frozenset("punched bushed_before soldered glued altered signed got_at repaired shimmed repainted wrong_lubricant overpainted".split())
_COPULA = frozenset("is are was were 's be been looks look feels feel seems has have had got gets".split())
_FUTURE = frozenset("would will could can might may should to going gonna must shall cannot".split())
_INTERJECTIONS = frozenset(("lovely", "good", "fine", "right", "okay", "great", "nice", "perfect", "grand", "allright", "all right", "beautiful", "excellent", "gone", "lovely job", "sweet", "good good", "very good", "correct", "very nice", "how nice"))
_WEAR = frozenset("grooved scored pitted oval blunt hooked worn_thin tapered stretched stripped hardened too_much_sideshake".split())
_VERBAL = frozenset("slip slips rub rubs touch touches catch catches stick sticks hit hits jam jams clip hang wobble flop rattle bend split crack tear break lean hold bind scrape drop foul stop squeak lift come leak".split())
_FUNCTION = frozenset("""a an the it its it's is are was were be been being i you he she we they them their his her my your our me us that this these those there here what which who
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
possibly job clock customer owner must shall should needs need wants want up behind between against above below beside towards toward past like unlike except apart bar save besides plus minus
per without within wear amount total rest remaining others ones straight directly deal great good shame pity nice left right call honest
""".split())


class Reader:
    """Walks through a look-over and keeps what later sentences may point back to."""

    def __init__(self, *, traits: frozenset[str], several_trains: bool, layers: frozenset[str], summary_from: int) -> None:
        self.findings: list[Finding] = []
        self.focus = Focus(traits=traits, several_trains=several_trains)
        self.layers = layers
        self._summary_from = summary_from
        self._last: list[Finding] = []
        self._pending: list[Target] = []
        self._sentence: tuple[Word, ...] = ()
        self._index = 0
        self._clause_count = 0
        self._question = False
        self._summary = False
        self._heading_only = False
        self.named: list[tuple[int, Target]] = []
        self._status: str | None = None
        self._listed = False
        self._colon = False
        self._previous_length = 0
        self.arc_at = -9

    def read(self, sentence: Sequence[Word], index: int) -> None:
        """Take in one sentence."""
        self._index = index
        self.named = []
        self._colon = False
        self.focus.said_now = None
        if self._status is not None and (len(sentence) > 6 or sentence[0].text in ("so", "right", "summary")):
            self._status = None
        self.focus.train = self.focus.section if not any(t.component in places_of_parts.POWER for t in self.focus.subjects) else self.focus.train
        sentence = self._answered(tuple(sentence))
        sentence = self._put_right(sentence)
        if not sentence:
            return
        self._sentence = sentence
        text = _text(sentence)
        self._question = sentence[-1].stop == "?" and not re.search(r"\b(?:is|does|has|are|do|did|was) (?:not )?(?:it|they|he|she|that)$", text) and not text.endswith(("see", "look", "okay", "right"))
        self._summary = self._summary or index >= self._summary_from and re.match(r"^(?:(?:okay|right|well|now|and|so) )*(?:so|verdict|summary|bottom line|to finish|all in all|together|in short|in one sentence|overall|to sum up|conclusion|what stops|the list)\b", text) is not None
        if self._heading_only and self._pending and len(sentence) <= 12:
            pass
        else:
            self._pending = []
        if turns.says("talk", text) and not self._states_part(text):
            return
        pieces = clauses.clauses(sentence)
        self.focus.nearby = [item.value for c in pieces for item in c.items if item.kind in ("part", "wheel")] if len(sentence) <= 25 else []
        for at, clause in enumerate(pieces):
            self._clause_count += 1
            self._read_clause(clause, pieces, at)
        self._previous_length = len(sentence)
        self._heading_only = any(c.phrases for c in pieces) and all(not c.states and not any(i.kind in ("decision", "weight", "not_seen") for i in c.items) for c in pieces) and bool(self._pending)

    def note(self, component: str, condition: str, sentence: Sequence[Word], index: int, value: float | None = None, unit: str | None = None) -> None:
        """Add a finding that a number tells, unless the words have told it already."""
        if any(f.component == component and f.condition == condition and index - f.sentence <= 2 for f in self.findings):
            return
        self._sentence = tuple(sentence)
        finding = Finding(component, condition, "present", value=value, unit=unit, start_s=sentence[0].start_s, end_s=sentence[-1].end_s, words=_raw(sentence), rule="told by the number", sentence=index)
        self.findings.append(finding)
        self._last = [finding]

    # One clause.

    def _read_clause(self, clause: Clause, pieces: Sequence[Clause], at: int) -> None:
        text = self._words(clause)
        held = self.focus.subjects, self.focus.hosts, self.focus.host_train, list(self.focus.recent), self.focus.train
        for phrase in clause.phrases:
            self.named += [(phrase.start, target) for target in subjects.targets(phrase, self.focus)[:1]]
        self.focus.subjects, self.focus.hosts, self.focus.host_train, self.focus.recent, self.focus.train = held
        if re.match(rf"^(?:and |so |but )?{turns.IF_CLAUSE}", text) or clause.joined in ("if", "or") and clause.states and not clause.phrases and "will" in text.split():
            return
        excepted = re.match(r"^(?:apart from|except(?: for)?|other than|bar|but for|save for|aside from|with the exception of)\b", text) is not None or clause.joined in ("except", "bar") and not clause.states
        if "swing" in self._arc_words(text):
            self.note("balance" if "balance" in self.focus.traits and "torsion" not in self.focus.traits else "pendulum", "low_amplitude", self._sentence, self._index)
            return
        if clause.joined == "which" and at and pieces[at - 1].phrases and not clause.phrases:
            self.focus.settle(subjects.targets(pieces[at - 1].phrases[-1], self.focus) or self.focus.subjects)
        if clause.states and self._only_exclaimed(clause, text, pieces, at):
            return
        if self._places_last(clause, pieces, at):
            return
        everyone = re.fullmatch(r"(?:every one|all of them|each one|every single one|the lot of them|both of them)(?: of them)?", text)
        if everyone and self._last and self._last[0].sentence >= self._index - 1 and all(f.place is None for f in self._last):
            for finding in self._last:
                finding.place = subjects.counted(finding.component, "both" if text.startswith("both") else "all")
            return
        if "status" in self.layers and any(item.kind == "not_seen" for item in clause.items):
            self._not_seen(clause, pieces, at)
        elif clause.states:
            self._status = None
            self._colon = clause.joined == ":" or self._colon and clause.joined in (",", "and")
            self._state(clause, text, pieces, at, excepted)
        elif "references" in self.layers and (_repeats(text) or _compares(text, clause) or clause.joined == "so" and re.match(r"(?:is|are|has|does) (?:the|its|that|this|both)\b", text)):
            self._repeat(clause)
        elif "references" in self.layers and re.match(r"^nothing (?:at|on|in) the \w+", text) and clause.phrases and self._last and self._last[0].sentence >= self._index - 1:
            self._repeat(clause, state="absent")
        elif clause.phrases and _endshake_said(clause) is not None and any(i.kind == "aspect" and i.value == "endshake" for i in clause.items):
            self._endshake(clause, _endshake_said(clause) or "")
        elif clause.phrases and any(f.condition == "endshake_ok" and f.sentence == self._index for f in self.findings[-3:]) and _endshake_said(clause) is not None and any(i.kind == "wheel" for p in clause.phrases for i in p.items):
            found = [Target("arbor", places_of_parts.of_wheel(t.component, t.of)) for p in clause.phrases for t in subjects.targets(p, self.focus) if t.component in places_of_parts.WHEELS]
            self._emit_all(found[:1], _endshake_said(clause) or "", "present", clause, _PLAIN_CERTAINTY, "endshake judged by its amount")
        elif excepted and clause.phrases and self._last:
            self._exception(clause)
        elif clause.phrases and self._status is not None and clause.phrases[0].preposition in (None, "nor", "in"):
            self._listed_unseen(clause)
        elif clause.phrases and not any(item.kind in ("decision", "weight") for item in clause.items):
            self._heading(clause)
        elif any(t.aspect == "endshake" for t in self.focus.subjects) and _endshake_said(clause) is not None and not clause.phrases:
            self._emit_all(self.focus.subjects, _endshake_said(clause) or "", "present", clause, 0.9, "endshake judged by its amount")
        if "weight" in self.layers:
            self._weigh(clause)
        if any(item.kind == "weight" for item in clause.items) and clause.phrases and not clause.states:
            found = subjects.targets(clause.phrases[-1], self.focus)
            if found:
                self.focus.settle(found)

    def _only_exclaimed(self, clause: Clause, text: str, pieces: Sequence[Clause], at: int) -> bool:
        """ "Right." "Lovely, leave that." "... tight, that's good." say nothing of a part."""
        if text in _INTERJECTIONS and at == 0 and (len(pieces) > 1 and not pieces[1].states or not self._heading_only) and not (self._heading_only and text not in ("right", "gone", "okay")):
            return len(pieces) > 1 or text in ("right", "okay", "gone", "lovely", "great", "nice", "good", "fine")
        said_before = any(c.states for c in pieces[:at])
        return re.fullmatch(r"(?:and |so |but )?(?:that is|which is|this is) (?:\w+ )?(?:good|fine|okay|nice|right|lovely|perfect|correct|a nice change|the main thing)", text) is not None and said_before or text.startswith(("that will be the", "that is the ", "that will be his", "that will be her")) and not clause.phrases

    def _arc_words(self, text: str) -> str:
        """ "That's poor" behind an arc that was read is said of the swing."""
        if re.fullmatch(r"(?:and |but )?(?:that is |which is |it is )?(?:very |too |rather |pretty |really )?(?:poor|low|weak|feeble|miserable|down)(?: for \w+(?: \w+)?| for an? \w+)?", text) and self._index - self.arc_at <= 1:
            return "swing"
        return ""

    def _places_last(self, clause: Clause, pieces: Sequence[Clause], at: int) -> bool:
        """ "Chipped, front edge": a place alone behind a statement is where that was."""
        if not at or clause.states or not clause.phrases or any(i.kind in ("decision", "weight", "not_seen") for i in clause.items) or not self._last or self._last[0].sentence != self._index:
            return False
        following = pieces[at + 1] if at + 1 < len(pieces) else None
        if any(item.kind in ("part", "shared", "wheel", "aspect", "train") for p in clause.phrases for item in p.items) or following is not None and following.states and not following.phrases:
            return False
        place = subjects.place_of(clause.phrases[0])
        if place is not None and (all(f.place is None for f in self._last) or place.startswith("at_")):
            for finding in self._last:
                finding.place = place
        return place is not None

    def _heading(self, clause: Clause) -> None:
        """Only parts are named: they are spoken of from here on."""
        first = clause.phrases[0]
        if len(clause.phrases) == 1 and all(i.kind in ("train", "word") for i in first.items) and any(i.kind == "train" for i in first.items) and (first.end - first.start >= 2 or len(self._sentence) <= 3) and not any(i.value in ("one", "1") for i in clause.items):
            self.focus.section = self.focus.train = next(i.value for i in first.items if i.kind == "train")
            if first.end - first.start >= 2:
                self.focus.hosts, self.focus.generic = (), None
                return
        if first.preposition in ("than", "like", "with") and first.start > 0 and not self._words(clause).startswith(("start", "begin", "so start", "we start")):
            return
        if first.preposition is not None and not self._words(clause).startswith(("start", "begin", "now for", "on to", "under the dial", "for the", "so to")) and (self.focus.subjects and clause.joined or first.preposition in ("near", "by", "against", "from", "through", "behind", "above", "below", "round", "around", "between", "past", "to")
                                                or any(i.kind == "word" and i.value in ("it", "they", "that") for i in clause.items if i.end <= first.start)):
            return
        named: list[Target] = []
        for phrase in clause.phrases:
            if phrase.preposition in ("than", "like", "by", "with", "to", "from") and named:
                continue
            if phrase.preposition is not None and named and phrase.preposition not in ("on", "of", "in", "for"):
                continue
            found = subjects.targets(phrase, self.focus)
            if found and named and found[0].component in places_of_parts.HOSTS and phrase.preposition is None:
                self.focus.settle(named)
                found = subjects.targets(phrase, self.focus)
                named = []
            named += [t for t in found if t not in named]
            if phrase.preposition in ("on", "in", "for", "of") and len(named) > 1:
                named = named[:1]
        if not named:
            return
        if clause.joined == "," and clause.items[-1].end == len(self._sentence) and self._named_after(named, self._words(clause)):
            return
        apposed = re.match(r"^(?:the|a|an|that|those|its) ", self._words(clause)) is not None and named[0].component not in places_of_parts.HOSTS and named[0].component not in places_of_parts.WHEELS
        if clause.joined == "," and self._pending and apposed and len(named) == 1:
            return
        last_of_sentence = clause.items[-1].end == len(self._sentence)
        if clause.joined == "," and last_of_sentence and self._last and self._last[0].sentence == self._index and not any(t.component in places_of_parts.WHEELS for t in named) and not self._pending:
            return
        same_kind = self._pending and clause.joined in (",", "and") and all(t.component in places_of_parts.WHEELS for t in (*self._pending, *named))
        together = [*self._pending, *named] if same_kind else named
        self._listed = clause.joined in ("and", "or", "nor") or len(named) > 1 and bool({"and", "or"} & {i.value for i in clause.items if i.kind == "word"})
        if len(named) == 1 and named[0].component in ("pivot", "pivot_hole", "bush", "trundle", "pinion", "leaf", "tooth", "collet", "arbor") and (named[0].of is None or clause.phrases[0].plural) and named[0].aspect != "endshake":
            self.focus.generic = named[0].component
        elif any(t.component not in places_of_parts.HOSTS and t.component not in places_of_parts.WHEELS for t in named):
            self.focus.generic = None
        self._pending = [*self._pending, *named] if clause.joined in (",", "and", "or", "nor") else list(named)
        self.focus.settle(together)

    def _named_after(self, named: Sequence[Target], text: str) -> bool:
        """ "It's bent, that staff": the part is named behind what was said of it."""
        if not re.match(r"^(?:the|that|this|those|these|them|whole|both) ", text) or not self._last or any(f.sentence != self._index or "in focus" not in f.rule for f in self._last):
            return False
        for finding in self._last:
            placed = _fitting(finding.condition, named[0], self.focus)
            if placed is not None:
                finding.component, finding.of, finding.place, finding.condition = placed
        self.focus.settle(named)
        return True

    def _state(self, clause: Clause, text: str, pieces: Sequence[Clause], at: int, excepted: bool) -> None:
        if self._question or _is_target(text) or re.search(r"\b(?:i thought|i had (?:it|them|that) down|i would have sworn|you would think|i was going to say|(?<=no )not a (?:repair|crack|break|chip))\b", text) or at and re.match(r"not an? \w+$", text) and pieces[at - 1].items[-1].value == "no":
            if clause.phrases:
                self._heading(clause)
            return
        previous_end = clause.start
        was_denied = False
        carried: tuple[Target, ...] | None = None
        hedge = self._hedge(clause, pieces, at)
        for nth, state in enumerate(clause.states):
            following = clause.states[nth + 1].start if nth + 1 < len(clause.states) else clause.end
            found = self._subjects(clause, state, previous_end, following, carried, text)
            denied = "negation" in self.layers and polarity.denied(clause.items, state, previous_end, before_denied=was_denied)
            between = [item for item in clause.items if previous_end <= item.start and item.end <= state.start]
            before_good = nth and getattr(lexicon.state_of(clause.states[nth - 1].value, "movement"), "condition", "") == "good"
            if nth and denied and len(between) == 1 and between[0].value == "not" and not was_denied and not before_good:
                previous_end = state.end
                continue
            if found is not None and not self._only_possible(clause, state):
                targets, rule, against = found
                self._state_of(targets, state, denied, hedge, clause, rule, against, excepted)
                carried = targets
                self.focus.settle(targets, stated=True)
            previous_end, was_denied = state.end, denied

    def _subjects(self, clause: Clause, state: Item, from_word: int, to_word: int, carried: tuple[Target, ...] | None, text: str) -> tuple[tuple[Target, ...], str, str | None] | None:
        """The parts a state is said of, the rule that found them, and what it touches."""
        before = [p for p in clause.phrases if from_word <= p.start and p.end <= state.start and p.preposition not in ("than", "like")]
        after = [p for p in clause.phrases if state.end <= p.start < to_word and p.preposition not in ("than", "like")]
        named = [p for p in before if p.preposition is None]
        if named:
            targets, rule = self._named(named, clause), "said of the part named before it"
        elif before:
            targets, rule = subjects.targets(before[-1], self.focus), "said of the part it is on"
            if before[-1].items[0].kind == "place" and len(before[-1].items) == 1 and not targets:
                targets = self._in_focus()
        elif carried is not None:
            targets, rule = carried, "second state of the same part"
        else:
            targets, rule = (), ""
        return self._with_after(clause, state, targets, rule, after, text, from_word)

    def _with_after(self, clause: Clause, state: Item, targets: tuple[Target, ...], rule: str, after: Sequence[Phrase], text: str, from_word: int) -> tuple[tuple[Target, ...], str, str | None] | None:
        against: str | None = None
        contact = any(s.condition in _CONTACT - {"rubbing_mark"} for s in lexicon.state_phrases().get(state.value, ()))
        had_subject = before_named = bool(targets)
        for phrase in after:
            has_part = any(item.kind in ("part", "shared", "wheel", "aspect") for item in phrase.items)
            adjacent = phrase.start - state.end <= 1 and phrase.preposition is None
            if not has_part and phrase.preposition in ("towards", "toward", "past", "from"):
                continue
            if not has_part:
                place_only = [item.value for item in phrase.items if item.kind == "place"]
                if targets and phrase.preposition is None and any(t.place is not None for t in targets):
                    continue
                base = targets or (self._in_focus() if self._may_carry(clause, state, from_word) else ())
                if place_only and base:
                    self.focus.subjects = base
                    targets = subjects.targets(phrase, self.focus) or base
                    rule = rule or "said of the part in focus, at a place"
                elif not place_only and base and not targets and phrase.preposition in ("on", "of", "in"):
                    self.focus.subjects = base
                    targets = subjects.targets(phrase, self.focus)
                continue
            if had_subject is False and has_part and phrase.preposition is None and {"somebody", "someone", "they", "nobody", "man", "whoever"} & {i.value for i in clause.items if i.end <= state.start}:
                targets, rule = subjects.targets(phrase, self.focus), "done to the part named behind it"
                continue
            if targets and had_subject and not adjacent:
                targets, against = self._located(targets, phrase, contact, against, state, clause)
                continue
            if not targets and not adjacent and not before_named and not lexicon.is_noun(state.value) and state.value.split()[0] not in ("nothing", "no", "not", "signed", "punched", "punch", "ring") \
                    and phrase.preposition is not None and state.start - clause.start <= 2 and self.focus.subjects and self._may_carry(clause, state, from_word):
                targets, rule, had_subject = self._in_focus(), "said of the part in focus", True
                targets, against = self._located(targets, phrase, contact, against, state, clause)
                continue
            if not targets or adjacent and _is_attribute(clause, state):
                if contact and not adjacent and self._may_carry(clause, state, from_word):
                    targets, rule = self._in_focus(), "said of the part in focus"
                    against = _first_part(subjects.targets(phrase, self.focus))
                    had_subject = True
                    continue
                if phrase.preposition in ("by", "with", "like") and not adjacent and not state.value.startswith(("nothing", "no ", "happy")):
                    continue
                shown = [item.value for item in phrase.items if item.kind == "part" and item.value in places_of_parts.PLACE_PARTS]
                if shown and not targets and phrase.preposition in ("round", "around", "at", "by", "near") and self.focus.subjects and self._may_carry(clause, state, from_word):
                    targets, rule = tuple(replace(t, place=shown[0]) for t in self._in_focus()), "said of the part in focus, at a place"
                    continue
                if targets:
                    self.focus.settle(targets)
                if phrase.preposition in ("off", "from", "near", "past", "towards", "toward", "behind", "over", "above", "below", "between", "into", "through", "than", "beside"):
                    continue
                if adjacent and lexicon.is_noun(state.value) and state.start != clause.start:
                    continue
                found = subjects.targets(phrase, self.focus)
                if found:
                    targets, rule = found, "said of the part named behind it"
        if not targets and self._may_carry(clause, state, from_word):
            targets, rule = self._in_focus(), "said of the part in focus"
            every = re.search(r"\b(both|either|each|all|every one)(?: one)? of (?:them|those|these|the)\b|^(?:they are |are |and )?(both|all)\b|\b(both|all)$", text)
            if every and targets and len(targets) == 1:
                word = next(w for w in every.groups() if w)
                targets = tuple(replace(t, place=subjects.counted(t.component, "all" if word in ("all", "every one") else "both")) for t in targets)
        if contact and targets and re.search(r"\b(?:catches|hits|rubs|touches|clips|fouls|rubbing|touching|catching) (?:it|on it|against it)\b", text) and before_named and self.focus.subjects:
            targets, against = self.focus.subjects[:1], targets[0].component
        return (targets, rule, against) if targets else None

    def _located(self, targets: tuple[Target, ...], phrase: Phrase, contact: bool, against: str | None, state: Item, clause: Clause) -> tuple[tuple[Target, ...], str | None]:
        """A part named behind a statement that has its subject: what is touched, where it is, or the part of a part."""
        held = self.focus.subjects, self.focus.hosts, self.focus.host_train, list(self.focus.recent), self.focus.train
        self.focus.settle(targets)
        found = subjects.targets(phrase, self.focus)
        self.focus.subjects, self.focus.hosts, self.focus.host_train, self.focus.recent, self.focus.train = held
        if not found:
            return targets, against
        part = found[0].component
        if contact:
            return targets, against or part
        if part in places_of_parts.PLACE_PARTS:
            return tuple(replace(t, place=part if part != "numerals" else "numerals") for t in targets), against
        if phrase.preposition in ("in", "on", "of", "to", "round", "around") and part in places_of_parts.HOSTS and targets[0].component in places_of_parts.WHEELS and not _stated_flatly(clause, state):
            return found, against
        if phrase.preposition in ("in", "on", "along", "to") and lexicon.is_noun(state.value) and places_of_parts.part_of(part) == targets[0].component:
            return found, against
        if part in places_of_parts.WHEELS and phrase.preposition in ("on", "of", "in") and targets[0].component in places_of_parts.HOSTS and targets[0].of is None:
            return tuple(replace(t, of=places_of_parts.of_wheel(part, found[0].of)) for t in targets), against
        place = found[0].place
        if place is not None and targets[0].place is None and part == targets[0].component:
            return tuple(replace(t, place=place) for t in targets), against
        return targets, against

    def _named(self, named: Sequence[Phrase], clause: Clause) -> tuple[Target, ...]:
        """Parts named before a state: all of a list, else the last with the others as its hosts."""
        words = [word.text for word in self._sentence]
        chosen: list[Target] = []
        relative = next((nth for nth in range(1, len(named)) if {"that", "which", "where"} & set(words[named[nth - 1].end:named[nth].start])), None)
        for nth, phrase in enumerate(named[:relative]):
            joined = nth and any(w in ("and", "or", "nor", "plus", "with") for w in words[named[nth - 1].end:phrase.start])
            found = subjects.targets(phrase, self.focus, all_of=self._floating(clause, phrase))
            if not joined:
                if chosen and not (found and found[0].component in places_of_parts.HOSTS):
                    self.focus.settle(chosen)
                    found = subjects.targets(phrase, self.focus, all_of=self._floating(clause, phrase)) or tuple(chosen)
                elif chosen:
                    self.focus.settle(chosen)
                    found = subjects.targets(phrase, self.focus, all_of=self._floating(clause, phrase))
                chosen = list(found)
            else:
                chosen += [t for t in found if t not in chosen]
        listed = len(named) > 1 and len(chosen) > 1 or re.search(r"\b(?:all|both)\b", self._words(clause)) is not None and len(self._pending) > 1
        if listed and self._pending and clause.joined in (",", "and") and not any(t.component in places_of_parts.HOSTS for t in chosen):
            chosen = [*[t for t in self._pending if t not in chosen], *chosen]
        return tuple(chosen)

    def _floating(self, clause: Clause, phrase: Phrase) -> str | None:
        """ "Pivots both scored", "teeth all good": the word stands behind the noun."""
        following = [item for item in clause.items if item.start >= phrase.end][:2]
        for item in following:
            if item.kind == "quant" and (phrase.plural or item.value == "both") and not any(i.kind == "word" and i.value in ("and", "or") for i in clause.items if i.start < phrase.end):
                return item.value
            if not (item.kind == "word" and item.value in ("are", "is", "'s", "were")):
                break
        return None

    def _in_focus(self) -> tuple[Target, ...]:
        listed = self._listed or len(self._pending) >= 3 or self._colon or re.search(r"\b(?:all|both)\b", _text(self._sentence)) is not None
        if len(self._pending) > 1 and listed and set(self._pending) >= set(self.focus.subjects):
            return tuple(self._pending)
        return self.focus.subjects

    def _may_carry(self, clause: Clause, state: Item, from_word: int) -> bool:
        """A statement without a part is said of what is in focus, unless it has a subject of its own that we do not know."""
        if "focus" not in self.layers:
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

    def _only_possible(self, clause: Clause, state: Item) -> bool:
        """ "It could slip", "will be loose": nothing is said to be so."""
        before = [item for item in clause.items if item.end <= state.start]
        words = [item.value for item in before if item.kind == "word"]
        first = state.value.split()[0]
        if words[-1:] and words[-1] in ("gets", "get", "getting") and state.value in ("replaced", "bushed", "repaired", "polished", "glued", "soldered", "filed"):
            return True
        if {"until", "till", "unless", "if", "once", "before"} & set(words[-6:]) or words[-2:-1] == ["let"] or words[-1:] == ["let"]:
            return True
        if first in _VERBAL and {"could", "would", "might", "will", "let", "lets", "may"} & set(words[-6:]) and not {"is", "are", "has"} & set(words[-3:]):
            return True
        if first in _VERBAL and words and words[-1] in _FUTURE or first in _VERBAL and len(words) >= 2 and words[-2] in _FUTURE and words[-1] in ("not", "just", "let", "all", "still"):
            return not (len(words) >= 2 and words[-1] == "can" and "see" in words)
        if words[-2:] in (["would", "be"], ["will", "be"], ["could", "be"], ["to", "be"], ["must", "be"], ["should", "be"], ["can", "be"], ["gets", "to"]):
            good = lexicon.state_of(state.value, "movement")
            return not (good is not None and good.condition == "good" and words[-2] in ("should", "will", "must"))
        return False

    def _hedge(self, clause: Clause, pieces: Sequence[Clause], at: int) -> float | None:
        """The lowest hedge of the clause, or of a neighbour that is nothing but a hedge."""
        if "hedges" not in self.layers:
            return None
        found = [float(item.value.rstrip("n")) for item in clause.items if item.kind == "hedge"]
        for near in (at - 1, at + 1):
            if 0 <= near < len(pieces) and not pieces[near].states and not pieces[near].phrases and not any(i.kind == "weight" for i in pieces[near].items):
                found += [float(item.value.rstrip("n")) for item in pieces[near].items if item.kind == "hedge"]
        if re.search(r"\b(?:can|could) not (?:really )?(?:see|find|feel)\b", self._words(clause)):
            found.append(0.75)
        if re.search(r"\b(?:should|ought to) be (?:fine|okay|good|all right)", self._words(clause)):
            found.append(0.7)
        return min(found) if found else None

    # Findings.

    def _state_of(self, targets: Sequence[Target], state: Item, denied: bool, hedge: float | None, clause: Clause, rule: str, against: str | None, excepted: bool) -> None:
        fresh: list[Finding] = []
        if targets and targets[0].aspect == "endshake" and re.search(r"\b(?:all of (?:them|those)|everywhere|throughout|on all|all round|right through)\b|^all\b", self._words(clause)):
            targets = [Target("arbor", None, "all", "endshake")]
        said_of = self._words(clause)
        every = re.search(r"\b(all|both|each) of (?:them|these|those)\b", said_of)
        if every and len(targets) == 1 and targets[0].place is None and reading_of(state, targets[0]):
            targets = [replace(targets[0], place=subjects.counted(targets[0].component, "all" if every[1] == "all" else "both"))]
        if targets and (targets[0].place == "both" or re.match(r"(?:and )?they\b", said_of)) and not re.search(r"\b(?:strike|going|time|chime)\b", said_of):
            targets = [replace(t, of=None) if t.component in places_of_parts.POWER and t.of in ("going", "strike", "chime") else t for t in targets]
        for target in targets:
            reading = next((s for s in lexicon.state_phrases().get(state.value, ()) if s.parts is not None and target.aspect in s.parts), None) or lexicon.state_of(state.value, target.component)
            if reading is None:
                continue
            present = reading.present != (denied and not excepted)
            if reading.condition in ("good", "endshake_ok") and not present:
                continue
            if denied and rule.startswith("said of the part in focus") and reading.present:
                earlier = next((f for f in reversed(self.findings) if f.condition == reading.condition and f.state == "present" and self._index - f.sentence <= 5), None)
                if earlier is not None and earlier.component != target.component:
                    target = Target(earlier.component, earlier.of, earlier.place)
            placed = _fitting(reading.condition, target, self.focus)
            if placed is None:
                continue
            component, of, place, condition = _of_holes(*placed, _text(self._sentence), self._last)
            finding = Finding(component, condition, "present" if present else "absent", of, place, _PLAIN_CERTAINTY if hedge is None else hedge,
                              against=against, extent=polarity.graded(clause.items, state) if present else None,
                              rule=f"{rule}; {'denied; ' if denied else ''}'{state.value}' is {condition} {'present' if present else 'absent'}", aspect=target.aspect)
            if condition in _HISTORY and present or turns.says("earlier", _text(self._sentence)) and condition in (*_HISTORY, "replaced", "mismatched", "wrong_size"):
                finding.who = "earlier-work"
            fresh.append(self._stamped(finding, clause))
        if {f.component for f in fresh} >= {"minute_hand", "hour_hand"} and fresh[0].condition in ("mismatched", "replaced"):
            fresh = [replace(fresh[0], component="hands")]
        if fresh:
            self._keep(fresh)

    def _emit_all(self, targets: Sequence[Target], condition: str, state: str, clause: Clause, certainty: float, rule: str) -> None:
        fresh = []
        for target in targets:
            placed = _fitting(condition, target, self.focus)
            if placed is not None:
                component, of, place, condition = placed
                fresh.append(self._stamped(Finding(component, condition, state, of, place, certainty, rule=rule), clause))
        if fresh:
            self._keep(fresh)

    def _stamped(self, finding: Finding, clause: Clause) -> Finding:
        said = self._sentence[clause.start:clause.end]
        finding.start_s, finding.end_s = said[0].start_s, said[-1].end_s
        finding.words = _raw(said)
        taken = [f"{word.raw} taken as {word.text}" for word in said if word.guess]
        finding.guess = "; ".join(dict.fromkeys(taken)) or None
        finding.sentence, finding.clause = self._index, self._clause_count
        return finding

    def _keep(self, fresh: Sequence[Finding]) -> None:
        """Add findings; what was said before is a restatement, what contradicts the same fact replaces it."""
        kept: list[Finding] = []
        for finding in fresh:
            if "merging" in self.layers and (self._only_evidence(finding) or self._mere_contrast(finding)):
                continue
            same = self._restated(finding) if "merging" in self.layers else None
            if same is not None:
                if finding.start_s is not None and same.sentence < self._index - 1:
                    same.also_s.append(finding.start_s)
                same.end_s = finding.end_s if same.sentence == self._index else same.end_s
                kept.append(same)
                continue
            if self._summary:
                known = [f for f in self.findings if f.component == finding.component and f.state == "present" and f.condition not in ("good", "endshake_ok")]
                if known and finding.start_s is not None:
                    known[0].also_s.append(finding.start_s)
                    kept.append(known[0])
                    continue
            self._overrule(finding)
            self.findings.append(finding)
            kept.append(finding)
        self._last = kept

    def _restated(self, new: Finding) -> Finding | None:
        for old in reversed(self.findings):
            if (old.component, old.condition, old.state) != (new.component, new.condition, new.state):
                continue
            near = self._index - old.sentence <= 2
            of_fits = old.of == new.of or (new.of is None and not near) or (near and new.of is None)
            place_fits = old.place == new.place or new.place is None
            if of_fits and place_fits:
                return old
            if old.of == new.of and old.place is None and old.sentence == self._index and old.clause >= new.clause - 1 and new.place is not None:
                old.place = new.place
                return old
        return None

    def _only_evidence(self, new: Finding) -> bool:
        """What only shows or repeats less exactly what was just said of the same part is no second fact."""
        for old in reversed(self.findings[-6:]):
            if old.component != new.component or old.of != new.of or self._index - old.sentence > 1 or old.state != new.state or not (old.place == new.place or None in (old.place, new.place)):
                continue
            if new.state == "present" and (new.condition == "worn" and old.condition in _WEAR) or new.state == "present" and new.condition in ("too_much_sideshake", "rubbing_mark", "play") and old.condition in ("oval", "worn", "rubbing", "loose"):
                return True
            if new.condition == "slipping" and old.condition == "loose" or new.condition == "lumpy" and old.condition == "off_centre":
                return True
            if old.condition == "worn" and new.condition in _WEAR - {"blunt"} and old.place in (None, new.place) and old.sentence >= self._index - 1 and old.state == "present" or old.condition == "replaced" and new.condition == "wrong_size":
                self.findings.remove(old)
                return False
            if new.condition == "missing" and new.state == "absent" and old.condition == "good" or new.condition == "good" and new.state == "present" and old.condition in ("endshake_ok",):
                return True
        if new.condition == "good" and new.state == "present":
            for old in list(self.findings[-2:]):
                if old.sentence == self._index and old.component == new.component and old.of == new.of and old.condition == "missing" and old.state == "absent":
                    self.findings.remove(old)
        return False

    def _mere_contrast(self, new: Finding) -> bool:
        """ "Old but not gummy", "cracked, but it works": a contrast in one breath grades; it does not take back."""
        text = _text(self._sentence)
        for old in self.findings[-4:]:
            if old.component != new.component or old.of != new.of or old.state != "present" or old.condition in ("good", "endshake_ok"):
                continue
            if old.sentence == self._index and old.condition == new.condition and new.state == "absent" and old.place == new.place:
                return True
            soft = re.search(r"\b(?:but|still|though|although|however)\b", text) is not None and re.search(r"\b(?:works?|all right|holds?|holding|all there|there|is okay|it is fine)\b", text) is not None
            if soft and self._index - old.sentence <= 1 and (new.condition == "good" or new.condition == "missing" and new.state == "absent") and "otherwise" not in text:
                return True
        return False

    def _overrule(self, new: Finding) -> None:
        """Final words win: the same fact said the other way, or "good" of what is now found bad in the same breath."""
        for old in list(self.findings):
            if old.component == new.component and old.of == new.of and old.condition == new.condition and {old.state, new.state} == {"present", "absent"} and (
                    old.place == new.place or self._index - old.sentence <= 4 and new.place in ("both", "all", None)):
                self.findings.remove(old)

    def _not_seen(self, clause: Clause, pieces: Sequence[Clause], at: int) -> None:
        text = self._words(clause)
        turn = next(item for item in clause.items if item.kind == "not_seen")
        named = [p for p in clause.phrases if p.start >= turn.end and p.preposition not in ("till", "until", "because", "with", "by")]
        if named and named[0].start - turn.end > 3 and any(p.end <= turn.start for p in clause.phrases):
            named = []
        named = named or [p for p in clause.phrases if p.end <= turn.start]
        targets: list[Target] = []
        for phrase in named[:4]:
            if targets and phrase.preposition not in (None, "at", "in", "under", "inside") and phrase.start != named[0].start:
                continue
            if all(item.kind in ("train", "word") for item in phrase.items):
                targets.append(Target("movement", next(i.value for i in phrase.items if i.kind == "train")))
                continue
            targets += [t for t in subjects.targets(phrase, self.focus) if t not in targets]
        if not clause.phrases and turn.end == clause.end and turn.start == clause.start and (at == 0 and len(pieces) == 1 and not (self._heading_only and self._previous_length <= 3) or at + 1 < len(pieces) and pieces[at + 1].phrases and not pieces[at + 1].states and clause.joined in ("", ":", ",")) and re.match(r"not (?:done|examined|reached|tested|looked|checked|seen)", text):
            self._status = turn.value
            return
        if not targets and not clause.phrases:
            following = pieces[at + 1] if at + 1 < len(pieces) else None
            if following is not None and following.phrases and not following.states and turn.end == clause.end:
                return
            targets = list(self._in_focus())
        fresh = []
        for target in targets:
            condition, component = turn.value, target.component
            if target.aspect == "poise":
                condition = "out_of_poise"
            elif target.aspect in ("rate", "beat"):
                condition, component = "not_tested", "movement"
            fresh.append(self._stamped(Finding(component, condition, "not_examined", target.of, target.place, rule=f"not seen: {turn.value}"), clause))
        if fresh:
            self._keep(fresh)
            self.focus.settle(targets)

    def _listed_unseen(self, clause: Clause) -> None:
        """ "Not done. Poise. Nor the rate": parts listed under a heading of what was not seen."""
        assert self._status is not None
        found = list(subjects.targets(clause.phrases[0], self.focus)) or [Target("movement", next((i.value for i in clause.phrases[0].items if i.kind == "train"), None))]
        for target in found:
            condition, component = (self._status, target.component)
            if target.aspect == "poise":
                condition = "out_of_poise"
            elif target.aspect in ("rate", "beat"):
                condition, component = "not_tested", "movement"
            self._keep([self._stamped(Finding(component, condition, "not_examined", target.of, target.place, rule="listed as not seen"), clause)])

    def _repeat(self, clause: Clause, *, state: str | None = None) -> None:
        """ "Same on the other side", "exit pin, the same": what was said last, of the part named now."""
        source = [f for f in self._last if f.state != "not_examined"]
        if not source:
            return
        old = tuple(Target(f.component, f.of, f.place) for f in source)
        kept = self.focus.subjects
        if clause.phrases:
            self.focus.subjects = old
            new = tuple(t for phrase in clause.phrases for t in subjects.targets(phrase, self.focus))
            if "other" in self._words(clause).split() and all(i.kind != "part" for p in clause.phrases for i in p.items):
                new = subjects.other_one(old) if new == old else new
        elif "other" in self._words(clause).split():
            new = subjects.other_one(old)
        else:
            new = kept
        fresh = []
        for target in new:
            for finding in source:
                component, of, place = target.component, target.of, target.place
                if component != finding.component and component in places_of_parts.HOSTS and finding.component in places_of_parts.HOSTS and target.of is not None and finding.of == target.of and place is not None and component == "pivot_hole":
                    component = finding.component
                if component in places_of_parts.WHEELS and finding.component in places_of_parts.HOSTS:
                    component, of, place = finding.component, places_of_parts.of_wheel(component, of), finding.place
                if (component, of, place) == (finding.component, finding.of, finding.place) or component != finding.component and target in old:
                    continue
                condition = finding.condition
                if component == "pivot_hole" and condition in ("worn_thin", "tapered", "scored", "grooved") or condition == "oval" and _compares(self._words(clause), clause):
                    condition = "worn"
                copied = Finding(component, condition, state or finding.state, of, place, finding.certainty_probability, who=finding.who, extent=finding.extent, rule=f"the same again; {finding.rule}")
                if not any((c.component, c.of, c.place, c.condition) == (component, of, place, condition) for c in fresh):
                    fresh.append(self._stamped(copied, clause))
        if fresh:
            self.focus.settle(tuple(new))
            self._keep(fresh)

    def _exception(self, clause: Clause) -> None:
        """ "... apart from the escape hole at the back": there, what was denied is present."""
        source = [f for f in self._last if f.state == "absent" and f.sentence == self._index]
        if not source:
            return
        targets = [t for phrase in clause.phrases for t in subjects.targets(phrase, self.focus)]
        self._emit_all(targets[:1], source[-1].condition, "present", clause, _PLAIN_CERTAINTY, "the exception from what is absent elsewhere")

    def _endshake(self, clause: Clause, condition: str) -> None:
        targets = [t for phrase in clause.phrases for t in subjects.targets(phrase, self.focus) if t.component == "arbor"]
        self._emit_all(targets[:1], condition, "present", clause, self._hedge(clause, [clause], 0) or _PLAIN_CERTAINTY, "endshake judged by its amount")
        self.focus.settle(targets[:1])

    # Weight and decision.

    def _weigh(self, clause: Clause) -> None:
        said = [item for item in clause.items if item.kind in ("weight", "decision")]
        if not said:
            return
        for item in said:
            for finding in self._weighed(clause, item):
                if item.value == "safety":
                    if "safety" not in finding.flags:
                        finding.flags.append("safety")
                elif item.kind == "weight":
                    finding.significance = item.value
                else:
                    finding.decision = item.value
                if finding.sentence < self._index - 2 and self._sentence[0].start_s is not None:
                    finding.also_s.append(self._sentence[0].start_s)

    def _weighed(self, clause: Clause, item: Item) -> list[Finding]:
        """The findings a turn is said of: of the parts named with it, else the last fault spoken of."""
        faults = [f for f in self.findings if f.state == "present" and f.condition not in ("good", "endshake_ok")]
        inside = " ".join(word.text for word in self._sentence[item.start:item.end])
        named: list[Target] = []
        if not clause.states:
            for phrase in clause.phrases:
                held = self.focus.subjects, self.focus.hosts, self.focus.train
                named += subjects.targets(phrase, self.focus)
                self.focus.subjects, self.focus.hosts, self.focus.train = held
        matched = [f for t in named for f in faults if f.component == t.component and (t.of is None or f.of == t.of) and (t.place is None or f.place in (t.place, "both"))]
        if named:
            return matched
        here = [f for f in faults if f.sentence == self._index and f.clause == self._clause_count]
        if here:
            return here
        latest = [f for f in self._last if f in faults] or faults[-1:]
        if re.search(r"\b(?:both|the two|pair|two|baith|them|those|these)\b", inside) and len(latest) == 1:
            before = [f for f in faults if f not in latest and latest[0].sentence - f.sentence <= 3 and f.component == latest[0].component]
            return [*before[-1:], *latest] if re.search(r"\b(?:both|the two|pair|two|baith)\b", inside) else latest
        return [f for f in latest if self._index - f.sentence <= 4 or self._summary is False]

    # Corrections.

    def _answered(self, sentence: tuple[Word, ...]) -> tuple[Word, ...]:
        """A sentence that begins with "no" takes back what was just said, when it says something else instead."""
        if "corrections" not in self.layers or not sentence:
            return sentence
        text = _text(sentence)
        flat_no = re.match(r"^(?:oh |er )*no (?:it|they|that|she|he) (?:is|are|has|does|did|was) not\b", text)
        if flat_no is not None and self._last and self._last[0].sentence >= self._index - 1:
            for finding in self._last:
                if finding.condition not in ("good", "endshake_ok") and finding.state == "present":
                    finding.state, finding.significance, finding.rule = "absent", None, finding.rule + "; then denied"
            return sentence[len(flat_no[0].split()):]
        if re.search(r"\bother way (?:about|round|around)\b", text):
            for finding in self.findings:
                if finding.sentence >= self._index - 2 and finding.place in ("front", "back", "left", "right", "entry", "exit"):
                    finding.place = {"front": "back", "back": "front", "left": "right", "right": "left", "entry": "exit", "exit": "entry"}[finding.place]
            return ()
        if re.match(r"^(?:ignore|forget|scratch|never mind) (?:that|it)(?: one)?$", text):
            self.findings = [f for f in self.findings if not (f.sentence == self._index - 1 and f.state != "not_examined")]
            self._last = []
            return ()
        taken_back = re.match(r"^(?:(?:oh|well|er|um|wait|hang on|sorry|actually) )*(?:no (?:wait|sorry|hang on)|scratch that|correction|strike that|i tell a lie|i take that back|my mistake|forget that|no (?=it is|that is|they are|the)|no$)", text)
        if taken_back is None or sentence[-1].stop == "?" and len(sentence) <= 2:
            return sentence
        recent = [f for f in self.findings if f.sentence >= self._index - 1] or [f for f in self.findings[-1:] if f.sentence >= self._index - 2]
        rest = sentence[len(taken_back[0].split()):]
        rehost = re.match(r"^(?:sorry )?(?:that|it|this) is (?:the|on the) (\w+)", _text(rest))
        row = clauses.clauses(rest) if rest else []
        wheel = next((i.value for c in row for i in c.items if i.kind == "wheel"), None)
        if rehost and wheel and recent and not any(c.states for c in row):
            for finding in recent[-1:]:
                finding.of = places_of_parts.of_wheel(wheel, self.focus.host_train)
            self.focus.hosts = (wheel,)
            self.focus.subjects = tuple(Target(f.component, f.of, f.place) for f in recent[-1:])
            return ()
        if recent and not any(f.state == "not_examined" for f in recent[-1:]) and (not rest or any(c.states for c in row) or _text(rest).startswith(("it is", "that is", "they are"))):
            last = recent[-1]
            self.findings = [f for f in self.findings if not (f.sentence == last.sentence and f.clause == last.clause)]
            self._last = []
        return rest

    def _put_right(self, sentence: tuple[Word, ...]) -> tuple[Word, ...]:
        """ "Third, no, fourth": of two of a kind with a "no" between, the second holds."""
        if "corrections" not in self.layers or not {"no", "sorry", "rather", "mean"} & {word.text for word in sentence}:
            return sentence
        from underdial.telling.tags import tag

        items = tag([word.text for word in sentence])
        for at in range(1, len(items) - 1):
            if not (items[at].kind == "not" and items[at].value == "no" or items[at].kind == "word" and (items[at].value in ("sorry", "rather") or items[at].value == "i" and items[at + 1].value == "mean")):
                continue
            ahead = at + 1
            while ahead < len(items) and items[ahead].kind in ("word", "not") and items[ahead].value in ("no", "sorry", "wait", "call", "it", "make", "that", "the", "i", "mean", "hang", "on", "tell", "a", "lie", "is"):
                ahead += 1
            back = at - 1
            while back >= 0 and items[back].kind == "word" and items[back].value in ("er", "um", "the", "wait"):
                back -= 1
            if ahead < len(items) and back >= 0 and items[ahead].kind == items[back].kind and (items[back].kind in ("wheel", "place", "train", "number") or items[back].kind == "state" and items[at].value == "i"):
                return (*sentence[:items[back].start], *self._put_right(sentence[items[ahead].start:]))
        return sentence

    def _states_part(self, text: str) -> bool:
        row = clauses.clauses(self._sentence)
        return any(c.states and c.phrases for c in row)

    def _words(self, clause: Clause) -> str:
        return " ".join(word.text for word in self._sentence[clause.start:clause.end])


def reading_of(state: Item, target: Target) -> bool:
    """Whether a state phrase can be said of a part at all."""
    return lexicon.state_of(state.value, target.component) is not None


def _text(sentence: Sequence[Word]) -> str:
    return " ".join(word.text for word in sentence)


def _raw(words: Sequence[Word]) -> str:
    out: list[str] = []
    for at, word in enumerate(words):
        if at == 0 or word.raw != words[at - 1].raw or word.start_s != words[at - 1].start_s:
            out.append(word.raw)
    return " ".join(out)


def _repeats(text: str) -> bool:
    return re.search(r"\b(?:likewise|ditto|same again|(?:the )?same(?: story)?(?= on| at| again|$| with| for| in| but| front| back| story| the other| both)|is the same|are the same|similar|is to match|to match|same story|(?:and )?so (?:is|are|has|does) (?:the|its|that|this|both))\b", text) is not None \
        and not re.search(r"\bsame (?:as|wheel|one|time|thickness|spot|thing|size|hole)\b|\b(?:never|not|back) (?:\w+ ){0,6}the same$|all the same|just the same", text)


def _compares(text: str, clause: Clause) -> bool:
    """ "The exit's about half that", "back hole's not much better": the same fault, more or less of it."""
    return bool(clause.phrases) and re.search(r"\b(?:not much better|not so bad|not as bad|hardly anything|about half that|half that|just as bad|no better|as bad|even worse|much worse|is worse|'s worse|are worse|a lot worse|less so|but less|nearly as bad)\b", text) is not None \
        and not any(item.kind == "part" for p in clause.phrases for item in p.items if item.value not in places_of_parts.HOSTS)


def _is_target(text: str) -> bool:
    return turns.says("target", text) and not re.search(r"should be (?:fine|okay|good|all right)|as (?:it|they) should be|(?:how|where) (?:it|they) should be|that is as it", text) or turns.says("general", text)


def _endshake_said(clause: Clause) -> str | None:
    text = " ".join(item.value for item in clause.items)
    if re.search(r"\bnext to none\b", text):
        return "no_endshake"
    if re.search(r"\b(?:too much|lots of|lot of|plenty of|bit much|excessive|miles of|a lot|far too much)\b", text):
        return "too_much_endshake"
    if re.search(r"\b(?:just what|what you want|what i want|about what|as it should)\b", text):
        return "endshake_ok"
    if re.search(r"\b(?:no|none|not any|without)\b", text):
        return "no_endshake"
    if re.search(r"\bnot (?:much|enough|a lot)\b|\b(?:hardly|barely|little)\b", text):
        return "tight"
    return None


def _is_attribute(clause: Clause, state: Item) -> bool:
    before = [item for item in clause.items if item.end <= state.start]
    return not before or before[-1].kind in ("number", "not") or before[-1].kind == "word" and before[-1].value in ("a", "an", "some", "the", "with", "has", "got", "have", "few", "couple", "of", "slightly", "badly", "very", "any", "two", "three")


def _stated_flatly(clause: Clause, state: Item) -> bool:
    before = [item for item in clause.items if item.end <= state.start]
    return bool(before) and before[-1].kind == "word" and before[-1].value in ("is", "are", "'s") and state.value not in ("wear", "rust", "cracks", "crack")


def _first_part(targets: Sequence[Target]) -> str | None:
    return targets[0].component if targets else None


def _of_holes(component: str, of: str | None, place: str | None, condition: str, text: str, last: Sequence[Finding]) -> tuple[str, str | None, str | None, str]:
    """Marks of earlier work belong to the holes they stand round, and what is "nowhere" to the plates."""
    if re.search(r"\b(?:no|not)\b", text) and condition == "rusty" and re.search(r"\b(?:anything|anywhere|at all|everywhere)\b", text):
        return ("movement", None, None, condition)
    if condition in ("soldered", "punched") and re.fullmatch(r"(?:no|not any|and no) (?:\w+ )?\w+(?: \w+)?", text) and component in ("back_plate", "front_plate", "movement", "pillar"):
        return ("plates", None, None, condition)
    if re.search(r"\b(?:anywhere|ever|nowhere)\b", text) and condition in ("bushed_before", "soldered", "punched") and re.search(r"\b(?:no|not|never|nowhere)\b", text):
        return ("plates", None, None, condition)
    train = re.search(r"\b(strike|chime)\b", text)
    if condition == "bushed_before" and component in ("front_plate", "back_plate", "plates") and last and last[0].component == "pivot_hole":
        return ("pivot_hole", last[0].of, None, condition)
    if condition in ("punched", "bushed_before"):
        if component in places_of_parts.WHEELS:
            return ("pivot_hole", places_of_parts.of_wheel(component, of), place, condition)
        if component in ("front_plate", "back_plate", "plates") and re.search(r"\bholes?\b", text):
            return ("pivot_hole", train[1] if train else None, {"front_plate": "front", "back_plate": "back"}.get(component, place), condition)
    if component in places_of_parts.WHEELS and condition in ("bent", "broken", "missing", "chipped", "burred", "hooked") and last and last[0].component == "tooth" and re.search(r"\b(?:one|ones|two|three|couple|few)\b", text):
        return ("tooth", places_of_parts.of_wheel(component, of), place, condition)
    if condition in ("off_centre", "proud") and component in places_of_parts.WHEELS and last and last[0].condition == "bushed_before":
        return ("bush", places_of_parts.of_wheel(component, of), place, condition)
    return (component, of, place, condition)


def _fitting(condition: str, target: Target, focus: Focus) -> tuple[str, str | None, str | None, str] | None:
    """Component, of, place and condition as the rules of labelling write them."""
    component, of, place = target.component, target.of, target.place
    if condition in ("no_endshake", "too_much_endshake", "endshake_ok") or target.aspect == "endshake":
        if component in places_of_parts.WHEELS or component in ("lever", "pallet_arbor", "balance"):
            component, of = "arbor", places_of_parts.of_wheel(component, of)
        return ("arbor", of, place, "endshake_ok" if condition == "good" else condition)
    if condition in ("out_of_beat", "gains", "loses"):
        return ("movement", None, None, condition)
    if component == "oil":
        return ("movement", None, place if place != "all" else None, "old_oil" if condition in ("dirty", "worn", "dry", "hardened", "verdigris", "tarnished") and condition != "dry" else condition)
    if condition in ("out_of_true", "out_of_flat", "out_of_round") and component in ("tooth", "pinion") and of is not None:
        wheel = of.rsplit(".", 1)[-1]
        return (wheel, of.split(".")[0] if "." in of else None, None, condition)
    if condition == "worn" and component in places_of_parts.ON_PIVOTS:
        return ("pivot_hole", places_of_parts.of_wheel(component, of), place, condition)
    if condition in ("unequal_drop", "unequal_lock"):
        return ("pallets", None, None, condition)
    if condition == "sideshake":
        condition = "too_much_sideshake"
    if component == "arbor" and target.aspect is None and place in ("front", "back", "both") and of is not None:
        component = "pivot_hole"
    if condition == "short_run":
        return ("warning", of, None, condition)
    if condition == "oval" and component in places_of_parts.WHEELS:
        return ("pivot_hole", places_of_parts.of_wheel(component, of), place, condition)
    if component == "bush" and target.aspect == "bush" and condition in ("worn", "oval", "good", "too_much_sideshake", "bushed_before", "dry", "dirty"):
        return ("pivot_hole", of, place, condition)
    if condition in ("trips",) and component not in places_of_parts.WHEELS and component != "pallets":
        return ("movement", None, None, condition)
    return (component, of, place, condition)
