"""Drawings of a computed part, by the ending of the file asked for: .svg for a page, .dxf for a machine, .pdf for the
bench.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING, Any

from underdial.bench.sums.hazards import sum_cautions
from underdial.errors import BadInput

if TYPE_CHECKING:
    from underdial.papers.scene import Scene

# Ending -> who writes it; a PDF takes the size of its sheets beside the path.
Writers = Mapping[str, Callable[..., None]]
_DEGREES = math.pi / 180.0
# Decimals of a length on a drawing, by its unit; one fewer of what is long.
_DRAWN_PLACES = {"mm": 3, "µm": 1}
_LONG_MM = 100.0
# 15 px, the least on a screen, over the 2.9 mm of a drawing's lettering.
_SCREEN_PX_PER_MM = 15.0 / 2.9


def runout_writers(result: Mapping[str, Any]) -> Writers:
    """The staff with its bend drawn larger than it is."""
    return _writers(
        "runout",
        lambda: _runout_scenes(result),
        lambda: [
            *(
                [
                    ("bend from the chuck", _pm(result["bend"], "z", "m", 1e3, "mm")),
                    ("movement it makes at the free end", _pm(result["bend"], "tir_at_end", "m", 1e6, "µm")),
                ]
                if result["bend"]
                else []
            ),
            (
                "smallest bend these readings would show",
                "not known" if result["smallest_tir_m"] is None else f"{result['smallest_tir_m'] * 1e6:.0f} µm",
            ),
        ],
        [one for one in (result["advice"], result["reason"], *result["warnings"]) if one],
    )


def bush_writers(result: Mapping[str, Any], given: Mapping[str, Any]) -> Writers:
    """The bush in its worn hole."""
    rows = [
        ("bore", "bore", "m", 1e3, "mm"),
        ("over the pivot", "clearance", "m", 1e6, "µm"),
        ("true centre from the middle of the worn hole", "centre_offset", "m", 1e3, "mm"),
        ("smallest bush that cleans up", "cleans_up", "m", 1e3, "mm"),
        ("bore to make before pressing", "bore_before", "m", 1e3, "mm"),
        ("push-out", "push_out", "n", 1.0, "N"),
    ]
    return _writers(
        "bush",
        lambda: _bush_scenes(result, given),
        lambda: [
            (words, _pm(result, name, unit, factor, shown))
            for words, name, unit, factor, shown in rows
            if result.get(f"{name}_{unit}") is not None
        ],
        [one for one in (result.get("reason"), *result["warnings"]) if one],
    )


def spring_writers(result: Mapping[str, Any], given: Mapping[str, Any]) -> Writers:
    """The spring down and wound."""
    return _writers(
        "spring",
        lambda: _spring_scenes(result, given),
        lambda: [
            ("turns", f"{result['turns']:.2f}"),
            ("length", _pm(result, "length", "m", 1e3, "mm")),
            ("torque for each turn", _pm(result, "torque_per_turn", "n_m", 1e3, "mN m")),
            ("stored when wound", _pm(result, "stored", "j", 1.0, "J")),
        ],
        [],
    )


def pendulum_writers(result: Mapping[str, Any]) -> Writers:
    """The pendulum in elevation."""
    return _writers(
        "pendulum", lambda: _pendulum_scenes(result), lambda: _pendulum_rows(result), list(result["warnings"])
    )


def _pendulum_rows(result: Mapping[str, Any]) -> list[tuple[str, str]]:
    """Every size and rate of the pendulum that was reckoned."""
    found = [
        (words, _pm(result, name, unit, factor, shown))
        for words, name, unit, factor, shown in (
            ("length", "length", "m", 1e3, "mm"),
            ("right length", "right_length", "m", 1e3, "mm"),
            ("one turn of the nut", "nut", "s_per_day_per_turn", 1.0, "s/d"),
            ("middle of the bob", "bob_centre", "m", 1e3, "mm"),
            ("one turn of the nut, with the rod", "nut_with_rod", "s_per_day_per_turn", 1.0, "s/d"),
            ("turns below the chops", "turning_depth", "m", 1e3, "mm"),
            ("this spring in place of the old", "suspension_rate", "s_per_day", 1.0, "s/d"),
        )
        if result.get(f"{name}_{unit}") is not None
    ]
    found.insert(1, ("beats an hour", f"{result['beats_per_hour']:.6g}"))
    if result["turns"] is not None:
        turns = f"{abs(result['turns']):.4g}" + (f" ± {result['turns_u']:.2g}" if result["turns_u"] else "")
        found.append(("raise the bob by" if result["turns"] >= 0 else "lower the bob by", f"{turns} turns of the nut"))
    for words, key in (
        ("a degree warmer", "temperature_s_per_day_per_k"),
        ("circular error", "circular_error_s_per_day"),
    ):
        if result[key] is not None:
            found.append((words, f"{result[key]:+.3g} s/d".replace("-", "−")))
    return found


def teeth_writers(result: Mapping[str, Any]) -> Writers:
    """Wheel and pinion in mesh, and the teeth that touch."""

    def rows() -> list[tuple[str, str]]:
        found = [("centre distance", _pm(result, "centre_distance", "m", 1e3, "mm"))]
        for name in ("wheel", "pinion"):
            part = result[name]
            found += [
                (f"{name}: over the teeth", _pm(part, "outside_diameter", "m", 1e3, "mm")),
                (f"{name}: pitch diameter", _pm(part, "pitch_diameter", "m", 1e3, "mm")),
                (f"{name}: depth of cut", f"{part['cutter']['depth_of_cut_m'] * 1e3:.3f} mm"),
                (f"{name}: space at the pitch circle", f"{part['cutter']['space_at_pitch_m'] * 1e3:.3f} mm"),
            ]
            found += [(f"{name}: dividing", part["index"]["words"])] if part["index"] else []
        return found

    return _writers("teeth", lambda: _teeth_scenes(result), rows, list(result["warnings"]))


def pallets_writers(result: Mapping[str, Any]) -> Writers:
    """The pallets over their wheel."""

    def rows() -> list[tuple[str, str]]:
        found = [
            ("centre distance", _pm(result, "centre_distance", "m", 1e3, "mm")),
            ("width", _pm(result, "width", "m", 1e3, "mm")),
        ]
        for name in ("entry", "exit"):
            found += [
                (f"{name}: {words}", _pm(result[name], key, "m", 1e3, "mm"))
                for words, key in (
                    ("locking radius", "locking_radius"),
                    ("releasing radius", "releasing_radius"),
                    *((("impulse face", "impulse_face"),) if result["kind"] != "pin" else ()),
                )
            ]
        if result["pin_diameter_m"] is not None:
            found.append(("diameter of the pins", f"{result['pin_diameter_m'] * 1e3:.3f} mm"))
        if result["recoil_deg"] is not None:
            found.append(("faces lean off their arcs by", f"{result['recoil_deg']:g} deg"))
        return [
            *found,
            ("lift, lock, drop", f"{result['lift_deg']:g}, {result['lock_deg']:g}, {result['drop_deg']:g} deg"),
        ]

    return _writers("pallets", lambda: _pallets_scenes(result), rows, list(result["warnings"]))


def cone_writers(result: Mapping[str, Any], given: Mapping[str, Any]) -> Writers:
    """Tip and cup in section, as found and after."""

    def rows() -> list[tuple[str, str]]:
        found = []
        for words, part in (("as found", result), ("after", result["after"])):
            if part is not None:
                found += [
                    (f"{words}, {place.replace('_', ' ')}: friction", _pm(part[place], "torque", "n_m", 1e9, "nN m"))
                    for place in ("dial_up", "upright")
                ]
        return [
            *found,
            *(
                [("side shake, each way", _pm(result, "side_shake", "m", 1e6, "µm"))]
                if result["side_shake_m"] is not None
                else []
            ),
        ]

    return _writers("cone", lambda: _cone_scenes(result, given), rows, list(result["warnings"]))


def poise_writers(result: Mapping[str, Any], given: Mapping[str, Any]) -> Writers:
    """The rim with its heavy spot."""
    return _writers(
        "poise",
        lambda: _poise_scenes(result, given),
        lambda: [
            ("heavy by", _pm(result, "heavy_mass", "mg", 1.0, "mg")),
            ("clockwise from the impulse pin", _pm(result, "angle", "deg", 1.0, "deg")),
        ],
        [one for one in (result["advice"], *result["warnings"]) if one],
    )


def wheel_writers(result: Mapping[str, Any], given: Mapping[str, Any]) -> Writers:
    """The wheel's rim, off its centre and askew."""
    named = (
        ("askew on its arbor", "askew", "deg", 1.0, "deg"),
        ("rim out of flat", "out_of_flat", "m", 1e6, "µm"),
        ("off its centre", "eccentricity", "m", 1e6, "µm"),
        ("out of round", "out_of_round", "m", 1e6, "µm"),
    )
    return _writers(
        "runout",
        lambda: _wheel_scenes(result, given),
        lambda: [
            (words, _pm(result, name, unit, factor, shown))
            for words, name, unit, factor, shown in named
            if result[f"{name}_{unit}"] is not None
        ],
        [],
    )


