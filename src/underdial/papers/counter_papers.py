"""Papers at the counter: the receipt at the beginning, the note of release at the end, and the notice in between."""

from __future__ import annotations

from underdial.papers.blocks import Block, Caution, Facts, Letterhead, Paper, Rows, Signatures, Words
from underdial.papers.choice_words import owner_work_words
from underdial.papers.dossier import Dossier, who
from underdial.papers.sentences import finding_sentence, sum_words
from underdial.record.as_left import left_as_it_is
from underdial.record.custody import lent_to_clock
from underdial.record.handing_out import verdict_sentence
from underdial.record.hold import forbidden
from underdial.record.money import total
from underdial.record.people import Person
from underdial.record.work import left_to_do
from underdial.trade.phrases import part_words

_DAY = "%-d %B %Y"


def receipt(dossier: Dossier) -> Paper:
    """What was taken in, from whom and for what, with which parts, in what state, and what happens next."""
    visit, clock = dossier.visit, dossier.clock
    said = visit.complaint.words
    pairs = [
        ("Clock", clock.name),
        ("Received", f"{visit.received_at:{_DAY}}"),
        ("Shop", "\n".join(shop_lines(dossier))),
        ("Brought by", _brought_by(dossier)),
        ("Belongs to", _names(dossier, "owns")),
        ("Came", visit.arrived_as.replace("_", " ")),
        ("Reason", f"“{said}”" if said else visit.reason or "not written down"),
        ("State at the counter", visit.condition_on_arrival or "see the condition record"),
    ]
    blocks: list[Block] = [Facts("", tuple(pairs))]
    if visit.handed_over:
        blocks.append(
            Rows(
                "Parts handed over",
                ("part", "how many", "state"),
                tuple(
                    (
                        one.called,
                        str(one.how_many_count),
                        one.status.replace("_", " ") + (f"; {one.note}" if one.note else ""),
                    )
                    for one in visit.handed_over
                ),
                (2, 1, 3),
            )
        )
    else:
        blocks.append(Words("Parts handed over", ("Nothing loose came with it.",)))
    blocks.append(
        Words(
            "What happens next",
            (
                visit.next_step
                or "The clock is looked over; then you have a letter with what was found and your choices. Nothing "
                "is altered before you say yes.",
                *((dossier.shop.law_words,) if dossier.shop.law_words else ()),
            ),
        )
    )
    blocks += [Caution("before_step", one) for one in dossier.counter_cautions[:2]]
    blocks.append(Signatures(("For the shop", "Brought by")))
    return _paper(dossier, "receipt", "Receipt", "One copy stays with you.", blocks)


def release_note(dossier: Dossier) -> Paper:
    """What goes out, to whom, in what state; says so plainly when it may not go."""
    standing = forbidden(dossier.holds)
    lent = lent_to_clock(dossier.custody)
    blocks: list[Block] = []
    if "release" in standing:
        blocks.append(Caution("stop", f"Not to be handed over: {standing['release'].why.rstrip('.')}."))
    if lent:
        blocks.append(
            Caution("stop", f"Still on the clock and ours: {', '.join(one.what for one in lent)}. Off before it goes.")
        )
    blocks.append(
        Facts(
            "",
            (
                ("Clock", dossier.clock.name),
                (
                    "May be fetched by",
                    ", ".join(dict.fromkeys([*who(dossier, "may_collect"), *who(dossier, "owns")]))
                    or "not written down",
                ),
                ("Gone", _went(dossier)),
                ("Tested", verdict_sentence(dossier.visit, dossier.proofs)),
            ),
        )
    )
    done = tuple(
        f"{_upper(part_words(one.component, one.of, one.place))}: {owner_work_words(dossier, one.work)}."
        for one in dossier.works
    ) or ("Nothing was altered.",)
    blocks.append(Words("Work done", done))
    left = tuple(finding_sentence(one) for one in left_as_it_is(dossier.findings, dossier.works))
    waiting = tuple(
        f"Agreed, and not written down as done: {part_words(line.component, line.of, line.place)}: "
        f"{owner_work_words(dossier, line.work)}."
        for line in left_to_do(dossier.consents, dossier.works)
    )
    blocks.append(Words("Left as it is", (*left, *waiting) or ("Nothing that was found.",)))
    blocks.append(Words("Shown at the counter", ("How it is wound, set to time and put in beat; how it is moved.",)))
    blocks.append(Signatures(("For the shop", "Received by")))
    return _paper(dossier, "release", "Note of release", "What goes home, and in what state.", blocks)


