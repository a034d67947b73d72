"""Parts that go out and come back, the clock given to who may collect it, the list of those gone home, and a clock
received again.
"""

import html
import re
from datetime import date, timedelta

import pypdfium2
import pytest
from fastapi.testclient import TestClient

from underdial.bench.causes.said_and_seen import how_it_held
from underdial.bench.demo import open_demo
from underdial.bench.shop import clock_page, history_of, in_the_shop
from underdial.web.app import create_app
from underdial.web.sheet import SECTIONS

OK, NOT_FOUND, CONFLICT, UNPROCESSABLE = 200, 404, 409, 422
DIAL = {
    "what": "dial",
    "kind": "sent_out",
    "with_whom": "Ada Finch",
    "where": "Lower Tarrow",
    "note": "to be silvered",
    "condition": "numerals worn",
    "insured": "250",
    "due": "2020-03-04",
}


@pytest.fixture
def shop(tmp_path):
    return open_demo(tmp_path)


@pytest.fixture
def pages(shop):
    return TestClient(create_app(shop), raise_server_exceptions=False)


def shown(answer):
    return html.unescape(re.sub(r"\s+", " ", re.sub(r"<[^>]*>", " ", answer.text)))


def owner_of(shop, tag):
    return next(one.person_id for one in clock_page(shop, tag).parts if one.part == "owns")


def give_out(pages, shop, tag="31"):
    return pages.post(f"/clock/{tag}/release", data={"person_id": owner_of(shop, tag), "why": "shown how to wind it"})


def test_a_part_goes_out_and_the_page_says_where_it_is_until_it_is_back(pages, shop):
    before = shown(pages.get("/clock/31/received"))
    away = shown(pages.post("/clock/31/custody", data=DIAL))
    line = clock_page(shop, "31").custody[0]
    back = pages.post(f"/clock/31/custody/{line.id}/back", data={"condition": "silvered, numerals sharp"})

    assert "All that came is in the shop." in before
    assert "Not in the shop: dial." in away
    assert "Sent out to Ada Finch, Lower Tarrow, since" in away
    assert "due 4 March 2020, and that day has passed; to be silvered; it went: numerals worn; insured for £250" in away
    assert line.insured.amount_minor == 25000  # Derived: 250 pounds in pence
    assert "All that came is in the shop." in shown(back)
    assert "checked by the repairer: silvered, numerals sharp." in shown(back)
    assert f"/custody/{line.id}/back" not in back.text
    assert pages.post(f"/clock/31/custody/{line.id}/back").status_code == CONFLICT


@pytest.mark.parametrize(
    ("kind", "more", "says", "back"),
    [
        ("on_order", {"with_whom": "the spring maker"}, "On order from the spring maker, since", "It has come"),
        ("lent_by_shop", {}, "The shop’s own, on the clock, since", "It is off the clock"),
        ("with_owner", {}, "With the owner: at home, since", "It is back"),
    ],
)
def test_orders_and_lent_parts_are_said_as_what_they_are(pages, kind, more, says, back):
    answer = pages.post("/clock/31/custody", data={"what": "mainspring", "kind": kind, **more})

    assert says in shown(answer)
    assert f"<summary>{back}</summary>" in answer.text


@pytest.mark.parametrize(
    ("change", "status", "says"),
    [
        ({"with_whom": " "}, UNPROCESSABLE, "with whom: nobody is named"),
        ({"what": " "}, UNPROCESSABLE, "what: nothing is written there"),
        ({"kind": "eaten"}, UNPROCESSABLE, "it is: eaten will not do"),
        ({"due": "Easter"}, UNPROCESSABLE, "due: Easter is no day"),
        ({"insured": "much"}, UNPROCESSABLE, "insured for: much is no sum"),
    ],
)
def test_what_cannot_be_written_of_a_part_is_said_and_leads_back(pages, shop, change, status, says):
    answer = pages.post("/clock/31/custody", data={**DIAL, **change})

    assert answer.status_code == status
    assert says in shown(answer)
    assert 'href="/clock/31/received">Back to where it was asked' in answer.text
    assert clock_page(shop, "31").custody == ()


