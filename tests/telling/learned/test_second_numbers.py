"""The numbers of both readings: which words are numbers, and what stays, falls and is added when the two disagree."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from underdial import spoken_numbers as numbers
from underdial.telling.heard import Measurement
from underdial.telling.learned import second_numbers
from underdial.telling.learned.sayings import NumberSaid
from underdial.telling.learned.second_numbers import measured_again
from underdial.telling.measurements.number_words import NumberWords, number_words
from underdial.telling.sentences import clauses
from underdial.telling.speech import captions, words
from underdial.telling.speech.words import Word


def sentences_of(text: str) -> list[tuple[Word, ...]]:
    cue = f"WEBVTT\n\n00:00.000 --> 00:30.000\n{text}\n"
    return list(clauses.sentences(words.split(captions.parse(cue, name="a.vtt").cues)))


def said(
    number: NumberWords,
    probability: float,
    *,
    unit: str = "thou",
    quantity: str = "diameter",
    part_probability: float = 0.9,
) -> NumberSaid:
    return NumberSaid(number, probability, unit, 0.9, quantity, 0.9, "pivot", "third_wheel", part_probability)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        # Source: the words themselves; a thou is a thousandth of an inch, a spoken tenth here a tenth of a millimetre.
        ("Sixty-two on the good end.", [(62.0, 62.0, None)]),
        ("It is six thou.", [(6.0, 6.0, "thou")]),
        ("Seven hundredths behind.", [(7.0, 0.07, "mm")]),
        ("About a tenth.", [(1.0, 0.1, "mm")]),
        ("Point one five in front, two turns behind.", [(0.15, 0.15, None), (2.0, 2.0, "turns")]),
        ("That one is loose.", []),
        ("One turn left.", [(1.0, 1.0, "turns")]),
        ("Three pounds two, and two pound ten ounces.", [(3.0, 3.125, "lb"), (2.0, 2.625, "lb")]),
        ("Four turns and a half.", [(4.0, 4.5, "turns")]),
        ("Nine pounds and two ounces, a pound and three ounces.", [(9.0, 9.125, "lb"), (1.0, 1.1875, "lb")]),
        ("Three kilos sixty grams, two kilos nine hundred and eighty.", [(3.0, 3.06, "kg"), (2.0, 2.98, "kg")]),
        (
            "One millimetre thirty the long way, two millimetres and five hundredths.",
            [(1.0, 1.3, "mm"), (2.0, 2.05, "mm")],
        ),
        ("Two degrees and half, forty odd milliseconds.", [(2.0, 2.5, "deg"), (40.0, 40.0, "ms")]),
        ("The front one eighty-two hundredths, the new one point one.", [(82.0, 0.82, "mm"), (0.1, 0.1, None)]),
        ("Twenty-two minutes slow on the day.", [(22.0, -1320.0, "s/d")]),
        ("Plus one minute forty, then minus nine seconds.", [(1.0, 100.0, "s/d"), (9.0, -9.0, "s/d")]),
        ("One and three eighths high, five sixteenths wide.", [(1.375, 1.375, "in"), (0.3125, 0.3125, "in")]),
        ("One degree and five minutes.", [(1.0, 1.083333, "deg")]),
        (
            "Point four, the hole point four two two hundredths over.",
            [(0.4, 0.4, None), (0.42, 0.42, None), (2.0, 0.02, "mm")],
        ),
    ],
)
def test_every_number_is_found_with_its_unit(text: str, expected: list[tuple[float, float, str | None]]) -> None:
    assert [(one.spoken, pytest.approx(one.value), one.unit) for one in number_words(sentences_of(text))] == expected


def test_a_tenth_is_what_the_bench_says() -> None:
    # Derived: a US tenth is a ten thousandth of an inch, 0.00254 mm.
    assert number_words(sentences_of("A tenth."), tenth_mm=0.00254)[0].value == pytest.approx(0.00254)


def test_numbers_point_at_their_words_in_the_whole_look_over() -> None:
    heard = sentences_of("The dial is loose. Front pivot sixty-two, back pivot fifty eight.")
    all_words = [word.text for sentence in heard for word in sentence]
    found = number_words(heard)
    # Source: the words of the text.
    assert [" ".join(all_words[one.first : one.last + 1]) for one in found] == ["sixty two", "fifty eight"]
    assert [one.sentence for one in found] == [1, 1]


@given(st.floats(0.01, 900, allow_nan=False).map(lambda value: round(value, 3)))
def test_a_spoken_number_is_found_once(value: float) -> None:
    found = number_words(sentences_of(f"I make that {numbers.spoken(value)} millimetres across."))
    # Derived: the value that was put into words.
    assert [(one.value, one.unit) for one in found] == [(pytest.approx(value), "mm")]


HEARD = sentences_of("Third pivot is sixty-two. Dial is a twelve inch.")
WORDS = [word for sentence in HEARD for word in sentence]
SIXTY_TWO, TWELVE_INCH = number_words(HEARD)


def measured(number: NumberWords, quantity: str = "length") -> Measurement:
    return Measurement(
        quantity,
        "dial",
        number.value,
        number.unit or "mm",
        WORDS[number.first].start_s,
        "as the grammar has it",
        sentence=number.sentence,
    )


def test_a_number_passed_over_is_added_in_the_unit_it_was_read_in() -> None:
    added = measured_again([], [said(SIXTY_TWO, 0.9), said(TWELVE_INCH, 0.1)], WORDS)
    # Source: the words of the text; unit and part as the learned reading says.
    assert [(one.value, one.unit, one.quantity, one.of, one.sentence) for one in added] == [
        (62.0, "thou", "diameter", "pivot:third_wheel", 0)
    ]
    assert added[0].words == "Third pivot is sixty two"


def test_what_the_grammar_passed_over_for_certain_must_be_surer() -> None:
    passed_over = frozenset({WORDS[SIXTY_TWO.first].start_s})
    for probability, count in (
        (second_numbers.ADD_AGAINST_PROBABILITY - 0.01, 0),
        (second_numbers.ADD_AGAINST_PROBABILITY, 1),
    ):
        # Derived: the bound for numbers that the grammar took for a wish, a question or a slip.
        assert len(measured_again([], [said(SIXTY_TWO, probability)], WORDS, passed_over=passed_over)) == count


def test_a_unit_that_was_spoken_stays() -> None:
    # Source: the words of the text say inches.
    assert [one.unit for one in measured_again([], [said(TWELVE_INCH, 0.9, unit="mm")], WORDS)] == ["in"]


def test_what_surely_measures_nothing_is_taken_away() -> None:
    own = measured(TWELVE_INCH)
    for probability, kept in (
        (second_numbers.KEEP_PROBABILITY - 0.01, []),
        (second_numbers.KEEP_PROBABILITY + 0.01, [own]),
    ):
        assert measured_again([own], [said(TWELVE_INCH, probability, part_probability=0.1)], WORDS) == kept


def test_a_rate_is_only_taken_away_when_it_is_very_likely_none() -> None:
    own = replace(measured(TWELVE_INCH), unit="s/d")
    for probability, kept in (
        (second_numbers.KEEP_RATE_PROBABILITY - 0.01, []),
        (second_numbers.KEEP_RATE_PROBABILITY + 0.01, [own]),
    ):
        assert measured_again([own], [said(TWELVE_INCH, probability, part_probability=0.1)], WORDS) == kept


def test_a_measurement_of_both_readings_is_one_and_keeps_its_value() -> None:
    own = measured(SIXTY_TWO)
    both = measured_again([own], [said(SIXTY_TWO, 0.99)], WORDS)
    assert [(one.value, one.unit, one.words) for one in both] == [(own.value, own.unit, own.words)]


def test_part_and_quantity_are_the_learned_ones_where_these_are_sure() -> None:
    for part_probability, expected in ((0.9, ("diameter", "pivot:third_wheel")), (0.3, ("length", "dial"))):
        both = measured_again([measured(SIXTY_TWO)], [said(SIXTY_TWO, 0.99, part_probability=part_probability)], WORDS)
        # Source: what the learned reading was made to say, or what the grammar had.
        assert [(one.quantity, one.of) for one in both] == [expected]


def test_a_unit_that_nobody_spoke_is_the_learned_one_where_it_is_sure() -> None:
    heard = sentences_of("Plus eight point five, dial up. It is eight point five millimetres.")
    all_words = [word for sentence in heard for word in sentence]
    bare, spoken = number_words(heard)
    own = [
        Measurement("length", None, 8.5, "mm", all_words[one.first].start_s, sentence=one.sentence)
        for one in (bare, spoken)
    ]
    both = measured_again(own, [said(one, 0.99, unit="s/d", quantity="rate") for one in (bare, spoken)], all_words)
    # Source: the words; a unit that was spoken stays.
    assert [(one.value, one.unit) for one in both] == [(8.5, "s/d"), (8.5, "mm")]


def test_a_width_of_many_whole_millimetres_was_told_in_hundredths() -> None:
    number = number_words(sentences_of("Plug one fifty-two goes."))[0]
    words_said = [word for sentence in sentences_of("Plug one fifty-two goes.") for word in sentence]
    # Source: 152 hundredths of a millimetre; a spring 152 mm wide when it lies open is no width of this kind.
    assert [
        one.value for one in measured_again([], [said(number, 0.9, unit="mm", quantity="hole_diameter")], words_said)
    ] == [1.52]
    assert [one.value for one in measured_again([], [said(number, 0.9, unit="mm", quantity="spread")], words_said)] == [
        152.0
    ]


def test_beats_counted_an_hour_are_no_rate() -> None:
    heard = [
        word
        for sentence in sentences_of("I count nine thousand nine hundred and ninety-seven an hour.")
        for word in sentence
    ]
    number = number_words(sentences_of("I count nine thousand nine hundred and ninety-seven an hour."))[0]
    # Source: the words.
    assert [
        (one.value, one.unit, one.quantity)
        for one in measured_again([], [said(number, 0.9, unit="s/d", quantity="rate")], heard)
    ] == [(9997.0, "/h", "beat_rate")]


def test_a_quantity_is_told_in_a_unit_of_its_own() -> None:
    # Source: the units of the vocabulary; a diameter is no mass, a weight of two pounds is.
    assert [
        one.quantity
        for one in measured_again(
            [],
            [
                said(SIXTY_TWO, 0.9, unit=unit, quantity=quantity)
                for unit, quantity in (("lb", "diameter"), ("lb", "mass"), ("teeth", "tooth_count"))
            ],
            WORDS,
        )
    ] == ["mass", "mass", "tooth_count"]


def test_a_measurement_that_is_no_single_number_stays_in_its_order() -> None:
    counted = replace(measured(TWELVE_INCH), value=5.0, unit="turns", start_s=None)
    both = measured_again([counted], [said(SIXTY_TWO, 0.9)], WORDS)
    # Source: the order of the words; the count was said in the second sentence.
    assert [one.value for one in both] == [62.0, 5.0]


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("It is losing, I make it forty on the day.", -40.0),
        ("Gains, I make it forty on the day.", 40.0),
        ("Minus nine on the day.", -9.0),
    ],
)
def test_a_rate_is_slow_when_it_was_said_to_be(text: str, value: float) -> None:
    heard = sentences_of(text)
    all_words = [word for sentence in heard for word in sentence]
    # Source: the words; gaining is positive.
    assert [
        one.value
        for one in measured_again(
            [], [said(number, 0.9, unit="s/d", quantity="rate") for number in number_words(heard)], all_words
        )
    ] == [value]
