"""What the owner says and wishes, and what was done to the clock before: facts, not findings.

A sentence belongs to the story when it tells what the owner says or wants, or - before the first part has been
looked at - how long the clock runs, what it gains, and when it was last worked on. What an owner says of the
present state of a part is left to the reader as a claim.

Never here: findings.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from underdial import spoken_numbers as numbers
from underdial.telling.heard import Facts
from underdial.telling.measurements import rates
from underdial.telling.speech import turns
from underdial.telling.speech.words import Word, raw_of, text_of

_PERIODS = {
    "second": 1,
    "seconds": 1,
    "minute": 60,
    "minutes": 60,
    "min": 60,
    "mins": 60,
    "hour": 3600,
    "hours": 3600,
    "day": 86400,
    "days": 86400,
    "week": 604800,
    "weeks": 604800,
    "month": 2592000,
    "months": 2592000,
}
# "One day and it stops"; before other words a day only says of which kind.
_BEHIND_A_DAY = ("and", "then", "or", "before", "at", "if", "but", "maybe", "no", "not", "so")
_RUNNING = re.compile(
    r"\b(?:runs?|ran|running|goes|go|going for|went|stops?|stopped|stopping|quits?|dies|lasts?|works?|ticks?|stands?"
    r"|keeps going|gives up|packs up|conks out)\b"
)
_WISHES = re.compile(
    r"\b(?:wants?|wanted|would like|would prefer|asked (?:me|for|that)|hopes?|does not want|do not want|not to (?:be"
    r"|smarten|touch|polish)|no matter what|leave the|leave it as|whatever i do|is not bothered|to be kept|shall not"
    r"|keep (?:the|it|to)|not bothered)\b"
)
# "Nineteen eighty-four", "twenty fifteen", "two thousand and three"; not "twenty-two thou" or "nineteen degrees".
_TEENS = r"(?:ten|eleven|twelve|\w+teen)"
_YEAR = (
    rf"nineteen (?:oh|hundred|{_TEENS}|twenty|thirty|forty|fifty|sixty|seventy|eighty|ninety)"
    rf"|twenty (?:oh|{_TEENS}|twenty)|(?:in|since|round|around|about) two thousand"
    rf"|two thousand(?: and)? (?:one|two|three|four|five|six|seven|eight|nine|{_TEENS})(?! hundred)"
)
_DONE = re.compile(
    r"\b(?:last (?:done|serviced|overhauled|cleaned|man|seen|had)|(?:years?|year) (?:ago|back)"
    r"|never (?:been )?(?:serviced|cleaned|touched|had)|serviced|overhauled|back in the|in the (?:nineteen )?\w+ties"
    rf"|{_YEAR}|had it (?:to bits|in|apart)|was in with|new \w+(?: \w+)? then|cleaned it"
    r"|got new|changed the|oiled it|put \w+ \w+ oil in)\b"
)
_OWNER_WORD = re.compile(
    r"\b(?:owner|customer|client|lady|gentleman|he|she|they|her|his|guy|woman|husband|wife|grandson|aunt|mrs|mr)\b"
)
_HEADINGS = frozenset(
    (
        "owner",
        "complaint",
        "owner says",
        "history",
        "customer",
        "client",
        "the owner",
        "the complaint",
        "customer says",
        "story",
    )
)


class OwnerStory:
    """Collects the story; `hear` says whether a sentence was all story."""

    def __init__(self) -> None:
        self.facts = Facts()
        self._under_heading = False
        self._told_at = -9
        self._lines = 0

    def hear(self, sentence: Sequence[Word], index: int, *, before_findings: bool) -> bool:
        """Take in a sentence; True when it holds nothing for the reader of findings."""
        words = [word.text for word in sentence]
        text = " ".join(words)
        if text in _HEADINGS:
            self._under_heading = True
            return True
        owner_says = turns.says("owner", text)
        wish = (
            _WISHES.search(text) is not None
            and not re.match(
                r"^(?:and |but |so |well |then |now )*(?:it|that|this|these|those|they|the \w+|\w+ (?:hole|wheel"
                r"|pivot|spring|plate|hand)) (?:just |still |really |probably |only |all )?(?:wants?"
                r"|needs?)\b(?! (?:it|the clock|her|him|me|us) )",
                text,
            )
            and re.search(r"\bask (?:him|her|them|the owner|owner|the customer|whether|if)\b", text) is None
        )
        done = _DONE.search(text) is not None
        runs = _runs_for(words) if before_findings or owner_says or self._under_heading else None
        told = owner_says or self._under_heading or (before_findings and not rates.speaks_of_rate(text))
        rate = _rate(words) if told else None
        owned = _OWNER_WORD.search(text) is not None
        opening = before_findings or self._under_heading
        story = (
            owner_says
            or (opening and (wish or done or runs is not None or rate is not None))
            or (
                wish
                and re.search(
                    r"\b(?:owner|he|she|customer|they|lady) (?:wants?|would like|also wants|asked|is not bothered"
                    r"|hopes)\b",
                    text,
                )
                is not None
            )
        )
        if (
            opening
            and not story
            and owned
            and index - self._told_at <= 1
            and re.search(r"\b(?:he|she|they|his|her)\b", text)
        ):
            story = (
                re.search(r"\b(?:strikes?|chimes?|never|stops?|it will|it has been|father|husband|uncle)\b", text)
                is not None
            )
        if not story:
            if self._under_heading and not _names_only(text) and self._lines < 6:
                self._lines += 1
                self._keep(text, sentence, runs, rate, wish, done, index)
                return True
            self._under_heading = False
            return False
        self._keep(text, sentence, runs, rate, wish, done, index)
        return True

    def _keep(
        self,
        text: str,
        sentence: Sequence[Word],
        runs: float | None,
        rate: float | None,
        wish: bool,
        done: bool,
        index: int,
    ) -> None:
        again = re.search(r"\b(?:call it|so)\b", text) is not None
        if runs is not None and (self.facts.runs_for_s is None or (again and index - self._told_at <= 2)):
            self.facts.runs_for_s = runs
        if rate is not None and self.facts.rate_s_per_day is None:
            self.facts.rate_s_per_day = rate
        said = raw_of(sentence)
        if wish and runs is None:
            self.facts.owner_requests.append(said)
        told = [piece for piece in _pieces(sentence) if done and _DONE.search(text_of(piece))]
        self.facts.last_done += [raw_of(piece) for piece in told]
        if (not wish and not done) or runs is not None or rate is not None:
            rest = [piece for piece in _pieces(sentence) if piece not in told] if told else []
            self.facts.words.append("; ".join(raw_of(piece) for piece in rest) if rest else said if not told else "")
            self.facts.words = [words for words in self.facts.words if words]
        self._told_at = index


def _pieces(sentence: Sequence[Word]) -> list[tuple[Word, ...]]:
    """The stretches of a sentence between its commas and its "and", so that a complaint and a history said in one
    breath part.
    """
    pieces: list[tuple[Word, ...]] = []
    held: list[Word] = []
    for at, word in enumerate(sentence):
        if (
            held
            and word.text in ("and", "but")
            and at + 1 < len(sentence)
            and sentence[at + 1].text
            in ("it", "he", "she", "they", "was", "last", "had", "now", "then", "since", "i", "the")
        ):
            pieces.append(tuple(held))
            held = []
            continue
        held.append(word)
        if word.stop == ",":
            pieces.append(tuple(held))
            held = []
    return [*pieces, tuple(held)] if held else pieces


def _names_only(text: str) -> bool:
    return len(text.split()) <= 2


def _runs_for(words: list[str]) -> float | None:
    """The first period of a sentence that tells how long the clock goes, in seconds."""
    text = " ".join(words)
    if not _RUNNING.search(text) and not re.match(r"^(?:so |call it |about )", text):
        return None
    for at in range(len(words)):
        spoken = numbers.read(words, at)
        value, end = _how_many(words, at, spoken)
        if not value or end >= len(words):
            continue
        second = numbers.read(words, end + 1) if words[end] in ("or", "to") else None
        if second is not None and second.end < len(words) and words[second.end] in _PERIODS:
            return value * _PERIODS[words[second.end]]
        if spoken is not None and (
            words[end : end + 3] == ["of", "an", "hour"] or words[end : end + 2] in (["an", "hour"], ["a", "hour"])
        ):
            return value * _PERIODS["hour"]
        if words[end] in _PERIODS and not _is_no_running_time(words, at, end, value, counted=spoken is not None):
            return value * _PERIODS[words[end]]
    return None


def _how_many(words: Sequence[str], at: int, spoken: numbers.Spoken | None) -> tuple[float, int]:
    """How many of a period are said from a word on, and the place behind it; 0 for no number."""
    if list(words[at : at + 3]) == ["a", "couple", "of"]:
        return 2.0, at + 3
    if list(words[at : at + 2]) == ["couple", "of"]:
        return 2.0, at + 2
    if spoken is not None:
        return spoken.value, spoken.end
    if words[at] in ("a", "an") or list(words[at : at + 2]) == ["the", "week"]:
        return 1.0, at + 1
    return 0.0, at


def _is_no_running_time(words: Sequence[str], at: int, end: int, value: float, *, counted: bool) -> bool:
    """ "Ten minutes a day" is a rate, "eight day clock" a kind, "every two hours" and "years" no running time."""
    period, following = words[end], " ".join(words[end + 1 : end + 3])
    one = words[at] in ("a", "an")
    return (
        re.match(r"^(?:a|per|the|each|every|in a) (?:day|week|hour|month)", following) is not None
        or (period in ("day", "second", "hour", "week") and counted and value > 1)
        or following.startswith(("ago", "back", "old", "late", "slow", "fast"))
        or " ".join(words[max(0, at - 2) : at]).endswith("every")
        or (one and period in ("second", "minute", "month"))
        or (period == "day" and counted and end + 1 < len(words) and words[end + 1] not in _BEHIND_A_DAY)
        or (one and at > 0 and words[at - 1] in ("minutes", "seconds", "times", "once", "twice"))
    )


def _rate(words: list[str]) -> float | None:
    """Seconds a day, gaining positive, from "loses ten minutes a day" and its like."""
    text = " ".join(words)
    for at in range(len(words)):
        spoken = numbers.read(words, at)
        half = re.match(r"^an? (second|minute) and a half (?:a|per) (day|week)\b", " ".join(words[at : at + 7]))
        if half:
            size = {"s": 1.5, "m": 90.0}[half[1][0]] / {"day": 1.0, "week": 7.0}[half[2]]
            return -size if re.search(r"\b(?:slow|los\w+|behind)\b", text) else size
        if spoken is None:
            continue
        match = re.match(
            r"^(seconds?|minutes?|hours?) (?:a|per|the|each|every|in a|in the) (day|week|hour|month)\b",
            " ".join(words[spoken.end : spoken.end + 4]),
        )
        if match:
            size = {"s": 1.0, "m": 60.0, "h": 3600.0}[match[1][0]] / {
                "day": 1.0,
                "week": 7.0,
                "hour": 1 / 24,
                "month": 30.0,
            }[match[2]]
            slow = re.search(r"\b(?:slow|los\w+|behind)\b", text)
            fast = re.search(r"\b(?:fast|gain\w*|ahead|wins?)\b", text)
            if slow or fast:
                return round(
                    spoken.value
                    * size
                    * (-1 if slow and not (fast and text.index(fast[0]) < text.index(slow[0])) else 1),
                    3,
                )
    return None
