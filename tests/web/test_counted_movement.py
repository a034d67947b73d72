"""A movement that is none of the list: counted by hand, drawn, and worked out; half told, it is sent back."""

import pytest
from fastapi.testclient import TestClient

from underdial.bench.clock.case import case_of
from underdial.bench.clock.drawing import composed
from underdial.bench.counter.warning import triggers_of
from underdial.bench.demo import open_demo
from underdial.bench.shop import clock_page
from underdial.diagnosis.case_file import parse_case
from underdial.web.app import create_app

OK, SEE_OTHER, UNPROCESSABLE = 200, 303, 422
TOLD = {
    "train": "96/8 64/8 60/8",
    "escape": "30",
    "power": "weight",
    "oscillator": "pendulum",
    "escapement": "deadbeat",
}


@pytest.fixture
def shop(tmp_path):
    return open_demo(tmp_path)


@pytest.fixture
def own_client(shop):
    return TestClient(create_app(shop), raise_server_exceptions=False)


@pytest.fixture
def tag(own_client):
    return (
        own_client.post("/receive", data={"name": "A regulator for a test"}, follow_redirects=False)
        .headers["location"]
        .split("/")[2]
    )


def test_counts_and_how_it_is_made_are_composed_and_drawn(own_client, shop, tag):
    answer = own_client.post(f"/clock/{tag}/movement", data=TOLD)
    made = composed(clock_page(shop, tag).clock)

    assert answer.status_code == OK
    assert "<figure" in answer.text
    assert (made.power.kind, made.oscillator.kind, made.escapement.kind) == ("weight", "pendulum", "deadbeat")
    assert made.escapement.teeth_count == 30  # Derived: as counted
    assert own_client.get(f"/clock/{tag}/train.svg").status_code == OK


def test_the_case_of_it_is_one_that_the_sums_take(own_client, shop, tag):
    own_client.post(f"/clock/{tag}/movement", data=TOLD)

    # Derived: as it was sent, the teeth as a number
    assert parse_case(case_of(shop, tag)).movement == {**TOLD, "escape": 30}


def test_what_drives_it_calls_the_cautions_of_that_power(own_client, shop, tag):
    own_client.post(f"/clock/{tag}/movement", data={**TOLD, "power": "fusee"})

    assert "trait:fusee" in triggers_of(clock_page(shop, tag))


@pytest.mark.parametrize(
    ("left_out", "said"),
    [
        ("power", "say what drives it too"),
        ("oscillator", "say what it swings with too"),
        ("escape", "say the teeth of the escape wheel too"),
    ],
)
def test_counts_alone_are_sent_back_with_what_is_missing(own_client, shop, tag, left_out, said):
    refused = own_client.post(f"/clock/{tag}/movement", data={**TOLD, left_out: ""})

    assert refused.status_code == UNPROCESSABLE
    assert said in refused.text
    assert clock_page(shop, tag).clock.movement == {}


def test_a_word_that_is_no_power_is_named(own_client, shop, tag):
    refused = own_client.post(f"/clock/{tag}/movement", data={**TOLD, "power": "steam"})

    assert refused.status_code == UNPROCESSABLE
    assert "steam" in refused.text
    assert clock_page(shop, tag).clock.movement == {}


def test_a_kind_of_the_list_needs_no_more_and_keeps_what_else_is_known(own_client, shop):
    own_client.post("/clock/31/movement", data={"family": "open_spring_balance_8d", "escapement": "lever"})
    own_client.post("/clock/31/movement", data={"family": "open_spring_balance_8d"})

    assert clock_page(shop, "31").clock.movement == {"strike": "none"}
