"""A file kept with a clock, read back whole and checked against its hash."""

from __future__ import annotations

from pathlib import Path

from underdial.bench.shop import Shop, clock_page
from underdial.errors import NotFound
from underdial.record.clock import Attachment
from underdial.store.files import file_place, open_file


def kept_file(shop: Shop, clock: str, attachment_id: str) -> tuple[Attachment, bytes]:
    """The record of a file of this clock, and its bytes. Raises NotFound when this clock has no such file."""
    found = _named(shop, clock, attachment_id)
    with open_file(shop.attachments, found.sha256) as kept:
        return found, kept.read()


def kept_place(shop: Shop, clock: str, attachment_id: str) -> tuple[Attachment, Path]:
    """The record of a file of this clock, and where it lies, for what is too long to be read whole.

    Raises NotFound as `kept_file`.
    """
    found = _named(shop, clock, attachment_id)
    open_file(shop.attachments, found.sha256).close()
    return found, file_place(shop.attachments, found.sha256)


def _named(shop: Shop, clock: str, attachment_id: str) -> Attachment:
    found = next((one for one in clock_page(shop, clock).attachments if attachment_id in (one.id, one.sha256)), None)
    if found is None:
        raise NotFound("file", attachment_id, "a file of this clock", "file: this clock has no such file.")
    return found
