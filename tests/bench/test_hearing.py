"""Captions taken in: all that was said is kept, or nothing of it."""

from __future__ import annotations

from pathlib import Path

import pytest

from underdial.bench.as_found import hearing
from underdial.bench.as_found.hearing import hear_captions
from underdial.bench.counter.receiving import Received
from underdial.bench.shop import Shop, clock_page, history_of
from underdial.store.soundness import problems_of

SAID = b"""WEBVTT

00:00:02.000 --> 00:00:06.000
Third wheel, back pivot hole, worn oval, contributes.

00:00:08.000 --> 00:00:12.000
The owner says it stops after twenty minutes.
"""


def test_what_was_said_is_written_at_one_moment(shop: Shop, drum: Received) -> None:
    before = len(history_of(shop, drum.tag))
    taken = hear_captions(shop, drum.tag, SAID, file_name="drum.vtt")
    page = clock_page(shop, drum.tag)
    events = history_of(shop, drum.tag)[before:]

    assert [one.id for one in page.findings] == [one.id for one in taken.findings]
    assert [one.kind for one in page.attachments] == ["captions"]
    assert len({one.at for one in events}) == 1  # Derived: one transaction has one time
    assert {"attachment", "look_over", "finding", "visit"} <= {one.record for one in events}


def test_a_fault_in_the_last_write_leaves_nothing_of_it(
    shop: Shop, drum: Received, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = clock_page(shop, drum.tag)
    monkeypatch.setattr(hearing, "_keep_story", lambda at, account: 1 / 0)

    with pytest.raises(ZeroDivisionError):
        hear_captions(shop, drum.tag, SAID, file_name="drum.vtt")
    assert clock_page(shop, drum.tag) == before
    assert list(problems_of(shop.engine, Path(shop.attachments))) == []


@pytest.mark.parametrize(
    "said", ["The bell is cracked. It was cleaned two years ago.", "It was cleaned two years ago."]
)
def test_what_was_done_before_is_kept_where_it_is_all_that_is_told(shop: Shop, drum: Received, said: str) -> None:
    taken = hear_captions(
        shop, drum.tag, f"WEBVTT\n\n00:00:02.000 --> 00:00:06.000\n{said}\n".encode(), file_name="drum.vtt"
    )
    page = clock_page(shop, drum.tag)

    assert page.visit.last_done == ("It was cleaned two years ago",)
    assert page.look_overs[0].last_done == page.visit.last_done
    assert any("Nothing was said of a part" in one for one in taken.warnings) == (not taken.findings)


def test_a_story_told_twice_changes_the_visit_once(shop: Shop, drum: Received) -> None:
    content = b"WEBVTT\n\n00:00:02.000 --> 00:00:06.000\nThe bell is cracked. It was cleaned two years ago.\n"
    hear_captions(shop, drum.tag, content, file_name="drum.vtt")
    told = clock_page(shop, drum.tag).visit
    before = [one for one in history_of(shop, drum.tag) if one.record == "visit"]
    hear_captions(shop, drum.tag, content, file_name="again.vtt")

    assert clock_page(shop, drum.tag).visit == told
    assert [one for one in history_of(shop, drum.tag) if one.record == "visit"] == before
