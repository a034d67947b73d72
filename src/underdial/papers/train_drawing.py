"""The developed train with the power through it: the picture a clock's page opens with.

Arbors side by side from the power to the escapement, wheels from their own counts and meshing, findings as flags on
their place; below, a band as thick as the power that is left: ink as found, dots lost where it should not be, a line
as it should be. Input is plain data; nothing is computed here but where things stand on the sheet.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from underdial.papers.scene import Point, Scene
from underdial.papers.wheel_shapes import draw_anchor, draw_balance, draw_mark, draw_pendulum, draw_pinion, draw_wheel

WIDTH = 960.0
AXIS_Y = 330.0
HEIGHT = 956.0
_PARTS_EMS = 3.8  # Width of "100 parts" over its size, measured in a browser as 3.68.
BAND_TOP, BAND_FOOT = 678.0, 858.0
LEFT, RIGHT = 112.0, 626.0
OSCILLATOR_X = 872.0
LINES = 50  # One line of the band is two parts in a hundred.


@dataclass(frozen=True, slots=True)
class ArborShown:
    """One arbor: its name, wheel and pinion counts (0 for none), what it turns, in words."""

    name: str
    wheel_count: int
    pinion_count: int
    turns: str


@dataclass(frozen=True, slots=True)
class PowerShown:
    """Parts of a hundred left after each place: pivots of arbor 0, teeth 0, pivots 1, teeth 1 … pivots of the escape
    arbor, escapement.
    """

    left: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Flag:
    """A finding on the drawing: importance, the arbor it belongs to (its number of arbors = the oscillator), rows of
    words.
    """

    kind: str
    word: str
    arbor: int
    rows: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class TrainShown:
    """All that the sheet shows. `need` is in parts of a hundred; None where the clock has not been worked out. `source`
    is what the great wheel turns with: a fusee, or a barrel (a drum of a line is drawn like one).
    """

    title: str
    arbors: tuple[ArborShown, ...]
    oscillator: str
    oscillator_words: tuple[str, ...]
    source_words: tuple[str, ...]
    ratio: float
    should_be: PowerShown
    found: PowerShown
    need: float | None
    flags: tuple[Flag, ...] = ()
    pallets_unseen: bool = False
    foot: tuple[str, ...] = ()
    source: str = "barrel"


def train_scene(shown: TrainShown) -> Scene:
    """Draw the developed train with its power band."""
    scene = Scene(WIDTH, HEIGHT, shown.title, _described(shown))
    centres, radii, pinions = _places(shown)
    pallet = (centres[-1][0], AXIS_Y - radii[-1] * math.sqrt(2))
    _axes(scene, centres, radii, pallet)
    bob = 52.0
    if shown.oscillator == "pendulum":
        draw_pendulum(scene, OSCILLATOR_X, max(150.0, pallet[1]), BAND_FOOT - 8, bob)
    else:
        draw_balance(scene, (OSCILLATOR_X, BAND_FOOT - 30), bob + 12)
    last = len(centres) - 1
    for k in range(last, -1, -1):
        arbor = shown.arbors[k]
        draw_wheel(
            scene,
            centres[k],
            radii[k],
            arbor.wheel_count,
            phase=math.radians(-93) if k == last else 0.0,
            turn=math.radians(38),
            escape=k == last,
            solid=k == 0,
            fusee=k == 0 and shown.source == "fusee",
        )
    for k in range(last, 0, -1):
        draw_pinion(scene, centres[k], pinions[k], shown.arbors[k].pinion_count)
    scene.rectangle(centres[0][0] - 7.5, AXIS_Y - 7.5, 15, 15, fill="steel-wash", stroke="ink", width=0.9)
    draw_anchor(scene, pallet, centres[last], radii[last], unseen=shown.pallets_unseen)
    _band(scene, shown, centres, radii)
    _names(scene, shown, centres, radii)
    _flags(scene, shown, centres, pallet)
    for k, row in enumerate(shown.foot[:3]):
        scene.words((40, HEIGHT - 52 + 20 * k), row, "bench", 15, fill="ink-soft")
    return scene


def _places(shown: TrainShown) -> tuple[list[Point], list[float], list[float]]:
    """Centres and radii that mesh and fill the sheet: modules fall by a sixth from mesh to mesh."""
    count = len(shown.arbors)
    radii = [1.0] * count
    pinions = [0.0] * count
    module = 1.0
    for k in range(count - 1):
        radii[k] = module * shown.arbors[k].wheel_count / 2
        pinions[k + 1] = module * shown.arbors[k + 1].pinion_count / 2
        module *= 0.84
    radii[-1] = min(0.92 * radii[-2], max(radii[-2] * 0.7, 2.2 * pinions[-1]))
    span = radii[0] + sum(radii[k] + pinions[k + 1] for k in range(count - 1)) + radii[-1]
    scale = min((RIGHT - LEFT + 60) / span, 158.0 / max(radii))
    radii, pinions = [r * scale for r in radii], [p * scale for p in pinions]
    free = max(0.0, (RIGHT - LEFT + 60) - span * scale)
    x = LEFT - 70 + radii[0] + free / 2
    centres: list[Point] = [(x, AXIS_Y)]
    for k in range(count - 1):
        x += radii[k] + pinions[k + 1]
        centres.append((x, AXIS_Y))
    return centres, radii, pinions


def _axes(scene: Scene, centres: list[Point], radii: list[float], pallet: Point) -> None:
    chain = (16.0, 3.0, 2.0, 3.0)
    for x, _ in centres:
        scene.line((x, AXIS_Y - 20), (x, BAND_FOOT + 8), stroke="ink-faint", width=0.6, dash=chain)
    scene.line(
        (centres[0][0] - radii[0] - 22, AXIS_Y),
        (centres[-1][0] + radii[-1] + 22, AXIS_Y),
        stroke="ink-faint",
        width=0.6,
        dash=chain,
    )
    scene.line((pallet[0] + 26, pallet[1]), (OSCILLATOR_X - 24, pallet[1]), stroke="ink-faint", width=0.6, dash=chain)


def _steps(power: PowerShown, centres: list[Point], radii: list[float]) -> list[tuple[float, float]]:
    """(x, parts left after it) along the band."""
    places: list[float] = []
    for k, (x, _) in enumerate(centres):
        places.append(x)
        if k < len(centres) - 1:
            places.append(x + radii[k])
    places.append(centres[-1][0] + 78)
    assert len(places) == len(power.left), (len(places), len(power.left))
    return list(zip(places, power.left, strict=True))


def _line_end(steps: list[tuple[float, float]], part: float) -> float:
    """Where the line of this part ends: on the shoulder of the loss that takes it."""
    before = 100.0
    for x, after in steps:
        if part >= after:
            share = min(1.0, (before - part) / max(before - after, 1e-9))
            spread = 4 + 0.5 * (before - after)
            return x - spread + 2 * spread * math.acos(1 - 2 * share) / math.pi
        before = after
    return OSCILLATOR_X - 62


def _band(scene: Scene, shown: TrainShown, centres: list[Point], radii: list[float]) -> None:
    should, found = _steps(shown.should_be, centres, radii), _steps(shown.found, centres, radii)
    pitch = (BAND_FOOT - BAND_TOP) / 100
    start = centres[0][0] - radii[0] * 0.74
    kept: list[list[Point]] = []
    lost: list[list[Point]] = []
    for part in range(1, 100, 100 // LINES):
        y = BAND_FOOT - part * pitch
        stop, due = _line_end(found, part), _line_end(should, part)
        if stop > start:
            kept.append([(start, y), (stop, y)])
        if due > stop + 6:
            lost.append([(max(stop, start) + 3, y), (due, y)])
    scene.outline(*lost, closed=False, stroke="oxide", width=1.1, dash=(1.2, 4.8))
    scene.outline(*kept, closed=False, stroke="ink", width=1.15)
    final = shown.should_be.left[-1]
    edge = [
        (max(start, _line_end(should, n / 4)), BAND_FOOT - n / 4 * pitch) for n in range(400, math.ceil(final * 4), -1)
    ]
    scene.outline(
        [(start, BAND_TOP), *edge, (OSCILLATOR_X - 62, BAND_FOOT - final * pitch)],
        closed=False,
        stroke="verdigris",
        width=1.8,
    )
    scene.line((start, AXIS_Y), (start, BAND_TOP - 2), width=1.6)
    scene.outline(
        [(start - 7, BAND_TOP - 11), (start, BAND_TOP - 1), (start + 7, BAND_TOP - 11)],
        closed=False,
        stroke="ink",
        width=1.4,
    )
    scene.line((start, BAND_FOOT + 0.5), (OSCILLATOR_X - 40, BAND_FOOT + 0.5), width=1.2)
    _figures(scene, shown, centres, start, pitch)


def _figures(scene: Scene, shown: TrainShown, centres: list[Point], start: float, pitch: float) -> None:
    places = [(centres[k][0] + centres[k + 1][0]) / 2 for k in range(1, len(centres) - 1)] + [centres[-1][0] + 38]
    for x, k in zip(places, range(1, len(centres)), strict=True):
        due, have = shown.should_be.left[2 * k], shown.found.left[2 * k]
        scene.words(
            (x, BAND_FOOT - due * pitch - 8),
            f"{due:.0f}",
            "plate-medium",
            20,
            fill="verdigris",
            anchor="middle",
            halo="paper",
        )
        scene.words((x, BAND_FOOT + 24), f"{have:.0f}", "plate-medium", 20, anchor="middle")
    right = OSCILLATOR_X - 68
    due, have = shown.should_be.left[-1], shown.found.left[-1]
    scene.words(
        (right, BAND_FOOT - due * pitch - 8),
        f"{due:.0f} should reach it",
        "plate-medium",
        20,
        fill="verdigris",
        anchor="end",
        halo="paper",
    )
    if shown.need is not None:
        y = BAND_FOOT - shown.need * pitch
        scene.line((centres[-1][0] + 116, y), (OSCILLATOR_X - 58, y), width=2.4)
        at = y - 8 if (due - shown.need) * pitch > 30 else y + 20
        scene.words((right, at), f"{shown.need:.0f} keep it going", "plate-medium", 20, anchor="end", halo="paper")
    scene.words((right, BAND_FOOT + 24), f"{have:.0f} reach it", "plate-medium", 20, anchor="end")
    scene.words((start + 12, BAND_TOP - 9), "as it should be", "plate-italic", 20, fill="verdigris", halo="paper")
    scene.words((start - 6, BAND_FOOT + 24), "as found", "plate-italic", 20, anchor="start")
    # With a small great wheel the band begins near the edge of the sheet: the words beside it shrink, nothing is cut
    # off.
    size = min(20.0, (start - 16.0) / _PARTS_EMS)
    for k, row in enumerate(("100 parts", *shown.source_words)):
        scene.words(
            (start - 12, BAND_TOP + 76 + 21 * k), row, "plate-medium" if k == 0 else "plate", size, anchor="end"
        )
    top = BAND_TOP - 30
    a, b = centres[0][0], centres[-1][0]
    scene.line((a + 5, top), (b - 5, top), width=0.8)
    for x, way in ((a, 1), (b, -1)):
        scene.outline([(x, top), (x + way * 13, top - 3.2), (x + way * 13, top + 3.2)], fill="ink")
        scene.line((x, top - 8), (x, top + 8), width=0.8)
    words = f"great : escape  1 : {shown.ratio:,.0f}".replace(",", " ")
    scene.rectangle(a + 22, top - 10, 7.4 * len(words) + 16, 20, fill="paper")
    scene.words((a + 30, top + 6), words, "plate-medium", 20)


def _names(scene: Scene, shown: TrainShown, centres: list[Point], radii: list[float]) -> None:
    """Names under the wheels, on two levels where arbors stand close."""
    base = min(AXIS_Y + max(radii) + 40, BAND_TOP - 146)
    previous = -1e9
    low = False
    for arbor, (x, _) in zip(shown.arbors, centres, strict=True):
        low = not low if x - previous < 108 else False
        previous = x
        y = base + (58 if low else 0)
        counts = f"{arbor.wheel_count} on {arbor.pinion_count}" if arbor.pinion_count else f"{arbor.wheel_count} teeth"
        scene.words((x, y), arbor.name, "plate-medium-italic", 22, anchor="middle", halo="paper")
        for k, words in enumerate((counts, arbor.turns)):
            scene.words((x, y + 19 + 18 * k), words, "bench", 15, fill="ink-soft", anchor="middle", halo="paper")
    for k, row in enumerate(shown.oscillator_words):
        face, size = ("plate-medium-italic", 22.0) if k == 0 else ("bench", 15.0)
        if shown.oscillator == "pendulum":
            at, anchor = (OSCILLATOR_X - 16, BAND_FOOT - 330 + 20 * k), "end"
        else:
            at, anchor = (OSCILLATOR_X, BAND_FOOT - 124 - 20 * (len(shown.oscillator_words) - 1 - k)), "middle"
        scene.words(at, row, face, size, fill="ink" if k == 0 else "ink-soft", anchor=anchor)


def _flags(scene: Scene, shown: TrainShown, centres: list[Point], pallet: Point) -> None:
    """Flags at the top, each on a staff down to its place; neighbours take turns in height."""
    ordered = sorted(shown.flags, key=lambda flag: flag.arbor)[:4]
    places = [pallet if flag.arbor >= len(centres) else centres[flag.arbor] for flag in ordered]
    wanted = [x for x, _ in places]
    slots: list[float] = []
    for k, x in enumerate(wanted):
        least = slots[-1] + 232 if slots else 40.0
        slots.append(max(least, min(x, WIDTH - 236 - 232 * (len(wanted) - 1 - k))))
    for flag, (x, y), staff in zip(ordered, places, slots, strict=True):
        top = 44.0
        turn = top + 62 + 8 * ordered.index(flag)
        scene.outline([(staff, top + 12), (staff, turn), (x, turn), (x, y)], closed=False, stroke="ink", width=0.9)
        scene.disc((x, y), 3, fill="ink")
        draw_mark(scene, (staff, top), flag.kind, 17)
        scene.words((staff + 18, top + 5.5), flag.word.upper(), "bench-bold", 15, track=0.08)
        for k, row in enumerate(flag.rows[:2]):
            scene.words((staff + 18, top + 27 + 20 * k), row, "bench", 16, halo="paper")


def _described(shown: TrainShown) -> str:
    carried = " (the great wheel turns with its fusee)" if shown.source == "fusee" else ""
    names = ", ".join(
        f"{a.name} {a.wheel_count}" + (f" on {a.pinion_count}" if a.pinion_count else "") for a in shown.arbors
    )
    flags = "; ".join(f"{flag.word}: {' '.join(flag.rows)}" for flag in shown.flags)
    need = f" It needs {shown.need:.0f}." if shown.need is not None else ""
    return (
        f"Developed train: {names}{carried}. Of 100 parts of power {shown.should_be.left[-1]:.0f} should reach the "
        f"{shown.oscillator} "
        f"and {shown.found.left[-1]:.0f} do as found.{need} {flags}"
    ).strip()
