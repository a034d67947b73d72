"""Whether what was said has held: the chance stated before each test beside what the clock then did, over all finished
jobs.
"""

from __future__ import annotations

import hashlib
import json
import math
from dataclasses import dataclass

from underdial import __version__
from underdial.bench.causes.finished_jobs import what_was_seen
from underdial.bench.shop import Shop
from underdial.papers.agreement_figure import AgreementShown, ClassShown, agreement_scene
from underdial.papers.chances import CLOCKS_BEFORE_A_NUMBER, SCALE
from underdial.papers.scene import svg
from underdial.store.database import reading
from underdial.store.lessons import gone_visits, of_gone, state_of_gone
from underdial.store.worked_out import keep_answer, read_answer

# Counts further from what was said than this many standard deviations do not agree. [common practice: 95 in 100]
_FAR = 1.96
# What is read of a finished job, in the order `what_was_seen` takes it.
_KINDS = ("round", "choice", "consent", "proof")
_COUNTED = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")


@dataclass(frozen=True, slots=True)
class ClassRow:
    """One class of stated chances in words: the word of the scale, what it means, what was said on average (in 100),
    what happened, and how far that may lie off (in 100).
    """

    word: str
    meaning: str
    said: str
    happened: str
    interval: str


@dataclass(frozen=True, slots=True)
class Held:
    """Whether what was said has held, for a page: headline, what stands under it, the classes, and the picture (None
    while there is nothing to draw).
    """

    head: str
    under: str
    rows: tuple[ClassRow, ...]
    picture: str | None
    jobs_count: int
    told_count: int
    enough: bool


def how_it_held(shop: Shop) -> Held:
    """Stated against happened over the finished jobs of the shop; says so where they are too few to tell."""
    from underdial.diagnosis.learning import Job, reliability

    gone_count, pairs = _counted(shop)
    jobs = [Job(str(number), {}, stated_probability=said, ran_full=ran) for number, (said, ran) in enumerate(pairs)]
    said, ran, spread = (
        sum(p for p, _ in pairs),
        sum(went for _, went in pairs),
        math.sqrt(sum(p * (1.0 - p) for p, _ in pairs)),
    )
    enough = len(pairs) >= CLOCKS_BEFORE_A_NUMBER
    least = [low for low, _, _ in reversed(SCALE)]
    classes = reliability(jobs, least=least)
    rows, shown = [], []
    for one in classes:
        _, word, meaning = next(each for each in SCALE if one.said_probability >= each[0])
        rows.append(
            ClassRow(
                word,
                meaning,
                f"{100 * one.said_probability:.0f}",
                f"{one.ran_count} of {one.count}",
                f"{100 * one.seen_low_ratio:.0f} to {100 * one.seen_high_ratio:.0f}",
            )
        )
        shown.append(
            ClassShown(
                word,
                one.said_probability,
                one.seen_ratio,
                one.seen_low_ratio,
                one.seen_high_ratio,
                one.ran_count,
                one.count,
            )
        )
    head, under = _headline(len(pairs), said, ran, spread, enough), _under(gone_count, len(pairs))
    picture = svg(agreement_scene(AgreementShown(head, tuple(shown))), prefix="held") if shown else None
    return Held(head, under, tuple(reversed(rows)), picture, gone_count, len(pairs), enough)


def _counted(shop: Shop) -> tuple[int, list[tuple[float, bool]]]:
    """How many jobs are finished, and what was stated and seen of those that have both; from what was counted last,
    when nothing of it has changed.
    """
    with reading(shop.engine) as connection:
        state = state_of_gone(connection, *_KINDS)
        key = hashlib.sha256(json.dumps(["what was said and seen", __version__, state]).encode()).hexdigest()
        known = read_answer(shop.folder, key)
        if known is not None:
            return state[0], [(float(said), bool(ran)) for said, ran in known["pairs"]]
        gone = gone_visits(connection)
        rounds, choices, consents, proofs = (of_gone(connection, kind) for kind in _KINDS)
    seen = [what_was_seen(*(many.get(one.job_id, []) for many in (rounds, choices, consents, proofs))) for one in gone]
    pairs = [
        (one.stated_probability, one.ran_full)
        for one in seen
        if one.stated_probability is not None and one.ran_full is not None
    ]
    keep_answer(shop.folder, key, {"pairs": pairs})
    return state[0], pairs


def counted(count: int, one: str, many: str) -> str:
    """A count as it is read: `eleven jobs`, `one job`, `23 jobs`."""
    return f"{_COUNTED[count] if count < len(_COUNTED) else count} {one if count == 1 else many}"


def _headline(told_count: int, said: float, ran: int, spread: float, enough: bool) -> str:
    if told_count == 0:
        return "No finished job tells yet whether what is said holds."
    jobs = counted(told_count, "job", "jobs")
    if not enough:
        return f"{jobs[0].upper()}{jobs[1:]}; too few to tell."
    sums = f"Of {jobs}, {said:.0f} should have gone their full time; {ran} did."
    if abs(ran - said) <= _FAR * max(spread, 0.5):
        return f"{sums} What was said has held."
    return f"{sums} {'More' if ran > said else 'Fewer'} than was said, and by more than chance."


def _under(gone_count: int, told_count: int) -> str:
    if gone_count == 0:
        return "A job is finished when the clock has gone home. No clock has gone home yet."
    away = gone_count - told_count
    if told_count == 0:
        jobs = counted(away, "job is finished; it", "jobs are finished; they")
        return f"{jobs[0].upper()}{jobs[1:]} had no chance stated before a test, or no test that came to an end."
    without = (
        f" Beside {'it' if told_count == 1 else 'them'} {counted(away, 'job', 'jobs')} had no chance stated before a "
        "test, or no test that came to an end."
        if away
        else ""
    )
    told = (
        f"{counted(told_count, 'finished job', 'finished jobs')} had a chance stated before the test began and a "
        "test that came to an end."
    )
    return f"{told[0].upper()}{told[1:]}{without}"
