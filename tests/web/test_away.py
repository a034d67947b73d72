"""What was seen in this visit is read while the shop is not reached: in a real browser, the program ended."""

import re
import shutil
import socket
import subprocess
import sys

import pytest

from tests.web.conftest import wait_for

pytestmark = pytest.mark.browser
NEVER = ("received", "owner", "agreed", "papers")


class Served:
    """The app served by a process of its own, which can be ended and begun again at the same port."""

    def __init__(self, folder, port, host):
        self.folder, self.port, self.host, self.process = folder, port, host, None
        self.url = f"http://{host}:{port}"

    def begin(self):
        command = [sys.executable, "-c", "from underdial.cli import main; main()", "serve", "--shop", str(self.folder)]
        lan = [] if self.host == "127.0.0.1" else ["--lan"]
        self.process = subprocess.Popen([*command, "--port", str(self.port), *lan], stdout=subprocess.DEVNULL)
        wait_for(f"http://127.0.0.1:{self.port}/")

    def end(self):
        self.process.terminate()
        self.process.wait(timeout=20)


def own_address():
    """An address of this machine by which a browser does not take it for itself."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as one:
        try:
            one.connect(("192.0.2.1", 9))
        except OSError:
            pytest.skip("this machine has no address in a network")
        return one.getsockname()[0]


@pytest.fixture(params=["worker", "plain"])
def shop_away(request, untouched_demo, tmp_path, free_port):
    """Over loopback, where browsers give a service worker, and by plain http in a network, where they do not."""
    folder = shutil.copytree(untouched_demo, tmp_path / "shop")
    host = "127.0.0.1" if request.param == "worker" else own_address()
    one = Served(folder, free_port, host)
    one.begin()
    yield one
    if one.process.poll() is None:
        one.end()


def until(page, said, tries=300):
    """Wait till something is so in the page; its own scripts may not evaluate words."""
    for _ in range(tries):
        if page.evaluate(said):
            return
        page.wait_for_timeout(100)
    raise AssertionError(f"not so: {said}")


def opened(page, address):
    page.goto(address)
    page.wait_for_load_state("networkidle")


@pytest.fixture
def page(chromium):
    context = chromium.new_context(viewport={"width": 1024, "height": 768})
    yield context.new_page()
    context.close()


def ready(page, url):
    """The first page, seen and kept: a worker takes the pages over once it is there."""
    opened(page, url)
    page.evaluate("() => window.isSecureContext ? navigator.serviceWorker.ready.then(() => true) : true")
    opened(page, url)


def test_pages_seen_are_leafed_through_and_say_how_old_they_are(shop_away, page):
    url = shop_away.url
    ready(page, url)
    for section in ("findings", "work"):
        opened(page, f"{url}/clock/31/{section}")
    opened(page, f"{url}/")
    shop_away.end()
    page.click("text=Drum timepiece")
    page.wait_for_selector("#as-of")
    first = page.inner_text("main")
    # The rail leads on.
    page.click("nav.rail >> text=Findings")
    until(page, "document.title.startsWith('Findings')")
    findings = page.inner_text("main")

    assert "not connected: to be read, not written on" in first
    assert re.search(r"As of \d\d:\d\d, not connected", findings)
    assert page.locator("main button:not([disabled])").count() == 0
    assert page.locator("main input:not([disabled]), main select:not([disabled])").count() == 0
    shop_away.begin()
    page.click("text=Try again")
    page.wait_for_selector("#as-of", state="detached")
    assert page.locator("main button:not([disabled])").count() > 0


def test_what_is_private_is_not_kept_and_what_was_not_seen_is_said_not_to_be(shop_away, page):
    url = shop_away.url
    ready(page, url)
    for section in (*NEVER, "findings"):
        opened(page, f"{url}/clock/31/{section}")
    opened(page, f"{url}/people?search=e")
    opened(page, f"{url}/clock/31/findings")
    kept = page.evaluate(
        """async () => {
            const found = Object.keys(sessionStorage)
                .filter((one) => one.startsWith("seen "))
                .map((one) => [one.slice(5), sessionStorage.getItem(one)]);
            if (window.isSecureContext) {
                const shelf = await caches.open("underdial-seen");
                for (const one of await shelf.keys())
                    found.push([new URL(one.url).pathname, await (await shelf.match(one)).text()]);
            }
            return found;
        }"""
    )
    shop_away.end()
    page.click("nav.rail >> text=Papers")
    page.wait_for_selector("h1:has-text('Not connected')")

    # Derived: of what was opened only the list and the findings may be kept.
    assert sorted(at for at, _ in kept) == ["/", "/clock/31/findings"]
    # The owner of the clock, whose name stands in the list.
    assert not any("Treddle" in text for _, text in kept)
    assert "never kept" in page.inner_text("main")
    assert page.locator("main a:has-text('Findings')").count() == 1


def test_an_answer_touched_without_the_shop_waits_and_is_kept_later(shop_away, page):
    url = shop_away.url
    ready(page, url)
    opened(page, f"{url}/clock/31/confirm")
    shop_away.end()
    page.click("text=Accept")
    page.wait_for_selector("#kept:not([hidden])")
    said = page.inner_text("#kept")
    shop_away.begin()
    until(page, "JSON.parse(localStorage.getItem('underdial-waiting') || '[]').length === 0")

    assert "waits on this tablet" in said


def test_reload_and_back_work_where_the_browser_gives_a_worker(shop_away, page):
    if shop_away.host != "127.0.0.1":
        pytest.skip("by plain http a browser gives no service worker, and reload shows its own page")
    ready(page, shop_away.url)
    opened(page, f"{shop_away.url}/clock/31/findings")
    opened(page, f"{shop_away.url}/clock/31/work")
    shop_away.end()
    page.reload()
    reloaded = page.inner_text("#as-of")
    page.go_back()
    until(page, "document.title.startsWith('Findings')")

    assert "not connected" in reloaded
    assert "not connected" in page.inner_text("#as-of")
    # The house's own style: the sheet was kept too.
    assert page.evaluate("getComputedStyle(document.querySelector('h1')).fontFamily").startswith('"EB Garamond"')


def test_a_copy_older_than_half_a_day_is_taken_away(shop_away, page):
    opened(page, f"{shop_away.url}/clock/31/work")
    at = "String(Date.now() - 13 * 3600 * 1000)"
    if shop_away.host == "127.0.0.1":
        page.evaluate(
            "caches.open('underdial-seen').then((shelf) =>"
            f" shelf.put('/old', new Response('old', {{ headers: {{ 'X-Kept-At': {at} }} }})))"
        )
        gone = "caches.open('underdial-seen').then((shelf) => shelf.match('/old')).then((one) => one === undefined)"
    else:
        page.evaluate(f"sessionStorage.setItem('seen /old', JSON.stringify({{ at: Number({at}), page: 'old' }}))")
        gone = "sessionStorage.getItem('seen /old') === null"
    assert not page.evaluate(gone)
    opened(page, f"{shop_away.url}/clock/31/movement")
    until(page, gone)
