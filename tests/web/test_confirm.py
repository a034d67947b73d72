"""Reading a look-over through: each deed is kept as it is done, taken back by undo, and the page can be used by
thumb, key and ear.
"""

import re
import shutil
import subprocess
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta

import numpy as np
import pytest
import soundfile
from fastapi.testclient import TestClient

from underdial.bench.as_found import looking
from underdial.bench.as_found.confirming import bracketed, confirm_page, merge_findings, pick, split_finding, undo
from underdial.bench.as_found.hearing import hear_captions
from underdial.bench.as_found.looking import confirm_finding, correct_finding, reject_finding
from underdial.bench.demo import open_demo
from underdial.bench.shop import clock_page
from underdial.errors import MachineRefused, RuleBroken
from underdial.record.finding import Finding
from underdial.web.app import create_app

TAG = "31"
LEAST_TOUCH_PX, LEAST_DECIDE_PX, REACH_PX = 56, 72, 300  # Source: the look, section 6 (room and hand)


@pytest.fixture(scope="module")
def shop(tmp_path_factory):
    return open_demo(tmp_path_factory.mktemp("confirm"))


@pytest.fixture
def app(shop):
    return TestClient(create_app(shop), raise_server_exceptions=False)


def first(shop):
    shown = confirm_page(shop, clock_page(shop, TAG))
    assert shown is not None
    return shown.finding


def finding(shop, finding_id):
    return next(one for one in clock_page(shop, TAG).findings if one.id == finding_id)


def test_undo_takes_back_one_deed_at_a_time_newest_first(shop):
    one = first(shop)
    confirm_finding(shop, TAG, one.id)
    pick(shop, TAG, one.id, field="condition", value="dirty")
    assert finding(shop, one.id).condition == "dirty"

    undo(shop, TAG)
    assert (finding(shop, one.id).condition, finding(shop, one.id).standing) == (one.condition, "confirmed")
    undo(shop, TAG)
    assert finding(shop, one.id) == one
    assert undo(shop, TAG) is None


def test_a_hedge_can_be_picked_lower_and_never_higher(shop):
    one = first(shop)
    pick(shop, TAG, one.id, field="certainty", value="0.4")

    # Derived: the hedge goes down to 0.4 and not back up
    with pytest.raises(RuleBroken, match="certainty"):
        pick(shop, TAG, one.id, field="certainty", value="0.9")
    undo(shop, TAG)


def test_merged_findings_are_one_with_both_times_and_come_apart_again(shop):
    page = clock_page(shop, TAG)
    shown = confirm_page(shop, page)
    one, other = shown.finding, finding(shop, shown.following.id)

    kept = merge_findings(shop, TAG, one.id, other.id)
    assert other.start_s in kept.also_s
    assert kept.certainty == min(one.certainty, other.certainty)
    assert finding(shop, other.id).standing == "rejected"

    undo(shop, TAG)
    assert (finding(shop, one.id), finding(shop, other.id)) == (one, other)


def test_a_finding_split_in_two_can_be_put_right_on_its_own(shop):
    one = first(shop)
    second = split_finding(shop, TAG, one.id)
    pick(shop, TAG, second.id, field="place", value="left")

    assert finding(shop, one.id) == one
    assert (second.words, second.start_s, finding(shop, second.id).place) == (one.words, one.start_s, "left")
    undo(shop, TAG)
    undo(shop, TAG)
    assert finding(shop, second.id).standing == "rejected"


def test_a_finding_is_played_from_its_own_look_over(shop):
    hear_captions(shop, "33", b"WEBVTT\n\n00:00:02.000 --> 00:00:04.000\nThe bell is cracked.\n", file_name="again.vtt")
    page = clock_page(shop, "33")
    new = next(one for one in page.findings if one.component == "bell" and one.condition == "cracked")
    shown = confirm_page(shop, page, new.id)

    assert [tick.id for tick in shown.ticks] == [new.id]
    assert shown.before is not None
    # Derived: all the others are of the first look-over
    assert len(confirm_page(shop, page, page.findings[0].id).ticks) == len(page.findings) - 1
    assert shown.left_count == len(page.findings)


