"""One part on a page of its own: the drawing at true scale and, where that is too small to read, enlarged; sizes beside
it.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any

from underdial.errors import MachineRefused
from underdial.papers.part_drawing import scale_words
from underdial.papers.scene import Scene, svg
from underdial.papers.setting import FONTS, HERE, SHEETS

# Readable by ear, but not archival: that would ask for a date, and a sheet for the lathe is the same every day.
_STANDARDS: Any = ["ua-1"]


def figure_of(scene: Scene, *, prefix: str) -> dict[str, Any]:
    """A scene in print with its size on paper, the words that stand for it, and its caption."""
    return {
        "svg": svg(scene, printed=True, prefix=prefix),
        "alternative": f"{scene.title}. {scene.description}",
        "caption": f"{scene.title}, {scale_words(scene.scale)}.",
        "width_mm": scene.width * scene.scale,
        "height_mm": scene.height * scene.scale,
    }


def drawing_pdf(
    title: str,
    scenes: Sequence[Scene],
    *,
    rows: Sequence[tuple[str, str]] = (),
    notes: Sequence[str] = (),
    sheet: str = "A4",
) -> bytes:
    """Sheets of this size (a word of `setting.SHEETS`) with drawings at their own size, a table of sizes and notes; the
    same drawing gives the same bytes.
    """
    import typst

    kept = {
        "title": title,
        "figures": [figure_of(one, prefix=f"f{k}") for k, one in enumerate(scenes)],
        "rows": list(rows),
        "notes": list(notes),
    }
    try:
        pdf = typst.compile(
            HERE / "drawing.typ",
            font_paths=FONTS,
            ignore_system_fonts=True,
            format="pdf",
            pdf_standards=_STANDARDS,
            sys_inputs={"sheet": json.dumps(kept, ensure_ascii=False), "paper": SHEETS[sheet]},
        )
    except RuntimeError as wrong:
        raise MachineRefused(
            "drawing", title, "a drawing that can be set", f"drawing: {title} could not be set ({wrong})"
        ) from wrong
    assert pdf.startswith(b"%PDF-"), pdf[:8]
    return pdf
