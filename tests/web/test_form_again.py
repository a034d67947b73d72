"""A refused form comes again with all that was typed, the sentence at its field; and a form sent twice is one deed."""

import html
import io
import re
import threading
from html.parser import HTMLParser
from urllib.parse import urlencode

import pytest

from underdial.bench.causes.agreeing import offer_choices
from underdial.bench.demo import open_demo
from underdial.bench.shop import clock_page, in_the_shop
from underdial.bench.sums.forms_of_trains import SUMS
from underdial.record.choice import Choice, PlannedWork
from underdial.web.sheet import SECTIONS

SEE_OTHER, FIRST_REFUSED, UNPROCESSABLE, CONFLICT = 303, 400, 422, 409
AS_A_READER = {"accept": "text/html,application/xhtml+xml"}
STORY = "It stops at night.\nSince the move <to the hall> & “always” after the strike."


class Forms(HTMLParser):
    """The forms of a page that change something: address, and each field with what stands in it."""

    def __init__(self, page):
        super().__init__()
        self.forms, self.form, self.area, self.select = [], None, None, None
        self.feed(page)

    def handle_starttag(self, tag, attrs):
        told = dict(attrs)
        if tag == "form":
            self.form = {"action": told.get("action", ""), "fields": [], "posts": told.get("method") == "post"}
            if self.form["posts"]:
                self.forms.append(self.form)
        if self.form is None or ("name" not in told and tag != "option"):
            return
        kind = told.get("type", "text") if tag == "input" else tag
        if tag == "input" and kind in ("checkbox", "radio"):
            self.form["fields"].append([told["name"], told.get("value", "on"), kind, "checked" in told])
        elif tag == "input":
            self.form["fields"].append([told["name"], told.get("value") or "", kind, True])
        elif tag in ("select", "textarea"):
            self.form["fields"].append([told["name"], "", tag, True])
            self.area = self.form["fields"][-1] if tag == "textarea" else None
            self.select = [self.form["fields"][-1]] if tag == "select" else None
        elif tag == "option" and self.select:
            if "selected" in told or len(self.select) == 1:
                self.select[0][1] = told.get("value") or ""
            self.select.append(told.get("value") or "")

    def handle_data(self, data):
        if self.area is not None:
            self.area[1] += data

    def handle_endtag(self, tag):
        if tag == "textarea" and self.area is not None:
            self.area[1], self.area = self.area[1].removeprefix("\n"), None
        elif tag == "select":
            self.select = None
        elif tag == "form":
            self.form = None


def typed_into(form):
    """Odd words in every field that is written into, and every box ticked; what is picked from lists as it stands."""
    sent = []
    for name, value, kind, _ in form["fields"]:
        if kind == "file":
            continue
        if kind in ("text", "tel", "email", "date", "textarea", "datetime-local"):
            sent.append((name, f"odd “{name}” {len(sent)} <&>" + (f"\n{STORY}" if kind == "textarea" else "")))
        elif kind in ("hidden", "select", "checkbox", "radio"):
            sent.append((name, value))
    return sent


def shown_in(page, action, sent):
    """What the form of this address holds: of several the one that holds most of what was sent."""
    held = [
        [(name, value.replace("\r\n", "\n")) for name, value, kind, on in one["fields"] if on or kind == "text"]
        for one in Forms(page).forms
        if one["action"] == action
    ]
    return max(held, key=lambda one: len(set(one) & set(sent)), default=[])


def send(client, action, sent, asked_on, **more):
    body = urlencode(sent)
    headers = {"content-type": "application/x-www-form-urlencoded", "referer": f"http://testserver{asked_on}"}
    return client.post(action, content=body, headers={**AS_A_READER, **headers, **more}, follow_redirects=False)


@pytest.fixture(scope="module")
def demo_folder(tmp_path_factory):
    """A demo shop of this module's own: some of what is written here is taken."""
    folder = tmp_path_factory.mktemp("forms")
    open_demo(folder)
    return folder


