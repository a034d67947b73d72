"""Which choices of an answer are worth a slip to the owner."""

from underdial.bench.causes.answering import worth_offering


def told(price, reaches, unfixed):
    return {
        "price_minor": [price, price, price],
        "runs_full_probability": reaches,
        "complaint_gone_probability": reaches,
        "unfixed": unfixed,
    }


LEAVE, SMALL, BETTER, BEST = (
    told(0, 0.1, ["A", "B", "C"]),
    told(40, 0.6, ["B", "C"]),
    told(60, 0.8, ["B", "C"]),
    told(90, 0.95, ["B", "C"]),
)


def test_what_gains_nothing_is_left_out_but_the_whole_job_stands_last():
    same, whole = told(80, 0.81, ["B", "C"]), told(200, 0.79, [])

    assert worth_offering([LEAVE, SMALL, BETTER, same, whole]) == [LEAVE, SMALL, BETTER, whole]


def test_at_most_four_are_offered_the_cheapest_first_and_the_whole_job_among_them():
    whole = told(200, 0.95, [])

    offered = worth_offering([LEAVE, SMALL, BETTER, BEST, whole])

    assert offered[0] == LEAVE
    assert offered[-1] == whole
    assert len(offered) == 4  # Source: docs/how-to/choices-and-letter.md: an owner weighs four at the most


def test_a_whole_job_that_is_no_better_than_nothing_is_not_offered():
    assert worth_offering([LEAVE, BETTER, told(200, 0.1, [])]) == [LEAVE, BETTER]


def test_a_clock_with_nothing_to_do_is_left_as_it_is():
    assert worth_offering([told(0, 0.9, [])]) == [told(0, 0.9, [])]
