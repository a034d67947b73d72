"""The works of a choice carry what they answer and how deep they cut, into the owner's answer and the work done."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.bench.conftest import NOON
from tests.bench.finished import BLUNT, OIL, take_in
from underdial.bench.causes.agreeing import agree_to_all, record_consent
from underdial.bench.causes.answering import lay_out_choices
from underdial.bench.counter.receiving import change_visit
from underdial.bench.counter.warning import owner_cautions
from underdial.bench.rounds.working import enter_work
from underdial.bench.shop import Shop, clock_page
from underdial.bench.shown.writing import dossier_of
from underdial.papers.bench_sheet import agreed_steps, bench_sheet
from underdial.papers.blocks import all_words
from underdial.papers.work_papers import work_log
from underdial.record.consent import Consent
from underdial.record.work import Work
from underdial.trade.works import works

STOPPING = replace(BLUNT, significance="stops")
NOT_TO_BE_WOUND = "Until it is repaired"


def job_done(shop: Shop, *, leave: str = "") -> list[Work]:
    """Laid out, agreed and done, all but the works on one part; the clock stands ready."""
    received = take_in(shop, "61", findings=(STOPPING, OIL))
    whole = max(lay_out_choices(shop, "61"), key=lambda one: len({key for work in one.works for key in work.findings}))
    record_consent(
        shop,
        "61",
        Consent(
            choice_id=whole.id,
            person_id=received.person_ids[0],
            channel="in_person",
            words="Do it all.",
            given_at=NOON,
            lines=agree_to_all(whole),
        ),
    )
    done = [
        enter_work(shop, "61", Work(work=one.work, component=one.component, of=one.of, by="repairer"))
        for one in whole.works
        if one.component != leave
    ]
    page = clock_page(shop, "61")
    change_visit(shop, "61", {"stage": "ready"}, version_count=page.versions[page.visit.id])
    return done


def test_a_clock_that_was_put_right_goes_home_without_the_word_that_it_is_not(shop: Shop):
    done = job_done(shop)

    assert {key for one in done for key in one.findings} == {one.id for one in clock_page(shop, "61").findings}
    assert not any(NOT_TO_BE_WOUND in one for one in owner_cautions(clock_page(shop, "61")))


def test_a_stop_that_was_left_still_tells_the_owner_not_to_wind(shop: Shop):
    job_done(shop, leave="cone_pivot")

    assert any(NOT_TO_BE_WOUND in one for one in owner_cautions(clock_page(shop, "61")))


def test_bench_sheet_and_work_log_say_because_of_what(shop: Shop):
    job_done(shop)
    dossier = dossier_of(shop, clock_page(shop, "61"), answer=None)
    because = {step.component: [one.condition for one in step.because] for step in agreed_steps(dossier)}

    assert because["movement"] == ["old_oil"]
    assert because["cone_pivot"] == ["blunt"]
    assert "The cone pivot is blunt." in all_words(bench_sheet(dossier))
    assert "The cone pivot is blunt." in all_words(work_log(dossier))


def test_how_deep_a_work_cuts_comes_from_its_remedy_and_is_never_a_nought(shop: Shop):
    done = {one.component: one for one in job_done(shop)}
    words = all_words(work_log(dossier_of(shop, clock_page(shop, "61"), answer=None)))
    remedy = next(one for key, one in works().items() if key.replace(".", "-").lower().replace("-", "_") == done[
        "cone_pivot"
    ].work)  # fmt: skip

    # Source: trade data, each remedy's own grade; the overhaul's is 1, "clean/adjust, nothing removed"
    assert done["movement"].invasiveness_count == 1
    assert done["cone_pivot"].invasiveness_count == remedy.invasiveness > 0
    assert "1 of 5: clean or adjust, nothing removed" in words
    assert f"{remedy.invasiveness} of 5" in words


@pytest.mark.parametrize("grade", [None, 0])
def test_a_work_that_nobody_graded_says_nothing_of_how_deep_it_cuts(shop: Shop, grade):
    job_done(shop)
    dossier = dossier_of(shop, clock_page(shop, "61"), answer=None)
    ungraded = replace(dossier, works=tuple(replace(one, invasiveness_count=grade) for one in dossier.works))

    assert "How far it goes" not in all_words(work_log(ungraded))
