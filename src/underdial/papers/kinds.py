"""The kinds of paper, in the order of the job, and the function that writes each."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType

from underdial.papers.bench_sheet import bench_sheet
from underdial.papers.blocks import Paper
from underdial.papers.condition_record import condition_record
from underdial.papers.counter_papers import notice, receipt, release_note
from underdial.papers.dossier import Dossier
from underdial.papers.letter import owner_letter
from underdial.papers.work_papers import care_sheet, consent_record, invoice, service_record, test_sheet, work_log

KINDS: Mapping[str, Callable[[Dossier], Paper]] = MappingProxyType(
    {
        "receipt": receipt,
        "record": condition_record,
        "letter": owner_letter,
        "consent": consent_record,
        "work": work_log,
        "bench": bench_sheet,
        "test": test_sheet,
        "invoice": invoice,
        "care": care_sheet,
        "service": service_record,
        "release": release_note,
        "notice": notice,
    }
)
