"""The condition record: what was seen with its pictures, how it was looked at, what was not, and nothing that follows
from it.
"""

import io
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pikepdf
import pypdfium2
import pytest
from PIL import Image

from underdial.papers.blocks import Caution, Facts, Marked, Photos, Words, all_words
from underdial.papers.condition_record import condition_record
from underdial.papers.dossier import Dossier, ShopName
from underdial.papers.marked_picture import Photograph
from underdial.papers.setting import paper_pdf
from underdial.record.clock import Clock
from underdial.record.finding import Evidence, Finding
from underdial.record.look_over import LookOver
from underdial.record.picture import PictureMark, PictureScale
from underdial.record.visit import Visit

NOON = datetime(2026, 5, 3, 12, 0, tzinfo=UTC)


def photograph(name, **more):
    out = io.BytesIO()
    Image.new("RGB", (300, 200), (120, 110, 80)).save(out, "JPEG")
    return Photograph(id=name, jpeg=out.getvalue(), width_px=300, height_px=200, caption=f"Picture {name}", **more)


def finding(component, condition, *, picture=None, **more):
    return Finding(
        **{
            "component": component,
            "condition": condition,
            "state": "present",
            "id": f"{component}-{condition}",
            "standing": "confirmed",
            "evidence": (Evidence(kind="picture", source=picture),) if picture else (),
            **more,
        }
    )


@pytest.fixture(scope="module")
def dossier():
    findings = (
        finding("pivot", "scored", of="third_wheel", place="front", significance="stops", picture="p1"),
        finding("crutch", "loose", picture="p1"),
        finding("pivot_hole", "bushed_before", of="third_wheel"),
        finding("dial", "radium_suspect", certainty=0.5),
        finding("mainspring", "not_accessible", state="not_examined", why="could_not_be_reached"),
    )
    marks = (
        PictureMark(kind="arrow", x_ratio=0.5, y_ratio=0.5, from_x_ratio=0.2, from_y_ratio=0.3),
        PictureMark(kind="number", x_ratio=0.8, y_ratio=0.2, number_count=1),
    )
    return Dossier(
        shop=ShopName(name="A shop"),
        clock=Clock(tag="31", name="Drum timepiece", hazards=("mercury",)),
        visit=Visit(received_at=NOON),
        today=date(2026, 5, 4),
        record_sha256="ab" * 32,
        findings=findings,
        look_overs=(LookOver(taken_at=NOON, by="the repairer", light="daylight", method="by loupe"),),
        photographs=(
            photograph(
                "p1",
                marks=marks,
                scale=PictureScale(x1_ratio=0.0, y1_ratio=0.5, x2_ratio=1.0, y2_ratio=0.5, length_m=0.03),
            ),
            photograph("p2", after_of="p1"),
            photograph("p3"),
        ),
    )


def test_it_says_how_it_was_looked_at_and_what_was_not(dossier):
    words = all_words(condition_record(dossier))

    for one in (
        "daylight",
        "by loupe",
        "mercury",
        "could not be reached",
        "Earlier work",
        "Left and right",
        "Before",
        "After",
        "Bar: 5 mm",
    ):
        assert one in words, one


def test_no_judgement_stands_on_it(dossier):
    words = all_words(condition_record(dossier)).casefold()

    for one in ("stops", "contributes", "cause", "likely", "would go", "because"):
        assert one not in words, one


def test_earlier_work_and_dangers_stand_under_their_own_headings(dossier):
    paper = condition_record(dossier)
    headings = [getattr(one, "heading", "") for one in paper.blocks]

    assert (
        headings.index("Hazards")
        < headings.index("Movement and train")
        < headings.index("Earlier work")
        < headings.index("Not examined")
    )
    assert any(isinstance(one, Caution) and "radium" in one.sentence for one in paper.blocks)


