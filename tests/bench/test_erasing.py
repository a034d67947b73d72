"""Erasing a person who asks for it: out of the records, the history and the disk; what the law keeps stays."""

import sqlite3
import zipfile
from contextlib import closing

import pytest

from tests.bench.erased import EMAIL, NAME, NOON, STORY, TALES, TELEPHONE, sent_home, with_hester
from underdial.bench.as_found.looking import add_finding
from underdial.bench.counter import erasing, receiving
from underdial.bench.counter.holding import set_hold
from underdial.bench.counter.people import find_people, people_alike, write_person
from underdial.bench.keeping import backup_shop, check_shop, restore_shop
from underdial.bench.rounds.counting_hours import start_hours, stop_hours
from underdial.bench.shop import clock_page, history_of, job, open_shop
from underdial.bench.shown.sent_papers import keep_sent, sent_pdf
from underdial.errors import BadInput, MachineRefused, NotFound, RuleBroken
from underdial.record.clock import Clock
from underdial.record.credit import Credit, CreditLine
from underdial.record.finding import Finding
from underdial.record.hold import Hold
from underdial.record.people import Person
from underdial.record.visit import Visit
from underdial.store.database import reading, writing


def erased(shop, *, files=True, **more):
    person_id, voice = with_hester(shop)
    sent_home(shop, person_id)
    given = {"name": NAME, "why": "the owner, by letter", "also": ("Quillfeather",), **more}
    said = erasing.erase_person(shop, person_id, files=(f"drum/{voice.id}",) if files else (), **given)
    return person_id, voice, said


def on_the_disk(shop):
    """Every byte of every file of the shop's folder, one after the other."""
    return b"\n".join(one.read_bytes() for one in shop.folder.rglob("*") if one.is_file())


def all_text(shop):
    page = clock_page(shop, "drum")
    return f"{page.clock} {page.visit} {page.people} {page.findings} {page.attachments} {history_of(shop, 'drum')}"


def test_nothing_of_them_is_left_in_records_history_or_on_the_disk_but_the_invoice(shop):
    person_id, _, _ = erased(shop)
    page = clock_page(shop, "drum")
    with reading(shop.engine) as connection:
        of_person = connection.exec_driver_sql(
            "select coalesce(before,'') || coalesce(after,'') || coalesce(why,'') from history where record = 'person'"
        ).scalars()
        told = " ".join(of_person)
    rest = on_the_disk(shop).decode("utf-8", "replace")
    # The invoice, in its record and in the history, is all that names them.
    rest = rest.replace('Hester Quillfeather","4 Larkspur Row', "")

    assert page.people[person_id].name == erasing.erasing.ERASED_NAME
    without_bills = " ".join(str(one) for one in history_of(shop, "drum") if one.record != "bill")
    for tale in TALES:
        assert tale.casefold() not in told.casefold()
        assert tale.casefold() not in without_bills.casefold()
        assert tale.casefold() not in rest.casefold(), tale
    assert page.bills[0].to == (NAME, "4 Larkspur Row")


def test_the_clock_keeps_its_condition_and_its_history_and_the_shop_is_sound(shop):
    person_id, voice, said = erased(shop)
    page, events = clock_page(shop, "drum"), history_of(shop, "drum")

    assert check_shop(shop) == {"verdict": "sound", "problems": [], "warnings": [], "sources": []}
    assert [one.component for one in page.findings] == ["crutch"]
    assert page.clock.name == "[erased]’s drum timepiece"
    assert page.visit.complaint.words == "[erased] says it stops"
    assert page.findings[0].note == "so the owner, Mrs [erased], was told"
    assert page.visit.collected_by == person_id
    assert [one.deed for one in events if one.record == "clock"] == ["added"]
    assert "invoice 1" in " ".join(said)
    assert person_id in " ".join(said)
    file = page.attachments[0]
    assert (file.id, file.kind, file.name, file.caption, file.set_aside) == (voice.id, "other", "[erased]", None, True)


def test_one_event_says_who_did_it_and_why_and_the_guard_of_the_history_stands_again(shop):
    person_id, _, _ = erased(shop)
    with reading(shop.engine) as connection:
        deeds = connection.exec_driver_sql(
            f"select deed, by, why from history where record_id = '{person_id}' order by number"
        ).all()

    assert [one[0] for one in deeds] == ["added", "changed", "erased"]
    assert deeds[-1][1:] == ("repairer", "the owner, by letter (kept: invoice 1)")
    for said in ("update history set why = 'x'", "delete from history"):
        with pytest.raises(RuleBroken, match="the history is only added to"), writing(shop.engine) as connection:
            connection.exec_driver_sql(said)


def test_a_file_that_was_not_chosen_stays_with_its_bytes(shop):
    erased(shop, files=False)

    assert STORY in on_the_disk(shop)
    assert clock_page(shop, "drum").attachments[0].kind == "sound"
    assert clock_page(shop, "drum").attachments[0].name == "[erased].wav"


