"""What was written wrongly is put right in the app: the clock's name, a clock received by mistake, a picture of another
clock, an accepted finding. Nothing leaves the record by it.
"""

import io

import pypdfium2
import pytest
from fastapi.testclient import TestClient
from PIL import Image

from underdial.bench.as_found.picturing import pictures_of, with_photographs
from underdial.bench.counter.receiving import received_in_error
from underdial.bench.demo import open_demo
from underdial.bench.shop import clock_page, history_of, in_the_shop
from underdial.bench.shown.writing import dossier_of, paper
from underdial.errors import RuleBroken
from underdial.web.app import create_app

TAG = "31"
SEE_OTHER, CONFLICT, UNPROCESSABLE = 303, 409, 422


@pytest.fixture
def shop(tmp_path):
    return open_demo(tmp_path)


@pytest.fixture
def app(shop):
    return TestClient(create_app(shop), raise_server_exceptions=False)


def receive(app, name="Bracket clock"):
    return app.post("/receive", data={"name": name}, follow_redirects=False).headers["location"].split("/")[2]


def words_of(pdf):
    pages = pypdfium2.PdfDocument(pdf)
    return " ".join(" ".join(page.get_textpage().get_text_bounded() for page in pages).split())


def tags(shop, **which):
    return [line.tag for line in in_the_shop(shop, **which).lines]


def test_a_clock_is_renamed_and_found_by_its_new_name(app, shop):
    tag = receive(app, "Braket clock")
    app.post(f"/clock/{tag}/name", data={"name": "Bracket clock, ebonised"})

    assert clock_page(shop, tag).clock.name == "Bracket clock, ebonised"
    assert tags(shop, search="ebonised") == [tag]
    assert app.post(f"/clock/{tag}/name", data={"name": "  "}).status_code == UNPROCESSABLE


def test_a_clock_received_by_mistake_leaves_the_lists_and_comes_back(app, shop):
    tag = receive(app)
    app.post(f"/clock/{tag}/by-mistake", data={"why": "written twice"})
    page = app.get(f"/clock/{tag}/received").text

    assert tag not in tags(shop) + tags(shop, gone=True)
    assert tags(shop, in_error=True) == [tag]
    assert f"/clock/{tag}/received" in app.get("/by-mistake").text
    assert "written twice" in page
    assert "written twice" in [event.why for event in history_of(shop, tag)]

    app.post(f"/clock/{tag}/by-mistake/{clock_page(shop, tag).visit.id}/undo")
    assert tag in tags(shop)
    assert tags(shop, in_error=True) == []


def test_a_mistake_needs_a_reason_and_is_no_way_out_of_what_was_agreed(app, shop):
    tag = receive(app)
    assert app.post(f"/clock/{tag}/by-mistake", data={"why": " "}).status_code == UNPROCESSABLE
    assert tag in tags(shop)

    app.post(f"/clock/{TAG}/choices")
    choice, owner = clock_page(shop, TAG).choices[-1], next(iter(clock_page(shop, TAG).people))
    app.post(
        f"/clock/{TAG}/agreed",
        data={"choice_id": choice.id, "person_id": owner, "words": "No, thank you", "answer": "no"},
    )
    with pytest.raises(RuleBroken, match="an owner has answered"):
        received_in_error(shop, TAG, why="not ours")
    assert TAG in tags(shop)


def test_a_clock_that_came_again_by_mistake_is_gone_home_as_before(app, shop):
    owner = next(iter(clock_page(shop, TAG).people))
    app.post(f"/clock/{TAG}/release", data={"person_id": owner, "why": "she is moving"})
    assert tags(shop, gone=True) == [TAG]
    app.post(f"/clock/{TAG}/again", data={"words": "stops again"})
    assert tags(shop, gone=True) == []

    again = clock_page(shop, TAG).visit.id
    app.post(f"/clock/{TAG}/by-mistake", data={"why": "it was another clock"})
    assert tags(shop, gone=True) == [TAG]
    assert clock_page(shop, TAG).visit.stage == "gone"
    assert "it was another clock" in app.get(f"/clock/{TAG}/received").text

    app.post(f"/clock/{TAG}/by-mistake/{again}/undo")
    assert (clock_page(shop, TAG).visit.id, tags(shop, gone=True)) == (again, [])


