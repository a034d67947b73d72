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


def test_a_sign_that_no_face_has_is_written_by_its_number_and_the_paper_is_set_all_the_same():
    named = paper(shop="Łódź & Brännström", clock="鐘 of Łukasz, 🕰", blocks=(Words("", ("李, Москва",)),))
    text = "\n".join(page.get_textpage().get_text_bounded() for page in pypdfium2.PdfDocument(paper_pdf(named)))

    assert "Łódź & Brännström" in text
    assert "[U+9418] of Łukasz, [U+1F570]" in text
    assert "[U+674E], Москва" in text


def test_the_standards_that_are_claimed_are_kept_where_they_can_be_looked_at(pdf):
    """Source: ISO 19005-2:2011, 6.1 to 6.6, and ISO 14289-1:2014, 7: what a reader of the file can see of them; the
    mark of a colour profile: ICC.1, 7.2.9.
    """
    with pikepdf.open(io.BytesIO(pdf)) as document:
        root, every = document.Root, [one for one in document.objects if isinstance(one, pikepdf.Dictionary)]
        intents = root.OutputIntents
        figures = [one for one in every if one.get("/S") == "/Figure"]

        assert not document.is_encrypted
        assert [str(one.S) for one in intents] == ["/GTS_PDFA1"]
        assert intents[0].DestOutputProfile.read_bytes()[36:40] == b"acsp"
        assert not any(one.get("/S") in ("/JavaScript", "/Launch", "/Movie", "/Sound") for one in every)
        assert "/OpenAction" not in root
        assert "/AA" not in root
        assert "/JavaScript" not in root.get("/Names", {})
        assert not any("/EmbeddedFiles" in one for one in every)
        assert figures
        assert all(str(one.get("/Alt", "")).strip() for one in figures)
        assert all(page.get("/Tabs") == "/S" for page in document.pages)
        assert all("/StructParents" in page for page in document.pages)


def test_tagged_words_come_in_the_order_in_which_they_are_read(pdf):
    with pikepdf.open(io.BytesIO(pdf)) as document:
        kinds = []

        def walk(one):
            if isinstance(one, pikepdf.Array):
                for each in one:
                    walk(each)
            elif isinstance(one, pikepdf.Dictionary) and "/S" in one:
                kinds.append(str(one.S))
                if "/K" in one:
                    walk(one.K)

        walk(document.Root.StructTreeRoot.K)

    # Derived: the blocks of the paper above, in their order: title, headings, drawing, the table with its head.
    wanted = ["/H1", "/H2", "/P", "/H2", "/Figure", "/Table", "/TH", "/TD"]
    places = [kinds.index("/H1")]
    for kind in wanted[1:]:
        places.append(kinds.index(kind, places[-1] + 1))
    assert places == sorted(places)


def test_papers_are_set_on_the_sheets_that_the_shop_has(pdf):
    letter = pypdfium2.PdfDocument(paper_pdf(paper(), sheet="Letter"))[0].get_size()

    # Source: ISO 216: 210 by 297 mm; ANSI/ASME Y14.1: 8.5 by 11 in.
    assert pypdfium2.PdfDocument(pdf)[0].get_size() == pytest.approx((210 / 25.4 * 72, 297 / 25.4 * 72), abs=0.1)
    assert letter == pytest.approx((612, 792), abs=0.1)


def test_a_long_name_of_the_shop_and_of_the_clock_stand_apart_in_the_head_of_the_page():
    long = paper(shop="Repairs of old clocks and of pendulums " * 2, clock="Great clock of the town hall, " * 3)
    page = pypdfium2.PdfDocument(paper_pdf(long))[0].get_textpage()
    of_clock = [page.get_charbox(k)[0] for k in range(page.count_chars()) if page.get_charbox(k)[3] > 790]
    middle = 210 / 25.4 * 72 * 0.4

    # Derived: two columns with 10 mm between them; no sign of either stands in that gap.
    assert of_clock
    assert not any(middle + 12 < left < middle + 26 for left in of_clock)
