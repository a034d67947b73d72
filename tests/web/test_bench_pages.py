"""The bench sums as pages: the words of the command, the drawing, figures, what is refused, and a size kept with a
ticket.
"""

import html
import io
import re
from urllib.parse import urlencode

import ezdxf
import pypdfium2
import pytest
from click.testing import CliRunner
from fastapi.testclient import TestClient
from hypothesis import given
from hypothesis import strategies as st

from underdial import units
from underdial.bench.demo import open_demo
from underdial.bench.shop import clock_page, open_shop
from underdial.bench.sums.figures import with_error
from underdial.bench.sums.filling import answer_sum, worded
from underdial.bench.sums.forms_of_trains import SUMS
from underdial.bench.sums.planning import part_drawings, sizes_on_paper
from underdial.cli.frame import COMMANDS, underdial
from underdial.errors import OutOfRange, UnderdialError
from underdial.web.app import create_app

OK, NOT_FOUND, UNPROCESSABLE = 200, 404, 422
SHARED = {"json", "words", "out", "replace", "help"}
# Sum -> the field that the command takes without an option.
POSITIONAL = {
    "runout": "readings",
    "poise": "readings",
    "teeth": "teeth",
    "train": "train",
    "missing": "train",
    "strike": "train",
}


def shown(answer):
    """The page as words, signs as they are read."""
    return shown_text(answer.text)


def shown_text(page):
    return html.unescape(re.sub(r"\s+", " ", re.sub(r"<[^>]*>", " ", page)))


def example(name, **more):
    return f"/bench/{name}?{urlencode({**SUMS[name].example, **more})}"


def head(answer):
    return html.unescape(re.search(r"<h1>(.*?)</h1>", answer.text, re.S)[1]).strip()


def test_list_of_clocks_leads_to_the_sums_in_the_order_of_the_job(client):
    assert '<a href="/bench">Bench sums</a>' in client.get("/").text
    named = re.findall(r'href="/bench/(\w+)"', client.get("/bench").text)

    assert named == [
        "runout",
        "poise",
        "metal",
        "bush",
        "cone",
        "spring",
        "hairspring",
        "pendulum",
        "teeth",
        "pallets",
        "train",
        "missing",
        "strike",
    ]


@pytest.mark.parametrize("name", SUMS)
def test_form_has_a_field_for_every_option_of_its_command(name):
    command = underdial.get_command(None, name)
    options = {max(one.opts, key=len).lstrip("-") for one in command.params if one.param_type_name == "option"} - SHARED
    fields = {one.name for one in SUMS[name].fields} - {POSITIONAL.get(name)}

    assert name in COMMANDS
    # The snail's steps are a file of the command strike.
    assert fields - {"file"} == options


@pytest.mark.parametrize("name", SUMS)
def test_example_answers_with_the_words_of_the_command(client, tmp_path, name):
    answer = client.get(example(name))
    arguments, options = [], []
    for field in SUMS[name].fields:
        text = SUMS[name].example.get(field.name)
        if text is not None and field.kind == "readings":
            (tmp_path / "readings.csv").write_text(text)
            arguments.append(str(tmp_path / "readings.csv"))
        elif text is not None:
            options += [text] if field.name == POSITIONAL.get(name) else [f"--{field.name}={text}"]
    words = CliRunner().invoke(underdial, [name, *arguments, *options, "--words"]).output

    assert answer.status_code == OK
    # Where the page leads with another line of the command, or with the first metal, that line is among the command's.
    lead = {"metal": "brass: above 98 in 100", "missing": "96/8 64/8 60/8 x 30: 3600 beats an hour"}.get(
        name, head(answer)
    )
    assert lead in words
    assert "None" not in re.sub(r"None of", "", shown(answer))


@pytest.mark.parametrize("name", ["runout", "poise", "bush", "cone", "spring", "pendulum", "teeth", "pallets"])
def test_drawing_is_in_the_page_and_leaves_it_as_files(client, tmp_path, name):
    answer = client.get(example(name))
    links = re.findall(r'href="(/bench/\w+/drawing[^"]+)"', answer.text)
    files = {re.search(r"drawing(\.\w+)", one)[1]: client.get(html.unescape(one)) for one in links}

    assert "var(--ink)" in answer.text.split("<figure")[1].split("</figure>")[0]
    assert set(files) == {".pdf", ".dxf", ".svg"}
    assert files[".pdf"].content.startswith(b"%PDF-")
    assert files[".svg"].text.startswith("<svg")
    (tmp_path / "part.dxf").write_bytes(files[".dxf"].content)
    audit = ezdxf.readfile(tmp_path / "part.dxf").audit()
    assert not audit.errors


