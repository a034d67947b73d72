"""Papers as they leave the house: real PDF, tagged, archival, with every word embedded."""

import io

import pikepdf
import pypdfium2
import pytest

from underdial.papers.blocks import (
    Caution,
    ChoiceSlip,
    Facts,
    Figure,
    Marked,
    Paper,
    Rows,
    Signatures,
    Words,
    all_words,
)
from underdial.papers.setting import paper_pdf

DRAWING = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="60" height="30"><rect width="30" height="20" fill="#000"/></svg>'
)


def paper(**changes):
    blocks = (
        Words("The complaint", ("It stops a few minutes before the hour.",)),
        Marked(
            "Found",
            (
                ("stops", "stops", "The lifting piece is stiff.", "Felt at 6:12."),
                ("unseen", "not looked at", "Pallets.", ""),
                ("contributes", "contributes", "Third hole oval.", ""),
                ("cosmetic", "cosmetic", "Ring rubbed.", ""),
                ("sound", "sound", "Strike spring.", ""),
                ("none", "does not matter", "Old scratch.", ""),
            ),
        ),
        Figure(DRAWING, "A black oblong.", "A drawing."),
        ChoiceSlip(
            "A",
            "Free the strike",
            "Post polished.",
            "Likely to go its time.",
            "£205 likely",
            "from £170 to £265",
            "never over £300",
            "5 June",
            "the oval hole",
            "nothing",
        ),
        Caution("stop", "Take the weights off first."),
        Rows("Sizes", ("part", "size"), (("third pivot", "1.42 mm ± 5 µm, −2′"),), (1.0, 2.0)),
        Facts("With it", (("Key", "not with the clock"),)),
        Signatures(("Owner", "Repairer")),
    )
    given = {
        "kind": "letter",
        "title": "What we found",
        "lead": "It stops for the strike.",
        "ticket": "214",
        "shop": "A shop",
        "clock": "Eight-day longcase",
        "date": "2026-03-04",
        "record_sha256": "ab" * 32,
        "blocks": blocks,
    }
    return Paper(**{**given, **changes})


@pytest.fixture(scope="module")
def pdf() -> bytes:
    return paper_pdf(paper())


def test_paper_is_tagged_archival_and_named(pdf):
    with pikepdf.open(io.BytesIO(pdf)) as document:
        meta = document.open_metadata()

        assert document.Root.MarkInfo.Marked
        assert document.Root.Lang == "en-GB"
        assert document.Root.ViewerPreferences.DisplayDocTitle
        assert meta["pdfaid:part"] == "2"  # Source: ISO 19005-2:2011, 6.6.4: part 2, level A
        assert meta["pdfaid:conformance"] == "A"
        assert meta["pdfuaid:part"] == "1"  # Source: ISO 14289-1:2014, clause 5
        assert meta["dc:title"] == "What we found, Eight-day longcase"


def test_every_font_is_embedded(pdf):
    with pikepdf.open(io.BytesIO(pdf)) as document:
        fonts = [
            one
            for one in document.objects
            if isinstance(one, pikepdf.Dictionary) and one.get("/Type") == "/FontDescriptor"
        ]

        assert fonts
        assert all("/FontFile2" in font or "/FontFile3" in font for font in fonts)


def test_figure_says_in_words_what_it_shows(pdf):
    with pikepdf.open(io.BytesIO(pdf)) as document:
        alternatives = {
            str(one.get("/Alt"))
            for one in document.objects
            if isinstance(one, pikepdf.Dictionary) and one.get("/S") == "/Figure"
        }

        assert "A black oblong." in alternatives


def test_words_can_be_read_back_with_their_signs(pdf):
    text = "\n".join(page.get_textpage().get_text_bounded() for page in pypdfium2.PdfDocument(pdf))

    for words in ("What we found", "A. Free the strike", "± 5 µm, −2′", "not with the clock", "ticket 214"):
        assert words in text


def test_a_section_without_words_is_refused():
    with pytest.raises(AssertionError, match="empty section 'Nothing'"):
        Words("Nothing", ("  ",))
    with pytest.raises(AssertionError, match="empty section"):
        Facts("Nothing", ())


def test_all_words_leaves_out_the_markup_of_drawings():
    words = all_words(paper())

    assert "Take the weights off first." in words
    assert "svg" not in words
