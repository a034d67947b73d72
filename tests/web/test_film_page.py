"""A look-over handed in as film on the page: laid down as it comes, taken in beside the pages, and what is amiss
said in one sentence.
"""

import re
import threading
from datetime import UTC

import av
import numpy as np
import pytest
from fastapi.testclient import TestClient

from tests.made_films import WORDS, write_film
from underdial.bench.as_found.taking_in import Films
from underdial.bench.demo import open_demo
from underdial.bench.shop import clock_page
from underdial.capture import speech
from underdial.errors import MachineRefused
from underdial.web.app import create_app

TAG = "32"
PRIVATE = WORDS + b"\n00:00:05.100 --> 00:00:05.600\nPrivate.\n\n00:00:05.600 --> 00:00:06.000\nHe owes me money.\n"


@pytest.fixture
def shop(tmp_path):
    return open_demo(tmp_path)


@pytest.fixture
def app(shop):
    return TestClient(create_app(shop), raise_server_exceptions=False)


@pytest.fixture(scope="module")
def film(tmp_path_factory):
    """Six seconds of a drawn picture with a tone; made on 3 May 2026 at ten."""
    return write_film(tmp_path_factory.mktemp("made") / "look.mp4").read_bytes()


@pytest.fixture(scope="module")
def mute(tmp_path_factory):
    """Two seconds of picture without sound."""
    path = tmp_path_factory.mktemp("made") / "mute.mp4"
    with av.open(str(path), "w") as out:
        picture = out.add_stream("mpeg4", rate=10)
        picture.width, picture.height, picture.pix_fmt = 160, 120, "yuv420p"
        for k in range(20):
            for packet in picture.encode(
                av.VideoFrame.from_ndarray(np.full((120, 160, 3), 10 * k, dtype=np.uint8), format="rgb24")
            ):
                out.mux(packet)
        for packet in picture.encode(None):
            out.mux(packet)
    return path.read_bytes()


def hand_in(app, content, captions=None, tag=TAG):
    files = {
        "file": ("look.mp4", content, "video/mp4"),
        **({"captions": ("look.vtt", captions, "text/vtt")} if captions else {}),
    }
    return app.post(f"/clock/{tag}/as-found", files=files, follow_redirects=False)


def over(app, address):
    """The page of a recording once it has ended."""
    for one in threading.enumerate():
        if one.name == "taking in":
            one.join()
    text = app.get(address).text
    assert 'data-over="yes"' in text
    return text


def test_a_film_with_its_captions_becomes_findings_with_stills_and_is_kept(app, shop, film):
    before = clock_page(shop, TAG)
    answer = hand_in(app, film, WORDS)
    text = over(app, answer.headers["location"])
    page = clock_page(shop, TAG)
    new = [one for one in page.findings if one.id not in {other.id for other in before.findings}]

    assert {one.component for one in new} == {"pivot", "crutch"}
    assert all(any(proof.kind == "picture" for proof in one.evidence) for one in new)
    assert "2 findings" in text
    assert "2 stills" in text
    look_over = page.look_overs[-1]
    assert next(one for one in page.attachments if one.id == look_over.attachment_id).kind == "film"
    # Derived: written into the film above
    assert f"{look_over.begins_at.astimezone(UTC):%Y-%m-%d %H:%M}" == "2026-05-03 10:00"
    shown = app.get(f"/clock/{TAG}/confirm?finding={new[0].id}").text
    assert "<video" in shown
    # The sharpest picture stands there until the film is played; an address with a time in it would show another.
    assert re.search(r'<video[^>]* src="/clock/32/recording/[^"#]*"[^>]* poster="/clock/32/picture/', shown)
    asfound = app.get(f"/clock/{TAG}/as-found").text
    assert f'src="/clock/{TAG}/recording/{look_over.attachment_id}"' in asfound


def test_a_kept_film_is_sent_by_the_piece_that_is_asked_for(app, shop, film):
    over(app, hand_in(app, film, WORDS).headers["location"])
    kept = next(one for one in clock_page(shop, TAG).attachments if one.kind == "film")
    answer = app.get(f"/clock/{TAG}/recording/{kept.id}", headers={"Range": "bytes=10-19"})

    assert (answer.status_code, answer.content) == (206, film[10:20])  # Source: RFC 9110, section 15.3.7


def test_a_film_with_something_private_in_it_is_not_kept(app, shop, film):
    over(app, hand_in(app, film, PRIVATE, "33").headers["location"])
    page = clock_page(shop, "33")

    assert page.look_overs[-1].attachment_id is None
    assert not any(one.kind == "film" for one in page.attachments)
    assert not any("owes" in (one.words or "") for one in page.findings)


def test_a_film_without_sound_is_kept_and_said_so(app, shop, mute, monkeypatch):
    monkeypatch.setattr(speech, "free_recogniser_there", lambda: True)
    address = app.post(f"/clock/{TAG}/film?name=mute.mp4", content=mute).json()["to"]
    text = over(app, address)

    assert "mute.mp4 has no sound, so nothing was said in it." in text
    assert "The film is kept with the clock; there are no findings in it." in text
    kept = clock_page(shop, TAG).attachments[-1]
    assert kept.name == "mute.mp4"
    shown = app.get(f"/clock/{TAG}/as-found").text
    assert "mute.mp4: a film in which nobody speaks." in shown
    assert f"/clock/{TAG}/recording/{kept.id}" in shown


