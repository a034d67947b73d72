"""A demo shop shared by the tests of the app, and the app served to a real browser."""

import json
import os
import shutil
import socket
import subprocess
import sys
import time
import urllib.request
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from underdial.bench.demo import open_demo
from underdial.web.app import create_app


@pytest.fixture(scope="session")
def untouched_demo(tmp_path_factory):
    """A demo shop that no test writes to, with what is wrong with its clocks worked out once."""
    folder = tmp_path_factory.mktemp("untouched")
    client = TestClient(create_app(open_demo(folder)))
    for tag in ("31", "32", "33"):
        client.get(f"/clock/{tag}/wrong")
    return folder


@pytest.fixture(scope="module")
def demo_folder(untouched_demo, tmp_path_factory):
    """A demo shop of the module's own: what another module writes must not change what is wrong with a clock."""
    return Path(shutil.copytree(untouched_demo, tmp_path_factory.mktemp("demo") / "shop"))


@pytest.fixture
def client(demo_folder):
    return TestClient(create_app(open_demo(demo_folder)), raise_server_exceptions=False)


@pytest.fixture(scope="module")
def served(demo_folder):
    """The address of the app as the command serves it."""
    command = [
        sys.executable,
        "-c",
        "from underdial.cli import main; main()",
        "serve",
        "--shop",
        str(demo_folder),
        "--port",
        "0",
        "--json",
    ]
    with subprocess.Popen(
        command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, env={**os.environ}
    ) as process:
        url = json.loads(process.stdout.readline())["url"]
        wait_for(url)
        yield url
        process.terminate()


def wait_for(url, tries=100):
    for _ in range(tries):
        try:
            with urllib.request.urlopen(url) as answer:
                return answer.status
        except OSError:
            time.sleep(0.1)
    raise AssertionError(f"nothing answers at {url}")


@pytest.fixture(scope="session")
def chromium():
    playwright = pytest.importorskip("playwright.sync_api")
    program = next((one for one in ("/usr/bin/chromium", "/usr/bin/chromium-browser") if Path(one).exists()), None)
    if program is None:
        pytest.skip("Chromium is not installed")
    with playwright.sync_playwright() as running:
        browser = running.chromium.launch(
            executable_path=program,
            args=["--no-sandbox", "--disable-background-networking", "--disable-component-update"],
        )
        yield browser
        browser.close()


@pytest.fixture
def free_port():
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        return one.getsockname()[1]