def test_figures_carry_their_errors(client):
    text = shown(client.get(example("bush")))

    # Derived: 1.20 mm + 1.6 mm x tan 2.5 deg = 1.26986 mm, its error that of the pivot, 0.005 mm
    assert "bore 1.2699 ± 0.0050 mm" in text
    # Derived: half of 1.62 less 1.45 mm; error sqrt(2) x 0.01 / 2 = 0.0071 mm
    assert "true centre from the middle of the hole 85.0 ± 7.1 µm" in text
    assert "Taken because nothing else was said: modulus 100 GPa" in text


def test_what_is_wanted_is_named_by_its_label_and_all_else_stays(client):
    answer = client.get("/bench/bush?plate=1.6mm&pivot=1.2&clearance=0.05mm")

    assert answer.status_code == UNPROCESSABLE
    assert "Diameter of the pivot: 1.2 needs a unit, such as 1.2mm" in shown(answer)
    assert 'name="plate" value="1.6mm"' in answer.text
    assert re.search(r'name="pivot" value="1.2"[^>]*aria-invalid="true"', answer.text)


@pytest.mark.parametrize(
    ("name", "query", "says"),
    [
        (
            "bush",
            "pivot=1.2mm",
            "give either “Hole less pivot, on the diameter” or “Lean the arbor shall have, one way”",
        ),
        ("bush", "pivot=1.2mm&clearance=0.05mm&hole-long=1.6mm", "Short axis of the worn hole: give its short axis"),
        ("pendulum", "length=250mm&beats-per-hour=7000", "Pivot to centre of oscillation: give either"),
        ("hairspring", "beats-per-hour=14400&height=0.45mm&thickness=0.075mm", "“Screws added”"),
        ("runout", "readings=z_mm,angle_deg,reading_um%0A0,0,wide", "line 2 has wide, a bare number is wanted"),
        ("runout", "noise=1um", "Readings: nothing is written there"),
        ("teeth", "teeth=64&module=0.6mm", "Teeth over leaves"),
        ("missing", "train=96/8+64/?&leaves=six", "Leaf counts to keep to: six cannot be read"),
        ("strike", "pins=8", "Wheels over pinions, from the great wheel: give a train with its pins"),
        (
            "pallets",
            "escape=30&radius=15mm&span=7.5&kind=lever",
            "Kind: lever is not one of deadbeat, recoil, pin pallets",
        ),
        ("metal", "air=20g", "“Weight hung in water”"),
    ],
)
def test_bad_input_is_one_sentence_in_the_words_of_the_form(client, name, query, says):
    answer = client.get(f"/bench/{name}?{query}")
    wrong = html.unescape(re.sub("<[^>]*>", "", re.search(r'<p class="wrong[^>]*>(.*?)</p>', answer.text, re.S)[1]))

    assert answer.status_code == UNPROCESSABLE
    assert says in wrong
    assert "--" not in wrong


ODD = ["0", "-1", "1e9", "1e-9", "1+-5"]


@pytest.mark.parametrize("name", SUMS)
def test_no_odd_value_brings_out_a_fault_of_ours(name):
    one = SUMS[name]
    for field in one.fields:
        unit = next(
            (
                unit
                for unit in ("mm", "deg", "s/d", "g", "kgm2", "GPa", "m/s2", "degC", "s")
                if field.kind in units.KINDS and units.factor(unit)[0] == field.kind
            ),
            "",
        )
        if not unit and field.kind not in ("number", "plain", "count"):
            continue
        for value in ODD:
            try:
                answer_sum(one, {**one.example, field.name: value + unit})
            except UnderdialError as wrong:
                said = worded(one, wrong)[1]
                assert said
                assert "--" not in said


def test_a_refusal_of_a_formula_is_said_of_the_field_and_in_its_unit():
    with pytest.raises(OutOfRange) as wrong:
        answer_sum(SUMS["cone"], {**SUMS["cone"].example, "tip-radius": "10mm"})
    field, said = worded(SUMS["cone"], wrong.value)

    assert field == "tip-radius"
    assert said.startswith("Radius of the tip’s rounding: 10 mm is outside")  # Derived: as typed


def test_a_fit_over_the_yield_is_refused_and_gives_nothing_to_keep(client):
    answer = client.get(example("bush", interference="30um"))

    assert answer.status_code == OK
    assert "over the 200 MPa at which the metal gives" in head(answer)
    assert "/bench/bush/keep" not in answer.text