def test_why_a_part_was_not_examined_is_picked_as_one_of_three(app, shop):
    one = first(shop)
    for why, words in (
        ("not_looked_at", "not looked at"),
        ("could_not_be_reached", "could not be reached"),
        ("not_tested_yet", "not tested yet"),
    ):
        pick(shop, TAG, one.id, field="state", value=why)
        assert (finding(shop, one.id).state, finding(shop, one.id).why) == ("not_examined", why)
        assert f": {words}." in app.get(f"/clock/{TAG}/confirm?finding={one.id}").text

    pick(shop, TAG, one.id, field="condition", value="not_accessible")
    assert finding(shop, one.id).why == "could_not_be_reached"
    # A part that was not examined is offered no state that somebody would have had to see.
    lists = confirm_page(shop, clock_page(shop, TAG), one.id).lists
    assert [key for _, key in lists["condition"]] == ["not_accessible", "unexamined", "not_tested"]
    for _ in range(4):
        undo(shop, TAG)
    assert finding(shop, one.id) == one


def test_what_a_finding_may_be_the_same_as_begins_with_its_own_part(shop):
    hear_captions(
        shop,
        "32",
        b"WEBVTT\n\n00:00:02.000 --> 00:00:04.000\nThe crutch is loose. The bell is cracked. The bob is dented. The "
        b"click is worn.\n\n00:00:04.000 --> 00:00:09.000\nThe hammer is bent. The dial is faded. The fly is loose. "
        b"The gong is cracked. The crutch is bent.\n",
        file_name="twice.vtt",
    )
    page = clock_page(shop, "32")
    last = next(one for one in page.findings if (one.component, one.condition) == ("crutch", "bent"))

    shown = confirm_page(shop, page, last.id)
    assert "crutch" in shown.mergeable[0].sentence


def test_a_finding_written_by_hand_says_why_a_part_was_not_examined(app, shop):
    for why in ("not_looked_at", "could_not_be_reached", "not_tested_yet"):
        app.post(f"/clock/{TAG}/findings", data={"component": "suspension spring", "state": why})
        assert clock_page(shop, TAG).findings[-1].why == why


def test_words_are_bracketed_by_what_they_were_taken_for():
    one = Finding(
        component="pivot",
        condition="scored",
        state="present",
        of="third_wheel",
        place="front",
        certainty=0.7,
        significance="stops",
        words="Third wheel. Front pivot's scored, I'd say. That's what stops it.",
    )
    spans = bracketed(one)

    assert "".join(span.text for span in spans) == one.words
    assert {span.taken_for for span in spans} == {"", "part", "of", "condition", "place", "how sure", "matters"}
    assert next(span.text for span in spans if span.taken_for == "how sure") == "I'd say"


def test_a_guess_is_told_until_the_right_word_is_picked(app, shop):
    one = first(shop)
    correct_finding(shop, TAG, one.id, {"guess": "rocks taken as loose of pivot", "standing": "heard"})
    assert "A guess: rocks taken as loose of pivot." in app.get(f"/clock/{TAG}/confirm?finding={one.id}").text

    pick(shop, TAG, one.id, field="condition", value="worn")
    assert finding(shop, one.id).guess is None
    assert "A guess:" not in app.get(f"/clock/{TAG}/confirm?finding={one.id}").text
    undo(shop, TAG)


def test_each_deed_goes_on_to_the_next_that_waits(app, shop):
    one = first(shop)
    answer = app.post(f"/clock/{TAG}/confirm/{one.id}/accept")

    assert answer.status_code == 200  # Source: RFC 9110, section 15.3.1, after the redirect
    assert one.id not in str(answer.url)
    assert finding(shop, one.id).standing == "confirmed"
    app.post(f"/clock/{TAG}/confirm/undo")
    assert finding(shop, one.id).standing == "heard"


def test_a_deed_that_is_sent_twice_is_done_once(app, shop):
    one = first(shop)
    before = len(clock_page(shop, TAG).findings)
    for _ in range(2):
        app.post(f"/clock/{TAG}/confirm/{one.id}/split", data={"once": "a1b2"})

    assert len(clock_page(shop, TAG).findings) == before + 1
    undo(shop, TAG)


def test_a_deed_that_could_not_be_written_is_done_when_it_is_sent_again(app, shop, monkeypatch):
    one = first(shop)
    full = MachineRefused("disk", "full", "room on the disk", "disk: it is full; make room.")
    with monkeypatch.context() as broken:
        broken.setattr(looking, "confirm_finding", lambda *_, **__: (_ for _ in ()).throw(full))
        # Source: RFC 4918, section 11.5
        assert app.post(f"/clock/{TAG}/confirm/{one.id}/accept", data={"once": "c3d4"}).status_code == 507
    app.post(f"/clock/{TAG}/confirm/{one.id}/accept", data={"once": "c3d4"})

    assert finding(shop, one.id).standing == "confirmed"
    undo(shop, TAG)


