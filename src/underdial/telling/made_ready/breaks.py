"""Full stops for a recogniser that wrote none: where one statement ends and the next begins.

Three cues, in order: words that open a new thought ("okay", "now", "it is", "there is", "I would"); turns of speech
that are a statement of their own ("leave that", "haven't looked at"); and a noun phrase with a predicate of its own
behind words that need no noun ("click is loose | strike click is tight", "hands | hour hand loose").

Never here: what a statement says.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from underdial.telling.names import places_of_parts, states
from underdial.telling.sentences import noun_phrases
from underdial.telling.sentences.items import Item
from underdial.telling.sentences.tags import tag
from underdial.telling.speech.words import Word, listed, text_of

_CALLS = (
    r"okay|allright|anyway|no (?:wait|sorry|hang on|hold on)",
    r"no(?= (?:it|that|they|there|he|she|this) (?:is|are|has|does|do|was|'s)\b)",
    r"now(?! and then)",
    r"so(?! (?:that|far|much|it does not|long|close|good|bad|is|are|tight|loose|worn|many|he|she))",
    r"let (?:me|us)|gonna check|bottom line|that is it$",
)
_OTHER_PEOPLE = (
    r"(?:he|she|they|customer|owner|guy|lady|the customer|the owner) (?:also )?"
    r"(?:says|said|wants|would like|thinks|tells|told|reckons)",
    r"(?:somebody|someone|whoever)(?! (?:'s|else))",
)
_TURNING_TO = (
    r"(?:case|dial|hands|glass|pendulum|movement|strike|escapement) (?:first|next|now|then)",
    r"you know what|what else|next up|next is|moving on|on to(?= the)|over to(?= the)",
    r"strike side(?= [a-z]+ (?:wheel|side)|$)|first there|as for|apart from that|other than that",
)
_SUBJECT_AND_VERB = (
    r"(?:it|there|that|they|this|he|she|these|those) (?:is|are|was|were|has|have|had|will|would|can|could|does|do|did"
    r"|might|may|must|should|looks|seems|feels|needs|wants|runs|goes|comes|says|turns|moves|slips|rocks|rubs|catches"
    r"|fits|swings)\b",
    r"i (?:am|have|will|would|can|could|do|did|might|may|must|should|think|reckon|guess|suspect|had|make|need|want|like"
    r"|left|see|checked|looked|counted|measured|tried|put|got|ran|span|spun)\b",
    r"we (?:are|have|will|would|can|could|do|did|need)\b|you (?:can|could|have|will|would|see|might|know)\b",
    r"what i (?:would|have|did)",
)
_WITHOUT_SUBJECT = (
    r"not (?:looked|checked|tested|tried|examined|seen|measured|been|done|had|opened)\b",
    r"nothing wrong|no need|needs (?:a |new|to|re|clean)|wants (?:a |new|to|re)",
)
_OPENING = re.compile(
    r"^(?:" + "|".join((*_CALLS, *_OTHER_PEOPLE, *_TURNING_TO, *_SUBJECT_AND_VERB, *_WITHOUT_SUBJECT)) + r")(?=$| )"
)
# Behind these words the thought goes on.
_LEANING = listed("""and or nor but about is it the even to that are 's not an if ever a for of in on at by with from
like than as so because where when which who while until unless though although into onto over under round around
against behind near towards toward past along across between through off without has have had was were be been being
got get its his her their my your our this these those some any no every each both all very too quite rather bit little
really just only still nearly almost pretty slightly badly such same other one two three four five six i you he she we
they there what how why will would can could does do did must might may should gonna see say says said reckons thinks
tells told claims swears complains wants wanted me him her us let put think reckon guess know hope sure mean call make
makes look looks feel feels seem seems whether also always never then now okay or either neither cause except bar
plus""")
_ASIDE = listed("it that them this those these there so now then okay yes no well here too either though anyway")
_COPULA = listed("""is are 's was were looks look feels feel has have had does do did will seems needs wants got runs
turns moves comes goes stays sits fits hangs swings""")
_BETWEEN = listed("""okay fine good sound clean loose tight worn bent broken cracked missing straight true dry dirty
rusty weak strong scored pitted grooved gone chipped perfect""")
_LEADING_ON = listed("a the of on in no some any with has got")
# Behind a decision or a look that was not taken, these words still belong to it.
_GOING_ON = listed("""and or it that for with to from in on at off up down out over back the a an of properly again
until till when if while yet too as by because but though either any those these my his her its both all then there so
where under inside behind round away now first later before after than""")
_TURNS = ("decision", "weight", "not_seen")
_PARTS = ("part", "shared", "wheel")
_AT = ("at", "on", "in", "down", "near", "round", "by", "to", "from", "than")
_SPOTS = listed("tip middle corner edge rim root thread inside outside")
_QUALIFYING = listed("a an the some any with of few couple several more that these those has got have")


def with_stops(words: Sequence[Word]) -> tuple[Word, ...]:
    """The words with a full stop wherever a new statement begins."""
    out = _behind_openers(words)
    stopped: list[Word] = []
    held: list[Word] = []
    for word in out:
        held.append(word)
        if word.stop in (".", "?"):
            stopped += _cut(held)
            held = []
    return tuple(stopped + _cut(held))


def _behind_openers(words: Sequence[Word]) -> list[Word]:
    out = list(words)
    for at in range(len(out)):
        if _between_nouns(out, at):
            out[at] = replace(out[at], stop=".")
    for at in range(1, len(out)):
        before = out[at - 1].text
        if out[at].text == "okay" and out[at].stop and not out[at - 1].stop:
            continue
        if (
            out[at - 1].stop
            or before in _LEANING - _ASIDE
            or (before in _ASIDE and before in ("so", "then", "now", "okay", "no", "well", "yes"))
        ):
            continue
        ahead = text_of(out[at : at + 5])
        if (
            _OPENING.match(ahead)
            and not (before in ("it", "that", "them", "this") and out[at].text in ("is", "was"))
            and not _relative(out, at)
        ):
            out[at - 1] = replace(out[at - 1], stop=".")
    return out


def _between_nouns(out: Sequence[Word], at: int) -> bool:
    """ "Fork okay | escape wheel teeth okay": a state between the name it is said of and the next name."""
    if at == 0 or at + 1 >= len(out) or out[at].text not in _BETWEEN or out[at].stop or out[at - 1].stop:
        return False
    ahead = [word.text for word in out[at + 1 : at + 5]]
    step = 1 if ahead[0] in ("the", "both") and len(ahead) > 1 else 0
    after = tag(ahead[step:])[:1]
    before = tag([word.text for word in out[max(0, at - 3) : at]])
    lead = before[-2].value if len(before) >= 2 else ""
    named = before[-1].kind in _PARTS and lead not in _LEADING_ON
    return named and bool(after) and after[0].kind in (*_PARTS, "train")


def _relative(words: Sequence[Word], at: int) -> bool:
    """ "the pin that is bent", "the one i can see": the words before still wait for what is said of them."""
    if words[at].text not in ("that", "i", "you", "he", "she", "they", "it", "we"):
        return False
    back = [word.text for word in words[max(0, at - 6) : at]]
    if words[at].text == "that":
        return not any(word in _COPULA for word in back) and bool({"the", "a", "an", "one"} & set(back[-3:]))
    return bool({"everything", "anything", "nothing", "all", "what", "thing", "one", "ones", "way"} & set(back[-1:]))


def _cut(sentence: Sequence[Word]) -> list[Word]:
    """One stretch between stops, cut before turns of speech and before noun phrases that have their own predicate."""
    if not sentence:
        return []
    items = tag([word.text for word in sentence])
    begins: set[int] = set()
    since = 0
    for at in range(1, len(items)):
        if _begins(items, since, at):
            begins.add(items[at].start)
            since = at
    return [replace(word, stop=".") if at + 1 in begins and not word.stop else word for at, word in enumerate(sentence)]


def _begins(items: Sequence[Item], since: int, at: int) -> bool:
    item, before, held = items[at], items[at - 1], items[since:at]
    said = any(i.kind in ("state", *_TURNS) for i in held)
    if item.kind in _TURNS:
        return said and not _awaits_turn(before) and before.kind != "number"
    if before.kind in ("decision", "not_seen") and item.kind == "word" and item.value not in _GOING_ON:
        return before.kind == "decision"
    start = _phrase_from(items, at)
    if before.kind == "not_seen" or _both_ends(item):
        return False
    settled = said and _ends_with_place(items, at)
    if start is None or (_leans(before, item) and not settled) or _attributive(held):
        return False
    end = _phrase_to(items, start)
    own = end < len(items) and _predicates(items[end])
    if end == len(items) and said and not own and _finished_by(before) and item.kind != "place":
        # Named last, before the next thought opens: it is what that thought is of.
        return before.kind != "word" or before.value not in _LEANING
    if own:
        return said or _has_verb(held) or _bare_name_before(before, item, items[start])
    return said and (before.kind in ("state", "place") or (before.kind == "word" and before.value in _ASIDE))


def _awaits_turn(before: Item) -> bool:
    """ "And leave that", "maybe bush that": the word before leads into the turn of speech."""
    return before.kind in ("word", "not", "hedge") and (before.value in _LEANING - _ASIDE or before.kind == "hedge")


def _both_ends(item: Item) -> bool:
    return item.kind == "place" and item.end - item.start == 2 and item.value == "both"


def _ends_with_place(items: Sequence[Item], at: int) -> bool:
    """ "Worn at the front | fork okay": the place before ends what was said, and is not the next noun's."""
    before = items[at - 1]
    return (
        before.kind == "place"
        and (
            before.value.startswith("at_")
            or (at >= 3 and items[at - 2].value in ("the", "its") and items[at - 3].value in _AT)
        )
        and items[at].kind in (*_PARTS, "word", "quant", "train")
    )


