"""Told files: the whole corpus is clean, rendering is the same every time, a broken file says where and what."""

from __future__ import annotations

import hashlib
import json
import os
import re
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from teaching import told
from underdial.errors import BadInput
from underdial.telling.speech import captions

FOLDER = Path(told.__file__).parent / "bench_speech"
ROOT = FOLDER.parents[1]
FILES = sorted(FOLDER.glob("*/*.told"))
# One process reads the folder, not each.
pytestmark = pytest.mark.xdist_group("told files")
SMALL = """\
# clock: thirty-hour longcase, count wheel
# speaker: West Riding, slow
# form: vtt
# stops: yes
# cut: sentence
! complaint runs=3600 rate=-120 "goes an hour and gives up"
! request "keep the label"
Centre arbor, the back pivot's chewed up, and the front wants a lick of polish.
> pivot of=centre_wheel at=back : is scored "chewed up" part="back pivot"
> pivot of=centre_wheel at=front : is scored "wants a lick of polish" part="the front" do=polish or=condition:worn
Hole it sits in, I make that one point four two.
= hole_diameter of=pivot_hole:centre_wheel 1.42 mm
That back one is what stops it.
>> pivot of=centre_wheel at=back : is scored "what stops it" sig=stops c=0.97
"""
# Pinned: our own output. What was learned was learned on these times, so the draws have to keep their order.
_NAME = re.compile(r"\b[A-Z][a-z]+: ")
PINNED_TIMES_S = [(1.117, 6.949), (8.051, 11.831), (12.899, 15.34)]


@pytest.fixture(scope="module", params=["a tenth", pytest.param("all", marks=pytest.mark.slow)])
def chosen(request: pytest.FixtureRequest) -> list[Path]:
    """Look-overs of the folder: all take a minute to read."""
    return FILES if request.param == "all" else FILES[::10]


@pytest.fixture(scope="module")
def corpus(chosen: list[Path]) -> tuple[told.Told, ...]:
    """The look-overs read."""
    return tuple(told.read(path) for path in chosen)


def test_every_told_file_is_clean(chosen: list[Path]) -> None:
    assert chosen
    assert [said for path in chosen if (said := _refusal(lambda path=path: told.read(path)))] == []


def test_every_quoted_word_is_in_the_speech(corpus: tuple[told.Told, ...]) -> None:
    """By another way than the check of told.py: as text with blanks at both ends, not as lists of words."""
    strange = []
    for one in corpus:
        heard = " "
        for saying in one.sayings:
            line = _bare(saying.text)
            heard += line.lstrip()
            strange += [
                (one.name, label.line)
                for label in saying.labels
                if _bare(label.words) not in line or (label.part and _bare(label.part) not in heard)
            ]

    assert strange == []


def test_captions_parse_back_to_the_words_that_were_said(corpus: tuple[told.Told, ...]) -> None:
    for one in corpus:
        rendered = told.render(one)
        transcript = captions.parse(rendered.captions, name=rendered.gold["file"])

        assert transcript.warnings == (), one.name
        # Who speaks is taken off where a caption begins with a name and a colon.
        heard, said = (_NAME.sub("", text) for text in (" ".join(cue.text for cue in transcript.cues), _heard(one)))
        assert heard == said, one.name


@pytest.mark.parametrize("form", told.FORMS)
@pytest.mark.parametrize("cut", told.CUTS)
@pytest.mark.parametrize("stops", [True, False])
def test_one_look_over_in_every_form_holds_the_same_words(form: str, cut: str, stops: bool) -> None:
    rendered = told.render(told.read(FILES[0]), form=form, cut=cut, stops=stops)
    transcript = captions.parse(rendered.captions, name=rendered.gold["file"])

    said = told.plain_words(" ".join(saying.text for saying in told.read(FILES[0]).sayings))
    assert told.plain_words(" ".join(cue.text for cue in transcript.cues)) == said
    assert rendered.gold["file"] == f"a01.{form}"


