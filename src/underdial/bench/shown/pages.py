"""What the pages of a clock say: each record as a sentence with its mark, ready to be shown, nothing left to work
out.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any
from zoneinfo import ZoneInfo

from underdial.bench.causes.diagnose import A_CAUSE, found_words, not_one_thing, together_of
from underdial.bench.clock.readings import why_unbelievable
from underdial.bench.shop import ClockPage, Shop
from underdial.papers.chances import CAP, bench_chance, chance_word, hope_of
from underdial.papers.choice_words import (
    PRICES_SENTENCE,
    answered_on,
    as_answered,
    rate_over_wind_words,
    ready_words,
    too_late_words,
)
from underdial.papers.kinds import KINDS
from underdial.papers.sentences import (
    finding_mark,
    finding_sentence,
    measurement_words,
    money_words,
    part_of_price_words,
    sum_words,
)
from underdial.record.choice import Choice, PlannedWork
from underdial.record.consent import Consent, ConsentLine, agreed_choice_id, agreed_lines, key_of, was_ended
from underdial.record.contradiction import contradictions
from underdial.record.finding import Finding
from underdial.record.people import Person, who_may_instruct
from underdial.record.visit import Trial
from underdial.record.work import Work, left_to_do
from underdial.trade.families import families
from underdial.trade.phrases import clause, part_words
from underdial.trade.vocabulary import components, conditions

# A cause that is left out of the list is said to be one of so many more.
CAUSES_SHOWN = 6


@dataclass(frozen=True, slots=True)
class SaidToo:
    """A finding that does not go with another, as a page names it."""

    id: str
    sentence: str


@dataclass(frozen=True, slots=True)
class FindingShown:
    """A finding on a page; `against` are those that do not go with it."""

    id: str
    mark: str
    word: str
    sentence: str
    second: str
    heard: bool
    rejected: bool
    version_count: int
    finding: Finding
    against: tuple[SaidToo, ...]


@dataclass(frozen=True, slots=True)
class MeasurementShown:
    """A reading on a page: `cannot_be` is the sentence for a figure that no clock gives."""

    id: str
    name: str
    value: str
    instrument: str
    wind: str
    rejected: bool
    cannot_be: str | None


@dataclass(frozen=True, slots=True)
class CauseShown:
    """A cause on a page: chances from 0 to 1 with their Monte Carlo error, its part in what is lost, and what putting
    it right takes.
    """

    mark: str
    word: str
    sentence: str
    because: str
    chance: float
    u: float
    said: str
    part: str = ""
    takes: str = ""


@dataclass(frozen=True, slots=True)
class ChoiceShown:
    """A choice on a page. Money in minor units and in words; `most_minor` is the shared end of the price scale. `parts`
    are its works with what each takes of the price and the hours foreseen of it; empty where that is not known.
    """

    choice: Choice
    works: str
    chance: str
    chance_number: str
    cured: str
    rate: str
    price: str
    ceiling: str
    ready: str
    stays: str
    one_way: str
    bands_minor: tuple[int, int, int, int]
    agreed: bool
    parts: tuple[tuple[str, str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class AnswerShown:
    """An answer of an owner on a page: to which choice, who said it, what they said yes and no to, the sum in words,
    and whether a later yes to another choice ended it.
    """

    consent: Consent
    title: str
    who: str
    yes: tuple[str, ...]
    no: tuple[str, ...]
    ceiling: str
    ended: bool


@dataclass(frozen=True, slots=True)
class LineShown:
    """One work of a choice that an owner may say yes to, and whether it is agreed already."""

    line: str
    words: str
    agreed: bool


def findings_shown(page: ClockPage) -> list[FindingShown]:
    """The findings in the order they were said, sentences ready; what another look-over took the place of goes against
    none.
    """
    ordered = sorted(page.findings, key=lambda one: (one.start_s is None, one.start_s or 0.0))
    against = contradictions(page.holding)
    return [_finding(one, page.versions.get(one.id, 0), against.get(one.id, ())) for one in ordered]


def measurements_shown(page: ClockPage) -> list[MeasurementShown]:
    """Each reading, those in use first; a rejected one says why where its figure is one that no clock gives."""
    ordered = sorted(page.measurements, key=lambda one: one.standing == "rejected")
    return [
        MeasurementShown(
            one.id,
            *measurement_words(one),
            one.instrument or "not said",
            f"{one.since_winding_h:g} h after winding" if one.since_winding_h is not None else "not said",
            one.standing == "rejected",
            why_unbelievable(page.clock, one),
        )
        for one in ordered
    ]


def causes_shown(answer: Mapping[str, Any]) -> list[CauseShown]:
    """The first causes of an answer and all that were found, with the chance that the complaint would be gone if only
    this were put right.
    """
    out = []
    takes = {(one["fault"], one["of"]): one["work_words"] or "" for one in answer.get("found", ())}
    shown = [one for n, one in enumerate(answer["causes"]) if n < CAUSES_SHOWN or one.get("reported")]
    for cause in shown:
        hope = hope_of(answer, cause)
        chance, u = float(cause["necessary_probability"]), float(cause["necessary_u_probability"] or 0.0)
        kind, word = (
            (hope.mark, hope.word)
            if chance >= 0.5 or float(cause["sufficient_probability"]) >= 0.5
            else ("contributes", "contributes")
        )
        if kind == "stops" and cause.get("torque_without_n_m", 0.0) is None:
            # A fault of striking, chiming or alarm: it brings about what was told of them, and stops nothing.
            kind, word = "contributes", "brings it about"
        out.append(
            CauseShown(
                kind,
                word,
                str(cause["sentence"]),
                "; ".join(str(one) for one in cause["because"][:2]),
                min(chance, CAP),
                u,
                bench_chance(chance, u),
                _part_words(float(cause["share_ratio"])),
                takes.get((cause.get("fault"), cause.get("of")), "") if cause.get("reported") else "",
            )
        )
    return out


def _part_words(share: float) -> str:
    return "a small part of what is lost" if share < 0.01 else f"{round(100 * share)} in 100 of what is lost"


def together_shown(answer: Mapping[str, Any]) -> list[str]:
    """What is wrong together where no one thing is; empty where one cause may be enough."""
    return together_of(answer)


def found_beside(answer: Mapping[str, Any]) -> list[str]:
    """What was found and has no part in the sums, with what putting it right takes."""
    return [found_words(one) for one in answer.get("found", ()) if not one["in_sums"]]


def question_of(answer: Mapping[str, Any]) -> str:
    """The question that the bar of each cause answers, after what was complained of."""
    return hope_of(answer).question


def headline(answer: Mapping[str, Any]) -> tuple[str, str]:
    """The answer in one sentence, and the line under it with its error."""
    if not answer["causes"]:
        return (
            "Nothing that was told or found points to a cause.",
            "Look it over, read the swing, and write down what the owner says.",
        )
    first, together = answer["causes"][0], together_of(answer)
    chance, u = float(first["necessary_probability"]), float(first["necessary_u_probability"] or 0.0)
    would = hope_of(answer, first).would
    head = str(first["sentence"])
    under = f"Put only that right and it is {chance_word(min(chance, CAP))} {would}: {bench_chance(chance, u)}."
    if together:
        head = f"{not_one_thing(together)}."
        all_right = float(answer["found_together"]["probability"])
        under = (
            "None of them alone would be enough. Put all of them right and it is "
            f"{chance_word(min(all_right, CAP))} {would}: {bench_chance(all_right, 0.01)}."
        )
    elif chance < A_CAUSE and float(first["sufficient_probability"]) < 0.5:
        head = "No one cause stands out."
        under = f"Put the first of these right alone and it is {chance_word(min(chance, CAP))} {would}: "
        under += f"{bench_chance(chance, u)}."
    if not answer["model_fits"]:
        alone = "None of them alone would be enough. " if together else ""
        under = (
            f"{alone}These sums do not explain this clock: something is left that nobody has found. Take what follows "
            "as a guess."
        )
    return head, under


def choices_shown(page: ClockPage, shop: Shop) -> tuple[list[ChoiceShown], int]:
    """The standing choices, and the end of their shared price scale in minor units."""
    standing = _standing(page, shop)
    agreed = agreed_choice_id(page.consents)
    shown = [_choice(one, one.id == agreed, _needed_by(page)) for one in standing]
    most = max((one.bands_minor[3] for one in shown), default=0)
    return shown, -(-max(most, 100) // 10000) * 10000


def _standing(page: ClockPage, shop: Shop) -> list[Choice]:
    """The choices that stand, with the days that hold for an answer now, or for the one that came."""
    on = answered_on(page.consents, shop.now().astimezone(ZoneInfo(shop.settings.zone)).date(), shop.settings.zone)
    return [as_answered(one, on) for one in page.choices if not one.withdrawn]


def choices_lead(page: ClockPage, shop: Shop) -> str:
    """What holds for the standing choices together: which cannot be ready in time, and what the prices are of; empty
    while there are none.
    """
    standing = _standing(page, shop)
    if not any(one.price and one.works for one in standing):
        return ""
    late = too_late_words([(f"“{one.title}”", one) for one in standing], _needed_by(page))
    return f"{late} {PRICES_SENTENCE}" if late else PRICES_SENTENCE


def answers_kept(page: ClockPage) -> list[AnswerShown]:
    """The answers kept at this visit, oldest first."""
    planned = {choice.id: {work.line: work_words(work) for work in choice.works} for choice in page.choices}
    titles = {choice.id: choice.title for choice in page.choices}

    def said(one: Consent, answer: str) -> tuple[str, ...]:
        return tuple(
            planned.get(one.choice_id, {}).get(line.line) or part_words(line.component, line.of, line.place)
            for line in one.lines
            if line.answer == answer
        )

    return [
        AnswerShown(
            one,
            titles.get(one.choice_id, "a choice"),
            page.people[one.person_id].name if one.person_id in page.people else "somebody",
            said(one, "yes"),
            said(one, "no"),
            sum_words(one.ceiling) if one.ceiling else "",
            was_ended(one, page.consents),
        )
        for one in page.consents
    ]


def lines_to_answer(page: ClockPage) -> dict[str, list[LineShown]]:
    """The lines of each standing choice by its id, with what is agreed now."""
    agreed = agreed_lines(page.consents)
    return {
        choice.id: [LineShown(work.line, work_words(work), key_of(work) in agreed) for work in choice.works]
        for choice in page.choices
        if not choice.withdrawn
    }


def work_words(work: PlannedWork) -> str:
    """A planned work as one says it: `Bush the hole: back pivot hole of the third wheel`."""
    said = work.words or work.work.replace("_", " ")
    return f"{said[:1].upper()}{said[1:]}: {part_words(work.component, work.of, work.place)}"


def works_shown(page: ClockPage) -> list[tuple[str, str, str]]:
    """What was done: deed and part, why, and hours or charge."""
    planned = planned_words(page)
    said = [planned.get(line_key(one)) or one.work.replace("_", " ") for one in page.works]
    return [
        (
            f"{words[:1].upper()}{words[1:]}: {part_words(one.component, one.of, one.place)}",
            one.why or "as agreed",
            _spent(one),
        )
        for words, one in zip(said, page.works, strict=True)
    ]


def planned_words(page: ClockPage) -> dict[str, str]:
    """The works of all choices in words, by the key of their lines."""
    return {line_key(work): work.words for choice in page.choices for work in choice.works if work.words}


def line_key(line: PlannedWork | ConsentLine | Work) -> str:
    """What tells a line from those of another choice, whose numbers may be the same: its work, its part, what that
    belongs to, and the place where there is one.
    """
    return f"{line.work}|{line.component}|{line.of or ''}" + (f"|{line.place}" if line.place else "")


def tried_words(trial: Trial) -> str:
    """A trial as a sentence: `A good mainspring was tried: it changed nothing.`"""
    came = "it cured the clock" if trial.result == "cured" else "it changed nothing"
    return f"A good {part_words(trial.component, trial.of)} was tried: {came}."


def pickers() -> dict[str, list[tuple[str, str]]]:
    """Lists to pick from when a finding is put right: parts, states, in alphabetical order of their words."""
    parts = sorted(
        ((one.preferred.split(" (")[0], one.id) for one in components().values()), key=lambda pair: pair[0].casefold()
    )
    states = sorted(
        ((one.term.split(" (")[0], one.id) for one in conditions().values()), key=lambda pair: pair[0].casefold()
    )
    return {"components": [(key, words) for words, key in parts], "conditions": [(key, words) for words, key in states]}


def kinds_of_movement() -> list[tuple[str, str]]:
    """The families of movements by id and title."""
    return [(one.id, one.title) for one in families().values()]


def family_title(family: str | None) -> str:
    """The title of a family, or that none was named."""
    return (
        families()[family].title
        if family is not None and family in families()
        else "not said what kind of movement it is"
    )


def people_at(page: ClockPage) -> list[tuple[Person, tuple[str, ...]]]:
    """Each person at this visit with the parts they play, by the record's own words."""
    parts: dict[str, list[str]] = {}
    for one in page.parts:
        if not one.ended and one.person_id in page.people:
            parts.setdefault(one.person_id, []).append(one.part)
    return [(page.people[key], tuple(dict.fromkeys(played))) for key, played in parts.items()]


