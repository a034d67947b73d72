"""A film that was being taken in when the program was killed is taken up by the next one, and nothing is made twice."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import textwrap
import threading
from collections import Counter
from pathlib import Path
from typing import Any

import pytest

from tests.made_films import WORDS, write_film
from underdial.bench.as_found import filming, heard_apart
from underdial.bench.as_found.laid_down import lay_down, new_place, read_note
from underdial.bench.as_found.taking_in import MOST_BEGUN, Films, Taking
from underdial.bench.counter.receiving import Received
from underdial.bench.rounds.proving import release_clock
from underdial.bench.shop import Shop, clock_page
from underdial.capture import speech
from underdial.errors import RuleBroken

PRIVATE = WORDS + b"\n00:00:05.100 --> 00:00:05.600\nPrivate.\n\n00:00:05.600 --> 00:00:06.000\nHe owes me money.\n"
# Takes a film in, or takes up what lies there, and waits to be killed at the place that is named.
PROGRAM = textwrap.dedent("""
    import os, sys, threading, time
    from pathlib import Path
    from underdial.bench.as_found import filming, laid_down, taking_in
    from underdial.bench.as_found.laid_down import Laid
    from underdial.bench.shop import open_shop

    shop, film, captions, where = sys.argv[1:]

    def stand_still(owner, name, *, call=1, after=False):
        real, calls = getattr(owner, name), [0]
        def instead(*given, **named):
            calls[0] += 1
            if calls[0] == call and not after:
                os.write(1, b"here\\n")
                time.sleep(600)
            kept = real(*given, **named)
            if calls[0] == call and after:
                os.write(1, b"here\\n")
                time.sleep(600)
            return kept
        setattr(owner, name, instead)

    {
        "it is laid down": lambda: stand_still(taking_in.Films, "_take"),
        "it is begun": lambda: stand_still(Laid, "begin", after=True),
        "its note is ahead of the record": lambda: stand_still(Laid, "keep_heard", after=True),
        "its findings are kept": lambda: stand_still(filming, "_keep_stills"),
        "a still is on the disk only": lambda: stand_still(filming, "name_file"),
        "one still is kept": lambda: stand_still(filming, "_keep_still", call=2),
        "its stills are kept": lambda: stand_still(filming, "_keep_recording"),
        "the film is on the disk only": lambda: stand_still(filming, "name_file", call=3),
        "the film is kept": lambda: stand_still(Laid, "clear"),
    }[where]()
    films = taking_in.Films(open_shop(Path(shop)))
    if film:
        path = films.place("drum", "look.mp4", has_captions=True)
        path.write_bytes(Path(film).read_bytes())
        words = Path(captions).read_bytes()
        os.write(1, films.begin("drum", path, name="look.mp4", captions_text=words).encode() + b"\\n")
    else:
        films.take_up()
    for name in ("taking up", "taking in"):
        for one in threading.enumerate():
            if one.name == name:
                one.join()
