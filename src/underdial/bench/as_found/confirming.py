"""Reading a look-over through: one finding at a time with its words, still and place in the recording; merge, split,
undo.

What is done to a finding is written at once. Undo takes back the newest deed on findings that is not taken back yet,
and is itself written down; nothing is erased.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from underdial.bench.as_found.doubting import TAKEN_UP
from underdial.bench.as_found.looking import correct_finding
from underdial.bench.as_found.picturing import ShownPicture, shown
from underdial.bench.clock.naming import as_written
from underdial.bench.shop import ClockPage, Shop, history_of, job
from underdial.errors import BadInput, NotFound, RuleBroken
from underdial.papers.sentences import clock_words, finding_mark, finding_sentence
from underdial.record.clock import Attachment
from underdial.record.codec import from_plain
from underdial.record.contradiction import contradictions
from underdial.record.finding import EXTENTS, SIGNIFICANCES, STATES, UNSEEN, Finding
from underdial.record.history import Event
from underdial.trade.speech import speech
from underdial.trade.vocabulary import components, conditions

# Said without a hedge and with the hedges of the trade; never offered above what was said.
SURE_WORDS = (
    (0.97, "certain"),
    (0.9, "said plainly"),
    (0.75, "“probably”"),
    (0.7, "“I'd say”"),
    (0.5, "“I'd guess”"),
    (0.4, "“might be”"),
    (0.3, "“not sure”"),
)
MATTERS_WORDS = {"stops": "stops it", "contributes": "contributes", "cosmetic": "only looks", "none": "does not matter"}
# A part that was not examined was so for one of three reasons, and they are three different things.
SEEN_WORDS = {
    "present": "it is so",
    "absent": "looked for, not so",
    "not_looked_at": "not looked at",
    "could_not_be_reached": "could not be reached",
    "not_tested_yet": "not tested yet",
}
PLACES = (
    "front",
    "back",
    "both",
    "all",
    "upper",
    "lower",
    "left",
    "right",
    "top",
    "bottom",
    "entry",
    "exit",
    "inside",
    "outer",
    "inner",
    "tip",
    "middle",
)
# Marks of 24 points on a ribbon of about 900, in three rows.
_ROWS, _APART_RATIO = 3, 0.027
_UNDONE = re.compile(r"undone (\d+)")
_PICKED, _MERGED, _SPLIT = "picked on reading through", "merged", "split"


@dataclass(frozen=True, slots=True)
class Span:
    """A stretch of the words and what it was taken for: part, condition, place, how sure, matters, or nothing."""

    text: str
    taken_for: str = ""


@dataclass(frozen=True, slots=True)
class Tick:
    """A finding on the ribbon: `x_ratio` is its place from 0 to 1, `row_count` its row where marks would lie on one
    another.
    """

    id: str
    x_ratio: float
    mark: str
    word: str
    settled: bool
    current: bool
    sentence: str
    time: str
    row_count: int = 0


@dataclass(frozen=True, slots=True)
class Confirm:
    """The page Confirm: the finding in hand, its neighbours, the ribbon, and lists to pick from."""

    finding: Finding
    sentence: str
    mark: str
    mark_word: str
    spans: tuple[Span, ...]
    time: str
    stills: tuple[ShownPicture, ...]
    recording: Attachment | None
    play_from_s: float
    play_to_s: float
    before: Tick | None
    following: Tick | None
    ticks: tuple[Tick, ...]
    private: tuple[tuple[float, float], ...]
    scale: tuple[tuple[float, str], ...]
    settled_count: int
    left_count: int
    lists: Mapping[str, list[tuple[str, str]]]
    may_undo: bool
    version_count: int
    seen: str
    mergeable: tuple[Tick, ...]
    against: tuple[Tick, ...]
    look_over_id: str | None


def confirm_page(shop: Shop, page: ClockPage, finding_id: str | None = None) -> Confirm | None:
    """What the page shows of a finding, or of the first that waits; None when there are no findings."""
    ordered = in_order(page)
    if not ordered:
        return None
    at = _position(ordered, finding_id)
    one = ordered[at]
    look_over = next((each for each in page.look_overs if each.id == _look_over_of(one)), None)
    together = [f for f in ordered if _look_over_of(f) == _look_over_of(one)]
    # Words without times lie side by side: where among them something private was said is not known.
    timed = any(f.start_s is not None for f in together) or bool(look_over and look_over.lasts_s)
    private = look_over.private if look_over and timed else ()
    # The ribbon is one recording; a private stretch that was never ended lasts for ever, and the ribbon ends where
    # something is.
    ends = [f.end_s or f.start_s or 0.0 for f in together] + [
        s.start_s + 20.0 if s.end_s > 1e8 else s.end_s for s in private
    ]
    lasts_s = max((look_over.lasts_s if look_over else None) or 0.0, 1.02 * max(ends), 1.0)
    places = {f.id: k for k, f in enumerate(together)}
    ticks = {f.id: _tick(f, lasts_s, f.id == one.id, places.get(f.id, 0), len(together)) for f in ordered}
    files = {a.id: a for a in page.attachments}
    stills = tuple(
        shown(page, files[e.source])
        for e in one.evidence
        if e.kind == "picture" and e.source in files and not files[e.source].set_aside
    )
    kept = files.get(look_over.attachment_id or "") if look_over else None
    mark, word = finding_mark(one)
    start_s, settled = one.start_s or 0.0, sum(t.settled for t in ticks.values())
    return Confirm(
        finding=one,
        sentence=finding_sentence(one),
        mark=mark,
        mark_word=word,
        spans=bracketed(one),
        time=clock_words(one.start_s),
        stills=stills,
        recording=kept if kept is not None and kept.kind in ("film", "sound") and one.start_s is not None else None,
        play_from_s=max(0.0, start_s - 1.5),
        play_to_s=(one.end_s or start_s) + 1.5,
        before=ticks[ordered[at - 1].id] if at else None,
        following=ticks[ordered[at + 1].id] if at + 1 < len(ordered) else None,
        ticks=_in_rows([ticks[f.id] for f in together]),
        private=tuple((s.start_s / lasts_s, min(1.0, s.end_s / lasts_s)) for s in private),
        scale=_scale(lasts_s) if timed else (),
        settled_count=settled,
        left_count=len(ticks) - settled,
        lists=_lists(one),
        may_undo=_last_deed(shop, page) is not None,
        version_count=page.versions.get(one.id, 0),
        seen=(one.why or "not_looked_at") if one.state == "not_examined" else one.state,
        against=tuple(ticks[other.id] for other in contradictions(page.holding).get(one.id, ())),
        mergeable=tuple(ticks[f.id] for f in _likely_same(one, ordered)),
        look_over_id=look_over.id if look_over else None,
    )


def in_order(page: ClockPage) -> list[Finding]:
    """Findings as they were said, one look-over after the other; those without time last."""
    order = {one.id: k for k, one in enumerate(page.look_overs)}
    return sorted(
        page.findings,
        key=lambda one: (one.start_s is None, order.get(_look_over_of(one) or "", len(order)), one.start_s or 0.0),
    )


def _likely_same(one: Finding, ordered: Sequence[Finding]) -> list[Finding]:
    """What a finding may be the same as: those of the same part, then those said near it."""
    at = next(k for k, f in enumerate(ordered) if f.id == one.id)

    def unlike(k: int) -> tuple[bool, bool, int]:
        other = ordered[k]
        return other.component != one.component, other.of != one.of, abs(k - at)

    near = [
        k
        for k, f in enumerate(ordered)
        if f.id != one.id and f.standing != "rejected" and (f.component == one.component or abs(k - at) <= 4)
    ]
    return [ordered[k] for k in sorted(near, key=unlike)]


def _look_over_of(one: Finding) -> str | None:
    return next((proof.source for proof in one.evidence if proof.kind == "look_over"), None)


def next_waiting(page: ClockPage, after_id: str) -> str | None:
    """The next finding after this one that waits to be read through, going round to the first; None when none waits."""
    ordered = in_order(page)
    at = next((k for k, one in enumerate(ordered) if one.id == after_id), 0)
    return next((one.id for one in ordered[at + 1 :] + ordered[:at] if one.standing == "heard"), None)


def pick(shop: Shop, clock: str, finding_id: str, *, field: str, value: str, by: str = "repairer") -> Finding:
    """Put one word of a finding right from a list; it still waits to be accepted. Raises BadInput for a word of no
    list.
    """
    allowed: Mapping[str, Iterable[str]] = {
        "state": (*STATES, *UNSEEN),
        "extent": EXTENTS,
        "significance": SIGNIFICANCES,
        "component": components(),
        "condition": conditions(),
    }
    if field not in (*allowed, "of", "place", "certainty"):
        raise BadInput("field", field, ", ".join((*allowed, "of", "place", "certainty")))
    if field in allowed and value and value not in allowed[field]:
        raise BadInput(field, value, "a word of the list", f"{field}: {value} is not on the list.")
    if field == "certainty":
        changes: dict[str, Any] = {field: _sure(value)}
    elif field == "state":
        changes = _seen(value or "present")
    elif field in ("component", "condition") and not value:
        raise BadInput(field, "nothing", "a word of the list", f"{field}: pick a word of the list.")
    else:
        changes = {field: value or None}
    if field == "condition" and value in UNSEEN.values():
        changes = _seen(next(why for why, condition in UNSEEN.items() if condition == value))
    if field in ("component", "condition"):
        changes["guess"] = None
    return correct_finding(shop, clock, finding_id, {"standing": "heard", **changes}, by=by, why=_PICKED)


def _seen(value: str) -> dict[str, Any]:
    """What is said of whether a part was seen: it is so, it is not so, or why it was not examined."""
    if value in STATES and value != "not_examined":
        return {"state": value, "why": None}
    why = value if value in UNSEEN else "not_looked_at"
    return {"state": "not_examined", "why": why, "condition": UNSEEN[why]}


def merge_findings(shop: Shop, clock: str, finding_id: str, other_id: str, *, by: str = "repairer") -> Finding:
    """Say that two findings are one: this one stays, takes the other's times and evidence, and keeps the less sure of
    the two hedges.
    """
    if finding_id == other_id:
        raise RuleBroken("merge", other_id, "another finding", "merge: a finding cannot be merged with itself.")
    with job(shop, clock, by=by, why=_MERGED) as at:
        one, other = at.read("finding", finding_id), at.read("finding", other_id)
        times = {*one.also_s, *other.also_s, *((other.start_s,) if other.start_s is not None else ())} - {one.start_s}
        kept: Finding = at.change(
            replace(
                one,
                also_s=tuple(sorted(times)),
                evidence=tuple(dict.fromkeys((*one.evidence, *other.evidence))),
                certainty=min(one.certainty, other.certainty),
                significance=one.significance or other.significance,
                decision=one.decision or other.decision,
                standing="heard",
            )
        )
        at.change(replace(other, standing="rejected"), deed="rejected")
    return kept


def split_finding(shop: Shop, clock: str, finding_id: str, *, by: str = "repairer") -> Finding:
    """Make two of one finding, with the same words and times; the second waits to be put right."""
    with job(shop, clock, by=by, why=_SPLIT) as at:
        one = at.read("finding", finding_id)
        second: Finding = at.add(replace(one, id="", standing="heard"))
    return second


def undo(shop: Shop, clock: str, *, by: str = "repairer") -> str | None:
    """Take back the newest deed on findings; the id of the finding it was done to. None when there is nothing to take
    back.
    """
    group = _newest(history_of(shop, clock))
    if not group:
        return None
    with job(shop, clock, by=by, why=f"undone {group[0].number_count}") as at:
        for event in reversed(group):
            if event.before is None:
                at.change(replace(at.read("finding", event.record_id), standing="rejected"))
            else:
                at.change(from_plain(event.before))
    return group[0].record_id


def bracketed(one: Finding) -> tuple[Span, ...]:
    """The words of a finding, cut where part, condition, place, hedge and weight stand in them."""
    text = one.words or ""
    taken: list[tuple[int, int, str]] = []
    for name, phrases in _looked_for(one):
        for phrase in sorted(phrases, key=len, reverse=True):
            hit = next(
                (
                    m
                    for m in re.finditer(rf"(?<![\w]){re.escape(phrase)}(?:'s|s|es)?(?![\w])", text, re.IGNORECASE)
                    if all(m.end() <= a or m.start() >= b for a, b, _ in taken)
                ),
                None,
            )
            if hit:
                taken.append((hit.start(), hit.end(), name))
                break
    spans, at = [], 0
    for start, end, name in sorted(taken):
        spans += [Span(text[at:start])] if text[at:start] else []
        spans.append(Span(text[start:end], name))
        at = end
    return (*spans, *((Span(text[at:]),) if text[at:] else ()))


def _looked_for(one: Finding) -> list[tuple[str, list[str]]]:
    weights = (
        [
            phrase
            for weight in speech().significance
            if weight.significance == one.significance
            for phrase in weight.phrases
        ]
        if one.significance
        else []
    )
    matters = {
        "stops": ["that's what stops it", "that stops it", "that's what's stopping it", "what stops it", "stops it"],
        "cosmetic": ["only looks", "cosmetic"],
        "none": ["doesn't matter", "does not matter"],
    }
    rows = [("matters", [*weights, *matters.get(one.significance or "", [])])]
    if one.certainty < 0.9:
        rows.append(
            (
                "how sure",
                [
                    phrase
                    for hedge in speech().hedges
                    if hedge.certainty_probability is not None and hedge.certainty_probability < 0.9
                    for phrase in hedge.phrases
                ],
            )
        )
    part, state = components().get(one.component), conditions().get(one.condition)
    rows.append(("part", [] if part is None else [part.preferred.split(" (")[0], *part.uk, *part.us, *part.spoken]))
    if one.of:
        wheel = components().get(one.of.split(".")[-1])
        rows.append(
            (
                "of",
                [one.of.split(".")[0]]
                if wheel is None
                else [wheel.preferred.split(" (")[0], *wheel.uk, *wheel.us, *wheel.spoken],
            )
        )
    rows.append(("condition", [] if state is None else [state.term.split(" (")[0], *state.synonyms, *state.spoken]))
    if one.place:
        rows.append(("place", [one.place.replace("_", " ")]))
    return rows


def _lists(one: Finding) -> dict[str, list[tuple[str, str]]]:
    """What may be picked: near words first would hide the rest, so each list is whole and in the order of its words."""
    parts = sorted(((as_written(key), key) for key in components()), key=lambda pair: pair[0].casefold())
    # Of a part that was not examined no condition is known; it can be said anew why.
    unseen = {condition: SEEN_WORDS[why] for why, condition in UNSEEN.items()}
    named = unseen if one.state == "not_examined" else conditions()
    states = sorted(((unseen.get(key) or as_written(key), key) for key in named), key=lambda pair: pair[0].casefold())
    if one.condition not in {key for _, key in states}:
        states.insert(0, ("as noted", one.condition))
    wheels = [
        (as_written(key), key)
        for key, part in components().items()
        if "wheel" in part.kinds or key.endswith("_wheel") or key in ("barrel", "fusee", "balance", "pendulum")
    ]
    trains = [(f"{train} train", train) for train in ("going", "strike", "chime", "alarm")]
    trained = [
        (f"{words} of the strike", f"strike.{key}")
        for words, key in wheels
        if key in ("great_wheel", "second_wheel", "third_wheel", "fourth_wheel")
    ]
    of = [("nothing said", ""), *trains, *sorted(wheels), *trained]
    if one.of and one.of not in {key for _, key in of}:
        of.append((as_written(one.of), one.of))
    places = [("nothing said", ""), *((place, place) for place in PLACES)]
    if one.place and one.place not in PLACES:
        places.append((one.place.replace("_", " "), one.place))
    sure = [(words, f"{least:g}") for least, words in SURE_WORDS if least <= one.certainty + 1e-9]
    if f"{one.certainty:g}" not in {key for _, key in sure}:
        sure.insert(0, ("as it was said", f"{one.certainty:g}"))
    matters = [("not said", ""), *((words, key) for key, words in MATTERS_WORDS.items())]
    return {
        "component": parts,
        "of": of,
        "place": places,
        "condition": states,
        "certainty": sure,
        "significance": matters,
        "state": [(words, key) for key, words in SEEN_WORDS.items()],
        "extent": [("not said", ""), ("slightly", "slight"), ("moderately", "moderate"), ("badly", "bad")],
    }


def _sure(value: str) -> float:
    try:
        return float(value)
    except ValueError:
        raise BadInput("certainty", value, "0 to 1") from None


def _position(ordered: Sequence[Finding], finding_id: str | None) -> int:
    if finding_id is None:
        return next((k for k, one in enumerate(ordered) if one.standing == "heard"), 0)
    at = next((k for k, one in enumerate(ordered) if one.id == finding_id), None)
    if at is None:
        raise NotFound(
            "finding", finding_id, "a finding of this visit", "finding: there is no such finding at this visit."
        )
    return at


def _tick(one: Finding, lasts_s: float, current: bool, at: int, count: int) -> Tick:
    mark, word = finding_mark(one)
    if one.standing == "rejected":
        mark, word = "rejected", "rejected"
    place = (one.start_s / lasts_s) if one.start_s is not None else (at + 0.5) / count
    return Tick(
        one.id,
        min(1.0, place),
        mark,
        word,
        one.standing != "heard",
        current,
        finding_sentence(one),
        clock_words(one.start_s),
    )


def _in_rows(ticks: Sequence[Tick]) -> tuple[Tick, ...]:
    """Each mark in the first row in which none lies on it."""
    last = [-1.0] * _ROWS
    placed = []
    for tick in ticks:
        row = next(
            (k for k in range(_ROWS) if tick.x_ratio - last[k] >= _APART_RATIO),
            max(range(_ROWS), key=lambda k: tick.x_ratio - last[k]),
        )
        last[row] = tick.x_ratio
        placed.append(replace(tick, row_count=row))
    return tuple(placed)


def _scale(lasts_s: float) -> tuple[tuple[float, str], ...]:
    step = next((s for s in (10, 20, 30, 60, 120, 300, 600, 1200, 3600) if lasts_s / s <= 8), 7200)
    return tuple(
        (k * step / lasts_s, clock_words(k * step))
        for k in range(int(lasts_s // step) + 1)
        if k * step / lasts_s < 0.97
    )


def _last_deed(shop: Shop, page: ClockPage) -> Event | None:
    group = _newest(history_of(shop, page.clock.tag))
    return group[0] if group else None


def _newest(events: Sequence[Event]) -> list[Event]:
    """The events of the newest deed on findings that is not undone: all that was written in one breath."""
    undone: set[int] = set()
    groups: list[list[Event]] = []
    for event in events:
        if event.record != "finding":
            continue
        back = _UNDONE.fullmatch(event.why or "")
        if back:
            undone.add(int(back[1]))
        elif event.deed in ("confirmed", "corrected", "rejected") or event.why in (_MERGED, _SPLIT, TAKEN_UP):
            if groups and groups[-1][0].at == event.at and groups[-1][0].why == event.why:
                groups[-1].append(event)
            else:
                groups.append([event])
    return next((group for group in reversed(groups) if group[0].number_count not in undone), [])
