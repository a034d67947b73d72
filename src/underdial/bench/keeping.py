"""Keeping the shop safe: check it, back it up, restore it, and hand clocks from shop to shop."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import Any

from underdial.bench.shop import Shop, open_shop
from underdial.errors import MachineRefused
from underdial.store.backup import SETTINGS_NAME, Carried, restore_backup, write_backup
from underdial.store.clocks import find_clock
from underdial.store.database import reading
from underdial.store.exchange import read_exchange, write_exchange
from underdial.store.records import Writer
from underdial.store.soundness import left_over, problems_of


def check_shop(shop: Shop) -> dict[str, Any]:
    """Whether every record, file and table of the shop is sound; each problem with where it is."""
    problems = [{"what": one.what, "where": one.where} for one in problems_of(shop.engine, shop.attachments)]
    waiting = left_over(shop.engine, shop.attachments) if not problems else ()
    warnings = (
        [
            f"{len(waiting)} files in the folder belong to no record; they were left by a cut and hold nothing that "
            "was confirmed."
        ]
        if waiting
        else []
    )
    return {"verdict": "failed" if problems else "sound", "problems": problems, "warnings": warnings, "sources": []}


def check_folder(folder: Path | None) -> dict[str, Any]:
    """`check_shop` of the shop in a folder; a database too damaged to be opened is a problem found, no refusal."""
    try:
        shop = open_shop(folder, must_exist=True)
    except MachineRefused as wrong:
        if wrong.allowed not in ("a sound database", "a shop's database"):
            raise
        return {
            "verdict": "failed",
            "problems": [{"what": wrong.message, "where": "database"}],
            "warnings": [],
            "sources": [],
        }
    return check_shop(shop)


def backup_shop(shop: Shop, file: Path) -> dict[str, Any]:
    """Write the whole shop to one new file."""
    return _told(write_backup(shop.engine, shop.attachments, file, at=shop.now(), settings=shop.folder / SETTINGS_NAME))


def restore_shop(file: Path, into: Path, *, database: str | None = None) -> dict[str, Any]:
    """Bring a shop back from its backup into an empty or new folder, and its records into an empty PostgreSQL database
    where one is given.
    """
    return _told(restore_backup(file, into, database=database))


def export_clocks(shop: Shop, named: Iterable[str], file: Path, *, replace: bool = False) -> dict[str, Any]:
    """Write clocks (by tag or id) with their people, history and files to an exchange file."""
    with reading(shop.engine) as connection:
        clock_ids = [find_clock(connection, one) for one in named]
    return _told(write_exchange(shop.engine, shop.attachments, clock_ids, file, at=shop.now(), replace_file=replace))


def import_clocks(shop: Shop, file: Path, *, by: str = "repairer") -> dict[str, Any]:
    """Take in the clocks of an exchange file, all or none."""
    writer = Writer(by=by, at=shop.now(), why=f"taken in from {file.name}")
    carried, warnings = read_exchange(shop.engine, shop.attachments, file, writer)
    return {**_told(carried), "warnings": list(warnings)}


def _told(carried: Carried) -> dict[str, Any]:
    return {
        "clocks_count": carried.clocks_count,
        "files_count": carried.files_count,
        "sha256": carried.sha256,
        "warnings": list(carried.warnings),
        "sources": [],
    }
