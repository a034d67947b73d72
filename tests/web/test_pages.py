"""The pages as they are answered: what they say, what they refuse, and that nothing is half done."""

import io
import re

import pytest
from fastapi.testclient import TestClient

from underdial.bench.demo import open_demo
from underdial.web.app import STATUSES, create_app
from underdial.web.sheet import SECTIONS

OK, SEE_OTHER, FORBIDDEN, NOT_FOUND, CONFLICT, UNPROCESSABLE, TOO_LARGE_DISK = 200, 303, 403, 404, 409, 422, 507


def test_the_list_names_every_clock_and_what_it_waits_for(client):
    text = client.get("/").text

    for words in (
        "Drum timepiece, eight days",
        "Oona Treddle",
        "Slate mantel clock",
        "Oak longcase",
        "held: see why before anything is done",
    ):
        assert words in text


def test_the_day_a_clock_is_needed_by_is_written_in_words(client):
    assert re.search(r"needed by \d{1,2} [A-Z][a-z]+ \d{4}<", client.get("/").text)


def test_search_finds_by_owner_and_says_when_nothing_answers(client):
    assert "Slate mantel clock" in client.get("/?search=wexcombe").text
    assert "No clock answers to" in client.get("/?search=zzz").text


@pytest.mark.parametrize("section", SECTIONS)
@pytest.mark.parametrize("tag", ["31", "32", "33"])
def test_every_page_of_every_clock_opens_with_a_sentence(client, tag, section):
    answer = client.get(f"/clock/{tag}/{section}")

    assert answer.status_code == OK
    assert re.search(r"<h1>\s*\S", answer.text)
    assert "None" not in re.sub(r"<[^>]*>", " ", answer.text).replace("None of these", "")


def test_a_clock_opens_where_its_job_stands(client):
    answer = client.get("/clock/31", follow_redirects=False)

    assert answer.status_code == SEE_OTHER
    assert answer.headers["location"].startswith("/clock/31/")


@pytest.mark.parametrize(
    ("path", "status"),
    [
        ("/clock/99/findings", NOT_FOUND),
        ("/clock/31/nonsense", NOT_FOUND),
        ("/nowhere", NOT_FOUND),
        ("/clock/31/papers/nonsense.pdf", UNPROCESSABLE),
        ("/clock/31/file/none", NOT_FOUND),
        ("/?first=-1", UNPROCESSABLE),
    ],
)
def test_what_is_not_there_is_said_in_one_sentence(client, path, status):
    answer = client.get(path)

    assert answer.status_code == status
    assert "That was not done." in answer.text
    assert "Traceback" not in answer.text


def test_a_stranger_by_another_name_is_not_answered(client):
    assert client.get("/", headers={"host": "evil.example"}).status_code == FORBIDDEN
    assert (
        client.post("/lamp", data={"lamp": "day"}, headers={"origin": "http://evil.example"}).status_code == FORBIDDEN
    )


def test_a_page_that_hides_where_it_is_from_changes_nothing(client):
    answer = client.post("/lamp", data={"lamp": "day"}, headers={"origin": "null"})

    assert answer.status_code == FORBIDDEN
    assert "only from a page of this shop" in answer.text
    assert (
        client.post(
            "/lamp", data={"lamp": "day"}, headers={"origin": "http://testserver"}, follow_redirects=False
        ).status_code
        == SEE_OTHER
    )


@pytest.mark.parametrize(
    ("host", "status"),
    [
        ("192.168.1.20:8080", OK),
        ("[fd00::20]:8080", OK),
        ("bench-two:8080", OK),
        ("Bench-Two.local", OK),
        ("127.0.0.1", OK),
        ("evil.example:8080", FORBIDDEN),
        ("192.168.1.20.evil.example", FORBIDDEN),
        ("local.evil.example", FORBIDDEN),
        ("", FORBIDDEN),
    ],
)
def test_on_the_network_only_numbers_and_near_names_are_answered(demo_folder, host, status):
    near = TestClient(create_app(open_demo(demo_folder), lan=True))

    assert near.get("/", headers={"host": host}).status_code == status


def test_every_page_forbids_other_hosts(client):
    policy = client.get("/").headers["content-security-policy"]

    assert "default-src 'self'" in policy


def test_captions_become_findings_that_wait(client):
    tag = (
        client.post(
            "/receive",
            data={"name": "A clock for a test", "family": "english_longcase", "owner": "A Tester"},
            follow_redirects=False,
        )
        .headers["location"]
        .split("/")[2]
    )
    words = (
        "WEBVTT\n\n00:01.000 --> 00:05.000\nThe third wheel, back hole is badly worn.\n\n00:06.000 --> "
        "00:09.000\nMainspring is good, no cracks.\n"
    )
    answer = client.post(f"/clock/{tag}/as-found", files={"file": ("talk.vtt", io.BytesIO(words.encode()), "text/vtt")})

    assert answer.status_code == OK
    assert "wait to be read through" in answer.text
    assert "The back pivot hole of the third wheel is" in answer.text


@pytest.mark.parametrize("content", [b"\x89PNG\r\n\x1a\n\x00\x00", b"", b"just some words of nothing"])
def test_a_file_that_is_no_captions_leaves_nothing_behind(client, content):
    before = client.get("/clock/31/as-found").text
    answer = client.post(
        "/clock/31/as-found", files={"file": ("odd.bin", io.BytesIO(content), "application/octet-stream")}
    )

    assert answer.status_code == UNPROCESSABLE
    assert "That was not done." in answer.text
    assert _but_the_time(client.get("/clock/31/as-found").text) == _but_the_time(before)


