"""`demo`, `serve` and `papers` as they are typed."""

import json
import os
import re
import signal
import socket
import subprocess
import sys
import urllib.request

import pytest

DONE, REFUSED, USAGE = 0, 1, 2
RUN = [sys.executable, "-c", "from underdial.cli import main; main()"]


def underdial(*args, **env):
    return subprocess.run(
        [*RUN, *args], capture_output=True, text=True, env={**os.environ, **env}, timeout=120, check=False
    )


def error_of(done):
    assert done.returncode == USAGE, done.stderr
    assert done.stdout == ""
    assert len(done.stderr.strip().splitlines()) == 1
    return json.loads(done.stderr)["error"]


@pytest.fixture(scope="module")
def demo(tmp_path_factory):
    from underdial.bench.demo import open_demo

    folder = tmp_path_factory.mktemp("shop")
    open_demo(folder)
    return folder


def test_demo_prints_its_address_first_and_answers(tmp_path):
    with subprocess.Popen(
        [*RUN, "demo", "--folder", str(tmp_path / "demo"), "--port", "0", "--json"], stdout=subprocess.PIPE, text=True
    ) as process:
        url = json.loads(process.stdout.readline())["url"]
        page = urllib.request.urlopen(url, timeout=30).read().decode()
        process.send_signal(signal.SIGTERM)

    assert "Drum timepiece" in page
    assert url.startswith("http://127.0.0.1:")


def test_a_port_in_use_is_said_in_one_line(demo):
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        error = error_of(underdial("serve", "--shop", str(demo), "--port", str(taken.getsockname()[1])))

    assert error["field"] == "port"
    assert "in use" in error["message"]


def test_a_folder_that_cannot_be_a_shop_is_said_in_one_line(tmp_path):
    (tmp_path / "file").write_text("not a folder")

    assert error_of(underdial("demo", "--folder", str(tmp_path / "file"), "--no-browser", "--port", "0"))["field"] in (
        "folder",
        "machine",
    )


def test_papers_are_written_whole_and_never_over_another(demo, tmp_path):
    done = underdial(
        "papers", "32", "--shop", str(demo), "--out", str(tmp_path / "papers"), "--kind", "record", "--kind", "receipt"
    )
    told = json.loads(done.stdout)

    assert done.returncode == DONE
    assert [one["kind"] for one in told["papers"]] == ["record", "receipt"]
    for one in told["papers"]:
        assert (tmp_path / "papers" / one["file"].split("/")[-1]).read_bytes().startswith(b"%PDF-")
        assert re.fullmatch("[0-9a-f]{64}", one["sha256"])
        assert one["pages_count"] >= 1
    assert (
        error_of(underdial("papers", "32", "--shop", str(demo), "--out", str(tmp_path / "papers"), "--kind", "record"))[
            "field"
        ]
        == "out"
    )


@pytest.mark.parametrize(
    ("args", "field"), [(("papers", "99"), "clock"), (("papers", "32", "--kind", "novel"), "kind")]
)
def test_papers_refuse_what_there_is_not(demo, tmp_path, args, field):
    assert error_of(underdial(*args, "--shop", str(demo), "--out", str(tmp_path / "p")))["field"] == field
    assert not (tmp_path / "p").exists()


def test_papers_of_a_mistyped_shop_are_refused_and_make_no_shop(tmp_path):
    error = error_of(underdial("papers", "32", "--shop", str(tmp_path / "shp"), "--out", str(tmp_path / "papers")))

    assert error["field"] == "shop"
    assert "--shop" in error["message"]
    assert list(tmp_path.iterdir()) == []


def test_all_papers_can_be_written(demo, tmp_path):
    told = json.loads(underdial("papers", "33", "--shop", str(demo), "--out", str(tmp_path)).stdout)

    kinds = {one["kind"] for one in told["papers"]}
    assert {
        "receipt",
        "record",
        "letter",
        "consent",
        "work",
        "test",
        "invoice",
        "care",
        "service",
        "release",
        "notice",
    } <= kinds


def test_help_of_every_command_answers():
    listed = underdial("--help").stdout
    names = re.findall(r"^  (\w+)  +\S", listed.split("Commands:")[1], re.M)

    assert len(names) >= 24  # Derived: the commands of docs/reference/commands.md
    for name in names:
        assert underdial(name, "--help").returncode == DONE, name


def test_an_unknown_command_is_one_line():
    assert "nonsense" in error_of(underdial("nonsense"))["message"]
