"""The developed train: drawn from counts, meshing, for any number of arbors, by day, night and in print."""

import math
import re
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from underdial.papers.scene import Disc, Lettering, Outline, Scene, svg
from underdial.papers.train_drawing import ArborShown, Flag, PowerShown, TrainShown, _places, train_scene
from underdial.papers.wheel_shapes import escape_ring, pinion_ring, wheel_ring


def shown(counts=((96, 0), (64, 8), (60, 8), (30, 8)), oscillator="pendulum", **more):
    arbors = tuple(ArborShown(f"arbor {k}", wheel, pinion, "turns") for k, (wheel, pinion) in enumerate(counts))
    places = 2 * len(arbors)
    falling = PowerShown(tuple(100 - 60 * (k + 1) / places for k in range(places)))
    given_ = {
        "title": "A train",
        "arbors": arbors,
        "oscillator": oscillator,
        "oscillator_words": ("pendulum",),
        "source_words": ("from it",),
        "ratio": 720.0,
        "should_be": falling,
        "found": PowerShown(tuple(0.8 * one for one in falling.left)),
        "need": 14.0,
    }
    return TrainShown(**{**given_, **more})


@pytest.mark.parametrize("ring", [wheel_ring, pinion_ring, escape_ring])
def test_a_wheel_is_drawn_with_its_own_count(ring):
    points = ring((0.0, 0.0), 50.0, 30, 0.0)
    radii = [math.hypot(*point) for point in points]
    middle = (max(radii) + min(radii)) / 2
    rises = sum(1 for a, b in zip(radii, radii[1:] + radii[:1], strict=True) if a < middle <= b)

    assert rises == 30  # Derived: the outline rises through the middle radius once a tooth


@given(st.lists(st.tuples(st.integers(40, 120), st.integers(6, 14)), min_size=2, max_size=5), st.integers(12, 40))
def test_wheels_mesh_with_the_next_pinion_and_fill_the_sheet(meshes, escape):
    counts = [(meshes[0][0], 0)]
    for k in range(1, len(meshes)):
        counts.append((meshes[k][0], meshes[k - 1][1]))
    counts.append((escape, meshes[-1][1]))

    centres, radii, pinions = _places(shown(tuple(counts)))

    for k in range(len(centres) - 1):
        assert centres[k + 1][0] - centres[k][0] == pytest.approx(radii[k] + pinions[k + 1])
        ratio = counts[k][0] / counts[k + 1][1]
        assert radii[k] / pinions[k + 1] == pytest.approx(ratio)
    assert centres[-1][0] + radii[-1] < 960  # Derived: the oscillator's column begins at 1085 less its bob and words
    assert centres[0][0] - radii[0] > 0


@pytest.mark.parametrize(
    "counts", [((96, 0), (64, 8), (60, 8), (30, 8)), ((84, 0), (64, 7), (60, 8), (48, 8), (15, 6))]
)
def test_the_words_beside_the_band_stay_on_the_sheet(counts):
    words = next(
        one for one in train_scene(shown(counts)).shapes if isinstance(one, Lettering) and one.words == "100 parts"
    )

    # Derived: 100 parts was measured 3.68 sizes wide in a browser, over nine letters
    assert words.at[0] - 0.41 * len(words.words) * words.size >= 0.0


@pytest.mark.parametrize("oscillator", ["pendulum", "balance"])
@pytest.mark.parametrize("printed", [False, True])
def test_drawing_is_sound_svg_with_words_for_the_ear(oscillator, printed):
    flags = (Flag("stops", "stops", 1, ("Stiff",)), Flag("unseen", "not looked at", 4, ("Pallets",)))
    text = svg(train_scene(shown(oscillator=oscillator, flags=flags)), printed=printed, prefix="one")
    root = ElementTree.fromstring(text)
    names = {element.tag.split("}")[1] for element in root.iter()}

    assert {"title", "desc", "path", "text", "circle"} <= names
    assert "It needs 14" in text  # Derived: the need given to shown()
    assert ("var(--" in text) is not printed
    assert not re.search(r"nan|inf", text)


def test_ids_of_two_drawings_on_a_page_do_not_meet():
    scene = train_scene(shown(pallets_unseen=True))
    first = set(re.findall(r'id="([^"]+)"', svg(scene, prefix="a")))
    second = set(re.findall(r'id="([^"]+)"', svg(scene, prefix="b")))

    assert first
    assert not first & second


def test_less_power_draws_fewer_lines_of_ink():
    def ink(found):
        scene = train_scene(shown(found=found))
        return sum(
            math.dist(*ring)
            for shape in scene.shapes
            if isinstance(shape, Outline) and shape.style.width == 1.15
            for ring in shape.rings
        )

    places = 8
    strong = PowerShown(tuple(95.0 - k for k in range(places)))
    weak = PowerShown(tuple(40.0 - k for k in range(places)))

    assert ink(strong) > 1.5 * ink(weak)  # Derived: the lines kept are in proportion to the parts left, about 2 to 1


def test_a_disc_and_a_line_come_out_where_they_were_put():
    scene = Scene(100, 50, "t", "d", unit="mm")
    scene.disc((10, 20), 5, stroke="ink")
    scene.line((0, 0), (3, 4))
    text = svg(scene)

    assert '<circle cx="10" cy="20" r="5"' in text  # Derived: the numbers given above
    assert 'd="M0 0L3 4"' in text
    assert 'width="100mm"' in text
    assert isinstance(scene.shapes[0], Disc)


def test_a_fusee_is_drawn_as_a_groove_that_winds_inwards_and_a_barrel_has_none():
    def longest(source):
        lines = [one for one in train_scene(shown(source=source)).shapes if isinstance(one, Outline) and not one.closed]
        return max(lines, key=lambda one: len(one.rings[0]))

    scene = train_scene(shown(source="fusee"))
    centre = _places(shown())[0][0]
    out = [math.dist(point, centre) for point in longest("fusee").rings[0]]

    assert out == sorted(out, reverse=True)
    assert out[0] > 2 * out[-1]  # Derived: the smallest turn is 0.42 of the largest
    assert "with its fusee" in scene.description
    assert len(longest("barrel").rings[0]) != len(out)
    assert "fusee" not in train_scene(shown()).description