def test_a_hold_on_sending_out_is_said_when_a_part_is_sent(pages, shop):
    pages.post("/clock/31/holds", data={"reason": "hazard", "why": "luminous paint", "forbids": ["send_out"]})
    answer = pages.post("/clock/31/custody", data=DIAL)

    assert answer.status_code == CONFLICT
    assert "says not to send out: luminous paint" in shown(answer)
    assert clock_page(shop, "31").custody == ()


def test_a_clock_is_given_out_and_stands_among_those_gone_home(pages, shop):
    answer = give_out(pages, shop)
    visit = clock_page(shop, "31").visit
    gone = pages.get("/gone")

    assert answer.status_code == OK
    assert f"Gone home {visit.gone_at:%-d %B %Y}, collected by Oona Treddle." in shown(answer)
    assert (visit.stage, visit.collected_by) == ("gone", owner_of(shop, "31"))
    assert any(one.why == "shown how to wind it" for one in history_of(shop, "31"))
    assert "Drum timepiece" not in pages.get("/").text
    assert "Drum timepiece" in gone.text
    assert "collected by Oona Treddle" in shown(gone)
    assert 'href="/clock/31/again"' in gone.text
    assert "Give it out" not in answer.text
    assert f"Gone home {visit.gone_at:%-d %B %Y}" in shown(pages.get("/clock/31/received"))
    assert "Send a part out" not in pages.get("/clock/31/received").text
    assert how_it_held(shop).jobs_count == 1  # Derived: one clock has gone, so one job is finished


def test_a_search_reaches_those_gone_home_by_the_same_words(pages, shop):
    give_out(pages, shop)
    among = pages.get("/?search=treddle").text

    assert 'href="/gone?search=treddle"' in among
    assert "Drum timepiece" in pages.get("/gone?search=treddle").text
    assert "No clock that has gone home answers to “wexcombe”" in shown(pages.get("/gone?search=wexcombe"))


@pytest.mark.parametrize(
    ("tag", "before", "says"),
    [
        ("33", None, "says not to release: the two owners do not agree"),
        ("31", DIAL, "not all of the clock is here: dial (with Ada Finch)"),
        ("31", {"what": "test pendulum", "kind": "lent_by_shop"}, "the shop's test pendulum is still on the clock"),
    ],
)
def test_what_stands_in_the_way_is_said_on_the_page_and_when_it_is_asked_for_all_the_same(
    pages, shop, tag, before, says
):
    if before is not None:
        pages.post(f"/clock/{tag}/custody", data=before)
    page = pages.get(f"/clock/{tag}/papers")
    answer = give_out(pages, shop, tag)

    assert says in shown(page)
    assert f"/clock/{tag}/release" not in page.text
    assert answer.status_code == CONFLICT
    assert says in shown(answer)
    assert f'href="/clock/{tag}/papers">Back to where it was asked' in answer.text
    assert clock_page(shop, tag).visit.stage != "gone"


def test_all_that_stands_in_the_way_is_said_at_once(pages):
    pages.post("/clock/33/custody", data=DIAL)
    pages.post("/clock/33/custody", data={"what": "test pendulum", "kind": "lent_by_shop"})
    page = shown(pages.get("/clock/33/papers"))

    assert all(
        one in page
        for one in (
            "the two owners do not agree",
            "the shop's test pendulum is still on the clock",
            "not all of the clock is here: dial",
        )
    )


def test_only_who_may_collect_is_offered_and_nobody_else_is_given_the_clock(pages, shop):
    pages.post("/clock/32/people", data={"name": "Ida Quillfeather", "part": ["brings"]})
    stranger = next(key for key, one in clock_page(shop, "32").people.items() if one.name == "Ida Quillfeather")
    offered = pages.get("/clock/32/release").text
    refused = pages.post("/clock/32/release", data={"person_id": stranger})

    assert "Piers Wexcombe" in offered
    assert "Ida Quillfeather" not in offered
    assert refused.status_code == CONFLICT
    assert "may not collect" in shown(refused)