def test_rendering_is_the_same_twice_and_in_another_run() -> None:
    some = [told.read(path) for path in FILES[::60]]
    script = (
        "import sys; from pathlib import Path; from tests.teaching.test_told import told, digest; "
        "print(*(digest(told.read(Path(p))) for p in sys.argv[1:]))"
    )
    other = subprocess.run(
        [sys.executable, "-c", script, *(str(path) for path in FILES[::60])],
        capture_output=True,
        text=True,
        check=True,
        cwd=ROOT,
        env={**os.environ, "PYTHONHASHSEED": "7", "PYTHONPATH": f"{ROOT}{os.pathsep}{ROOT / 'src'}"},
    )

    assert [digest(one) for one in some] == [digest(one) for one in some] == other.stdout.split()


def test_times_hang_on_the_name_and_have_not_moved() -> None:
    first, second = (told.render(told.parse(SMALL, name=name)) for name in ("A/01.told", "A/02.told"))

    # Pinned: to the millisecond, see above.
    assert [(round(one.start_s, 3), round(one.end_s, 3)) for one in first.timed] == PINNED_TIMES_S
    assert first.captions != second.captions


def test_times_of_sayings_follow_one_another_and_hold_their_cues(corpus: tuple[told.Told, ...]) -> None:
    for one in corpus[::20]:
        rendered = told.render(one)

        assert [timed.saying for timed in rendered.timed] == list(one.sayings)
        assert all(_in_order(before, after) for before, after in zip(rendered.timed, rendered.timed[1:], strict=False))
        # Derived: labels give a time to the millisecond.
        assert {entry["start_s"] for entry in rendered.gold["findings"]} <= {
            round(timed.start_s, 3) for timed in rendered.timed
        }


def test_labels_have_the_keys_of_the_labelled_look_overs() -> None:
    gold = told.render(told.parse(SMALL, name="A/01.told")).gold
    like = json.loads((ROOT / "tests" / "data" / "lookovers" / "o1.gold.json").read_text(encoding="utf-8"))
    back, front = gold["findings"]

    assert gold.keys() == like.keys()
    assert set(like["findings"][0]) <= set(back) | {"accept", "also_s", "flags", "against"}
    # Derived: the lines of SMALL.
    assert (back["place"], back["condition"], back["significance"], back["certainty"], len(back["also_s"])) == (
        "back",
        "scored",
        "stops",
        0.97,
        1,
    )
    assert (front["decision"], front["accept"]) == ("polish", {"condition": ["worn"]})
    # Derived: the head and the number of SMALL.
    assert gold["facts"]["complaint"] == {
        "runs_for_s": 3600.0,
        "rate_s_per_day": -120.0,
        "words": "goes an hour and gives up",
    }
    # Derived: the number of SMALL.
    assert [(one["quantity"], one["value"], one["unit"]) for one in gold["measurements"]] == [
        ("hole_diameter", 1.42, "mm")
    ]


