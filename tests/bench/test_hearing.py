"""Captions taken in: all that was said is kept, or nothing of it."""

from __future__ import annotations

from pathlib import Path

import pytest

from underdial.bench.as_found import hearing
from underdial.bench.as_found.hearing import hear_captions
from underdial.bench.as_found.told_recorder import hours_words, trays_said, write_trays
from underdial.bench.counter.receiving import Received
from underdial.bench.shop import Shop, clock_page, history_of
from underdial.errors import BadInput
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


SAID_TO_RECORDER = b"""WEBVTT

00:00:01.000 --> 00:00:02.000
Hours start.

00:00:02.000 --> 00:00:06.000
The crutch is loose.

00:00:06.000 --> 00:00:08.000
Tray three.

00:00:08.000 --> 00:00:12.000
The bell is cracked and goes in tray five.

00:20:01.000 --> 00:20:02.000
Hours stop.
"""


def test_trays_and_hours_said_to_the_recorder_are_kept(shop: Shop, drum: Received) -> None:
    hear_captions(shop, drum.tag, SAID_TO_RECORDER, file_name="drum.vtt")
    look_over = clock_page(shop, drum.tag).look_overs[0]

    assert [(one.name, one.component) for one in look_over.trays] == [("three", "crutch"), ("five", "bell")]
    # Derived: from the second second to the second second after twenty minutes
    assert [(one.start_s, one.end_s) for one in look_over.hours] == [(1.0, 1201.0)]
    assert hours_words(look_over) == "hours: 20 min, from 0:01 to 20:01"


def test_hours_that_never_stop_are_told_and_not_counted(shop: Shop, drum: Received) -> None:
    taken = hear_captions(
        shop,
        drum.tag,
        b"WEBVTT\n\n00:00:01.000 --> 00:00:02.000\nHours start.\n\n"
        b"00:00:02.000 --> 00:00:04.000\nThe bell is cracked.\n",
        file_name="drum.vtt",
    )

    assert taken.look_over.hours == ()
    assert (
        "“Hours start” was said at 0:01 and “hours stop” never after; that stretch was not counted." in taken.warnings
    )


def test_a_tray_is_written_when_somebody_says_so_and_once(shop: Shop, drum: Received) -> None:
    hear_captions(shop, drum.tag, SAID_TO_RECORDER, file_name="drum.vtt")
    assert clock_page(shop, drum.tag).custody == ()

    with pytest.raises(BadInput, match="nothing is named"):
        write_trays(shop, drum.tag, [("tray three", " ")])
    assert write_trays(shop, drum.tag, [("tray three", "crutch"), ("tray five", "")]) == 1
    page = clock_page(shop, drum.tag)

    assert [(one.kind, one.where, one.what) for one in page.custody] == [("here", "tray three", "crutch")]
    assert [(one.name, one.written) for one in trays_said(page)] == [("tray three", True), ("tray five", False)]


def test_captions_of_another_kind_of_text_are_read_and_what_holds_nothing_says_why(shop: Shop, drum: Received) -> None:
    taken = hear_captions(shop, drum.tag, "The bell is cracked.".encode("utf-16"), file_name="notes.txt")
    assert [one.component for one in taken.findings] == ["bell"]

    for content, told in (
        (b" \n", "file: a.txt is empty."),
        (
            "Das dritte Rad ist lose und der Zapfen ist nicht mehr gut, die Feder ist auch müde.".encode(),
            "file: nothing in a.txt speaks of a part of a clock. 1 caption is in another language (German, it seems) "
            "and was left out.",
        ),
        (b"\x81\xff\xfe", "its ending is none of sound or film"),
    ):
        with pytest.raises(BadInput) as refused:
            hear_captions(shop, drum.tag, content, file_name="a.txt")
        assert told in refused.value.message
