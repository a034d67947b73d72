"""What an owner agreed to: line by line, under a ceiling that is enforced, and taken back in their words."""

import re
from datetime import UTC, datetime

import pytest
from fastapi.testclient import TestClient

from underdial.bench.causes.agreeing import offer_choices
from underdial.bench.counter.receiving import receive_clock
from underdial.bench.shop import clock_page, open_shop
from underdial.record.choice import Choice, PlannedWork, PriceBand
from underdial.record.clock import Clock
from underdial.record.money import Money
from underdial.record.people import Person
from underdial.record.visit import Visit
from underdial.web.app import create_app

OK, NOT_FOUND, CONFLICT, UNPROCESSABLE = 200, 404, 409, 422
NOON = datetime(2026, 3, 2, 12, tzinfo=UTC)
BUSH = PlannedWork(line="1", work="bush", component="pivot_hole", of="third_wheel", words="bush the back hole")
CLEAN = PlannedWork(line="2", work="clean", component="movement", words="clean")
BLUE = PlannedWork(line="1", work="blue", component="minute_hand", words="blue it anew")
PRICE = PriceBand(low_minor=9000, likely_minor=10000, high_minor=11000, ceiling_minor=13000, currency="GBP")


@pytest.fixture
def shop(tmp_path):
    """A shop with one clock and three choices that nobody has answered."""
    shop = open_shop(tmp_path / "shop", now=lambda: NOON)
    receive_clock(
        shop,
        Clock(tag="41", name="A drum for a test", family="open_spring_balance_8d"),
        Visit(received_at=NOON),
        ((Person(name="A Tester"), ("owns", "may_instruct")),),
    )
    offer_choices(
        shop,
        "41",
        [
            Choice(title="Leave it as it is"),
            Choice(title="Put right: pivot hole", works=(BUSH, CLEAN), price=PRICE),
            Choice(title="Put right: minute hand", works=(BLUE,), price=PRICE),
        ],
    )
    return shop


@pytest.fixture
def own_client(shop):
    return TestClient(create_app(shop), raise_server_exceptions=False)


def answer(client, shop, nth, **more):
    page = clock_page(shop, "41")
    return client.post(
        "/clock/41/agreed",
        data={
            "choice_id": page.choices[nth].id,
            "person_id": next(iter(page.people)),
            "words": "Yes, do that.",
            **more,
        },
    )


def write_work(client, words, charged):
    form = client.get("/clock/41/work").text.casefold().split(f"<span>{words}")[1]
    line = re.search(r'name="line" value="([^"]*)"', form).group(1)
    return client.post("/clock/41/work", data={"line": line, "charged": charged})


def test_no_line_is_ticked_before_it_is_agreed_and_it_is_afterwards(own_client, shop):
    before = own_client.get("/clock/41/agreed").text
    answer(own_client, shop, 1, yes=["2"])
    after = own_client.get("/clock/41/agreed").text

    assert "checked" not in before
    assert re.findall(r'name="yes" value="(\d)" checked', after) == ["2"]  # Derived: the line that was sent
    assert [(one.line, one.answer) for one in clock_page(shop, "41").consents[0].lines] == [("1", "no"), ("2", "yes")]


def test_only_the_ticked_line_may_be_worked_on(own_client, shop):
    answer(own_client, shop, 1, yes=["2"])
    page = own_client.get("/clock/41/work").text

    assert "Clean: movement" in page
    assert "ush the back hole" not in page


def test_the_ceiling_of_the_choice_stands_when_no_other_was_named(own_client, shop):
    answer(own_client, shop, 1, yes=["1", "2"])
    first = write_work(own_client, "bush", "100")
    over = write_work(own_client, "clean", "30.01")

    # Derived: the ceiling of the choice
    assert clock_page(shop, "41").consents[0].ceiling == Money(amount_minor=13000, currency="GBP")
    assert first.status_code == OK
    assert over.status_code == CONFLICT
    assert "0.01 GBP above the agreed ceiling" in over.text
    assert [one.work for one in clock_page(shop, "41").works] == ["bush"]
    assert write_work(own_client, "clean", "30").status_code == OK