@pytest.mark.parametrize(
    ("name", "content", "says"),
    [
        ("look.mp4", b"no film", "broken or no recording"),
        ("look.mp4", b"", "is empty"),
        ("look.exe", b"x", "neither captions nor sound nor film"),
    ],
)
def test_what_is_no_film_is_refused_in_one_sentence_and_nothing_is_left_lying(
    app, shop, monkeypatch, name, content, says
):
    monkeypatch.setattr(speech, "free_recogniser_there", lambda: True)
    before = clock_page(shop, TAG).record_sha256
    answer = app.post(f"/clock/{TAG}/film?name={name}", content=content)

    assert answer.status_code == 422  # Source: RFC 9110, section 15.5.21
    assert says in answer.text
    assert clock_page(shop, TAG).record_sha256 == before
    assert not list((shop.folder / ".incoming").rglob("look.*"))


def test_without_a_recogniser_a_film_needs_captions_and_is_told_so_before_it_is_sent(app, monkeypatch, film):
    monkeypatch.setattr(speech, "free_recogniser_there", lambda: False)
    answer = app.post(f"/clock/{TAG}/film?name=look.mp4", content=film)

    assert answer.status_code == 507  # Source: RFC 4918, section 11.5
    assert "give the captions another recogniser made" in answer.text
    assert "has no recogniser for free talk" in app.get(f"/clock/{TAG}/as-found").text


def test_a_recording_that_is_stopped_before_it_is_heard_leaves_nothing(shop, film):
    films = Films(shop)
    before = clock_page(shop, TAG).record_sha256
    path = films.place(TAG, "look.mp4", has_captions=True)
    path.write_bytes(film)
    with films.one_at_a_time:
        word = films.begin(TAG, path, name="look.mp4", captions_text=WORDS)
        waits = films.find(TAG, word).doing
        films.stop(TAG, word)
    for one in threading.enumerate():
        if one.name == "taking in":
            one.join()

    assert waits == "waits"
    assert "was stopped" in (films.find(TAG, word).refused or "")
    assert clock_page(shop, TAG).record_sha256 == before
    assert not path.exists()


def test_a_recording_that_would_not_fit_on_the_disk_is_refused_before_it_comes(shop):
    with pytest.raises(MachineRefused, match="GB are free"):
        Films(shop).place(TAG, "look.mp4", has_captions=True, size_bytes=10**18)


def test_an_address_that_was_forgotten_says_where_to_look(app):
    answer = app.get(f"/clock/{TAG}/film/0123")

    assert answer.status_code == 404  # Source: RFC 9110, section 15.5.5
    assert "As found" in answer.text


@pytest.mark.browser
def test_the_page_sends_a_film_shows_how_far_it_is_and_ends_at_the_findings(served, chromium, tmp_path, film):
    words = tmp_path / "look.vtt"
    words.write_bytes(WORDS)
    recording = tmp_path / "look.mp4"
    recording.write_bytes(film)
    page = chromium.new_page(viewport={"width": 1024, "height": 768})
    amiss: list[str] = []
    page.on("console", lambda one: amiss.append(one.text) if one.type == "error" else None)
    page.goto(f"{served}clock/32/as-found")
    page.set_input_files("#file", str(recording))
    page.set_input_files("#captions", str(words))
    page.get_by_role("button", name="Take it in").click()
    page.get_by_role("link", name="Read them through").wait_for(timeout=60000)

    assert re.search(r"2 findings and 2 stills", page.locator("h1").inner_text())
    page.get_by_role("link", name="Read them through").click()
    page.locator("#player").wait_for()
    assert not amiss
    page.close()


def test_captions_that_pause_and_never_carry_on_are_taken_with_a_word_about_it(app):
    captions = "WEBVTT\n\n" + "\n".join(
        f"00:{at:02d}.000 --> 00:{at + 3:02d}.000\n{words}\n"
        for at, words in ((1, "The dial is cracked."), (5, "Pause."), (9, "The minute hand is bent."))
    )
    answer = app.post(f"/clock/{TAG}/as-found", files={"file": ("look.vtt", captions, "text/vtt")})

    # Derived: the pause begins at the fifth second.
    assert "“Pause” was said at 0:05 and “carry on” never after: nothing behind it was taken." in answer.text
    assert "nothing behind it was taken" not in app.get(f"/clock/{TAG}/findings").text


def test_a_film_that_pauses_and_never_carries_on_says_so_once(app, film):
    captions = (
        WORDS + b"\n00:00:05.100 --> 00:00:05.600\nPause.\n\n00:00:05.600 --> 00:00:06.000\nThe dial is cracked.\n"
    )

    # Derived: the pause begins in the sixth second.
    assert (
        over(app, hand_in(app, film, captions).headers["location"]).count(
            "“Pause” was said at 0:05 and “carry on” never after"
        )
        == 1
    )


def test_a_film_that_its_camera_never_finished_is_kept_and_named_with_what_to_do(app, shop, film, monkeypatch):
    monkeypatch.setattr(speech, "free_recogniser_there", lambda: True)
    half = film[: len(film) // 2]
    answers = [app.post(f"/clock/{TAG}/film?name=bench.mp4", content=half) for _ in range(2)]
    kept = [one for one in clock_page(shop, TAG).attachments if one.name == "bench.mp4"]
    shown = app.get(f"/clock/{TAG}/as-found").text

    assert [one.status_code for one in answers] == [422, 422]  # Source: RFC 9110, section 15.5.21
    assert "bench.mp4 was not finished by the camera" in answers[0].text
    assert "It is kept with the clock as it came." in answers[0].text
    assert len(kept) == 1
    assert "bench.mp4 was not finished by its camera" in shown
    assert app.get(f"/clock/{TAG}/file/{kept[0].id}").content == half
    assert not list((shop.folder / ".incoming").rglob("*.mp4"))