# Derived: the line is that of SMALL, counted.
@pytest.mark.parametrize(
    ("good", "bad", "line", "says"),
    [
        ("# form: vtt", "# form: doc", 3, "form: doc"),
        ("# stops: yes", "# stops: yes\n# stops: no", 5, "head"),
        ("# cut: sentence\n", "", 1, "no # cut:"),
        ("! request", "! wish", 7, "wish"),
        ('rate=-120 "', 'rate=fast "', 6, "fast"),
        ("# clock:", '> pivot : is worn "x"\n# clock:', 1, "a line of speech above"),
        ("> pivot of=centre_wheel at=back", "> privet of=centre_wheel at=back", 9, "component: privet"),
        ('of=centre_wheel at=back : is scored "chewed', 'of=harbour at=back : is scored "chewed', 9, "of: harbour"),
        ('at=back : is scored "chewed', 'at=somewhere : is scored "chewed', 9, "at: somewhere"),
        ('is scored "chewed', 'was scored "chewed', 9, "state: was"),
        ('is scored "chewed', 'is munched "chewed', 9, "condition: munched"),
        ('"chewed up" part', "part", 9, "the words that tell the state"),
        ('"chewed up" part', '"chewed off" part', 9, '"chewed off"'),
        ('part="back pivot"', 'part="top pivot"', 9, '"top pivot"'),
        ("do=polish", "do=dance", 10, "do: dance"),
        ("or=condition:worn", "or=condition:tired", 10, "or=condition: tired"),
        ("or=condition:worn", "val=deep", 10, "val: deep"),
        ("do=polish", "do=polish do=leave", 10, "each piece once"),
        ("= hole_diameter", "= hole_width", 12, "quantity: hole_width"),
        ("1.42 mm", "1.42 furlong", 12, "unit: furlong"),
        ("1.42 mm", "wide mm", 12, "hole_diameter: wide"),
        (">> pivot", "> pivot", 14, "was made in line 9"),
        ('at=back : is scored "what', 'at=both : is scored "what', 14, "only an entry made above"),
        ("c=0.97", "c=97", 14, "c: 97"),
    ],
)
def test_a_broken_file_says_in_one_sentence_where_and_what(good: str, bad: str, line: int, says: str) -> None:
    assert good in SMALL
    said = _refusal(lambda: told.parse(SMALL.replace(good, bad, 1), name="A/01.told"))

    assert said.startswith(f"A/01.told, line {line}: ")
    assert says in said
    assert said.endswith(".")
    assert "\n" not in said


def test_the_command_names_what_is_broken_and_goes_on(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "a").mkdir()
    (tmp_path / "a" / "01.told").write_text(SMALL.replace("hole_diameter", "hole_width"), encoding="utf-8")
    (tmp_path / "a" / "02.told").write_text(SMALL, encoding="utf-8")
    status = told.main([str(tmp_path / "a" / "01.told"), str(tmp_path / "a" / "02.told")])

    assert status == 1
    said = capsys.readouterr().out.splitlines()
    assert said[0].startswith("A/01.told, line 12: quantity")
    assert said[1].startswith("A/02.told: ")
    assert said[1].endswith(" words, 2 findings, 1 numbers")


@pytest.mark.slow
def test_the_counts_of_the_page_are_those_of_the_files() -> None:
    corpus = [told.read(path) for path in FILES]
    page = (FOLDER / "README.md").read_text(encoding="utf-8")
    sayings = [saying for one in corpus for saying in one.sayings]
    findings = [label for saying in sayings for label in saying.labels if not label.again]
    told_counts = (
        len(corpus),
        sum(len(saying.text.split()) for saying in sayings),
        len(findings),
        sum(len(saying.numbers) for saying in sayings),
        sum(not one.stops for one in corpus),
    )

    assert f"| all | {' | '.join(map(str, told_counts))} |" in page
    assert f"{sum(bool(label.accept) for label in findings)} findings" in page


def digest(one: told.Told) -> str:
    """A fingerprint of captions, labels and times."""
    rendered = told.render(one)
    whole = json.dumps([rendered.captions, rendered.gold, [(timed.start_s, timed.end_s) for timed in rendered.timed]])
    return hashlib.sha256(whole.encode()).hexdigest()


def _refusal(read: Callable[[], object]) -> str:
    try:
        read()
    except BadInput as wrong:
        return wrong.message
    return ""


def _bare(text: str) -> str:
    return f" {' '.join(re.findall(r'[a-z0-9%]+', text.lower()))} "


def _heard(one: told.Told) -> str:
    """The words as the captions should have them, from the files alone."""
    text = " ".join(saying.text for saying in one.sayings)
    if one.stops:
        return " ".join(text.split())
    return " ".join(re.sub(r"[.,;:?!\"]+( |$)|(?<= )\"", " ", text).lower().replace("-", " ").split())


def _in_order(before: told.TimedSaying, after: told.TimedSaying) -> bool:
    return before.start_s < before.end_s < after.start_s
