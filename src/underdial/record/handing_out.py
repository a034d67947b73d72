"""What is still open when a clock is handed out, and what its test came to in one sentence."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from underdial.errors import RuleBroken
from underdial.record.choice import Choice
from underdial.record.consent import Consent, key_of
from underdial.record.proof import Proof
from underdial.record.visit import Visit
from underdial.record.work import Work, left_to_do
from underdial.trade.phrases import part_words

_PLACES = {False: "on the stand", True: "in its case"}


def verdict_sentence(visit: Visit, proofs: Sequence[Proof]) -> str:
    """What the tests of a visit came to, in one sentence, and why the clock went home with something open.

    `On the stand: passed. In its case: not tested.`; `Not tested; handed out because “the owner is moving”.`
    """
    newest = _newest(proofs)
    said = [f"{_titled(one)}: {_came_to(one)}" for one in newest]
    if not said:
        said = ["Not tested"]
    elif visit.arrived_as != "movement_only":
        said += [f"{_PLACES[cased].capitalize()}: not tested" for cased in _untested(newest)]
    because = f"; handed out because “{visit.gone_because.rstrip('.')}”" if visit.gone_because else ""
    return f"{'. '.join(said)}{because}."


def still_open(
    proofs: Sequence[Proof], consents: Iterable[Consent], works: Iterable[Work], choices: Iterable[Choice]
) -> tuple[str, ...]:
    """What is open before a clock is handed out, a sentence each: a test that failed, was not judged or is missing, and
    works that were agreed and are not written down as done, in the words of the choices.
    """
    newest = _newest(proofs)
    found = [f"{_titled(one)}: {_came_to(one)}." for one in newest if one.verdict != "passed"]
    found += [] if newest else ["Nothing was tested."]
    undone = left_to_do(consents, works)
    if undone:
        said = {key_of(work): work.words for choice in choices for work in choice.works}
        names = "; ".join(
            f"{said.get(key_of(one)) or one.work.replace('_', ' ')}: {part_words(one.component, one.of, one.place)}"
            for one in undone
        )
        many = "1 agreed work is" if len(undone) == 1 else f"{len(undone)} agreed works are"
        found.append(f"{many} not written down as done: {names}.")
    return tuple(found)


def check_reason(still: Sequence[str], why: str | None) -> None:
    """RuleBroken when something is open and no reason is given for handing the clock out all the same."""
    if still and not (why or "").strip():
        raise RuleBroken(
            "why",
            "nothing",
            "why it goes home all the same",
            f"why: something is still open ({' '.join(still).rstrip('.')}); say why it goes home all the same.",
        )


def _newest(proofs: Sequence[Proof]) -> list[Proof]:
    """The last test on the stand and the last one in the case: a later one takes the place of an earlier."""
    last = {one.cased: one for one in proofs}
    return [last[cased] for cased in (False, True) if cased in last]


def _untested(newest: Sequence[Proof]) -> list[bool]:
    return [cased for cased in (False, True) if cased not in {one.cased for one in newest}]


def _titled(proof: Proof) -> str:
    return proof.title[:1].upper() + proof.title[1:]


def _came_to(proof: Proof) -> str:
    words = f" ({proof.verdict_words})" if proof.verdict_words else ""
    if proof.verdict != "not_yet":
        return f"{proof.verdict}{words}"
    if proof.began_at is None:
        return "laid down and never begun"
    if proof.stops and proof.ended_at is None:
        return f"not judged (it stopped: {'; '.join(proof.stops)})"
    return f"not judged{words}"