def test_what_cannot_be_told_is_said_in_a_sentence_with_what_to_do_first(client):
    nothing = client.get("/bench/metal?magnet=unknown&colour=unknown")
    blind = client.get(
        example(
            "poise",
            readings="up_deg,amplitude_deg,rate_s_per_day\n0,215,23.6\n90,215,-19.5\n180,215,-23.8\n270,215,19.6",
        )
    )
    jammed = client.get(example("bush", hole="1.1mm"))

    assert (nothing.status_code, blind.status_code, jammed.status_code) == (OK, OK, OK)
    assert "Try a magnet first" in head(nothing)
    assert head(blind).startswith("Only 0 positions lie outside 200 to 240 deg")
    assert "does not go into a hole of 1.1 mm" in head(jammed)
    assert "Keep a figure" not in shown(nothing) + shown(blind) + shown(jammed)


def test_a_file_of_readings_goes_into_the_form_and_the_rest_stays(client):
    table = SUMS["runout"].example["readings"]
    answer = client.post(
        "/bench/runout/readings",
        files={"upload": ("staff.csv", io.BytesIO(b"\xef\xbb\xbf" + table.encode()), "text/csv")},
        data={"noise": "1.5um", "wanted": ""},
    )

    assert head(answer).startswith("Bent at 12.1")  # Derived: the example is made with a kink at 12 mm
    assert 'value="1.5um"' in answer.text


# Pinned: the limit of letters that the page says is the one it keeps.
@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"\xff\xfe\x00", "no text in UTF-8"),
        (b"z_mm,angle_deg,reading_um\n" + b"0,0,1\n" * 4000, "longer than 20000 letters"),
    ],
)
def test_a_file_that_is_no_table_is_refused_in_a_sentence(client, content, says):
    answer = client.post("/bench/runout/readings", files={"upload": ("odd.csv", io.BytesIO(content), "text/csv")})

    assert answer.status_code == UNPROCESSABLE
    assert says in shown(answer)  # Pinned: 20000 letters


def test_a_wheel_and_a_snail_have_their_own_answers(client):
    angles = range(0, 360, 30)
    # A rim 40 µm off its centre towards 90 deg, in round figures.
    table = "angle_deg,rim_um\n" + "\n".join(
        f"{one},{(0, 20, 35, 40, 35, 20, 0, -20, -35, -40, -35, -20)[one // 30]}" for one in angles
    )
    wheel = client.get(f"/bench/runout?{urlencode({'readings': table, 'radius': '18mm'})}")
    radii = "\n".join(["hour,snail_radius_mm", *(f"{one},{20 - one}" for one in range(1, 13))])
    snail = client.get(f"/bench/strike?{urlencode({'file': radii, 'tail': '28.65mm', 'tooth-angle': '2deg'})}")

    assert "Off its centre by 40" in head(wheel)  # Derived: the rim was written 40 µm high at 90 deg
    assert "towards 90 deg" in head(wheel)  # Derived: the same
    assert head(snail) == "Every hour strikes its number."


def test_the_address_of_an_answer_holds_all_that_was_typed(client):
    for name, one in SUMS.items():
        page = client.get(example(name)).text
        for field in one.fields:
            if field.name in one.example and field.kind not in ("pick", "readings"):
                assert f'name="{field.name}" value="{html.escape(one.example[field.name])}"' in page


def test_lost_counts_lead_to_the_drawing_of_their_wheel(client):
    answer = client.get(example("missing", **{"centre-distance": "3-4=24.1+-0.1mm"}))
    links = [html.unescape(one) for one in re.findall(r'href="(/bench/teeth\?[^"]+)"', answer.text)]
    drawn = client.get(links[1])

    assert len(links) == 2  # Derived: both the second and the third mesh have lost a count
    # Derived: 2 x 24.1 mm over 60 + 8
    assert "module=0.7088" in links[1]
    assert "Wheel of 60" in head(drawn)
    assert "To draw 64/8: measure between arbors 2 and 3" in shown(answer)


def test_a_sum_that_is_not_there_is_said(client):
    assert client.get("/bench/sundial").status_code == NOT_FOUND
    assert client.get(example("metal").replace("metal?", "metal/drawing.dxf?")).status_code == NOT_FOUND
    assert (
        client.post(
            "/bench/bush/keep", data={"ticket": "99", "size": "bore_m", "typed": urlencode(SUMS["bush"].example)}
        ).status_code
        == NOT_FOUND
    )


