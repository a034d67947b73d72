"""A clock that has gone home stays gone: what is done from then on belongs to another visit."""

from __future__ import annotations

import hashlib
import json
import zipfile
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from tests.bench.conftest import NOON
from tests.bench.test_job import ARC, BENT, CHOICE, PLAN, agreed
from tests.store.test_records import brought_to
from underdial.bench.as_found.looking import add_finding, add_measurement
from underdial.bench.causes.agreeing import offer_choices, withdraw_consent
from underdial.bench.counter.holding import lift_hold, set_hold
from underdial.bench.counter.people import name_person, write_person
from underdial.bench.counter.receiving import Received, change_clock, change_visit, receive_again
from underdial.bench.keeping import check_shop, export_clocks, import_clocks
from underdial.bench.rounds.proving import begin_proof, end_proof, plan_proof, read_on_test, release_clock
from underdial.bench.rounds.working import begin_round, enter_work, move_part, part_is_back
from underdial.bench.shop import Shop, clock_page, history_of, in_the_shop, open_shop
from underdial.errors import RuleBroken
from underdial.record.custody import CustodyLine
from underdial.record.hold import Hold
from underdial.record.people import Person
from underdial.record.visit import Visit
from underdial.record.work import Work
from underdial.store.database import open_database, reading, writing

ORDER = CustodyLine(what="mainspring", kind="on_order", where="the maker", since=NOON)


@pytest.fixture
def gone(shop: Shop, drum: Received) -> Received:
    """The drum gone home with a test under way, a test laid down, an order open and a hold."""
    agreed(shop, drum)
    going, _ = plan_proof(shop, "drum", PLAN), plan_proof(shop, "drum", replace(PLAN, title="in its case", cased=True))
    begin_proof(shop, "drum", going.id)
    read_on_test(shop, "drum", going.id, replace(ARC, value=205.0))
    move_part(shop, "drum", ORDER)
    set_hold(shop, "drum", Hold(reason="other", why="the owner is away", forbids=("open",), since=NOON))
    release_clock(shop, "drum", person_id=drum.person_ids[0], why="the owner is moving")
    return drum


LATE: dict[str, Callable[[Shop, Received], Any]] = {
    "the test ends": lambda shop, drum: end_proof(shop, "drum", "proof-1"),
    "a test begins": lambda shop, drum: begin_proof(shop, "drum", "proof-2"),
    "the stage is set": lambda shop, drum: change_visit(shop, "drum", {"stage": "at_the_bench"}),
    "a finding": lambda shop, drum: add_finding(shop, "drum", BENT),
    "a reading": lambda shop, drum: add_measurement(shop, "drum", ARC),
    "a work": lambda shop, drum: enter_work(shop, "drum", Work(work="straighten", component="staff", by="repairer")),
    "a round": lambda shop, drum: begin_round(shop, "drum"),
    "choices": lambda shop, drum: offer_choices(shop, "drum", [CHOICE]),
    "an answer taken back": lambda shop, drum: withdraw_consent(shop, "drum", "consent-1", words="no"),
    "a part sent out": lambda shop, drum: move_part(shop, "drum", ORDER),
    "somebody new": lambda shop, drum: name_person(shop, "drum", Person(name="Ida Quill"), ("owns",)),
    "another part to play": lambda shop, drum: write_person(shop, "drum", drum.person_ids[0], {}, ("brings",)),
}


@pytest.mark.parametrize("deed", list(LATE))
def test_a_late_click_changes_nothing_of_a_clock_that_went_home(shop: Shop, gone: Received, deed: str) -> None:
    before = clock_page(shop, "drum").record_sha256

    with pytest.raises(RuleBroken, match="receive it again"):
        LATE[deed](shop, gone)
    assert clock_page(shop, "drum").record_sha256 == before
    assert in_the_shop(shop).lines == ()


