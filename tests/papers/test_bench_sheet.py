"""The bench sheet: only what was agreed, in order of strip, with sizes, cautions and what to lay out."""

from __future__ import annotations

import io
from dataclasses import replace
from datetime import UTC, date, datetime
from typing import Any

import pypdfium2
import pytest

from underdial.papers.bench_sheet import agreed_steps, bench_sheet
from underdial.papers.blocks import Block, Caution, Facts, Figure, Rows, all_words
from underdial.papers.bush_drawing import BushDrawn, bush_scene
from underdial.papers.dossier import Dossier, PlannedSize, ShopName
from underdial.papers.drawing_sheet import figure_of
from underdial.papers.kinds import KINDS
from underdial.papers.setting import paper_pdf
from underdial.papers.strip_order import Build, build_of, consumables, measure_after, stage_of, stages, triggers_of_work
from underdial.record.aim import Aim
from underdial.record.choice import Choice, PlannedWork
from underdial.record.clock import Clock
from underdial.record.consent import Consent, ConsentLine
from underdial.record.finding import Finding
from underdial.record.measurement import Measurement
from underdial.record.money import Money
from underdial.record.proof import PassLine, Proof
from underdial.record.visit import Visit
from underdial.trade.cautions import due, triggers
from underdial.trade.vocabulary import components

NOON = datetime(2026, 3, 2, 12, tzinfo=UTC)
WORKS = (
    PlannedWork(
        line="1",
        work="bush",
        component="pivot_hole",
        of="third_wheel",
        place="back",
        words="bush the hole at its true centre",
        findings=("f1",),
    ),
    PlannedWork(line="2", work="new_spring", component="mainspring", words="new spring of the old strength"),
    PlannedWork(line="3", work="repoint", component="cone_pivot", words="turn new points on both cones"),
    PlannedWork(line="4", work="clean", component="movement", words="clean every part by hand in solvent"),
    PlannedWork(line="5", work="replace", component="hands", words="fit other hands"),
)


def line(work: PlannedWork, answer: str = "yes") -> ConsentLine:
    return ConsentLine(
        line=work.line, work=work.work, component=work.component, of=work.of, place=work.place, answer=answer
    )


def dossier(**changes: Any) -> Dossier:
    consent = Consent(
        choice_id="c1",
        person_id="p1",
        channel="in_person",
        words="Yes, all but the hands.",
        given_at=NOON,
        lines=(*(line(one) for one in WORKS[:4]), line(WORKS[4], "no")),
    )
    given: dict[str, Any] = {
        "shop": ShopName(name="A shop"),
        "clock": Clock(tag="214", name="Drum timepiece", traits=("open_spring",)),
        "visit": Visit(received_at=NOON),
        "today": date(2026, 3, 4),
        "record_sha256": "ab" * 32,
        "choices": (Choice(title="Put right", works=WORKS, id="c1"),),
        "consents": (consent,),
        "findings": (
            Finding(
                component="pivot_hole",
                condition="worn",
                of="third_wheel",
                place="back",
                state="present",
                certainty=0.9,
                who="repairer",
                id="f1",
            ),
        ),
        "planned_sizes": (
            PlannedSize(
                line="1",
                quantity="bore",
                unit="mm",
                as_found=1.45,
                as_found_u=0.005,
                target=1.272,
                low=1.268,
                high=1.276,
                measured_with="pin gauge",
            ),
        ),
    }
    return Dossier(**{**given, **changes})


def test_only_what_was_agreed_is_on_the_sheet_in_order_of_strip() -> None:
    steps = agreed_steps(dossier())

    assert [one.component for one in steps] == ["cone_pivot", "movement", "pivot_hole", "mainspring"]
    assert [heading(one) for one in bench_sheet(dossier()).blocks if "fit other hands" in repr(one)] == [
        "The owner's word"
    ]


