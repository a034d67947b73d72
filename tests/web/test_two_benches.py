"""Two people at two tablets write over the same thing: the second is told, and neither loses a word."""

import re

import pytest
from fastapi.testclient import TestClient

from underdial.bench.demo import open_demo
from underdial.bench.shop import clock_page
from underdial.web.app import create_app

OK, CONFLICT = 200, 409


@pytest.fixture
def shop(tmp_path):
    return open_demo(tmp_path)


@pytest.fixture
def tablet(shop):
    return TestClient(create_app(shop), raise_server_exceptions=False)


def version_on(tablet, page, address):
    """The version that a form of a page carries."""
    form = tablet.get(page).text.split(f'action="{address}">')[1].split("</form>")[0]
    return re.search(r'name="version" value="(\d+)"', form).group(1)


@pytest.fixture
def person_id(shop):
    return next(iter(clock_page(shop, "31").people))


@pytest.fixture
def finding_id(shop):
    return next(one.id for one in clock_page(shop, "31").findings if one.standing == "heard")


@pytest.mark.parametrize(
    ("page", "address", "first", "second"),
    [
        ("owner", "owner", {"words": "It stops at night."}, {"words": "It stops when the door is shut."}),
        (
            "owner",
            "aim",
            {"what": "to_run", "wishes": "a quiet tick"},
            {"what": "to_be_shown", "wishes": "no polish on the case"},
        ),
        (
            "movement",
            "movement",
            {"family": "french_drum"},
            {"train": "96/8 64/8 60/8", "escape": "30", "power": "weight", "oscillator": "pendulum"},
        ),
        (
            "received",
            "people/{person}",
            {"name": "Ida Quillfeather", "part": "owns"},
            {"name": "Ida Quillfeather", "part": "owns", "address": "2 Mill Row"},
        ),
        ("findings", "findings/{finding}/correct", {"condition": "loose"}, {"condition": "cracked"}),
    ],
)
def test_what_another_changed_meanwhile_is_not_written_over(
    tablet, shop, person_id, finding_id, page, address, first, second
):
    address = f"/clock/31/{address}".format(person=person_id, finding=finding_id)
    families = re.findall(r'<option value="(\w+)">', tablet.get("/clock/31/movement").text)
    first = {name: families[0] if name == "family" else words for name, words in first.items()}
    read = version_on(tablet, f"/clock/31/{page}", address)
    went = tablet.post(address, data={**first, "version": read})
    kept = clock_page(shop, "31").record_sha256
    refused = tablet.post(address, data={**second, "version": read})

    assert went.status_code == OK
    assert refused.status_code == CONFLICT
    assert "was changed by somebody else" in refused.text
    assert [words for words in second.values() if words.replace("_", " ") not in refused.text] == []
    assert clock_page(shop, "31").record_sha256 == kept
    if page != "findings":
        assert (
            tablet.post(
                address, data={**second, "version": version_on(tablet, f"/clock/31/{page}", address)}
            ).status_code
            == OK
        )
        assert clock_page(shop, "31").record_sha256 != kept


def test_a_form_without_a_version_still_writes(tablet, shop):
    answer = tablet.post("/clock/31/aim", data={"what": "to_be_shown"})

    assert answer.status_code == OK
    assert clock_page(shop, "31").visit.aim.what == "to_be_shown"
