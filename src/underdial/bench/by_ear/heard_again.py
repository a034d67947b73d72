"""Recordings that were kept, shown again: on the page of the readings, and on paper; and how the rate varies among
them.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from underdial.bench.by_ear.heard_over_time import over_time_lines, periodic_line
from underdial.bench.by_ear.heard_words import drawn, on_a_page, without_head
from underdial.bench.by_ear.keeping_heard import kept_heard, shown_again
from underdial.bench.by_ear.listening import listen_words
from underdial.bench.by_ear.swing_over_time import swing_lines
from underdial.bench.by_ear.variation import rates_of_readings, variation_keys, variation_lines, variation_wanting
from underdial.bench.shop import ClockPage, Shop
from underdial.papers.blocks import Figure
from underdial.papers.dossier import HeardOnPaper
from underdial.papers.timing_figure import TimingShown, timing_scene


@dataclass(frozen=True, slots=True)
class HeardAgain:
    """A kept recording on a page: its title, its sentences, its picture."""

    title: str
    lines: tuple[str, ...]
    picture: str


def heard_view(shop: Shop, page: ClockPage) -> dict[str, Any]:
    """What the page of the readings shows of recordings: each again, how the rate varies, and what is wanting to
    tell.
    """
    heard = kept_heard(shop, page)
    told = variation_keys(rates_of_readings(page.measurements, heard))
    again = [
        HeardAgain(
            _title(shop, one),
            tuple(on_a_page(line) for line in listen_words({**one["answer"], "warnings": []}).split("\n")),
            drawn(shown_again(one), prefix=f"heard-{number}"),
        )
        for number, one in enumerate(heard.values(), 1)
    ]
    return {
        "heard": again,
        "varies": variation_lines(told),
        "wanting": variation_wanting(told) if told["rates_count"] else [],
    }


def heard_on_paper(shop: Shop, page: ClockPage) -> tuple[HeardOnPaper, ...]:
    """Every kept recording for the papers: what it said with the parts of its error, its pictures in print."""
    found = []
    for sound, one in kept_heard(shop, page).items():
        shown = replace(shown_again(one), notes=())
        scene = timing_scene(shown)
        figure = Figure(without_head(scene, "heard", printed=True), scene.description, _caption(shown))
        readings = tuple(
            each.id
            for each in page.measurements
            if each.standing != "rejected" and any(proof.source == sound for proof in each.evidence)
        )
        if readings:
            found.append(
                HeardOnPaper(title=_title(shop, one), pairs=_pairs(one["answer"]), figure=figure, readings=readings)
            )
    return tuple(found)


def _pairs(answer: Mapping[str, Any]) -> tuple[tuple[str, str], ...]:
    """What was heard, as pairs of a name and words; the parts of the rate's error each by itself."""
    pairs = []
    if answer["rate_s_per_day"] is not None:
        low, high = answer["rate_95_s_per_day"]
        pairs.append(
            (
                "Rate",
                f"{_signed(answer['rate_s_per_day'])} s a day (+ gains); 95 in 100 sure between {_signed(low)} and "
                f"{_signed(high)}",
            )
        )
        parts = answer["rate_u_parts"]
        pairs.append(
            (
                "Its standard error",
                f"{_small(parts['fit_s_per_day'])} a day by the scatter of the beats, "
                f"{_small(parts['recorder_s_per_day'])} by the recorder’s clock and "
                f"{_small(parts['nominal_s_per_day'])} by the count; {_small(answer['rate_u_s_per_day'])} together",
            )
        )
    pairs.append(
        (
            "Beats an hour",
            f"{answer['beats_per_hour']:.2f}"
            + (f", by its count {answer['nominal_beats_per_hour']:.2f}" if answer["nominal_beats_per_hour"] else ""),
        )
    )
    pairs.append(("Tick and tock", f"{answer['beat_error_ms']:.2f} ± {answer['beat_error_u_ms']:.2g} ms out of even"))
    if answer["amplitude_deg"] is not None:
        pairs.append(("Swing each side", f"{answer['amplitude_deg']:.0f} ± {answer['amplitude_u_deg']:.0f} deg"))
    pairs.append(
        (
            "Heard",
            f"{answer['beats_found_count']} of {answer['beats_expected_count']} beats in {answer['duration_s']:.0f} s",
        )
    )
    pairs += [("Over the recording", line) for line in (*over_time_lines(answer), *swing_lines(answer))]
    pairs += [("Arbors", periodic_line(one)) for one in answer["periodic"]]
    pairs += [("Arbors", str(one).capitalize()) for one in answer["warnings"] if "cannot tell" in str(one)]
    pairs.append(
        ("Recorder", answer["recorder"] or "its clock was not compared: 50 parts in a million stand in the error")
    )
    return tuple(pairs)


def _title(shop: Shop, one: Mapping[str, Any]) -> str:
    at = datetime.fromisoformat(one["heard_at"]).astimezone(ZoneInfo(shop.settings.zone))
    place = one["answer"]["position"]
    wind = f", {one['since_winding_h']:g} h after winding" if one["since_winding_h"] is not None else ""
    return f"Heard {at:%-d %B %Y %H:%M}" + (f", {place.replace('_', ' ')}" if place else "") + wind


def _caption(shown: TimingShown) -> str:
    """What the picture holds, and only that: rose and ladder are drawn where there is something to draw."""
    drawn_too = [
        words
        for words, there in (
            ("the rose round the escape wheel", shown.petals_s),
            ("the ladder of periods with the arbors that own them", shown.rungs),
        )
        if there
    ]
    return "; ".join(("What is left of the beats in its band (95 in 100)", *drawn_too)) + "."


def _small(value_s: float) -> str:
    """Seconds to two figures; what cannot be told from nothing as such."""
    return "nothing" if value_s == 0.0 else "under 0.01 s" if value_s < 0.01 else f"{value_s:.2g} s"


def _signed(value: float) -> str:
    return f"{value:+.1f}".replace("-", "\u2212")