def test_a_clock_nobody_may_collect_says_so(pages):
    tag = (
        pages.post("/receive", data={"name": "A clock left at the door"}, follow_redirects=False)
        .headers["location"]
        .split("/")[2]
    )
    page = pages.get(f"/clock/{tag}/papers")

    assert "Nobody is named who may collect it" in page.text
    assert f"/clock/{tag}/release" not in page.text
    assert pages.get(f"/clock/{tag}/release", follow_redirects=False).headers["location"] == f"/clock/{tag}/papers"


def test_a_clock_that_has_gone_does_not_go_twice_and_sends_nothing_out(pages, shop):
    give_out(pages, shop)
    went = clock_page(shop, "31").visit

    assert give_out(pages, shop).status_code == CONFLICT
    refused = shown(pages.post("/clock/31/custody", data=DIAL))
    assert f"This clock went home on {went.gone_at:%-d %B %Y}; receive it again to go on." in refused
    assert "What you wrote" in refused
    assert "to be silvered" in refused
    assert clock_page(shop, "31").visit == went


def test_a_second_touch_names_what_is_open_and_asks_why(pages, shop):
    papers = pages.get("/clock/31/papers")
    second = pages.get("/clock/31/release")
    silent = pages.post("/clock/31/release", data={"person_id": owner_of(shop, "31")})
    stage = clock_page(shop, "31").visit.stage
    pages.post("/clock/31/release", data={"person_id": owner_of(shop, "31"), "why": "She wants it for a wedding."})

    assert "Not tested. One thing is still open." in shown(papers)
    assert 'action="/clock/31/release"' not in papers.text
    assert "Nothing was tested." in shown(second)
    assert "Give out ticket 31, Drum timepiece, eight days" in shown(second)
    assert '<button class="main"' not in second.text
    assert silent.status_code == CONFLICT
    assert "say why it goes home all the same" in shown(silent)
    assert stage != "gone"
    said = "Not tested; handed out because “She wants it for a wedding”."
    assert said in shown(pages.get("/clock/31/papers"))
    assert said in _words(pages.get("/clock/31/papers/release.pdf").content)
    home = clock_page(shop, "31").visit.gone_at
    notice = _words(pages.get("/clock/31/papers/notice.pdf").content)
    assert f"is no longer with us: it went home on {home:%-d %B %Y}." in notice
    assert "still with us" not in notice


@pytest.mark.parametrize("section", [one for one in SECTIONS if one != "wrong"])
def test_every_page_of_a_clock_that_went_home_says_that_it_is_closed(pages, shop, section):
    give_out(pages, shop)
    page = pages.get(f"/clock/31/{section}").text

    assert "; receive it again to go on." in page.split('<div class="shut">')[0]
    assert 'class="caution' not in page
    assert set(re.findall(r'<form class="(\w+)"', page)) == ({"stays"} if section == "received" else set())


def test_a_deed_that_waited_on_a_tablet_is_kept_though_the_clock_went_home_meanwhile(pages, shop):
    page = clock_page(shop, "31")
    first, second = [one.id for one in page.findings if one.standing == "heard"][:2]
    owner = next(one.person_id for one in page.parts if one.part == "owns")
    before = shop.now().isoformat()
    pages.post("/clock/31/release", data={"person_id": owner, "why": "she wants it back"})
    pages.post("/clock/31/again", data={"words": "it stops again"})
    came = pages.post(f"/clock/31/confirm/{first}/accept", data={"once": "1a", "done_at": before})
    pages.post("/clock/31/confirm/line/keep", data={"once": "2a", "done_at": before, "text": "the bezel is cracked"})
    page = clock_page(shop, "31", visit_id=page.visit.id)

    assert came.status_code == 200  # Source: RFC 9110, 15.3.1
    assert next(one for one in page.findings if one.id == first).standing == "confirmed"
    assert [one.condition for one in page.findings if one.component == "bezel"][-1] == "cracked"
    assert clock_page(shop, "31").findings == ()
    pages.post("/clock/31/release", data={"person_id": owner, "why": "she wants it back"})
    for moment in ("", shop.now().isoformat()):
        late = pages.post(f"/clock/31/confirm/{second}/accept", data={"once": f"3{moment}", "done_at": moment})
        assert late.status_code in (409, 422)
    assert next(
        one for one in clock_page(shop, "31", visit_id=page.visit.id).findings if one.id == second
    ).standing == ("heard")


