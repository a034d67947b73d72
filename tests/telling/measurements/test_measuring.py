"""Spoken numbers with their units: what is measured, in which unit."""

from __future__ import annotations

import pytest

from underdial.telling import look_over
from underdial.telling.speech import captions

# Derived: each sentence worked out by hand; ranges give both ends.
_MEASURED = {
    "The pivot's point four four.": [(0.44, "mm")],
    "Six thou of slop in the third hole.": [(6.0, "thou")],
    "About four to five thou.": [(4.0, "thou"), (5.0, "thou")],
    "Amplitude's one eighty each way.": [(180.0, "deg")],
    "The weight is thirteen pound and a half.": [(13.5, "lb")],
    "I count a turn and a half on the mainspring.": [(1.5, "turns")],
    "Two hundredths out in the round.": [(0.02, "mm")],
    "Beat error is four milliseconds.": [(4.0, "ms")],
    "It ought to be one point two millimetres.": [],
    "Job forty one came in at nine o'clock.": [],
    "Two teeth are bent.": [],
    "It's ninety five, no, ninety degrees each way.": [(90.0, "deg")],
    "Inch and a quarter long.": [(1.25, "in")],
    "Rate minus four hundred and ten seconds a day.": [(-410.0, "s/d")],
    "I read plus twelve seconds a day, it was losing before.": [(12.0, "s/d")],
    "The rate reads one seventy slow.": [(-170.0, "s/d")],
    "Balance swings a hundred and eighty all told.": [(180.0, "deg")],
    "The chain is a metre and a half.": [(1.5, "m")],
    "A kilo and a half, that weight.": [(1.5, "kg")],
    "Side shake is a tenth and a half.": [(0.15, "mm")],
    "Endshake, a good millimetre.": [(1.0, "mm")],
    "Warning run is a fifth of a turn.": [(0.2, "turns")],
    "Give it a turn, and it's a good turn of the key.": [],
    "The rod is nineteen centimeters long.": [(19.0, "cm")],
    "Weights. Going and quarter, two pound six apiece.": [(2.375, "lb")],
    "Half a millimetre of runout. No, less, three tenths.": [(0.3, "mm")],
    "Half a millimetre of runout. Sorry, four milliseconds of beat error.": [(0.5, "mm"), (4.0, "ms")],
    "A tenth? I make it eight hundredths.": [(0.08, "mm")],
    "The spring is eighteen thou thick, where fourteen thou would be usual.": [(18.0, "thou")],
    "The clearance is two tenths, and I like one tenth.": [(0.2, "mm")],
    "A link is mended, two hundred millimetres from the barrel end.": [],
    "The going weight is nine pound. Strike one is good.": [(9.0, "lb")],
    "Swing, two degrees and three quarters each side.": [(2.75, "deg")],
    "The swing's one degree and four tenths a side.": [(1.4, "deg")],
    "The spring's the right height, one and three eighths.": [(1.375, "in")],
    "It swings two hundred degrees, and a healthy one does over two fifty.": [(200.0, "deg")],
    "Swing two hundred degrees, two fifty wanted.": [(200.0, "deg")],
    "The weights are fifteen hundred and four grams, fifteen hundred and one, fourteen ninety-nine.": [
        (1504.0, "g"),
        (1501.0, "g"),
        (1499.0, "g"),
    ],
    "The weight is eleven pounds and one half.": [(11.5, "lb")],
    "Let down, five turns and one half.": [(5.5, "turns")],
    "Holes, front plus three hundredths, back plus five.": [(0.03, "mm"), (0.05, "mm")],
    "Front hole, seventy-one thou, back seventy-two.": [(71.0, "thou"), (72.0, "thou")],
    "Front, ten hundredths, worn. Back, twelve, worn.": [(0.1, "mm"), (0.12, "mm")],
    "The hole at the front, twenty-two thou, and the back, two scores.": [(22.0, "thou")],
    "Second, front, one point six two on the gauge, pivot one point five eight.": [(1.62, "mm"), (1.58, "mm")],
    "It does seven thousand and ninety beats in the hour.": [(7090.0, "/h")],
    "Back hole, one hundred and eighteen thou, pivot one twelve.": [(118.0, "thou"), (112.0, "thou")],
    "The pivot's forty-eight thou, and might clean up to forty-six thou.": [(48.0, "thou")],
    "Deepen the sink, five hundredths will do.": [],
    "Its pinion of seven, clean.": [(7.0, "leaves")],
    "Letting it down. One, two, three, four, and a half.": [(4.5, "turns")],
    "Screws: one missing, two loose, three good, four bent.": [],
    "The pivot's gone pale, and it's four thou under.": [(4.0, "thou")],
    "The strike weight's a kilo nine.": [(1.9, "kg")],
    "The dial is two foot six across.": [(2.5, "ft")],
    "The entry face has a groove of four thou, the exit half as deep.": [(4.0, "thou")],
    "The weight is a lead one eleven pounds.": [(11.0, "lb")],
    "Going weight three pounds even. Other one, two and seven eighths.": [(3.0, "lb"), (2.875, "lb")],
    "The rate is six minutes slow a day, today at least.": [(-360.0, "s/d")],
    "Warning run is a third of a turn.": [(0.333, "turns")],
    "The hole is twenty six thou the long way, against a pivot of twenty two.": [(26.0, "thou"), (22.0, "thou")],
    "The swing is five degrees each side at the start, three after a while.": [(5.0, "deg"), (3.0, "deg")],
}


@pytest.mark.parametrize("said", _MEASURED)
def test_measurements_keep_the_unit_that_was_spoken(said: str) -> None:
    account = look_over.read(
        captions.parse("Movement out, and the third wheel has a worn hole. The plates are good. " + said),
        layers=look_over.GRAMMAR,
    )

    assert [(m.value, m.unit) for m in account.measurements] == _MEASURED[said]


def test_a_tenth_is_what_the_speaker_means_by_it() -> None:
    heard = captions.parse("Third wheel. The pivot's a tenth under.")

    plain = look_over.read(heard).measurements[0]
    inch = look_over.read(heard, settings=look_over.Settings(tenth_mm=2.54)).measurements[0]

    # Derived: a tenth of a millimetre by default; a tenth of an inch is 2.54 mm by the exact inch.
    assert (plain.value, inch.value) == (0.1, 2.54)


@pytest.mark.parametrize(
    ("said", "quantity"),
    [
        ("Back hole is worn oval, point two of a mil.", "wear"),
        ("Back hole is worn oval, I'd say half a millimetre.", "wear"),
        ("Back hole is worn, one point six two.", "hole_diameter"),
        ("Back hole is good, half a millimetre.", "hole_diameter"),
    ],
)
def test_a_size_too_small_for_a_worn_hole_is_how_far_it_is_worn(said: str, quantity: str) -> None:
    account = look_over.read(captions.parse("Third wheel. " + said), layers=look_over.GRAMMAR)

    assert [one.quantity for one in account.measurements] == [quantity]
