"""The shop is really killed while a film is taken in, and opened again: the film's page goes on under its address."""

import json
import os
import re
import signal
import subprocess
import sys
import urllib.request

import httpx
import pytest

from tests.made_films import WORDS, write_film
from tests.web.conftest import wait_for
from underdial.bench.demo import open_demo
from underdial.bench.shop import clock_page

OPEN = [sys.executable, "-c", "from underdial.cli import main; main()", "serve", "--port", "0", "--json", "--shop"]
TAG = "33"


@pytest.mark.skipif(os.name == "nt", reason="a process is killed so only elsewhere")
def test_a_film_goes_on_under_its_address_when_the_shop_was_killed_and_opened_again(tmp_path):
    shop = open_demo(tmp_path / "shop")
    before = clock_page(shop, TAG)
    film = write_film(tmp_path / "look.mp4").read_bytes()
    with subprocess.Popen([*OPEN, str(shop.folder)], stdout=subprocess.PIPE, text=True) as first:
        url = json.loads(first.stdout.readline())["url"]
        wait_for(url)
        files = {"file": ("look.mp4", film, "video/mp4"), "captions": ("look.vtt", WORDS, "text/vtt")}
        page = httpx.post(f"{url}clock/{TAG}/as-found", files=files, timeout=60).headers["location"]
        os.kill(first.pid, signal.SIGKILL)
    left = [one.name for one in (shop.folder / ".incoming").iterdir()]
    with subprocess.Popen([*OPEN, str(shop.folder)], stdout=subprocess.PIPE, text=True) as second:
        url = json.loads(second.stdout.readline())["url"]
        wait_for(url)
        text = ended(f"{url.rstrip('/')}{page}")
        second.terminate()
    after = clock_page(shop, TAG)

    assert left == [page.rsplit("/", 1)[-1]]
    # Derived: two things are named in the captions, each with a still.
    assert re.search(r"2 findings and 2 stills", text)
    assert len(after.look_overs) - len(before.look_overs) == 1
    assert len(after.findings) - len(before.findings) == len(["pivot", "crutch"])
    assert sum(one.kind == "film" for one in after.attachments) == 1
    assert list((shop.folder / ".incoming").iterdir()) == []


def ended(page, tries=5000):
    """The page of a film once it has ended; it answers at once, whether the film was taken up yet or not."""
    for _ in range(tries):
        wait_for(page)
        with urllib.request.urlopen(page) as answer:
            text = answer.read().decode()
        if 'data-over="yes"' in text:
            return text
    raise AssertionError(f"the film does not end at {page}")
