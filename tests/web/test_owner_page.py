"""What the owner says: every answer the record can hold has its place, and nothing told is lost by another answer."""

import re
from dataclasses import fields, replace

import pytest
from fastapi.testclient import TestClient

from underdial.bench.counter.receiving import change_visit
from underdial.bench.demo import open_demo
from underdial.bench.shop import clock_page
from underdial.record import complaint
from underdial.record.complaint import Complaint
from underdial.web.app import create_app
from underdial.web.complaint_form import PICKS, answers_shown

OK, UNPROCESSABLE = 200, 422
LISTS = {
    "stops_at": complaint.STOPS_AT,
    "since": complaint.SINCE,
    "rate_kind": complaint.RATE_KINDS,
    "winding": complaint.WINDINGS,
    "strikes": complaint.STRIKES,
    "chimes": complaint.CHIMES,
    "alarm": complaint.ALARMS,
    "goes_only": complaint.GOES_ONLY,
    "swing": complaint.SWINGS,
}
ALL_TOLD = Complaint(
    words="it stops",
    runs_for_s=1200.0,
    never_runs=False,
    runs_dial_up_for_s=10.0,
    rate_s_per_day=-35.25,
    hands_stand=True,
    stops_at="same_wind",
    rate_kind="loses",
    strikes="slow",
    races=True,
    swing="knocks",
    goes_only="hands_off",
    since="moved",
    winding="slips",
    chimes="out_of_order",
    alarm="never",
    noise="a creak at night",
    stops_in_cold=True,
)


@pytest.fixture
def shop(tmp_path):
    return open_demo(tmp_path)


@pytest.fixture
def own_client(shop):
    return TestClient(create_app(shop), raise_server_exceptions=False)


def as_sent(page):
    """What a browser would send of the form on the page, nothing touched."""
    form = page.split('action="/clock/31/owner">')[1].split("</form>")[0]
    sent = dict(re.findall(r'<input[^>]* name="(\w+)"[^>]* value="([^"]*)"', form))
    sent |= dict(re.findall(r'<textarea[^>]* name="(\w+)"[^>]*>(.*?)</textarea>', form, re.S))
    for name, options in re.findall(r'<select[^>]* name="(\w+)"[^>]*>(.*?)</select>', form, re.S):
        picked = re.search(r'<option value="(\w*)" selected', options)
        sent[name] = picked.group(1) if picked else ""
    return sent


def told(shop):
    return clock_page(shop, "31").visit.complaint


@pytest.mark.parametrize(
    "kept",
    [
        ALL_TOLD,
        Complaint(),
        Complaint(noise=True, races=False, runs_for_s=1234.5678),
        Complaint(words="it stops", runs_for_s=691200.0, rate_s_per_day=0.1 + 0.2),
    ],
)
def test_the_form_sent_back_untouched_changes_nothing(own_client, shop, kept):
    change_visit(shop, "31", {"complaint": kept})
    answer = own_client.post("/clock/31/owner", data=as_sent(own_client.get("/clock/31/owner").text))

    assert answer.status_code == OK
    assert told(shop) == kept  # Derived: the same record that was put in


def test_one_answer_leaves_all_others_as_they_were_told(own_client, shop):
    change_visit(shop, "31", {"complaint": ALL_TOLD})
    own_client.post("/clock/31/owner", data={"alarm": "wrong_time"})

    assert told(shop) == replace(ALL_TOLD, alarm="wrong_time")


def test_an_answer_sent_empty_is_not_told_any_more(own_client, shop):
    change_visit(shop, "31", {"complaint": ALL_TOLD})
    own_client.post("/clock/31/owner", data={"alarm": "", "never_runs": "", "runs_for": "", "words": " "})

    assert told(shop) == replace(ALL_TOLD, alarm=None, never_runs=None, runs_for_s=None, words=None)


def test_every_field_of_a_complaint_has_its_place_on_the_page(own_client):
    page = own_client.get("/clock/31/owner").text
    names = {re.sub("_s$", "", one.name) for one in fields(Complaint)}
    there = set(re.findall(r'name="(\w+)"', page))

    assert names <= there


