"""An invoice is issued from Papers, once for what is charged, and the page says its number."""

import re

import pypdfium2

from underdial.bench.as_found.looking import add_finding
from underdial.bench.counter.billing import issue_bill
from underdial.bench.demo import open_demo
from underdial.bench.shop import clock_page, job
from underdial.bench.shown.writing import write_papers
from underdial.record.finding import Finding
from underdial.record.money import Money
from underdial.record.work import Work

UNPROCESSABLE, CONFLICT = 422, 409


def charge(demo_folder):
    """A work of nine pounds, done at clock 31 and on no invoice."""
    shop = open_demo(demo_folder)
    with job(shop, "31", by="bench") as at:
        at.add(
            Work(
                work="set_up_again",
                component="movement",
                by="bench",
                charged=Money(amount_minor=900, currency="GBP"),
                visit_id=at.visit_id,
            )
        )
    shop.engine.dispose()


def test_what_is_charged_is_issued_once_and_its_number_stands_on_the_page(client, demo_folder):
    charge(demo_folder)
    page = client.get("/clock/31/papers").text
    assert "One work charged stands on no invoice yet." in page

    page = client.post("/clock/31/invoice").text
    # Derived: the first invoice of the shop.
    assert "Number 1 was issued on" in page
    assert "stands on no invoice yet" not in page
    again = client.post("/clock/31/invoice")
    assert again.status_code in (UNPROCESSABLE, CONFLICT)
    assert "nothing is charged that does not stand on an invoice already" in again.text


def test_a_wrong_invoice_is_credited_from_the_page_and_both_can_be_opened(client, demo_folder):
    page = client.get("/clock/31/papers").text
    # The tests of a module may run apart: the invoice of the one before is there, or is issued here.
    if "was issued on" not in page:
        charge(demo_folder)
        page = client.post("/clock/31/invoice").text
    number = re.search(r"Number (\d+) was issued on", page)[1]
    issued = client.get(f"/clock/31/papers/invoice.pdf?number={number}").content
    assert 'value="9.00"' in page
    refused = client.post("/clock/31/credit", data={"invoice": number, "why": "too dear", "sum": ["9.01"]})
    assert refused.status_code in (UNPROCESSABLE, CONFLICT)
    assert "9.00 GBP is left, not 9.01" in refused.text
    page = client.post("/clock/31/credit", data={"invoice": number, "why": "too dear", "sum": ["2.5"]}).text

    # Derived: the first credit note of the shop; 9.00 less 2.50 is left.
    assert "Credit note 1 of" in page
    assert "too dear" in page
    assert 'value="6.50"' in page
    assert client.get(f"/clock/31/papers/invoice.pdf?number={number}").content == issued
    pdf = pypdfium2.PdfDocument(client.get("/clock/31/papers/credit.pdf?number=1").content)
    words = " ".join(" ".join(one.get_textpage().get_text_bounded() for one in pdf).split())
    assert "Credit note" in words
    assert f"number {number} of" in words
    assert "Left of the invoice £6.50" in words


def test_a_letter_that_was_kept_stays_as_it_went_out(client, demo_folder):
    page = client.post("/clock/31/send/letter").text
    kept = re.search(r'href="(/clock/31/file/attachment-\d+)">Letter<', page)[1]
    before = client.get(kept).content
    client.post("/clock/31/owner", data={"words": "it has never gone since the move"})
    shop = open_demo(demo_folder)
    add_finding(shop, "31", Finding(component="bezel", condition="loose", state="present", certainty=0.9))

    assert before.startswith(b"%PDF-")
    assert client.get(kept).content == before
    assert client.get("/clock/31/papers/letter.pdf").content != before
    assert client.post("/clock/31/send/poem").status_code == UNPROCESSABLE
    shop.engine.dispose()


def test_an_invoice_whose_file_was_not_kept_says_so_and_is_kept_by_a_touch(client, demo_folder):
    charge(demo_folder)
    shop = open_demo(demo_folder)
    # As after a cut: the invoice is issued, its file not kept.
    number = issue_bill(shop, "31").number_count
    shop.engine.dispose()
    page = client.get("/clock/31/papers").text
    assert f"The file of invoice {number} was not kept when it was issued." in page

    page = client.post("/clock/31/send/invoice", data={"number": f"{number}"}).text
    assert "was not kept when it was issued" not in page
    assert f">Invoice {number}</a>" in page


def test_a_draft_of_an_invoice_is_not_kept_as_what_went_out(client, demo_folder):
    # Clock 33 has no invoice.
    answer = client.post("/clock/33/send/invoice")
    assert answer.status_code in (UNPROCESSABLE, CONFLICT)
    assert "no invoice is issued yet; it is kept when it is" in answer.text
    shop = open_demo(demo_folder)
    write_papers(shop, "33", demo_folder.parent / "papers-33", kinds=["invoice", "credit", "receipt"], keep=True)
    kept = [one.caption for one in clock_page(shop, "33").attachments if one.kind == "paper"]
    assert kept == ["receipt"]
    shop.engine.dispose()
