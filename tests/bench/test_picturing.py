"""Pictures from the tablet: kept as they came, laid to the finding of their time, marked beside and never in the
picture.
"""

import hashlib
import io
from dataclasses import replace
from datetime import timedelta

import pytest
from PIL import Image

from underdial.bench.as_found import picturing
from underdial.bench.clock.kept_files import kept_file
from underdial.bench.demo import open_demo
from underdial.bench.shop import clock_page
from underdial.errors import BadInput, RuleBroken
from underdial.record.picture import PictureMark, PictureScale
from underdial.trade.phrases import part_words

TAG = "31"
RING = PictureMark(kind="ring", x_ratio=0.5, y_ratio=0.5, radius_ratio=0.1)


@pytest.fixture(scope="module")
def shop(tmp_path_factory):
    return open_demo(tmp_path_factory.mktemp("pictures"))


def photo(shade, *, taken=None, turned=None, size=(320, 200)):
    """A picture, upper half dark and lower half of a shade, as a camera writes it."""
    image = Image.new("RGB", size, (10, 10, 10))
    image.paste((shade, shade, shade), (0, size[1] // 2, size[0], size[1]))
    exif, out = Image.Exif(), io.BytesIO()
    if turned:
        exif[274] = turned
    if taken:
        exif.get_ifd(34665)[36867] = taken.strftime("%Y:%m:%d %H:%M:%S")
        exif.get_ifd(34665)[36881] = "+00:00"
    image.save(out, "JPEG", exif=exif)
    return out.getvalue()


def findings_with(shop, picture_id):
    return [one for one in clock_page(shop, TAG).findings if any(proof.source == picture_id for proof in one.evidence)]


def test_a_picture_finds_what_was_being_said_when_it_was_taken(shop):
    page = clock_page(shop, TAG)
    begun = shop.now().replace(microsecond=0)
    spoken = sorted((one for one in page.findings if one.start_s is not None), key=lambda one: one.start_s)[5]
    kept = picturing.take_in_pictures(
        shop,
        TAG,
        [
            ("a.jpg", photo(90, taken=begun + timedelta(seconds=round(spoken.start_s) + 1))),
            ("b.jpg", photo(91, taken=begun - timedelta(hours=1))),
        ],
    )
    assert kept.matched_count == 0  # Derived: nobody has said when the look-over began

    assert picturing.say_when_begun(shop, TAG, begun) == 1  # Derived: one of the two was taken during the look-over
    assert spoken.start_s in {one.start_s for one in findings_with(shop, kept.kept[0].id)}
    assert findings_with(shop, kept.kept[1].id) == []


def test_a_picture_taken_on_its_side_is_shown_upright_and_kept_as_it_came(shop):
    came = photo(140, turned=6)
    kept = picturing.take_in_pictures(shop, TAG, [("side.jpg", came)]).kept[0]
    shown = Image.open(io.BytesIO(picturing.upright(shop, TAG, kept.id)))

    # Source: Exif 2.32, tag 274: 6 is a quarter turn
    assert (kept.width_px, kept.height_px) == shown.size == (200, 320)
    # Source: the same: row 0 of what was written stands at the right
    assert shown.getpixel((190, 160))[0] < 40 < shown.getpixel((10, 160))[0]
    assert kept_file(shop, TAG, kept.id)[1] == came


def test_marks_lie_beside_the_picture_and_come_away_again(shop):
    kept = picturing.take_in_pictures(shop, TAG, [("marks.jpg", photo(150))]).kept[0]
    before = hashlib.sha256(kept_file(shop, TAG, kept.id)[1]).hexdigest()
    picturing.draw_mark(shop, TAG, kept.id, RING)
    marked = picturing.set_scale(
        shop,
        TAG,
        kept.id,
        PictureScale(x1_ratio=0.0, y1_ratio=0.9, x2_ratio=1.0, y2_ratio=0.9, length_m=0.05, what="the rule"),
    )
    shown = picturing.shown_picture(shop, clock_page(shop, TAG), kept.id)

    assert marked.sha256 == before == hashlib.sha256(kept_file(shop, TAG, kept.id)[1]).hexdigest()
    assert "<circle" in shown.overlay
    # Derived: the roundest length under 0.32 of 50 mm
    assert shown.scale_words == "The bar is 10 mm, in the plane of the rule (50 mm)."
    picturing.take_mark_away(shop, TAG, kept.id)
    assert picturing.shown_picture(shop, clock_page(shop, TAG), kept.id).drawn_words == "a scale bar"
    with pytest.raises(RuleBroken, match="no mark"):
        picturing.take_mark_away(shop, TAG, kept.id)


def test_what_is_no_picture_is_named_and_the_rest_is_kept(shop):
    good, cut = photo(160), photo(170)
    kept = picturing.take_in_pictures(
        shop,
        TAG,
        [("good.jpg", good), ("words.jpg", b"not a picture"), ("cut.jpg", cut[: len(cut) // 2]), ("again.jpg", good)],
    )

    assert [one.name for one in kept.kept] == ["good.jpg"]
    assert [words.split(" ")[0] for words in kept.refused] == ["words.jpg", "cut.jpg", "again.jpg"]
    with pytest.raises(BadInput, match="nothing was kept"):
        picturing.take_in_pictures(shop, TAG, [("again.jpg", good)])


def test_before_and_after_stand_side_by_side_until_they_are_parted(shop):
    before = picturing.take_in_pictures(shop, TAG, [("before.jpg", photo(180))]).kept[0]
    after = picturing.take_in_pictures(shop, TAG, [("after.jpg", photo(185))], after_of=before.id).kept[0]

    assert [
        (one.picture.id, other.picture.id) for one, other in picturing.album(shop, clock_page(shop, TAG))["pairs"]
    ] == [(before.id, after.id)]
    with pytest.raises(RuleBroken, match="from before the work"):
        picturing.set_beside(shop, TAG, before.id, after.id)
    picturing.set_beside(shop, TAG, after.id, None)
    assert picturing.album(shop, clock_page(shop, TAG))["pairs"] == []


def test_a_picture_is_called_by_what_it_shows_and_never_by_its_file(shop):
    kept = picturing.take_in_pictures(shop, TAG, [("IMG_2041.jpg", photo(201))]).kept[0]
    unknown = picturing.shown_words(clock_page(shop, TAG), kept)
    finding = next(one for one in clock_page(shop, TAG).findings if one.component == "pivot" or one.of)
    picturing.lay_to_finding(shop, TAG, kept.id, finding.id)
    page = clock_page(shop, TAG)
    laid = picturing.shown_words(page, kept)
    picturing.call_it(shop, TAG, kept.id, "the scored pivot")
    page = clock_page(shop, TAG)
    named = next(one for one in page.attachments if one.id == kept.id)

    assert unknown == "Not said what it shows"
    assert laid.casefold() == part_words(finding.component, finding.of, finding.place).casefold()
    assert picturing.shown_words(page, named) == "The scored pivot"


def test_a_picture_of_no_finding_says_where_in_the_look_over_it_was_taken(shop):
    page = clock_page(shop, TAG)
    look = replace(page.look_overs[-1], begins_at=shop.now(), lasts_s=600.0, occasion="after stripping")
    page = replace(page, look_overs=(look,), findings=())
    taken = next(one for one in page.attachments if one.kind == "picture")

    def words(seconds):
        return picturing.shown_words(
            page, replace(taken, caption=None, taken_at=look.begins_at + timedelta(seconds=seconds))
        )

    assert words(62) == "Taken at 1:02 of “After stripping”"
    assert words(601) == "Not said what it shows"  # Derived: a second after its end.