def test_what_outlives_a_visit_is_written_when_the_clock_is_at_home_too(shop: Shop, gone: Received) -> None:
    change_clock(shop, "drum", {"signed": "on the back plate"})
    write_person(shop, "drum", gone.person_ids[0], {"telephone": "01632 960777"}, ("owns", "brings", "pays"))
    lift_hold(shop, "drum", "hold-1", by="repairer", why="she is back")
    part_is_back(shop, "drum", "custody-1")
    page = clock_page(shop, "drum")

    assert page.clock.signed == "on the back plate"
    assert page.people[gone.person_ids[0]].telephone == "01632 960777"
    assert page.holds[0].lifted_by == "repairer"
    assert page.custody[0].back_at is not None
    assert page.visit.stage == "gone"
    assert receive_again(shop, "drum", Visit(received_at=shop.now())).visit_id == "visit-2"


def brought_back(plain: dict[str, Any]) -> dict[str, Any]:
    """The visit as an earlier program left it when a test was ended after the clock had gone."""
    return {**plain, "stage": "ready"}


def test_a_clock_that_an_earlier_program_brought_back_has_gone_again(
    tmp_path: Path, shop: Shop, gone: Received
) -> None:
    (tmp_path / "old").mkdir()
    old = open_database(tmp_path / "old" / "shop.sqlite")
    brought_to(old, "0003")
    with reading(shop.engine) as source, writing(old) as target:
        target.exec_driver_sql("PRAGMA defer_foreign_keys=ON")
        for table in ("file", "clock", "person", "visit", "part", "choice", "consent", "history"):
            for row in source.exec_driver_sql(f"select * from {table}").mappings():
                told = dict(row)
                if table == "visit":
                    body = json.dumps(brought_back(json.loads(row["body"])), sort_keys=True, separators=(",", ":"))
                    told |= {"stage": "ready", "gone": 0, "body": body}
                names = ", ".join(f'"{name}"' for name in told)
                target.exec_driver_sql(
                    f"insert into {table} ({names}) values ({', '.join('?' * len(told))})", tuple(told.values())
                )
    old.dispose()
    again = open_shop(tmp_path / "old")
    visit = clock_page(again, "drum").visit

    assert (visit.stage, visit.gone_at) == ("gone", clock_page(shop, "drum").visit.gone_at)
    assert [line.tag for line in in_the_shop(again, gone=True).lines] == ["drum"]
    assert history_of(again, "drum")[-1].why == "brought to the form of 0004"
    assert [one["what"] for one in check_shop(again)["problems"]] == []
    again.engine.dispose()


def test_a_file_of_before_with_a_clock_brought_back_is_read_as_gone(tmp_path: Path, shop: Shop, gone: Received) -> None:
    export_clocks(shop, ["drum"], tmp_path / "now.zip")
    told = in_file(tmp_path / "now.zip")
    told["records"] = [brought_back(one) if one["record"] == "visit" else one for one in told["records"]]
    written(tmp_path / "now.zip", tmp_path / "before.zip", told)
    other = open_shop(tmp_path / "other")
    import_clocks(other, tmp_path / "before.zip")

    assert clock_page(other, "drum").visit.stage == "gone"
    assert check_shop(other)["verdict"] == "sound"
    other.engine.dispose()


def in_file(file: Path) -> dict[str, Any]:
    """The one clock of an exchange file, as plain records and history."""
    with zipfile.ZipFile(file) as opened:
        told: dict[str, Any] = json.loads(opened.read("clocks.json"))["clocks"][0]
    return told


def written(source: Path, file: Path, told: dict[str, Any]) -> None:
    """The exchange file again, with other records of its clock."""
    text = json.dumps({"clocks": [told]}).encode()
    with zipfile.ZipFile(source) as opened, zipfile.ZipFile(file, "w") as made:
        manifest = json.loads(opened.read("manifest.json"))
        manifest["files"]["clocks.json"] = {"sha256": hashlib.sha256(text).hexdigest(), "size_bytes": len(text)}
        made.writestr("clocks.json", text)
        made.writestr("manifest.json", json.dumps(manifest))
