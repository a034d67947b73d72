"""What was done to a clock before and a good part that was tried have their door, and both reach the sums."""

import pytest
from fastapi.testclient import TestClient

from underdial.bench.clock.case import case_of
from underdial.bench.counter.receiving import change_visit
from underdial.bench.demo import open_demo
from underdial.bench.shop import clock_page
from underdial.web.app import create_app

NOT_FOUND, UNPROCESSABLE = 404, 422


@pytest.fixture
def shop(tmp_path):
    return open_demo(tmp_path)


@pytest.fixture
def own_client(shop):
    return TestClient(create_app(shop), raise_server_exceptions=False)


def test_what_was_done_before_is_written_a_line_each_and_is_in_the_case(own_client, shop):
    page = own_client.post(
        "/clock/31/owner", data={"last_done": "new mainspring two years ago\r\n\r\n oiled \r\noiled"}
    ).text

    assert clock_page(shop, "31").visit.last_done == ("new mainspring two years ago", "oiled")
    assert case_of(shop, "31")["last_done"] == ["new mainspring two years ago", "oiled"]
    assert "new mainspring two years ago\noiled</textarea>" in page


def test_another_answer_leaves_what_was_done_before_and_an_empty_one_takes_it_off(own_client, shop):
    change_visit(shop, "31", {"last_done": ("cleaned last autumn",)})
    own_client.post("/clock/31/owner", data={"alarm": "never"})
    kept = clock_page(shop, "31").visit.last_done
    own_client.post("/clock/31/owner", data={"last_done": ""})

    assert kept == ("cleaned last autumn",)
    assert clock_page(shop, "31").visit.last_done == ()


def test_parts_tried_are_written_on_the_round_one_after_the_other_and_are_in_the_case(own_client, shop):
    own_client.post("/clock/31/rounds", data={"thought": "the spring is tired"})
    found = clock_page(shop, "31").rounds[0].id
    own_client.post(f"/clock/31/rounds/{found}/tried", data={"component": "Mainspring", "result": "no_change"})
    page = own_client.post(
        f"/clock/31/rounds/{found}/tried", data={"component": "pivot hole", "of": "third wheel", "result": "cured"}
    ).text

    assert "A good mainspring was tried: it changed nothing." in page
    assert "A good pivot hole of the third wheel was tried: it cured the clock." in page
    assert case_of(shop, "31")["trials"] == [
        {"component": "mainspring", "of": None, "result": "no_change"},
        {"component": "pivot_hole", "of": "third_wheel", "result": "cured"},
    ]


@pytest.mark.parametrize(
    ("data", "said"),
    [
        ({"component": "flux", "result": "cured"}, "flux"),
        ({"component": "mainspring", "result": "perhaps"}, "perhaps"),
        ({"component": "mainspring", "of": "flux", "result": "cured"}, "flux"),
    ],
)
def test_a_trial_that_cannot_be_is_said_and_nothing_is_written(own_client, shop, data, said):
    own_client.post("/clock/31/rounds", data={"thought": "the spring is tired"})
    found = clock_page(shop, "31").rounds[0].id
    refused = own_client.post(f"/clock/31/rounds/{found}/tried", data=data)

    assert refused.status_code == UNPROCESSABLE
    assert said in refused.text
    assert clock_page(shop, "31").rounds[0].trials == ()
    assert (
        own_client.post("/clock/31/rounds/none/tried", data={"component": "mainspring", "result": "cured"}).status_code
        == NOT_FOUND
    )
