"""The bench sheet: only what was agreed, in order of strip, with sizes, cautions and what to lay out."""

from __future__ import annotations

import io
from datetime import UTC, date, datetime
from typing import Any

import pypdfium2
import pytest

from underdial.papers.bench_sheet import agreed_steps, bench_sheet
from underdial.papers.blocks import Caution, Figure, Rows, all_words
from underdial.papers.bush_drawing import BushDrawn, bush_scene
from underdial.papers.dossier import Dossier, PlannedSize, ShopName
from underdial.papers.drawing_sheet import figure_of
from underdial.papers.kinds import KINDS
from underdial.papers.setting import paper_pdf
from underdial.papers.strip_order import consumables, measure_after, stage_of, triggers_of_work
from underdial.record.choice import Choice, PlannedWork
from underdial.record.clock import Clock
from underdial.record.consent import Consent, ConsentLine
from underdial.record.finding import Finding
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
    return ConsentLine(line=work.line, work=work.work, component=work.component, of=work.of, answer=answer)


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
    assert "fit other hands" not in all_words(bench_sheet(dossier()))


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


@pytest.mark.parametrize("component", sorted(components()))
def test_every_part_of_the_trade_has_its_stage_and_calls_only_known_cautions(component: str) -> None:
    assert 1 <= stage_of(component).number_count <= 8  # Derived: eight stages
    assert {
        one
        for one in triggers_of_work(component, "turn, drill, solder and clean")
        if one.startswith(("work:", "step:"))
    } <= triggers()
    assert isinstance(measure_after(component), tuple)


def test_deeds_call_their_cautions_by_the_beginning_of_a_word() -> None:
    assert "work:turning" in triggers_of_work("balance_staff", "turn a new staff")
    assert "work:turning" not in triggers_of_work("mainspring", "return the spring")
    assert {"work:silver soldering", "work:soldering"} <= triggers_of_work("rack", "silver solder the tail")
    assert consumables([("mainspring", "new spring")])[0] == "spring as sized"


def test_a_suspension_spring_has_its_own_stage_kit_and_sizes() -> None:
    kit = consumables([("suspension_spring", "new suspension spring")])

    assert stage_of("suspension_spring").words == "Pendulum and weights off"
    assert any("brass chaps" in one for one in kit)
    assert not any("grease" in one or "gloves" in one for one in kit)
    assert "length between the chaps" in measure_after("suspension_spring")


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
