"""Whether the words before a state are a subject of their own: a pronoun, or a noun that is no part of a clock.

"The customer is happy" is said of no part; "it's only very slightly worn" is said of what is in focus.

Never here: the parts of a clock that stand before a state (`whose_state`).
"""

from __future__ import annotations

from underdial.telling.parts_meant.notebook import Notebook
from underdial.telling.sentences.clauses import Clause
from underdial.telling.sentences.items import Item
from underdial.telling.speech.words import listed

_COPULA = listed("is are was were 's be been looks look feels feel seems has have had got gets")

_FUNCTION = listed("""
a an the it its it's is are was were be been being i you he she we they them their his her my your our me us that this
these those there here what which who and or but so then now also too very quite rather just still only even well
right yes no not oh er um ah hmm look see got get has have had do does did can could would will might may in on at of
for to from with by as if than up down out off over under round around about into onto back again all both each any
some one two three four five six seven eight nine ten first next other another same more less most a bit little touch
lot bit way far much many few couple every little really pretty nicely badly slightly heavily lightly mostly nearly
almost fairly perhaps maybe actually basically obviously certainly definitely say said think mean know guess suppose
reckon like looks look seems seem feels feel runs run goes go gone going comes come stays stay sits sit moves move
turns turn works work hangs hang where when while because though although though since until after before near along
across through inside outside front middle long short old new big small tiny huge wee deep fine whole half end ends
side sides way thing things place places time something anything nothing everything somebody someone okay course sure
mind honestly frankly apparently already yet ever never always once twice today too enough sort kind least last less
look't tell hear heard feel find found take let's let us put give given made make makes makes doing done being having
getting starting beginning own it'd they'd part parts piece pieces bits spot spots point number hand nail finger lens
glass eye light daylight open opened closed proper properly perfectly totally completely absolutely hell heck goodness
dear blimey ooh och aye lovely nasty horrible terrible awful massive great decent reasonable obvious definite certain
visible real serious bad worst worse best better dodgy proper solid nice oddly sadly luckily happily clearly plainly
surely simply certainly probably nose beak toe heel lip flank mouth bore groove grooves thread threads slot slots
rivet rivets head heads marks surface link links face faces paint paintwork brass wood steel metal gilding silver
silvering finish surface rivet solder walnut oak mahogany slate marble leather cloth iron possibly job clock customer
owner must shall should needs need wants want up behind between against above below beside towards toward past like
unlike except apart bar save besides plus minus per without within wear amount total rest remaining others ones
straight directly deal great good shame pity nice left right call honest
""")


def may_carry(book: Notebook, clause: Clause, state: Item, from_word: int) -> bool:
    """A statement without a part is said of what is in focus, unless it has a subject of its own, unknown to us."""
    if "focus" not in book.layers:
        return False
    words = [item for item in clause.items if from_word <= item.start < state.start]
    cut = next((n for n, item in enumerate(words) if item.kind == "word" and item.value in _COPULA), None)
    lead = words[:cut] if cut is not None else words
    if cut is None and len(words) > 5:
        return all(item.kind != "word" or item.value in _FUNCTION for item in words)
    strangers = [
        item.value
        for item in lead
        if item.kind == "word" and item.value not in _FUNCTION and not item.value.endswith("ly")
    ]
    if cut is None:
        return len(strangers) <= 1
    return not strangers


def new_subject(clause: Clause, state: Item, from_word: int) -> bool:
    """ "The spring is good full power is there": what stands before the second verb is no part that we know."""
    between = [item for item in clause.items if from_word <= item.start and item.end <= state.start]
    cut = next(
        (
            at
            for at, item in enumerate(between)
            if item.kind == "word" and item.value in _COPULA and item.value not in ("has", "have", "had", "got")
        ),
        None,
    )
    return cut is not None and any(
        item.kind == "word" and item.value not in _FUNCTION and not item.value.endswith("ly") for item in between[:cut]
    )


def is_pronoun(clause: Clause, state: Item) -> bool:
    """Whether "it", "they", "he" or "that" is the subject of the state."""
    lead = [item.value for item in clause.items if item.end <= state.start and item.kind == "word"]
    lead = [
        value
        for value in lead
        if value
        not in ("and", "but", "so", "well", "yes", "now", "though", "because", "oh", "or", "then", "still", "also")
    ]
    numbers = [item for item in clause.items if item.end <= state.start and item.kind == "number" and item.value == "1"]
    if numbers and lead and lead[0] in ("the", "that", "this", "each", "every", "other"):
        return True
    return bool(lead) and lead[0] in ("it", "they", "he", "she", "that", "this", "these", "those")