@pytest.mark.parametrize("name", sorted(LISTS))
def test_a_list_offers_every_answer_the_record_takes_and_no_other(name):
    assert {key for key, _ in PICKS[name]} == set(LISTS[name])


@pytest.mark.parametrize(
    ("time_s", "number", "unit"),
    [
        (1200.0, "20", "min"),
        (10.0, "10", "s"),
        (5400.0, "90", "min"),
        (36000.0, "10", "h"),
        (691200.0, "8", "d"),
        (100.0, "100", "s"),
        (0.0, "0", "s"),
    ],
)
def test_a_time_to_go_is_shown_short_and_whole(time_s, number, unit):
    said = answers_shown(Complaint(runs_for_s=time_s))

    # Derived: seconds over 60, 3600 or 86 400 by hand; the largest unit of which it is two or more
    assert (said["runs_for"], said["runs_for_unit"]) == (number, unit)


@pytest.mark.parametrize(
    ("data", "said"),
    [
        ({"runs_for": "soon"}, "it goes for: soon is no number"),
        ({"runs_for": "-3"}, "it goes for: -3"),
        ({"runs_for": "5", "runs_for_unit": "weeks"}, "weeks"),
        ({"races": "perhaps"}, "perhaps"),
        ({"alarm": "purple"}, "purple"),
        ({"runs_for": "200000", "runs_for_unit": "d"}, "it goes for: 200000"),
        ({"rate_s_per_day": "999999999"}, "gains"),
    ],
)
def test_an_answer_that_is_none_is_named_and_nothing_is_written(own_client, shop, data, said):
    before = told(shop)
    refused = own_client.post("/clock/31/owner", data={"words": "something else", **data})

    assert refused.status_code == UNPROCESSABLE
    assert said in refused.text
    assert told(shop) == before


@pytest.mark.parametrize(
    ("told", "rate"),
    [
        ("-35", -35.0),  # Derived: seconds a day, as the field says
        ("-4 min", -240.0),  # Derived: 4 x 60 s
        ("loses 4 min", -240.0),  # Derived: the same
        ("4 min a week slow", -240.0 / 7),  # Derived: in seven days
    ],
)
def test_a_rate_is_told_as_the_owner_says_it(own_client, shop, told, rate):
    answer = own_client.post("/clock/31/owner", data={"rate_s_per_day": told}, follow_redirects=False)

    assert answer.status_code == 303
    assert clock_page(shop, "31").visit.complaint.rate_s_per_day == pytest.approx(rate)  # Derived: in the table above


def test_hours_and_minutes_are_told_in_one(own_client, shop):
    own_client.post("/clock/31/owner", data={"runs_for": "2:30", "runs_for_unit": "h"}, follow_redirects=False)

    assert clock_page(shop, "31").visit.complaint.runs_for_s == 9000.0  # Derived: 2.5 x 3600 s


@pytest.mark.parametrize(
    ("data", "kept"),
    [
        ({"quantity": "half arc", "value": "5.2 deg", "unit": ""}, (5.2, "deg")),  # Derived: as typed
        ({"quantity": "length", "value": "9 3/4 inches", "unit": ""}, (9.75, "in")),  # Derived: 9 + 3/4
        ({"quantity": "diameter", "value": "1/2 in", "unit": "mm"}, (12.7, "mm")),  # Source: the inch is 25.4 mm
        ({"quantity": "rate", "value": "4 min slow", "unit": "sec/day"}, (-240.0, "s/d")),  # Derived: 4 x 60 s
    ],
)
def test_a_reading_is_kept_as_it_is_spoken(own_client, shop, data, kept):
    answer = own_client.post("/clock/31/measurements", data=data, follow_redirects=False)
    read = clock_page(shop, "31").measurements[-1]

    assert answer.status_code == 303
    assert (read.value, read.unit) == kept  # Derived: in the table above
