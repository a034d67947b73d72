"""What is spoken of: noun phrases to parts with their host and place, and what is carried from sentence to sentence.

A noun phrase is a run of parts, wheels, trains and places held together by small words ("the back hole of the
third on the strike side"). What it leaves unsaid is taken from the `Focus`: the wheel, the train and the part
spoken of last.

Never here: the state of a part.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from underdial.telling import lexicon, places_of_parts
from underdial.telling.tags import Item
from underdial.telling.words import listed

_LINKS = listed("of on in for the a an its his her their that this those these 's own little big small same old brass steel iron wooden one side end other hand my your inside")
_PREPOSITIONS = listed("of on in for at to from by with against round around under near behind through into onto over along toward towards past off than inside up down between across like above below where beside via")
_DETERMINERS = listed("the a an its his her their that this those these my your some any one both all each every other same first last whole")
ADJECTIVES = listed("""brass steel iron wood wooden oak walnut mahogany pine slate marble zinc lead paper enamel painted little small big old new long short outer inner
silvered gilt blued white black green brown tiny main plain thin thick heavy light loose""")
_NAMING = frozenset(("part", "shared", "wheel", "train", "place", "aspect"))
_STAYING = frozenset(("front", "back", "upper", "lower", "entry", "exit", "left", "right", "both"))
_OPPOSITE = {"front": "back", "back": "front", "entry": "exit", "exit": "entry", "upper": "lower", "lower": "upper", "top": "bottom", "bottom": "top",
             "left": "right", "right": "left", "inner": "outer", "outer": "inner", "inside": "outside", "outside": "inside", "going": "strike", "strike": "going"}


@dataclass(frozen=True)
class Target:
    """A part as written in a finding: component, whose it is, where on it. `aspect` marks endshake, swing and the like."""

    component: str
    of: str | None = None
    place: str | None = None
    aspect: str | None = None


@dataclass(frozen=True)
class Phrase:
    """A noun phrase of one sentence: its items, and the preposition and the quantity word before it."""

    items: tuple[Item, ...]
    start: int
    end: int
    preposition: str | None = None
    quant: str | None = None
    plural: bool = False


@dataclass
class Focus:
    """What is carried on: the subjects of the last clause, the hosts and the train spoken of, the parts of late."""

    traits: frozenset[str] = frozenset()
    several_trains: bool = False
    subjects: tuple[Target, ...] = ()
    hosts: tuple[str, ...] = ()
    host_train: str | None = None
    train: str | None = None
    section: str | None = None
    said_now: str | None = None
    recent: list[str] = field(default_factory=list)
    generic: str | None = None
    counting: str = "uk"
    bushing_said: bool = False
    nearby: list[str] = field(default_factory=list)
    denied: str | None = None

    def settle(self, targets: Sequence[Target], *, stated: bool = False) -> None:
        """Make these the subjects that a later "it" means; `stated` when something was said of them."""
        self.subjects = tuple(replace(t, place=None) if t.place is not None and not (t.component in places_of_parts.WITH_ENDS and t.place in _STAYING) else t for t in targets)
        for target in targets:
            self.remember(target, stated=stated)
        hosts = tuple(dict.fromkeys(_bare(t.of) if t.of and t.component in places_of_parts.HOSTS else t.component for t in targets))
        kept = tuple(h for h in hosts if h not in ("going", "strike", "chime", "alarm"))
        if kept and not all(t.component in places_of_parts.HOSTS and t.of is None for t in targets):
            self.hosts = kept

    def remember(self, target: Target, *, stated: bool = False) -> None:
        """Note a part as spoken of last, and the train it implies."""
        part = target.component
        host = _bare(target.of)
        self.recent[:] = list(dict.fromkeys([part, *([host] if host in places_of_parts.HOSTS["screw"] | places_of_parts.HOSTS["tooth"] else []), *self.recent]))[:6]
        if part in places_of_parts.STRIKE_ONLY and self.train not in ("strike", "chime"):
            if stated and self.several_trains:
                self.train = self.section = "strike"
        elif part in places_of_parts.CHIME_ONLY:
            if stated:
                self.train = self.section = "chime"
        elif places_of_parts.group_of(part) in places_of_parts.NO_TRAIN_GROUPS or part == "escape_wheel":
            self.train = self.section = None


def phrases(items: Sequence[Item], words: Sequence[str]) -> list[Phrase]:
    """All noun phrases of a row of items."""
    found: list[Phrase] = []
    at = 0
    while at < len(items):
        if items[at].kind not in _NAMING:
            at += 1
            continue
        group, at = _grown(items, at)
        named = [item for item in group if item.kind in _NAMING]
        before, quant = _before(items, items.index(group[0]))
        quant = quant or next((item.value for item in group if item.kind == "quant"), None)
        found.append(Phrase(tuple(group), named[0].start, named[-1].end, before, quant, any(item.plural for item in named if item.kind in ("part", "shared"))))
    return found


def _grown(items: Sequence[Item], at: int) -> tuple[list[Item], int]:
    group = [items[at]]
    end = at + 1
    while end < len(items):
        gap = end
        while gap < len(items) and ((items[gap].kind == "word" and items[gap].value in _LINKS) or items[gap].kind in ("quant", "number")):
            gap += 1
        joined = items[end:gap]
        if gap < len(items) and items[gap].kind == "word" and items[gap].value in ("and", "or", "nor", "at", "to") and gap + 1 < len(items):
            following = next((i for i in items[gap + 1:gap + 3] if not (i.kind == "word" and i.value in ("the", "on", "at", "in"))), None)
            if items[gap].value in ("and", "or", "nor"):
                if (group[-1].kind == "place" and following is not None and following.kind == "place") or (group[-1].kind == "wheel" and following is not None and following.kind == "wheel"):
                    group += [*joined, *items[gap:items.index(following) + 1]]
                    end = items.index(following) + 1
                    continue
            elif following is not None and following.kind == "place" and items[gap].value == "at":
                group += [*joined, *items[gap:items.index(following) + 1]]
                end = items.index(following) + 1
                continue
        if gap >= len(items) or items[gap].kind not in _NAMING or (any(i.kind == "number" for i in joined) and items[gap].kind != "part"):
            break
        linked = [i.value for i in joined if i.kind == "word"]
        determined = any(w in ("the", "a", "an", "its") for w in linked)
        if determined and not any(w in ("of", "on", "in", "for") for w in linked) and group[-1].value not in ("inside", "outside"):
            break
        if any(i.kind == "quant" for i in joined) and not any(w in ("of", "on", "in", "for") for w in linked):
            break
        group += items[end:gap + 1]
        end = gap + 1
    return group, end


def _before(items: Sequence[Item], at: int) -> tuple[str | None, str | None]:
    quant = None
    back = at - 1
    while back >= 0 and (items[back].kind in ("quant", "number") or (items[back].kind == "word" and (items[back].value in _DETERMINERS or items[back].value in ADJECTIVES))):
        if items[back].kind == "quant":
            quant = items[back].value
        back -= 1
    if back >= 1 and items[back].value == "of" and items[back - 1].kind == "word" and items[back - 1].value in ("couple", "pair", "lot", "lots", "number", "handful", "few", "row", "run") and quant is None:
        return None, None
    if back >= 2 and items[back].value == "of" and items[back - 1].kind == "number" and items[back - 2].value == "not" and quant is None:
        return None, "none"
    if back >= 1 and items[back].value == "of" and (items[back - 1].value == "none" or (items[back - 1].kind == "word" and items[back - 1].value in ("any", "most", "neither", "rest", "remainder"))) and quant is None:
        return None, "none"
    if back >= 0 and items[back].kind == "word" and items[back].value in _PREPOSITIONS:
        return items[back].value, quant
    return None, quant


def targets(phrase: Phrase, focus: Focus, *, all_of: str | None = None) -> tuple[Target, ...]:
    """The parts a noun phrase means, with what it leaves unsaid filled in from the focus."""
    train = next((item.value for item in phrase.items if item.kind == "train"), None)
    wheels = [item.value for item in phrase.items if item.kind == "wheel"]
    place = _place(phrase, all_of)
    heads = _heads(phrase)
    flipped = any(item.kind == "word" and item.value == "other" for item in phrase.items)
    if train is not None:
        focus.train = focus.said_now = train
        if train == "going" and (wheels or heads):
            focus.section = None
    if not heads and not wheels:
        return _selected(focus, train, place, flipped)
    if train is not None and len(heads) == 1 and heads[0].kind == "shared" and heads[0].value in ("spring", "springs") and not wheels:
        heads = [replace(heads[0], kind="part", value="mainspring")]
    resolved = [_resolve(item, focus, [*heads[1:], *(Item("part", w, 0, 0) for w in wheels)]) for item in heads]
    named = [(item, part) for item, part in zip(heads, resolved, strict=True) if part is not None]
    if not named and not wheels:
        return ()
    if named and named[0][1] == "wheel" and not wheels:
        if focus.hosts and focus.hosts[0] in places_of_parts.WHEELS:
            return tuple(_wheel_target(host, train or focus.host_train, place, focus) for host in focus.hosts)
        named = named[1:] if len(named) > 1 else named
    head = named[0] if named else None
    others = [part for _, part in named[1:]]
    first = next((item for item in phrase.items if item.kind in ("part", "shared", "wheel", "aspect")), None)
    if head is not None and first is not None and first.kind == "wheel" and head[1] in ("platform", "movement", "case", "plates") and any(item.kind == "word" and item.value in ("on", "in", "of") for item in phrase.items):
        return tuple(_wheel_target(wheel, train or _train_for(focus, wheel), place, focus) for wheel in dict.fromkeys(wheels))
    if head is not None and head[0].kind == "aspect" and head[0].value == "depth" and (wheels or others):
        named_wheel = wheels[0] if wheels else others[0]
        return (replace(_wheel_target(named_wheel, train, None, focus), aspect="depth") if named_wheel in places_of_parts.WHEELS else Target(named_wheel, None, None, "depth"),)
    if head is not None and head[1] in places_of_parts.HOSTS:
        return _sub_parts(head, others, wheels, train, place, focus, phrase, of_all=all_of == "all")
    if head is None and wheels and focus.generic is not None and all(item.end - item.start == 1 for item in phrase.items if item.kind == "wheel"):
        return tuple(Target(focus.generic, places_of_parts.of_wheel(w, train or _train_for(focus, w)), place) for w in dict.fromkeys(wheels))
    if head is None or head[1] == "wheel":
        if any(item.end - item.start == 2 for item in phrase.items if item.kind == "wheel"):
            focus.generic = None
        return tuple(_wheel_target(wheel, train or _train_for(focus, wheel), place, focus) for wheel in dict.fromkeys(wheels)) or (Target("wheel", None, place),)
    if head[1] in places_of_parts.WHEELS:
        return (_wheel_target(head[1], train or _train_for(focus, head[1]), place, focus),)
    if head[0].value == "thread" and head[0].kind == "shared":
        place = "thread"
    return (Target(head[1], _train_of(head[1], train, focus, both=place == "both"), _fit_place(head[1], place), head[0].value if head[0].kind == "aspect" else None),)


def place_of(phrase: Phrase) -> str | None:
    """The place a noun phrase names, if it names one."""
    return _place(phrase, None)


def other_one(subjects: Sequence[Target]) -> tuple[Target, ...]:
    """The same parts at the opposite end, side or train, for "the other one"."""
    flipped = []
    for target in subjects:
        if target.place in _OPPOSITE:
            flipped.append(replace(target, place=_OPPOSITE[target.place]))
        elif target.of in _OPPOSITE:
            flipped.append(replace(target, of=_OPPOSITE[target.of]))
        else:
            flipped.append(target)
    return tuple(flipped)


def _heads(phrase: Phrase) -> list[Item]:
    """Parts with the head noun first: "the hole in the cock" and "the cock's hole" both begin with the hole."""
    order: list[Item] = []
    last_end: int | None = None
    reverse = False
    for item in phrase.items:
        if item.kind == "word" and item.value in ("of", "on", "in", "for", "at"):
            reverse = True
        if item.kind in ("part", "shared", "aspect"):
            if order and not reverse:
                order.insert(0, item)
            else:
                order.append(item)
            last_end = item.end
        elif item.kind == "wheel" and not order and last_end is None:
            reverse = False
    return order


def _place(phrase: Phrase, all_of: str | None) -> str | None:
    named = list(dict.fromkeys(item.value for item in phrase.items if item.kind == "place"))
    if len(named) >= 2 and _OPPOSITE.get(named[0]) == named[1]:
        return "both"
    at_hour = next((p for p in named if p.startswith("at_")), None)
    if named:
        return at_hour or (named[0] if len(named) == 1 or named[0] == "both" else "_".join(named[:2]) if {named[0], named[1]} <= {"top", "bottom", "left", "right", "front", "back"} else named[0])
    return all_of or (phrase.quant if phrase.quant != "none" else None)


def counted(part: str, place: str | None) -> str | None:
    """ "Both" and "all" are places of parts that have ends or stand in rows, not of screws and hands."""
    if (place == "both" and part in places_of_parts.NOT_BOTH) or (place == "all" and part in places_of_parts.NOT_ALL):
        return None
    return place


def _fit_place(part: str, place: str | None) -> str | None:
    place = counted(part, place)
    if place == "tip" and part in ("rack_hook", "count_hook", "gathering_pallet", "drop_lever"):
        return None
    if place == "rim" and part == "balance":
        return None
    if place in ("top", "bottom") and part in ("cone_pivot", "cup_bearing", "pivot", "jewel", "pivot_hole", "end_stone"):
        return {"top": "upper", "bottom": "lower"}[place]
    return place


def _resolve(item: Item, focus: Focus, beside: Sequence[Item]) -> str | None:
    if item.kind == "aspect":
        return {"endshake": "arbor", "swing": "balance" if "balance" in focus.traits else "pendulum", "beat": "movement", "poise": "balance",
                "locks": "pallets", "drops": "pallets", "depth": "pallets", "rate": "movement"}[item.value]
    if item.kind == "part":
        if item.value == "suspension_spring" and "torsion" in focus.traits:
            return "torsion_strip"
        if item.value == "weight_chain" and "fusee" in focus.traits:
            return "fusee_chain"
        return item.value
    near = [part.value if part.kind != "shared" else next((p for p, callers in lexicon.shared_words()[part.value] if not callers), "") for part in beside if part.kind in ("part", "wheel", "shared")]
    default = None
    readings = lexicon.shared_words()[item.value]
    for context in (near, focus.recent[:1], focus.nearby, focus.recent[1:2], focus.recent[2:3]):
        for part, callers in readings:
            if callers & set(context) and not any(c.startswith("!") and c[1:] != focus.train for c in callers):
                return part
    for part, callers in readings:
        if any(c.startswith("#") and c[1:] in focus.traits for c in callers) or any(c.startswith("!") and c[1:] == focus.train and not (callers & {"hammer"}) for c in callers):
            return part
        if not callers and default is None:
            default = part
    return default


def _bare(of: str | None) -> str:
    return (of or "").rsplit(".", 1)[-1]


def _train_for(focus: Focus, wheel: str) -> str | None:
    return (focus.said_now or focus.section) if wheel not in places_of_parts.ONE_OF_A_KIND else None


def _wheel_target(wheel: str, train: str | None, place: str | None, focus: Focus) -> Target:
    focus.host_train = train
    if place in ("front", "back", "both", "upper", "lower"):
        return Target("pivot_hole", places_of_parts.of_wheel(wheel, train), place)
    return Target(wheel, train if train not in (None, "going") and wheel not in places_of_parts.ONE_OF_A_KIND else None, place if place != "all" else None)


def _train_of(part: str, train: str | None, focus: Focus, *, both: bool = False) -> str | None:
    if both and train is None:
        return None
    if part in places_of_parts.POWER:
        said = train or focus.train
        return said if said is not None and (focus.several_trains or train is not None or said in ("strike", "chime")) else None
    if part in places_of_parts.TRAIN_WORK and "chime" in focus.traits:
        return train or (focus.train if focus.train in ("chime", "strike") else None)
    return None


def _sub_parts(head: tuple[Item, str], others: Sequence[str], wheels: Sequence[str], train: str | None, place: str | None, focus: Focus, phrase: Phrase, *, of_all: bool = False) -> tuple[Target, ...]:
    item, part = head
    if part == "pivot_hole" and focus.recent[:1] == ["pulley"] and not wheels and not others:
        return (Target("pulley", _train_of("pulley", train, focus), place),)
    if part == "pivot_hole" and focus.recent[:1] == ["jewel"] and not wheels and not others:
        return (Target("jewel", None, place),)
    if part == "tooth" and not wheels and (others[:1] == ["ratchet_wheel"] or (not others and focus.recent[:1] == ["ratchet_wheel"])):
        return (Target("ratchet_wheel", _train_of("ratchet_wheel", train, focus), place),)
    if part == "leaf" and focus.recent[:1] == ["pinion"]:
        part = "pinion"
    aspect = item.value if item.kind == "aspect" else None
    if part == "bush" and item.kind == "part":
        aspect = "bush"
    place = _fit_place(part, place)
    if wheels:
        now = focus.said_now or focus.section
        side = train or (now if now in ("strike", "chime") and not any(w == "escape_wheel" for w in wheels) else None)
        focus.host_train = side
        return tuple(Target(part, places_of_parts.of_wheel(w, side), place, aspect) for w in dict.fromkeys(wheels))
    if part in ("pivot_hole", "bush") and place is None and others[:1] == ["back_cock"]:
        place = "back"
    for other in others:
        host = places_of_parts.host_for(part, other)
        if host is not None:
            return (Target(part, places_of_parts.of_wheel(host, train or focus.said_now or focus.section), place, aspect),)
        if part in ("pivot_hole", "bush") and other in ("front_plate", "back_plate"):
            return (Target(part, train if train != "going" else None, "front" if other == "front_plate" else "back", aspect),)
    if part in ("pivot", "pivot_hole") and others and not wheels and others[0] not in places_of_parts.HOSTS and others[0] in ("handle", "door", "hinge", "bezel", "bell_stand", "repeat_work", "bird", "bellows", "bird_door", "alarm_lever", "locking_lever", "count_hook", "silent_lever", "rack_hook", "drop_lever", "stop_work"):
        return (Target(others[0], None, None, None),)
    if part == "screw" and not others and not wheels and item.plural and focus.recent[:1] == ["movement"]:
        return (Target("case_screw", None, place),)
    if part == "screw" and others and host_named(others[0]):
        return (Target(part, others[0], place, aspect),)
    loose_all = (phrase.quant == "none" and phrase.plural and place is None and aspect is None and part in ("pivot", "pivot_hole")) or (place == "all" and phrase.quant == "all" and phrase.plural and phrase.preposition is None and aspect is None and part in ("pivot", "pivot_hole", "oil_sink", "pinion"))
    loose_all = loose_all or (of_all and phrase.plural and part in ("pivot", "pivot_hole", "oil_sink", "pinion") and not wheels and not others)
    if train is not None and part in ("pivot", "pivot_hole", "oil_sink", "arbor", "pinion", "tooth", "bush"):
        return (Target(part, train if train != "going" else None, place, aspect),)
    hosts = [] if loose_all else [h for h in (places_of_parts.host_for(part, h) for h in focus.hosts) if h is not None]
    if not hosts and not loose_all:
        hosts = [h for h in (places_of_parts.host_for(part, p) for p in focus.recent[:1 if part == "screw" else 2]) if h is not None][:1]
    if not hosts and not loose_all and part in ("pivot", "pivot_hole") and place in ("upper", "lower") and "balance" in focus.traits and set(focus.recent[:4]) & {"balance", "balance_staff", "jewel", "end_stone", "cylinder", "balance_cock", "hairspring", "cock", "platform"}:
        return (Target(part, "cylinder" if "cylinder" in focus.traits else "balance_staff", place, aspect),)
    if hosts:
        side = focus.host_train if all(h in places_of_parts.WHEELS for h in hosts) else None
        if len(hosts) > 1 and place == "all":
            place = None
        return tuple(Target(part, places_of_parts.of_wheel(h, side), place, aspect) for h in dict.fromkeys(hosts))
    return (Target(part, None, place, aspect),)


def host_named(part: str) -> bool:
    """Whether a screw may be said to be of this part when both are named together."""
    return part not in places_of_parts.WHEELS and part not in ("screw", "case", "case_screw", "movement", "plates", "hands", "slots") and part not in places_of_parts.HOSTS


def _selected(focus: Focus, train: str | None, place: str | None, flipped: bool) -> tuple[Target, ...]:
    """Only a place or a train was said: "Back, oval", "the strike one": the rest is that of the last subject."""
    if flipped and train is None and (place is None or place in ("outer_end", "inner_end", "far_end")):
        return other_one(focus.subjects)
    chosen: dict[Target, None] = {}
    for target in focus.subjects:
        if train is not None:
            if target.component in places_of_parts.POWER or target.component in places_of_parts.TRAIN_WORK:
                target = replace(target, of=train)
            elif target.component in places_of_parts.WHEELS:
                target = replace(target, of=train if train != "going" else None)
            elif target.of and _bare(target.of) in places_of_parts.WHEELS:
                target = replace(target, of=places_of_parts.of_wheel(_bare(target.of), train))
        if place is not None:
            if target.component in places_of_parts.WHEELS and place in ("front", "back", "both", "upper", "lower"):
                target = Target("pivot_hole", places_of_parts.of_wheel(target.component, target.of), place)
            elif target.component in ("entry_pallet", "exit_pallet") and place in ("entry", "exit"):
                target = Target(f"{place}_pallet")
            elif target.component in ("pinion", "leaf", "tooth", "collet", "arbor") and place in ("front", "back") and target.of:
                target = Target("pivot_hole", target.of, place)
            else:
                target = replace(target, place=_fit_place(target.component, place))
        chosen[target] = None
    return tuple(chosen)