@pytest.fixture(scope="module")
def offered(demo_folder):
    """Choices to answer, so that the form of an answer stands on Agreed."""
    shop = open_demo(demo_folder)
    works = tuple(
        PlannedWork(line=str(k), work=work, component="pivot_hole", of="third_wheel", words=f"{work} it")
        for k, work in enumerate(("bush", "clean", "polish"))
    )
    offer_choices(shop, "31", [Choice(title="Leave it as it is"), Choice(title="Put right: pivot hole", works=works)])
    shop.engine.dispose()


PAGES = [*(f"/clock/31/{one}" for one in (*SECTIONS, "listen")), "/receive", "/recorders"]


@pytest.mark.parametrize("address", PAGES)
def test_no_form_loses_what_was_typed_when_it_is_refused(client, offered, address):
    refused_count = 0
    for form in Forms(client.get(address).text).forms:
        sent = typed_into(form)
        written = [one for one in sent if one[1].startswith("odd ")]
        # A deed without a field has nothing to lose; a form of films asks for a file first.
        if not written or form["action"].endswith(("/as-found", "/pictures")):
            continue
        answer = send(client, form["action"], sent, address)
        if answer.status_code < FIRST_REFUSED:
            continue
        refused_count += 1
        held = shown_in(answer.text, form["action"], sent)
        lost = [one for one in sent if one not in held and one[0] != "once"]

        assert not lost, (form["action"], re.findall(r'id="refused"[^>]*>(.*?)</p>', answer.text))
        # Derived: one sentence for one refusal
        assert answer.text.count('id="refused"') == 1
        assert "That was not done." not in answer.text

    if address.endswith(("/owner", "/measurements", "/movement", "/agreed", "/receive", "/recorders")):
        assert refused_count > 0 or address.endswith("/receive")


def test_the_sentence_stands_at_its_field_and_the_page_opens_there(client):
    page = client.get("/clock/31/owner").text
    form = next(one for one in Forms(page).forms if one["action"] == "/clock/31/owner")
    sent = [(name, value) for name, value, _, _ in form["fields"]]
    told = dict(sent) | {"words": STORY, "rate_s_per_day": "4 parsecs", "noise": "a creak"}
    answer = send(client, "/clock/31/owner", list(told.items()), "/clock/31/owner")
    at = answer.text.split('<label for="rate_s_per_day">')[1].split("</div>")[0]

    assert answer.status_code == UNPROCESSABLE
    assert "4 parsecs is no number" in at
    assert 'value="4 parsecs"' in at
    assert 'aria-invalid="true"' in at
    assert "autofocus" in at
    assert html.escape(STORY) in answer.text
    # What is asked seldom is folded in; a field in it that was written is there again.
    assert 'value="a creak"' in answer.text


def test_a_folded_form_comes_open_and_of_many_the_one_that_was_sent(client, offered):
    page = client.get("/clock/31/agreed").text
    form = next(one for one in Forms(page).forms if any(field[0] == "yes" for field in one["fields"]))
    hidden = {name: value for name, value, kind, _ in form["fields"] if kind in ("hidden", "select")}
    before = clock_page(client.app.state.shop, "31").consents
    sent = [*hidden.items(), ("yes", "0"), ("yes", "2"), ("words", "Do it, please."), ("ceiling", "four hundred")]
    answer = send(client, "/clock/31/agreed", [*sent, ("answer", "yes")], "/clock/31/agreed")
    part = answer.text.split("four hundred is no number")[0].rsplit("<details", 1)[1]

    assert answer.status_code == UNPROCESSABLE
    assert part.startswith(" open")
    assert re.findall(r'name="yes" value="(\d)" checked', answer.text) == ["0", "2"]
    assert "Do it, please.</textarea>" in answer.text
    assert clock_page(client.app.state.shop, "31").consents == before


def test_a_refused_form_is_refused_again_from_where_it_stands_now(client):
    sent = [("name", "A Tester"), ("address", "Nowhere"), ("telephone", "12")]
    first = send(client, "/clock/31/people", sent, "/clock/31/received")
    second = send(client, "/clock/31/people", sent, "/clock/31/people")

    assert [one.status_code for one in (first, second)] == [UNPROCESSABLE, UNPROCESSABLE]
    assert all("say what A Tester does" in one.text and 'value="A Tester"' in one.text for one in (first, second))


