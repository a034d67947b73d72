"""What putting a cause right is judged by follows the complaint, on the page and in the letter."""

import pytest

from underdial.bench.shown.pages import causes_shown, headline, question_of
from underdial.papers.chances import hope_of

CAUSE = {
    "sentence": "The suspension spring is too short.",
    "because": [],
    "necessary_probability": 0.95,
    "necessary_u_probability": 0.01,
    "sufficient_probability": 0.9,
    "share_ratio": 1.0,
}


def answered(read_as):
    return {"causes": [CAUSE], "model_fits": True, "complaint_read_as": read_as}


@pytest.mark.parametrize(
    ("read_as", "would", "word"),
    [
        ("stops", "go its full time", "stops"),
        ("rate", "keep time", "spoils its time"),
        ("strikes", "strike as it should", "spoils its striking"),
        ("noise", "be rid of the complaint", "brings it about"),
    ],
)
def test_a_cause_is_judged_by_what_was_complained_of(read_as, would, word):
    answer = answered(read_as)

    assert would in headline(answer)[1]
    assert [one.word for one in causes_shown(answer)] == [word]
    assert question_of(answer) == hope_of(answer).question


def test_only_a_clock_that_stops_has_a_cause_that_stops_it():
    assert hope_of(answered("stops")).mark == "stops"
    assert "stops" not in {
        hope_of(answered(read_as)).mark for read_as in ("rate", "rate_kind", "wont_wind", "strikes", "noise")
    }


def test_each_cause_is_judged_by_its_own_effect():
    both = {
        **answered("stops"),
        "causes": [{**CAUSE, "acts_on": "stops"}, {**CAUSE, "acts_on": "strikes", "necessary_probability": 0.3}],
    }

    assert [(one.mark, one.word) for one in causes_shown(both)] == [
        ("stops", "stops"),
        ("contributes", "spoils its striking"),
    ]
