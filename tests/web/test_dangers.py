"""Dangers are ticked at the counter, and open the cautions they should on the pages where the step begins."""

import re
from dataclasses import replace

import pytest
from fastapi.testclient import TestClient

from underdial.bench.causes.agreeing import offer_choices, record_consent
from underdial.bench.counter.receiving import change_clock
from underdial.bench.counter.warning import bench_cautions, counter_cautions, dangers_to_tick, owner_cautions
from underdial.bench.demo import open_demo
from underdial.bench.shop import clock_page
from underdial.record.choice import Choice
from underdial.record.consent import Consent
from underdial.record.work import Work
from underdial.trade.cautions import cautions
from underdial.web.app import create_app
from underdial.web.clock_routes import _STEPS

OK, CONFLICT, UNPROCESSABLE = 200, 409, 422
UNREPAIRED = cautions()["C23"].owner_text  # the owner does not wind, oil or spray the clock


@pytest.fixture
def shop(tmp_path):
    return open_demo(tmp_path)


@pytest.fixture
def own_client(shop):
    return TestClient(create_app(shop), raise_server_exceptions=False)


def receive(client, *dangers, family="open_spring_balance_8d"):
    answer = client.post(
        "/receive",
        data={"name": "A clock for a test", "family": family, "danger": list(dangers)},
        follow_redirects=False,
    )
    return answer.headers["location"].split("/")[2]


def test_luminous_paint_ticked_at_the_counter_stops_the_opening_there_and_the_brush_later(own_client, shop):
    tag = receive(own_client, "luminous_paint")

    assert clock_page(shop, tag).clock.hazards == ("luminous_paint",)
    assert cautions()["C40"].text in own_client.get(f"/clock/{tag}/received").text
    assert cautions()["C06"].text in own_client.get(f"/clock/{tag}/as-found").text
    assert cautions()["C40"].text not in own_client.get(f"/clock/{receive(own_client)}/received").text


@pytest.mark.parametrize(
    ("danger", "caution"),
    [
        ("weights", "C05"),
        ("mercury_pendulum", "C07"),
        ("mains_lead", "C16"),
        ("luminous_paint", "C40"),
        ("old_mirror", "C31"),
        ("celluloid", "C32"),
        ("green_lining", "C33"),
        ("mould_or_worm", "C18"),
        ("slate_or_marble", "C19"),
    ],
)
def test_each_danger_opens_its_caution_where_the_clock_is_received(own_client, shop, danger, caution):
    page = clock_page(shop, receive(own_client))
    told = replace(page, clock=replace(page.clock, hazards=(danger,)))

    assert caution not in {one.id for one in bench_cautions(page, steps=_STEPS["received"])}
    assert caution in {one.id for one in bench_cautions(told, steps=_STEPS["received"])}


def test_what_was_ticked_is_not_pushed_aside_by_what_was_found(own_client, shop):
    tag = receive(own_client, "luminous_paint")
    for part in ("mainspring", "pallets"):
        own_client.post(f"/clock/{tag}/findings", data={"component": part, "condition": "worn"})
    shown = [one.id for one in bench_cautions(clock_page(shop, tag), steps=_STEPS["received"])]

    assert shown == ["C40", "C01"]


def test_every_danger_of_the_list_is_tried_above():
    tried = next(mark for mark in test_each_danger_opens_its_caution_where_the_clock_is_received.pytestmark).args[1]

    assert [one for one, _ in tried] == [one for one, _ in dangers_to_tick()]


def test_the_ticks_on_received_show_what_is_known_and_take_it_off_again(own_client, shop):
    change_clock(shop, "31", {"hazards": ("sharp_edge",)})
    own_client.post("/clock/31/dangers", data={"danger": ["mains_lead", "weights", "weights"]})
    both = clock_page(shop, "31").clock.hazards
    page = own_client.get("/clock/31/received").text
    own_client.post("/clock/31/dangers", data={})

    assert both == ("mains_lead", "weights", "sharp_edge")
    assert "Known of it: mains lead, weights, sharp edge." in page
    assert set(re.findall(r'name="danger" value="(\w+)" checked', page)) == {"mains_lead", "weights"}
    assert clock_page(shop, "31").clock.hazards == ("sharp_edge",)


