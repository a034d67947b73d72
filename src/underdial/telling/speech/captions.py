"""Captions and transcripts to cues: WebVTT, SubRip, plain text with or without times.

A cue keeps its words and the seconds between which they were said. What is wrong with a file but does not stop
it from being read (times that run backwards, a line of another language, a time that cannot be read) becomes
one sentence in `warnings`; the rest is kept. Text that is no captions at all is refused.

Never here: opening a file. Formats: W3C, WebVTT: The Web Video Text Tracks Format (2019), sections 4 and 6;
SubRip as written by its own and other programs (index line, comma before the milliseconds).
"""

from __future__ import annotations

import html
import re
from dataclasses import dataclass

from underdial.errors import BadInput
from underdial.telling.speech.languages import is_clearly_english, language_of, speaks

_CLOCK = r"(?:(\d{1,3}):)?(\d{1,2}):(\d{1,2})(?:[.,](\d{1,3}))?"
_TIMING = re.compile(rf"^\s*{_CLOCK}\s*-{{1,2}}>\s*{_CLOCK}(?:\s+(.*))?$")
# Behind a time that no bracket closes a number would belong to it.
_LEADING = re.compile(rf"^\s*[\[(]?\s*{_CLOCK}\s*(?:[\])]\s*(?:[-–:]\s+)?|(?:[-–:]\s+)?(?:(?=[^\d\s])|$))")
_TAG = re.compile(r"<[^<>\n]{0,200}>|\{\\[^{}\n]{0,80}\}")
_VOICE = re.compile(r"<v(?:\.[^\s>]*)?\s+([^>]+)>")
_SPEAKER = re.compile(r"^\s*(?:>>\s*)?([A-Z][A-Za-z]{1,15}|SPEAKER[ _]\d+)\s*:\s+(?=\S)")
_NOT_TEXT = ("%pdf", "<?xml", "<!doctype", "<html", "{\\rtf", "pk\x03\x04", "riff", "id3", "\x89png")


@dataclass(frozen=True)
class Cue:
    """One caption: its text and the seconds between which it was said (None where the file gives no time)."""

    text: str
    start_s: float | None = None
    end_s: float | None = None
    speaker: str | None = None


@dataclass(frozen=True)
class Transcript:
    """All cues of a look-over in the order of the file, and a sentence for each thing that was amiss."""

    cues: tuple[Cue, ...]
    warnings: tuple[str, ...] = ()


def parse(text: str, *, name: str = "captions") -> Transcript:
    """Read captions of any of the kinds above.

    Raises BadInput, naming the file, when the text is no transcript (binary, a page, a data file).
    """
    text = text.lstrip("\ufeff").replace("\r\n", "\n").replace("\r", "\n")
    _refuse_what_is_no_text(text, name)
    lines = text.split("\n")
    if any(_TIMING.match(line) for line in lines):
        cues, warnings = _timed_blocks(lines)
    elif any("-->" in line for line in lines):
        raise BadInput(
            "file",
            name,
            "WebVTT, SubRip or plain text",
            f"file: {name} has caption arrows but not one time that can be read, such as 00:01.000 --> 00:04.000.",
        )
    else:
        cues, warnings = _plain_lines(lines)
    cues = _without_rolling_repeats(_with_speakers(cues))
    warnings += _backwards(cues)
    cues, foreign = _english_only(cues)
    return Transcript(tuple(cues), tuple(warnings + foreign))


