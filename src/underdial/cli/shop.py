"""`check`, `backup`, `restore`, `export`, `import`: the shop's records and files as a whole."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from underdial.cli.frame import answer, shared_options, shop_option
from underdial.errors import BadInput


@click.command("check")
@shop_option
@shared_options
def check_command(shop: Path | None) -> None:
    """See that every record, file and table of the shop is sound.

    Exit 1 when a problem is found; each is named with where it is.
    """
    from underdial.bench.keeping import check_folder

    result = check_folder(shop)
    problems = "\n".join(f"  {one['where']}: {one['what']}" for one in result["problems"])
    if result["problems"]:
        result = {**result, "reason": "; ".join(f"{one['where']}: {one['what']}" for one in result["problems"][:3])}
    answer(
        result,
        "\n".join((f"The shop is not sound:\n{problems}" if problems else "The shop is sound.", *result["warnings"])),
    )


@click.command("backup")
@click.argument("file", type=click.Path(path_type=Path))
@shop_option
@shared_options
def backup_command(file: Path, shop: Path | None) -> None:
    """Write the whole shop (records, history, files) to one new FILE."""
    from underdial.bench.keeping import backup_shop
    from underdial.bench.shop import open_shop

    _tell(backup_shop(open_shop(shop, must_exist=True), file), f"backed up to {file}")


@click.command("restore")
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--into", type=click.Path(path_type=Path), required=True, help="An empty or new folder for the shop.")
@click.option(
    "--database", help="Address of an empty PostgreSQL database for its records; else they lie in the folder."
)
@shared_options
def restore_command(file: Path, into: Path, database: str | None) -> None:
    """Bring a shop back from the backup FILE into a new folder.

    With --database the records go into that empty PostgreSQL database, and the settings in the folder name it.
    """
    from underdial.bench.keeping import restore_shop

    _tell(restore_shop(file, into, database=database), f"restored into {into}")


@click.command("export")
@click.argument("clock")
@shop_option
@shared_options
def export_command(clock: str, shop: Path | None) -> None:
    """Write one CLOCK (by its ticket) with its people, history and files to the exchange file named by --out.

    The file holds the names and addresses of the people; give it only to somebody who may have them.
    """
    from underdial.bench.keeping import export_clocks
    from underdial.bench.shop import open_shop

    kept = click.get_current_context().meta
    out = kept.pop("underdial.out", None)
    if out is None:
        raise BadInput(
            "out", "", "a file to write", "out: nothing is given; name the file to write, such as --out clock.zip"
        )
    _tell(
        export_clocks(open_shop(shop, must_exist=True), [clock], out, replace=bool(kept.get("underdial.replace"))),
        f"written to {out}",
    )


@click.command("import")
@click.argument("file", type=click.Path(path_type=Path))
@shop_option
@shared_options
def import_command(file: Path, shop: Path | None) -> None:
    """Take in the clocks of an exchange FILE, all or none."""
    from underdial.bench.keeping import import_clocks
    from underdial.bench.shop import open_shop

    _tell(import_clocks(open_shop(shop), file), f"taken in from {file}")


def _tell(result: dict[str, Any], done: str) -> None:
    clocks, files = result["clocks_count"], result["files_count"]
    words = f"{clocks} {'clock' if clocks == 1 else 'clocks'} and {files} {'file' if files == 1 else 'files'} {done}."
    answer(result, "\n".join((words, *result["warnings"])))