def _phrase_to(items: Sequence[Item], start: int) -> int:
    """Place behind the last item of the noun phrase whose first noun stands at `start`."""
    end = start
    while end < len(items) and (
        items[end].kind in (*_PARTS, "train", "place", "aspect") or _links_nouns(items[end : end + 2])
    ):
        end += 1
    return end


def _links_nouns(pair: Sequence[Item]) -> bool:
    """A small word with a noun behind it ("of the third"), or "itself" with anything behind it."""
    return (
        pair[0].kind == "word"
        and pair[0].value in ("of", "on", "the", "in", "itself", "themselves")
        and len(pair) > 1
        and (pair[1].kind in (*_PARTS, "train", "place") or pair[0].value == "itself" or pair[1].value == "the")
    )


def _predicates(item: Item) -> bool:
    """Whether something is said of the noun phrase that this item follows."""
    if item.kind == "word":
        return item.value in _COPULA or item.value in ("a", "all", "both", "slightly", "badly", "very", "too", "not")
    return item.kind in ("state", "decision", "weight", "quant", "not", "hedge")


def _finished_by(before: Item) -> bool:
    return before.kind in ("state", "word", "decision", "weight") or before.value == "nothing"


def _bare_name_before(before: Item, item: Item, noun: Item) -> bool:
    """ "Hands | hour hand loose": a part was only named, and this noun is not the second half of its name."""
    return before.kind in ("part", "shared") and item.kind in (*_PARTS, "train") and not _compound(noun)


