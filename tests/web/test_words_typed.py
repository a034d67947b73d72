"""A look-over that is typed or pasted: read as a file of plain text is, and led on to be read through."""

import re

import pytest
from fastapi.testclient import TestClient

from underdial.bench.as_found.confirming import confirm_page
from underdial.bench.as_found.hearing import hear_captions
from underdial.bench.demo import open_demo
from underdial.bench.shop import clock_page
from underdial.web.app import create_app

UNPROCESSABLE = 422
SAID = (
    "Third wheel front pivot is scored, back hole worn oval, I'd say. Mainspring is set. "
    "Private. He owes me for the last one. Carry on. The click spring is weak."
)


@pytest.fixture
def shop(tmp_path):
    return open_demo(tmp_path)


@pytest.fixture
def app(shop):
    return TestClient(create_app(shop), raise_server_exceptions=False)


def receive(app):
    answer = app.post("/receive", data={"name": "Bracket clock"}, follow_redirects=False)
    return answer.headers["location"].split("/")[2]


def read_as(findings):
    return [(one.component, one.of, one.place, one.condition, one.certainty) for one in findings]


def test_words_typed_are_read_as_a_file_of_plain_text_is_and_lead_to_reading_through(app, shop):
    typed, handed_in = receive(app), receive(app)
    answer = app.post(f"/clock/{typed}/as-found/words", data={"words": SAID}, follow_redirects=False)
    hear_captions(shop, handed_in, SAID.encode(), file_name="said.txt")
    found = clock_page(shop, typed).findings

    assert answer.headers["location"] == f"/clock/{typed}/confirm"
    assert read_as(found) == read_as(clock_page(shop, handed_in).findings)
    assert {one.component for one in found} >= {"pivot", "pivot_hole", "mainspring", "click_spring"}
    assert {one.standing for one in found} == {"heard"}


def test_five_thousand_words_are_taken_in_at_once(app, shop):
    tag = receive(app)
    lines = "\n".join(f"Pivot of the {one} wheel is scored." for one in ("second", "third", "fourth")) + "\n"
    talk = "\n".join("So I went on looking round it and then put it down again." for _ in range(400))
    answer = app.post(f"/clock/{tag}/as-found/words", data={"words": lines + talk}, follow_redirects=False)

    assert len(talk.split()) > 5000  # Derived: 400 lines of 13 words are 5200
    assert answer.headers["location"] == f"/clock/{tag}/confirm"
    # Derived: three sentences of a part, one finding each
    assert [one.of for one in clock_page(shop, tag).findings] == ["second_wheel", "third_wheel", "fourth_wheel"]


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        ("  ", "words: nothing is written there; paste or type what you saw."),
        ("Lunch at one, then the dentist.", "words: nothing in what was typed speaks of a part of a clock."),
        # Derived: one letter more than the page takes
        ("x" * 200_001, "words: these are 200001 letters; hand in up to 200000 at a time."),
    ],
)
def test_words_that_tell_of_no_part_are_refused_in_one_sentence_and_nothing_is_kept(app, shop, words, sentence):
    tag = receive(app)
    answer = app.post(f"/clock/{tag}/as-found/words", data={"words": words})
    page = clock_page(shop, tag)

    assert answer.status_code == UNPROCESSABLE
    assert sentence in answer.text  # Derived: one letter more than the page takes is too many
    assert not page.look_overs
    assert not page.attachments
    assert page.visit.stage == "received"


def test_words_without_times_name_no_time_and_hatch_no_strip(app, shop):
    tag = receive(app)
    app.post(f"/clock/{tag}/as-found/words", data={"words": SAID})
    page = clock_page(shop, tag)
    shown = confirm_page(shop, page)
    text = app.get(f"/clock/{tag}/confirm").text

    assert shown is not None
    assert shown.mergeable
    assert page.look_overs[0].private
    assert shown.private == ()
    assert shown.scale == ()
    assert 'class="private"' not in text
    assert "Same as “" in text
    assert not re.search(r"Same as\s*:", text)
    assert "He owes me" not in text


def test_each_look_over_without_times_has_the_whole_strip(app, shop):
    tag = receive(app)
    app.post(f"/clock/{tag}/as-found/words", data={"words": "The click spring is weak."})
    app.post(f"/clock/{tag}/as-found/words", data={"words": "The mainspring is set. The bezel is bent."})
    page = clock_page(shop, tag)
    last = next(one for one in page.findings if one.component == "bezel")
    shown = confirm_page(shop, page, last.id)

    assert shown is not None
    # Derived: two findings stand in the middle of the halves of the strip
    assert [tick.x_ratio for tick in shown.ticks] == pytest.approx([0.25, 0.75])


def test_words_that_are_refused_stand_in_their_box_as_they_were_written(app):
    tag, words = receive(app), "Lunch at one, then the dentist. " * 900
    answer = app.post(f"/clock/{tag}/as-found/words", data={"words": words}, headers={"accept": "text/html"})

    assert answer.status_code == UNPROCESSABLE
    box = re.search(r'<textarea id="words"[^>]*>\n(.*?)</textarea>', answer.text, re.DOTALL)
    assert box is not None
    assert box.group(1) == words