def _cone_scenes(result: Mapping[str, Any], given: Mapping[str, Any]) -> list[Scene]:
    """Scenes of a cone pivot: as found, and beside it after."""
    from underdial.papers.cone_drawing import ConeDrawn, cone_scene

    def mm(name: str, other: float = 0.0) -> float:
        return other if given.get(name) is None else float(given[name].value) * 1e3

    cup = given["cup_angle"].value if given.get("cup_angle") else 90.0 * _DEGREES
    cone = given["cone_angle"].value if given.get("cone_angle") else min(60.0 * _DEGREES, cup * 2.0 / 3.0)
    pairs = [
        ConeDrawn(
            mm("tip_radius"),
            mm("cup_radius"),
            mm("flat_diameter"),
            cone,
            cup,
            result["dial_up"]["contact"],
            "as found" if result["after"] else "",
        )
    ]
    if result["after"]:
        pairs.append(
            ConeDrawn(
                mm("after_tip_radius", mm("tip_radius")),
                mm("after_cup_radius", mm("cup_radius")),
                mm("after_flat_diameter"),
                cone,
                cup,
                result["after"]["dial_up"]["contact"],
                "after",
            )
        )
    return [cone_scene(*pairs)]


def _poise_scenes(result: Mapping[str, Any], given: Mapping[str, Any]) -> list[Scene]:
    """Scenes of a balance with its heavy spot; BadInput when none was found."""
    from underdial.papers.rim_drawing import RimDrawn, RimMark, rim_scene

    if result["verdict"] != "heavy_spot":
        raise BadInput(
            "out",
            "no heavy spot",
            "readings that show one",
            "out: there is no heavy spot to draw. "
            f"{result['reason'] or 'The balance is in poise as far as these readings tell.'}",
        )
    angle, u = result["angle_deg"] * _DEGREES, result["angle_u_deg"] * _DEGREES
    marks = [
        RimMark(0.0, 0.0, "impulse pin"),
        RimMark(angle, u, f"take off {result['heavy_mass_mg']:.2g} mg", works=True),
        RimMark(angle + math.pi, 0.0, "or add as much"),
    ]
    return [
        rim_scene(
            RimDrawn(
                "Heavy spot of the balance",
                "Seen from the dial, the impulse pin at the top, at the radius where metal is taken",
                given["radius"].value * 1e3,
                marks,
            )
        )
    ]