def test_keeping_a_figure_keeps_the_page_of_the_sum(client):
    typed = urlencode(SUMS["bush"].example)
    size = re.search(r'<select id="size".*?value="([^"]+)"', client.get(f"/bench/bush?{typed}").text).group(1)
    sent = {"typed": typed, "ticket": "no such", "size": size, "of": "third wheel", "how": "plan", "allowed_off": "1"}
    for asked in (f"/bench/bush?{typed}", "/bench/bush/keep"):
        answer = send(client, "/bench/bush/keep", list(sent.items()), asked)

        assert answer.status_code >= FIRST_REFUSED
        assert "Keep a figure with a clock" in answer.text
        assert set(sent.items()) <= set(shown_in(answer.text, "/bench/bush/keep", list(sent.items())))


def test_a_refused_picture_leads_back_to_the_pictures(client):
    answer = client.post(
        "/clock/31/pictures",
        files={"files": ("odd.jpg", io.BytesIO(b"no picture"), "image/jpeg")},
        headers={**AS_A_READER, "referer": "http://testserver/clock/31/as-found"},
    )
    if answer.status_code >= FIRST_REFUSED:
        assert "Pick the file once more" in answer.text
    assert "/clock/31/as-found" in answer.text


def test_a_script_and_a_page_that_is_gone_are_told_on_a_page_with_a_way_back(client):
    alone = client.post("/clock/31/people", data={"name": "A Tester"})
    gone = send(client, "/clock/31/work", [("line", "none"), ("why", "bushed it")], "/clock/31/work")

    for answer, section in ((alone, "received"), (gone, "work")):
        assert "That was not done." in answer.text
        assert f'href="/clock/31/{section}">Back to where it was asked' in answer.text
    assert "bushed it" in gone.text


def clocks(folder):
    return in_the_shop(open_demo(folder), search="Sent twice", first_count=0, most_count=50).all_count


def test_a_form_that_is_sent_twice_makes_one_clock_and_one_that_was_changed_another(client, demo_folder):
    word = re.search(r'name="once" value="([^"]+)"', client.get("/receive").text).group(1)
    answers = []

    def receive(name):
        answers.append(send(client, "/receive", [("name", name), ("once", word)], "/receive"))

    threads = [threading.Thread(target=receive, args=("Sent twice",)) for _ in range(3)]
    for one in threads:
        one.start()
    for one in threads:
        one.join()
    once = clocks(demo_folder)
    receive("Sent twice, changed")

    assert {one.status_code for one in answers} == {SEE_OTHER}
    assert len({one.headers["location"] for one in answers[:3]}) == 1  # Derived: three answers lead to one clock
    assert (once, clocks(demo_folder)) == (1, 2)


def test_what_was_refused_may_be_sent_again_with_the_same_word(client, demo_folder):
    before = len(clock_page(open_demo(demo_folder), "33").measurements)
    sent = [("quantity", "half arc"), ("value", "2.25"), ("once", "a-word-of-a-page")]
    first = send(client, "/clock/33/measurements", [*sent, ("unit", "mm")], "/clock/33/measurements")
    second = send(client, "/clock/33/measurements", [*sent, ("unit", "mm")], "/clock/33/measurements")
    third = send(client, "/clock/33/measurements", [*sent, ("unit", "deg")], "/clock/33/measurements")

    assert [first.status_code, second.status_code, third.status_code] == [UNPROCESSABLE, UNPROCESSABLE, SEE_OTHER]
    # Derived: one reading was kept
    assert len(clock_page(open_demo(demo_folder), "33").measurements) == before + 1


def test_every_form_that_changes_something_carries_a_word_of_its_page(client):
    for address in PAGES:
        for form in Forms(client.get(address).text).forms:
            assert [one for one in form["fields"] if one[0] == "once"], (address, form["action"])


def test_a_script_may_send_the_same_form_again_from_one_page(client, demo_folder):
    told = {"quantity": "half arc", "value": "2.125", "unit": "deg", "once": "a-word-of-a-script"}
    before = len(clock_page(open_demo(demo_folder), "33").measurements)
    for _ in range(2):
        assert client.post("/clock/33/measurements", data=told, follow_redirects=False).status_code == SEE_OTHER

    # Derived: two readings were kept
    assert len(clock_page(open_demo(demo_folder), "33").measurements) == before + 2
