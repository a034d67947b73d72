"""Papers written to a folder: whole or not at all."""

import errno
from pathlib import Path

import pytest

from underdial.bench.causes.answering import lay_out_choices
from underdial.bench.demo import open_demo
from underdial.bench.shown.writing import write_papers
from underdial.errors import BadInput, MachineRefused


@pytest.fixture(scope="module")
def shop(tmp_path_factory):
    return open_demo(tmp_path_factory.mktemp("demo"))


def test_a_full_disk_leaves_no_half_paper(shop, tmp_path, monkeypatch):
    def full(self, content):
        with Path.open(self, "wb") as part:
            part.write(content[:100])
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(Path, "write_bytes", full)
    with pytest.raises(MachineRefused, match="No space left on device"):
        write_papers(shop, "31", tmp_path, kinds=["receipt"])

    assert list(tmp_path.iterdir()) == []


def test_nothing_is_written_when_one_of_them_exists(shop, tmp_path):
    (tmp_path / "31-receipt.pdf").write_text("mine")
    with pytest.raises(BadInput, match="exists"):
        write_papers(shop, "31", tmp_path, kinds=["record", "receipt"])

    assert [one.name for one in tmp_path.iterdir()] == ["31-receipt.pdf"]
    assert (tmp_path / "31-receipt.pdf").read_text() == "mine"


def test_pages_are_counted_as_a_reader_counts_them(shop, tmp_path):
    import pypdfium2

    told = write_papers(shop, "33", tmp_path, kinds=["record"])["papers"][0]

    assert told["pages_count"] == len(pypdfium2.PdfDocument(told["file"]))


def test_of_all_papers_those_with_nothing_to_tell_yet_are_named_with_the_reason(shop, tmp_path):
    told = write_papers(shop, "33", tmp_path, kinds=["receipt", "invoice", "consent"])

    assert [one["kind"] for one in told["papers"]] == ["receipt", "invoice", "consent"]
    assert told["nothing_yet"] == [
        {"kind": "invoice", "because": "nothing was charged"},
        {"kind": "consent", "because": "nobody has agreed to anything"},
    ]


@pytest.mark.slow
def test_the_longest_letter_of_the_demo_stands_on_two_pages(shop, tmp_path):
    lay_out_choices(shop, "33")
    told = write_papers(shop, "33", tmp_path, kinds=["letter"])["papers"][0]

    # Source: four choices, three cautions and four causes; with works in words of the trade it had a third page.
    assert told["pages_count"] == 2