def _but_the_time(text):
    """A page without the minute it was made in and without the word of its forms."""
    return re.sub(r"kept \d\d:\d\d|name=\"once\" value=\"[^\"]*\"", "", text)


def test_a_finding_is_written_accepted_and_rejected(client):
    written = client.post("/clock/31/findings", data={"component": "Gong", "condition": "cracked"})

    assert "The gong is cracked." in written.text
    finding = re.search(r'/clock/31/findings/([\w-]+)/accept"><button class="main"', written.text).group(1)
    assert client.post(f"/clock/31/findings/{finding}/accept").status_code == OK
    other = re.search(r"/clock/31/findings/([\w-]+)/reject", client.get("/clock/31/findings").text).group(1)
    assert "rejected" in client.post(f"/clock/31/findings/{other}/reject").text
    assert client.post(f"/clock/31/findings/{other}/ponder").status_code == NOT_FOUND


@pytest.mark.parametrize(
    ("address", "data"),
    [
        ("findings", {"component": " ", "condition": "worn"}),
        ("measurements", {"quantity": "half_arc", "value": "many"}),
        ("owner", {"words": "x", "runs_for": "soon"}),
        ("movement", {"family": "english_longcase", "train": "96/8 64/8 60/8", "escape": ""}),
        ("measurements", {"quantity": "half_arc", "value": ""}),
        ("measurements", {"quantity": "love", "value": "1", "unit": "deg"}),
        ("measurements", {"quantity": "half arc", "value": "2", "unit": "mm"}),
        ("measurements", {"quantity": "half arc", "value": "nan", "unit": "deg"}),
        ("owner", {"runs_for": "-3"}),
        ("owner", {"rate_s_per_day": "999999999"}),
        ("movement", {"train": "foo", "escape": "30"}),
        ("movement", {"train": "96/8 64/8", "escape": "-4"}),
        ("findings", {"component": "pivot hole", "condition": " "}),
    ],
)
def test_bad_input_is_named_and_nothing_is_written(client, address, data):
    before = client.get(f"/clock/32/{address}").text
    answer = client.post(f"/clock/32/{address}", data=data)

    assert answer.status_code == UNPROCESSABLE
    assert client.get(f"/clock/32/{address}").text.split("kept")[0] == before.split("kept")[0]
    assert f'href="/clock/32/{address}">Back to where it was asked' in answer.text
    assert "_" not in re.search(r'class="wrong words">(.*?)</p>', answer.text).group(1)


def test_a_held_clock_is_shown_held_and_no_work_can_be_written(client):
    assert "do not agree" in client.get("/clock/33/received").text
    assert client.post("/clock/33/work", data={"line": "1"}).status_code == NOT_FOUND


def test_every_refusal_has_its_status():
    from underdial import errors

    kinds = {one for one in vars(errors).values() if isinstance(one, type) and issubclass(one, errors.UnderdialError)}

    assert kinds == set(STATUSES)


def test_lamp_and_hand_are_remembered(client):
    client.post("/lamp", data={"lamp": "night"})
    client.post("/hand", data={"hand": "left"})
    text = client.get("/clock/31/received").text

    assert 'data-lamp="night"' in text
    assert "left-hand" in text


def test_handbook_computes_and_refuses_out_of_range(client):
    assert "pendulum_length" in client.get("/handbook?search=pendulum+length").text
    # Source: trade rule L = g (3600/(pi N))^2: 134.7 mm for 9778 beats
    assert "0.134" in client.get("/handbook/pendulum_length?beats_per_hour=9778").text
    refused = client.get("/handbook/pendulum_length?beats_per_hour=-5")
    assert refused.status_code == OK
    assert 'role="alert"' in refused.text
    assert client.get("/handbook/no_such_formula").status_code == NOT_FOUND


def test_a_train_that_nobody_counted_is_said_to_be_that_of_its_kind_wherever_it_is_spoken_of(client):
    movement, listen = client.get("/clock/31/movement").text, client.get("/clock/31/listen").text
    beats = re.search(r"[\d ]+ beats an hour", movement).group().strip()

    assert "its own are not counted yet" in movement
    assert f"Clocks of its kind mostly make {beats}" in listen
    assert "Its own train is not counted yet" in listen


def test_the_train_stands_beside_its_drawing_as_a_table(client):
    rows = re.findall(r"<tr><td><strong>(.*?)</strong></td><td[^>]*>(.*?)</td>", client.get("/clock/32/movement").text)

    assert rows[0][0] == "Great wheel"
    assert rows[-1][0] == "Pendulum"
    assert all(re.fullmatch(r"\d+ (on \d+|teeth)|[\d ]+ beats an hour", counts) for _, counts in rows)


@pytest.mark.parametrize("name", ["bush", "pendulum", "runout"])
def test_a_sum_that_is_asked_for_with_nothing_written_says_what_is_wanted(client, name):
    fields = re.findall(r'<(?:input|textarea) id="f-[^"]+" name="([^"]+)"', client.get(f"/bench/{name}").text)
    empty = client.get(f"/bench/{name}?" + "&".join(f"{one}=" for one in fields))

    assert empty.status_code == UNPROCESSABLE
    assert 'role="alert"' in empty.text
    assert client.get(f"/bench/{name}").status_code == OK