def test_a_yes_that_was_taken_back_is_not_done() -> None:
    taken_back = Consent(
        choice_id="c1",
        person_id="p1",
        channel="telephone",
        words="Leave the spring.",
        given_at=datetime(2026, 3, 3, 12, tzinfo=UTC),
        lines=(line(WORKS[1], "no"),),
    )

    assert "mainspring" not in [
        one.component for one in agreed_steps(dossier(consents=(*dossier().consents, taken_back)))
    ]


def test_without_consent_the_sheet_says_that_nothing_may_be_altered() -> None:
    words = all_words(bench_sheet(dossier(consents=())))

    assert "alter nothing" in words
    assert "true centre" not in words


def test_sizes_stand_as_found_target_span_and_room_for_the_pen() -> None:
    table = next(one for one in bench_sheet(dossier()).blocks if isinstance(one, Rows) and one.columns[0] == "size")

    assert table.rows[0][:4] == ("bore (pin gauge)", "1.45 ± 0.005 mm", "1.272 mm", "1.268 to 1.276")
    assert set(table.rows[0][4]) == {"…"}


def test_all_numbers_of_a_size_stand_to_the_same_place() -> None:
    size = PlannedSize(
        line="1",
        quantity="bore",
        unit="mm",
        as_found=1.45,
        as_found_across=1.6,
        target=1.27,
        low=1.265,
        high=1.275,
        places_count=3,
    )
    one = replace(size, as_found_across=None, as_found_u=0.01)
    coarse = replace(size, as_found=41.96, as_found_across=None, target=42.0, low=41.9, high=42.1, places_count=1)
    rows = [
        row[1:4]
        for each in (size, one, coarse)
        for block in bench_sheet(dossier(planned_sizes=(each,))).blocks
        if isinstance(block, Rows) and block.columns[0] == "size"
        for row in block.rows
    ]

    assert rows == [
        ("1.450 × 1.600 mm", "1.270 mm", "1.265 to 1.275"),
        ("1.450 ± 0.010 mm", "1.270 mm", "1.265 to 1.275"),
        ("42.0 mm", "42.0 mm", "41.9 to 42.1"),
    ]


def test_cautions_stand_before_their_step_two_at_most_and_none_twice() -> None:
    blocks = bench_sheet(dossier()).blocks
    said = [one.sentence for one in blocks if isinstance(one, Caution)]
    runs: list[int] = [0]
    for one in blocks:
        runs = [*runs[:-1], runs[-1] + 1] if isinstance(one, Caution) else [*runs, 0]

    assert max(runs) == 2  # Source: docs/decisions/0012, at most two to a screen; here to a step
    assert len(said) == len(set(said))
    let_down = next(i for i, one in enumerate(blocks) if isinstance(one, Caution) and "wound spring" in one.sentence)
    first_work = next(i for i, one in enumerate(blocks) if getattr(one, "heading", "").startswith("Cone pivot"))
    assert let_down < first_work


def test_every_stage_is_measured_before_it_closes_and_things_are_laid_out() -> None:
    words = all_words(bench_sheet(dossier()))

    assert "lean of the pivot" in words
    assert "spring grease" in words
    assert "Cutting and smoothing broaches".lower() in words.lower()


def of_one(clock: Clock, *works: PlannedWork, **changes: Any) -> Dossier:
    """A clock on which the owner agreed to these works and no others."""
    consent = Consent(
        choice_id="c1",
        person_id="p1",
        channel="in_person",
        words="Yes.",
        given_at=NOON,
        lines=tuple(line(one) for one in works),
    )
    told = {"choices": (Choice(title="Put right", works=works, id="c1"),), "consents": (consent,)}
    return dossier(**{"clock": clock, "findings": (), "planned_sizes": (), **told, **changes})


def heading(block: Block) -> str:
    return getattr(block, "heading", "")


def order_of(paper_of: Dossier) -> list[str]:
    return [row[1] for one in bench_sheet(paper_of).blocks if heading(one) == "The order" for row in one.rows]  # type: ignore[union-attr]


