"""What is written at the counter: who, what came with it, what for and by when, what may not be done."""

import pytest
from fastapi.testclient import TestClient

from underdial.bench.demo import open_demo
from underdial.bench.shop import clock_page
from underdial.web.app import create_app

OK, CONFLICT, UNPROCESSABLE = 200, 409, 422


@pytest.fixture
def shop(tmp_path):
    return open_demo(tmp_path)


@pytest.fixture
def own_client(shop):
    return TestClient(create_app(shop), raise_server_exceptions=False)


def test_somebody_is_named_reached_and_given_other_parts_and_the_letter_has_their_address(own_client, shop):
    own_client.post(
        "/clock/32/people", data={"name": "Ida Quillfeather", "telephone": "555 0142", "part": ["pays", "may_instruct"]}
    )
    person = next(one for one in clock_page(shop, "32").people.values() if one.name == "Ida Quillfeather")
    written = own_client.post(
        f"/clock/32/people/{person.id}",
        data={
            "name": "Ida Quillfeather",
            "telephone": "555 0142",
            "address": "2 Mill Row\nTarrow",
            "part": ["pays", "may_collect"],
        },
    )
    page = clock_page(shop, "32")
    standing = {one.part for one in page.parts if one.person_id == person.id and not one.ended}

    assert written.status_code == OK
    assert page.people[person.id].address == "2 Mill Row\nTarrow"
    assert standing == {"pays", "may_collect"}
    assert any(one.ended and one.part == "may_instruct" for one in page.parts if one.person_id == person.id)
    assert "2 Mill Row" in own_client.get("/clock/32/received").text


def test_a_loose_part_is_written_once_and_its_line_is_replaced(own_client, shop):
    before = len(clock_page(shop, "32").visit.handed_over)
    own_client.post("/clock/32/came-with", data={"component": "door lock", "status": "with_clock", "how_many": "2"})
    own_client.post(
        "/clock/32/came-with",
        data={"component": "door lock", "status": "missing", "how_many": "1", "note": "one was lost"},
    )
    lines = clock_page(shop, "32").visit.handed_over

    assert len(lines) == before + 1
    # Derived: what was sent last
    assert (lines[-1].component, lines[-1].status, lines[-1].how_many_count, lines[-1].note) == (
        "door_lock",
        "missing",
        1,
        "one was lost",
    )


def test_the_aim_its_day_and_the_wishes_are_kept_and_an_empty_day_is_none(own_client, shop):
    own_client.post(
        "/clock/31/aim",
        data={"what": "to_be_shown", "needed_by": "2027-02-03", "wishes": "no polish\n\nkeep the old key "},
    )
    aim = clock_page(shop, "31").visit.aim
    own_client.post("/clock/31/aim", data={"what": "to_run"})

    assert (aim.what, aim.needed_by.on.isoformat(), aim.wishes) == (
        "to_be_shown",
        "2027-02-03",
        ("no polish", "keep the old key"),
    )
    assert clock_page(shop, "31").visit.aim.needed_by is None


def test_a_hold_is_set_for_a_reason_and_lifted_by_somebody(own_client, shop):
    own_client.post(
        "/clock/31/holds", data={"reason": "money_due", "why": "The last bill is open", "forbids": ["release"]}
    )
    hold = clock_page(shop, "31").holds[-1]
    shown = own_client.get("/clock/31/received").text
    own_client.post(f"/clock/31/holds/{hold.id}/lift", data={"who": "Marit", "why": "it was paid"})

    assert "The last bill is open. Not to release." in shown
    assert clock_page(shop, "31").holds[-1].lifted_by == "Marit"
    assert (
        own_client.post(f"/clock/31/holds/{hold.id}/lift", data={"who": "Marit", "why": "again"}).status_code
        == CONFLICT
    )


@pytest.mark.parametrize(
    ("address", "data", "said"),
    [
        ("people", {"name": "Ida Quillfeather"}, "part: say what Ida Quillfeather does"),
        ("people", {"name": " ", "part": ["owns"]}, "name"),
        ("people", {"name": "Ida", "part": ["drives"]}, "drives"),
        ("people/nobody", {"name": "Ida", "part": ["owns"]}, "somebody named for this clock"),
        ("came-with", {"component": " "}, "nothing is written there"),
        ("came-with", {"component": "key", "how_many": "many"}, "many is no number of parts"),
        ("came-with", {"component": "key", "status": "eaten"}, "eaten"),
        ("aim", {"needed_by": "Christmas"}, "Christmas is no day"),
        ("aim", {"what": "to_fly"}, "to_fly"),
        ("holds", {"reason": "dispute", "why": "x"}, "a hold that forbids nothing"),
    ],
)
def test_what_cannot_be_kept_at_the_counter_is_said_and_nothing_is_written(own_client, shop, address, data, said):
    before = clock_page(shop, "31").record_sha256
    refused = own_client.post(f"/clock/31/{address}", data=data)

    assert refused.status_code >= 400  # Source: RFC 9110, 15.5: the client's errors
    assert refused.status_code < 500  # Source: RFC 9110, 15.6: no error of ours
    assert said in refused.text
    assert clock_page(shop, "31").record_sha256 == before
