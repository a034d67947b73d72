"""Drawings of parts opened again, as DXF, SVG and PDF, and measured."""

from __future__ import annotations

import io
import itertools
import math
import re
import tempfile
from dataclasses import replace
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import pypdfium2
import pytest

from underdial.mechanics.mesh import mesh_action
from underdial.movement.tooth_form import addendum_ratio
from underdial.papers.bush_drawing import BushDrawn, bush_scene
from underdial.papers.cone_drawing import ConeDrawn, cone_scene, cup_line, lift_mm, tip_ring
from underdial.papers.drawing_sheet import drawing_pdf
from underdial.papers.dxf import LAYERS, scene_dxf
from underdial.papers.pallet_drawing import PalletsDrawn, pallet_ring, pallets_scene
from underdial.papers.pendulum_drawing import PendulumDrawn, pendulum_scene
from underdial.papers.rim_drawing import RimDrawn, RimMark, enlarged, rim_scene
from underdial.papers.scene import Scene, svg
from underdial.papers.setting import SHEETS
from underdial.papers.spring_drawing import SpringDrawn, coils, spring_scene
from underdial.papers.staff_drawing import StaffDrawn, staff_scene
from underdial.papers.wheel_drawing import MeshDrawn, detail_scene, mesh_scene, pinion_outline, wheel_outline

ezdxf = pytest.importorskip("ezdxf")
MICROMETRE_IN_MM = 1e-3
MESH = MeshDrawn(64, 8, 0.6, 36.516, 2.55)
# Derived: sizes of the deadbeat example, centre distance R / cos 45 deg, radii R +- half of 1.1781 mm
PALLETS = PalletsDrawn(
    "deadbeat",
    30,
    15.0,
    7.5,
    15.0 / math.cos(math.pi / 4),
    15.0 + 0.589049,
    15.0 - 0.589049,
    math.radians(2.0),
    math.radians(1.0),
    math.radians(20.0),
    0.6,
)
BLUNT = ConeDrawn(0.09, 0.2, 0.16, math.radians(60.0), math.radians(90.0), "flat", "as found")
POINTED = replace(BLUNT, tip_mm=0.06, flat_mm=0.0, contact="point", words="after")
HANGING = ConeDrawn(0.3, 0.2, 0.0, math.radians(60.0), math.radians(90.0), "ring")
WHEEL = RimDrawn(
    "Runout of the wheel",
    "Seen from the free end, angle nought at the top",
    20.0,
    [RimMark(1.0, 0.02, "face out by 0.080 mm"), RimMark(4.0, 0.03, "off centre by 0.030 mm", works=True)],
    0.03,
    4.0,
)
STATIONS = [(z, abs(20 + 3 * z + 4.5 * max(0.0, z - 13)), 1.2, 0.6) for z in (0, 6, 12, 18, 24, 30)]
SCENES = {
    "mesh": mesh_scene(MESH),
    "detail": detail_scene(MESH),
    "too far apart": mesh_scene(MeshDrawn(60, 7, 0.5, 27.0, 1.8, 0.95, 0.3)),
    "deadbeat": pallets_scene(PALLETS),
    "recoil": pallets_scene(replace(PALLETS, kind="recoil")),
    "pin": pallets_scene(replace(PALLETS, kind="pin")),
    "bush": bush_scene(BushDrawn(1.2, 1.27, 1.45, 1.62, math.radians(140.0), 4.0)),
    "bore alone": bush_scene(BushDrawn(1.2, 1.27)),
    "spring": spring_scene(SpringDrawn(42.0, 14.0, 0.4, 1539.4, 8.26)),
    "pendulum": pendulum_scene(PendulumDrawn(250.0, 248.267, 3.466)),
    "long pendulum": pendulum_scene(PendulumDrawn(994.0)),
    "staff": staff_scene(StaffDrawn(STATIONS, 13.0, 4.5, 1.2)),
    "straight staff": staff_scene(StaffDrawn(STATIONS)),
    "cone before and after": cone_scene(BLUNT, POINTED),
    "cone on the wall": cone_scene(HANGING),
    "wide flat": cone_scene(replace(BLUNT, flat_mm=0.5)),
    "wheel askew": rim_scene(WHEEL),
    "heavy spot": rim_scene(
        RimDrawn(
            "Heavy spot",
            "Seen from the dial",
            9.0,
            [RimMark(0.0, 0.0, "impulse pin"), RimMark(2.44, 0.05, "take off 1 mg", works=True)],
        )
    ),
}