def _refuse_what_is_no_text(text: str, name: str) -> None:
    head = text.lstrip()[:2000].lower()
    odd = sum(1 for c in head if (ord(c) < 32 and c not in "\n\t\f\v") or c == "\ufffd")
    data = head.startswith(("{", "[")) and re.match(r'^[\[{]\s*["\[{}\]]', head) is not None
    if head.startswith(_NOT_TEXT) or "\x00" in text or odd > max(2, len(head) // 50) or data:
        raise BadInput(
            "file",
            name,
            "WebVTT, SubRip or plain text",
            f"file: {name} is no transcript; WebVTT, SubRip or plain text is wanted.",
        )


def _seconds(hours: str | None, minutes: str, seconds: str, fraction: str | None) -> float:
    whole = int(hours or 0) * 3600 + int(minutes) * 60 + int(seconds)
    return whole + int((fraction or "0").ljust(3, "0")) / 1000.0


def _timed_blocks(lines: list[str]) -> tuple[list[Cue], list[str]]:
    cues: list[Cue] = []
    warnings: list[str] = []
    start: float | None = None
    end: float | None = None
    held: list[str] = []
    inside = skipping = False

    def close() -> None:
        if inside and held:
            cues.append(_cue(" ".join(held), start, end))
        held.clear()

    for at, line in enumerate(lines):
        timing = _TIMING.match(line)
        if timing:
            close()
            start, end = _seconds(*timing.group(1, 2, 3, 4)), _seconds(*timing.group(5, 6, 7, 8))
            if end < start:
                warnings.append(f"The caption at {start:g} s ends before it begins; its beginning was used.")
                end = start
            inside, skipping = True, False
        elif not line.strip():
            close()
            inside = skipping = False
        elif inside:
            if not (line.strip().isdigit() and at + 1 < len(lines) and _TIMING.match(lines[at + 1])):
                held.append(line.strip())
        elif "-->" in line:
            warnings.append(f"Line {at + 1} has a time that cannot be read; its words were kept without it.")
            inside, start, end = True, (cues[-1].end_s if cues else 0.0), (cues[-1].end_s if cues else 0.0)
        elif skipping or re.match(r"^(WEBVTT|NOTE|STYLE|REGION)\b", line):
            skipping = True
        elif not _is_identifier(lines, at):
            held.append(line.strip())
            cues.append(_cue(line, cues[-1].end_s if cues else None, cues[-1].end_s if cues else None))
            held.clear()
    close()
    return [cue for cue in cues if cue.text], warnings


def _is_identifier(lines: list[str], at: int) -> bool:
    """A line just above a timing line is the cue's number or name."""
    return at + 1 < len(lines) and ("-->" in lines[at + 1])


def _cue(text: str, start_s: float | None, end_s: float | None) -> Cue:
    voice = _VOICE.search(text)
    speaker = voice[1].strip() if voice else None
    text = html.unescape(_TAG.sub(" ", text))
    return Cue(" ".join(text.split()), start_s, end_s, speaker)


def _with_speakers(cues: list[Cue]) -> list[Cue]:
    """`Ruth: ...` names a speaker when the same name opens several captions; `Hands: ...` once is a heading."""
    names: dict[str, int] = {}
    for cue in cues:
        match = _SPEAKER.match(cue.text)
        if match:
            names[match[1]] = names.get(match[1], 0) + 1
    spoken = {
        name for name, count in names.items() if name.upper().startswith("SPEAKER") or count >= max(3, len(cues) // 6)
    }
    named: list[Cue] = []
    for cue in cues:
        match = _SPEAKER.match(cue.text)
        if match and match[1] in spoken and cue.speaker is None:
            cue = Cue(cue.text[match.end() :], cue.start_s, cue.end_s, match[1])
        named.append(cue)
    return named


def _plain_lines(lines: list[str]) -> tuple[list[Cue], list[str]]:
    """Lines that may begin with a time, such as `[00:12] Case first.`; else one cue a line without time."""
    times = [_LEADING.match(line) for line in lines]
    if sum(1 for t in times if t) < max(1, sum(1 for line in lines if line.strip()) // 4):
        return [_cue(line, None, None) for line in lines if line.strip()], []
    cues: list[Cue] = []
    start: float | None = None
    for line, time in zip(lines, times, strict=True):
        if time:
            start = _seconds(*time.group(1, 2, 3, 4))
            line = line[time.end() :]
        if line.strip():
            cues.append(_cue(line, start, start))
    closed: list[Cue] = []
    for cue, following in zip(cues, [*cues[1:], None], strict=True):
        later = following.start_s if following else None
        end = later if later is not None and cue.start_s is not None and later >= cue.start_s else cue.start_s
        closed.append(Cue(cue.text, cue.start_s, end, cue.speaker))
    return closed, []


def _without_rolling_repeats(cues: list[Cue]) -> list[Cue]:
    """Rolling captions show each line twice, first below and then above; only what is new is kept."""
    kept: list[Cue] = []
    shown: list[str] = []
    for cue in cues:
        words = cue.text.split()
        if cue.start_s is None:
            kept.append(cue)
            continue
        best = 0
        for n in range(min(len(shown), len(words)), 2, -1):
            if shown[-n:] == words[:n]:
                best = n
                break
        overlapping = best == len(words) or best >= 4
        fresh = words[best:] if overlapping else words
        if fresh:
            kept.append(Cue(" ".join(fresh), cue.start_s, cue.end_s, cue.speaker))
        shown = words
    return kept


def _backwards(cues: list[Cue]) -> list[str]:
    last = None
    count = 0
    for cue in cues:
        if cue.start_s is None:
            continue
        if last is not None and cue.start_s < last:
            count += 1
        last = cue.start_s
    if not count:
        return []
    return [
        f"Times run backwards at {count} caption{'s' if count > 1 else ''}; the words were taken in the order of the "
        "file."
    ]


def _english_only(cues: list[Cue]) -> tuple[list[Cue], list[str]]:
    """Leave out stretches in another language and say so; short cues are judged with their neighbours."""
    bags = [re.findall(r"[^\W\d_]+", cue.text.lower().replace("’", "'")) for cue in cues]
    kept: list[Cue] = []
    named: dict[str, int] = {}
    for at, cue in enumerate(cues):
        window = [word for bag in bags[max(0, at - 1) : at + 2] for word in bag]
        own = language_of(bags[at])
        language = own if len(bags[at]) >= 7 else language_of(window)
        touched = language is not None and (own == language or speaks(language, bags[at]))
        if language and own in (language, None) and touched and not is_clearly_english(bags[at]):
            named[language] = named.get(language, 0) + 1
        else:
            kept.append(cue)
    return kept, [
        f"{count} caption{'s are' if count > 1 else ' is'} in another language ({language}, it seems) and "
        f"{'were' if count > 1 else 'was'} left out."
        for language, count in named.items()
    ]
