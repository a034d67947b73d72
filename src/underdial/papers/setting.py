"""A paper set as PDF/A-2a and PDF/UA-1: tagged, with embedded faces, readable by ear and in fifty years.

Setting is handed to typst; the template `house.typ` and the faces of this room are all it reads. The same paper gives
the same bytes: the time written into the file is the paper's own date.
"""

from __future__ import annotations

import json
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from underdial.errors import MachineRefused
from underdial.papers.blocks import Paper, plain_paper
from underdial.papers.signs import set_in_known_signs

HERE = Path(__file__).parent
STANDARDS: Any = ["a-2a", "ua-1"]
# Size of a sheet as a shop names it, and as the typesetter does.
SHEETS = {"A4": "a4", "Letter": "us-letter"}
FONTS: list[Any] = [str(HERE / "fonts")]


def paper_pdf(paper: Paper, *, sheet: str = "A4") -> bytes:
    """The paper as PDF bytes, on sheets of this size (a word of SHEETS).

    Raises MachineRefused when the typesetter will not set it; its own words are passed on.
    """
    import typst

    def compiled(kept: Any) -> bytes:
        pdf: bytes = typst.compile(
            HERE / "house.typ",
            font_paths=FONTS,
            ignore_system_fonts=True,
            format="pdf",
            pdf_standards=STANDARDS,
            timestamp=datetime.fromisoformat(paper.date).replace(tzinfo=UTC),
            sys_inputs={"paper": json.dumps(kept, ensure_ascii=False), "sheet": SHEETS[sheet]},
        )
        return pdf

    try:
        pdf = set_in_known_signs(compiled, plain_paper(paper))
    except RuntimeError as wrong:
        raise MachineRefused(
            "paper", paper.kind, "a paper that can be set", f"paper: the {paper.kind} could not be set ({wrong})"
        ) from wrong
    assert pdf.startswith(b"%PDF-"), pdf[:8]
    return pdf
