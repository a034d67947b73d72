"""`erase`: a person who asks for it, asked for twice."""

from __future__ import annotations

from pathlib import Path

import click

from underdial.cli.frame import answer, shared_options, shop_option


@click.command("erase")
@click.argument("person")
@click.option("--why", required=True, help="Who asked, how and when, without their name; this stays in the history.")
@click.option("--also", multiple=True, help="A word more to strike out of their clocks, such as a surname by itself.")
@click.option(
    "--file", "files", multiple=True, help="A file to take off the disk, named as in the first answer: 31/attachment-2."
)
@click.option(
    "--sure", "name", help="Their whole name once more. Without it nothing is changed and it is told what would go."
)
@shop_option
@shared_options
def erase_command(
    person: str, why: str, also: tuple[str, ...], files: tuple[str, ...], name: str | None, shop: Path | None
) -> None:
    """Erase PERSON (by whole name or id) for good, because they asked for it.

    Asked for twice: the first time it tells what would go and what would stay, the second time --sure names them.
    Issued invoices stay, and so does the record of their clocks without them.
    """
    from underdial.bench.counter import erasing
    from underdial.bench.shop import open_shop

    opened = open_shop(shop, must_exist=True)
    known = erasing.person_named(opened, person)
    if name is not None:
        said = erasing.erase_person(
            opened, known.id, name=name, why=why, also=also, files=files, by=opened.settings.repairer
        )
        answer({"erased": True, "person": known.id, "said": said, "warnings": [], "sources": []}, "\n".join(said))
        return
    goes = erasing.what_goes(opened, known.id, also)
    lines = [
        f"Nothing is changed yet. Of {known.name} would go: name and where they are reached, in the history too.",
        *(f"  struck out: “{word}”, in {count} record{'s' if count != 1 else ''}" for word, count in goes.words),
        *(f"  file to choose: {one.named}  {one.words}" for one in goes.files),
        f"Stays: {', '.join(goes.invoices) or 'no invoice'}; the record of their clocks without them.",
        *([f"The same words stand at ticket {', '.join(goes.elsewhere)}; not touched."] if goes.elsewhere else []),
        *goes.against,
        "To erase for good, give the same command once more with --sure and the whole name.",
    ]
    told = {
        "erased": False,
        "person": known.id,
        "words": [{"words": word, "records_count": count} for word, count in goes.words],
        "files": [{"file": one.named, "what": one.words} for one in goes.files],
        "invoices": list(goes.invoices),
        "elsewhere": list(goes.elsewhere),
        "against": list(goes.against),
        "warnings": [],
        "sources": [],
    }
    answer(told, "\n".join(lines))