def test_a_computed_size_is_kept_with_its_error_and_once(client, demo_folder):
    for allowed in ("0.02", "0.01"):
        kept = client.post(
            "/bench/bush/keep",
            data={
                "ticket": "32",
                "size": "bore_m",
                "typed": urlencode(SUMS["bush"].example),
                "of": "third wheel",
                "allowed_off": allowed,
            },
        )
    planned = clock_page(open_demo(demo_folder), "32").visit.planned_sizes

    assert "Kept with ticket 32: bore" in shown(kept)
    assert len(planned) == 1  # Derived: the second takes the place of the first
    assert planned[0].value == pytest.approx(1.26986, abs=5e-6)  # Derived: 1.20 + 1.6 tan 2.5 deg, in mm
    # Derived: as typed
    assert (planned[0].u, planned[0].unit, planned[0].allowed_off) == (pytest.approx(0.005), "mm", 0.01)
    assert (planned[0].computed_by, planned[0].of) == ("bush", "third_wheel")
    assert "Bore of the third wheel: 1.2699 ± 0.0050 mm" in shown(client.get("/clock/32/work"))


def test_sum_that_follows_without_its_module_is_begun_and_not_refused(client):
    page = client.get(example("missing"))
    begun = [html.unescape(one) for one in re.findall(r'href="(/bench/teeth[?][^"]*)"', page.text)]

    assert begun
    for address in begun:
        answer = client.get(address)
        assert answer.status_code == OK
        assert "Filled in from the sum before" in shown(answer)
        assert re.search(r'name="teeth" value="\d+/\d+"', answer.text)


def test_parts_with_sizes_to_make_are_drawn_on_the_bench_sheet_at_their_scale(client, demo_folder):
    client.post(
        "/clock/32/measurements",
        data={"quantity": "hole diameter", "value": "1.45", "unit": "mm", "u": "0.01", "of": "third wheel"},
    )
    for size in ("bore_m", "clearance_m"):
        client.post(
            "/bench/bush/keep",
            data={"ticket": "32", "size": size, "typed": urlencode(SUMS["bush"].example), "of": "third wheel"},
        )
    client.post(
        "/bench/cone/keep",
        data={"ticket": "32", "size": "after.upright.effective_radius_m", "typed": urlencode(SUMS["cone"].example)},
    )
    page = clock_page(open_demo(demo_folder), "32")
    drawn = part_drawings(page)
    sizes = sizes_on_paper(page)

    # Derived: one drawing for each sum, not for each size
    assert [one.caption for one in drawn] == [
        "Bush for a pivot of 1.2 mm, 20 : 1. For the third wheel.",
        "Cone pivot in its cup, 50 : 1.",
    ]
    assert all("mm on paper; drawn" in one.svg for one in drawn)
    # Derived: the hole as it was read
    assert (sizes[0].as_found, sizes[0].as_found_u, sizes[1].as_found) == (1.45, 0.01, None)


@pytest.mark.parametrize(
    ("name", "says"),
    [
        ("bush", "Lathe, drill"),
        ("cone", "Lathe, drill"),
        ("spring", "A wound spring holds"),
        ("pallets", "Never take out pallets"),
        ("teeth", "Lathe, drill"),
        ("hairspring", "Small parts fly"),
    ],
)
def test_cautions_for_what_comes_next_stand_with_the_answer_and_on_its_paper(client, name, says):
    answer = client.get(example(name))
    link = re.search(r'href="(/bench/\w+/drawing.pdf[^"]+)"', answer.text)

    assert says in shown(answer)
    if link:
        pdf = pypdfium2.PdfDocument(client.get(html.unescape(link[1])).content)
        assert f"Caution. {says}" in "".join(page.get_textpage().get_text_range() for page in pdf).replace("\r\n", " ")


def test_a_sum_opened_from_a_clock_takes_what_was_read_of_it_and_nothing_else(client):
    for quantity, value, unit, u, of in (
        ("thickness", "0.42", "mm", "0.01", "mainspring"),
        ("diameter", "41", "mm", "", "barrel"),
        ("hole diameter", "1.45", "mm", "0.01", "third wheel"),
        ("hole diameter", "1.62", "mm", "", "third wheel"),
        ("rate", "-90", "s/d", "5", ""),
    ):
        client.post(
            "/clock/32/measurements", data={"quantity": quantity, "value": value, "unit": unit, "u": u, "of": of}
        )
    client.post(
        "/clock/32/movement", data={"family": "french_round_pendulum", "train": "84/14 78/12 70/7 66/7", "escape": "34"}
    )
    pages = {name: client.get(f"/bench/{name}?ticket=32").text for name in SUMS}

    assert 'name="thickness" value="0.42+-0.01mm"' in pages["spring"]
    assert 'name="barrel" value="41mm"' in pages["spring"]
    assert 'name="arbor" value=""' in pages["spring"]
    assert "From the record of ticket 32: thickness of the spring, inside diameter of the barrel." in shown_text(
        pages["spring"]
    )
    assert 'name="hole" value="1.45+-0.01mm"' in pages["bush"]
    assert 'name="hole-long" value="1.62mm"' in pages["bush"]
    assert 'name="rate" value="-90+-5s/d"' in pages["pendulum"]
    assert 'name="train" value="84/14 78/12 70/7 66/7"' in pages["train"]
    assert 'name="escape" value="34"' in pages["pallets"]
    # Derived: 2 x 34 x 70/7 x 66/7 = 6411.43 beats an hour from the third arbor, which turns once an hour
    assert 'name="beats-per-hour" value="6411.4' in pages["poise"]
    assert "From the record" not in pages["metal"]
    assert "From the record" not in client.get("/bench/spring?ticket=nobody").text