def price_words_minor(amount_minor: int, currency: str) -> str:
    """A sum in words for a scale."""
    return money_words(amount_minor, currency)


def runs_words(answer: Mapping[str, Any]) -> str:
    """How likely the clock as it stands goes its full time."""
    return chance_word(min(float(answer["runs_full_probability"]), CAP))


def tests_shown(answer: Mapping[str, Any]) -> list[tuple[str, str, str, bool]]:
    """Next tests: what to do, its minutes, what it is worth in money, and whether it pays."""
    currency = next((str(one["currency"]) for one in answer["choices"]), "GBP")
    out = []
    for one in answer["next_tests"][:CAUSES_SHOWN]:
        minutes = max(1, round(float(one["time_s"]) / 60))
        out.append(
            (
                _test_words(str(one["test"])),
                f"{minutes} minute{'s' if minutes > 1 else ''}",
                money_words(round(float(one["worth_minor"]) / 100) * 100, currency),
                bool(one["worth_it"]),
            )
        )
    return out


def _test_words(test: str) -> str:
    """A next test as one says it at the bench: `See whether the pallets are grooved.`"""
    kind, _, what = test.partition(": ")
    if kind == "look":
        component, _, condition = what.rpartition(" ")
        said = clause(component, condition)
        return f"See whether {said[0].lower()}{said[1:]}."
    if kind == "measure":
        return f"Measure the {what.replace('_', ' ')}."
    return f"{test[0].upper()}{test[1:]}."


