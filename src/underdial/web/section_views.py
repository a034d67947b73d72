"""What each of the twelve pages of a clock shows beside the clock itself.

Words and rows for the templates. Never here: a route, or a result worked out.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any
from zoneinfo import ZoneInfo

from underdial.bench.as_found.dictating import free_talk_heard_here
from underdial.bench.as_found.doubting import doubts_of
from underdial.bench.as_found.filming import MEDIA_TYPES, unfinished_films
from underdial.bench.as_found.picturing import album, films_without_words
from underdial.bench.as_found.told_recorder import hours_words, trays_said
from underdial.bench.by_ear.heard_again import heard_view
from underdial.bench.clock.composing import MAKES
from underdial.bench.clock.drawing import train_headline, train_rows, train_svg
from underdial.bench.clock.left_sizes import as_left_of
from underdial.bench.clock.naming import readings_to_pick
from underdial.bench.counter import whereabouts
from underdial.bench.counter.billing import left_words
from underdial.bench.counter.warning import dangers_shown, dangers_to_tick
from underdial.bench.rounds.counting_hours import hours_shown
from underdial.bench.rounds.foreseeing import beside_plan, beside_prediction, lay_out_tests
from underdial.bench.shop import ClockPage, Shop
from underdial.bench.shown import pages
from underdial.bench.shown.look_overs import findings_by_look, looks_shown
from underdial.bench.shown.sent_papers import not_kept, sent_shown
from underdial.bench.sums.figures import with_error
from underdial.bench.sums.forms_of_trains import SUMS
from underdial.bench.sums.planning import made_sizes, make_words, to_make, unit_shown
from underdial.record.credit import not_billed
from underdial.record.handing_out import still_open, verdict_sentence
from underdial.record.hold import FORBIDDEN, REASONS
from underdial.record.measurement import LENT_PARTS
from underdial.record.people import PARTS
from underdial.record.proof import VERDICT_WORDS
from underdial.web.complaint_form import PICKS, SPANS, answers_shown, seldom_told

_Answer = dict[str, Any] | None
_View = dict[str, Any]
_PAPER_WORDS = {
    "receipt": "what was taken in",
    "record": "what was seen, and what was not looked at",
    "letter": "what is wrong, and the choices",
    "consent": "who agreed to what",
    "work": "what was done, with sizes",
    "bench": "the agreed works in order, with sizes",
    "test": "plan and result",
    "invoice": "agreed against charged",
    "credit": "what is taken back of an invoice",
    "care": "living with the clock",
    "service": "for whoever opens it next",
    "release": "what goes home",
    "notice": "ready, or why it waits",
}


def section_view(section: str, shop: Shop, page: ClockPage, answer: _Answer) -> _View:
    """What the page of a section shows; `answer` is what is known of the causes, None where nothing was worked out."""
    return _VIEWS[section](shop, page, answer)


def plans_view(page: ClockPage, answer: _Answer) -> _View:
    """The tests that can be laid down, and what the sizes left make of the clock."""
    return {"plans": lay_out_tests(page, answer), "left": (answer or {}).get("as_left")}


def answer_view(page: ClockPage, answer: dict[str, Any]) -> _View:
    """Causes, the next question and tests, for the page What is wrong."""
    head, under = pages.headline(answer)
    return {
        "answer": answer,
        "head": head,
        "under": under,
        "causes": pages.causes_shown(answer),
        "question": pages.question_of(answer),
        "tests": pages.tests_shown(answer),
        "together": pages.together_shown(answer),
        "beside": pages.found_beside(answer),
        "none_of_these": answer["none_of_these_probability"],
    }


def _received(shop: Shop, page: ClockPage, answer: _Answer) -> _View:
    return {
        "people": pages.people_at(page),
        "parts": PARTS,
        "came_with": pages.pickers()["components"],
        "reasons": REASONS,
        "forbidden": FORBIDDEN,
        "dangers": dangers_to_tick(),
        "danger_words": dangers_shown(page.clock),
        "moves": whereabouts.MOVES,
        "things": whereabouts.things_shown(shop, page),
        "things_said": whereabouts.things_said(page),
        "earlier": whereabouts.earlier_visits(page),
    }


def _owner(shop: Shop, page: ClockPage, answer: _Answer) -> _View:
    return {
        "says": answers_shown(page.visit.complaint),
        "picks": PICKS,
        "spans": SPANS,
        "seldom": seldom_told(page.visit.complaint),
    }


def _as_found(shop: Shop, page: ClockPage, answer: _Answer) -> _View:
    return {
        **_findings(shop, page, answer),
        "endings": tuple(MEDIA_TYPES),
        "recogniser": free_talk_heard_here(),
        "trays": trays_said(page),
        "hours": {one.id: hours_words(one) for one in page.look_overs},
        "looks": looks_shown(shop, page),
        "recordings": {one.id: one for one in page.attachments if one.kind in ("film", "sound")},
        "unfinished": unfinished_films(page),
        "mute": films_without_words(page),
        **album(shop, page),
    }


def _movement(shop: Shop, page: ClockPage, answer: _Answer) -> _View:
    return {
        "drawn": train_svg(page, answer),
        "drawn_says": train_headline(page, answer),
        "drawn_rows": train_rows(page, answer),
        "families": pages.kinds_of_movement(),
        "makes": MAKES,
    }


def _findings(shop: Shop, page: ClockPage, answer: _Answer) -> _View:
    groups = findings_by_look(shop, page)
    return {
        "findings": [one.shown for group in groups for one in group.findings],
        "groups": groups,
        "looks": looks_shown(shop, page),
        "doubts_count": len(doubts_of(page)),
        **pages.pickers(),
    }


def _measurements(shop: Shop, page: ClockPage, answer: _Answer) -> _View:
    return {"measurements": pages.measurements_shown(page), "quantities": readings_to_pick(), **heard_view(shop, page)}


def _wrong(shop: Shop, page: ClockPage, answer: _Answer) -> _View:
    return {} if answer is None else answer_view(page, answer)


def _choices(shop: Shop, page: ClockPage, answer: _Answer) -> _View:
    shown, most = pages.choices_shown(page, shop)
    return {
        "choices": shown,
        "choices_lead": pages.choices_lead(page, shop),
        "most_minor": most,
        "money": pages.price_words_minor,
        "may_answer": pages.may_answer(page),
    }


def _agreed(shop: Shop, page: ClockPage, answer: _Answer) -> _View:
    return {**_choices(shop, page, answer), "answers": pages.answers_kept(page), "lines": pages.lines_to_answer(page)}


def _work(shop: Shop, page: ClockPage, answer: _Answer) -> _View:
    return {
        "works": pages.works_shown(page),
        "agreed_works": pages.agreed_works(page),
        "unit_shown": unit_shown,
        "with_error": with_error,
        "made": made_sizes(page),
        "to_make": partial(to_make, page),
        "make_words": make_words,
        "beside": partial(beside_prediction, page),
        "sums": {name: one.title for name, one in SUMS.items()},
        "work_words": pages.planned_words(page),
        "line_key": pages.line_key,
        "hours": hours_shown(shop, page),
        "free_charge": {one.id for one in not_billed(page.works, page.bills, page.credits)}
        | {one.id for one in page.works if one.charged is None},
        "tried_words": pages.tried_words,
        "came_with": pages.pickers()["components"],
    }


def _test(shop: Shop, page: ClockPage, answer: _Answer) -> _View:
    return {
        "waiting": answer is None and as_left_of(page) is not None,
        **plans_view(page, answer),
        "beside": partial(beside_plan, page),
        "at": lambda moment: moment.astimezone(ZoneInfo(shop.settings.zone)),
        "words": VERDICT_WORDS,
        "lent_parts": LENT_PARTS,
        "quantities": readings_to_pick(),
    }


def _papers(shop: Shop, page: ClockPage, answer: _Answer) -> _View:
    zone = ZoneInfo(shop.settings.zone)
    return {
        "papers": _PAPER_WORDS,
        "kinds": pages.paper_kinds(),
        "may_collect": whereabouts.may_collect(page),
        "in_the_way": whereabouts.in_the_way(page),
        "still_open": still_open(page.proofs, page.consents, page.works, page.choices),
        "tested": verdict_sentence(page.visit, page.proofs),
        "went": whereabouts.went_home(page.visit, page),
        "not_billed": not_billed(page.works, page.bills, page.credits),
        "bills": [
            (one, f"{one.issued_at.astimezone(zone):%-d %B %Y}", left_words(one, page.credits)) for one in page.bills
        ],
        "credits": [(one, f"{one.issued_at.astimezone(zone):%-d %B %Y}") for one in page.credits],
        "sent": sent_shown(shop, page),
        "not_kept": not_kept(page),
    }


_VIEWS: dict[str, Callable[[Shop, ClockPage, _Answer], _View]] = {
    "received": _received,
    "owner": _owner,
    "as-found": _as_found,
    "movement": _movement,
    "findings": _findings,
    "measurements": _measurements,
    "wrong": _wrong,
    "choices": _choices,
    "agreed": _agreed,
    "work": _work,
    "test": _test,
    "papers": _papers,
}
