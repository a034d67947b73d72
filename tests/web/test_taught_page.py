"""What finished jobs taught, as a page: honest with none and with few, told before it is taken up, taken up by a
name, gone back from.
"""

import json
import re
import subprocess
import sys

import pytest
from fastapi.testclient import TestClient

from tests.bench.finished import finish, take_in
from tests.web.conftest import wait_for
from underdial.bench.shop import open_shop
from underdial.web.app import create_app

OK, REFUSED = 200, 409
SETTINGS = 'name = "The shop by the mill"\nrepairer = "Ada Finch"\n'


def shop_with_jobs(folder, count):
    folder.mkdir()
    (folder / "shop.toml").write_text(SETTINGS)
    shop = open_shop(folder)
    for number in range(count):
        finish(shop, f"{40 + number}", chance=0.95 - 0.2 * number, stop="in the night" if number == 1 else None)
    take_in(shop, "90")
    return shop


@pytest.fixture(scope="module")
def three(tmp_path_factory):
    return shop_with_jobs(tmp_path_factory.mktemp("taught") / "shop", 3)


@pytest.fixture
def asking(tmp_path, monkeypatch):
    """An app over a shop of two jobs that learns from few draws, for speed."""
    monkeypatch.setattr("underdial.diagnosis.learning._DRAWS_COUNT", 100)
    return TestClient(create_app(shop_with_jobs(tmp_path / "shop", 2)), raise_server_exceptions=False)


def worked_out(client):
    """The page once it is worked out what the jobs would change."""
    client.post("/taught/change")
    client.app.state.being_taught.thread.join(timeout=300)
    return client.get("/taught").text


def test_with_no_finished_job_it_says_so_and_offers_nothing(client):
    page, held = client.get("/taught").text, client.get("/taught/held").text

    assert "No clock has gone home yet, so nothing would change." in page
    assert "No finished job tells yet whether what is said holds." in held
    assert "<svg" not in held
    assert "Take it up" not in page


def test_the_list_of_clocks_leads_there(client):
    assert 'href="/taught"' in client.get("/").text


def test_few_jobs_are_called_too_few_and_drawn_with_their_counts(three):
    held = TestClient(create_app(three)).get("/taught/held", headers={"hx-request": "true"}).text

    assert "Three jobs; too few to tell." in held
    assert "Until twenty jobs have told, this says little" in held
    assert {"1/1", "0/1"} <= set(re.findall(r">(\d/\d)</text>", held))
    assert "<html" not in held


def test_what_would_change_is_told_before_and_taken_up_by_a_name(asking):
    told = worked_out(asking)
    key = re.search(r'name="key" value="([0-9a-f]{64})"', told)[1]

    assert "Nothing of this is in use until somebody takes it up." in told
    assert "In a clock brought in:" in told
    assert "As delivered: version 0." in told
    nobody = asking.post("/taught/take-up", data={"key": key, "by": " "})
    assert nobody.status_code == REFUSED
    assert "write a name" in nobody.text
    taken = asking.post("/taught/take-up", data={"key": key, "by": "Ben Orrin", "why": "read through"})
    assert taken.status_code == OK
    assert "Taken up by Ben Orrin on" in taken.text
    assert "“read through”" in taken.text
    assert "Every finished job has taught already." in taken.text
    back = asking.post("/taught/back", data={"version": 0, "by": "Ben Orrin"}).text
    assert "Gone back to what was delivered by Ben Orrin" in back
    assert "As delivered: version 0." in back


def test_what_is_worked_out_can_be_stopped_and_says_so(asking, monkeypatch):
    being = asking.app.state.being_taught
    monkeypatch.setattr(
        "underdial.bench.causes.being_taught.what_jobs_would_change",
        lambda shop, progress: [being.stop(), progress(0.1)],
    )
    page = worked_out(asking)

    assert "It was stopped; nothing of it was kept." in page
    assert "Work out what they would change" in page


def test_while_it_is_worked_out_the_page_says_how_far_it_is(asking):
    being = asking.app.state.being_taught
    being.running, being.done_ratio = True, 0.42
    part = asking.get("/taught/change").text

    assert "42 of 100 parts are done" in part  # Derived: 0.42
    assert 'hx-trigger="every' in part
    being.running = False
    assert "hx-trigger" not in asking.get("/taught/change").text


def test_an_answer_on_its_page_names_the_chances_it_was_reckoned_with(asking, monkeypatch):
    def reckon(case, **how):
        return {
            "chances_version_count": how["version_count"],
            "causes": [],
            "choices": [],
            "next_tests": [],
            "unused": [],
            "smallest_repairs": [],
            "none_of_these_probability": 0.5,
            "runs_full_probability": 0.5,
            "model_fits": True,
            "misfit_probability": 0.5,
        }

    monkeypatch.setattr("underdial.bench.causes.diagnose.diagnose", reckon)

    assert (
        'Reckoned with <a href="/taught#versions">the chances as delivered</a>'
        in asking.get("/clock/90/wrong/answer").text
    )
    key = re.search(r'name="key" value="([0-9a-f]{64})"', worked_out(asking))[1]
    asking.post("/taught/take-up", data={"key": key, "by": "Ben Orrin"})
    assert "version 1 of the shop’s own chances" in asking.get("/clock/90/wrong/answer").text


@pytest.fixture(scope="module")
def three_served(three):
    command = [
        sys.executable,
        "-c",
        "from underdial.cli import main; main()",
        "serve",
        "--shop",
        str(three.folder),
        "--port",
        "0",
        "--json",
    ]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as process:
        url = json.loads(process.stdout.readline())["url"]
        wait_for(url)
        yield url
        process.terminate()


@pytest.mark.browser
@pytest.mark.parametrize("size", [(1024, 768), (390, 844)], ids=["tablet", "telephone"])
def test_the_page_can_be_read_by_ear_touched_and_fits_by_day_and_night(chromium, three_served, size):
    from axe_playwright_python.sync_playwright import Axe

    for lamp in ("light", "dark"):
        page = chromium.new_page(viewport={"width": size[0], "height": size[1]}, color_scheme=lamp)
        said = []
        page.on("console", lambda message, said=said: said.append(message.text) if message.type == "error" else None)
        page.on("pageerror", lambda wrong, said=said: said.append(str(wrong)))
        page.goto(f"{three_served}taught")
        page.get_by_role("heading", level=1, name="Three jobs; too few to tell.").wait_for()
        found = Axe().run(page)
        small = page.eval_on_selector_all(
            "button, .button, summary, select, input:not([type=hidden])",
            "all => all.filter(e => e.offsetParent && e.getBoundingClientRect().height < 55.5).map(e => "
            "e.outerHTML.slice(0, 90))",
        )
        wide = page.evaluate("document.documentElement.scrollWidth")
        page.close()

        assert found.violations_count == 0, found.generate_report()
        assert not said
        assert not small  # Source: docs/reference/look.md: what is touched is 56 px at least
        assert wide <= size[0]
