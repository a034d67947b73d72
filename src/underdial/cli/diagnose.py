"""`diagnose`: what is wrong with a clock, what each choice would do, what to look at next."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from underdial.cli.frame import answer, read_text, shared_options, shop_option


@click.command("diagnose")
@click.argument("clock")
@shop_option
@shared_options
def diagnose_command(clock: str, shop: Path | None) -> None:
    """Say what is wrong with CLOCK: a clock in the shop by its ticket, or a case FILE.json (- for standard input).

    Exit 1 when the movement lies outside the model.
    """
    from underdial.bench.causes.diagnose import diagnosis_in_words

    result = _result(clock, shop)
    answer(result, diagnosis_in_words(result))


def _result(clock: str, shop: Path | None) -> dict[str, Any]:
    from underdial.bench.causes.diagnose import diagnose_text

    if clock == "-" or clock.endswith(".json") or Path(clock).is_file():
        return diagnose_text(read_text(clock))
    from underdial.bench.causes.answering import work_out
    from underdial.bench.shop import open_shop

    return work_out(open_shop(shop, must_exist=True), clock)