def test_it_is_asked_for_twice_and_refused_while_something_is_open(shop):
    person_id, _ = with_hester(shop)
    with pytest.raises(RuleBroken, match="Their clock is here"):
        erasing.erase_person(shop, person_id, name=NAME, why="asked")
    sent_home(shop, person_id)
    set_hold(shop, "drum", Hold(reason="dispute", why="a claim", forbids=("release",), since=NOON))
    with pytest.raises(RuleBroken, match="A hold stands"):
        erasing.erase_person(shop, person_id, name=NAME, why="asked")
    for name, why, said in ((None, "asked", "not the name"), (NAME, " ", "why"), (NAME, f"{NAME} asked", "why")):
        with pytest.raises((RuleBroken, BadInput), match=said):
            erasing.erase_person(shop, person_id, name=name or "Hester", why=why)
    with pytest.raises(BadInput, match="too short"):
        erasing.erase_person(shop, person_id, name=NAME, why="asked", also=("Qu",))
    with pytest.raises(NotFound):
        erasing.what_goes(shop, "nobody")

    assert clock_page(shop, "drum").people[person_id].email == EMAIL


def test_what_would_go_is_told_first_and_changes_nothing(shop):
    person_id, voice = with_hester(shop)
    receiving.receive_clock(
        shop, Clock(tag="other", name="A clock seen at Hester Quillfeather"), Visit(received_at=NOON)
    )
    before = all_text(shop)
    goes = erasing.what_goes(shop, person_id, ("Quillfeather",))

    assert dict(goes.words)[NAME] == 3  # Derived: the clock, the visit, the file; the invoice is not counted.
    assert dict(goes.words)["Quillfeather"] == 4  # Derived: those, and the finding.
    assert [one.named for one in goes.files] == [f"drum/{voice.id}"]
    assert (goes.invoices, goes.elsewhere) == (("invoice 1",), ("other",))
    assert all_text(shop) == before


def test_they_are_found_no_more_and_stay_erased(shop):
    person_id, _, _ = erased(shop)

    assert find_people(shop, "") == find_people(shop, "quill") == find_people(shop, "erased") == ()
    with pytest.raises(RuleBroken, match="stay so"):
        write_person(shop, "drum", person_id, {"name": NAME}, ("owns", "brings", "pays"))
    again = erasing.erase_person(shop, person_id, name="", why="the old backup was restored")
    assert again[0].startswith("Erased")
    assert check_shop(shop)["verdict"] == "sound"


def test_an_old_backup_holds_them_and_a_new_one_does_not(shop, tmp_path):
    person_id, _ = with_hester(shop)
    sent_home(shop, person_id)
    backup_shop(shop, tmp_path / "old.zip")
    erasing.erase_person(shop, person_id, name=NAME, why="asked", also=("Quillfeather",))
    backup_shop(shop, tmp_path / "new.zip")
    restore_shop(tmp_path / "old.zip", tmp_path / "again")
    restored = open_shop(tmp_path / "again")

    with zipfile.ZipFile(tmp_path / "new.zip") as new:
        assert TELEPHONE.encode() not in new.read("shop.sqlite")
    assert find_people(restored, "Quillfeather")[0].id == person_id
    erasing.erase_person(restored, person_id, name=NAME, why="asked; restored from a backup of before")
    assert find_people(restored, "Quillfeather") == ()
    restored.engine.dispose()


def test_a_cut_before_the_bytes_are_gone_is_made_good_by_the_next(shop, monkeypatch):
    from underdial.store import erasing as stored

    person_id, voice = with_hester(shop)
    sent_home(shop, person_id)
    monkeypatch.setattr(stored, "clear_erased", lambda *_: None)
    erasing.erase_person(shop, person_id, name=NAME, why="asked", files=(f"drum/{voice.id}",))
    assert STORY in on_the_disk(shop)
    monkeypatch.undo()
    erasing.erase_person(shop, person_id, name="", why="once more, after a cut")

    assert STORY not in on_the_disk(shop)
    assert check_shop(shop)["verdict"] == "sound"


def test_a_name_alone_is_struck_only_as_it_is_written(shop):
    receiving.receive_clock(
        shop,
        Clock(tag="rose", name="Timing rose clock", signed="Rose"),
        Visit(received_at=NOON),
        ((Person(name="Rose"), ("brings",)),),
    )
    (one,) = find_people(shop, "rose")
    sent_home(shop, one.id, "rose")
    erasing.erase_person(shop, one.id, name="Rose", why="asked")

    assert clock_page(shop, "rose").clock.name == "Timing rose clock"
    assert clock_page(shop, "rose").clock.signed == "[erased]"


def test_a_telephone_is_struck_however_it_is_spaced_and_a_day_is_none(shop):
    person_id, _ = with_hester(shop)
    told = "ring 01632-960001, 01632960001, +44 (0)1632 960 001 or 0044 1632 960001; not 01632 960002; 3 springs"
    add_finding(shop, "drum", Finding(component="crutch", condition="bent", state="present", note=told))
    sent_home(shop, person_id)
    erasing.erase_person(shop, person_id, name=NAME, why="asked", also=("2026",))
    page = clock_page(shop, "drum")

    struck = "ring [erased], [erased], [erased] or [erased]; not 01632 960002; 3 springs"
    assert page.findings[-1].note == struck
    assert page.visit.received_at == NOON