def test_a_sum_the_owner_names_takes_the_place_of_the_ceiling_and_a_later_one_of_it(own_client, shop):
    answer(own_client, shop, 1, yes=["1", "2"], ceiling="80")
    refused = write_work(own_client, "bush", "100").status_code
    answer(own_client, shop, 1, yes=["1", "2"], ceiling="120,50", words="Up to 120.50, then.")

    assert refused == CONFLICT
    assert write_work(own_client, "bush", "120.50").status_code == OK
    assert "£80" in own_client.get("/clock/41/agreed").text


def test_lines_of_two_choices_with_one_number_are_told_apart(own_client, shop):
    answer(own_client, shop, 1, yes=["1"])
    answer(own_client, shop, 2, yes=["1"])
    write_work(own_client, "blue it anew", "5")

    assert [(one.work, one.component) for one in clock_page(shop, "41").works] == [("blue", "minute_hand")]


def test_a_no_and_leaving_it_are_kept_and_open_no_work(own_client, shop):
    answer(own_client, shop, 1, yes=["1"], answer="no", words="No, thank you.")
    answer(own_client, shop, 0, words="Leave it be.")
    kept = clock_page(shop, "41").consents

    assert [[line.answer for line in one.lines] for one in kept] == [["no", "no"], []]
    assert [one.ceiling for one in kept] == [None, None]
    assert "leaving it as it is" in own_client.get("/clock/41/agreed").text
    assert "No work is agreed" in own_client.get("/clock/41/work").text


def test_an_answer_is_taken_back_once_and_the_clock_waits_for_the_owner_again(own_client, shop):
    answer(own_client, shop, 1, yes=["1"])
    agreed = clock_page(shop, "41").visit.stage
    way = f"/clock/41/agreed/{clock_page(shop, '41').consents[0].id}/taken-back"
    empty = own_client.post(way, data={"words": "  "})
    back = own_client.post(way, data={"words": "I have thought better of it."})

    assert empty.status_code == UNPROCESSABLE
    assert back.status_code == OK
    assert "Nothing is agreed" in back.text
    assert "I have thought better of it." in back.text
    assert (agreed, clock_page(shop, "41").visit.stage) == ("agreed", "waiting_for_owner")
    assert "No work is agreed" in own_client.get("/clock/41/work").text
    assert own_client.post(way, data={"words": "Again."}).status_code == CONFLICT
    assert clock_page(shop, "41").consents[0].withdrawn_words == "I have thought better of it."
    assert own_client.post("/clock/41/agreed/nothing/taken-back", data={"words": "x"}).status_code == NOT_FOUND


@pytest.mark.parametrize(
    ("more", "status", "said"),
    [
        ({}, UNPROCESSABLE, "no work is ticked"),
        ({"yes": ["7"]}, CONFLICT, "7 is not a work of Put right: pivot hole"),
        ({"yes": ["1"], "ceiling": "much"}, UNPROCESSABLE, "much is no number"),
        ({"yes": ["1"], "ceiling": "-1"}, UNPROCESSABLE, "not above: -1"),
        ({"yes": ["1"], "answer": "perhaps"}, UNPROCESSABLE, "perhaps"),
        ({"yes": ["1"], "words": " "}, UNPROCESSABLE, "words"),
        ({"yes": ["1"], "channel": "pigeon"}, UNPROCESSABLE, "pigeon"),
    ],
)
def test_an_answer_that_cannot_be_kept_is_said_and_nothing_is_written(own_client, shop, more, status, said):
    refused = answer(own_client, shop, 1, **more)

    assert refused.status_code == status
    assert said in refused.text
    assert clock_page(shop, "41").consents == ()