def reopened(scene: Scene) -> object:
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "part.dxf"
        file.write_bytes(scene_dxf(scene))
        return ezdxf.readfile(file)


def rings(document: object, layer: str) -> list[np.ndarray]:
    found = document.modelspace().query(f'LWPOLYLINE[layer=="{layer}"]')
    return [np.array([(x, y) for x, y, *_ in line.get_points()]) for line in found]


def svg_rings(scene: Scene) -> list[np.ndarray]:
    tree = ElementTree.fromstring(svg(scene, printed=True))
    return [
        np.array([[float(one) for one in pair.split()] for pair in re.split("[MLZ]", piece) if pair.strip()])
        for path in tree.iter("{http://www.w3.org/2000/svg}path")
        for piece in path.get("d", "").split("M")
        if piece
    ]


@pytest.mark.parametrize("name", list(SCENES))
def test_every_drawing_opens_again_as_dxf_in_millimetres_without_a_fault(name: str) -> None:
    document = reopened(SCENES[name])

    assert document.audit().errors == []
    assert document.header["$INSUNITS"] == 4  # Source: DXF reference, INSUNITS: 4 is millimetres
    assert set(LAYERS) <= {layer.dxf.name for layer in document.layers}
    assert {entity.dxf.layer for entity in document.modelspace()} <= set(LAYERS)


@pytest.mark.parametrize("name", list(SCENES))
def test_dxf_and_svg_and_scene_agree_to_a_micrometre(name: str) -> None:
    scene = SCENES[name]
    drawn = [np.array(ring) for shape in scene.shapes if hasattr(shape, "rings") for ring in shape.rings]
    lines = [
        np.array([(x, scene.height - y) for x, y, *_ in line.get_points()])
        for line in reopened(scene).modelspace().query("LWPOLYLINE")
    ]

    for kept, dxf, page in zip(drawn, lines, svg_rings(scene), strict=True):
        # Derived: a micrometre over any distance, so half of one at each end
        assert np.abs(kept - dxf).max() < 0.5 * MICROMETRE_IN_MM
        assert np.abs(kept - page).max() < 0.5 * MICROMETRE_IN_MM


def test_the_wheel_is_as_wide_as_it_is_to_be_cut_and_stands_at_its_centre_distance() -> None:
    wheel, pinion = rings(reopened(SCENES["mesh"]), "outline")
    height = 0.6 * addendum_ratio(wheel_count=64, pinion_count=8)
    a, b = (wheel.max(axis=0) + wheel.min(axis=0)) / 2, (pinion.max(axis=0) + pinion.min(axis=0)) / 2
    tips = np.hypot(*(wheel - a).T)

    # Derived: outside (64 + 2 f) m; 64 tips; root as asked; centres 36 m
    assert 2 * tips.max() == pytest.approx(38.4 + 2 * height, abs=MICROMETRE_IN_MM)
    assert 2 * tips.min() == pytest.approx(36.516, abs=MICROMETRE_IN_MM)
    # Pinion tips do not lie symmetric about its axis in x and y, so the distance is taken to its circle of tips.
    reach = np.hypot(*(pinion - a - np.array([21.6, 0.0])).T)
    assert 2 * reach.max() == pytest.approx(9.05 * 0.6, abs=MICROMETRE_IN_MM)  # Derived: (8 + 1.05) m
    assert np.abs(b - a - np.array([21.6, 0.0])).max() < 0.2  # Derived: the middle of its box is near its centre