def test_a_deed_sent_twice_at_once_is_done_once(app, shop):
    one = first(shop)
    before = len(clock_page(shop, TAG).findings)
    with ThreadPoolExecutor(4) as tablets:
        answers = list(
            tablets.map(
                lambda _: app.post(
                    f"/clock/{TAG}/confirm/{one.id}/split", data={"once": "e5f6"}, follow_redirects=False
                ),
                range(4),
            )
        )

    assert len(clock_page(shop, TAG).findings) == before + 1
    # Derived: each is led to the one finding that was made
    assert len({one.headers["location"] for one in answers}) == 1
    undo(shop, TAG)


@pytest.mark.parametrize(
    ("path", "words"), [("confirm?finding=none", "no such finding"), ("recording/none", "no such file")]
)
def test_what_is_not_there_is_said_in_one_sentence(app, path, words):
    answer = app.get(f"/clock/{TAG}/{path}")

    assert answer.status_code == 404  # Source: RFC 9110, section 15.5.5
    assert words in answer.text


def test_a_line_that_is_no_line_is_refused_and_nothing_is_kept(app, shop):
    before = clock_page(shop, TAG).findings
    for answer in (
        app.post(f"/clock/{TAG}/confirm/line", content=b"no sound"),
        app.post(f"/clock/{TAG}/confirm/line/keep", data={"text": "the weather is fine"}),
    ):
        assert answer.status_code == 422  # Source: RFC 9110, section 15.5.21
    assert clock_page(shop, TAG).findings == before


def test_a_tray_that_was_read_back_is_kept_where_things_are(app, shop):
    answer = app.post(f"/clock/{TAG}/confirm/line/keep", data={"text": "front pivot third arbor tray three"})

    assert answer.status_code == 200  # Source: RFC 9110, section 15.3.1
    assert [(one.where, one.what) for one in clock_page(shop, TAG).custody] == [
        ("tray three", "front pivot of the third wheel")
    ]
    assert "Tray three, since" in app.get(f"/clock/{TAG}/received").text


def test_hours_said_to_the_tablet_are_counted_once_from_when_they_were_said(app, shop):
    said_at = shop.now() - timedelta(minutes=50)

    def say(deed, at, once):
        return app.post(f"/clock/{TAG}/confirm/hours/{deed}", data={"once": once, "done_at": at.isoformat()})

    first_said = say("start", said_at, "a")
    again = say("start", said_at, "a")
    stopped = say("stop", said_at + timedelta(minutes=20), "b")

    # Source: RFC 9110, section 15.3.1; one that a tablet sends again is no second count.
    assert [one.status_code for one in (first_said, again, stopped)] == [200, 200, 200]
    (counted,) = clock_page(shop, TAG).hours
    # Derived: twenty minutes lie between the two words.
    assert (counted.began_at, counted.ended_at, counted.how) == (said_at, said_at + timedelta(minutes=20), "said")
    assert "20 minutes" in app.get(f"/clock/{TAG}/work").text
    refused = say("stop", said_at, "c")
    assert refused.status_code == 409  # Source: RFC 9110, section 15.5.10
    assert "none are being counted" in refused.text


def test_a_rejected_finding_leaves_the_page_usable_when_it_was_the_last(app, shop):
    one = first(shop)
    reject_finding(shop, TAG, one.id)

    assert app.get(f"/clock/{TAG}/confirm?finding={one.id}").status_code == 200  # Source: RFC 9110, section 15.3.1
    undo(shop, TAG)


@pytest.mark.browser
@pytest.mark.parametrize("hand", ["right", "left"])
def test_what_is_touched_is_large_and_what_decides_lies_under_the_thumb(served, chromium, hand):
    page = tablet(chromium, served, hand)
    sizes = page.evaluate(
        "[...document.querySelectorAll('main button, main .button, main select')].filter(e => e.offsetParent).map(e "
        "=> { const r = e.getBoundingClientRect(); return [r.width, r.height, r.left, r.right, "
        "e.matches('.decide')]; })"
    )

    # Derived: half a point for rounding
    assert all(width >= LEAST_TOUCH_PX - 0.5 and height >= LEAST_TOUCH_PX - 0.5 for width, height, *_ in sizes)
    decides = [one for one in sizes if one[4]]
    assert len(decides) == 3  # Derived: reject, correct, accept
    assert all(one[1] >= LEAST_DECIDE_PX - 0.5 for one in decides)  # Derived: the same
    assert all((1024 - one[2] if hand == "right" else one[3]) <= REACH_PX for one in decides)
    page.context.close()


