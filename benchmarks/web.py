"""Time of each page over a shop of ten thousand clocks, as the app answers it.

    python3 dev.py bench web [--json] [--clocks N]

Each page is asked for 30 times after one that does not count; the median and the slowest are printed. What stands
beside each: whether the median stays under 100 ms. The first page of a fresh demo shop, from the command to the
answer, is timed as a whole process.
"""

from __future__ import annotations

import argparse
import json
import statistics
import subprocess
import sys
import tempfile
import time
import urllib.request
from pathlib import Path

from fastapi.testclient import TestClient

from benchmarks.full_shop import fill
from underdial.web.app import create_app
from underdial.web.sheet import SECTIONS

LIMIT_MS = 100.0
TIMES = 30


def main(argv: list[str]) -> int:
    parser = argparse.ArgumentParser(prog="bench web")
    parser.add_argument("--json", action="store_true")
    parser.add_argument("--clocks", type=int, default=10_000)
    asked = parser.parse_args(argv)
    with tempfile.TemporaryDirectory() as folder:
        shop = fill(Path(folder), clocks_count=asked.clocks)
        client = TestClient(create_app(shop))
        tag = shop_tag(client)
        addresses = [
            "/",
            "/?search=fenn",
            "/?first=500",
            *(f"/clock/{tag}/{section}" for section in SECTIONS if section != "wrong"),
            "/handbook",
        ]
        rows = [(address, *times_ms(client, address)) for address in addresses]
    first_s, again_s = first_page_s()
    result = {
        "clocks_count": asked.clocks,
        "pages": [{"page": a, "median_ms": m, "slowest_ms": s} for a, m, s in rows],
        "slowest_median_ms": max(m for _, m, _ in rows),
        "demo_first_page_s": first_s,
        "demo_second_time_s": again_s,
    }
    if asked.json:
        print(json.dumps(result))
        return 0
    print(f"{asked.clocks} clocks; median and slowest of {TIMES}")
    for address, median, slowest in rows:
        print(
            f"  {address:34} {median:7.1f} ms {slowest:7.1f} ms  {'under' if median < LIMIT_MS else 'OVER'} "
            f"{LIMIT_MS:g} ms"
        )
    print(f"demo, command to first page: {first_s:.1f} s with an empty folder, {again_s:.1f} s the second time")
    return 0


def shop_tag(client: TestClient) -> str:
    """Tag of the first clock of the list."""
    return client.get("/").text.split('href="/clock/')[1].split('"')[0]


def times_ms(client: TestClient, address: str) -> tuple[float, float]:
    """Median and slowest of the counted answers."""
    assert client.get(address).status_code == 200, address
    taken = []
    for _ in range(TIMES):
        start = time.perf_counter()
        client.get(address)
        taken.append(1000 * (time.perf_counter() - start))
    return round(statistics.median(taken), 2), round(max(taken), 2)


def first_page_s() -> tuple[float, float]:
    """Seconds from the command to the first page of the demo: with an empty folder, and again."""
    with tempfile.TemporaryDirectory() as folder:
        return _page_s(folder), _page_s(folder)


def _page_s(folder: str) -> float:
    start = time.perf_counter()
    command = [
        sys.executable,
        "-c",
        "from underdial.cli import main; main()",
        "demo",
        "--folder",
        folder,
        "--port",
        "0",
        "--json",
    ]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as process:
        assert process.stdout is not None
        url = json.loads(process.stdout.readline())["url"]
        while True:
            try:
                urllib.request.urlopen(url).read()
                break
            except OSError:
                time.sleep(0.02)
        taken = time.perf_counter() - start
        process.terminate()
    return round(taken, 2)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
