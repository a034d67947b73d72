"""People at the counter: looked up, not entered twice, named for a clock, and erased after being asked twice."""

import re

import pytest

from underdial.bench.counter.people import find_people
from underdial.bench.shop import clock_page


def received(client, **told):
    answer = client.post("/receive", data={"name": "Carriage clock", **told}, follow_redirects=False)
    return answer, answer.headers.get("location", "").split("/")[2] if answer.status_code == 303 else None


def people_called(client, name):
    return find_people(client.app.state.shop, name)


def test_a_person_is_looked_up_with_their_clocks(client):
    _, tag = received(client, owner="Ottoline Farrow", telephone="01632 960123")

    for search in ("ottoline", "01632 960123", "(01632) 96 01 23"):
        found = client.get("/people", params={"search": search}).text
        assert "Ottoline Farrow" in found
        assert f"Carriage clock, ticket {tag}" in found
    assert "Nobody here answers to" in client.get("/people", params={"search": "zzz"}).text
    assert '<a class="button" href="/people">People</a>' in client.get("/").text
    assert 'href="/people"' in client.get("/receive").text


def test_the_same_owner_is_asked_about_and_not_entered_twice(client):
    received(client, owner="Barnaby Thole", telephone="01632 960200")
    before = len(people_called(client, "barnaby thole"))
    answer, _ = received(client, owner="barnaby  thole", words="it stops", danger="mercury")
    (known,) = people_called(client, "barnaby thole")
    _, tag = received(client, owner="barnaby thole", person=known.id)

    assert answer.status_code == 409  # Derived: asked again, nothing done.
    assert "Is it one of these?" in answer.text
    assert "it stops" in answer.text
    assert f'value="{known.id}" checked' in answer.text
    assert (before, len(people_called(client, "barnaby thole"))) == (1, 1)
    assert clock_page(client.app.state.shop, tag).people[known.id].telephone == "01632 960200"


def test_another_of_the_same_name_is_another_and_a_telephone_finds_a_new_name(client):
    received(client, owner="Winifred Ash", telephone="01632 960300")
    other, _ = received(client, owner="Winifred Ash", person="new", telephone="01632 960301")
    married, _ = received(client, owner="Winifred Oak", telephone="01632-960300")

    assert other.status_code == 303  # Source: RFC 9110, see other.
    assert len(people_called(client, "winifred ash")) == 2
    assert "Winifred Ash" in married.text


def test_somebody_known_is_received_from_without_typing_them_again(client):
    received(client, owner="Jasper Nook")
    (known,) = people_called(client, "jasper nook")
    page = client.get("/receive", params={"person": known.id}).text
    _, tag = received(client, person=known.id)

    assert "Receive a clock from Jasper Nook" in page
    assert list(clock_page(client.app.state.shop, tag).people) == [known.id]
    assert client.get("/receive", params={"person": "nobody"}).status_code == 404


def test_somebody_known_is_named_for_a_clock_and_a_known_name_is_not_written_anew(client):
    received(client, owner="Lavinia Moss")
    _, tag = received(client, owner="Piers Elder")
    (known,) = people_called(client, "lavinia moss")
    anew = client.post(f"/clock/{tag}/people", data={"name": "Lavinia Moss", "part": "pays"})
    nothing = client.post(f"/clock/{tag}/people/known/{known.id}")
    client.post(f"/clock/{tag}/people/known/{known.id}", data={"part": ["pays", "may_collect"]})
    client.post(f"/clock/{tag}/people/known/{known.id}", data={"part": ["pays"]})
    another = client.post(f"/clock/{tag}/people", data={"name": "Lavinia Moss", "part": "pays", "another": "yes"})
    parts = [one.part for one in clock_page(client.app.state.shop, tag).parts if one.person_id == known.id]

    # Derived: a rule broken, nothing ticked, and back to the page (web.app.STATUSES).
    assert (anew.status_code, nothing.status_code, another.status_code) == (409, 422, 200)
    assert "is known here" in anew.text
    assert parts == ["pays", "may_collect"]


def test_erasing_asks_twice_and_says_what_was_done(client):
    _, tag = received(
        client, owner="Cosmo Thistledown", telephone="01632 960400", words="Cosmo Thistledown’s aunt says"
    )
    (known,) = people_called(client, "thistledown")
    at = f"/people/{known.id}/erase"
    here = client.get(at).text
    client.post(f"/clock/{tag}/by-mistake", data={"why": "never came"})
    first = client.get(at).text
    second = client.post(f"{at}/sure", data={"why": "by letter", "also": "Thistledown"})
    wrong = client.post(at, data={"why": "by letter", "name": "Cosmo"})
    done = client.post(at, data={"why": "by letter", "also": "Thistledown", "name": "Cosmo Thistledown"})

    assert "Their clock is here" in here
    assert "Go on to the last question" not in here
    assert "Go on to the last question" in first
    assert "Erase Cosmo Thistledown for good?" in second.text
    assert "“Thistledown” in 1 record" in second.text
    assert wrong.status_code == 409  # Derived: a rule broken.
    assert "nothing was erased" in wrong.text
    assert done.status_code == 200
    assert known.id in done.text
    assert people_called(client, "thistledown") == ()
    assert "Thistledown" not in client.get(f"/clock/{tag}/owner").text
    assert "Erased because they asked" in client.get(f"/people/{known.id}").text


def test_a_form_that_was_answered_by_a_question_can_be_sent_again(client):
    received(client, owner="Edith Crane")
    word = re.search(r'name="once" value="([^"]+)"', client.get("/receive").text)[1]
    told = {"name": "Carriage clock", "owner": "Edith Crane", "once": word}
    answers = [client.post("/receive", data=told, headers={"accept": "text/html"}) for _ in range(2)]

    assert ["Is it one of these?" in one.text for one in answers] == [True, True]


@pytest.mark.parametrize("at", ["/people/nobody", "/people/nobody/erase"])
def test_nobody_is_said_to_be_nobody(client, at):
    assert client.get(at).status_code == 404


def test_the_list_of_a_name_looked_for_is_not_kept_on_the_tablet(client):
    assert "data-keep" in client.get("/").text
    assert "data-keep" not in client.get("/", params={"search": "Treddle"}).text