@pytest.mark.browser
def test_keys_accept_undo_and_go_on_and_nothing_is_asked_from_elsewhere(served, chromium):
    page = tablet(chromium, served, "right", TAG)
    asked: list[str] = []
    page.on("request", lambda one: asked.append(one.url))
    start = page.locator("#confirm").get_attribute("data-finding")
    page.keyboard.press("a")
    page.wait_for_function("id => document.querySelector('#confirm').dataset.finding !== id", arg=start)
    page.keyboard.press("u")
    page.wait_for_function("id => document.querySelector('#confirm').dataset.finding === id", arg=start)
    page.keyboard.press("ArrowRight")
    page.wait_for_function("id => document.querySelector('#confirm').dataset.finding !== id", arg=start)

    assert asked
    assert all(one.startswith((served, "blob:", "data:")) for one in asked)
    page.context.close()


@pytest.mark.browser
def test_a_key_after_a_pick_is_a_deed_and_no_other_word_of_the_list(served, chromium):
    page = tablet(chromium, served, "right", TAG)
    start = page.locator("#confirm").get_attribute("data-finding")
    picks: list[str] = []
    page.on("request", lambda one: picks.append(one.url) if one.url.endswith("/pick") else None)
    page.locator("#p-place").focus()
    with page.expect_response(re.compile("/confirm.finding=")):
        page.locator("#p-place").select_option("tip")
    page.keyboard.press("a")
    page.wait_for_function("id => document.querySelector('#confirm').dataset.finding !== id", arg=start)
    assert len(picks) == 1  # Derived: the place, and nothing for the letter

    page.get_by_role("button", name="Correct").click()
    with page.expect_response(re.compile("/confirm.finding=")):
        page.locator("#p-extent").select_option("bad")
    for _ in range(3):
        with page.expect_response(re.compile("/confirm.finding=")):
            page.keyboard.press("u")
    page.context.close()


@pytest.mark.browser
def test_a_list_that_keys_move_through_is_picked_from_when_it_is_left(served, chromium):
    page = tablet(chromium, served, "right", TAG)
    picks: list[str] = []
    page.on("request", lambda one: picks.append(one.post_data or "") if one.url.endswith("/pick") else None)
    place = page.locator("#p-place").input_value()
    page.locator("#p-place").focus()
    page.keyboard.press("t")
    page.keyboard.press("o")
    page.keyboard.press("Escape")
    assert page.locator("#p-place").input_value() == place
    page.locator("#p-place").focus()
    page.keyboard.press("t")
    page.keyboard.press("o")
    assert picks == []

    with page.expect_response(re.compile("/confirm.finding=")):
        page.keyboard.press("Enter")
    assert len(picks) == 1
    assert "value=top" in picks[0]
    with page.expect_response(re.compile("/confirm.finding=")):
        page.keyboard.press("u")
    page.context.close()


@pytest.mark.browser
def test_an_answer_given_while_the_shop_is_away_waits_on_the_tablet_and_is_sent_later(served, chromium):
    page = tablet(chromium, served, "right", "32")
    start = page.locator("#confirm").get_attribute("data-finding")
    page.context.set_offline(True)
    page.get_by_role("button", name=re.compile("^Accept")).click()
    page.wait_for_selector("#kept:not([hidden])")
    assert "1 answer waits on this tablet" in page.locator("#kept").inner_text()

    page.context.set_offline(False)
    page.wait_for_function("id => document.querySelector('#confirm').dataset.finding !== id", arg=start)
    assert page.locator("#kept").is_hidden()
    page.context.close()


@pytest.mark.browser
def test_what_is_touched_while_an_answer_is_on_its_way_is_kept_too(served, chromium):
    page = tablet(chromium, served, "right", "33")
    held: list[object] = []
    page.route(re.compile("/accept$"), lambda route: held.append(route))
    start = page.locator("#confirm").get_attribute("data-finding")
    with page.expect_request(re.compile("/accept$")):
        page.keyboard.press("a")
    page.locator("#p-place").select_option("tip")
    page.locator("#kept", has_text="2 answers wait on this tablet").wait_for()
    with page.expect_request(re.compile("/pick$")) as picked:
        held[0].continue_()
    page.wait_for_function("() => localStorage.getItem('underdial-waiting') === '[]'")

    assert f"/{start}/pick" in picked.value.url
    page.wait_for_function("() => document.getElementById('kept').hidden")
    page.goto(f"{served}clock/33/confirm?finding={start}")
    assert page.locator("#p-place").input_value() == "tip"
    page.context.close()


