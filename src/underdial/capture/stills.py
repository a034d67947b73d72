"""Stills out of a film: near each moment the sharpest frame, as a JPEG with its time.

Sharpness is the variance of the Laplacian of the luma in the middle of the picture, after binning to about 480 points
across so that the grain of a dark film does not count, over the variance of the luma, so that a lamp coming nearer does
not count either. Source: J. L. Pech-Pacheco and others, Diatom autofocusing in brightfield microscopy, ICPR 2000
(variance of the Laplacian).

Stretches that overlap are looked through together, so that no frame is decoded twice. Memory: one frame for each
stretch that is open at a time. Limits: a film in which times can be sought; moments beyond its end give no still.
"""

from __future__ import annotations

import io
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from underdial.capture.film import Progress, film_stream, open_media
from underdial.errors import BadInput

JPEG_QUALITY = 88
MOST_PX = 1920
_JUDGED_PX = 480
_JUDGED_PER_S = 8.0
# Beyond so long a silence between two stretches it is quicker to seek than to decode what lies between.
_SEEK_S = 4.0


@dataclass(frozen=True, slots=True)
class Still:
    """A frame at `at_s` of the film, chosen for the moment `moment_s`, with its sharpness (a ratio; only to compare)
    and its width and height.
    """

    moment_s: float
    at_s: float
    jpeg: bytes
    sharpness_ratio: float
    size_px: tuple[int, int] = (0, 0)


def sharpness_ratio(luma: NDArray[np.uint8]) -> float:
    """How sharp the middle of a picture is; 0 for a blank one. Only for comparing frames of one film.

    Parameters
    ----------
    luma : array, shape (rows, columns)
        Luma, 0 to 255.
    """
    rows, columns = luma.shape
    binning = max(1, round(columns / _JUDGED_PX))
    rows, columns = rows // binning * binning, columns // binning * binning
    # Rows first, then columns, in whole numbers: ten times as fast as a mean over blocks.
    across = sum(
        (luma[k:rows:binning, :columns].astype(np.uint16) for k in range(1, binning)),
        luma[:rows:binning, :columns].astype(np.uint16),
    )
    binned = sum(
        (across[:, k::binning].astype(np.float32) for k in range(1, binning)), across[:, ::binning].astype(np.float32)
    ) / np.float32(binning * binning)
    high, wide = binned.shape
    middle = binned[high // 8 : high - high // 8, wide // 8 : wide - wide // 8]
    if min(middle.shape) < 3:
        return 0.0
    laplacian = middle[1:-1, :-2] + middle[1:-1, 2:] + middle[:-2, 1:-1] + middle[2:, 1:-1] - 4.0 * middle[1:-1, 1:-1]
    spread = float(middle.var())
    return float(laplacian.var()) / (spread + 25.0)


def sharpest_near(
    path: Path,
    moments_s: Iterable[tuple[float, float]],
    *,
    within_s: float = 1.5,
    warnings: list[str],
    progress: Progress | None = None,
) -> Iterator[Still]:
    """For each stretch (start, end) the sharpest frame in it or within `within_s` of it, in the order of their starts.

    Raises as `open_media`, and BadInput when the file has no film. Frames that cannot be read are left out; a moment
    with none gives no still, and `warnings` says for how many.
    """
    open_ones = [
        _Stretch(start_s, max(0.0, start_s - within_s), end_s + within_s) for start_s, end_s in sorted(moments_s)
    ]
    count = lost = 0
    with open_media(path) as container:
        stream = film_stream(container)
        if stream is None:
            raise BadInput(
                "file", str(path), "a film", f"file: {path.name} is sound without film, so there are no stills in it."
            )
        stream.thread_type = "AUTO"
        # Frames that no other frame is built on may be left out unseen: there are enough of the rest.
        stream.codec_context.skip_frame = "NONREF"
        for together in _together(open_ones):
            for one in _looked_through(container, stream, together):
                count += 1
                if one.best is None:
                    lost += 1
                else:
                    yield Still(one.moment_s, one.best[1], *_jpeg(one.best[0], one.best[2]))
                    one.best = None
                if progress is not None:
                    progress(count / len(open_ones))
    if lost:
        warnings.append(
            f"{path.name}: near {lost} of {len(open_ones)} moments no frame can be read; those have no still."
        )


@dataclass(slots=True)
class _Stretch:
    """A moment, where to look for its still, and the sharpest frame so far with its time and sharpness."""

    moment_s: float
    from_s: float
    until_s: float
    best: tuple[Any, float, float] | None = None


def _together(stretches: list[_Stretch]) -> Iterator[list[_Stretch]]:
    """Stretches in rows that are decoded in one go."""
    row: list[_Stretch] = []
    until_s = -_SEEK_S
    for one in stretches:
        if row and one.from_s > until_s + _SEEK_S:
            yield row
            row = []
        row.append(one)
        until_s = max(until_s, one.until_s)
    if row:
        yield row


def _looked_through(container: Any, stream: Any, row: list[_Stretch]) -> Iterator[_Stretch]:
    """Each stretch of a row once all its frames are judged, in the order of their starts."""
    waiting = list(row)
    for frame, at_s in _frames(container, stream, row[0].from_s, max(one.until_s for one in row)):
        while waiting and waiting[0].until_s < at_s:
            yield waiting.pop(0)
        inside = [one for one in waiting if one.from_s <= at_s <= one.until_s]
        if inside:
            sharp = sharpness_ratio(_luma(frame))
            for one in inside:
                if one.best is None or sharp > one.best[2]:
                    one.best = (frame, at_s, sharp)
    yield from waiting


def _frames(container: Any, stream: Any, from_s: float, until_s: float) -> Iterator[tuple[Any, float]]:
    """Frames with their times, as many in a second as are judged; the film's end or a break in it ends them."""
    import av

    judged_s = -1.0
    zero_s = float((stream.start_time or 0) * stream.time_base)
    try:
        # Seeking goes to the whole picture before; what lies between is decoded and not judged.
        container.seek(max(0, int((from_s + zero_s) / stream.time_base)), stream=stream, backward=True)
        for frame in container.decode(stream):
            if frame.time is None:
                continue
            at_s = float(frame.time) - zero_s
            if at_s > until_s:
                return
            if at_s >= from_s and at_s - judged_s >= 1.0 / _JUDGED_PER_S - 0.005:
                judged_s = at_s
                yield frame, at_s
    except (av.FFmpegError, OSError):
        return


def _luma(frame: Any) -> NDArray[np.uint8]:
    if frame.format.name.startswith("yuv") and frame.format.components[0].bits == 8:
        plane = frame.planes[0]
        return np.frombuffer(plane, dtype=np.uint8).reshape(plane.height, plane.line_size)[:, : plane.width]
    grey: NDArray[np.uint8] = frame.reformat(format="gray").to_ndarray()
    return grey


def _jpeg(frame: Any, sharp: float) -> tuple[bytes, float, tuple[int, int]]:
    image = frame.to_image()
    # The turn a telephone writes beside its film, anticlockwise, which decoding leaves aside.
    turned = int(getattr(frame, "rotation", 0) or 0) % 360
    if turned:
        image = image.rotate(turned, expand=True)
    image.thumbnail((MOST_PX, MOST_PX))
    out = io.BytesIO()
    image.save(out, "JPEG", quality=JPEG_QUALITY, optimize=False)
    return out.getvalue(), sharp, image.size