def _wheel_scenes(result: Mapping[str, Any], given: Mapping[str, Any]) -> list[Scene]:
    """Scenes of a wheel read round its face or rim."""
    from underdial.papers.rim_drawing import RimDrawn, RimMark, rim_scene

    marks, off, way = [], 0.0, 0.0
    if result["face_tir_m"] is not None:
        marks.append(
            RimMark(
                result["face_angle_deg"] * _DEGREES,
                result["face_angle_u_deg"] * _DEGREES,
                f"face out by {result['face_tir_m'] * 1e3:.3f} mm",
            )
        )
    if result["eccentricity_m"] is not None:
        off, way = result["eccentricity_m"] * 1e3, result["eccentricity_angle_deg"] * _DEGREES
        marks.append(
            RimMark(way, result["eccentricity_angle_u_deg"] * _DEGREES, f"off centre by {off:.3f} mm", works=True)
        )
    return [
        rim_scene(
            RimDrawn(
                "Runout of the wheel",
                "Seen from the free end, angle nought at the top",
                given["radius"].value * 1e3,
                marks,
                off,
                way,
            )
        )
    ]


def _runout_scenes(result: Mapping[str, Any]) -> list[Scene]:
    """Scenes of a runout; BadInput when the readings gave no stations."""
    from underdial.papers.staff_drawing import StaffDrawn, staff_scene

    if len(result["stations"]) < 2:
        raise BadInput(
            "out", "no stations", "readings that could be used", f"out: nothing can be drawn. {result['reason']}"
        )
    bend = result["bend"]
    stations = [
        (one["z_m"] * 1e3, one["eccentricity_m"] * 1e6, one["angle_deg"] * _DEGREES, one["eccentricity_u_m"] * 1e6)
        for one in result["stations"]
    ]
    plane = bend["angle_deg"] * _DEGREES if bend else stations[-1][2]
    return [
        staff_scene(
            StaffDrawn(
                stations, bend["z_m"] * 1e3 if bend else None, bend["slope_m_per_m"] * 1e3 if bend else 0.0, plane
            )
        )
    ]


