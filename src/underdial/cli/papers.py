"""`papers`, `invoice`, `credit`, `hours`: the papers of a clock as PDF files, what is issued, what was worked."""

from __future__ import annotations

import re
from pathlib import Path

import click

from underdial.cli.frame import answer, shared_options, shop_option
from underdial.errors import BadInput


@click.command("papers")
@click.argument("clock")
@click.option(
    "--kind",
    "kinds",
    multiple=True,
    default=("all",),
    show_default=True,
    help="receipt, record, letter, consent, work, bench, test, invoice, credit, care, service, release, notice or "
    "all; may be given more than once.",
)
@click.option("--keep", is_flag=True, help="Keep each with the clock as the file that goes out.")
@shop_option
@shared_options
def papers_command(clock: str, kinds: tuple[str, ...], keep: bool, shop: Path | None) -> None:
    """Write the papers of CLOCK (its ticket) into the folder named by --out, as PDF/A-2a and PDF/UA-1.

    Without --out they are written into the folder `papers` here. A file that exists is not written over without
    --replace. Papers that have nothing to tell of this clock yet are named with the reason.
    """
    from underdial.bench.shop import open_shop
    from underdial.bench.shown.writing import write_papers

    kept = click.get_current_context().meta
    out: Path = kept.pop("underdial.out", None) or Path("papers")
    result = write_papers(
        open_shop(shop, must_exist=True),
        clock,
        out,
        kinds=kinds,
        replace=bool(kept.get("underdial.replace")),
        keep=keep,
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
    from underdial.bench.counter.billing import bill_words
    from underdial.bench.shop import open_shop
    from underdial.bench.shown.issuing import issue_invoice
    from underdial.record.money import total

    opened = open_shop(shop, must_exist=True)
    bill = issue_invoice(opened, clock, by=opened.settings.repairer)
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


@click.command("credit")
@click.argument("clock")
@click.argument("invoice", type=click.IntRange(min=1))
@click.option("--why", required=True, help="What was wrong with the invoice.")
@click.option(
    "--line",
    "sums",
    multiple=True,
    metavar="LINE=SUM",
    help="Take this sum back of that line of the invoice, from 1, such as 2=20.00; may be given more than once. "
    "Without it all that is left of the invoice.",
)
@shop_option
@shared_options
def credit_command(clock: str, invoice: int, why: str, sums: tuple[str, ...], shop: Path | None) -> None:
    """Issue a credit note of INVOICE (its number) for CLOCK (its ticket), of the whole of it or of a part.

    It takes the next number of the shop's credit notes, without a gap; the invoice stays as it was issued. `papers
    CLOCK --kind credit` writes it as PDF.
    """
    from underdial.bench.counter.billing import credit_words
    from underdial.bench.shop import open_shop
    from underdial.bench.shown.issuing import issue_credit_note
    from underdial.record.money import total

    opened = open_shop(shop, must_exist=True)
    sums_minor = _sums_of_lines(sums) if sums else None
    credit = issue_credit_note(opened, clock, invoice, why=why, sums_minor=sums_minor, by=opened.settings.repairer)
    amount = total(tuple(one.credited for one in credit.lines), currency=credit.lines[0].credited.currency)
    answer(
        {
            "number_count": credit.number_count,
            "invoice_number_count": credit.bill_number_count,
            "amount_minor": amount.amount_minor,
            "currency": amount.currency,
            "warnings": [],
            "sources": [],
        },
        credit_words(credit),
    )


@click.command("hours")
@click.argument("clock")
@click.argument("deed", type=click.Choice(["start", "stop", "show"]), default="show")
@click.option("--more", help="Put right by hand: so much more was worked, such as '1 h 20'; less with a minus.")
@click.option("--why", help="Why it is put right.")
@shop_option
@shared_options
def hours_command(clock: str, deed: str, more: str | None, why: str | None, shop: Path | None) -> None:
    """Begin (start) or end (stop) counting the hours of CLOCK (its ticket), or show what was worked and foreseen."""
    from underdial import units
    from underdial.bench.rounds.counting_hours import correct_hours, hours_shown, start_hours, stop_hours
    from underdial.bench.shop import clock_page, open_shop
    from underdial.record.agreed import agreed_works, foreseen_h
    from underdial.record.hours import running, worked_in_all_s

    opened = open_shop(shop, must_exist=True)
    by = opened.settings.repairer
    if more is not None and deed != "show":
        raise BadInput(
            "more",
            f"{more} beside {deed}",
            "more, or start, or stop",
            "more: give it without start or stop; each is an order of its own.",
        )
    if more is not None:
        correct_hours(opened, clock, more_h=units.parse(more, kind="time", field="more").value / 3600.0, why=why, by=by)
    if deed != "show":
        (start_hours if deed == "start" else stop_hours)(opened, clock, by=by)
    page = clock_page(opened, clock)
    shown, foreseen = hours_shown(opened, page), foreseen_h(agreed_works(page.choices, page.consents))
    worked = worked_in_all_s(page.hours, page.look_overs, page.works)
    runs = running(page.hours)
    words = [f"worked: {shown.worked or 'nothing counted'}"]
    words += [f"foreseen: {shown.foreseen}"] if shown.foreseen else []
    words += [f"counted since {shown.since}"] if shown.since else []
    answer(
        {
            "worked_h": None if worked is None else worked / 3600.0,
            "foreseen_h": None if foreseen is None else list(foreseen),
            "counted_since": None if runs is None else runs.began_at.isoformat(),
            "warnings": [],
            "sources": [],
        },
        "\n".join(words),
    )


def _sums_of_lines(texts: tuple[str, ...]) -> dict[int, int]:
    """The sum of each line [minor units]; BadInput for a line that is named twice."""
    found: dict[int, int] = {}
    for line, sum_minor in map(_sum_of_line, texts):
        if line in found:
            raise BadInput("line", f"{line}", "each line once", f"line: {line} is named twice; give it one sum.")
        found[line] = sum_minor
    return found


def _sum_of_line(text: str) -> tuple[int, int]:
    """`2=20.00` as the line and the sum [minor units]."""
    found = re.fullmatch(r"([0-9]{1,4})=([0-9]{1,9})(?:[.,]([0-9]{2}))?", text.strip(), re.ASCII)
    if found is None:
        raise BadInput(
            "line",
            text,
            "a line and its sum, such as 2=20.00",
            f"line: {text} is no line with its sum, such as 2=20.00",
        )
    return int(found[1]), 100 * int(found[2]) + int(found[3] or 0)
