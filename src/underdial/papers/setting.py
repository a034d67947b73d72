"""A paper set as PDF/A-2a and PDF/UA-1: tagged, with embedded faces, readable by ear and in fifty years.

Setting is handed to typst; the template `house.typ` and the faces of this room are all it reads. The same paper gives
the same bytes, save for what the typesetter itself writes of the day (the paper's own date is used).
"""

from __future__ import annotations

import functools
import json
from pathlib import Path

from underdial.errors import MachineRefused
from underdial.papers.blocks import Paper, plain_paper

HERE = Path(__file__).parent
STANDARDS = ["a-2a", "ua-1"]


def paper_pdf(paper: Paper) -> bytes:
    """The paper as PDF bytes.

    Raises MachineRefused when the typesetter will not set it; its own words are passed on.
    """
    import typst

    try:
        pdf = typst.compile(str(HERE / "house.typ"), font_paths=_fonts(), ignore_system_fonts=True, format="pdf",
                            pdf_standards=STANDARDS, sys_inputs={"paper": json.dumps(plain_paper(paper), ensure_ascii=False)})
    except RuntimeError as wrong:
        raise MachineRefused("paper", paper.kind, "a paper that can be set", f"paper: the {paper.kind} could not be set ({wrong})") from wrong
    assert isinstance(pdf, bytes), type(pdf)
    assert pdf.startswith(b"%PDF-"), pdf[:8]
    return pdf


@functools.cache
def _fonts() -> list[str | Path]:
    return [str(HERE / "fonts")]
