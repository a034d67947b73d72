"""Labels that quote no words are laid on words by what was read there; look-overs held back are refused."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

import pytest
from teaching.aligned import HELD_BACK, LEAST_SHARE, LOOK_OVERS, aligned, read_folder, share_for
from teaching.answers import COMPONENT_ROWS, COMPONENTS, CONDITION_ROWS, CONDITIONS, STATE_ROWS, STATES, TagNumbers
from teaching.examples import Example, GrammarFinding, example_without_sayings

from underdial.errors import BadInput

CAPTIONS = """WEBVTT

00:01.000 --> 00:03.000
The click is worn.

00:10.000 --> 00:12.000
The dial is loose.

00:20.000 --> 00:22.000
Now then, over here.
"""


@dataclass
class SayingAsRead:
    """A saying of one component, condition and state, all else out of the question."""

    first: int
    last: int
    component: str = "click"
    condition: str = "worn"
    state: str = "present"
    probability: float = 1.0
    components: Sequence[float] = field(init=False)
    conditions: Sequence[float] = field(init=False)
    states: Sequence[float] = field(init=False)

    def __post_init__(self) -> None:
        self.components = [float(one == self.component) for one in COMPONENTS]
        self.conditions = [float(one == self.condition) for one in CONDITIONS]
        self.states = [float(one == self.state) for one in STATES]


def finding(
    start_s: float | None, end_s: float | None, component: str, condition: str, state: str = "present", **more: Any
) -> dict[str, Any]:
    told = {
        "start_s": start_s,
        "end_s": end_s,
        "component": component,
        "of": None,
        "place": None,
        "condition": condition,
        "state": state,
    }
    return {**told, "certainty": 0.9, "significance": None, "decision": None, "who": None, **more}


CLICK, DIAL = finding(1.0, 3.0, "click", "worn"), finding(10.0, 12.0, "dial", "loose")


def look_over(*findings: dict[str, Any], text: str = CAPTIONS) -> Example:
    return example_without_sayings(
        text, {"id": "q01", "file": "q01.vtt", "findings": list(findings), "measurements": []}
    )


def words_of(example: Example) -> dict[str, list[str]]:
    """The words of each saying by the components labelled there."""
    return {
        label.component: [word.text for word in example.words[one.first : one.last + 1]]
        for one in example.sayings
        for label in one.labels
    }


def number_of(example: Example, text: str) -> int:
    return [word.text for word in example.words].index(text)


def write(folder: Path, name: str, text: str, *findings: dict[str, Any], ending: str = "vtt") -> None:
    folder.mkdir(exist_ok=True)
    (folder / f"{name}.{ending}").write_text(text, encoding="utf-8")
    (folder / f"{name}.gold.json").write_text(
        json.dumps({"id": name, "file": f"{name}.{ending}", "findings": list(findings), "measurements": []}),
        encoding="utf-8",
    )


def test_a_label_goes_on_the_saying_that_speaks_most_for_it() -> None:
    example = look_over(CLICK)
    at = number_of(example, "click")
    read = [
        SayingAsRead(at - 1, at - 1, probability=0.3),
        SayingAsRead(at, at + 2, probability=0.6),
        SayingAsRead(at + 2, at + 2, component="dial"),
    ]

    assert words_of(aligned(example, read)) == {"click": ["click", "is", "worn"]}


def test_a_saying_of_another_time_is_not_taken() -> None:
    example = look_over(CLICK)
    elsewhere = number_of(example, "dial")

    assert words_of(aligned(example, [SayingAsRead(elsewhere, elsewhere)])) == {"click": ["worn"]}


def test_what_is_accepted_speaks_for_a_label_too() -> None:
    accepted = finding(1.0, 3.0, "ratchet_wheel", "damaged", accept={"component": ["click"], "condition": ["worn"]})

    assert share_for(accepted, SayingAsRead(0, 0, probability=0.5)) == 0.5  # Derived: 0.5 times three shares of 1
    assert share_for({**accepted, "accept": {}}, SayingAsRead(0, 0)) == 0.0  # Derived: a share of 0 is a factor
    assert share_for({**accepted, "state": "absent"}, SayingAsRead(0, 0)) == 0.0  # Derived: a share of 0 is a factor


def test_shares_are_multiplied() -> None:
    one = SayingAsRead(0, 0, probability=0.5)
    one.components = [0.4 if row == COMPONENT_ROWS["click"] else 0.0 for row in range(len(COMPONENTS))]
    one.conditions = [0.3 if row == CONDITION_ROWS["worn"] else 0.0 for row in range(len(CONDITIONS))]
    one.states = [0.2 if row == STATE_ROWS["present"] else 0.0 for row in range(len(STATES))]

    assert share_for(CLICK, one) == pytest.approx(0.012)  # Derived: 0.5 x 0.4 x 0.3 x 0.2


def test_a_saying_that_hardly_speaks_for_a_label_is_left_for_the_words_of_the_state() -> None:
    example = look_over(CLICK)
    at = number_of(example, "click")

    assert words_of(aligned(example, [SayingAsRead(at, at, probability=2 * LEAST_SHARE)])) == {"click": ["click"]}
    assert words_of(aligned(example, [SayingAsRead(at, at, probability=LEAST_SHARE / 2)])) == {"click": ["worn"]}


def test_the_grammars_finding_says_which_words_of_a_state_are_meant() -> None:
    text = CAPTIONS.replace("The click is worn.", "The dial is cracked, the click is worn.")
    example = look_over(CLICK, text=text)
    worn = number_of(example, "worn")
    found = GrammarFinding("click", None, None, "worn", "present", worn - 2, worn, 1.0, 3.0)

    assert words_of(aligned(replace(example, grammar=(found,)), [])) == {"click": ["worn"]}
    assert words_of(aligned(replace(example, grammar=()), [])) == {"click": ["cracked"]}


def test_without_words_of_a_state_the_last_two_of_the_time_are_taken() -> None:
    assert words_of(aligned(look_over(finding(20.0, 22.0, "click", "worn")), [])) == {"click": ["over", "here"]}


def test_a_label_in_whose_time_nothing_was_said_is_lost_and_counted() -> None:
    example = aligned(look_over(CLICK, finding(30.0, 31.0, "dial", "loose")), [])

    assert words_of(example) == {"click": ["worn"]}
    assert example.lost_count == 1  # Derived: one of the two labels lies behind all that was said


def test_labels_on_the_same_words_are_one_saying() -> None:
    example = aligned(look_over(DIAL, finding(10.0, 12.0, "hour_hand", "loose", who="owner")), [])

    assert [
        [(label.component, label.who, label.part, label.again) for label in one.labels] for one in example.sayings
    ] == [[("dial", "repairer", (), False), ("hour_hand", "owner", (), False)]]


def test_look_overs_with_something_without_time_are_passed_over_and_named(tmp_path: Path) -> None:
    write(tmp_path, "q01", "\ufeff" + CAPTIONS, CLICK, DIAL)
    write(tmp_path, "q02", "The click is worn.\n", finding(None, None, "click", "worn"), ending="txt")
    write(tmp_path, "q03", CAPTIONS, CLICK, finding(None, None, "dial", "loose"))
    asked: list[str] = []

    def read(example: Example) -> list[SayingAsRead]:
        asked.append(example.name)
        return []

    found = read_folder(tmp_path, read)

    assert [words_of(example) for example in found.examples] == [{"click": ["worn"], "dial": ["loose"]}]
    assert found.passed_over == ("q02", "q03")
    assert asked == ["q01"]


@pytest.mark.parametrize("way", ["by name", "by a link", "from inside"])
def test_look_overs_held_back_are_refused(tmp_path: Path, way: str) -> None:
    folder = tmp_path / HELD_BACK
    write(folder, "q01", CAPTIONS, CLICK)
    (folder / "more").mkdir()
    link = tmp_path / "others"
    link.symlink_to(folder)

    def read(_example: Example) -> list[SayingAsRead]:
        raise AssertionError("a look-over held back was read")

    with pytest.raises(BadInput, match="not held back"):
        read_folder({"by name": folder, "by a link": link, "from inside": folder / "more"}[way], read)


def test_the_folder_taught_on_is_not_the_one_held_back() -> None:
    assert LOOK_OVERS.is_dir()
    assert LOOK_OVERS.with_name(HELD_BACK).is_dir()
    assert LOOK_OVERS.name != HELD_BACK


def test_tags_met_later_are_numbered_behind_the_others() -> None:
    first = TagNumbers.met([("part", "dial"), ("state", "loose")])
    later = first.with_met([("part", "click"), ("train", "strike"), ("part", "dial")])

    assert list(later.kinds) == ["part", "state", "train"]
    assert list(later.values) == ["part:dial", "state:loose", "part:click", "train:strike"]
    assert all(later.of(*tag) == first.of(*tag) for tag in (("part", "dial"), ("state", "loose")))
    assert sorted(later.values.values()) == list(range(1, len(later.values) + 1))
