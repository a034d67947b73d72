"""What is said at the bench, and what it says; nothing is ever turned into its opposite."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from underdial import spoken_numbers as numbers
from underdial.errors import BadInput
from underdial.telling import look_over
from underdial.telling.heard import Account, Finding
from underdial.telling.sentences import tags
from underdial.telling.speech import captions

_SENTENCES = [
    line.rsplit("=", 1)
    for line in (Path(__file__).parent / "bench_sentences.txt").read_text(encoding="utf-8").splitlines()
    if line and not line.startswith("#")
]
_PARTS = [
    "third wheel",
    "click",
    "rack tail",
    "bell",
    "pallets",
    "bezel",
    "hour hand",
    "mainspring",
    "hairspring",
    "crutch",
    "fly",
    "back plate",
    "gathering pallet",
    "suspension spring",
]
_THINGS = ["rust", "cracks", "wear", "solder", "scratches", "corrosion", "burrs", "pitting"]
_STATES = ["bent", "cracked", "worn", "broken", "rusty", "loose", "twisted", "scratched"]


def _read(text: str) -> Account:
    """By the grammar alone, whose tests most of these are."""
    return look_over.read(captions.parse(text), layers=look_over.GRAMMAR)


def _shown(one: Finding) -> str:
    sense = {"present": "", "absent": "-", "not_examined": "?"}[one.state]
    return (
        one.component
        + (f"@{one.of}" if one.of else "")
        + (f":{one.place}" if one.place else "")
        + f" {sense}{one.condition}"
    )


@pytest.mark.parametrize(("said", "means"), _SENTENCES, ids=[said.strip() for said, _ in _SENTENCES])
def test_a_sentence_of_the_bench_is_understood(said: str, means: str) -> None:
    account = _read("Movement out on the bench. " + said.strip())

    assert sorted(map(_shown, account.findings)) == sorted(one.strip() for one in means.split(";") if one.strip())


@given(
    st.sampled_from(_PARTS),
    st.sampled_from(_THINGS),
    st.sampled_from(
        [
            "There's no {t} on the {p}.",
            "No {t} on the {p}.",
            "I can't see any {t} on the {p}.",
            "The {p} has no {t}.",
            "The {p} hasn't got any {t}.",
        ]
    ),
)
def test_a_thing_denied_is_never_present(part: str, thing: str, form: str) -> None:
    account = _read("Movement out. " + form.format(p=part, t=thing))

    assert {f.state for f in account.findings} <= {"absent"}


@given(
    st.sampled_from(_PARTS),
    st.sampled_from(_STATES),
    st.sampled_from(
        [
            "The {p} isn't {s}.",
            "The {p} is not {s}.",
            "I don't think the {p} is {s}.",
            "The {p} was never {s}.",
            "It's not the {p} that's {s}.",
        ]
    ),
)
def test_a_state_denied_is_never_present(part: str, state: str, form: str) -> None:
    account = _read("Movement out. " + form.format(p=part, s=state))

    assert {f.state for f in account.findings} <= {"absent"}


@given(
    st.sampled_from(_PARTS),
    st.sampled_from(_STATES),
    st.sampled_from(
        [
            "The {p} is {s}.",
            "The {p}'s {s}.",
            "{p}, {s}.",
            "I think the {p} is {s}.",
            "The {p} is badly {s}, not that it matters.",
        ]
    ),
)
def test_a_state_affirmed_is_never_absent(part: str, state: str, form: str) -> None:
    account = _read("Movement out. " + form.format(p=part, s=state))

    assert "absent" not in {f.state for f in account.findings if f.condition != "good"}


@settings(max_examples=60)
@given(
    st.lists(
        st.sampled_from(
            [
                "the",
                "third",
                "wheel",
                "back",
                "hole",
                "is",
                "not",
                "no",
                "worn",
                "and",
                "but",
                "it's,",
                ".",
                "?",
                "same",
                "again",
                "other",
                "side",
                "strike",
                "apart",
                "from",
                "leave",
                "it",
                "bush",
                "nothing",
                "wrong",
                "with",
                "click",
                "both",
                "all",
                "of",
                "them",
                "point",
                "five",
                "mm",
                "private",
                "carry",
                "on",
                "he",
                "says",
            ]
        ),
        max_size=60,
    )
)
def test_no_order_of_bench_words_breaks_the_reader(words: list[str]) -> None:
    account = _read("Dial good. " + " ".join(words))

    assert all(f.words and f.rule for f in account.findings)


@settings(max_examples=60)
@given(st.text(max_size=300))
def test_no_text_breaks_the_reader(text: str) -> None:
    try:
        transcript = captions.parse(text)
    except BadInput:
        return

    assert look_over.read(transcript) == look_over.read(transcript)


def test_a_hedge_lowers_the_certainty_and_the_lower_of_two_holds() -> None:
    plain, thought, unsure = (
        _read(f"Movement out. {lead}").findings[0].certainty_probability
        for lead in ("The click is bent.", "I think the click is bent.", "I think the click is bent, not sure.")
    )

    # Source: rules of labelling (tests/data/lookovers/README.md): plain 0.9, I think 0.7, not sure 0.3.
    assert (plain, thought, unsure) == (0.9, 0.7, 0.3)


def test_weight_and_decision_go_to_the_fault_they_are_said_of() -> None:
    found = _read(
        "Third wheel. Back hole is oval. That's what stops it. Bush it. Front hole is worn, wouldn't stop it, leave it."
    ).findings

    assert [(f.place, f.significance, f.decision) for f in found] == [
        ("back", "stops", "bush"),
        ("front", "none", "leave"),
    ]


def test_what_is_private_reaches_no_part_of_the_account() -> None:
    account = look_over.read(
        captions.parse(
            "WEBVTT\n\n00:00.000 --> 00:02.000\nDial good. This is private.\n\n00:02.000 --> 00:05.000\nThe bob is "
            "broken and he owes me forty grams.\n\n00:05.000 --> 00:08.000\nCarry on. Bezel good.\n"
        )
    )

    assert [f.component for f in account.findings] == ["dial", "bezel"]
    assert "owes" not in repr(account)
    assert "broken" not in repr(account)
    assert len(account.private) == 1
    assert account.measurements == []


_PRIVATE_WORDS = (
    "Private, the bob is broken. Carry on. Dial good.",
    "Private now. The bob is broken. Carry on. Dial good.",
    "Private please. The bob is broken. Carry on please. Dial good.",
    "This bit is private. The bob is broken. Carry on. Dial good.",
    "So this is private. The bob is broken. Carry on. Dial good.",
    "Keep this private. The bob is broken. Carry on. Dial good.",
    "The crutch is loose, this is private, the bob is broken, carry on, dial good.",
    "the crutch is loose off the record the bob is broken carry on dial good",
    "the crutch is loose private the bob is broken carry on dial good",
    "Private. She said she can't carry on like this. The bob is broken. Carry on. Dial good.",
    "Private. They carry on in the kitchen and the bob is broken. Carry on. Dial good.",
)


@pytest.mark.parametrize("text", _PRIVATE_WORDS)
def test_private_is_heard_however_it_is_said_and_ends_with_the_order_only(text: str) -> None:
    account = _read(text)

    assert "bob" not in repr(account)
    assert account.findings[-1].component == "dial"
    assert len(account.private) == 1
    assert account.warnings == []


def test_a_private_mark_is_a_mark_and_no_order() -> None:
    account = _read("There is a private mark on the back plate. The bob is broken.")

    assert [f.component for f in account.findings][-1] == "bob"
    assert account.private == []


def test_what_could_not_be_reached_is_heard_as_it_is_said_first() -> None:
    account = _read(
        "I could not reach the pallets. Couldn't reach the suspension spring. The rack can't reach the snail."
    )

    assert [(f.component, f.condition) for f in account.findings if f.state == "not_examined"] == [
        ("pallets", "not_accessible"),
        ("suspension_spring", "not_accessible"),
    ]


def test_a_tray_is_heard_where_a_part_goes_into_it() -> None:
    account = _read("The crutch is loose and goes in tray three.")

    assert [(one.order, one.value) for one in account.orders] == [("tray", "three")]
    assert [f.component for f in account.findings] == ["crutch"]


def test_private_without_an_end_lasts_to_the_end() -> None:
    account = look_over.read(captions.parse("Dial good. This is private. The bob is broken. The click is loose."))

    assert [f.component for f in account.findings] == ["dial"]


@pytest.mark.parametrize(
    ("text", "told"),
    [
        (
            "Dial good. Pause. The bob is broken.",
            "“Pause” was said and “carry on” never after: nothing behind it was taken.",
        ),
        (
            "Dial good. This is private. The bob is broken.",
            "“Private” was said and “carry on” never after: nothing behind it was taken.",
        ),
        ("Dial good. Pause. Mind the dog. Carry on. The bob is broken.", None),
        ("Dial good. The bob is broken.", None),
    ],
)
def test_what_was_never_carried_on_is_told(text: str, told: str | None) -> None:
    assert look_over.read(captions.parse(text, name="plain.txt")).warnings == ([told] if told else [])


def test_orders_to_the_recorder_are_handed_on_and_are_no_findings() -> None:
    account = look_over.read(
        captions.parse("Hours start. Dial good. Tray three. Pause. The kettle is bent. Carry on. Hours stop.")
    )

    assert [one.order for one in account.orders] == ["hours_start", "tray", "pause", "carry_on", "hours_stop"]
    assert account.orders[1].value == "three"
    assert [f.component for f in account.findings] == ["dial"]


def test_a_rough_transcript_is_put_right_and_shown_as_a_guess() -> None:
    account = _read(
        "okay so the main string is set now the strike side clique is lose on the rivet and the merge is warn"
    )

    assert [(f.component, f.condition) for f in account.findings] == [
        ("mainspring", "set"),
        ("click", "loose"),
        ("pallets", "worn"),
    ]
    assert all(f.guess for f in account.findings)


def test_the_owners_story_is_facts_and_not_findings() -> None:
    account = _read(
        "The owner says it runs for about three days and stops, and loses ten minutes a day. He wants it going by "
        "Easter. It was last cleaned six years ago. Dial good."
    )

    # Derived: three days and ten minutes, in seconds.
    assert (account.facts.runs_for_s, account.facts.rate_s_per_day) == (259200.0, -600.0)
    assert len(account.facts.owner_requests) == 1
    assert len(account.facts.last_done) == 1
    assert [f.component for f in account.findings] == ["dial"]


def test_a_number_may_be_followed_by_full_at_the_end_of_a_sentence() -> None:
    account = _read("Oil in the sinks, they are four full. The click is loose.")

    assert ("click", "loose") in [(one.component, one.condition) for one in account.findings]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("Beat error three milliseconds, the beat is fine.", 0),
        ("Beat error is four milliseconds, so it is in beat.", 0),
        ("Beat error is eighty milliseconds.", 1),
        ("It is not in beat, beat error eighty milliseconds.", 1),
    ],
)
def test_a_clock_called_in_beat_is_not_out_of_beat_by_its_number(text: str, said: int) -> None:
    account = _read(text)
    # Source: the words.
    assert sum((one.condition, one.state) == ("out_of_beat", "present") for one in account.findings) == said
    assert [one.quantity for one in account.measurements] == ["beat_error"]


@pytest.mark.parametrize(("counting", "part"), [("uk", "bush"), ("us", "pivot_hole")])
def test_counting_settles_what_a_bush_is(counting: str, part: str) -> None:
    found = look_over.read(
        captions.parse("Second wheel. The back bush is worn."),
        settings=look_over.Settings(counting=counting),
        layers=look_over.GRAMMAR,
    ).findings
    # Source: the rules of labelling: an American bushing that is only a worn bearing is the hole.
    assert [one.component for one in found] == [part]


def test_a_rate_is_no_complaint_once_the_clock_was_heard_going() -> None:
    account = look_over.read(
        captions.parse(
            "The swing is two degrees each side. And she is losing three and a half minutes a day.", name="said.txt"
        )
    )
    # Derived: three and a half minutes are 210 s.
    assert [(one.quantity, one.value) for one in account.measurements] == [("half_arc", 2.0), ("rate", -210.0)]
    assert account.facts.rate_s_per_day is None


@pytest.mark.parametrize(
    ("text", "part"),
    [
        ("the third wheel back pilot is scored", "pivot"),
        ("the palates are grooved on both faces", "pallets"),
        ("the rack is straight and the nail is loose", "snail"),
    ],
)
def test_a_name_that_a_recogniser_wrote_as_an_everyday_word_is_put_right(text: str, part: str) -> None:
    found = look_over.read(captions.parse(f"WEBVTT\n\n00:00.000 --> 00:04.000\n{text}\n", name="said.vtt")).findings
    # Source: the words meant.
    assert part in {one.component for one in found}


def test_a_nail_that_catches_is_no_snail() -> None:
    found = look_over.read(
        captions.parse(
            "WEBVTT\n\n00:00.000 --> 00:04.000\nthe rack has a burr you can catch a nail on\n", name="said.vtt"
        )
    ).findings
    assert "snail" not in {one.component for one in found}


@pytest.mark.parametrize("said", ["all over", "all right", "all round"])
def test_all_before_over_or_right_is_no_number_of_parts(said: str) -> None:
    kinds = [item.kind for item in tags.tag(f"the plates are rusty {said}".split())]

    assert "quant" not in kinds
    assert "quant" in [item.kind for item in tags.tag(["all", "the", "plates", "are", "rusty"])]


def test_face_it_and_face_up_name_no_face() -> None:
    for said in ("turned face up", "the side you face", "face it and look"):
        assert [item for item in tags.tag(said.split()) if item.kind == "part"] == []


@given(st.integers(20, 29), st.sampled_from(["thou", "degrees each side", "grams"]))
def test_what_is_read_first_of_all_is_no_year(value: int, unit: str) -> None:
    account = _read(f"The third front hole, {numbers.spoken(value)} {unit}.")

    # Derived: the number as it was put in.
    assert [one.value for one in account.measurements] == [value]
    assert account.facts.last_done == []


@pytest.mark.parametrize(
    "year", ["nineteen eighty-four", "twenty fifteen", "two thousand and three", "nineteen oh six"]
)
def test_a_year_tells_when_it_was_last_worked_on(year: str) -> None:
    account = _read(f"It was {year} when somebody was last in here. The bob is bent.")

    assert account.facts.last_done
    assert account.measurements == []


def test_a_rate_that_is_read_first_of_all_is_no_complaint() -> None:
    account = _read("The rate is two minutes a day slow. The bob is bent.")

    # Derived: two minutes of sixty seconds, slow.
    assert [(one.value, one.unit) for one in account.measurements] == [(-120.0, "s/d")]
    assert account.facts.rate_s_per_day is None


def test_words_without_times_are_written_once() -> None:
    account = _read("The bezel's a bit tarnished. The hands don't touch each other. It's it's bent, the crutch.")

    # Source: the words as they were typed.
    assert [one.words for one in account.findings if one.component in ("bezel", "hands")] == [
        "The bezel's a bit tarnished",
        "The hands don't touch each other",
    ]