def _bush_scenes(result: Mapping[str, Any], given: Mapping[str, Any]) -> list[Scene]:
    """Scenes of a bush."""
    from underdial.papers.bush_drawing import BushDrawn, bush_scene

    def mm(name: str) -> float | None:
        return None if given.get(name) is None else given[name].value * 1e3

    pivot = mm("pivot")
    assert pivot is not None
    if result["bore_m"] is None:
        raise BadInput("out", "no bore", "sizes that go together", f"out: nothing can be drawn. {result['reason']}")
    return [
        bush_scene(
            BushDrawn(
                pivot,
                result["bore_m"] * 1e3,
                mm("hole"),
                mm("hole_long"),
                given["worn_toward"].value if given.get("worn_toward") else None,
                mm("outside"),
            )
        )
    ]


def _spring_scenes(result: Mapping[str, Any], given: Mapping[str, Any]) -> list[Scene]:
    """Scenes of a mainspring."""
    from underdial.papers.spring_drawing import SpringDrawn, spring_scene

    return [
        spring_scene(
            SpringDrawn(
                given["barrel_given"].value * 1e3,
                given["arbor"].value * 1e3,
                given["thickness"].value * 1e3,
                result["length_m"] * 1e3,
                result["turns"],
            )
        )
    ]


def _pendulum_scenes(result: Mapping[str, Any]) -> list[Scene]:
    """Scenes of a pendulum."""
    from underdial.papers.pendulum_drawing import PendulumDrawn, pendulum_scene

    return [
        pendulum_scene(
            PendulumDrawn(
                result["length_m"] * 1e3,
                None if result["right_length_m"] is None else result["right_length_m"] * 1e3,
                result["turns"],
            )
        )
    ]


def _teeth_scenes(result: Mapping[str, Any]) -> list[Scene]:
    """Scenes of wheel and pinion: the whole mesh first, then the teeth that touch."""
    from underdial.papers.wheel_drawing import MeshDrawn, detail_scene, mesh_scene

    wheel, pinion = result["wheel"], result["pinion"]
    drawn = MeshDrawn(
        wheel["teeth_count"],
        pinion["teeth_count"],
        result["module_m"] * 1e3,
        wheel["cutter"]["root_diameter_m"] * 1e3,
        pinion["cutter"]["root_diameter_m"] * 1e3,
        result["shortening_ratio"],
        result["depth_error_modules"] * result["module_m"] * 1e3,
    )
    return [mesh_scene(drawn), detail_scene(drawn)]


def _pallets_scenes(result: Mapping[str, Any]) -> list[Scene]:
    """Scenes of a pair of pallets."""
    from underdial.papers.pallet_drawing import PalletsDrawn, pallets_scene

    entry = result["entry"]
    return [
        pallets_scene(
            PalletsDrawn(
                result["kind"],
                result["escape_count"],
                result["radius_m"] * 1e3,
                result["span_count"],
                result["centre_distance_m"] * 1e3,
                entry["locking_radius_m"] * 1e3,
                entry["releasing_radius_m"] * 1e3,
                result["lift_deg"] * _DEGREES,
                result["lock_deg"] * _DEGREES,
                (result["recoil_deg"] or 0.0) * _DEGREES,
                (result["pin_diameter_m"] or 0.0) * 1e3,
            )
        )
    ]


def sum_scenes(name: str, result: Mapping[str, Any], given: Mapping[str, Any]) -> list[Scene]:
    """The scenes of a computed part, the one to cut from first; none where nothing can be drawn."""
    kind = "wheel" if result.get("model") == "wheel" else name
    if kind not in _DRAWN or (result.get("verdict") == "refused" and kind not in ("bush", "runout")):
        return []
    try:
        return _DRAWN[kind][0](result, given)
    except BadInput:
        return []


