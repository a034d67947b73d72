"""A shop with somebody in it who will ask to be erased, and what is looked for afterwards."""

import io
from dataclasses import replace
from datetime import UTC, datetime

from underdial.bench.as_found.looking import add_finding, attach_file
from underdial.bench.counter import receiving
from underdial.bench.counter.people import write_person
from underdial.bench.shop import job
from underdial.record.bill import Bill, BillLine
from underdial.record.clock import Clock
from underdial.record.complaint import Complaint
from underdial.record.finding import Finding
from underdial.record.money import Money
from underdial.record.people import Person
from underdial.record.visit import Visit

NOON = datetime(2026, 3, 2, 12, tzinfo=UTC)
NAME, TELEPHONE, EMAIL = "Hester Quillfeather", "01632 960001", "hester@quillfeather.example"
STORY = b"her voice, telling of the clock"
TALES = ("Quillfeather", "01632 960001", "hester@", "Larkspur Row", "her voice")


def with_hester(shop, tag="drum"):
    """A clock of hers that came, was changed, billed and went home; her id and the id of a recording of her voice."""
    owner = Person(name=NAME, telephone=TELEPHONE, email=EMAIL, address="4 Larkspur Row\nAuldbury", note="rings at six")
    came = receiving.receive_clock(
        shop,
        Clock(tag=tag, name=f"{NAME}’s drum timepiece"),
        Visit(received_at=NOON, complaint=Complaint(words=f"{NAME} says it stops")),
        ((owner, ("owns", "brings", "pays")),),
        why=f"brought by {NAME.lower()}",
    )
    (person_id,) = came.person_ids
    write_person(shop, tag, person_id, {"note": "moved from 4 Larkspur Row"}, ("owns", "brings", "pays"))
    add_finding(
        shop,
        tag,
        Finding(
            component="crutch", condition="loose", state="present", note="so the owner, Mrs Quillfeather, was told"
        ),
    )
    voice = attach_file(
        shop, tag, io.BytesIO(STORY), name="Quillfeather.wav", kind="sound", media_type="audio/wav", caption=NAME
    )
    line = BillLine(work_id="work-1", words="oiled", part="crutch", charged=Money(amount_minor=4500, currency="GBP"))
    with job(shop, tag, by="repairer") as at:
        at.add(
            Bill(
                number_count=1,
                issued_at=NOON,
                issued_by="repairer",
                lines=(line,),
                to=(NAME, "4 Larkspur Row"),
                visit_id=at.visit_id,
            )
        )
    return person_id, voice


def sent_home(shop, person_id, tag="drum"):
    """The clock given out to her."""
    with job(shop, tag, by="repairer") as at:
        at.change(replace(at.visit, stage="gone", gone_at=at.writer.at, collected_by=person_id))