@pytest.mark.parametrize("address", ["/receive", "/clock/31/dangers"])
def test_a_danger_that_is_none_is_said_and_nothing_is_written(own_client, shop, address):
    before = clock_page(shop, "31").record_sha256
    refused = own_client.post(address, data={"name": "A clock nobody has", "danger": ["dragon"]})

    assert refused.status_code == UNPROCESSABLE
    assert "dragon is not in the list" in refused.text
    assert "A clock nobody has" not in own_client.get("/").text
    assert clock_page(shop, "31").record_sha256 == before


def test_a_weight_is_spoken_of_on_test_only_where_there_may_be_one(own_client):
    line = cautions()["C29"].text

    assert line in own_client.get("/clock/33/test").text
    assert line not in own_client.get("/clock/31/test").text


def test_an_owner_whose_clock_goes_back_unrepaired_is_told_not_to_wind_it(shop):
    page = clock_page(shop, "31")
    choice = offer_choices(shop, "31", [Choice(title="Leave it as it is")])[0]
    record_consent(
        shop,
        "31",
        Consent(
            choice_id=choice.id,
            person_id=next(iter(page.people)),
            channel="in_person",
            words="Leave it.",
            given_at=shop.now(),
            lines=(),
        ),
    )
    declined = clock_page(shop, "31")
    worked = replace(declined, works=(Work(work="oil", component="movement", by="the repairer"),))

    assert UNREPAIRED not in owner_cautions(page)
    assert UNREPAIRED in owner_cautions(declined)
    assert UNREPAIRED not in owner_cautions(worked)


def test_a_fault_that_stops_it_and_was_left_is_told_when_it_is_ready(shop):
    page = clock_page(shop, "31")
    stops = replace(page.findings[0], state="present", condition="worn", significance="stops", standing="confirmed")
    work = Work(work="bush", component="pivot_hole", by="the repairer")
    left = replace(page, visit=replace(page.visit, stage="ready"), findings=(stops,), works=(work,))

    assert UNREPAIRED in owner_cautions(left)
    assert UNREPAIRED not in owner_cautions(replace(left, works=(replace(work, findings=(stops.id,)),)))
    assert UNREPAIRED not in owner_cautions(replace(left, visit=replace(page.visit, stage="at_the_bench")))


def test_an_owner_is_told_only_of_what_still_stands_and_never_of_a_weight_that_is_not_there(shop):
    page = clock_page(shop, "33")
    line = Work(work="pwr_26_new_line_fill", component="gut_line", of="strike", by="the repairer")
    spring = replace(page, clock=replace(page.clock, family="english_fusee_bracket", traits=()))
    frayed = cautions()["C29"].owner_text

    assert frayed in owner_cautions(page)
    assert frayed not in owner_cautions(replace(page, works=(line,)))
    assert frayed not in owner_cautions(spring)
    assert cautions()["C05"].owner_text in owner_cautions(page)
    assert cautions()["C05"].owner_text not in owner_cautions(spring)


def test_the_receipt_tells_of_the_clock_as_it_came_and_of_nothing_that_was_found_later(shop):
    page = clock_page(shop, "33")
    luminous = replace(page, clock=replace(page.clock, hazards=("luminous_paint",)))

    assert cautions()["C05"].owner_text in counter_cautions(page)
    assert cautions()["C29"].owner_text not in counter_cautions(page)
    assert cautions()["C06"].owner_text == counter_cautions(luminous)[0]


def test_dangers_ticked_on_an_old_page_are_not_written_over_newer_ones(own_client, shop):
    page = own_client.get("/clock/31/received").text
    version = re.search(r'/dangers"><input type="hidden" name="version" value="(\d+)"', page).group(1)
    own_client.post("/clock/31/dangers", data={"danger": ["mains_lead"], "version": version})
    late = own_client.post("/clock/31/dangers", data={"danger": ["weights"], "version": version})

    assert late.status_code == CONFLICT
    assert clock_page(shop, "31").clock.hazards == ("mains_lead",)
