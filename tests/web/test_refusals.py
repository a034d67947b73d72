"""What is refused is told in our own sentence where it was asked: by a form, and by a part of a page that waited for
it.
"""

import pytest

from underdial.bench.demo import open_demo
from underdial.bench.shop import clock_page, job
from underdial.record.measurement import Measurement
from underdial.web.refusals import form_sentence
from underdial.web.sheet import templates

OK, UNPROCESSABLE, NOT_FOUND = 200, 422, 404
LETTERS = "a" * 250
TAG = "32"


@pytest.fixture(scope="module")
def unbelievable(demo_folder):
    """The clock holds a reading that no clock gives, as an older release let it be written; its id."""
    shop = open_demo(demo_folder)
    with job(shop, TAG, by="repairer") as at:
        kept = at.add(
            Measurement(quantity="half_arc", value=400.0, unit="deg", standing="confirmed", visit_id=at.visit_id)
        )
    yield kept.id
    with job(shop, TAG, by="repairer") as at:
        at.change(
            Measurement(
                quantity="half_arc", value=4.0, unit="deg", standing="rejected", id=kept.id, visit_id=at.visit_id
            )
        )
    shop.engine.dispose()


@pytest.mark.parametrize(
    ("address", "data", "sentence"),
    [
        ("/lamp", {"lamp": "purple"}, "lamp: purple will not do; allowed: day, night, machine."),
        (
            "/clock/31/findings",
            {"component": "pivot"},
            "state: nothing is written there; write a state of a part, such as worn.",
        ),
        (
            "/clock/31/findings",
            {"component": LETTERS, "condition": "worn"},
            f"component: {LETTERS[:60]}… will not do; allowed: up to 200 letters.",
        ),
        ("/clock/31/listen/live", {"sample_hz": "abc"}, "sample hz: abc will not do; allowed: a whole number."),
        ("/clock/31/listen/live", {"sample_hz": "0"}, "sample hz: 0 will not do; allowed: 1 or more."),
        ("/clock/31/as-found", {"file": "words"}, "file: words will not do; allowed: a file."),
        ("/clock/31/release", {}, "Who collects it: nothing was given; allowed: something has to stand there."),
        ("/clock/31/agreed", {}, "The choice: nothing was given; allowed: something has to stand there."),
        (
            "/clock/31/picture/x/mark",
            {"kind": "ring", "x": "nan", "y": "0.5"},
            "x: nan will not do; allowed: 1 or less.",
        ),
        (
            "/clock/31/picture/x/mark",
            {"kind": "ring", "x": "left", "y": "0.5"},
            "x: left will not do; allowed: a number.",
        ),
    ],
)
def test_what_a_form_refuses_is_said_in_our_own_sentence(client, address, data, sentence):
    answer = client.post(address, data=data)

    assert answer.status_code == UNPROCESSABLE
    # Derived: the limits stand in the signature of the form
    assert f'<p class="wrong words">{sentence}</p>' in answer.text


def test_a_kind_of_refusal_nobody_thought_of_still_names_field_and_value():
    said = form_sentence(
        {"type": "url_parsing", "loc": ("body", "old_part"), "input": "  \n ", "msg": "Input should be a valid URL"}
    )

    assert said == "old part: nothing will not do; allowed: what the page asks for."


def test_a_part_of_a_page_is_told_its_refusal_as_a_part_with_the_way_to_put_it_right(client, unbelievable):
    asked = f"/clock/{TAG}/wrong/answer"
    part = client.get(asked, headers={"hx-request": "true", "hx-target": "answer"})

    assert part.status_code == UNPROCESSABLE
    assert part.text.startswith('<div id="answer"')
    assert "<html" not in part.text
    assert "Measurements: a half arc of 400 deg cannot be; allowed: above 0 to 360 deg." in part.text
    assert f'href="/clock/{TAG}/measurements"' in part.text
    assert "<html" in client.get(asked).text


def test_a_reading_is_rejected_on_its_page_and_used_after_all(client, demo_folder):
    client.post("/clock/33/measurements", data={"quantity": "half arc", "value": "2.5", "unit": "deg"})
    kept = clock_page(open_demo(demo_folder), "33").measurements[-1]
    page = client.post(f"/clock/33/measurements/{kept.id}/reject").text
    assert 'aria-label="Use it after all: half arc, 2.5 deg"' in page
    assert 'aria-label="Reject: half arc, 2.5 deg"' not in page

    assert 'aria-label="Reject: half arc, 2.5 deg"' in client.post(f"/clock/33/measurements/{kept.id}/use").text
    assert client.post(f"/clock/33/measurements/{kept.id}/forget").status_code == NOT_FOUND
    client.post(f"/clock/33/measurements/{kept.id}/reject")


def test_a_figure_no_clock_gives_is_refused_and_not_kept(client, demo_folder):
    before = clock_page(open_demo(demo_folder), "33").measurements
    answer = client.post("/clock/33/measurements", data={"quantity": "half arc", "value": "400", "unit": "deg"})

    assert answer.status_code == UNPROCESSABLE
    assert "value: a half arc of 400 deg cannot be; allowed: above 0 to 360 deg." in answer.text
    assert clock_page(open_demo(demo_folder), "33").measurements == before


@pytest.mark.browser
@pytest.mark.parametrize(("section", "part"), [("wrong", "#answer"), ("findings", "main")])
def test_a_page_that_waits_shows_the_refusal_and_the_reading_can_be_rejected(
    served, chromium, unbelievable, section, part
):
    page = chromium.new_page()
    page.goto(f"{served}clock/{TAG}/{section}")
    page.locator(f"{part} .wrong", has_text="a half arc of 400 deg cannot be").wait_for()

    assert page.locator("h1").count() == 1  # Derived: a page has one head
    assert "Working it out" not in page.locator("main").inner_text()
    page.get_by_role("link", name="Put it right on Measurements").click()
    row = page.locator("tr", has_text="400 deg")
    assert "A half arc of 400 deg cannot be" in row.inner_text()
    # Source: docs/reference/look.md: what is touched is 56 px at least
    assert min(row.get_by_role("button").bounding_box()[side] for side in ("width", "height")) >= 55.5
    page.close()


def test_a_field_is_called_what_its_page_calls_it(client):
    nameless = client.post("/receive", data={"name": " ", "words": "it stops"})
    formula = client.get("/handbook/pendulum_length?beats_per_hour=-5")

    assert "What it is: " in nameless.text
    assert "Beats per hour: -5 1/h is outside the range in which this holds, 0.5 to 1000000 1/h." in formula.text


def test_a_unit_of_two_words_stays_on_one_line():
    unbroken = templates.env.filters["unbroken"]

    assert unbroken("23.02 µN m a radian, 3 N m, 5 g cm²") == "23.02 µN\u00a0m a radian, 3 N m, 5 g\u00a0cm²"