def test_a_computed_reading_names_the_sum_as_its_instrument(client, demo_folder):
    client.post(
        "/bench/metal/keep",
        data={"ticket": "32", "size": "density_kg_per_m3", "typed": urlencode(SUMS["metal"].example), "how": "reading"},
    )
    kept = clock_page(open_demo(demo_folder), "32").measurements[-1]

    assert (kept.quantity, kept.unit, kept.instrument) == ("density", "kg/m3", "bench sum: what metal it is")
    # Derived: (23.418 x 998.2 - 20.655 x 1.2) / 2.763 = 8451; error hypot(23.418, 20.655) x 0.005 x 998 / 2.763^2 = 20
    assert (round(kept.value), round(kept.u)) == (8451, 20)


@given(st.floats(1e-6, 1e6), st.floats(1e-3, 0.5))
def test_a_shown_value_lies_within_half_its_last_place(value, share):
    u = share * value
    text, _, error = with_error(value, u).partition(" ± ")
    places = len(text.partition(".")[2])

    assert abs(float(text) - value) <= 0.5000001 * 10.0**-places  # Derived: rounding to the nearest
    assert abs(float(error) - u) <= 0.5000001 * 10.0**-places  # Derived: the error goes to the same place


@pytest.mark.browser
def test_sums_can_be_read_by_ear_and_touched_by_day_and_night(chromium, served):
    from axe_playwright_python.sync_playwright import Axe

    for lamp, addresses in (
        ("light", ("/bench", example("runout", ticket="31"), "/bench/bush?pivot=1.2")),
        ("dark", (example("teeth"),)),
    ):
        for address in addresses:
            page = chromium.new_page(viewport={"width": 1024, "height": 768}, color_scheme=lamp)
            page.goto(f"{served.rstrip('/')}{address}")
            page.wait_for_load_state("networkidle")
            found = Axe().run(page)
            small = page.eval_on_selector_all(
                "button, .button, select, summary, .sums a, input:not([type=hidden])",
                "all => all.filter(e => e.offsetParent && (e.getBoundingClientRect().height < 55.5 || "
                "e.getBoundingClientRect().width < 55.5)).map(e => e.outerHTML.slice(0, 90))",
            )
            page.close()

            assert found.violations_count == 0, f"{address}: {found.generate_report()}"
            assert not small  # Source: docs/reference/look.md: what is touched is 56 px at least


def test_a_drawing_is_on_the_sheets_that_the_shop_prints_on(tmp_path):
    (tmp_path / "shop.toml").write_text('sheet = "Letter"\n')
    shop = open_shop(tmp_path)
    drawn = TestClient(create_app(shop)).get(f"/bench/bush/drawing.pdf?{urlencode(SUMS['bush'].example)}")
    typed = CliRunner().invoke(
        underdial,
        ["bush", "--pivot", "1.20mm", "--plate", "1.6mm", "--lean", "2.5deg", "--out", str(tmp_path / "bush.pdf")],
        env={"UNDERDIAL_SHOP": str(tmp_path)},
    )

    assert typed.exit_code == 0  # Source: the contract of commands, 0 done
    words = pypdfium2.PdfDocument(drawn.content)[0].get_textpage().get_text_bounded()
    # Derived: 1.20 + 1.6 tan 2.5 deg = 1.26986 mm, on the drawing and in the table beside it to the same place.
    assert "bore ø 1.270" in words
    assert "1.270 ± 0.005 mm" in words
    assert "1.2699" not in words
    for pdf in (drawn.content, (tmp_path / "bush.pdf").read_bytes()):
        # Derived: 8.5 by 11 in at 72 points to the inch.
        assert pypdfium2.PdfDocument(pdf)[0].get_size() == pytest.approx((612.0, 792.0), abs=0.1)
    shop.engine.dispose()
