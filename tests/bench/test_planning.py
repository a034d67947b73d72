"""Sizes to make, as the bench sheet takes them: each beside what was found, and only what was found."""

from __future__ import annotations

import pytest

from tests.bench.conftest import NOON
from underdial.bench.as_found.looking import add_measurement
from underdial.bench.causes.agreeing import answer_lines, offer_choices, record_consent
from underdial.bench.counter.receiving import Received, change_visit
from underdial.bench.rounds.working import begin_round, see_in_round
from underdial.bench.shop import Shop, clock_page
from underdial.bench.sums.forms_of_trains import sum_named
from underdial.bench.sums.planning import keep_computed, part_drawings, sizes_on_paper
from underdial.record.choice import Choice, PlannedWork
from underdial.record.consent import Consent
from underdial.record.measurement import Measurement
from underdial.record.planned_size import PlannedSize


def hole(value: float, of: str = "pivot_hole:third_wheel") -> Measurement:
    return Measurement(quantity="hole_diameter", value=value, unit="mm", of=of)


def keep_bore(shop: Shop, tag: str, line: str | None = None) -> None:
    one = sum_named("bush")
    keep_computed(shop, tag, one, one.example, "bore_m", line=line, of="third wheel")


def test_both_axes_of_the_hole_that_was_measured_stand_as_found(shop: Shop, drum: Received) -> None:
    for value in (1.68, 1.95):
        add_measurement(shop, drum.tag, hole(value))
    add_measurement(shop, drum.tag, hole(0.91, "pivot_hole:fourth_wheel"))
    keep_bore(shop, drum.tag)
    size = sizes_on_paper(clock_page(shop, drum.tag))[0]

    # Derived: the two axes as they were written above, the last read first
    assert (size.as_found, size.as_found_across, size.of) == (1.95, 1.68, "third_wheel")


def test_what_a_round_saw_is_not_as_found(shop: Shop, drum: Received) -> None:
    keep_bore(shop, drum.tag)
    see_in_round(shop, drum.tag, begin_round(shop, drum.tag, thought="too wide").id, hole(1.27))
    size = sizes_on_paper(clock_page(shop, drum.tag))[0]

    assert size.as_found is None


@pytest.mark.parametrize(("yes", "drawn"), [(("1",), True), ((), False)])
def test_a_part_is_drawn_for_a_work_that_was_agreed_and_not_for_one_refused(
    shop: Shop, drum: Received, yes: tuple[str, ...], drawn: bool
) -> None:
    bush = PlannedWork(line="1", work="bush", component="pivot_hole", of="third_wheel")
    choice = offer_choices(shop, drum.tag, [Choice(title="Bush it", works=(bush,))])[0]
    keep_bore(shop, drum.tag, line="1")
    answer = Consent(
        choice_id=choice.id,
        person_id=drum.person_ids[0],
        channel="letter",
        words="So.",
        given_at=NOON,
        lines=answer_lines(choice, yes),
    )
    record_consent(shop, drum.tag, answer)

    assert bool(part_drawings(clock_page(shop, drum.tag))) is drawn


@pytest.mark.parametrize(
    ("value", "u", "allowed_off", "made"),
    # Derived: to the place of the error, or of what it may be off where that is finer; never one number as a span.
    [
        (1.2699, 0.0052, 0.01, (1.27, 1.26, 1.28)),
        (250.0, 0.4, 0.01, (250.0, 249.99, 250.01)),
        (64.0, None, None, (64.0,)),
        # Derived: 0.025 needs three places, or 1.245 and 1.295 would be moved by a fifth of what is allowed.
        (1.27, 0.01, 0.025, (1.27, 1.245, 1.295)),
    ],
)
def test_a_size_is_made_to_the_place_that_its_error_reaches_and_its_span_is_never_one_number(
    shop: Shop, drum: Received, value: float, u: float | None, allowed_off: float | None, made: tuple[float, ...]
) -> None:
    size = PlannedSize(
        quantity="bore",
        words="bore",
        value=value,
        u=u,
        unit="mm",
        computed_by="bush",
        kept_at=NOON,
        allowed_off=allowed_off,
    )
    change_visit(shop, drum.tag, {"planned_sizes": (size,)})
    told = sizes_on_paper(clock_page(shop, drum.tag))[0]

    assert tuple(one for one in (told.target, told.low, told.high) if one is not None) == made