def notice(dossier: Dossier) -> Paper:
    """That the clock is ready, or why it waits, or when it went home; never to anybody but those who may hear of it."""
    visit = dossier.visit
    part = "owns" if who(dossier, "owns") else "brings"
    names = " and ".join(who(dossier, part)) or "owner"
    head: list[Block] = [letterhead(dossier, part)]
    if visit.stage == "gone":
        home = f"Your clock ({dossier.clock.name}, ticket {dossier.clock.tag}) is no longer with us: it went home"
        when = f" on {visit.gone_at:{_DAY}}." if visit.gone_at else "."
        return _paper(dossier, "notice", "Notice", "", [*head, Words("", (f"Dear {names},", home + when))])
    ready = visit.stage == "ready"
    rows = [
        f"Dear {names},",
        f"Your clock ({dossier.clock.name}, ticket {dossier.clock.tag}) is "
        f"{'ready to be fetched' if ready else 'still with us'}.",
    ]
    if visit.promised:
        rows.append(f"It was promised for {visit.promised.on:{_DAY}}.")
    waiting = [one for one in dossier.custody if one.kind in ("on_order", "sent_out") and one.back_at is None]
    rows += [f"We wait for {one.what}" + (f", due {one.due.on:{_DAY}}." if one.due else ".") for one in waiting]
    if ready and (due := [one.charged for one in dossier.works if one.charged]):
        rows.append(f"To pay: {sum_words(total(tuple(due), currency=dossier.shop.currency))}.")
    rows.append("Tell us if your address or telephone has changed.")
    return _paper(dossier, "notice", "Notice", "", [*head, Words("", tuple(rows))])


def _went(dossier: Dossier) -> str:
    visit, who_came = dossier.visit, dossier.people.get(dossier.visit.collected_by or "")
    return (
        "not yet"
        if visit.gone_at is None
        else f"{visit.gone_at:{_DAY}}" + (f", collected by {who_came.name}" if who_came else "")
    )


def people_of(dossier: Dossier, part: str) -> tuple[Person, ...]:
    """The people who play a part at this visit."""
    return tuple(
        dossier.people[one.person_id]
        for one in dossier.parts_played
        if one.part == part and not one.ended and one.person_id in dossier.people
    )


def address_lines(person: Person) -> tuple[str, ...]:
    """The lines of somebody's address; none when none is known."""
    return tuple(line.strip() for line in (person.address or "").splitlines() if line.strip())


def shop_lines(dossier: Dossier) -> tuple[str, ...]:
    """The shop's name, address and telephone, a line each."""
    telephone = (f"Telephone {dossier.shop.telephone}",) if dossier.shop.telephone else ()
    return (dossier.shop.name, *dossier.shop.address, *telephone)


def letterhead(dossier: Dossier, part: str) -> Letterhead:
    """The head of what is sent to those who play a part: an address only where it goes to one person."""
    named = people_of(dossier, part)
    to = (named[0].name, *address_lines(named[0])) if len(named) == 1 else tuple(one.name for one in named)
    shop = dossier.shop
    sender = (shop.name, ", ".join(shop.address), f"Telephone {shop.telephone}" if shop.telephone else "")
    return Letterhead(tuple(one for one in sender if one), to, f"{dossier.today:{_DAY}}")


def _brought_by(dossier: Dossier) -> str:
    """Who brought it, with address and telephone where it was one person: the receipt goes to nobody else."""
    named = people_of(dossier, "brings")
    if len(named) != 1:
        return " and ".join(one.name for one in named) or "not written down"
    telephone = (f"Telephone {named[0].telephone}",) if named[0].telephone else ()
    return "\n".join((named[0].name, *address_lines(named[0]), *telephone))


def _names(dossier: Dossier, part: str) -> str:
    return " and ".join(who(dossier, part)) or "not written down"


def _paper(dossier: Dossier, kind: str, title: str, lead: str, blocks: list[Block]) -> Paper:
    return Paper(
        kind,
        title,
        lead,
        dossier.clock.tag,
        dossier.shop.name,
        dossier.clock.name,
        dossier.today.isoformat(),
        dossier.record_sha256,
        tuple(blocks),
    )


def _upper(words: str) -> str:
    return words[:1].upper() + words[1:]