@pytest.mark.browser
def test_an_answer_the_shop_cannot_write_waits_and_one_it_refuses_does_not(served, chromium):
    page = tablet(chromium, served, "right", "33")
    start = page.locator("#confirm").get_attribute("data-finding")
    tries: list[str] = []
    refusals = iter([(507, "disk: the disk is full."), (409, "finding: somebody else has changed it.")])

    def answer(route):
        tries.append(route.request.post_data)
        status, words = next(refusals)
        route.fulfill(
            status=status,
            content_type="text/html",
            body=f"<main><h1>That was not done.</h1><p class=wrong>{words}</p></main>",
        )

    page.route(re.compile("/accept$"), answer)
    page.keyboard.press("a")
    page.locator("#kept", has_text="disk: the disk is full. 1 answer waits on this tablet.").wait_for()
    page.locator("#kept", has_text=re.compile("^finding: somebody else has changed it.$")).wait_for()

    assert tries[0] == tries[1]
    assert page.evaluate("localStorage.getItem('underdial-waiting')") == "[]"
    assert page.locator("#confirm").get_attribute("data-finding") == start
    page.context.close()


@pytest.mark.browser
def test_a_page_that_is_opened_again_is_where_it_was(served, chromium):
    page = tablet(chromium, served, "right")
    start = page.locator("#confirm").get_attribute("data-finding")
    page.keyboard.press("ArrowRight")
    page.wait_for_function("id => document.querySelector('#confirm').dataset.finding !== id", arg=start)
    there = page.locator("#confirm").get_attribute("data-finding")
    page.reload()

    assert page.locator("#confirm").get_attribute("data-finding") == there
    page.context.close()


@pytest.mark.browser
@pytest.mark.parametrize(
    ("lamp", "wide", "high"), [("light", 1024, 768), ("dark", 1024, 768), ("light", 390, 844), ("dark", 390, 844)]
)
def test_nothing_is_amiss_for_eye_or_ear_at_any_size(served, chromium, lamp, wide, high):
    axe = pytest.importorskip("axe_playwright_python.sync_playwright")
    amiss: list[str] = []
    page = tablet(chromium, served, "right", lamp=lamp, size=(wide, high), amiss=amiss)
    page.locator("#correct").click()
    found = axe.Axe().run(page)
    sizes = page.evaluate(
        "[...document.querySelectorAll('main button, main .button, main select')].filter(e => e.offsetParent).map(e "
        "=> e.getBoundingClientRect()).map(r => Math.min(r.width, r.height))"
    )

    assert found.violations_count == 0, found.generate_report()  # Derived: a page without faults has none
    assert amiss == []
    assert min(sizes) >= LEAST_TOUCH_PX - 0.5  # Derived: half a point for rounding
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    page.context.close()


def hearing_browser(chromium, sound):
    """A browser whose microphone plays a sound, again and again."""
    return chromium.browser_type.launch(
        executable_path=shutil.which("chromium"),
        args=[
            "--no-sandbox",
            "--disable-background-networking",
            "--disable-component-update",
            "--use-fake-device-for-media-stream",
            "--use-fake-ui-for-media-stream",
            f"--use-file-for-fake-audio-capture={sound}",
        ],
    )


@pytest.mark.browser
def test_a_spoken_line_ends_by_itself_is_read_back_and_kept_only_by_a_touch(served, chromium, tmp_path):
    pytest.importorskip("pocketsphinx")
    if shutil.which("flite") is None:
        pytest.skip("flite is not installed")
    line = tmp_path / "line.wav"
    subprocess.run(
        ["flite", "-voice", "rms", "-t", "front pivot third arbor one point four two", "-o", str(line)], check=True
    )
    browser = hearing_browser(chromium, f"{line}%noloop")
    page = tablet(browser, served, "right", "33")
    page.locator("#talk").click()
    page.locator("#keep").wait_for(timeout=60000)

    assert "third wheel" in page.locator("#line").inner_text()
    assert "1.42" in page.locator("#line").inner_text()  # Derived: the size that was spoken
    page.locator("#keep").click()
    page.locator("#line", has_text=re.compile("^Kept\\.$")).wait_for()
    page.wait_for_function("() => localStorage.getItem('underdial-waiting') === '[]'")
    page.goto(f"{served}clock/33/measurements")
    assert "1.42 mm" in page.locator("main").inner_text()  # Derived: the same
    browser.close()


