"""What the owner agrees to through the functions of the bench: the choice last taken, place by place, and the stage."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from tests.bench.test_gone import in_file, written
from tests.store.test_records import brought_to
from underdial.bench.causes.agreeing import agree_to_all, answer_lines, offer_choices, record_consent, withdraw_consent
from underdial.bench.counter.receiving import Received
from underdial.bench.keeping import check_shop, export_clocks, import_clocks
from underdial.bench.rounds.working import enter_work
from underdial.bench.shop import Shop, clock_page, open_shop
from underdial.bench.shown.pages import agreed_works, answers_kept, choices_shown, line_key
from underdial.errors import RuleBroken
from underdial.record.choice import Choice, PlannedWork
from underdial.record.consent import Consent, ConsentLine
from underdial.record.work import Work
from underdial.store.database import open_database, reading, writing

FRONT = PlannedWork(line="1", work="bush", component="pivot_hole", of="third_wheel", place="front_plate")
BACK = replace(FRONT, line="2", place="back_plate")
OIL = PlannedWork(line="1", work="set_up_again", component="movement")
BUSHED = Work(work="bush", component="pivot_hole", of="third_wheel", by="repairer")


@pytest.fixture
def offered(shop: Shop, drum: Received) -> tuple[Choice, Choice]:
    both = offer_choices(
        shop, "drum", [Choice(title="Bush both", works=(FRONT, BACK)), Choice(title="Oil it", works=(OIL,))]
    )
    return both[0], both[1]


def answered(shop: Shop, drum: Received, choice: Choice, lines: tuple[ConsentLine, ...]) -> Consent:
    return record_consent(
        shop,
        "drum",
        Consent(
            choice_id=choice.id,
            person_id=drum.person_ids[0],
            channel="in_person",
            words="as I said",
            given_at=shop.now(),
            lines=lines,
        ),
    )


def test_only_the_choice_last_agreed_to_may_be_worked_on(
    shop: Shop, drum: Received, offered: tuple[Choice, Choice]
) -> None:
    bush, oil = offered
    answered(shop, drum, bush, agree_to_all(bush))
    last = answered(shop, drum, oil, agree_to_all(oil))

    with pytest.raises(RuleBroken, match="nobody has agreed to bush"):
        enter_work(shop, "drum", replace(BUSHED, place="front_plate"))
    page = clock_page(shop, "drum")
    assert [one.work for one in agreed_works(page)] == ["set_up_again"]
    assert [one.ended for one in answers_kept(page)] == [True, False]
    assert [one.agreed for one in choices_shown(page, shop)[0]] == [False, True]
    assert enter_work(shop, "drum", Work(work="set_up_again", component="movement", by="r")).consent_id == last.id


def test_all_noes_after_a_yes_send_the_clock_back_to_wait(
    shop: Shop, drum: Received, offered: tuple[Choice, Choice]
) -> None:
    bush, _ = offered
    answered(shop, drum, bush, agree_to_all(bush))
    agreed = clock_page(shop, "drum").visit.stage
    answered(shop, drum, bush, answer_lines(bush, ()))
    page = clock_page(shop, "drum")

    assert (agreed, page.visit.stage) == ("agreed", "waiting_for_owner")
    assert [one.agreed for one in choices_shown(page, shop)[0]] == [False, False]
    assert agreed_works(page) == []


def test_an_answer_taken_back_leaves_the_stage_to_what_is_still_agreed(
    shop: Shop, drum: Received, offered: tuple[Choice, Choice]
) -> None:
    bush, _ = offered
    first = answered(shop, drum, bush, answer_lines(bush, ["1"])[:1])
    second = answered(shop, drum, bush, answer_lines(bush, ["2"])[1:])
    withdraw_consent(shop, "drum", first.id, words="not the front")
    between = clock_page(shop, "drum").visit.stage
    withdraw_consent(shop, "drum", second.id, words="nor the back")

    assert (between, clock_page(shop, "drum").visit.stage) == ("agreed", "waiting_for_owner")


def test_a_work_stands_on_the_line_of_its_place(shop: Shop, drum: Received, offered: tuple[Choice, Choice]) -> None:
    bush, _ = offered
    answered(shop, drum, bush, answer_lines(bush, ["2"]))

    with pytest.raises(RuleBroken, match=r"third wheel \(front plate\)"):
        enter_work(shop, "drum", replace(BUSHED, place="front_plate"))
    kept = enter_work(shop, "drum", BUSHED)
    assert (kept.place, kept.consent_line) == ("back_plate", "2")
    assert agreed_works(clock_page(shop, "drum")) == []


def test_two_lines_of_one_part_are_two_to_pick_and_to_do(
    shop: Shop, drum: Received, offered: tuple[Choice, Choice]
) -> None:
    bush, _ = offered
    answered(shop, drum, bush, agree_to_all(bush))
    enter_work(shop, "drum", replace(BUSHED, place="front_plate"))

    assert [line_key(one) for one in agreed_works(clock_page(shop, "drum"))] == [
        "bush|pivot_hole|third_wheel|back_plate"
    ]


def without_places(plain: dict[str, Any]) -> dict[str, Any]:
    """A record as an earlier program wrote it: no place in an answer, nor in the work that stands on it."""
    if plain["record"] == "consent":
        return {**plain, "lines": [{k: v for k, v in one.items() if k != "place"} for one in plain["lines"]]}
    if plain["record"] == "choice":
        return {**plain, "excludes": ["choice-2"]}
    return {k: v for k, v in plain.items() if k != "place"} if plain["record"] == "work" else plain


@pytest.fixture
def half_done(shop: Shop, drum: Received, offered: tuple[Choice, Choice]) -> Shop:
    bush, _ = offered
    answered(shop, drum, bush, answer_lines(bush, ["2"]))
    enter_work(shop, "drum", BUSHED)
    return shop


def test_an_answer_in_a_file_of_before_gets_the_place_of_its_choice(tmp_path: Path, half_done: Shop) -> None:
    export_clocks(half_done, ["drum"], tmp_path / "now.zip")
    told = in_file(tmp_path / "now.zip")
    told["records"] = [without_places(one) for one in told["records"]]
    written(tmp_path / "now.zip", tmp_path / "before.zip", told)
    other = open_shop(tmp_path / "other")
    import_clocks(other, tmp_path / "before.zip")
    page, as_before = clock_page(other, "drum"), clock_page(half_done, "drum")

    assert (page.consents, page.works, page.choices) == (as_before.consents, as_before.works, as_before.choices)
    other.engine.dispose()


def test_an_answer_in_a_shop_of_before_gets_the_place_of_its_choice(tmp_path: Path, half_done: Shop) -> None:
    (tmp_path / "old").mkdir()
    old = open_database(tmp_path / "old" / "shop.sqlite")
    brought_to(old, "0003")
    with reading(half_done.engine) as source, writing(old) as target:
        target.exec_driver_sql("PRAGMA defer_foreign_keys=ON")
        for table in ("file", "clock", "person", "visit", "part", "choice", "consent", "work", "history"):
            for row in source.exec_driver_sql(f"select * from {table}").mappings():
                told = dict(row)
                if table in ("choice", "consent", "work"):
                    told["body"] = json.dumps(without_places(json.loads(row["body"])), sort_keys=True)
                names = ", ".join(f'"{name}"' for name in told)
                target.exec_driver_sql(
                    f"insert into {table} ({names}) values ({', '.join('?' * len(told))})", tuple(told.values())
                )
    old.dispose()
    again = open_shop(tmp_path / "old")
    page, as_before = clock_page(again, "drum"), clock_page(half_done, "drum")

    assert (page.consents, page.works, page.choices) == (as_before.consents, as_before.works, as_before.choices)
    assert check_shop(again)["problems"] == []
    again.engine.dispose()
