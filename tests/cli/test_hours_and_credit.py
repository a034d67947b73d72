"""`hours` and `credit` as typed: what cannot be done whole is refused whole."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import pytest

from underdial.bench.counter.receiving import receive_clock
from underdial.bench.shop import clock_page, open_shop
from underdial.cli import main
from underdial.record.clock import Clock
from underdial.record.visit import Visit


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    shop = open_shop(tmp_path / "shop")
    receive_clock(
        shop, Clock(tag="drum", name="drum timepiece"), Visit(received_at=datetime(2026, 3, 2, 12, tzinfo=UTC))
    )
    shop.engine.dispose()
    return tmp_path / "shop"


def refused(capsys: pytest.CaptureFixture[str], folder: Path, *words: str) -> str:
    with pytest.raises(SystemExit) as ended:
        main([*words, "--shop", str(folder)])
    assert ended.value.code
    return capsys.readouterr().err


def test_hours_are_not_put_right_beside_an_order_that_is_refused(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    said = refused(capsys, folder, "hours", "drum", "stop", "--more", "20min")

    assert "more: give it without start or stop" in said
    assert clock_page(open_shop(folder), "drum").hours == ()


def test_a_line_that_is_named_twice_is_refused(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    said = refused(capsys, folder, "credit", "drum", "1", "--why", "x", "--line", "1=10", "--line", "1=5")

    assert "line: 1 is named twice" in said
