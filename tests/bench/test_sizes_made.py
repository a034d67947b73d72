"""A size that a work left is held against what was planned for its own wheel, and a hole of one plate is not the
other's.
"""

from __future__ import annotations

from underdial.bench.as_found.looking import add_measurement
from underdial.bench.causes.agreeing import agree_to_all, offer_choices, record_consent
from underdial.bench.clock.left_sizes import as_left_of
from underdial.bench.counter.receiving import Received, change_visit
from underdial.bench.rounds.working import enter_work
from underdial.bench.shop import Shop, clock_page
from underdial.bench.sums.forms_of_trains import sum_named
from underdial.bench.sums.planning import made_sizes
from underdial.bench.sums.prefilling import prefilled
from underdial.record.choice import Choice, PlannedWork
from underdial.record.consent import Consent
from underdial.record.measurement import Measurement
from underdial.record.planned_size import PlannedSize
from underdial.record.work import Size, Work

from .conftest import NOON


def test_a_size_made_is_held_against_what_was_planned_for_its_own_wheel(shop: Shop, drum: Received) -> None:
    works = tuple(
        PlannedWork(line=line, work="bush", component="pivot_hole", of=of)
        for line, of in (("1", "second_wheel"), ("2", "third_wheel"))
    )
    choice = offer_choices(shop, drum.tag, [Choice(title="Bush two", works=works)])[0]
    record_consent(
        shop,
        drum.tag,
        Consent(
            choice_id=choice.id,
            person_id=drum.person_ids[0],
            channel="in_person",
            words="yes",
            given_at=NOON,
            lines=agree_to_all(choice),
        ),
    )
    planned = tuple(
        PlannedSize(
            quantity="centre_distance",
            words="Centre distance",
            value=value,
            unit="mm",
            computed_by="teeth",
            kept_at=NOON,
            of=of,
            allowed_off=0.02,
        )
        for of, value in (("second_wheel", 14.40), ("third_wheel", 11.20))
    )
    change_visit(shop, drum.tag, {"planned_sizes": planned})
    enter_work(
        shop,
        drum.tag,
        Work(
            work="bush",
            component="pivot_hole",
            of="second_wheel",
            by="repairer",
            sizes=(Size(quantity="centre_distance", unit="mm", after=14.41, u=0.005),),
        ),
    )
    page = clock_page(shop, drum.tag)

    left = as_left_of(page)
    made = made_sizes(page)

    assert left is not None
    # Source: the size planned above for this wheel.
    assert [row["target"] for row in left["sizes"]] == [14.40]
    # Derived: 14.41 is 0.01 over 14.40, which 0.02 allows; the third wheel's is not made.
    assert made[0] is not None
    assert made[0][1] is True
    assert made[1] is None


def test_holes_of_two_plates_are_not_one_worn_hole(shop: Shop, drum: Received) -> None:
    for place, value in (("front_plate", 1.20), ("back_plate", 1.62)):
        add_measurement(
            shop, drum.tag, Measurement(quantity="hole_diameter", value=value, unit="mm", of="third_wheel", place=place)
        )

    found = prefilled(clock_page(shop, drum.tag), sum_named("bush"))

    assert "hole" not in found
    assert "hole-long" not in found
