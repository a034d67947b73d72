"""`papers`: the papers of a clock as PDF files."""

from __future__ import annotations

from pathlib import Path

import click

from underdial.cli.frame import answer, shared_options, shop_option


@click.command("papers")
@click.argument("clock")
@click.option(
    "--kind",
    "kinds",
    multiple=True,
    default=("all",),
    show_default=True,
    help="receipt, record, letter, consent, work, bench, test, invoice, care, service, release, notice or all; may "
    "be given more than once.",
)
@shop_option
@shared_options
def papers_command(clock: str, kinds: tuple[str, ...], shop: Path | None) -> None:
    """Write the papers of CLOCK (its ticket) into the folder named by --out, as PDF/A-2a and PDF/UA-1.

    Without --out they are written into the folder `papers` here. A file that exists is not written over without
    --replace. Papers that have nothing to tell of this clock yet are named with the reason.
    """
    from underdial.bench.shop import open_shop
    from underdial.bench.shown.writing import write_papers

    kept = click.get_current_context().meta
    out: Path = kept.pop("underdial.out", None) or Path("papers")
    result = write_papers(
        open_shop(shop, must_exist=True), clock, out, kinds=kinds, replace=bool(kept.get("underdial.replace"))
    )
    silent = {one["kind"]: f"; nothing to tell yet: {one['because']}" for one in result["nothing_yet"]}
    answer(
        result,
        "\n".join(
            f"{one['kind']}: {one['file']}, {one['pages_count']} page{'s' if one['pages_count'] > 1 else ''}"
            f"{silent.get(one['kind'], '')}"
            for one in result["papers"]
        ),
    )


@click.command("invoice")
@click.argument("clock")
@shop_option
@shared_options
def invoice_command(clock: str, shop: Path | None) -> None:
    """Issue an invoice for all that is charged for CLOCK (its ticket) and stands on none yet.

    It takes the next number of the shop, without a gap, and is not changed after; `papers CLOCK --kind invoice` writes
    it as PDF.
    """
    from underdial.bench.counter.billing import bill_words, issue_bill
    from underdial.bench.shop import open_shop
    from underdial.record.money import total

    opened = open_shop(shop, must_exist=True)
    bill = issue_bill(opened, clock, by=opened.settings.repairer)
    amount = total(tuple(one.charged for one in bill.lines), currency=bill.lines[0].charged.currency)
    answer(
        {
            "number_count": bill.number_count,
            "amount_minor": amount.amount_minor,
            "currency": amount.currency,
            "warnings": [],
            "sources": [],
        },
        bill_words(bill),
    )