def sum_drawing(
    name: str, result: Mapping[str, Any], given: Mapping[str, Any]
) -> tuple[str, Mapping[str, Callable[[str], bytes]]] | None:
    """The drawing of a computed part as SVG in the colours of the page, and its files by ending; None where nothing can
    be drawn.
    """
    scenes = sum_scenes(name, result, given)
    if not scenes:
        return None
    from underdial.papers.scene import svg

    pictures = "".join(_on_screen(svg(one, prefix=f"part{k}"), one.width * one.scale) for k, one in enumerate(scenes))
    kind = "wheel" if result.get("model") == "wheel" else name
    return pictures, {ending: _as_bytes(write, ending) for ending, write in _DRAWN[kind][1](result, given).items()}


def _on_screen(picture: str, wide_mm: float) -> str:
    """A picture sized for a screen: paper is held nearer, so its lettering of 2.9 mm has to stand larger on glass."""
    return re.sub(
        r' width="[^"]*" height="[^"]*"', f' style="width:{wide_mm * _SCREEN_PX_PER_MM:.0f}px"', picture, count=1
    )


def _as_bytes(write: Callable[..., None], ending: str) -> Callable[[str], bytes]:
    """The bytes that a writer would put into a file, by the size of the shop's sheets."""

    def made(sheet: str) -> bytes:
        with TemporaryDirectory(prefix="underdial-drawing-") as folder:
            path = Path(folder) / f"drawing{ending}"
            if ending == ".pdf":
                write(path, sheet)
            else:
                write(path)
            return path.read_bytes()

    return made


def _writers(
    name: str,
    scenes: Callable[[], Sequence[Scene]],
    rows: Callable[[], Sequence[tuple[str, str]]],
    notes: Sequence[str],
) -> Writers:
    def svg_file(path: Path) -> None:
        from underdial.papers.scene import svg

        path.write_text(svg(scenes()[0], printed=True) + "\n", encoding="utf-8")

    def dxf_file(path: Path) -> None:
        from underdial.papers.dxf import scene_dxf

        path.write_bytes(scene_dxf(scenes()[0]))

    def pdf_file(path: Path, sheet: str = "A4") -> None:
        from underdial.papers.drawing_sheet import drawing_pdf

        drawn = scenes()
        cautions = [f"Caution. {one.text}" for one in sum_cautions(name)]
        path.write_bytes(drawing_pdf(drawn[0].title, drawn, rows=rows(), notes=[*notes, *cautions], sheet=sheet))

    return {".svg": svg_file, ".dxf": dxf_file, ".pdf": pdf_file}


def _pm(result: Mapping[str, Any], name: str, unit: str, factor: float, shown: str) -> str:
    """Value with its error to two figures and the value to the same place: `12.96 ± 0.19 s/d`. Lengths stand to the
    place of the drawing beside them, a thousandth of a millimetre, a hundredth of long ones, where their error is none
    finer.
    """
    value, u = result[f"{name}_{unit}"] * factor, result[f"{name}_u_{unit}"] * factor
    drawn = _DRAWN_PLACES.get(shown)
    if drawn is not None and shown == "mm" and abs(value) >= _LONG_MM:
        drawn -= 1
    if not u:
        text = f"{value:.4g}" if abs(value) < 1.0 else f"{value:.5g}"
        return f"{value:.{drawn}f} {shown}" if drawn is not None else f"{text} {shown}"
    places = max(0, 1 - math.floor(math.log10(u)))
    if drawn is not None and u >= 10.0**-drawn:
        places = min(places, drawn)
    return f"{value:.{places}f} ± {u:.{places}f} {shown}"


_Scenes = Callable[[Mapping[str, Any], Mapping[str, Any]], "list[Scene]"]
# Sum (and the wheel that `runout` reads) -> its scenes, and who writes its files.
_DRAWN: Mapping[str, tuple[_Scenes, Callable[[Mapping[str, Any], Mapping[str, Any]], Writers]]] = {
    "runout": (lambda result, _: _runout_scenes(result), lambda result, _: runout_writers(result)),
    "wheel": (_wheel_scenes, wheel_writers),
    "poise": (_poise_scenes, poise_writers),
    "bush": (_bush_scenes, bush_writers),
    "cone": (_cone_scenes, cone_writers),
    "spring": (_spring_scenes, spring_writers),
    "pendulum": (lambda result, _: _pendulum_scenes(result), lambda result, _: pendulum_writers(result)),
    "teeth": (lambda result, _: _teeth_scenes(result), lambda result, _: teeth_writers(result)),
    "pallets": (lambda result, _: _pallets_scenes(result), lambda result, _: pallets_writers(result)),
}