FUSEE = Clock(tag="1", name="Dial timepiece", family="english_fusee_bracket", traits=("fusee", "pendulum", "recoil"))
LONGCASE = Clock(tag="2", name="Longcase", family="english_longcase", traits=("weight", "pendulum", "rack"))
DRUM = Clock(tag="3", name="Drum timepiece", traits=("open_spring", "balance", "pin_pallet"))
NEW_LINE = PlannedWork(line="1", work="new_line", component="gut_line", words="fit a new line")


def test_a_fusee_line_is_fitted_behind_the_let_down_and_its_cautions() -> None:
    """The line carries the whole spring while it is wound."""
    blocks = bench_sheet(of_one(FUSEE, NEW_LINE)).blocks
    at = {heading(one): i for i, one in enumerate(blocks)}
    cautions = [i for i, one in enumerate(blocks) if isinstance(one, Caution)]
    wound = next(i for i in cautions if "wound spring" in blocks[i].sentence)  # type: ignore[union-attr]
    fusee = next(i for i in cautions if blocks[i].sentence.startswith("Fusee"))  # type: ignore[union-attr]

    assert at["2. Let the power down"] < wound < fusee < at["7. Power and winding work"] < at["Gut line"]


@pytest.mark.parametrize("component", sorted(components()))
@pytest.mark.parametrize("power", ["fusee", "going_barrel", "open_spring"])
def test_no_part_that_a_spring_drives_is_worked_on_before_the_let_down(component: str, power: str) -> None:
    build = Build(frozenset({power, "pendulum"}))
    key = stage_of(component, build)
    order = [one.key for one in stages(build, [key])]

    assert key in order
    assert key == "case" or order.index("let_down") < order.index(key)


def test_weights_come_off_first_and_their_lines_with_them() -> None:
    words = order_of(of_one(LONGCASE, NEW_LINE))

    assert words[:2] == ["Weights off", "Case, dial and hands"]
    assert stage_of("gut_line", build_of(LONGCASE, ())) == "weights"
    assert not any("power down" in one for one in words)


def test_only_stages_that_the_clock_has_are_listed() -> None:
    bush = PlannedWork(line="1", work="bush", component="pivot_hole", of="third_wheel", words="bush the hole")
    drum = order_of(of_one(DRUM, bush))

    assert not any(one.startswith(("Pendulum", "Strike", "Weights")) for one in drum)
    assert "Escapement and balance" in drum
    assert "Strike outside the plates" in order_of(of_one(LONGCASE, bush))
    assert not any("trike" in one for one in order_of(of_one(FUSEE, bush)))
    unknown = order_of(of_one(Clock(tag="4", name="A clock"), bush))
    assert "Strike and chime outside the plates, if it has them" in unknown
    assert "Weights off, springs let down" in unknown


@pytest.mark.parametrize(("told", "strikes"), [({"strike": "none"}, False), ({"strike": "rack"}, True), ({}, None)])
def test_whether_it_strikes_is_taken_from_what_was_said(told: dict[str, object], strikes: bool | None) -> None:
    assert build_of(Clock(tag="1", name="A clock", movement=told), ()).strikes is strikes


@pytest.mark.parametrize("component", sorted(components()))
def test_every_agreed_work_is_on_the_sheet_whatever_the_clock_is_thought_to_have(component: str) -> None:
    work = PlannedWork(line="1", work="mend", component=component, words="mend it as agreed")
    sheet = bench_sheet(of_one(DRUM, work))
    table = next(one for one in sheet.blocks if isinstance(one, Rows) and one.heading == "The order")

    assert sum("mend it as agreed" in row[2] for row in table.rows) == 1
    assert ("Do", "Mend it as agreed") in [pair for one in sheet.blocks if isinstance(one, Facts) for pair in one.pairs]
    assert all(
        one in triggers()
        for one in triggers_of_work(component, "turn, drill, solder and clean")
        if one.startswith(("work:", "step:"))
    )
    assert isinstance(measure_after(component), tuple)


