"""The owner's letter: words for somebody who has never seen inside a clock, dates that can be kept, and whose yes it
needs.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime
from typing import Any

import pytest

from underdial.papers.blocks import Figure, Letterhead, Marked, all_words
from underdial.papers.choice_words import answer_day, rate_over_wind_words, ready_words, too_late_words
from underdial.papers.dossier import Dossier, ShopName
from underdial.papers.letter import owner_letter
from underdial.record.aim import Aim
from underdial.record.choice import Choice, PlannedWork, PriceBand
from underdial.record.clock import Clock
from underdial.record.complaint import Complaint
from underdial.record.consent import Consent
from underdial.record.hold import Hold
from underdial.record.money import Day
from underdial.record.people import PartToPlay, Person
from underdial.record.visit import Visit

NOON = datetime(2026, 11, 30, 12, tzinfo=UTC)
ZONE = "Europe/London"


def day(month: int, number: int, year: int = 2026) -> Day:
    return Day(on=date(year, month, number), zone=ZONE)


LEAVE = Choice(title="Leave it as it is", runs_full_probability=0.05, answer_until=day(12, 28), computed_at=NOON)
BEND = Choice(
    title="Put right: minute hand",
    works=(PlannedWork(line="1", work="bend", component="minute_hand", words="bend the hand clear of the glass"),),
    price=PriceBand(low_minor=2000, likely_minor=3700, high_minor=5400, ceiling_minor=6500, currency="GBP"),
    earliest=day(12, 22),
    latest=day(1, 2, 2027),
    runs_full_probability=0.9,
    complaint_gone_probability=0.9,
    rate_low_s_per_day=-29.0,
    rate_high_s_per_day=44.0,
    answer_until=day(12, 28),
    computed_at=NOON,
)


def cause(**changes: Any) -> dict[str, Any]:
    given = {
        "title": "The lifting piece is tight",
        "sentence": "The lifting piece is tight: this takes 9 of the 95 µN m.",
        "to_owner": "The lifting piece is tight. This stops the clock shortly before the hour, as it lets off.",
        "acts_on": "stops",
        "necessary_probability": 0.65,
        "sufficient_probability": 0.9,
        "share_ratio": 0.5,
    }
    return {**given, **changes}


RACK = cause(
    title="The rack is sticking",
    to_owner="The rack is sticking. This would explain that it strikes the wrong count.",
    acts_on="strikes",
    necessary_probability=0.3,
)


def dossier(*, aim: Aim | None = None, owners: tuple[str, ...] = ("Oona Treddle",), **changes: Any) -> Dossier:
    people = {f"p{k}": Person(name=name, id=f"p{k}") for k, name in enumerate(owners)}
    given: dict[str, Any] = {
        "shop": ShopName(name="A shop", address=("The Old Forge", "Lower Tarrow")),
        "clock": Clock(tag="31", name="Drum timepiece"),
        "visit": Visit(received_at=NOON, complaint=Complaint(stops_at="same_dial_time"), aim=aim or Aim()),
        "today": NOON.date(),
        "record_sha256": "ab" * 32,
        "people": people,
        "parts_played": tuple(PartToPlay(person_id=one, part="owns") for one in people),
        "choices": (LEAVE, BEND),
        "diagnosis": {"causes": [cause(), RACK], "model_fits": True, "complaint_read_as": "stops"},
    }
    return Dossier(**{**given, **changes})


def said(**given: Any) -> str:
    return all_words(owner_letter(dossier(**given)))


def test_an_owner_reads_everyday_words_and_what_a_part_is() -> None:
    words = said()

    assert "This stops the clock shortly before the hour" in words
    assert "The lifting piece is the lever that lets off the strike." in words
    assert "µN m" not in words


def test_an_answer_kept_from_before_there_were_such_words_tells_what_was_found() -> None:
    old = {key: value for key, value in cause().items() if key not in ("to_owner", "acts_on")}
    words = said(diagnosis={"causes": [old], "model_fits": True, "complaint_read_as": "stops"})

    assert "\nThe lifting piece is tight.\n" in words
    assert "µN m" not in words


def test_a_fault_of_the_strike_is_not_said_to_stop_the_clock() -> None:
    lines = next(one.lines for one in owner_letter(dossier()).blocks if isinstance(one, Marked))

    assert [line[:2] for line in lines] == [("stops", "stops"), ("contributes", "spoils its striking")]
    assert "doubtful to strike as it should" in lines[1][3]


def test_what_the_rate_does_over_a_wind_is_not_told_as_a_rate_nor_of_a_choice_that_will_not_do() -> None:
    assert rate_over_wind_words(BEND) == (
        "what it gains or loses in a day should change by no more than about a minute from freshly wound to nearly run "
        "down"
    )
    assert rate_over_wind_words(replace(BEND, runs_full_probability=0.4)) is None
    assert rate_over_wind_words(replace(BEND, complaint_gone_probability=0.01)) is None
    assert "stay within" not in said()


@pytest.mark.parametrize(
    ("widest", "size"),
    # Derived: nearest step by its ratio; 44, 61 and 65 s are told alike, for the sums cannot tell them apart
    [(0.1, "5 seconds"), (44.0, "a minute"), (61.0, "a minute"), (65.0, "a minute"), (88.0, "2 minutes")],
)
def test_sizes_that_the_sums_cannot_tell_apart_are_told_alike(widest: float, size: str) -> None:
    assert f"about {size} from" in str(
        rate_over_wind_words(replace(BEND, rate_high_s_per_day=widest, rate_low_s_per_day=0.0))
    )


def test_a_repair_that_comes_too_late_is_named_and_the_answer_is_not_asked_for_after_the_day() -> None:
    words = said(aim=Aim(needed_by=day(12, 21)))

    assert "No repair can be ready by 21 December 2026." in words
    assert "Ready 22 December 2026 to 2 January 2027: not by 21 December 2026" in words
    assert "tell us that a later day will do" in words
    assert "your choice by 21 December 2026" in words


def test_the_answer_is_asked_for_while_there_is_still_time_for_the_work() -> None:
    needed = date(2026, 12, 24)
    late = replace(BEND, title="Overhaul", earliest=day(1, 7, 2027), latest=day(1, 26, 2027))

    # Derived: 22 days of work from 30 November, two days to spare before the 24th
    assert answer_day((LEAVE, BEND, late), needed, NOON.date()) == date(2026, 12, 2)
    assert answer_day((LEAVE, BEND), None, NOON.date()) == date(2026, 12, 28)  # Derived: the day of the choices
    # Derived: on 5 December the 24th cannot be kept any more, as if it never could be.
    assert answer_day((LEAVE, BEND), needed, date(2026, 12, 5)) == needed
    assert answer_day((LEAVE, BEND), None, date(2026, 12, 29)) is None
    assert too_late_words([("A", LEAVE), ("B", BEND), ("C", late)], needed) == "C cannot be ready by 24 December 2026."
    assert ready_words(BEND, needed).endswith("2027: by 24 December 2026 only if all goes well")
    assert ready_words(BEND, date(2027, 1, 2)) == "Ready 22 December 2026 to 2 January 2027"
    assert ready_words(LEAVE, needed) == "No waiting"


def test_owners_in_dispute_are_told_that_both_must_choose() -> None:
    dispute = Hold(reason="dispute", why="they do not agree", forbids=("alter", "release"), since=NOON)
    words = said(
        owners=("Hal Ormerod", "Wenna Ormerod"),
        holds=(dispute,),
        aim=Aim(wishes=("He wants it restored", "the case is not to be polished")),
    )

    assert "both of you must choose the same letter" in words
    assert "Hal Ormerod and Wenna Ormerod" in words
    assert "It is to run" not in words
    assert "No waiting" not in words
    assert "restored" not in words
    assert "the case is not to be polished" in words


def test_one_of_two_owners_who_may_instruct_answers_alone() -> None:
    parts = (*dossier(owners=("Hal", "Wenna")).parts_played, PartToPlay(person_id="p0", part="may_instruct"))

    assert "both of you" not in said(owners=("Hal", "Wenna"), parts_played=parts)
    assert "both of you" in said(owners=("Hal", "Wenna"))


@pytest.mark.parametrize(
    ("wish", "read_back"),
    [
        (
            "Owner wants the dial left alone and it must go back up",
            "you want “the dial left alone and it must go back up”",
        ),
        ("The customer doesn’t want it polished.", "you do not want “it polished”"),
        ("He'd like it to keep time", "you would like “it to keep time”"),
        ("Her mother's dial stays", "“Her mother's dial stays”"),
        ("the case is not to be polished", "them: the case is not to be polished."),
    ],
)
def test_wishes_are_read_back_to_the_one_who_has_them(wish: str, read_back: str) -> None:
    assert read_back in said(aim=Aim(wishes=(wish,)))


def test_the_shop_can_be_reached_and_prices_say_what_they_leave_out() -> None:
    words = said()

    assert "A shop\nThe Old Forge, Lower Tarrow" in words
    assert "by letter or in the shop" in words
    assert "telephone" in said(shop=ShopName(name="A shop", address=("The Old Forge",), telephone="01632 960 111"))
    assert words.count("without parts") == 1
    assert not [one for one in owner_letter(dossier()).blocks if isinstance(one, Figure)]


def test_the_days_of_a_choice_count_from_the_day_of_the_letter_until_an_answer_came() -> None:
    later = date(2026, 12, 10)
    yes = Consent(choice_id="c", person_id="p0", channel="letter", words="yes", given_at=NOON, lines=())

    # Derived: laid out on 30 November and printed ten days on: 22 December + 10, 2 January + 10.
    assert "Ready 1 January to 12 January 2027" in said(today=later)
    assert "Ready 22 December 2026 to 2 January 2027" in said(today=later, consents=(yes,))
    # Derived: after ten days there is no time left to be ready by the 24th; the answer is asked for by the 28th.
    words = said(today=later, aim=Aim(needed_by=day(12, 24)))
    assert "No repair can be ready by 24 December 2026." in words


def test_what_is_done_is_told_in_everyday_words_and_parts_are_said_once_at_the_end() -> None:
    work = PlannedWork(
        line="1",
        work="rak_08_re_form",
        component="rack_spring",
        words="form the rack spring afresh",
        irreversible="form the rack spring afresh",
    )
    words = said(choices=(LEAVE, replace(BEND, works=(work,), irreversible=("form the rack spring afresh",))))

    assert "rack spring: give it its shape again." in words
    assert "form the rack spring afresh" not in words
    assert "Of the parts that are named, the rack spring is the spring that lets the counting piece" in words
    # A part that is told of among what is wrong is not told of twice.
    assert words.count("the lever that lets off the strike") == 1


def test_the_letter_says_who_writes_to_whom_on_which_day_and_gives_no_address_of_one_to_another() -> None:
    one = Person(name="Oona Treddle", address="Mill House\nTarrow", id="p0")
    head = owner_letter(dossier(people={"p0": one})).blocks[0]
    both = owner_letter(dossier(owners=("Oona Treddle", "Hal Pike"))).blocks[0]

    assert head == Letterhead(
        ("A shop", "The Old Forge, Lower Tarrow"), ("Oona Treddle", "Mill House", "Tarrow"), "30 November 2026"
    )
    assert isinstance(both, Letterhead)
    assert both.to == ("Oona Treddle", "Hal Pike")


def test_a_letter_without_choices_asks_for_none_and_speaks_of_no_price() -> None:
    words = said(choices=(), diagnosis=None)

    assert "There is nothing to choose yet. Nothing is altered before you say yes." in words
    assert "Each price" not in words
    assert "How we word chances" not in words
    assert "letter of your choice" not in words
