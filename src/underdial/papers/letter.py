"""The owner's letter: the complaint, what stops the clock and why in three lines, what else, and the choices.

Words of one scale for chances; the clock's own ratio; a caution where the owner could come to harm. Never in it: bench
speech, blame, other customers, value, where a clock stands.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from underdial.papers.blocks import Block, Caution, ChoiceSlip, Figure, Marked, Paper, Words
from underdial.papers.chances import hope_of, owner_chance, scale_sentence
from underdial.papers.choice_words import spread_words
from underdial.papers.dossier import Dossier, who
from underdial.papers.sentences import finding_sentence, price_words
from underdial.record.choice import Choice, PlannedWork
from underdial.record.complaint import Complaint
from underdial.record.hold import forbidden
from underdial.trade.phrases import part_words

_LETTERS = "ABCDEFGH"
_WORTH_A_LINE = 0.05
# A wish told at the bench of somebody ("she wants …") is kept in the record and not read back to them.
_OF_ANOTHER = re.compile(r"(?:he|she|they|his|her|their|the owner)\b", re.IGNORECASE)


def owner_letter(dossier: Dossier) -> Paper:
    """The letter for this visit, with at least the choice to leave the clock as it is."""
    names = who(dossier, "owns") or who(dossier, "brings")
    blocks: list[Block] = [
        Words("", (f"Dear {' and '.join(names)}," if names else "Dear owner,", *_complaint(dossier)))
    ]
    blocks += [Caution("before_step", one) for one in dossier.owner_cautions[:2]]
    blocks += _dispute(dossier)
    blocks += _what_is_wrong(dossier)
    blocks += _only_looks(dossier)
    blocks.append(
        Words(
            "Your choices",
            (
                _opening(dossier),
                *(() if dossier.choices else ("The choices are not laid out yet; they follow with their prices.",)),
            ),
        )
    )
    blocks += [_slip(dossier, letter, one) for letter, one in zip(_LETTERS, dossier.choices, strict=False)]
    blocks.append(Words("How to answer", _answer(dossier)))
    if dossier.train is not None:
        blocks.append(
            Figure(
                dossier.train[0],
                dossier.train[1],
                "The going train of your clock from its own counts, and how much of its power is left at each arbor.",
            )
        )
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
    causes = (dossier.diagnosis or {}).get("causes") or []
    return (
        str(causes[0]["sentence"])
        if causes
        else "What was seen is below; what follows from it has not been worked out yet."
    )


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
    hope, lines = hope_of(dossier.diagnosis or {}), []
    for cause in causes[:4]:
        chance = owner_chance(float(cause["necessary_probability"]))
        kind, word = (
            (hope.mark, hope.word)
            if cause["necessary_probability"] >= 0.5 or cause["sufficient_probability"] >= 0.5
            else ("contributes", "contributes")
        )
        lines.append((kind, word, str(cause["sentence"]), f"If only this were put right, it is {chance} {hope.would}."))
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


def _opening(dossier: Dossier) -> str:
    aim = {
        "to_run": "It is to run",
        "to_be_shown": "It is to be shown",
        "kept_as_it_is": "It is to be kept as it is",
        "prove_a_cause": "The cause is to be shown",
    }
    wanted = dossier.visit.aim
    needed = f", and you need it by {wanted.needed_by.on:%-d %B %Y}" if wanted.needed_by else ""
    own = [wish for wish in wanted.wishes if not _OF_ANOTHER.match(wish)]
    wishes = f" You asked us: {'; '.join(own)}." if own else ""
    return (
        f"{aim[wanted.what]}{needed}.{wishes} Prices are a likely figure with the range it may fall in. "
        f"{scale_sentence()}"
    )


def _slip(dossier: Dossier, letter: str, choice: Choice) -> ChoiceSlip:
    price, ceiling = price_words(choice.price) if choice.price else ("no price yet", "we ask before anything is spent")
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
    if spread := spread_words(choice):
        outcome += f" Its rate will then stay within {spread}."
    ready = (
        f"Ready from {choice.earliest.on:%-d %B}" + (f" to {choice.latest.on:%-d %B %Y}" if choice.latest else "")
        if choice.earliest
        else "Date to be agreed"
    )
    work = "; ".join(_work_words(one) for one in choice.works) or "Nothing is done; the clock goes back as it came."
    return ChoiceSlip(
        letter,
        choice.title,
        f"{work.rstrip('.')}.",
        outcome,
        price,
        ceiling,
        ready,
        "; ".join(choice.unfixed) or "nothing that we know of",
        "; ".join(choice.irreversible) or "nothing; all of it can be undone",
    )


def _work_words(one: PlannedWork) -> str:
    """What is done, with its part before it unless it is the whole movement."""
    words = (one.words or one.work.replace("_", " ")).replace("/", " or ")
    return words if one.component == "movement" else f"{part_words(one.component, one.of, one.place)}: {words}"


def _answer(dossier: Dossier) -> tuple[str, ...]:
    until = next((one.answer_until for one in dossier.choices if one.answer_until), None)
    when = f" by {until.on:%-d %B %Y}" if until else ""
    rows = [
        f"Tell us the letter of your choice{when}, by letter, telephone or in the shop, and anything we must not do. "
        "Nothing is altered before you say yes, "
        "and what turns up later is asked for in the same way."
    ]
    if dossier.shop.law_words:
        rows.append(dossier.shop.law_words)
    return tuple(rows)