@pytest.mark.parametrize(
    ("component", "of", "words", "key"),
    [
        ("movement", None, "set level and in beat, oil where dry, watch it go", "set_up"),
        ("case", None, "set the case level and the beat even", "set_up"),
        ("pivot_hole", "back_cock", "bush back cock and plate", "escapement"),
        ("pivot_hole", "pallet_arbor", "bush the hole", "escapement"),
        ("pivot_hole", "third_wheel", "bush the hole", "plates"),
        ("pivot_hole", "strike.second_wheel", "bush the hole", "plates"),
        ("screw", "back_cover", "fit a screw", "case"),
        ("tooth", "rack", "fit a tooth", "strike"),
        ("movement", None, "strip, clean, put right small things, reassemble, oil, test: one train", "plates"),
    ],
)
def test_a_work_stands_at_the_stage_at_which_it_is_done(component: str, of: str | None, words: str, key: str) -> None:
    assert stage_of(component, Build(frozenset({"fusee", "pendulum"})), of=of, words=words) == key


def test_deeds_call_their_cautions_as_verbs() -> None:
    assert "work:turning" in triggers_of_work("balance_staff", "turn a new staff")
    assert "work:turning" not in triggers_of_work("mainspring", "return the spring")
    assert "work:turning" not in triggers_of_work("gut_line", "a new line, for the groove and a turn and a half")
    assert "work:plating" not in triggers_of_work("pivot_hole", "bush back cock and plate; true the plates; platform")
    assert "work:plating" in triggers_of_work("case", "replate (owner's written consent)")
    assert "work:grinding" not in triggers_of_work("pallet_stone", "set the pallet stone again in shellac")
    assert {"work:silver soldering", "work:soldering"} <= triggers_of_work("rack", "silver solder the tail")


def test_bushing_plates_warns_of_the_lathe_and_not_of_plating_salts() -> None:
    bush = PlannedWork(line="1", work="bush", component="pivot_hole", of="third_wheel", words="bush the plate")
    said = " ".join(one.sentence for one in bench_sheet(of_one(DRUM, bush)).blocks if isinstance(one, Caution))

    assert "Lathe, drill" in said
    assert "cyanide" not in said


def test_a_suspension_spring_has_its_own_stage_kit_and_sizes() -> None:
    kit = consumables([("suspension_spring", "fit a new suspension spring", "of the size found")])

    assert stage_of("suspension_spring", build_of(LONGCASE, ())) == "pendulum"
    assert any("brass chaps" in one for one in kit)
    assert not any("grease" in one or "gloves" in one for one in kit)
    assert "length between the chaps" in measure_after("suspension_spring")


def test_no_new_spring_is_laid_out_where_the_old_one_is_cleaned() -> None:
    assert not any("mainspring" in one for one in consumables([("mainspring", "clean and grease it", "as found")]))


@pytest.mark.parametrize(
    ("condition", "words", "sizes", "wanted"),
    [
        ("twisted", "fit a new suspension spring", (), "of the size found"),
        ("too_short", "fit a suspension spring", (), "to be worked out (the suspension spring is too short)"),
        ("broken", "fit a suspension spring of the right thickness and length", (), "its size to be worked out"),
        # Derived: the size kept just before it
        ("too_short", "fit a suspension spring", (("length", 12.5),), "length 12.5 mm"),
    ],
)
def test_a_part_whose_size_is_the_fault_is_not_laid_out_as_found(
    condition: str, words: str, sizes: tuple[tuple[str, float], ...], wanted: str
) -> None:
    found = Finding(component="suspension_spring", condition=condition, state="present", id="f9")
    spring = PlannedWork(line="1", work="spring", component="suspension_spring", words=words, findings=("f9",))
    kept = tuple(PlannedSize(line="1", quantity=name, unit="mm", target=value) for name, value in sizes)
    paper = of_one(LONGCASE, spring, findings=(found,), planned_sizes=kept)
    laid_out = next(one for one in bench_sheet(paper).blocks if heading(one) == "To lay out")

    assert wanted in laid_out.paragraphs[0]  # type: ignore[union-attr]
    assert ("of the size found" in laid_out.paragraphs[0]) == (wanted == "of the size found")  # type: ignore[union-attr]


