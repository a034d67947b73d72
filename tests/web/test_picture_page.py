"""Pictures on the page: drawn on by touch and by key, set beside what was before, with nothing amiss for eye or ear."""

import io
import re

import pytest
from fastapi.testclient import TestClient
from PIL import Image

from underdial.bench.demo import open_demo
from underdial.bench.shop import clock_page
from underdial.web.app import create_app

TAG = "31"
LEAST_TOUCH_PX = 56  # Source: the look, section 6 (room and hand)


@pytest.fixture(scope="module")
def shop(tmp_path_factory):
    return open_demo(tmp_path_factory.mktemp("picture"))


@pytest.fixture
def app(shop):
    return TestClient(create_app(shop), raise_server_exceptions=False)


def photo(shade, size=(640, 480)):
    out = io.BytesIO()
    Image.new("RGB", size, (shade, shade, 80)).save(out, "JPEG")
    return out.getvalue()


def keep(app, shade):
    """The address of the page of a picture that was handed in."""
    answer = app.post(f"/clock/{TAG}/pictures", files=[("files", (f"{shade}.jpg", photo(shade), "image/jpeg"))])
    assert answer.status_code == 200, answer.text  # Source: RFC 9110, section 15.3.1, after the redirect
    return answer.url.path


def test_a_mark_a_scale_and_a_finding_are_kept_and_shown(app, shop):
    at = keep(app, 100)
    one = clock_page(shop, TAG).findings[0]
    app.post(f"{at}/mark", data={"kind": "arrow", "x": "0.5", "y": "0.5", "from_x": "0.2", "from_y": "0.2"})
    app.post(
        f"{at}/scale", data={"x1": "0.1", "y1": "0.5", "x2": "0.9", "y2": "0.5", "length_mm": "40", "what": "the rule"}
    )
    text = app.post(f"{at}/lay", data={"other": one.id}).text

    assert "drawn on it: 1 arrow, a scale bar" in text
    assert "in the plane of the rule (40 mm)" in text
    assert f"/confirm?finding={one.id}" in text
    assert "finding" in app.post(f"{at}/off", data={"other": one.id}).text


@pytest.mark.parametrize(
    ("shade", "deed", "data", "says"),
    [
        (110, "mark", {"kind": "star", "x": "0.5", "y": "0.5"}, "mark"),
        (
            111,
            "mark",
            {"kind": "ring", "x": "1.5", "y": "0.5", "radius": "0.1"},
            "x: 1.5 will not do; allowed: 1 or less",
        ),
        (112, "scale", {"x1": "0", "y1": "0", "x2": "1", "y2": "0", "length_mm": "wide"}, "length: wide is no number"),
        (113, "scale", {"x1": "0", "y1": "0", "x2": "0", "y2": "0", "length_mm": "5"}, "too near"),
    ],
)
def test_what_cannot_be_drawn_is_refused_in_a_sentence(app, shop, shade, deed, data, says):
    at = keep(app, shade)
    before = clock_page(shop, TAG).record_sha256
    answer = app.post(f"{at}/{deed}", data=data)

    assert answer.status_code == 422  # Source: RFC 9110, section 15.5.21
    assert says in answer.text
    assert clock_page(shop, TAG).record_sha256 == before


def test_light_and_method_reach_the_record(app, shop):
    app.post(f"/clock/{TAG}/pictures/how", data={"light": "raking light", "method": "by loupe"})

    assert (clock_page(shop, TAG).look_overs[-1].light, clock_page(shop, TAG).look_overs[-1].method) == (
        "raking light",
        "by loupe",
    )
    assert app.get(f"/clock/{TAG}/papers/record.pdf").content[:5] == b"%PDF-"


def test_when_it_began_must_be_a_time(app):
    answer = app.post(f"/clock/{TAG}/pictures/began", data={"began": "at noon"})

    assert answer.status_code == 422  # Source: RFC 9110, section 15.5.21
    assert "write the day and the time" in answer.text


