"""Where things stand on a phone, a tablet and a desk: nothing lies on anything else or sticks out to the side, and the
way to every page has its name.
"""

import re
from pathlib import Path

import pytest

from underdial.bench.as_found.hearing import hear_captions
from underdial.bench.as_found.looking import add_measurement
from underdial.bench.causes.agreeing import agree_to_all, offer_choices, record_consent
from underdial.bench.counter.receiving import receive_clock
from underdial.bench.demo import open_demo
from underdial.bench.rounds.working import begin_round
from underdial.bench.shop import clock_page
from underdial.record.choice import Choice, PlannedWork, PriceBand
from underdial.record.clock import Clock
from underdial.record.consent import Consent
from underdial.record.measurement import Measurement
from underdial.record.people import Person
from underdial.record.visit import Visit
from underdial.web.sheet import SECTIONS

# Phone and tablet upright, and a desk.
SCREENS = ((390, 844), (820, 1180), (1280, 800))
MEASURE = (Path(__file__).parent / "overlaps.js").read_text(encoding="utf-8")
SAID = [
    f"{wheel} wheel, {place} {part} as far as can be seen without taking the train out of its plates"
    for wheel in ("great", "centre", "third", "fourth", "escape")
    for place in ("front", "back")
    for part in ("hole is badly worn", "pivot is grooved", "pivot is bent", "hole is dirty")
]
LONG_WORD = "a" * 200
WORKS = ("bush", "clean", "polish", "replace", "straighten", "tighten")


@pytest.fixture(scope="module")
def tag(demo_folder):
    """A clock with a look-over of forty sentences, works agreed and begun, and one word that will not fit a line."""
    shop = open_demo(demo_folder)
    visit = Visit(received_at=shop.now())
    owner = ((Person(name="A Tester With A Rather Long Name"), ("owns", "may_instruct", "may_collect")),)
    tag = receive_clock(
        shop, Clock(tag="new", name=f"Bracket clock {LONG_WORD}", family="english_fusee_bracket"), visit, owner
    ).tag
    cues = [
        f"00:{5 * k // 60:02d}:{5 * k % 60:02d}.000 --> 00:{(5 * k + 4) // 60:02d}:{(5 * k + 4) % 60:02d}.000\n"
        f"{said.capitalize()}.\n"
        for k, said in enumerate(SAID)
    ]
    hear_captions(shop, tag, ("WEBVTT\n\n" + "\n".join(cues)).encode(), file_name="talk.vtt", by="a tester")
    reading = Measurement(quantity="half_arc", value=2.5, unit="deg", instrument="a paper scale behind the bob")
    add_measurement(shop, tag, reading, by="a tester")
    works = tuple(
        PlannedWork(line=str(k), work=work, component="pivot_hole", of="third_wheel", words=f"{work} the back hole")
        for k, work in enumerate(WORKS)
    )
    price = PriceBand(low_minor=9000, likely_minor=10000, high_minor=11000, ceiling_minor=13000, currency="GBP")
    offered = offer_choices(shop, tag, [Choice(title="Put right: pivot hole", works=works, price=price)])[0]
    consent = Consent(
        choice_id=offered.id,
        person_id=next(iter(clock_page(shop, tag).people)),
        channel="in_person",
        words="Yes.",
        given_at=shop.now(),
        lines=agree_to_all(offered),
    )
    record_consent(shop, tag, consent, by="a tester")
    begin_round(shop, tag, thought="too little power comes through", by="a tester")
    shop.engine.dispose()
    return tag


def pages_of(tag):
    of_the_clock = [f"clock/{tag}/{one}" for one in (*SECTIONS, "confirm", "listen")]
    return ["", "receive", "gone", "recorders", "bench", f"bench/bush?ticket={tag}", *of_the_clock]


@pytest.mark.browser
@pytest.mark.parametrize("screen", SCREENS, ids=lambda one: str(one[0]))
def test_no_control_lies_on_another_and_nothing_sticks_out(served, chromium, tag, screen):
    page = chromium.new_page(viewport={"width": screen[0], "height": screen[1]})
    amiss = {}
    for address in pages_of(tag):
        page.goto(f"{served}{address}")
        page.wait_for_load_state("networkidle")
        for opened in (False, True):
            if opened:
                page.evaluate("document.querySelectorAll('details').forEach((one) => { one.open = true; })")
            found = page.evaluate(MEASURE)
            if found["overlaps"] or found["out"] or found["scrolls"]:
                amiss[f"{address}, {'all opened' if opened else 'as it comes'}"] = found
        if address.endswith("findings"):
            # Derived: forty sentences, each of a part and its state
            assert page.get_by_role("button", name=re.compile("^Accept:")).count() >= len(SAID)
    page.close()

    assert not amiss


@pytest.mark.browser
def test_the_middle_of_every_button_of_a_finding_is_its_own(served, chromium, tag):
    page = chromium.new_page(viewport={"width": 390, "height": 844})
    page.goto(f"{served}clock/{tag}/findings")
    page.wait_for_load_state("networkidle")
    taken = page.eval_on_selector_all(
        ".rows.findings button, .rows.findings summary",
        "all => all.filter((one) => one.checkVisibility()).filter((one) => { one.scrollIntoView({ block: 'center' });"
        " const box = one.getBoundingClientRect();"
        " const hit = document.elementFromPoint(box.left + box.width / 2, box.top + box.height / 2);"
        " return !one.contains(hit); }).map((one) => one.textContent)",
    )
    page.close()

    assert not taken


@pytest.mark.browser
@pytest.mark.parametrize("screen", SCREENS, ids=lambda one: str(one[0]))
@pytest.mark.parametrize("address", ["findings", "movement", "choices", "confirm"])
def test_the_way_to_every_page_stands_at_the_top_with_its_name(served, chromium, tag, screen, address):
    page = chromium.new_page(viewport={"width": screen[0], "height": screen[1]})
    page.goto(f"{served}clock/{tag}/{address}")
    way = page.get_by_role("navigation", name="Pages of this clock")
    if way.locator("summary").is_visible():
        here = SECTIONS["findings" if address == "confirm" else address]
        assert way.locator("summary").inner_text().startswith(here)
        way.locator("summary").click()
    names = way.get_by_role("link").all()
    widths = [one.locator(".name").bounding_box()["width"] for one in names]
    top = way.bounding_box()["y"]
    home = page.get_by_role("link", name="Clocks", exact=True)
    others = [page.get_by_role("link", name=one, exact=True).is_visible() for one in ("Bench sums", "Help")]
    home.click()
    arrived = page.url
    page.close()

    assert [one for one in widths if one > 30] == widths  # Derived: four letters of 17 px type are wider
    assert len(names) == len(SECTIONS)
    assert top < 300  # Derived: less than half of the lowest screen
    assert others == [True, True]
    assert arrived == served


@pytest.mark.parametrize(("section", "following"), list(zip(SECTIONS, list(SECTIONS)[1:], strict=False)))
def test_each_page_ends_with_the_page_that_follows(client, section, following):
    page = client.get(f"/clock/31/{section}").text

    assert f'<a class="button" href="/clock/31/{following}">Next: {SECTIONS[following]}</a>' in page


def test_the_last_page_leads_nowhere_further(client):
    assert "Next: " not in client.get("/clock/31/papers").text
