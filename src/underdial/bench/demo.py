"""The demo shop: three invented clocks with invented owners, taken in by the same functions as any other clock."""

from __future__ import annotations

import io
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path
from typing import Any

from underdial.bench import demo_pictures
from underdial.bench.as_found import looking
from underdial.bench.as_found.hearing import hear_captions
from underdial.bench.counter import holding, receiving
from underdial.bench.shop import Shop, in_the_shop, open_shop
from underdial.errors import MachineRefused
from underdial.record.aim import Aim
from underdial.record.clock import Clock
from underdial.record.complaint import Complaint
from underdial.record.hold import Hold
from underdial.record.money import Day
from underdial.record.people import Person
from underdial.record.visit import HandedOver, Visit

HERE = Path(__file__).parent
ZONE = "Europe/London"
_SETTINGS = """\
# The demo shop; everything in it is invented.
name = "The demo shop"
address = ["The Old Forge", "Lower Tarrow"]
telephone = "01632 960200"
zone = "Europe/London"
currency = "GBP"
hour_price_minor = 4800
repairer = "the repairer"
law_words = "These words stand where a shop puts what its own law asks it to say."
"""


@dataclass(frozen=True, slots=True)
class DemoClock:
    """What is written at the counter for one clock of the demo, and what its look-over and picture are."""

    clock: Clock
    owners: tuple[tuple[str, tuple[str, ...]], ...]
    complaint: Complaint
    aim: Aim
    needed_in_days: int | None
    handed_over: tuple[HandedOver, ...]
    captions: str
    picture: Callable[[], str]
    caption: str
    dispute: str = ""


_CLOCKS = (
    DemoClock(
        Clock(
            tag="31",
            name="Drum timepiece, eight days",
            family="open_spring_balance_8d",
            movement={"strike": "none"},
            traits=("brass_case", "standing"),
            description="Brass drum case in the manner of a ship's clock, silvered dial, seconds hand.",
        ),
        (("Oona Treddle", ("owns", "brings", "pays", "may_instruct", "may_collect")),),
        Complaint(words="it stops at about twenty to four, and a knock sets it off again", stops_at="same_dial_time"),
        Aim(what="to_run", wishes=("the case is not to be polished",)),
        21,
        (HandedOver(component="key", status="with_clock"),),
        "drum.vtt",
        demo_pictures.drum_picture,
        "The case, drawn",
    ),
    DemoClock(
        Clock(
            tag="32",
            name="Slate mantel clock, French round movement",
            family="french_round_pendulum",
            traits=("slate_case", "standing", "rack"),
            description="Black slate case, enamel dial, strikes hours and halves on a bell.",
        ),
        (("Piers Wexcombe", ("owns", "brings", "pays", "may_instruct", "may_collect")),),
        Complaint(
            words="it gains ten minutes a day since it was cleaned last autumn",
            rate_s_per_day=600.0,
            rate_kind="gains",
            since="cleaned",
        ),
        Aim(what="to_run"),
        None,
        (
            HandedOver(component="pendulum", status="with_clock"),
            HandedOver(component="key", status="not_with_clock", note="stayed at home"),
        ),
        "mantel.vtt",
        demo_pictures.mantel_picture,
        "The case, drawn",
    ),
    DemoClock(
        Clock(
            tag="33",
            name="Oak longcase, eight days, rack strike",
            family="english_longcase",
            traits=("rack", "longcase", "wood_case"),
            description="Oak case, painted dial, strikes on a bell; two weights.",
        ),
        (("Hal Ormerod-Pike", ("owns", "brings")), ("Wenna Ormerod-Pike", ("owns",))),
        Complaint(
            words="it stops in the night a few minutes before the hour, and strikes the wrong number",
            stops_at="before_hour",
            strikes="wrong_count",
        ),
        Aim(what="to_run", words="one owner wants it to run, the other wants it left as it is"),
        None,
        (
            HandedOver(component="weight", status="with_clock", how_many_count=2),
            HandedOver(component="pendulum", status="with_clock"),
        ),
        "longcase.vtt",
        demo_pictures.longcase_picture,
        "The case, drawn",
        dispute="the two owners do not agree whether it is to be put right or left as it is",
    ),
)


def open_demo(folder: Path) -> Shop:
    """Open the demo shop in a folder, filled with its clocks when it is empty; one whose clocks have all gone home is
    not empty.
    """
    settings = folder / "shop.toml"
    try:
        folder.mkdir(parents=True, exist_ok=True)
        if not settings.exists():
            settings.write_text(_SETTINGS, encoding="utf-8")
    except OSError as wrong:
        raise MachineRefused(
            "folder",
            str(folder),
            "a folder that can be written",
            f"folder: {folder} cannot be written ({wrong.strerror or wrong})",
        ) from wrong
    shop = open_shop(folder)
    here, gone, not_ours = in_the_shop(shop), in_the_shop(shop, gone=True), in_the_shop(shop, in_error=True)
    if here.all_count + gone.all_count + not_ours.all_count == 0:
        for one in _CLOCKS:
            _fill(shop, one)
    return shop


def _fill(shop: Shop, one: DemoClock) -> None:
    by = shop.settings.repairer
    now = shop.now()
    aim: dict[str, Any] = {}
    if one.needed_in_days is not None:
        aim["needed_by"] = Day(on=_day(now.date(), one.needed_in_days), zone=ZONE)
    visit = Visit(
        received_at=now - timedelta(days=2),
        reason="repair",
        complaint=one.complaint,
        handed_over=one.handed_over,
        aim=Aim(what=one.aim.what, words=one.aim.words, wishes=one.aim.wishes, **aim),
    )
    receiving.receive_clock(
        shop, one.clock, visit, tuple((Person(name=name), parts) for name, parts in one.owners), by=by
    )
    picture = one.picture().encode()
    looking.attach_file(
        shop,
        one.clock.tag,
        io.BytesIO(picture),
        name=f"{one.captions.split('.')[0]}.svg",
        kind="drawing",
        media_type="image/svg+xml",
        caption=one.caption,
        drawn=True,
        by=by,
    )
    hear_captions(shop, one.clock.tag, (HERE / "demo_shop" / one.captions).read_bytes(), file_name=one.captions, by=by)
    if one.dispute:
        holding.set_hold(
            shop, one.clock.tag, Hold(reason="dispute", why=one.dispute, forbids=("alter", "release"), since=now), by=by
        )


def _day(today: date, days: int) -> date:
    return today + timedelta(days=days)