def test_a_clock_in_the_shop_is_not_said_to_be_closed(pages):
    assert "receive it again to go on" not in pages.get("/clock/31/work").text


def test_a_clock_received_again_is_a_new_visit_that_shows_the_one_before(pages, shop):
    give_out(pages, shop)
    first = clock_page(shop, "31").visit
    form = pages.get("/clock/31/again")
    answer = pages.post(
        "/clock/31/again", data={"words": "it stops again", "came_as": "whole", "under_warranty": "yes"}
    )
    page = clock_page(shop, "31")
    service = pages.get(f"/clock/31/papers/service.pdf?visit={first.id}")

    assert "collected by Oona Treddle." in shown(form)
    assert answer.status_code == OK
    assert "Received again" in re.search(r"<h1>(.*?)</h1>", answer.text, re.S)[1]
    assert "Here before" in answer.text
    assert "its work is in question" in answer.text
    assert (page.visit.earlier_visit_id, page.visit.under_warranty, page.visit.complaint.words, page.findings) == (
        first.id,
        True,
        "it stops again",
        (),
    )
    assert "Oona Treddle" in shown(answer)
    assert service.content.startswith(b"%PDF-")
    assert "Drum timepiece" in pages.get("/").text
    assert in_the_shop(shop, gone=True).lines == ()
    give_out(pages, shop)
    assert [line.tag for line in in_the_shop(shop, gone=True).lines] == ["31"]


def test_papers_of_an_earlier_visit_are_those_of_that_visit(pages, shop):
    give_out(pages, shop)
    first = clock_page(shop, "31").visit.id
    pages.post("/clock/31/again", data={"words": "it stops again"})

    before, now = (
        _words(pages.get(f"/clock/31/papers/record.pdf{asked}").content) for asked in (f"?visit={first}", "")
    )
    assert "bezel" in before
    assert "bezel" not in now
    assert "collected by Oona Treddle" in _words(pages.get(f"/clock/31/papers/release.pdf?visit={first}").content)
    assert pages.get("/clock/31/papers/record.pdf?visit=none").status_code == NOT_FOUND


def test_a_clock_that_is_in_the_shop_is_not_received_again(pages, shop):
    form = pages.get("/clock/31/again", follow_redirects=False)
    refused = pages.post("/clock/31/again", data={"words": "x"})

    assert form.headers["location"] == "/clock/31/received"
    assert refused.status_code == CONFLICT
    assert "has not left since it last came" in shown(refused)
    assert len(clock_page(shop, "31").visits) == 1


def test_a_demo_whose_clocks_have_all_gone_home_opens_without_new_ones(pages, shop):
    hold = clock_page(shop, "33").holds[0].id
    pages.post(f"/clock/33/holds/{hold}/lift", data={"who": "Marit", "why": "they agree"})
    for tag in ("31", "32", "33"):
        give_out(pages, shop, tag)
    again = open_demo(shop.folder)

    assert "No clock is in the shop." in pages.get("/").text
    assert sorted(line.tag for line in in_the_shop(again, gone=True).lines) == ["31", "32", "33"]


def test_the_day_it_is_due_is_late_only_when_it_has_passed(pages, shop):
    ahead = (date.today() + timedelta(days=40)).isoformat()
    answer = shown(pages.post("/clock/31/custody", data={**DIAL, "due": ahead}))

    assert "; due " in answer
    assert "has passed" not in answer


def _words(pdf):
    return " ".join(" ".join(page.get_textpage().get_text_range() for page in pypdfium2.PdfDocument(pdf)).split())