@pytest.mark.browser
@pytest.mark.parametrize(("lamp", "wide", "high"), [("light", 1024, 768), ("dark", 390, 844)])
def test_marks_are_drawn_by_touch_and_by_key_and_nothing_is_amiss(served, chromium, tmp_path, lamp, wide, high):
    axe = pytest.importorskip("axe_playwright_python.sync_playwright")
    page = chromium.new_page(viewport={"width": wide, "height": high}, color_scheme=lamp)
    amiss: list[str] = []
    page.on("console", lambda one: amiss.append(one.text) if one.type == "error" else None)
    page.goto(f"{served}clock/{TAG}/as-found")
    page.set_input_files(
        "#files", [{"name": f"{lamp}.jpg", "mimeType": "image/jpeg", "buffer": photo(130 if lamp == "light" else 140)}]
    )
    page.get_by_role("button", name="Keep them").click()
    page.locator("#draw").wait_for()
    plane = page.locator("#stage .stack")

    page.get_by_role("button", name="Arrow").click()
    plane.click(position={"x": 200, "y": 120})
    plane.click(position={"x": 100, "y": 60})
    page.locator("#stage img[alt*='1 arrow']").wait_for()
    page.get_by_role("button", name="Number 1").click()
    for key in ("ArrowRight", "ArrowDown", "Enter"):
        page.keyboard.press(key)
    page.locator("#stage img[alt*='number 1']").wait_for()
    page.get_by_role("button", name="Scale").click()
    plane.click(position={"x": 20, "y": 100})
    plane.click(position={"x": 220, "y": 100})
    page.locator("#length").fill("30")
    page.get_by_role("button", name="Set the scale").click()
    page.locator("#stage img[alt*='a scale bar']").wait_for()
    sizes = page.evaluate(
        "[...document.querySelectorAll('main button, main .button, main select')].filter(e => e.offsetParent).map(e "
        "=> e.getBoundingClientRect()).map(r => Math.min(r.width, r.height))"
    )

    assert min(sizes) >= LEAST_TOUCH_PX - 0.5  # Derived: half a point for rounding
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    found = axe.Axe().run(page)
    assert found.violations_count == 0, found.generate_report()  # Derived: a page without faults has none
    assert not amiss
    assert re.fullmatch(rf"{served}clock/{TAG}/picture/[^/]+", page.url)
    page.close()


@pytest.mark.browser
def test_what_is_touched_while_a_mark_is_on_its_way_is_drawn_too(served, chromium):
    page = chromium.new_page(viewport={"width": 820, "height": 1180})
    page.goto(f"{served}clock/{TAG}/as-found")
    page.set_input_files("#files", [{"name": "way.jpg", "mimeType": "image/jpeg", "buffer": photo(150)}])
    page.get_by_role("button", name="Keep them").click()
    page.locator("#draw").wait_for()
    # Derived: the tools stand within the 1180 points of the tablet without scrolling
    assert page.locator("#draw").bounding_box()["y"] + page.locator("#draw").bounding_box()["height"] <= 1180
    held: list[object] = []
    page.route(re.compile("/mark$"), lambda route: held.append(route))
    plane = page.locator("#stage .stack")

    page.get_by_role("button", name="Arrow").click()
    plane.click(position={"x": 200, "y": 120})
    with page.expect_request(re.compile("/mark$")):
        plane.click(position={"x": 100, "y": 60})
    page.get_by_role("button", name="Ring").click()
    plane.click(position={"x": 150, "y": 100})
    with page.expect_response(re.compile("/picture/[^/]+$")):
        held[0].continue_()
    page.locator("#stage img[alt*='1 arrow']").wait_for()
    page.unroute_all()
    plane.click(position={"x": 200, "y": 100})

    page.locator("#stage img[alt*='1 ring']").wait_for()
    page.close()