@pytest.mark.parametrize(
    ("traits", "seen", "said"),
    [
        (("weight", "longcase"), (), "driven by weights"),
        (("fusee",), (), "until it is let down"),
        (("going_barrel",), (), "until it is let down"),
        (("mercury_pendulum",), (), "mercury in the pendulum"),
        (("mains",), (), "fed from the mains"),
        (("luminous",), (), "may be radium"),
        ((), (finding("gut_line", "frayed"),), "gut line is frayed"),
        ((), (finding("case", "wormed"),), "case is wormed"),
        ((), (finding("glass", "cracked"),), "glass is cracked"),
        ((), (finding("click", "worn"),), "click is worn"),
    ],
)
def test_hazards_come_from_the_record_and_not_only_from_what_was_ticked(dossier, traits, seen, said):
    bare = replace(dossier, clock=Clock(tag="31", name="Clock"), findings=seen, traits=traits)
    words = hazards(bare)

    assert said in words
    assert "None is written down" not in words


def test_a_clock_of_which_nothing_is_known_says_so_and_rejected_words_are_no_hazard(dossier):
    bare = replace(dossier, clock=Clock(tag="31", name="Clock"), findings=())

    assert "None is written down" in hazards(bare)
    assert "None is written down" in hazards(
        replace(bare, findings=(finding("glass", "rubbing_mark"), finding("case", "wormed", standing="rejected")))
    )


def test_a_danger_that_the_build_tells_of_is_not_told_twice(dossier):
    ticked = replace(dossier, clock=Clock(tag="31", name="Clock", hazards=("weights", "celluloid")), traits=("weight",))

    assert "Known of this clock: celluloid." in hazards(ticked)


def hazards(dossier):
    blocks = condition_record(dossier).blocks
    at = next(k for k, one in enumerate(blocks) if getattr(one, "heading", "") == "Hazards")
    caution = blocks[at + 1].sentence if isinstance(blocks[at + 1], Caution) else ""
    return " ".join((*blocks[at].paragraphs, caution))


def test_each_picture_is_numbered_once_and_printed_where_it_belongs(dossier):
    shown = [
        (one.heading, [item[2].split(".")[0] for item in one.items])
        for one in condition_record(dossier).blocks
        if isinstance(one, Photos)
    ]

    assert ("Before and after", ["1", "2"]) in shown
    assert ("Other pictures", ["3"]) in shown
    # Derived: the picture shows two findings and is printed at the first
    assert sum(heading == "" and numbers == ["1"] for heading, numbers in shown) == 1


def test_as_pdf_every_picture_has_its_words_and_keeps_its_bytes(dossier):
    pdf = paper_pdf(condition_record(dossier))
    with pikepdf.open(io.BytesIO(pdf)) as document:
        alternatives = [
            str(one.get("/Alt"))
            for one in document.objects
            if isinstance(one, pikepdf.Dictionary) and one.get("/S") == "/Figure"
        ]
        filters = [
            str(one.get("/Filter"))
            for one in document.objects
            if isinstance(one, pikepdf.Stream) and one.get("/Subtype") == "/Image"
        ]

        assert any("Drawn on it: 1 arrow, number 1, a scale bar" in one for one in alternatives)
        assert "/DCTDecode" in filters
    text = "\n".join(page.get_textpage().get_text_bounded() for page in pypdfium2.PdfDocument(pdf))
    assert "5 mm" in text


def test_the_signature_never_stands_alone_on_its_page(dossier):
    # One line more at a time, over the end of the first page.
    for count in range(18, 27):
        unseen = [
            finding(part, "not_accessible", state="not_examined", why="could_not_be_reached")
            for part in ("mainspring", "barrel", "click")
        ]
        many = replace(
            dossier,
            photographs=(),
            findings=(*(finding("screw", "chewed", of=f"wheel_{number}") for number in range(count)), *unseen),
        )
        pages = pypdfium2.PdfDocument(paper_pdf(condition_record(many)))
        last = pages[len(pages) - 1].get_textpage().get_text_range()
        before = last.split("Looked over by")[0]

        assert "Looked over by" in last
        assert "could not be reached" in before, count


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"look_overs": ()}, "No look-over has been taken"),
        ({"clock": Clock(tag="31", name="Drum timepiece")}, "What kind of movement it is is not said"),
    ],
)
def test_nothing_is_said_to_be_looked_at_where_nobody_looked_or_no_list_is_known(dossier, changes, said):
    words = all_words(condition_record(replace(dossier, findings=(), unseen=(), **changes)))

    assert said in words
    assert "Every part on the list for this kind of movement was looked at." not in words


