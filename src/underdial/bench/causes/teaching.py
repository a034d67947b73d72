"""What finished jobs teach a shop: what they would change is worked out and told first, and taken up only by somebody
with a name.

Version 0 is the program as delivered. A version is never changed: the newest is in use, going back adds one more that
is the same as an earlier. The numbers of an answer hang on the case and the version alone.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from underdial import __version__
from underdial.bench.causes.finished_jobs import job_from
from underdial.bench.shop import Shop, clock_page
from underdial.errors import NotFound, RuleBroken
from underdial.record.lesson import Lesson
from underdial.store.database import reading, writing
from underdial.store.lessons import Gone, gone_visits, newest_lesson, read_lessons, state_of_gone
from underdial.store.records import Writer, add
from underdial.store.worked_out import keep_answer, read_answer
from underdial.trade.faults import faults
from underdial.trade.phrases import clause

if TYPE_CHECKING:
    from underdial.diagnosis.learning import Change, Job, Version
    from underdial.diagnosis.question import Learned

# A chance that moves by less than this share of itself is told together with the others like it. [common practice]
_SMALL_STEP_RATIO = 0.10


@dataclass(frozen=True, slots=True)
class ChangeShown:
    """One change in words: the fault, what it would be instead of what it is, what stands behind it, and whether it is
    a small one.
    """

    fault: str
    said: str
    words: str
    behind: str
    small: bool


@dataclass(frozen=True, slots=True)
class Proposal:
    """What the finished jobs would change, as worked out: `key` names it, `numbers` are those of the version it would
    make.
    """

    key: str
    jobs_count: int
    stripped_count: int
    changes: tuple[ChangeShown, ...]
    left_out: tuple[tuple[str, str], ...]
    numbers: Mapping[str, Any]

    @property
    def empty(self) -> bool:
        """Whether nothing would change."""
        return not self.changes


@dataclass(frozen=True, slots=True)
class Taught:
    """Everything that is known of a shop's versions at one moment: those taken up, how many jobs wait to teach, and
    what they would change where that is worked out.
    """

    lessons: tuple[Lesson, ...]
    waiting_count: int
    proposal: Proposal | None

    @property
    def version_count(self) -> int:
        """The version whose numbers are in use."""
        return version_count_of(self.lessons[-1] if self.lessons else None)

    @property
    def to_go_back_to(self) -> tuple[int, ...]:
        """Versions with numbers of their own other than those in use, 0 as delivered."""
        own = [0, *(one.number_count for one in self.lessons if one.same_as_count is None)]
        return tuple(number for number in own if number != self.version_count)


def what_is_taught(shop: Shop) -> Taught:
    """The versions of a shop, and what waits."""
    with reading(shop.engine) as connection:
        lessons, gone = read_lessons(connection), state_of_gone(connection)
    lesson = lessons[-1] if lessons else None
    waiting_count = gone[0] - (len(lesson.jobs) if lesson is not None else 0)
    told = read_answer(shop.folder, _key(lesson, gone)) if waiting_count else None
    return Taught(lessons, waiting_count, None if told is None else _read_proposal(told))


def lesson_in_use(shop: Shop) -> Lesson | None:
    """The version in use; None is version 0, as delivered."""
    with reading(shop.engine) as connection:
        return newest_lesson(connection)


def version_count_of(lesson: Lesson | None) -> int:
    """The version whose numbers are in use."""
    return 0 if lesson is None else lesson.reckoned_by_count


def learned_of(lesson: Lesson | None) -> Learned | None:
    """A version as the sums take it; None for version 0."""
    if version_count_of(lesson) == 0 or lesson is None:
        return None
    from underdial.diagnosis.question import Learned

    return Learned(priors=dict(lesson.chances), sizes=dict(lesson.sizes))


def what_jobs_would_change(shop: Shop, *, progress: Callable[[float], None] | None = None) -> Proposal:
    """Work out what the finished jobs would change and keep it to be read; nothing of it is in use. A minute for twenty
    jobs.

    `progress` is told the part that is done; what it raises ends the work with nothing kept.
    """
    import numpy as np

    from underdial.diagnosis.learning import changed, learn

    with reading(shop.engine) as connection:
        lesson, gone, state = newest_lesson(connection), gone_visits(connection), state_of_gone(connection)
    waiting, key = _waiting(lesson, gone), _key(lesson, state)
    finished, tags = [], []
    for number, one in enumerate(waiting, 1):
        page = clock_page(shop, one.clock_id, visit_id=one.visit_id)
        finished.append(job_from(page))
        tags.append(page.clock.tag)
        if progress is not None:
            progress(0.1 * number / len(waiting))
    before = version_of(lesson)
    jobs = [one.job for one in finished]
    after = learn(
        before,
        jobs,
        np.random.default_rng(int(key[:16], 16)),
        progress=None if progress is None else lambda part: progress(0.1 + 0.9 * part),
    )
    told = {
        "key": key,
        "jobs_count": len(jobs),
        "stripped_count": sum(one.stripped for one in jobs),
        "changes": [_shown(one, jobs) for one in changed(before, after)],
        "left_out": [[tag, one.reason] for tag, one in zip(tags, finished, strict=True) if one.reason is not None],
        "numbers": _numbers(after),
    }
    keep_answer(shop.folder, key, told)
    return _read_proposal(told)


def take_up(shop: Shop, key: str, *, by: str, why: str | None = None) -> Lesson:
    """Take up what was worked out and told, as the next version; from now on every answer is reckoned with it.

    RuleBroken when something else was taken up since or it changes nothing, NotFound when it is not there any more.
    """
    told = read_answer(shop.folder, key)
    if told is None:
        raise NotFound(
            "proposal",
            key[:12],
            "what was worked out last",
            "proposal: this is not there any more; work out anew what the jobs would change.",
        )
    proposal = _read_proposal(told)
    if proposal.empty:
        raise RuleBroken(
            "proposal",
            "nothing",
            "at least one change",
            "proposal: these jobs change nothing, so there is nothing to take up.",
        )
    words = tuple(f"{one.said}. {one.words}" for one in proposal.changes if not one.small)
    small = sum(one.small for one in proposal.changes)
    words = (
        (
            *words,
            f"{small} smaller {'change' if small == 1 else 'changes'}, mostly of faults that were looked for and not "
            "there.",
        )
        if small
        else words
    )

    def next_one(lessons: tuple[Lesson, ...]) -> dict[str, Any]:
        if proposal.numbers["follows_count"] != len(lessons):
            raise RuleBroken(
                "proposal",
                key[:12],
                "worked out from the version in use",
                "proposal: another version was taken up since this was worked out; work it out anew.",
            )
        numbers = {name: value for name, value in proposal.numbers.items() if name != "follows_count"}
        return {**numbers, "jobs": tuple(numbers["jobs"]), "words": words}

    return _keep(shop, next_one, by=by, why=why)


def go_back(shop: Shop, number_count: int, *, by: str, why: str | None = None) -> Lesson:
    """Reckon with an earlier version again (0 as delivered); what was learned since stays readable and can be taken up
    again.
    """

    def next_one(lessons: tuple[Lesson, ...]) -> dict[str, Any]:
        wanted = next((one for one in lessons if one.number_count == number_count), None)
        if wanted is None and number_count != 0:
            raise NotFound(
                "version",
                number_count,
                f"0 to {len(lessons)}",
                f"version: there is no version {number_count} to go back to.",
            )
        same = 0 if wanted is None else wanted.reckoned_by_count
        if same == version_count_of(lessons[-1] if lessons else None):
            raise RuleBroken(
                "version",
                number_count,
                "another than the one in use",
                f"version: clocks are reckoned with version {same} already.",
            )
        words = {
            "words": ("as delivered" if same == 0 else f"the same numbers as version {same}",),
            "same_as_count": same,
        }
        if wanted is None:
            return words
        return {
            **words,
            "chances": wanted.chances,
            "sizes": wanted.sizes,
            "looked_count": wanted.looked_count,
            "size_chances": wanted.size_chances,
            "jobs": wanted.jobs,
        }

    return _keep(shop, next_one, by=by, why=why)


def version_of(lesson: Lesson | None) -> Version:
    """A kept version as the learning takes it."""
    from underdial.diagnosis.learning import Version

    if lesson is None:
        return Version()
    return Version(
        number=lesson.number_count,
        learned=learned_of(lesson) or Version().learned,
        jobs=lesson.jobs,
        parent=lesson.follows_count,
        looked_count=dict(lesson.looked_count),
        size_chances={fault: tuple(row) for fault, row in lesson.size_chances.items()},
    )


def _keep(
    shop: Shop, next_one: Callable[[tuple[Lesson, ...]], Mapping[str, Any]], *, by: str, why: str | None
) -> Lesson:
    """Add one version, in one transaction with the look at those before it."""
    name = by.strip()
    if not name:
        raise RuleBroken("by", "nobody", "a name", "by: a version is taken up by somebody; write a name.")
    writer = Writer(by=name, at=shop.now(), why=why)
    with writing(shop.engine) as connection:
        lessons = read_lessons(connection)
        number = len(lessons) + 1
        kept = Lesson(
            id=f"lesson-{number}",
            number_count=number,
            follows_count=number - 1,
            taken_up_at=writer.at,
            taken_up_by=name,
            why=why,
            **next_one(lessons),
        )
        add(connection, kept, writer)
    return kept


def _waiting(lesson: Lesson | None, gone: Sequence[Gone]) -> tuple[Gone, ...]:
    taught = set(lesson.jobs) if lesson is not None else set()
    return tuple(one for one in gone if one.job_id not in taught)


def _key(lesson: Lesson | None, state: tuple[int, ...]) -> str:
    asked = ["what finished jobs would change", __version__, 0 if lesson is None else lesson.number_count, state]
    return hashlib.sha256(json.dumps(asked).encode()).hexdigest()


def _numbers(after: Version) -> dict[str, Any]:
    return {
        "follows_count": after.parent,
        "chances": dict(after.learned.priors),
        "sizes": dict(after.learned.sizes),
        "looked_count": dict(after.looked_count),
        "size_chances": {fault: list(row) for fault, row in after.size_chances.items()},
        "jobs": list(after.jobs),
    }


def _read_proposal(told: Mapping[str, Any]) -> Proposal:
    return Proposal(
        told["key"],
        told["jobs_count"],
        told["stripped_count"],
        tuple(ChangeShown(**one) for one in told["changes"]),
        tuple((name, reason) for name, reason in told["left_out"]),
        told["numbers"],
    )


def _shown(one: Change, jobs: Sequence[Job]) -> dict[str, Any]:
    known = faults().get(one.fault)
    said = clause(known.component, known.condition) if known is not None else one.fault
    if one.what == "size":
        count = sum(one.fault in job.there for job in jobs)
        instead = "" if one.before == 1.0 else f", instead of {one.before:.2f} times"
        return {
            "fault": one.fault,
            "said": said,
            "words": f"Its effect: {one.after:.2f} times what was delivered{instead}.",
            "behind": f"there in {count} {'job' if count == 1 else 'jobs'}",
            "small": False,
        }
    seen = sum(one.fault in job.there for job in jobs if job.stripped)
    looked = seen + sum(one.fault in job.not_there for job in jobs if job.stripped)
    return {
        "fault": one.fault,
        "said": said,
        "words": f"In a clock brought in: {_chance(one.after)}, instead of {_chance(one.before)}.",
        "behind": f"there in {seen} of {looked} taken apart",
        "small": seen == 0 or abs(one.after / one.before - 1.0) < _SMALL_STEP_RATIO,
    }


def _chance(value: float) -> str:
    return f"{100 * value:.2g} in 100"