def test_a_picture_of_another_clock_is_taken_out_of_use_and_back(app, shop):
    raw = io.BytesIO()
    Image.new("RGB", (400, 300), (90, 80, 70)).save(raw, "JPEG")
    before = {one.id for one in pictures_of(clock_page(shop, TAG))}
    app.post(f"/clock/{TAG}/pictures", files={"files": ("other.jpg", raw.getvalue(), "image/jpeg")})
    (one,) = [each for each in pictures_of(clock_page(shop, TAG)) if each.id not in before]
    finding = clock_page(shop, TAG).findings[0]
    app.post(f"/clock/{TAG}/picture/{one.id}/lay", data={"other": finding.id})

    def printed():
        page = clock_page(shop, TAG)
        return [each.id for each in with_photographs(dossier_of(shop, page, answer=None), shop, page).photographs]

    assert one.id in printed()
    app.post(f"/clock/{TAG}/picture/{one.id}/set-aside")
    assert one.id not in printed()
    assert f"{one.id}/upright.jpg" not in app.get(f"/clock/{TAG}/confirm?finding={finding.id}").text
    assert "Out of use: 1" in app.get(f"/clock/{TAG}/as-found").text
    assert "Use it after all" in app.get(f"/clock/{TAG}/picture/{one.id}").text
    again = app.post(f"/clock/{TAG}/pictures", files={"files": ("other.jpg", raw.getvalue(), "image/jpeg")})
    assert "is out of use" in again.text

    app.post(f"/clock/{TAG}/picture/{one.id}/use")
    assert one.id in printed()


def test_an_accepted_finding_is_corrected_struck_out_and_used_after_all_on_findings(app, shop):
    app.post(f"/clock/{TAG}/findings/all/accept")
    one = next(each for each in clock_page(shop, TAG).findings if each.standing == "confirmed")
    page = app.get(f"/clock/{TAG}/findings").text
    assert f'action="/clock/{TAG}/findings/{one.id}/correct"' in page
    assert f'formaction="/clock/{TAG}/findings/{one.id}/reject"' in page

    app.post(f"/clock/{TAG}/findings/{one.id}/reject")
    page = app.get(f"/clock/{TAG}/findings").text
    assert f'action="/clock/{TAG}/findings/{one.id}/accept"' in page
    assert f'action="/clock/{TAG}/findings/{one.id}/correct"' not in page
    app.post(f"/clock/{TAG}/findings/{one.id}/accept")
    assert next(each for each in clock_page(shop, TAG).findings if each.id == one.id).standing == "confirmed"


def test_a_finding_in_the_shops_own_words_is_kept_and_stands_in_the_condition_record(app, shop):
    sent = {"component": "fusee line", "condition": "wrong", "note": "steel instead of gut"}
    answer = app.post(f"/clock/{TAG}/findings", data=sent)
    kept = clock_page(shop, TAG).findings[-1]
    app.post(f"/clock/{TAG}/findings", data={"component": "click", "condition": "worn", "note": "filed by somebody"})
    text = words_of(paper(shop, TAG, "record"))

    assert "No list has “wrong”" in answer.text
    assert (kept.component, kept.of, kept.condition, kept.note) == (
        "gut_line",
        "fusee",
        "noted",
        "wrong; steel instead of gut",
    )
    assert "The gut line of the fusee: wrong; steel instead of gut." in answer.text
    assert "The gut line of the fusee: wrong; steel instead of gut." in text
    assert "filed by somebody" in text
    assert app.get(f"/clock/{TAG}/confirm?finding={kept.id}").status_code == 200

    app.post(
        f"/clock/{TAG}/findings/{kept.id}/correct",
        data={"component": "gut line", "condition": "", "note": "steel line"},
    )
    now = next(one for one in clock_page(shop, TAG).findings if one.id == kept.id)
    assert (now.component, now.condition, now.note) == ("gut_line", "noted", "steel line")


def test_what_came_with_it_is_told_in_the_shops_own_words_on_the_receipt(app, shop):
    for words in ("winding key", "a tin of odd screws"):
        app.post(f"/clock/{TAG}/came-with", data={"component": words})
    app.post(f"/clock/{TAG}/came-with", data={"component": "A tin of odd screws", "note": "eleven of them"})
    receipt = words_of(paper(shop, TAG, "receipt"))
    lines = clock_page(shop, TAG).visit.handed_over[-2:]

    assert [(one.component, one.called, one.note) for one in lines] == [
        ("key", "winding key", None),
        ("other", "A tin of odd screws", "eleven of them"),
    ]
    assert "winding key" in receipt
    assert "tin of odd screws" in receipt


def test_two_findings_that_do_not_go_together_are_named_at_each_other(app, shop):
    app.post(f"/clock/{TAG}/findings", data={"component": "pallets", "place": "both", "condition": "grooved"})
    app.post(f"/clock/{TAG}/findings", data={"component": "exit pallet", "condition": "good"})
    grooved, good = clock_page(shop, TAG).findings[-2:]
    page = app.get(f"/clock/{TAG}/findings").text
    confirm = app.get(f"/clock/{TAG}/confirm?finding={good.id}").text

    assert f'Does not go with: <a href="#f-{grooved.id}">' in page
    assert f'Does not go with: <a href="#f-{good.id}">' in page
    assert f'Does not go with: <a href="/clock/{TAG}/confirm?finding={grooved.id}">' in confirm

    app.post(f"/clock/{TAG}/findings/{good.id}/reject")
    assert "Does not go with" not in app.get(f"/clock/{TAG}/findings").text
