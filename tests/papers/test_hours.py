"""Every time on a paper is an hour of the shop, in summer too, and so is the day that follows from it."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

from tests.papers.test_bench_sheet import dossier
from underdial.papers.blocks import all_words
from underdial.papers.counter_papers import receipt
from underdial.papers.dossier import ShopName
from underdial.papers.work_papers import consent_record
from underdial.record.visit import Visit

LATE = datetime(2026, 6, 5, 23, 30, tzinfo=UTC)


def test_a_time_told_in_another_zone_is_printed_as_the_shops_own() -> None:
    shop = ShopName(name="A shop", zone="Europe/London")
    given = replace(dossier().consents[0], given_at=LATE)
    words = all_words(consent_record(dossier(shop=shop, consents=(given,))))

    # Derived: half past eleven at night in UTC is half past midnight in a British summer, of the next day.
    assert "6 June 2026 00:30, in the shop" in words
    assert "Received\n6 June 2026" in all_words(receipt(dossier(shop=shop, visit=Visit(received_at=LATE))))