@pytest.mark.browser
def test_hands_free_a_line_is_read_out_kept_by_a_word_and_nothing_passes_in_private(served, chromium, tmp_path):
    bursts = tmp_path / "bursts.wav"
    sound = np.zeros(24000, dtype=np.float32)
    sound[:6400] = 0.4 * np.sin(np.arange(6400) * 0.3)
    soundfile.write(bursts, sound, 16000)
    browser = hearing_browser(chromium, bursts)
    page = tablet(browser, served, "right", "33")
    page.evaluate("""() => {
        window.said = [];
        speechSynthesis.getVoices = () => [{ localService: true, lang: 'en-GB' }];
        window.SpeechSynthesisUtterance = function (text) { this.text = text; };
        speechSynthesis.speak = (one) => { window.said.push(one.text); setTimeout(() => one.onend(), 10); };
    }""")
    answers = [
        {"text": "click worn", "reads": "The click is worn.", "twice": None, "order": None},
        {"order": "keep", "text": "keep it", "reads": "", "twice": None},
        {"order": "private", "text": "private", "reads": "", "twice": None},
        {"order": None},
        {"order": "carry_on"},
    ]
    asked: list[str] = []

    def answer(route):
        asked.append(route.request.url)
        route.fulfill(json=answers[min(len(asked), len(answers)) - 1])

    page.route(re.compile(r"/confirm/line(\?only=orders)?$"), answer)
    page.locator("#free").click()
    page.locator("#line", has_text="Private").wait_for(timeout=30000)
    page.locator("#line", has_text=re.compile("^Listening\\.$")).wait_for(timeout=30000)

    assert page.evaluate("window.said") == ["The click is worn.", "Kept."]
    assert [one.endswith("?only=orders") for one in asked[:5]] == [False, False, False, True, True]
    page.locator("#free").click()
    page.wait_for_function("() => localStorage.getItem('underdial-waiting') === '[]'")
    page.goto(f"{served}clock/33/findings")
    assert "The click is worn." in page.locator("main").inner_text()
    browser.close()


@pytest.mark.browser
def test_hands_free_hours_start_and_stop_reach_the_shop(served, chromium, tmp_path):
    bursts = tmp_path / "bursts.wav"
    sound = np.zeros(24000, dtype=np.float32)
    sound[:6400] = 0.4 * np.sin(np.arange(6400) * 0.3)
    soundfile.write(bursts, sound, 16000)
    browser = hearing_browser(chromium, bursts)
    page = tablet(browser, served, "right", "33")
    orders = ["hours_start", "hours_stop", "pause"]
    asked: list[str] = []

    def answer(route):
        asked.append(route.request.url)
        route.fulfill(json={"text": "", "reads": "", "twice": None, "order": orders[min(len(asked), len(orders)) - 1]})

    page.route(re.compile(r"/confirm/line(\?only=orders)?$"), answer)
    page.locator("#free").click()
    page.locator("#line", has_text="Hours started.").wait_for(timeout=30000)
    page.locator("#line", has_text="Hours stopped.").wait_for(timeout=30000)
    page.locator("#free").click()
    page.wait_for_function("() => localStorage.getItem('underdial-waiting') === '[]'")
    page.goto(f"{served}clock/33/work")

    assert "said" in page.locator("main").inner_text()
    browser.close()


@pytest.mark.browser
def test_while_quiet_is_on_nothing_listens_and_nothing_speaks(served, chromium):
    page = tablet(chromium, served, "right")
    page.evaluate("window.said = []; speechSynthesis.speak = (one) => window.said.push(one)")
    page.keyboard.press("q")

    assert page.locator("#talk").is_disabled()
    page.reload()
    assert page.locator("#quiet").get_attribute("aria-pressed") == "true"
    page.locator("#quiet").click()
    assert page.locator("#talk").is_enabled()
    page.context.close()


def tablet(browser, served, hand, tag=TAG, lamp="light", size=(1024, 768), amiss=None):
    context = browser.new_context(viewport={"width": size[0], "height": size[1]}, color_scheme=lamp)
    context.add_cookies([{"name": "hand", "value": hand, "url": served}])
    page = context.new_page()
    if amiss is not None:
        page.on("console", lambda one: amiss.append(one.text) if one.type in ("error", "warning") else None)
        page.on("pageerror", lambda one: amiss.append(str(one)))
    page.goto(f"{served}clock/{tag}/confirm")
    page.wait_for_selector("#speak:not([hidden])")
    return page
