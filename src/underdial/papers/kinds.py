"""The kinds of paper, in the order of the job, the function that writes each, and which have nothing to tell yet."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType

from underdial.papers.bench_sheet import bench_sheet
from underdial.papers.blocks import Paper
from underdial.papers.care_sheet import care_sheet
from underdial.papers.condition_record import condition_record
from underdial.papers.counter_papers import notice, receipt, release_note
from underdial.papers.credit_note import credit_note
from underdial.papers.dossier import Dossier
from underdial.papers.invoice import invoice
from underdial.papers.letter import owner_letter
from underdial.papers.service_record import service_record
from underdial.papers.work_papers import consent_record, test_sheet, work_log
from underdial.record.consent import agreed_lines

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
        "credit": credit_note,
        "care": care_sheet,
        "service": service_record,
        "release": release_note,
        "notice": notice,
    }
)


def nothing_yet(dossier: Dossier) -> Mapping[str, str]:
    """The kinds of paper that have nothing to tell of this clock yet, each with the reason."""
    reasons = {
        "consent": "" if dossier.consents else "nobody has agreed to anything",
        "work": "" if dossier.works else "no work was written down",
        "bench": "" if agreed_lines(dossier.consents) else "no work was agreed to",
        "test": "" if dossier.proofs or dossier.heard else "no test was laid down",
        "invoice": "" if any(one.charged for one in dossier.works) else "nothing was charged",
        "credit": "" if dossier.credits else "no invoice was credited",
        "release": "" if dossier.visit.stage in ("ready", "gone") else "it is not ready to go home",
    }
    return MappingProxyType({kind: why for kind, why in reasons.items() if why})
