"""Records at random, for properties: every field of every kind, with the rules kept."""

from __future__ import annotations

import dataclasses
import types
import typing
from collections.abc import Mapping
from datetime import UTC, date, datetime
from typing import Any, Literal, Union

from hypothesis import strategies as st

from underdial.record import (
    clock,
    complaint,
    consent,
    custody,
    finding,
    hold,
    hours,
    measurement,
    people,
    proof,
    recorder,
    visit,
)
from underdial.record.aim import AIMS
from underdial.record.bill import BillLine
from underdial.record.codec import KINDS
from underdial.record.credit import CreditLine
from underdial.record.money import Money
from underdial.record.picture import PictureMark, PictureScale

WORDS = st.from_regex(r"[a-z][a-z0-9]{0,5}(_[a-z0-9]{1,5})?", fullmatch=True)
TEXTS = st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\x00"), min_size=1, max_size=20).filter(
    lambda text: text.strip()
)
MOMENTS = st.datetimes(datetime(2000, 1, 1), datetime(2090, 1, 1), timezones=st.just(UTC))
CHANCES = st.floats(0, 1)
PLACES = st.floats(0, 1)
MARKS = st.one_of(
    st.builds(PictureMark, kind=st.just("ring"), x_ratio=PLACES, y_ratio=PLACES, radius_ratio=st.floats(0.005, 0.6)),
    st.builds(PictureMark, kind=st.just("number"), x_ratio=PLACES, y_ratio=PLACES, number_count=st.integers(1, 99)),
    st.builds(
        PictureMark,
        kind=st.just("arrow"),
        x_ratio=PLACES,
        y_ratio=st.floats(0, 0.4),
        from_x_ratio=PLACES,
        from_y_ratio=st.floats(0.5, 1),
    ),
)
SCALES = st.builds(
    PictureScale,
    x1_ratio=st.floats(0, 0.4),
    y1_ratio=PLACES,
    x2_ratio=st.floats(0.5, 1),
    y2_ratio=PLACES,
    length_m=st.floats(1e-4, 5),
    what=TEXTS,
)
_WORD_FIELDS = {
    "component",
    "condition",
    "place",
    "against",
    "quantity",
    "position",
    "family",
    "case_metal",
    "work",
    "of",
    "computed_by",
}
_PICKED: dict[tuple[str, str], typing.Sequence[str]] = {
    ("Finding", "why"): finding.WHYS,
    ("Finding", "extent"): finding.EXTENTS,
    ("Finding", "significance"): finding.SIGNIFICANCES,
    ("Finding", "decision"): finding.DECISIONS,
    ("Finding", "who"): finding.SPEAKERS,
    ("Finding", "standing"): finding.STANDINGS,
    ("Evidence", "kind"): finding.EVIDENCE_KINDS,
    ("Measurement", "who"): finding.SPEAKERS,
    ("Measurement", "standing"): finding.STANDINGS,
    ("Measurement", "lent_parts"): measurement.LENT_PARTS,
    ("Complaint", "stops_at"): complaint.STOPS_AT,
    ("Complaint", "rate_kind"): complaint.RATE_KINDS,
    ("Complaint", "strikes"): complaint.STRIKES,
    ("Complaint", "swing"): complaint.SWINGS,
    ("Complaint", "goes_only"): complaint.GOES_ONLY,
    ("Complaint", "since"): complaint.SINCE,
    ("Complaint", "winding"): complaint.WINDINGS,
    ("Complaint", "chimes"): complaint.CHIMES,
    ("Complaint", "alarm"): complaint.ALARMS,
    ("Attachment", "kind"): clock.ATTACHMENT_KINDS,
    ("Aim", "what"): AIMS,
    ("Visit", "stage"): visit.STAGES,
    ("Visit", "arrived_as"): visit.ARRIVED_AS,
    ("Visit", "return_cause"): visit.RETURN_CAUSES,
    ("HandedOver", "status"): visit.PART_STATUSES,
    ("Trial", "result"): visit.TRIAL_RESULTS,
    ("PartToPlay", "part"): people.PARTS,
    ("Hold", "reason"): hold.REASONS,
    ("Hold", "forbids"): hold.FORBIDDEN,
    ("CustodyLine", "kind"): custody.CUSTODY_KINDS,
    ("Consent", "channel"): consent.CHANNELS,
    ("ConsentLine", "answer"): consent.ANSWERS,
    ("Proof", "verdict"): proof.VERDICTS,
    ("Recorder", "method"): recorder.METHODS,
    ("Hours", "how"): hours.HOWS,
}
_WHOLE: dict[tuple[str, str], st.SearchStrategy[Any]] = {
    ("Money", "currency"): st.sampled_from(("GBP", "EUR", "USD")),
    ("PriceBand", "currency"): st.just("GBP"),
    ("PricePart", "currency"): st.just("GBP"),
    ("Hours", "by_hand_s"): st.none() | st.integers(-9999, -1) | st.integers(1, 9999),
    ("Day", "zone"): st.sampled_from(("UTC", "Europe/London", "America/New_York")),
    ("Attachment", "sha256"): st.from_regex(r"[0-9a-f]{64}", fullmatch=True),
    ("Attachment", "width_px"): st.none() | st.integers(1, 9999),
    ("Attachment", "height_px"): st.none() | st.integers(1, 9999),
    ("Attachment", "marks"): st.lists(MARKS, max_size=3).map(tuple),
    ("Attachment", "scale"): st.none() | SCALES,
    ("Finding", "certainty"): CHANCES,
    ("Clock", "traits"): st.lists(WORDS, max_size=3).map(tuple),
    ("Clock", "hazards"): st.lists(WORDS, max_size=3).map(tuple),
    ("Clock", "movement"): st.dictionaries(
        WORDS, st.one_of(st.floats(-9, 9), TEXTS, st.none(), st.lists(st.integers(0, 99)))
    ),
    ("Work", "invasiveness_count"): st.none() | st.integers(0, 5),
    ("PlannedWork", "invasiveness_count"): st.none() | st.integers(0, 5),
    ("Round", "number_count"): st.integers(1, 99),
    ("Recorder", "sample_hz"): st.integers(8000, 192000),
    ("Recorder", "ppm"): st.floats(-999, 999),
    ("Recorder", "u_ppm"): st.floats(0, 999),
    ("Recorder", "temperature_deg_c"): st.none() | st.floats(-20, 60),
    ("Lesson", "number_count"): st.integers(50, 99),
    ("Lesson", "follows_count"): st.integers(0, 49),
    ("Lesson", "same_as_count"): st.none() | st.integers(0, 49),
    ("Lesson", "chances"): st.dictionaries(WORDS, st.floats(1e-6, 0.99)),
    ("Lesson", "sizes"): st.dictionaries(WORDS, st.floats(0.1, 9.0)),
    ("Lesson", "looked_count"): st.dictionaries(WORDS, st.integers(1, 99)),
    ("Lesson", "size_chances"): st.dictionaries(WORDS, st.lists(CHANCES, max_size=13)),
}
_ORDERED = {
    "PriceBand": ("low_minor", "likely_minor", "high_minor", "ceiling_minor"),
    "PricePart": ("low_minor", "likely_minor", "high_minor"),
    "Hours": ("began_at", "ended_at"),
    "Prediction": ("low", "likely", "high"),
    "PassLine": ("low", "high"),
    "Evidence": ("start_s", "end_s"),
    "Stretch": ("start_s", "end_s"),
    "Finding": ("start_s", "end_s"),
    "Visit": ("received_at", "gone_at"),
    "Proof": ("planned_at", "began_at"),
}