@pytest.mark.parametrize(("name", "address"), [("Wu", "4 Larkspur Row"), ("Hester Wu", "12\nLarkspur Row")])
def test_a_short_name_and_a_house_number_by_itself_stand_in_nobodys_way(shop, name, address):
    owner = Person(name=name, address=address)
    receiving.receive_clock(
        shop, Clock(tag="wu", name=f"Clock 12 of {name}"), Visit(received_at=NOON), ((owner, ("brings",)),)
    )
    (one,) = find_people(shop, name)
    sent_home(shop, one.id, "wu")
    erasing.erase_person(shop, one.id, name=name, why="asked")

    assert clock_page(shop, "wu").clock.name == "Clock 12 of [erased]"


def test_a_word_that_the_record_needs_is_named_and_nothing_is_erased(shop):
    person_id, _ = with_hester(shop)
    start_hours(shop, "drum", how="said")
    stop_hours(shop, "drum")
    sent_home(shop, person_id)
    with pytest.raises(BadInput, match=r"also: said is a word that the record itself needs"):
        erasing.erase_person(shop, person_id, name=NAME, why="asked", also=("said",))

    assert find_people(shop, NAME)[0].email == EMAIL


def test_while_somebody_reads_it_is_not_said_to_be_off_the_disk(shop):
    person_id, _ = with_hester(shop)
    sent_home(shop, person_id)
    with closing(sqlite3.connect(shop.folder / "shop.sqlite")) as reader:
        reader.execute("begin")
        reader.execute("select count(*) from person").fetchone()
        with pytest.raises(MachineRefused, match="still lie in the database"):
            erasing.erase_person(shop, person_id, name=NAME, why="asked")
    erasing.erase_person(shop, person_id, name=NAME, why="asked")

    assert TELEPHONE.encode() not in on_the_disk(shop)


def test_without_a_file_chosen_no_file_is_laid_down_that_nothing_names(shop):
    erased(shop, files=False)

    assert check_shop(shop) == {"verdict": "sound", "problems": [], "warnings": [], "sources": []}


def test_people_are_alike_by_name_or_by_telephone_however_it_is_spaced(shop):
    with_hester(shop)

    assert [one.name for one in people_alike(shop, " hester  quillfeather ")] == [NAME]
    for number in ("(01632) 96 00 01", "+44 1632 960001", "01632-960-001"):
        assert [one.name for one in people_alike(shop, "Somebody", number)] == [NAME]
    assert people_alike(shop, "Hester") == people_alike(shop, "", "") == people_alike(shop, "x", "0163") == ()


def test_a_clock_that_comes_again_comes_without_who_was_erased(shop):
    person_id, _, _ = erased(shop)
    receiving.receive_again(shop, "drum", Visit(received_at=shop.now()))

    assert clock_page(shop, "drum").parts == ()
    with pytest.raises(RuleBroken, match="name them anew"):
        receiving.receive_clock(
            shop,
            Clock(tag="two", name="clock"),
            Visit(received_at=NOON),
            ((Person(name="x", id=person_id), ("owns",)),),
        )


def test_what_was_issued_is_kept_with_its_file_a_kept_letter_may_be_chosen(shop):
    person_id, _ = with_hester(shop)
    bill = clock_page(shop, "drum").bills[0]
    back = CreditLine(line_count=1, words="oiled", part="crutch", credited=bill.lines[0].charged)
    with job(shop, "drum", by="repairer") as at:
        at.add(
            Credit(
                number_count=1,
                bill_id=bill.id,
                bill_number_count=1,
                issued_at=NOON,
                issued_by="repairer",
                why="not done",
                lines=(back,),
                to=bill.to,
                visit_id=at.visit_id,
            )
        )
    for kind, number in (("invoice", 1), ("credit", 1), ("letter", None)):
        keep_sent(shop, "drum", f"{kind} to {NAME}".encode(), kind, number=number)
    sent_home(shop, person_id)

    goes = erasing.what_goes(shop, person_id)

    papers = [one.words.split(": ")[1].split(",")[0] for one in goes.files if one.words.startswith("paper")]
    assert papers == ["letter"]
    assert goes.invoices == ("invoice 1", "credit note 1")
    invoice = next(one for one in clock_page(shop, "drum").attachments if one.caption == "invoice 1")
    with pytest.raises(BadInput, match="is an issued invoice 1, which is kept"):
        erasing.erase_person(shop, person_id, files=(f"drum/{invoice.id}",), name=NAME, why="the owner, by letter")
    erasing.erase_person(shop, person_id, files=(), name=NAME, why="the owner, by letter")
    page = clock_page(shop, "drum")
    assert page.bills[0].to == page.credits[0].to == (NAME, "4 Larkspur Row")
    assert sent_pdf(shop, page, "invoice", 1) == f"invoice to {NAME}".encode()
