"""An invoice is issued from Papers, once for what is charged, and the page says its number."""

from underdial.bench.demo import open_demo
from underdial.bench.shop import job
from underdial.record.money import Money
from underdial.record.work import Work

UNPROCESSABLE, CONFLICT = 422, 409


def test_what_is_charged_is_issued_once_and_its_number_stands_on_the_page(client, demo_folder):
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
    page = client.get("/clock/31/papers").text
    assert "One work charged stands on no invoice yet." in page

    page = client.post("/clock/31/invoice").text
    # Derived: the first invoice of the shop.
    assert "Number 1 was issued on" in page
    assert "stands on no invoice yet" not in page
    again = client.post("/clock/31/invoice")
    assert again.status_code in (UNPROCESSABLE, CONFLICT)
    assert "nothing is charged that does not stand on an invoice already" in again.text
