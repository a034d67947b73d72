"""What was said beside what happened, drawn: every class with its count, bars apart and inside, few clocks hatched."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from underdial.papers import agreement_figure
from underdial.papers.agreement_figure import WIDTH, AgreementShown, ClassShown, agreement_scene
from underdial.papers.scene import Lettering, Outline, svg


def one_class(said: float, ran: int, count: int) -> ClassShown:
    return ClassShown("likely", said, ran / count, max(0.0, ran / count - 0.2), min(1.0, ran / count + 0.2), ran, count)


def test_every_class_is_drawn_with_its_count_and_told_in_words() -> None:
    scene = agreement_scene(
        AgreementShown("Eleven jobs; too few to tell.", (one_class(0.3, 1, 4), one_class(0.95, 6, 7)))
    )
    lettering = [one.words for one in scene.shapes if isinstance(one, Lettering)]

    assert {"1/4", "6/7"} <= set(lettering)
    assert scene.description.startswith(
        "Eleven jobs; too few to tell. likely, said 30 in 100: 1 of 4 went their full time"
    )
    assert svg(scene).count("url(#s-few)") == 1  # Derived: one class of the two has fewer than five clocks


def test_a_bar_ends_where_the_clocks_did_and_its_stroke_where_it_should() -> None:
    scene = agreement_scene(AgreementShown("", (one_class(0.5, 10, 10),)))
    bar = next(one for one in scene.shapes if isinstance(one, Outline) and one.style.fill == "brass-wash")
    stroke = next(one for one in scene.shapes if isinstance(one, Outline) and one.style.width == 4.0)

    top, foot = min(y for _, y in bar.rings[0]), max(y for _, y in bar.rings[0])
    assert (top, foot) == (agreement_figure._TOP, agreement_figure._FOOT)
    assert stroke.rings[0][0][1] == pytest.approx((top + foot) / 2.0)  # Derived: half was said, so half way up


@given(st.lists(st.floats(0.0, 0.98), min_size=1, max_size=5))
def test_bars_do_not_hide_one_another_and_stay_inside(said: list[float]) -> None:
    places = agreement_figure._places([one_class(one, 1, 2) for one in sorted(said)])

    assert all(later - earlier >= agreement_figure._BAR for earlier, later in itertools.pairwise(places))
    assert places[0] >= agreement_figure._LEFT
    assert places[-1] <= WIDTH


def test_nothing_is_lettered_smaller_than_a_telephone_can_show() -> None:
    scene = agreement_scene(AgreementShown("", (one_class(0.5, 1, 2),)))

    # Source: docs/reference/look.md, Type: nothing smaller than 15 px; a telephone shows the picture 358 of 380 wide
    assert min(one.size for one in scene.shapes if isinstance(one, Lettering)) * 358.0 / WIDTH >= 15.0