def test_a_count_to_make_stands_without_a_gap_where_its_unit_would_be() -> None:
    spring = PlannedWork(line="1", work="spring", component="suspension_spring", words="fit a new suspension spring")
    paper = of_one(LONGCASE, spring, planned_sizes=(PlannedSize(line="1", quantity="teeth", unit="", target=64.0),))
    words = all_words(bench_sheet(paper))

    assert "teeth 64," in words
    assert "64 ," not in words
    assert "64 \n" not in words


def test_what_the_owner_ruled_out_stands_before_everything() -> None:
    consent = Consent(
        choice_id="c1",
        person_id="p1",
        channel="in_person",
        words="Yes, all but the hands.",
        given_at=NOON,
        lines=(*(line(one) for one in WORKS[:4]), line(WORKS[4], "no")),
        ceiling=Money(amount_minor=30000, currency="GBP"),
        limits=("Leave the bezel and the dial as they are",),
    )
    visit = Visit(received_at=NOON, aim=Aim(what="to_run", wishes=("the case is not to be polished",)))
    first = bench_sheet(dossier(consents=(consent,), visit=visit)).blocks[0]

    assert isinstance(first, Facts)
    assert first.pairs == (
        ("Not to be done", "Leave the bezel and the dial as they are"),
        ("The owner wishes", "the case is not to be polished"),
        ("Not above", "£300 without asking"),
        ("Refused", "hands: fit other hands"),
    )


def test_a_limit_of_an_answer_that_was_taken_back_is_not_said() -> None:
    back = Consent(
        choice_id="c1",
        person_id="p1",
        channel="in_person",
        words="Yes.",
        given_at=NOON,
        lines=(),
        limits=("not the dial",),
        withdrawn_at=NOON,
        withdrawn_words="No.",
    )

    assert "not the dial" not in all_words(bench_sheet(dossier(consents=(*dossier().consents, back))))


def reading(quantity: str, of: str, value: float, key: str, unit: str = "mm", **more: Any) -> Measurement:
    return Measurement(quantity=quantity, value=value, unit=unit, of=of, id=key, **more)


def rows_of(paper_of: Dossier, name: str) -> list[tuple[str, ...]]:
    """Rows of readings that stand under a work."""
    blocks = bench_sheet(paper_of).blocks
    at = next(i for i, one in enumerate(blocks) if heading(one) == name)
    under = blocks[at + 1]
    return list(under.rows) if isinstance(under, Rows) and not under.heading else []


HOLE = PlannedWork(line="1", work="bush", component="pivot_hole", of="third_wheel", words="bush the hole")


def test_a_hole_that_was_measured_is_on_the_sheet_as_found() -> None:
    axes = (
        reading("hole_diameter", "pivot_hole:third_wheel", 1.68, "m1"),
        reading("hole_diameter", "pivot_hole:third_wheel", 1.95, "m2"),
        reading("hole_diameter", "pivot_hole:fourth_wheel", 0.91, "m3"),
        reading("tooth_count", "third_wheel", 64, "m4", unit=""),
    )
    rows = rows_of(of_one(LONGCASE, HOLE, measurements=axes), "Pivot hole of the third wheel")

    assert [row[1] for row in rows] == ["1.68 mm", "1.95 mm"]


