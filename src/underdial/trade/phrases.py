"""Parts and conditions as sentences say them: `back pivot hole of the third wheel`, `shows worn plating`, `may have no
endshake`.

A condition that is not listed is said with *is* and its term of the vocabulary. The first word of each phrase is the
verb, in the singular. Nothing here blames anybody. Source: plain English of our own over the vocabulary's terms.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from underdial.trade.vocabulary import components, conditions

# Parts that are spoken of as many, and parts that have two sides of their own.
_MANY = {"tooth": "teeth", "leaf": "leaves", "trundle": "trundles", "numerals": "numerals"}
_SIDED = frozenset(
    {"pivot", "pivot_hole", "bush", "oil_sink", "plate", "jewel", "end_stone", "pivot_shoulder", "pallets"}
)
_TRAINS = ("going", "strike", "chime", "alarm")

# condition -> (said when present, said when absent)
_PHRASES: Mapping[str, tuple[str, str]] = MappingProxyType(
    {
        "good": ("is in good order", "is not in good order"),
        "endshake_ok": ("has the right endshake", "has not the right endshake"),
        "no_endshake": ("has no endshake", "has its endshake"),
        "too_much_endshake": ("has too much endshake", "has not too much endshake"),
        "sideshake": ("has side shake", "has no side shake"),
        "too_much_sideshake": ("has too much side shake", "has not too much side shake"),
        "rubbing_mark": ("shows a rubbing mark", "shows no rubbing mark"),
        "old_oil": ("carries old oil", "carries no old oil"),
        "hair": ("has a hair in it", "has no hair in it"),
        "dust": ("is dusty", "is free of dust"),
        "dirty": ("is dirty", "is clean"),
        "over_oiled": ("carries too much oil", "carries no more oil than it should"),
        "wrong_lubricant": ("carries the wrong lubricant", "carries no wrong lubricant"),
        "polish_residue": ("has polish left in its corners", "has no polish left in its corners"),
        "plating_worn": ("shows worn plating", "shows no worn plating"),
        "plating_lifting": ("shows lifting plating", "shows no lifting plating"),
        "lacquer_worn": ("shows worn lacquer", "shows no worn lacquer"),
        "silvering_worn": ("shows worn silvering", "shows no worn silvering"),
        "flaking": ("shows flaking paint", "shows no flaking paint"),
        "wax": ("has wax or polish over the oil", "has no wax or polish over the oil"),
        "insect_debris": ("has cobweb or insect remains in it", "has no cobweb or insect remains in it"),
        "verdigris": ("shows green corrosion", "shows no green corrosion"),
        "white_bloom": ("shows a white powder of corrosion", "shows no white powder of corrosion"),
        "stress_cracked": ("shows a season crack", "shows no season crack"),
        "hairline": ("shows a hairline in the enamel", "shows no hairline in the enamel"),
        "radium_suspect": ("may carry radium paint", "carries no luminous paint"),
        "damaged_thread": ("has a damaged thread", "has a sound thread"),
        "stripped": ("has stripped teeth or thread", "has no stripped teeth or thread"),
        "chewed": ("has a damaged slot", "has a sound slot"),
        "burred": ("has a burr", "has no burr"),
        "marriage": ("is not the first one", "is the first one"),
        "replaced": ("has been replaced at some time", "has not been replaced"),
        "mismatched": ("does not match", "matches"),
        "altered": ("has been altered at some time", "has not been altered"),
        "got_at": ("has been worked on before", "has not been worked on before"),
        "repaired": ("has been repaired before", "has not been repaired before"),
        "bushed_before": ("has been bushed before", "has not been bushed before"),
        "repainted": ("has been repainted", "has not been repainted"),
        "overpainted": ("has been painted over", "has not been painted over"),
        "soldered": ("has been soldered before", "has not been soldered"),
        "glued": ("has been glued before", "has not been glued"),
        "punched": ("has been closed with a punch before", "has not been closed with a punch"),
        "shimmed": ("has a shim under it", "has no shim under it"),
        "numbered": ("carries a number", "carries no number"),
        "fitted_wrong": ("is assembled wrongly", "is assembled rightly"),
        "transit_packing": ("still has its packing in it", "has no packing left in it"),
        "trips": ("trips", "does not trip"),
        "stops": ("stops", "does not stop"),
        "loses": ("loses", "does not lose"),
        "gains": ("gains", "does not gain"),
        "low_amplitude": ("swings too little", "swings enough"),
        "flutters": ("flutters", "does not flutter"),
        "squeaks": ("squeaks", "does not squeak"),
        "weak_blow": ("gives a weak blow", "gives a full blow"),
        "strikes_wrong": ("strikes the wrong number", "strikes the right number"),
        "no_strike": ("does not strike", "strikes"),
        "wont_hold": ("does not hold the wind", "holds the wind"),
        "no_recoil": ("does not run back at the end", "runs back at the end, as it should"),
        "lumpy": ("runs rough, tight and slack by turns", "runs smoothly"),
        "out_of_step": ("is out of step with the hands", "is in step with the hands"),
        "mis_set": ("is set wrongly", "is set rightly"),
        "short_run": ("has too short a run", "has its full run"),
        "end_of_travel": ("stands at the end of its travel", "does not stand at the end of its travel"),
        "unequal_drop": ("gives unequal drops", "gives equal drops"),
        "unequal_lock": ("gives unequal locks", "gives equal locks"),
        "wrong_size": ("is of the wrong size or strength", "is of the right size and strength"),
        "coils_touching": ("has coils that touch", "has its coils free"),
        "fouling": ("is in the way of another part", "is clear of other parts"),
        "caught": ("is caught on another part", "is not caught on another part"),
        "frayed": ("is frayed", "is not frayed"),
        "weak": ("is weak", "is not weak"),
        "set": ("has lost its spread", "has kept its spread"),
        "detached": ("is off its fixing", "is on its fixing"),
        "not_seated": ("is not seated", "is seated"),
        "reversed": ("is fitted the wrong way round", "is fitted the right way round"),
        "crossed": ("lies crossed or piled up", "lies in order"),
        "off_its_seat": ("is off its pulley or groove", "is on its pulley or groove"),
        "mushroomed": ("has spread under blows", "has not spread"),
        "hardened": ("has gone hard", "has not gone hard"),
        "not_wound": ("is not wound", "is wound"),
        "not_level": ("is out of level", "is level"),
        "disturbed": ("is disturbed from outside", "is not disturbed from outside"),
        "too_wide": ("is too wide", "is not too wide"),
        "too_narrow": ("is too narrow", "is not too narrow"),
    }
)

_PLURAL = {
    "is": "are",
    "has": "have",
    "shows": "show",
    "carries": "carry",
    "does": "do",
    "swings": "swing",
    "trips": "trip",
    "stops": "stop",
    "loses": "lose",
    "gains": "gain",
    "flutters": "flutter",
    "squeaks": "squeak",
    "gives": "give",
    "strikes": "strike",
    "runs": "run",
    "stands": "stand",
    "lies": "lie",
    "holds": "hold",
    "matches": "match",
    "may": "may",
}


def part_words(component: str, of: str | None = None, place: str | None = None) -> str:
    """`pivot_hole`, `third_wheel`, `back` as `back pivot hole of the third wheel`; other places stand behind the
    part.
    """
    many = component in _MANY or place in ("both", "all")
    words = _MANY.get(component) or (_plural_of(preferred(component)) if many else preferred(component))
    behind = ""
    if component == "pallets" and place in ("entry", "exit"):
        words = "pallet"
    if place in ("front", "back", "entry", "exit", "both", "all") and (component in _SIDED or place in ("both", "all")):
        words = f"{place} {words}"
    elif place is not None:
        named = preferred(place) if place in components() else place.removeprefix("at_").replace("_", " ")
        behind = (
            f" by the {named}"
            if place.startswith("at_")
            else (f" at the {named}" if place in components() else f", {named}")
        )
    if of in _TRAINS:
        words = f"{words} of the {of} train"
    elif of and of != component:
        train, _, wheel = of.rpartition(".")
        words = f"{words} of the {train + ' ' if train else ''}{preferred(wheel)}"
    return words + behind


def clause(
    component: str,
    condition: str,
    *,
    of: str | None = None,
    place: str | None = None,
    absent: bool = False,
    extent: str = "",
    may: bool = False,
) -> str:
    """Part and condition as a clause without its stop: `The back pivot hole of the third wheel is badly worn`.

    `extent` is an adverb with its blank (`badly `); `may` says it as possible only (`The pallets may be grooved`).
    """
    part = part_words(component, of, place)
    many = component in _MANY or place in ("both", "all") or _is_plural(part, component)
    term = (
        (conditions()[condition].term if condition in conditions() else condition.replace("_", " "))
        .split(" (")[0]
        .split(", ")[0]
    )
    said = _predicate(condition, term, absent=absent, plural=many, extent=extent)
    if may:
        words = _predicate(condition, term, absent=absent, plural=True, extent=extent).split(" ")
        said = " ".join(["may", *("be" if word == "are" else word for word in words[:2]), *words[2:]])
    article = "" if place in ("both", "all") else "The "
    sentence = f"{article}{part}{',' if ',' in part else ''} {said}"
    return sentence[0].upper() + sentence[1:]


def preferred(component: str) -> str:
    """The trade's name without the notes behind it: `hands`, not `hands (as a pair or all)`."""
    words = components()[component].preferred if component in components() else component.replace("_", " ")
    return words.split(" (")[0].split(", ")[0]


def _plural_of(words: str) -> str:
    return words if words.endswith("s") else f"{words}s"


def _is_plural(part: str, component: str) -> bool:
    head = part.split(" of the ")[0].split(",")[0].split(" at the ")[0].split(" by the ")[0]
    return (
        head.endswith("s") and not head.endswith(("ss", "us", "glass")) and component not in ("bellows", "motion_works")
    )


def _predicate(condition: str, term: str, *, absent: bool, plural: bool, extent: str) -> str:
    """The verb and what follows it: `are badly worn`, `shows no rubbing mark`."""
    if condition in _PHRASES:
        phrase = _PHRASES[condition][1 if absent else 0]
    else:
        phrase = f"is {'not ' if absent else extent}{term}"
    words = phrase.split(" ")
    at = next((i for i, word in enumerate(words) if word in _PLURAL), 0)
    if plural:
        words[at] = _PLURAL.get(words[at], words[at])
    return " ".join(words)
