"""Records to plain JSON and back."""

from __future__ import annotations

import contextlib
import json
from datetime import UTC, datetime
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.record.strategies import of_kind
from underdial.errors import BadInput, RuleBroken
from underdial.record import codec
from underdial.record.codec import KINDS, from_plain, from_text, read_as, to_plain, to_text
from underdial.record.finding import Finding
from underdial.record.visit import Visit

NOON = datetime(2026, 3, 2, 12, tzinfo=UTC)


@pytest.mark.parametrize("kind", KINDS)
def test_every_record_survives_the_way_to_text_and_back(kind: str) -> None:
    @settings(max_examples=12, deadline=None, suppress_health_check=list(HealthCheck))
    @given(of_kind(kind))
    def holds(record: Any) -> None:
        assert from_text(to_text(record)) == record
        assert to_text(from_text(to_text(record))) == to_text(record)

    holds()


@given(
    st.recursive(
        st.none() | st.booleans() | st.floats() | st.text(),
        lambda one: st.lists(one) | st.dictionaries(st.text(), one),
        max_leaves=8,
    )
)
def test_whatever_is_read_gives_a_record_or_one_sentence(anything: Any) -> None:
    with pytest.raises(BadInput) as wrong:
        from_plain(anything)

    assert "\n" not in wrong.value.message


@settings(max_examples=30, suppress_health_check=list(HealthCheck))
@given(
    of_kind("finding"),
    st.sampled_from(("state", "certainty", "start_s", "evidence", "who", "flags")),
    st.sampled_from((None, [1], {"a": 2}, "?", -1, True)),
)
def test_a_spoilt_finding_is_refused_or_read_but_never_crashes(finding: Finding, field: str, spoilt: Any) -> None:
    plain = {**to_plain(finding), field: spoilt}
    read: Any = None
    with contextlib.suppress(BadInput, RuleBroken):
        read = from_plain(plain)

    assert read is None or isinstance(read, Finding)


def test_a_default_is_not_written_down() -> None:
    plain = to_plain(Finding(component="staff", condition="bent", state="present"))

    assert plain == {"record": "finding", "version": 1, "component": "staff", "condition": "bent", "state": "present"}


def test_the_text_of_a_record_is_one_line_with_sorted_names() -> None:
    text = to_text(Visit(received_at=NOON, reason="stops"))

    assert "\n" not in text
    assert list(json.loads(text)) == sorted(json.loads(text))


def test_an_unknown_field_is_named_with_what_is_allowed() -> None:
    with pytest.raises(BadInput, match=r"visit\.aim\.whut: there is no such field; allowed: what, words"):
        from_plain({"record": "visit", "received_at": NOON.isoformat(), "aim": {"whut": 1}})


def test_a_time_without_its_zone_is_refused() -> None:
    with pytest.raises(BadInput, match=r"received_at: 2026-03-02T12:00:00 .* a time with its zone"):
        from_plain({"record": "visit", "received_at": "2026-03-02T12:00:00"})


def test_a_record_from_a_newer_program_is_refused_in_words() -> None:
    with pytest.raises(BadInput, match="this finding was written in version 99"):
        from_plain({"record": "finding", "version": 99, "component": "staff", "condition": "bent", "state": "present"})


def test_a_record_of_an_older_version_is_brought_forward(monkeypatch: pytest.MonkeyPatch) -> None:
    def renamed(body: dict[str, Any]) -> dict[str, Any]:
        return {**{name: value for name, value in body.items() if name != "part"}, "component": body["part"]}

    monkeypatch.setattr(codec, "VERSION", 2)
    monkeypatch.setitem(codec._FORWARD, ("finding", 1), renamed)

    assert (
        from_plain(
            {"record": "finding", "version": 1, "part": "staff", "condition": "bent", "state": "present"}
        ).component
        == "staff"
    )


def test_a_map_from_a_form_is_read_without_its_kind() -> None:
    finding = read_as(Finding, {"component": "staff", "condition": "bent", "state": "absent"})

    assert finding.state == "absent"


def test_a_number_that_is_no_number_never_enters() -> None:
    with pytest.raises(BadInput, match="value"):
        from_plain({"record": "measurement", "quantity": "half_arc", "value": float("nan")})


def test_a_needed_field_that_is_missing_is_named() -> None:
    with pytest.raises(BadInput, match=r"finding\.condition: this is missing"):
        from_plain({"record": "finding", "component": "staff", "state": "present"})


@pytest.mark.parametrize("sign", ["\x00", "\ud800"])
def test_a_sign_that_no_file_can_keep_is_refused(sign: str) -> None:
    with pytest.raises(BadInput, match="words"):
        from_plain(
            {"record": "finding", "component": "staff", "condition": "bent", "state": "present", "words": f"bent{sign}"}
        )