def test_the_teeth_are_half_a_pitch_thick_and_evenly_spaced() -> None:
    wheel = rings(reopened(SCENES["mesh"]), "outline")[0]
    centre = (wheel.max(axis=0) + wheel.min(axis=0)) / 2
    r, angle = np.hypot(*(wheel - centre).T), np.unwrap(np.arctan2(*(wheel - centre).T[::-1]))
    crossings = np.array(
        [
            angle[i] + (19.2 - r[i]) / (r[i + 1] - r[i]) * (angle[i + 1] - angle[i])
            for i in range(len(r) - 1)
            if (r[i] - 19.2 + 1e-9) * (r[i + 1] - 19.2 + 1e-9) < 0
        ]
    )
    gaps = np.abs(np.diff(crossings)) * 19.2

    # Derived: tooth and space are pi m / 2 each on the pitch circle
    assert gaps == pytest.approx(np.full(len(gaps), math.pi * 0.3), abs=2 * MICROMETRE_IN_MM)
    assert len(crossings) >= 127


def _inside(ring: np.ndarray, points: np.ndarray) -> np.ndarray:
    """Which points lie inside a ring: a ray from each crosses its edges an odd number of times."""
    inside = np.zeros(len(points), dtype=bool)
    for (x1, y1), (x2, y2) in zip(ring, np.roll(ring, -1, axis=0), strict=True):
        between = (y1 > points[:, 1]) != (y2 > points[:, 1])
        if between.any():
            at = x1 + (points[between, 1] - y1) * (x2 - x1) / (y2 - y1)
            inside[between] ^= points[between, 0] < at
    return inside


def test_wheel_and_pinion_touch_but_do_not_cut_into_each_other() -> None:
    from scipy.spatial import cKDTree

    wheel, pinion = rings(reopened(SCENES["mesh"]), "outline")
    leaves, teeth = _dense(pinion), _dense(wheel)
    teeth = teeth[np.hypot(*(teeth - pinion.mean(axis=0)).T) < 4.0]

    assert not _inside(pinion, teeth).any()
    assert not _inside(wheel, leaves).any()
    # Derived: a flank stands against a leaf, within the spacing of the points
    assert cKDTree(teeth).query(leaves)[0].min() < 0.01


@pytest.mark.parametrize(("wheel", "pinion", "depth"), [(64, 8, 0.0), (64, 8, 0.3), (60, 6, 0.0), (96, 12, -0.06)])
def test_the_drawn_teeth_pushed_against_each_other_turn_as_the_sums_say(wheel: int, pinion: int, depth: float) -> None:
    """The outlines alone, no law of gearing: at each place of the wheel the pinion is turned until the two no longer
    cut.
    """
    one = MeshDrawn(wheel, pinion, 0.6, 0.6 * wheel - 1.9, 0.6 * pinion - 2.2, 0.95, depth)
    apart = 0.3 * (wheel + pinion) + depth
    leaf = np.array(pinion_outline(one, (0.0, 0.0), 0.0))
    places = 2 * math.pi / wheel * np.arange(10) / 10
    turned = (
        np.unwrap(
            [_pushed(np.array(wheel_outline(one, (0.0, 0.0), place)), leaf, apart, pinion) * pinion for place in places]
        )
        / pinion
    )
    action = mesh_action(wheel, pinion, depth_error_modules=depth / 0.6, steps_count=1000)
    ahead = (
        np.cumsum(np.append(0.0, action.velocity_ratio[:-1])) * (action.wheel_angle_rad[1] * wheel / pinion)
        - action.wheel_angle_rad * wheel / pinion
    )
    off = (turned - turned[0]) * np.sign(turned[-1] - turned[0]) - places * wheel / pinion

    # Derived: ten places miss up to a tenth of the swing at a cusp; a micrometre of chord at 1.8 mm is 0.6 mrad
    assert float(np.ptp(off)) == pytest.approx(float(np.ptp(ahead)), rel=0.12, abs=6e-4)


