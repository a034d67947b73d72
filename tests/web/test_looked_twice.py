"""A clock looked over twice: each look-over has its name, its findings and its day, and the later holds."""

import re

import pytest

from underdial.bench.as_found.hearing import hear_words
from underdial.bench.demo import open_demo

TAG = "33"


def the_look_overs(client):
    return re.findall(r'name="look_over" value="(look_over-\d+)"', client.get(f"/clock/{TAG}/as-found").text)


@pytest.fixture(autouse=True, scope="module")
def looked_over_twice(demo_folder):
    shop = open_demo(demo_folder)
    for words in (
        "Fly: back pivot is good. The crutch could not be reached.",
        "Fly: back pivot is scored. Crutch is loose.",
    ):
        hear_words(shop, TAG, words)
    shop.engine.dispose()


def test_each_look_over_is_named_by_itself_and_both_findings_stand(client):
    first, second = list(dict.fromkeys(the_look_overs(client)))[-2:]
    for look, occasion, opened in (
        (first, "as received", "nothing opened"),
        (second, "after stripping", "taken apart"),
    ):
        told = {"look_over": look, "occasion": occasion, "opened": opened, "light": "bench lamp", "method": ""}
        assert client.post(f"/clock/{TAG}/pictures/how", data=told).status_code == 200

    found = client.get(f"/clock/{TAG}/as-found").text
    findings = client.get(f"/clock/{TAG}/findings").text
    paper = client.get(f"/clock/{TAG}/papers/record.pdf")

    assert "nothing opened; bench lamp" in found
    assert "taken apart; bench lamp" in found
    assert findings.index(">As received<") < findings.index(">After stripping<")
    assert "Otherwise later, “After stripping”" in findings
    assert "Before, “As received”" in findings
    assert paper.status_code == 200


def test_what_holds_goes_into_the_sums_and_the_other_does_not(client):
    from underdial.bench.clock.case import case_of
    from underdial.record.finding import NOTED

    case = case_of(client.app.state.shop, TAG)
    told = [(one["condition"], one["state"]) for one in case["findings"] if one["component"] == "crutch"]

    assert NOTED not in [one for one, _ in told]
    assert ("not_accessible", "not_examined") not in told
    assert ("loose", "present") in told


def test_a_finding_by_hand_belongs_to_the_look_over_it_was_seen_in(client):
    first = the_look_overs(client)[0]
    told = {"component": "bob", "condition": "loose", "look_over": first}
    client.post(f"/clock/{TAG}/findings", data=told)
    refused = client.post(f"/clock/{TAG}/findings", data={**told, "look_over": "look_over-99"})

    page = client.get(f"/clock/{TAG}/findings").text
    first_group = page[page.index(f'id="of-{first}"') :].partition("<h2")[0]
    assert "The bob is loose." in first_group
    assert refused.status_code == 409  # Derived: a rule of the record is broken (web.app.STATUSES).
    assert "there is no look_over-99 at this visit" in refused.text


def test_an_unknown_look_over_and_an_older_page_are_refused(client):
    look = the_look_overs(client)[0]
    unknown = client.post(f"/clock/{TAG}/pictures/how", data={"look_over": "look_over-99", "light": "daylight"})
    client.post(f"/clock/{TAG}/pictures/how", data={"look_over": look, "light": "raking light"})
    older = client.post(f"/clock/{TAG}/pictures/how", data={"look_over": look, "light": "dusk", "version": "1"})

    # Derived: nothing of that name, and a version that somebody else has changed (web.app.STATUSES).
    assert (unknown.status_code, older.status_code) == (404, 409)
    assert "dusk" not in client.get(f"/clock/{TAG}/as-found").text
