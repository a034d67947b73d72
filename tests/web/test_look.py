"""The look: tokens that can be read, by day, by night and in print; faces that hold every sign we print."""

import re
from pathlib import Path

import pytest
from fontTools.ttLib import TTFont

import underdial

STATIC = Path(underdial.__file__).parent / "web" / "static"
TOKENS = (STATIC / "tokens.css").read_text(encoding="utf-8")
GROUNDS = ("paper", "slip", "recess")
# Source: WCAG 2.2 success criteria 1.4.3 (text, 4.5 : 1) and 1.4.11 (edges of controls, 3 : 1)
LEAST_FOR_WORDS, LEAST_FOR_EDGES = 4.5, 3.0


def block(start):
    text = TOKENS[TOKENS.index(start) :]
    return dict(
        re.findall(
            r"--([\w-]+):\s*(#[0-9A-Fa-f]{6})", text[: text.index("\n}") if "\n}" in text else None].split("\n  }")[0]
        )
    )


DAY = block(":root {")
NIGHT = block(':root[data-lamp="night"] {')
PREFERRED_NIGHT = block(':root:not([data-lamp="day"]) {')


def luminance(colour):
    parts = [int(colour[k : k + 2], 16) / 255 for k in (1, 3, 5)]
    linear = [one / 12.92 if one <= 0.04045 else ((one + 0.055) / 1.055) ** 2.4 for one in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one, other):
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


@pytest.mark.parametrize("lamp", [DAY, NIGHT], ids=["day", "night"])
@pytest.mark.parametrize("ink", ["ink", "ink-soft", "ink-faint", "oxide", "brass", "verdigris", "steel"])
def test_words_can_be_read_on_every_ground(lamp, ink):
    assert min(contrast(lamp[ink], lamp[ground]) for ground in GROUNDS) >= LEAST_FOR_WORDS


@pytest.mark.parametrize("lamp", [DAY, NIGHT], ids=["day", "night"])
def test_edges_and_main_button_can_be_seen(lamp):
    assert min(contrast(lamp["line-edge"], lamp[ground]) for ground in GROUNDS) >= LEAST_FOR_EDGES
    assert contrast(lamp["on-ink"], lamp["ink"]) >= 15  # Derived: the look asks for 15 or more on the main button


def test_contrast_of_black_and_white_is_that_of_the_standard():
    # Source: WCAG 2.2, definition of contrast ratio: 1 to 21
    assert contrast("#000000", "#FFFFFF") == pytest.approx(21.0)


def test_both_nights_are_one_night():
    assert NIGHT == PREFERRED_NIGHT
    assert set(NIGHT) <= set(DAY)


def test_every_colour_of_the_style_sheet_is_a_token():
    sheet = (STATIC / "house.css").read_text(encoding="utf-8")

    assert not re.findall(r"#[0-9A-Fa-f]{3,8}\b(?![^{}]*url)", sheet)
    assert set(re.findall(r"var\(--([\w-]+)", sheet)) <= set(re.findall(r"--([\w-]+):", TOKENS))


def test_nothing_smaller_than_fifteen_pixels_stands_on_a_screen():
    sizes = [float(one) * 16 for one in re.findall(r"--type-[\w]+:\s*([\d.]+)rem", TOKENS)]

    assert min(sizes) >= 15  # Source: docs/reference/look.md, Type: nothing smaller than 15 px


# Every sign that a screen or paper may print beside the letters and figures of Latin 1.
SIGNS = "µ′″−±°×“”‘’…–£€§½¼¾"


@pytest.mark.parametrize(
    "face",
    [
        "eb-garamond-latin-400-normal",
        "eb-garamond-latin-500-italic",
        "atkinson-hyperlegible-next-latin-400-normal",
        "atkinson-hyperlegible-next-latin-600-normal",
        "atkinson-hyperlegible-mono-latin-400-normal",
    ],
)
def test_every_printable_sign_is_in_a_face_or_its_stand_in(face):
    papers = STATIC.parents[1] / "papers" / "fonts"
    have = set(TTFont(papers / f"{face}.ttf").getBestCmap()) | set(
        TTFont(papers / "source-sans-3-latin-400-normal.ttf").getBestCmap()
    )
    wanted = {*map(ord, SIGNS), *range(0x20, 0x7F), *range(0xA1, 0xAD), *range(0xAE, 0x100)}

    assert not {chr(one) for one in wanted - have}


def test_a_picture_that_stands_alone_has_the_colours_of_the_style_sheet():
    from underdial.papers.scene import DAY as ALONE
    from underdial.papers.scene import PRINT as PRINTED

    assert {name: colour.upper() for name, colour in ALONE.items()} == {name: DAY[name].upper() for name in ALONE}
    assert set(PRINTED) == set(ALONE)