def of_kind(kind: str) -> st.SearchStrategy[Any]:
    """Any record of this kind that the rules allow."""
    return record_of(KINDS[kind])


@st.composite
def record_of(draw: st.DrawFn, wanted: type[Any]) -> Any:
    """Any record of this class that the rules allow: needed fields always, the others now and then."""
    hints = typing.get_type_hints(wanted)
    given: dict[str, Any] = {}
    for field in dataclasses.fields(wanted):
        needed = field.default is dataclasses.MISSING and field.default_factory is dataclasses.MISSING
        if needed or draw(st.booleans()):
            given[field.name] = draw(_field(wanted.__name__, field.name, hints[field.name]))
    return wanted(**_kept_rules(wanted.__name__, given))


def _kept_rules(name: str, given: dict[str, Any]) -> dict[str, Any]:
    ordered = [field for field in _ORDERED.get(name, ()) if given.get(field) is not None]
    for field, value in zip(ordered, sorted(given[field] for field in ordered), strict=True):
        given[field] = value
    if name == "Finding" and given.get("why"):
        given["state"] = "not_examined"
    if name == "Visit" and given.get("gone_at") is not None:
        given["stage"] = "gone"
    elif name == "Visit" and given.get("stage") == "gone":
        given.pop("stage")
    if name == "Visit" and given.get("under_warranty"):
        given["earlier_visit_id"] = "visit-1"
    if name == "Hold":
        given["forbids"] = given.get("forbids") or ("alter",)
        if given.get("lifted_at"):
            given.update(lifted_by="somebody", lifted_why="settled")
    if name == "CustodyLine" and given.get("back_at"):
        given["checked_back_by"] = "somebody"
    if name == "Bill":
        line = BillLine(work_id="work-1", words="bush", part="hole", charged=Money(amount_minor=1, currency="GBP"))
        given.update(number_count=1 + abs(given["number_count"]), lines=given["lines"][:1] or (line,))
    if name == "Credit":
        line = CreditLine(line_count=1, words="bush", part="hole", credited=Money(amount_minor=1, currency="GBP"))
        numbers = {field: 1 + abs(given[field]) for field in ("number_count", "bill_number_count")}
        given.update(**numbers, lines=given["lines"][:1] or (line,))
    if name == "CreditLine":
        back = given["credited"]
        given.update(
            line_count=1 + abs(given["line_count"]),
            credited=dataclasses.replace(back, amount_minor=1 + abs(back.amount_minor)),
        )
    if name == "Hours" and given.get("by_hand_s"):
        given.update(how="by_hand", ended_at=None)
    elif name == "Hours" and given.get("how") == "by_hand":
        given["by_hand_s"] = 60
        given["ended_at"] = None
    if name == "Choice":
        given["works"] = tuple(
            dataclasses.replace(work, line=f"line {place}", price=None)
            for place, work in enumerate(given.get("works", ()))
        )
        given.pop("earliest", None)
    return given