def _phrase_from(items: Sequence[Item], at: int) -> int | None:
    """Where the first noun of the phrase that begins here stands; None when no phrase begins here."""
    start = at
    while start < len(items) and start - at < 4 and _before_noun(items[start]):
        start += 1
    if start >= len(items) or items[start].kind not in (*_PARTS, "train", "place", "aspect"):
        return None
    if items[start].kind == "place" and not _place_as_name(items[start : start + 2]):
        return None
    return start


def _before_noun(item: Item) -> bool:
    return item.kind == "quant" or (
        item.kind == "word"
        and (
            item.value in ("the", "a", "one", "other", "its", "that", "this", "his", "her")
            or item.value in noun_phrases.ADJECTIVES
        )
    )


def _place_as_name(pair: Sequence[Item]) -> bool:
    """ "Front pivot", "back is oval": a place that names or leads a noun; a mere spot ("at the tip") does not."""
    if pair[0].value.startswith("at_") or pair[0].value in _SPOTS or len(pair) == 1:
        return False
    return pair[1].kind in ("part", "shared", "state", "wheel") or (
        pair[1].kind == "word" and pair[1].value in ("is", "'s", "are", "on", "of", "one", "has")
    )


def _leans(before: Item, item: Item) -> bool:
    if before.kind in ("quant", "number", "not", "hedge"):
        return True
    if _both_ends(before):
        return False
    if before.kind in ("wheel", "train", "place"):
        return True
    if before.kind in ("part", "shared", "aspect"):
        return item.kind not in ("part", "shared", "wheel", "train", "word", "quant") or _compound(item)
    return before.kind == "word" and (before.value in _LEANING - _ASIDE or before.value in noun_phrases.ADJECTIVES)


def _compound(item: Item) -> bool:
    return item.kind in ("part", "shared") and (item.value in places_of_parts.HOSTS or item.kind == "shared")


def _attributive(held: Sequence[Item]) -> bool:
    """The state just said is an adjective of the noun that follows ("two bent teeth"), not a finished statement."""
    back = len(held) - 1
    if back < 0 or held[back].kind != "state":
        return False
    if held[back].value.split()[-1] in ("with", "on", "in", "against", "of", "to", "off", "round", "into"):
        return True
    if states.is_noun(held[back].value):
        return back == 0
    back -= 1
    while (
        back >= 0
        and held[back].kind == "word"
        and held[back].value in ("very", "slightly", "badly", "little", "bit", "tiny", "rather", "really")
    ):
        back -= 1
    if back < 0 or held[back].kind == "number":
        return True
    return (held[back].kind == "not" and held[back].value == "no") or (
        held[back].kind == "word" and held[back].value in _QUALIFYING
    )


def _has_verb(held: Sequence[Item]) -> bool:
    for item in held[:-1]:
        if item.kind == "word" and (item.value in _COPULA or item.value.endswith("ed")):
            return True
    return (
        bool(held)
        and held[-1].kind == "word"
        and held[-1].value in ("out", "off", "up", "down", "in", "itself", "altogether", "done")
        and any(i.kind in ("part", "shared", "wheel") for i in held)
    )