def test_the_two_axes_of_a_hole_stand_beside_the_bore_to_make() -> None:
    size = PlannedSize(
        line="1", quantity="bore", unit="mm", as_found=1.95, as_found_u=0.01, as_found_across=1.68, target=1.67
    )

    assert rows_of(of_one(LONGCASE, HOLE, planned_sizes=(size,)), "Pivot hole of the third wheel")[0][1] == (
        "1.68 × 1.95 mm"
    )


def test_a_count_is_never_left_differently() -> None:
    shake = PlannedWork(line="1", work="shake", component="arbor", of="escape_wheel", words="give it its endshake")
    readings = (
        reading("tooth_count", "escape_wheel", 30, "m1", unit=""),
        reading("end_shake", "arbor:escape_wheel", 0.02, "m2"),
    )
    rows = rows_of(of_one(LONGCASE, shake, measurements=readings), "Arbor of the escape wheel")

    assert [row[:2] for row in rows] == [("end shake of the arbor of the escape wheel", "0.02 mm")]


def test_a_reading_of_the_test_or_of_a_round_is_as_left() -> None:
    clean = PlannedWork(line="1", work="clean", component="movement", words="clean it")
    readings = (
        reading("rate", "movement", 600.0, "m1", unit="s/d"),
        reading("rate", "movement", 25.0, "m2", unit="s/d", u=4.3),
        reading("beat_error", "movement", 0.4, "m3", unit="ms", round_id="r1"),
    )
    proofs = (
        Proof(
            title="On test",
            planned_at=NOON,
            lines=(PassLine(quantity="rate", unit="s/d", low=-30.0, high=30.0),),
            results=("m2",),
        ),
    )
    rows = rows_of(of_one(LONGCASE, clean, measurements=readings, proofs=proofs), "Movement")

    assert rows == [
        ("rate of the movement", "+600 s/d, gains", "+25 ± 4.3 s/d, gains"),
        ("beat error of the movement", "not measured", "0.4 ms"),
    ]


def test_a_size_of_another_wheel_is_not_printed_under_a_work_of_the_same_number() -> None:
    other = PlannedSize(line="1", quantity="bore", unit="mm", target=0.8, of="escape_wheel")
    paper = of_one(LONGCASE, HOLE, planned_sizes=(other,))

    assert rows_of(paper, "Pivot hole of the third wheel") == []
    assert any(heading(one) == "Other sizes kept" for one in bench_sheet(paper).blocks)


@pytest.mark.parametrize(
    "words", ["solder the hook", "silver solder the hook", "anneal the tail", "harden the pallets", "blue the screws"]
)
def test_heat_calls_its_caution_by_every_name_it_has(words: str) -> None:
    assert any("Torch, hot plate" in one.text for one in due(triggers_of_work("pallets", words), reader="bench"))


def test_it_is_a_kind_of_paper_and_a_drawing_on_it_keeps_its_scale() -> None:
    scene = bush_scene(BushDrawn(1.2, 1.27, 1.45, 1.62, 2.44, 4.0))
    drawn = figure_of(scene, prefix="b")
    pdf = paper_pdf(
        KINDS["bench"](
            dossier(part_drawings=(Figure(drawn["svg"], drawn["alternative"], drawn["caption"], drawn["width_mm"]),))
        )
    )
    bar = next(one for one in scene.shapes if getattr(one, "layer", "") == "check").rings[0]
    wanted = (bar[1][0] - bar[0][0]) * scene.scale
    runs: list[float] = []
    for page in pypdfium2.PdfDocument(io.BytesIO(pdf)):
        dark = page.render(scale=300 / 72).to_numpy()[:, :, 0] < 128
        for row in dark:
            edges = (row[1:] != row[:-1]).nonzero()[0]
            runs += [float(b - a) * 25.4 / 300 for a, b in zip(edges[::2], edges[1::2], strict=False)]

    # Derived: half of each end stroke stands outside; dots of 0.085 mm
    assert any(abs(run - wanted - 0.28) < 0.2 for run in runs)