""")


def killed(shop: Shop, where: str, film: Path | None = None, captions: bytes = WORDS) -> str:
    """Kill a program when it has come to a place; the word of the film it was handed, if it was."""
    words = shop.folder / "words.vtt"
    words.write_bytes(captions)
    command = [sys.executable, "-c", PROGRAM, str(shop.folder), str(film or ""), str(words), where]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as process:
        assert process.stdout is not None
        said: set[str] = set()
        for line in process.stdout:
            said.add(line.strip())
            if "here" in said and (film is None or len(said) > 1):
                break
        os.kill(process.pid, signal.SIGKILL)
    assert "here" in said
    words.unlink()
    return "".join(said - {"here"})


def taken_up(shop: Shop) -> dict[str, Taking]:
    """What the next program makes of it, once all of it has ended."""
    films = Films(shop)
    films.take_up()
    joined()
    return dict(films.takings)


def joined() -> None:
    for name in ("taking up", "taking in"):
        for one in threading.enumerate():
            if one.name == name:
                one.join()


def kept(shop: Shop) -> dict[str, Any]:
    """What of a film stands in the record."""
    page = clock_page(shop, "drum")
    kinds = {one.id: one.kind for one in page.attachments}
    return {
        "files": dict(Counter(kinds.values())),
        "look_overs": [kinds.get(one.attachment_id or "") for one in page.look_overs],
        "findings": sorted(
            (one.component, sum(proof.kind == "picture" for proof in one.evidence)) for one in page.findings
        ),
    }


# Derived: the captions name two things more than a second apart, so two findings with a still each; the look-over names
# the film.
WHOLE = {
    "files": {"captions": 1, "picture": 2, "film": 1},
    "look_overs": ["film"],
    "findings": [("crutch", 1), ("pivot", 1)],
}


@pytest.fixture(scope="module")
def film(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return write_film(tmp_path_factory.mktemp("made") / "look.mp4")


@pytest.mark.parametrize(
    "where",
    [
        "it is laid down",
        "it is begun",
        "its note is ahead of the record",
        "its findings are kept",
        "a still is on the disk only",
        "one still is kept",
        "its stills are kept",
        "the film is on the disk only",
        "the film is kept",
    ],
)
def test_a_killed_program_loses_no_film_and_the_next_one_makes_nothing_twice(
    shop: Shop, drum: Received, film: Path, where: str
) -> None:
    word = killed(shop, where, film)
    taking = taken_up(shop)[word]

    assert taking.refused is None
    assert taking.filmed is not None
    assert taking.filmed.taken is not None
    # Derived: as in WHOLE
    assert (len(taking.filmed.taken.findings), taking.filmed.stills_count) == (2, 2)
    assert kept(shop) == WHOLE
    assert list((shop.folder / ".incoming").iterdir()) == []
    assert taken_up(shop) == {}


def test_a_film_with_something_private_in_it_is_not_kept_after_a_cut_either(
    shop: Shop, drum: Received, film: Path
) -> None:
    word = killed(shop, "its findings are kept", film, PRIVATE)
    taking = taken_up(shop)[word]
    found = kept(shop)

    assert taking.filmed is not None
    assert any("The recording itself is not kept" in one for one in taking.filmed.warnings)
    assert found["look_overs"] == [None]
    assert set(found["files"]) == {"picture"}
    assert [component for component, _ in found["findings"]] == ["crutch", "pivot"]


def test_what_was_amiss_in_the_hearing_is_still_said_after_a_cut(shop: Shop, drum: Received, film: Path) -> None:
    pauses = WORDS + b"\n00:00:05.100 --> 00:00:05.600\nPause.\n\n00:00:05.600 --> 00:00:06.000\nThe dial is cracked.\n"
    word = killed(shop, "its findings are kept", film, pauses)
    taking = taken_up(shop)[word]

    assert taking.filmed is not None
    assert sum("Pause" in one for one in taking.filmed.warnings) == 1


def test_a_film_that_took_the_program_down_twice_is_not_begun_again_and_goes_after_two_days(
    shop: Shop, drum: Received, film: Path
) -> None:
    word = killed(shop, "its findings are kept", film)
    killed(shop, "one still is kept")
    taking = taken_up(shop)[word]
    before = kept(shop)
    own = taking.laid.path.parent

    assert taking.laid.note.begun_count == MOST_BEGUN
    assert taking.refused is not None
    assert "it is not begun again; what was heard of it is kept" in taking.refused
    # Derived: each beginning heard nothing anew, and the second made one still.
    assert before == {
        "files": {"captions": 1, "picture": 1},
        "look_overs": ["captions"],
        "findings": [("crutch", 0), ("pivot", 1)],
    }
    assert taking.laid.path.read_bytes() == film.read_bytes()
    long_ago_s = shop.now().timestamp() - 49 * 3600.0
    os.utime(own, (long_ago_s, long_ago_s))
    assert taken_up(shop) == {}
    assert not own.exists()


def test_a_stopped_film_is_not_taken_up_after_a_cut(shop: Shop, drum: Received, film: Path) -> None:
    films = Films(shop)
    path = films.place("drum", "look.mp4", has_captions=True)
    path.write_bytes(film.read_bytes())
    with films.one_at_a_time:
        word = films.begin("drum", path, name="look.mp4", captions_text=WORDS)
        there = (path.parent / "note.json").exists()
        films.stop("drum", word)
        after = (path.parent / "note.json").exists()
    joined()

    assert (there, after) == (True, False)
    assert not path.parent.exists()


def test_a_film_in_the_hand_of_one_program_is_not_taken_up_by_another(shop: Shop, drum: Received, film: Path) -> None:
    films = Films(shop)
    path = films.place("drum", "look.mp4", has_captions=True)
    path.write_bytes(film.read_bytes())
    with films.one_at_a_time:
        films.begin("drum", path, name="look.mp4", captions_text=WORDS)
        other = Films(shop)
        other.take_up()
        for one in threading.enumerate():
            if one.name == "taking up":
                one.join()
    joined()

    assert dict(other.takings) == {}
    assert kept(shop) == WHOLE


def test_closing_in_order_leaves_what_waits_uncounted_and_takes_away_what_came_in_part(
    shop: Shop, drum: Received, film: Path
) -> None:
    films = Films(shop)
    part = films.place("drum", "part.mp4", has_captions=True)
    part.write_bytes(b"half")
    path = films.place("drum", "look.mp4", has_captions=True)
    path.write_bytes(film.read_bytes())
    with films.one_at_a_time:
        word = films.begin("drum", path, name="look.mp4", captions_text=WORDS)
        films.close()
    joined()
    note = read_note(path.parent)

    assert not part.parent.exists()
    assert note.begun_count == 0
    assert taken_up(shop)[word].filmed is not None
    assert kept(shop) == WHOLE


def test_a_film_whose_clock_has_gone_is_told_in_a_sentence_and_stays(shop: Shop, drum: Received, film: Path) -> None:
    path = new_place(shop.folder / ".incoming", "look.mp4")
    path.write_bytes(film.read_bytes())
    lay_down(path, tag="gone", name="look.mp4", captions_text=WORDS).let_go()
    taking = taken_up(shop)[path.parent.name]

    assert taking.refused is not None
    assert taking.refused.startswith("film: look.mp4 cannot be taken in now and is tried again")
    assert "gone" in taking.refused
    assert path.exists()


@pytest.mark.skipif(os.name == "nt", reason="the end by a signal is told only elsewhere")
def test_a_recogniser_that_is_ended_from_outside_costs_no_film(
    shop: Shop, drum: Received, film: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    ended = tmp_path / "ended"
    ended.write_text("#!/bin/sh\nkill -TERM $$\n")
    ended.chmod(0o755)
    monkeypatch.setattr(speech, "free_recogniser_there", lambda: True)
    films = Films(shop)
    path = films.place("drum", "look.mp4", has_captions=False)
    path.write_bytes(film.read_bytes())
    with monkeypatch.context() as outside:
        outside.setattr(heard_apart.sys, "executable", str(ended))
        word = films.begin("drum", path, name="look.mp4")
        joined()
    refused = films.find("drum", word).refused
    uncounted = read_note(path.parent).begun_count
    # Words beside the recording are taken before the recogniser, which need not be installed here.
    path.with_suffix(".vtt").write_bytes(WORDS)
    taking = taken_up(shop)[word]

    assert refused == "The hearing of look.mp4 was ended from outside; it begins again when Underdial is next started."
    assert uncounted == 0
    assert taking.filmed is not None
    assert kept(shop) == WHOLE


def test_a_film_laid_down_before_its_clock_went_home_is_taken_in_and_a_later_one_refused(
    shop: Shop, drum: Received, tmp_path: Path
) -> None:
    film = write_film(tmp_path / "look.mp4")
    release_clock(shop, "drum", person_id=drum.person_ids[0], why="she wants it back")
    filming.take_in_recording(shop, "drum", film, name="look.mp4", captions_text=WORDS)

    assert kept(shop)["files"]["film"] == 1
    assert {one.visit_id for one in clock_page(shop, "drum").findings} == {drum.visit_id}
    with pytest.raises(RuleBroken, match="went home on 2 March 2026; receive it again"):
        Films(shop).place("drum", "look.mp4", has_captions=True)
