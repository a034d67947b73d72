"""What was heard in doubt waits apart, becomes a finding when somebody says so, and enters nothing before."""

from __future__ import annotations

import pytest
from fastapi.testclient import TestClient

from underdial.bench.as_found.confirming import undo
from underdial.bench.as_found.doubting import doubts_of, take_up
from underdial.bench.as_found.hearing import hear_captions, hear_words
from underdial.bench.as_found.looking import take_in_look_over
from underdial.bench.as_found.lookover import answer_of, in_words
from underdial.bench.demo import open_demo
from underdial.bench.shop import clock_page
from underdial.errors import NotFound
from underdial.record.finding import Finding
from underdial.record.look_over import LookOver, Stretch
from underdial.telling import look_over
from underdial.telling.speech import captions
from underdial.web.app import create_app

TAG = "31"
# Source: the words; the grammar takes the number for out of beat, and both readings together do not.
DOUBTFUL = "The beat error is eighty milliseconds."
SPOKEN = f"WEBVTT\n\n00:01.000 --> 00:05.000\n{DOUBTFUL}\n"


@pytest.fixture
def shop(tmp_path):
    return open_demo(tmp_path)


def beat(shop):
    return [one for one in doubts_of(clock_page(shop, TAG)) if "out of beat" in one.sentence.lower()]


def written(shop):
    return [one for one in clock_page(shop, TAG).findings if one.condition == "out_of_beat"]


def test_a_doubt_is_no_finding_until_it_is_said_to_be_so(shop):
    before = written(shop)
    taken = hear_captions(shop, TAG, SPOKEN.encode(), file_name="spoken.vtt")
    (doubt,) = beat(shop)
    assert (taken.findings, written(shop)) == ((), before)
    assert doubt.words in SPOKEN
    kept = take_up(shop, TAG, doubt.key)
    assert (kept.standing, kept.evidence[-1].source) == ("confirmed", taken.look_over.id)
    assert (beat(shop), written(shop)) == ([], [*before, kept])
    # The look-over itself is as it was taken in.
    assert clock_page(shop, TAG).look_overs[-1] == taken.look_over


def test_what_is_taken_up_can_be_taken_back(shop):
    hear_words(shop, TAG, DOUBTFUL)
    (doubt,) = beat(shop)
    kept = take_up(shop, TAG, doubt.key)
    assert undo(shop, TAG) == kept.id
    assert [one.standing for one in written(shop)] == ["rejected"]
    assert beat(shop) == [doubt]


def test_a_doubt_is_written_once(shop):
    hear_words(shop, TAG, DOUBTFUL)
    (doubt,) = beat(shop)
    take_up(shop, TAG, doubt.key)
    with pytest.raises(NotFound, match="doubt: it is written already"):
        take_up(shop, TAG, doubt.key)


def test_what_was_said_in_private_is_not_in_doubt_either(shop):
    said = [
        Finding(component="bell", condition="cracked", state="present", start_s=start_s, end_s=start_s + 1.0)
        for start_s in (2.0, 6.0)
    ]
    private = (Stretch(start_s=5.0, end_s=9.0),)
    look_over = LookOver(taken_at=shop.now(), by="repairer", private=private, in_doubt=tuple(said))
    kept = take_in_look_over(shop, TAG, look_over, []).look_over
    assert kept.in_doubt == (said[0],)


def test_the_page_writes_it_by_a_touch(shop):
    hear_captions(shop, TAG, SPOKEN.encode(), file_name="spoken.vtt")
    (doubt,) = beat(shop)
    app = TestClient(create_app(shop), raise_server_exceptions=False)
    page = app.get(f"/clock/{TAG}/confirm").text
    assert "Heard, too doubtful to write" in page
    assert doubt.sentence in page
    answer = app.post(f"/clock/{TAG}/confirm/doubt/{doubt.key}/so", data={"once": "word-of-a-tablet"})
    again = app.post(f"/clock/{TAG}/confirm/doubt/{doubt.key}/so", data={"once": "word-of-a-tablet"})
    # Derived: the second is the first sent once more, so it is done once and answered alike.
    assert (answer.status_code, again.status_code) == (200, 200)
    assert len([one for one in written(shop) if one.standing == "confirmed"]) == 1
    late = app.post(f"/clock/{TAG}/confirm/doubt/{doubt.key}/so")
    assert late.status_code == 404
    assert "written already" in late.text


def test_the_command_line_names_what_is_in_doubt():
    answer = answer_of(look_over.read(captions.parse(SPOKEN, name="spoken.vtt")))
    assert [one["condition"] for one in answer["in_doubt"]] == ["out_of_beat"]
    assert "in doubt: 00:01  movement: out of beat" in in_words(answer)


def test_the_findings_say_how_many_are_in_doubt(shop):
    hear_captions(shop, TAG, SPOKEN.encode(), file_name="spoken.vtt")
    app = TestClient(create_app(shop), raise_server_exceptions=False)
    more = len(doubts_of(clock_page(shop, TAG)))
    said = f"{more} more {'was' if more == 1 else 'were'} heard, too doubtful to write"
    assert said in app.get(f"/clock/{TAG}/findings").text