def _pushed(wheel: np.ndarray, leaf: np.ndarray, apart: float, leaves: int) -> float:
    """The furthest angle of the pinion, one way, at which it stands free of the wheel."""
    # Only the teeth beside the pinion, closed through the wheel's middle; of fine arcs every second point.
    near = np.flatnonzero((wheel[:, 0] > apart - 0.3 * leaves - 3.0) & (np.abs(wheel[:, 1]) < 0.3 * leaves + 2.0))
    first = int(np.flatnonzero(np.diff(near, append=near[0] + len(wheel)) > 1)[0]) + 1
    teeth, leaf = _thinned(wheel[np.roll(near, -first)]), _thinned(leaf)
    sector = np.vstack((teeth, [[0.0, 0.0]]))

    def cuts(angle: float) -> bool:
        c, s = math.cos(angle), math.sin(angle)
        there = leaf @ np.array([[c, s], [-s, c]]) + np.array([apart, 0.0])
        return bool(_within(there, teeth).any() or _within(sector, there).any())

    pitch = 2 * math.pi / leaves
    grid = np.arange(40) * pitch / 40
    free = [not cuts(angle) for angle in grid]
    start = next(k for k in range(40) if free[k] and not free[k - 1])
    low, high = grid[start] - pitch / 40, grid[start]
    for _ in range(14):
        middle = (low + high) / 2
        low, high = (middle, high) if cuts(middle) else (low, middle)
    return high


def _thinned(ring: np.ndarray) -> np.ndarray:
    step = np.hypot(*(np.roll(ring, -1, axis=0) - ring).T)
    return np.asarray(ring[(np.arange(len(ring)) % 2 == 0) | (step > 0.03) | (np.roll(step, 1) > 0.03)])


def _within(ring: np.ndarray, points: np.ndarray) -> np.ndarray:
    """The same as `_inside`, every edge at once."""
    (x1, y1), (x2, y2) = ring.T, np.roll(ring, -1, axis=0).T
    between = (y1 > points[:, 1:]) != (y2 > points[:, 1:])
    with np.errstate(divide="ignore", invalid="ignore"):
        at = x1 + (points[:, 1:] - y1) * (x2 - x1) / (y2 - y1)
    return np.asarray((between & (points[:, :1] < at)).sum(axis=1) % 2 == 1)


@pytest.mark.parametrize("entry", [True, False])
def test_corners_of_a_pallet_lie_on_their_radii_and_make_the_impulse_face_of_the_sums(entry: bool) -> None:
    ring = np.array(pallet_ring(PALLETS, entry=entry))
    centre = np.array([0.0, -PALLETS.centre_distance_mm])
    lock, release = ring[0], ring[-1]

    # Derived: docs/explanation/gauging.md, pallets, by hand: 15.589, 14.411, face 1.289 mm
    assert np.hypot(*(lock - centre)) == pytest.approx(15.589 if entry else 14.411, abs=0.0005)
    assert np.hypot(*(release - centre)) == pytest.approx(14.411 if entry else 15.589, abs=0.0005)
    assert np.hypot(*(lock - release)) == pytest.approx(1.289, abs=0.0005)
    tangent_point = np.array([(-1 if entry else 1) * 15 * math.sin(math.pi / 4), -15 * math.cos(math.pi / 4)])
    middle = (lock + release) / 2
    # Derived: half the lock deeper than the tangent
    assert np.hypot(*(middle - tangent_point)) == pytest.approx(15 * math.radians(0.5), abs=0.02)
    # Derived: lift 2 and lock 1 deg are swung 1.5 to each side: a corner leaves at 1.5 and locks 1 before it, at 0.5
    along = math.atan2(*(tangent_point - centre)[::-1])
    for corner, sense, degrees in ((lock, 1, 0.5), (release, -1, 1.5)):
        off = math.atan2(*(corner - centre)[::-1]) - along
        assert abs(off) == pytest.approx(math.radians(degrees), abs=1e-9)
        assert math.copysign(1, off) == sense * (1 if entry else -1)