def may_answer(page: ClockPage) -> list[tuple[str, str]]:
    """Ids and names of the people whose yes counts."""
    return [(key, page.people[key].name) for key in who_may_instruct(page.parts) if key in page.people]


def agreed_works(page: ClockPage) -> list[ConsentLine]:
    """The works somebody has agreed to and that are not done yet."""
    return list(left_to_do(page.consents, page.works))


def paper_kinds() -> list[str]:
    """The kinds of paper, in the order of the job."""
    return list(KINDS)


def _finding(one: Finding, version: int, against: Sequence[Finding]) -> FindingShown:
    mark, word = finding_mark(one)
    parts = []
    if one.start_s is not None:
        parts.append(f"{int(one.start_s) // 60}:{int(one.start_s) % 60:02d}")
    if one.words:
        parts.append(f"“{one.words.strip()}”")
    return FindingShown(
        one.id,
        mark,
        word,
        finding_sentence(one),
        " ".join(parts),
        one.standing == "heard",
        one.standing == "rejected",
        version,
        one,
        tuple(SaidToo(other.id, finding_sentence(other)) for other in against),
    )


def _needed_by(page: ClockPage) -> date | None:
    wanted = page.visit.aim.needed_by
    return wanted.on if wanted else None


def _choice(one: Choice, agreed: bool, needed_by: date | None) -> ChoiceShown:
    price = one.price
    bands = (price.low_minor, price.likely_minor, price.high_minor, price.ceiling_minor) if price else (0, 0, 0, 0)
    if price is None or price.high_minor == 0:
        words, ceiling = "no charge", "nothing is done, so nothing is owed"
    else:
        low, likely, high, most = (money_words(amount, price.currency) for amount in bands)
        words, ceiling = f"{likely} likely, {low} to {high}", f"never over {most} unasked"
    chance = one.runs_full_probability
    number = "" if chance is None else bench_chance(chance, one.runs_full_u_probability or 0.0)
    said = "not worked out" if chance is None else chance_word(min(chance, CAP))
    works = "; ".join(_words_with_wheel(work) for work in one.works) or "Nothing is done; it goes back as it came."
    gone = one.complaint_gone_probability
    cured = (
        "" if gone is None else f"{chance_word(min(gone, CAP))} to be rid of the complaint, {bench_chance(gone, 0.01)}"
    )
    return ChoiceShown(
        one,
        works,
        said,
        number,
        cured,
        rate_over_wind_words(one) or "",
        words,
        ceiling,
        ready_words(one, needed_by),
        "; ".join(one.unfixed) or "nothing that is known",
        "; ".join(one.irreversible) or "nothing",
        bands,
        agreed,
        _parts(one),
    )