def _field(owner: str, name: str, hint: Any) -> st.SearchStrategy[Any]:
    if (owner, name) in _WHOLE:
        return _WHOLE[(owner, name)]
    if (owner, name) in _PICKED:
        one = st.sampled_from(_PICKED[(owner, name)])
        return st.lists(one, max_size=3).map(tuple) if typing.get_origin(hint) is tuple else one
    if name in _WORD_FIELDS:
        return WORDS
    if name.endswith("_probability"):
        return CHANCES
    if owner == "Proof" and name == "lines":
        return st.lists(record_of(proof.PassLine), min_size=1, max_size=2).map(tuple)
    return _by_type(hint)


def _by_type(hint: Any) -> st.SearchStrategy[Any]:
    origin = typing.get_origin(hint)
    if origin in (Union, types.UnionType):
        return st.one_of(*(st.none() if one is type(None) else _by_type(one) for one in typing.get_args(hint)))
    if origin is Literal:
        return st.sampled_from(typing.get_args(hint))
    if origin is tuple:
        return st.lists(_by_type(typing.get_args(hint)[0]), max_size=2).map(tuple)
    if isinstance(hint, type) and dataclasses.is_dataclass(hint):
        return record_of(hint)
    simple: Mapping[Any, st.SearchStrategy[Any]] = {
        str: TEXTS,
        int: st.integers(0, 10**9),
        float: st.floats(0, 1e9),
        bool: st.booleans(),
        datetime: MOMENTS,
        date: st.dates(date(2000, 1, 1), date(2090, 1, 1)),
    }
    return simple[hint]