def test_the_recoil_face_leans_to_push_the_wheel_back_and_the_dead_face_does_not() -> None:
    centre = np.array([0.0, -PALLETS.centre_distance_mm])
    for entry, sense in ((True, 1), (False, -1)):
        dead = np.array(pallet_ring(PALLETS, entry=entry))
        recoil = np.array(pallet_ring(replace(PALLETS, kind="recoil"), entry=entry))
        radii = np.hypot(*(dead[:5] - centre).T)

        assert np.ptp(radii) < MICROMETRE_IN_MM  # Derived: an arc about the pallet centre
        # Derived: the entry face moves outward, the exit face inward, against the tooth that rests on it
        assert sense * (np.hypot(*(recoil[1] - centre)) - np.hypot(*(recoil[0] - centre))) > 0.3


def test_the_bush_lies_on_the_true_centre_and_the_hole_reaches_where_it_is_worn() -> None:
    document = reopened(SCENES["bush"])
    outside, bore = rings(document, "outline")
    hole = rings(document, "context")[0]
    centre = (outside.max(axis=0) + outside.min(axis=0)) / 2
    way = np.array([math.sin(math.radians(140)), math.cos(math.radians(140))])  # y up in DXF, twelve o'clock up

    # Derived: 4.0 and 1.27 mm; far end 1.62 - 0.725 = 0.895 mm towards 140 deg, near end 0.725 mm
    assert np.hypot(*(outside - centre).T) == pytest.approx(np.full(len(outside), 2.0), abs=MICROMETRE_IN_MM)
    assert np.hypot(*(bore - centre).T) == pytest.approx(np.full(len(bore), 0.635), abs=MICROMETRE_IN_MM)
    along = (hole - centre) @ way
    assert (along.max(), -along.min()) == pytest.approx((0.895, 0.725), abs=MICROMETRE_IN_MM)  # Derived: as above


def test_the_coils_fill_their_ring_and_are_as_long_as_the_strip() -> None:
    wound = np.array(coils((0.0, 0.0), 7.0, math.sqrt(49 + 1539.4 * 0.4 / math.pi), 0.4))
    length = float(np.sum(np.hypot(*np.diff(wound, axis=0).T)))

    # Derived: area of the ring over the thickness; ends of a spiral are a coil short
    assert length == pytest.approx(1539.4, rel=0.01)


@pytest.mark.parametrize(
    "one",
    [
        BLUNT,
        POINTED,
        HANGING,
        replace(BLUNT, flat_mm=0.5),
        replace(POINTED, cup_rad=math.radians(120.0)),
        replace(HANGING, cone_rad=math.radians(40.0)),
    ],
)
def test_a_tip_stands_in_its_cup_and_touches_without_cutting_in(one: ConeDrawn) -> None:
    tip = _dense(np.array([(x, y - lift_mm(one)) for x, y in tip_ring(one, 1.2)]))
    cup = np.array(cup_line(one, 2.0))
    floor = np.interp(tip[:, 0], cup[:, 0], cup[:, 1])

    # Derived: y grows downwards, so the tip lies above the cup everywhere and on it somewhere
    assert float((tip[:, 1] - floor).max()) == pytest.approx(0.0, abs=MICROMETRE_IN_MM)


