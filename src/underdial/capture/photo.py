"""A photograph from camera or tablet: which way up, when it was taken, and an upright picture of it for a page.

The file itself is never changed. Orientation and time are read from what the camera wrote (Exif 2.32, tags 274, 36867,
36881).

Limits: JPEG, PNG, WebP, TIFF; pictures up to 120 million points.
"""

from __future__ import annotations

import io
from dataclasses import dataclass
from datetime import datetime, tzinfo

from underdial.errors import BadInput

MOST_POINTS_COUNT = 120_000_000
_ORIENTATION, _EXIF, _TAKEN, _OFFSET = 274, 34665, 36867, 36881
_KINDS = {"JPEG": "image/jpeg", "MPO": "image/jpeg", "PNG": "image/png", "WEBP": "image/webp", "TIFF": "image/tiff"}


@dataclass(frozen=True, slots=True)
class Photo:
    """A photograph as it is looked at: upright width and height [points], kind of file, when it was taken."""

    width_px: int
    height_px: int
    media_type: str
    taken_at: datetime | None = None


def read_photo(content: bytes, *, name: str, zone: tzinfo) -> Photo:
    """Which way up and when; a camera that wrote no zone is taken to keep `zone`.

    Raises BadInput, naming the file, when it is no picture that can be read.
    """
    image = _opened(content, name)
    if image.width * image.height > MOST_POINTS_COUNT:
        raise BadInput(
            "file",
            name,
            f"up to {MOST_POINTS_COUNT:,} points",
            f"file: {name} has {image.width * image.height:,} points; allowed: {MOST_POINTS_COUNT:,}.",
        )
    exif = image.getexif()
    on_its_side = exif.get(_ORIENTATION) in (5, 6, 7, 8)
    width, height = (image.height, image.width) if on_its_side else (image.width, image.height)
    return Photo(width, height, _KINDS[image.format or ""], _taken_at(exif.get_ifd(_EXIF), zone))


def upright_jpeg(content: bytes, *, name: str, most_px: int) -> bytes:
    """The picture turned upright and no larger than `most_px` either way. Raises BadInput when it cannot be read."""
    from PIL import ImageOps

    try:
        opened = _opened(content, name)
        # A JPEG may be read at a half, a quarter or an eighth of its size, which is most of the time a large one takes.
        opened.draft("RGB", (most_px, most_px))
        image = ImageOps.exif_transpose(opened).convert("RGB")
    except (OSError, SyntaxError, ValueError) as wrong:
        raise BadInput(
            "file", name, "a whole picture", f"file: {name} is broken; the picture ends before it should."
        ) from wrong
    image.thumbnail((most_px, most_px))
    out = io.BytesIO()
    image.save(out, "JPEG", quality=88)
    return out.getvalue()


def _opened(content: bytes, name: str):  # type: ignore[no-untyped-def]
    from PIL import Image

    try:
        image = Image.open(io.BytesIO(content))
    except (OSError, SyntaxError, ValueError, Image.DecompressionBombError) as wrong:
        raise BadInput(
            "file",
            name,
            "JPEG, PNG, WebP or TIFF",
            f"file: {name} is no picture that can be read; JPEG, PNG, WebP or TIFF is wanted.",
        ) from wrong
    if image.format not in _KINDS:
        raise BadInput(
            "file",
            name,
            "JPEG, PNG, WebP or TIFF",
            f"file: {name} is a picture of kind {image.format}; JPEG, PNG, WebP or TIFF is wanted.",
        )
    return image


def _taken_at(exif: dict[int, object], zone: tzinfo) -> datetime | None:
    text = str(exif.get(_TAKEN, "")).strip("\x00 ")
    try:
        taken = datetime.strptime(text, "%Y:%m:%d %H:%M:%S")
    except ValueError:
        return None
    offset = str(exif.get(_OFFSET, "")).strip("\x00 ")
    try:
        return datetime.fromisoformat(f"{taken.isoformat()}{offset}") if offset else taken.replace(tzinfo=zone)
    except ValueError:
        return taken.replace(tzinfo=zone)