def looked_twice(dossier):
    """The clock looked over as received, and two days later when it was taken apart."""
    looks = (
        LookOver(id="l1", taken_at=NOON, by="the repairer", occasion="as received", light="daylight"),
        LookOver(
            id="l2",
            taken_at=NOON + timedelta(days=2),
            by="the repairer",
            occasion="after stripping",
            opened="taken apart",
            light="bench lamp",
            method="by loupe",
        ),
    )
    first, second = Evidence(kind="look_over", source="l1"), Evidence(kind="look_over", source="l2")
    findings = (
        finding("pivot_hole", "good", of="third_wheel", place="back", id="f1", evidence=(first,)),
        finding("mainspring", "not_accessible", state="not_examined", id="f2", evidence=(first,)),
        finding("fly", "not_accessible", state="not_examined", id="f3", evidence=(first,)),
        finding("pivot_hole", "oval", of="third_wheel", place="back", id="f4", evidence=(second,)),
        finding("mainspring", "set", id="f5", evidence=(second,)),
    )
    return replace(dossier, look_overs=looks, findings=findings, photographs=())


def headed(dossier):
    return [one for one in condition_record(dossier).blocks if isinstance(one, Facts | Marked | Photos | Words)]


def test_each_look_over_stands_with_its_day_its_light_and_what_it_found(dossier):
    blocks = headed(looked_twice(dossier))
    heads = [one.heading for one in blocks if isinstance(one, Facts | Marked)]

    # Derived: one head for each look-over, the earliest first, its findings by part under it.
    assert heads[1:] == [
        "How it was looked at",
        "As received, look-over 1 of 2",
        "Movement and train",
        "After stripping, look-over 2 of 2",
        "Power and winding",
        "Movement and train",
        "Not examined",
    ]
    said = next(dict(one.pairs) for one in blocks if one.heading.startswith("After stripping"))
    assert said["When"] == "5 May 2026 12:00"  # Derived: noon of 3 May and two days.
    assert (said["Open"], said["Light"]) == ("taken apart", "bench lamp")
    assert said["How"].startswith("by loupe")


def test_both_findings_of_a_part_stand_with_their_days_and_the_later_holds(dossier):
    marked = [one for one in condition_record(looked_twice(dossier)).blocks if isinstance(one, Marked)]
    (_, word, sentence, second), later = marked[0].lines[0], marked[2].lines[0]

    assert (word, sentence) == ("otherwise later", "The back pivot hole of the third wheel is in good order.")
    assert "“After stripping” (5 May 2026 12:00), which holds: The back pivot hole of the third wheel is oval" in second
    assert later[2] == "The back pivot hole of the third wheel is oval."
    assert "in “As received” (3 May 2026 12:00) it was: The back pivot hole" in later[3]


def test_what_the_second_look_examined_is_not_among_what_was_not_examined(dossier):
    unseen = next(one for one in headed(looked_twice(dossier)) if one.heading == "Not examined")

    assert [line[2] for line in unseen.lines] == ["The fly: not looked at."]
    assert "“As received” (3 May 2026 12:00)" in unseen.lines[0][3]


def test_one_look_over_is_told_in_the_facts_of_the_paper_alone(dossier):
    heads = [one.heading for one in headed(dossier)]

    assert not any("look-over" in head for head in heads)