def _parts(one: Choice) -> tuple[tuple[str, str, str], ...]:
    """Works, what each takes of the price, and the hours foreseen of it, where all of them have a part."""
    if not all(work.price for work in one.works):
        return ()
    return tuple(
        (work_words(work), part_of_price_words(work.price), _hours_of(work)) for work in one.works if work.price
    )


def _hours_of(work: PlannedWork) -> str:
    """The hours foreseen of one work alone: `0.3 to 0.6 h`; nothing for one that goes with another."""
    if work.hours_low_h is None or work.hours_high_h is None or not work.hours_high_h:
        return ""
    low, high = f"{work.hours_low_h:g}", f"{work.hours_high_h:g}"
    return f"{low} h" if low == high else f"{low} to {high} h"


def _words_with_wheel(work: PlannedWork) -> str:
    """A planned work, with its part where that belongs to a wheel or a train."""
    if not work.words:
        return f"{work.work.replace('_', ' ')} {part_words(work.component, work.of)}"
    return f"{work.words} ({part_words(work.component, work.of, work.place)})" if work.of else work.words


def _spent(one: Work) -> str:
    parts = [f"{one.hours_h:g} h"] if one.hours_h is not None else []
    return ", ".join(parts + ([sum_words(one.charged)] if one.charged else [])) or "hours not kept"
