"""The owner's letter: the complaint, what stops the clock and why in three lines, what else, and the choices.

Words of one scale for chances, everyday words for the rest; a caution where the owner could come to harm. Never in it:
figures of the bench, blame, other customers, value, where a clock stands; bench speech only as a quotation of a wish.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from datetime import date
from typing import Any

from underdial.papers.blocks import Block, Caution, ChoiceSlip, Marked, Paper, Words
from underdial.papers.chances import hope_of, owner_chance, scale_sentence
from underdial.papers.choice_words import (
    PRICES_SENTENCE,
    answer_day,
    answered_on,
    as_answered,
    owner_title,
    rate_over_wind_words,
    ready_words,
    too_late_words,
)
from underdial.papers.counter_papers import letterhead
from underdial.papers.dossier import Dossier, who
from underdial.papers.sentences import finding_sentence, part_of_price_words, price_words
from underdial.record.choice import Choice, PlannedWork
from underdial.record.complaint import Complaint
from underdial.record.hold import forbidden
from underdial.record.people import who_may_instruct
from underdial.trade.part_meanings import meaning_of
from underdial.trade.phrases import part_words, preferred
from underdial.trade.vocabulary import components
from underdial.trade.work_meanings import said_to_owner

_LETTERS = "ABCDEFGH"
_WORTH_A_LINE = 0.05
# A wish told at the bench of somebody ("she wants …"): who, what they do, and what was said of it.
_OF_ANOTHER = re.compile(r"(?:the )?(?:owner|customer|client|he|she|they|his|her|their)\b", re.IGNORECASE)
_WISHED = re.compile(
    r"(?:the )?(?:owner|customer|client|he|she|they)(?P<verb> wants?| wanted| would like|[’']d like| would prefer"
    r"| prefers?| asks? for| asked for| hopes?| does not want| doesn[’']t want| do not want) (?P<rest>.+)",
    re.IGNORECASE,
)
_YOU = {
    " wants": "want",
    " prefers": "prefer",
    " asks for": "ask for",
    " hopes": "hope",
    " does not want": "do not want",
    " doesn't want": "do not want",
    "'d like": "would like",
}


def owner_letter(dossier: Dossier) -> Paper:
    """The letter for this visit, with at least the choice to leave the clock as it is."""
    names = who(dossier, "owns") or who(dossier, "brings")
    blocks: list[Block] = [
        letterhead(dossier, "owns" if who(dossier, "owns") else "brings"),
        Words("", (f"Dear {' and '.join(names)}," if names else "Dear owner,", *_complaint(dossier))),
    ]
    blocks += [Caution("before_step", one) for one in dossier.owner_cautions[:2]]
    blocks += _dispute(dossier)
    blocks += _what_is_wrong(dossier)
    blocks += _only_looks(dossier)
    blocks.append(
        Words(
            "Your choices",
            (
                *_opening(dossier),
                *_parts_meant(dossier),
                *(() if dossier.choices else ("The choices are not laid out yet; they follow with their prices.",)),
            ),
        )
    )
    blocks += [_slip(dossier, letter, one) for letter, one in _lettered(dossier)]
    blocks.append(Words("How to answer", _answer(dossier)))
    return Paper(
        "letter",
        "What we found, and your choices",
        _lead(dossier),
        dossier.clock.tag,
        dossier.shop.name,
        dossier.clock.name,
        dossier.today.isoformat(),
        dossier.record_sha256,
        tuple(blocks),
    )


def _lead(dossier: Dossier) -> str:
    diagnosis = dossier.diagnosis or {}
    causes = diagnosis.get("causes") or []
    if not causes:
        return "What was seen is below; what follows from it has not been worked out yet."
    more = "" if diagnosis.get("model_fits", True) else " There is more to it that we have not found yet."
    return f"{_to_owner(causes[0])}{more}"


def _to_owner(cause: Mapping[str, Any]) -> str:
    """What a cause does in everyday words; of an answer kept from before there were such words, what was found."""
    return str(cause.get("to_owner") or f"{cause['title']}.")


def _complaint(dossier: Dossier) -> tuple[str, ...]:
    said = dossier.visit.complaint.words
    return (
        (f"You told us: “{said.rstrip('.')}”. This is what we found.",)
        if said
        else ("Thank you for leaving the clock with us. This is what we found.",)
    )


def _dispute(dossier: Dossier) -> list[Block]:
    said: dict[str, list[str]] = {}
    for deed, hold in forbidden(dossier.holds).items():
        if deed in ("alter", "release"):
            said.setdefault(hold.why.rstrip("."), []).append("altered" if deed == "alter" else "handed over")
    return [Caution("stop", f"Nothing will be {' or '.join(deeds)} for now: {why}.") for why, deeds in said.items()]


def _what_is_wrong(dossier: Dossier) -> list[Block]:
    causes = [one for one in (dossier.diagnosis or {}).get("causes") or [] if _matters(one)]
    lines: list[tuple[str, str, str, str]] = []
    explained: set[str] = set()
    for cause in causes[:4]:
        hope = hope_of(dossier.diagnosis or {}, cause)
        chance = owner_chance(float(cause["necessary_probability"]))
        kind, word = (
            (hope.mark, hope.word)
            if cause["necessary_probability"] >= 0.5 or cause["sufficient_probability"] >= 0.5
            else ("contributes", "contributes")
        )
        second = f"If only this were put right, it is {chance} {hope.would}."
        part = _named_part(cause)
        if part not in explained and (meaning := meaning_of(part)):
            explained.add(part)
            second += f" The {preferred(part)} {'are' if part == 'pallets' else 'is'} {meaning}."
        lines.append((kind, word, _to_owner(cause), second))
    if not lines:
        return [
            Words(
                "What is wrong",
                ("We have not yet worked out what stops it; the findings are in the condition record.",),
            )
        ]
    out: list[Block] = [Marked("What is wrong", tuple(lines))]
    if not (dossier.diagnosis or {}).get("model_fits", True):
        out.append(
            Words(
                "",
                (
                    "Our sums do not explain this clock as it behaves, so there is something we have not found yet. "
                    "We say so rather than guess.",
                ),
            )
        )
    return out


def _named_part(cause: Mapping[str, Any]) -> str:
    """The part that a cause names first, where it is one that an owner may not know; else nothing."""
    named = [one for one in components() if meaning_of(one) and cause["title"].startswith(f"The {preferred(one)} ")]
    return max(named, key=len, default="")


def _matters(cause: Mapping[str, Any]) -> bool:
    """Whether a cause is worth a line in a letter: it may be enough alone, or takes a share of what is lost."""
    return (
        float(cause["necessary_probability"]) >= _WORTH_A_LINE
        or float(cause["sufficient_probability"]) >= 0.5
        or float(cause["share_ratio"]) >= _WORTH_A_LINE
    )


def _only_looks(dossier: Dossier) -> list[Block]:
    looks = [
        one
        for one in dossier.findings
        if one.significance == "cosmetic" and one.state == "present" and one.standing != "rejected"
    ]
    return (
        [
            Marked(
                "What only concerns its looks",
                tuple(("cosmetic", "cosmetic", finding_sentence(one), "") for one in looks[:6]),
            )
        ]
        if looks
        else []
    )


def _opening(dossier: Dossier) -> tuple[str, ...]:
    aim = {
        "to_run": "It is to run",
        "to_be_shown": "It is to be shown",
        "kept_as_it_is": "It is to be kept as it is",
        "prove_a_cause": "The cause is to be shown",
    }
    wanted, day = dossier.visit.aim, _needed_by(dossier)
    needed = f", and you need it by {day:%-d %B %Y}" if day else ""
    opening = (
        "What is to be done with it is for you to settle between you; these are the choices."
        if _in_dispute(dossier)
        else f"{aim[wanted.what]}{needed}."
    )
    late = too_late_words([(f"Choice {letter}", one) for letter, one in _lettered(dossier)], day)
    wishes = _wishes(dossier)
    parts = ", and each work has its part of it" if any(w.price for c in dossier.choices for w in c.works) else ""
    dated = any(one.earliest for one in dossier.choices)
    now = " The dates are for an answer now; they move on with each day that we wait for it." if dated else ""
    return (
        " ".join([opening, *([late] if late else [])]),
        *((f"Your wishes, as we noted them: {'; '.join(wishes)}.",) if wishes else ()),
        *(
            (f"Each price is a likely figure with the range it may fall in{parts}. {PRICES_SENTENCE}{now}",)
            if dossier.choices
            else ()
        ),
        *((scale_sentence(),) if dossier.choices or dossier.diagnosis else ()),
    )


def _lettered(dossier: Dossier) -> list[tuple[str, Choice]]:
    """The choices by their letters, with the days that hold for an answer now, or for the one that came."""
    on = answered_on(dossier.consents, dossier.today, dossier.shop.zone)
    return list(zip(_LETTERS, (as_answered(one, on) for one in dossier.choices), strict=False))


def _needed_by(dossier: Dossier) -> date | None:
    wanted = dossier.visit.aim.needed_by
    return wanted.on if wanted else None


def _in_dispute(dossier: Dossier) -> bool:
    return any(one.reason == "dispute" and one.lifted_at is None for one in dossier.holds)


def _wishes(dossier: Dossier) -> list[str]:
    """The wishes of a visit as they are read back: `you want “the dial left alone”`. While owners are in dispute, what
    one of them wants is not told to the other.
    """
    owners, out = who(dossier, "owns") or who(dossier, "brings"), []
    for wish in dossier.visit.aim.wishes:
        said = wish.strip().rstrip(".")
        told = _WISHED.fullmatch(said)
        if not _OF_ANOTHER.match(said):
            out.append(said)
        elif _in_dispute(dossier):
            continue
        elif told and len(owners) == 1:
            verb = told["verb"].casefold().replace("’", "'")
            out.append(f"you {_YOU.get(verb, verb.strip())} “{told['rest']}”")
        else:
            out.append(f"“{said}”")
    return out


def _slip(dossier: Dossier, letter: str, choice: Choice) -> ChoiceSlip:
    price, span, ceiling = (
        price_words(choice.price) if choice.price else ("no price yet", "", "we ask before anything is spent")
    )
    if choice.runs_full_probability is None:
        outcome = "What it would achieve has not been worked out."
    else:
        chance = owner_chance(
            choice.runs_full_probability, went_count=dossier.went_count, finished_count=dossier.finished_count
        )
        outcome = f"{chance[0].upper()}{chance[1:]} to go its full time."
        gone = choice.complaint_gone_probability
        if gone is not None and dossier.visit.complaint != Complaint():
            outcome += f" It is {owner_chance(gone)} that what you complain of is gone."
    if rate := rate_over_wind_words(choice):
        outcome += f" {rate[0].upper()}{rate[1:]}."
    work = "; ".join(_work_words(one) for one in choice.works) or "Nothing is done; the clock goes back as it came."
    return ChoiceSlip(
        letter,
        owner_title(choice),
        f"{work.rstrip('.')}.",
        outcome,
        price,
        span,
        ceiling,
        "When you have agreed"
        if _in_dispute(dossier) and not choice.works
        else ready_words(choice, _needed_by(dossier)),
        _sentence(("; ".join(choice.unfixed) or "nothing that we know of") if choice.works else "all that was found"),
        _sentence("; ".join(dict.fromkeys(_lasting_words(choice))) or "nothing; all of it can be undone"),
    )


def _work_words(one: PlannedWork) -> str:
    """What is done, with its part before it unless it is the whole movement, and what it takes of the price."""
    words = said_to_owner(one.work, one.words).replace("/", " or ")
    price = f" ({part_of_price_words(one.price)})" if one.price else ""
    part = "" if one.component == "movement" else f"{part_words(one.component, one.of, one.place)}: "
    return f"{part}{words}{price}"


def _lasting_words(choice: Choice) -> Iterator[str]:
    """What cannot be undone, in the same words as the work that does it."""
    said = {one.irreversible: said_to_owner(one.work, one.irreversible) for one in choice.works if one.irreversible}
    return (said.get(one, one) for one in choice.irreversible)


def _sentence(words: str) -> str:
    return f"{words.rstrip('.')}."


def _parts_meant(dossier: Dossier) -> tuple[str, ...]:
    """What the parts are that the choices name and that an owner may not know, in one sentence; those told of above
    are left out.
    """
    told = {_named_part(one) for one in (dossier.diagnosis or {}).get("causes") or [] if _matters(one)}
    words = " ".join(
        (owner_title(one) + " " + " ".join((*one.unfixed, *(_work_words(work) for work in one.works)))).casefold()
        for one in dossier.choices
    )
    meant = {
        preferred(one): meaning_of(one)
        for one in components()
        if one not in told and meaning_of(one) and re.search(rf"\b{re.escape(preferred(one))}\b", words)
    }
    # A name within another, as `pallet` in `gathering pallet`, is told once.
    few = {name: meaning for name, meaning in meant.items() if not any(name != one and name in one for one in meant)}
    told_of = [f"the {name} is {meaning}" for name, meaning in sorted(few.items())]
    return (f"Of the parts that are named, {'; '.join(told_of)}.",) if told_of else ()


def _answer(dossier: Dossier) -> tuple[str, ...]:
    if not dossier.choices:
        law = (dossier.shop.law_words,) if dossier.shop.law_words else ()
        return ("There is nothing to choose yet. Nothing is altered before you say yes.", *law)
    owners = who(dossier, "owns")
    until = answer_day(dossier.choices, _needed_by(dossier), dossier.today)
    when = f" by {until:%-d %B %Y}" if until else ""
    shop = dossier.shop
    how = "by letter, telephone or in the shop" if shop.telephone else "by letter or in the shop"
    rows = []
    if len(owners) > 1 and (_in_dispute(dossier) or not who_may_instruct(dossier.parts_played)):
        rows.append(
            f"The clock belongs to {' and '.join(owners)}, so {'both' if len(owners) == 2 else 'all'} of you must "
            "choose the same letter before anything is done. Until then it stays here as it is."
        )
        tell = f"We need an answer from each of you: the letter of your choice{when}"
    else:
        tell = f"Tell us the letter of your choice{when}"
    rows.append(
        f"{tell}, {how}, and anything we must not do. Nothing is altered before you say yes, "
        "and what turns up later is asked for in the same way."
    )
    if too_late_words(_lettered(dossier), _needed_by(dossier)):
        rows.append(
            "If you choose a repair that cannot be ready by the day you need it, tell us that a later day will do."
        )
    if shop.law_words:
        rows.append(shop.law_words)
    return tuple(rows)