def test_the_way_off_the_centre_is_drawn_in_its_direction_and_as_much_larger_as_is_said() -> None:
    ring = rings(reopened(SCENES["wheel askew"]), "outline")[0]
    cross = rings(reopened(SCENES["wheel askew"]), "centre")[0]
    off = (ring.max(axis=0) + ring.min(axis=0)) / 2 - cross.mean(axis=0)

    # Derived: clockwise from the top is (sin, cos) with y up; 0.03 mm so many times larger
    assert off == pytest.approx(
        0.03 * enlarged(WHEEL) * np.array([math.sin(4.0), math.cos(4.0)]), abs=2 * MICROMETRE_IN_MM
    )
    assert ring[:, 0].max() - ring[:, 0].min() == pytest.approx(40.0, abs=MICROMETRE_IN_MM)  # Derived: at its own size


@pytest.mark.parametrize("name", ["mesh", "bush", "long pendulum"])
def test_the_bar_on_the_print_measures_what_it_says(name: str) -> None:
    scene = SCENES[name]
    pdf = drawing_pdf("Part", [scene])
    bar = next(shape for shape in scene.shapes if getattr(shape, "layer", "") == "check")
    (x0, y0), (x1, _) = bar.rings[0]
    image = pypdfium2.PdfDocument(io.BytesIO(pdf))[0].render(scale=600 / 72).to_numpy()[:, :, 0]
    dark = image < 128
    per_mm = 600 / 25.4
    wanted = (x1 - x0) * scene.scale
    runs = [_longest(row) for row in dark]

    # Derived: 600 dots to 25.4 mm; half of each end stroke (0.28 mm wide) stands outside
    assert any(abs(run / per_mm - wanted - 0.28) < 2 / per_mm for run in runs)
    assert y0 > 0  # Derived: inside the sheet


def test_a_drawing_is_laid_on_the_sheets_of_the_shop() -> None:
    a4, letter = (
        pypdfium2.PdfDocument(drawing_pdf("Part", [SCENES["bush"]], sheet=one))[0].get_size() for one in SHEETS
    )

    # Derived: 210 by 297 mm, and 8.5 by 11 in, at 72 points to the inch.
    assert a4 == pytest.approx((595.28, 841.89), abs=0.1)
    assert letter == pytest.approx((612.0, 792.0), abs=0.1)


def test_the_same_drawing_gives_the_same_bytes() -> None:
    assert scene_dxf(SCENES["bush"]) == scene_dxf(SCENES["bush"])
    assert drawing_pdf("Bush", [SCENES["bush"]]) == drawing_pdf("Bush", [SCENES["bush"]])


@pytest.mark.parametrize("name", list(SCENES))
def test_no_drawing_is_wider_than_the_page_and_each_says_what_it_shows(name: str) -> None:
    scene = SCENES[name]

    assert scene.width * scene.scale <= 190.0  # Derived: A4 less its margins, and a little to spare
    assert scene.height * scene.scale <= 255.0  # Derived: the same
    assert len(scene.description) > 30


def _longest(row: np.ndarray) -> int:
    edges = np.flatnonzero(np.diff(np.concatenate(([0], row.astype(int), [0]))))
    return int((edges[1::2] - edges[::2]).max(initial=0))


def _dense(ring: np.ndarray) -> np.ndarray:
    closed = np.vstack((ring, ring[:1]))
    return np.vstack([np.linspace(a, b, 20, endpoint=False) for a, b in itertools.pairwise(closed)])


@pytest.mark.parametrize("slope_um_per_mm", [4.5, -4.5])
def test_the_size_of_a_bend_stands_clear_of_its_own_lines(slope_um_per_mm):
    scene = staff_scene(StaffDrawn(STATIONS, 26.0, slope_um_per_mm, 1.2))
    said = next(one for one in scene.shapes if getattr(one, "words", "").endswith("0.018 mm"))
    lines = [point for one in scene.shapes for ring in getattr(one, "rings", ()) for point in ring]

    # Derived: the bend lies 4 mm from the end at 30 mm, so 4 x 4.5 um = 0.018 mm
    assert said.turn == 0.0
    assert all(x < said.at[0] for x, _ in lines)
