"""What was heard, as the page shows it: the answer as a sentence with its errors or why there is none, and the
pictures.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from underdial.bench.by_ear.listening import Listened, listen_answer, listen_words, timing_shown
from underdial.papers.scene import Scene, svg
from underdial.papers.timing_figure import NARROW, TimingShown, loud_scene, timing_scene

# The head of the wide picture is left out: the page itself says it.
_HEAD = 144
# What the command line calls its options, as a page says it.
_ON_A_PAGE = (
    ("and give its count with --beats-per-hour or --train", "and write its beats an hour below"),
    ("Give --beats-per-hour or --train to be sure", "Count its train, or write its beats an hour, to be sure"),
    ("Give --beats-per-hour or --train", "Count its train, or write its beats an hour"),
    ("give it with --lift", "write it beside its beats"),
)
# What a browser's microphone cannot be told to do, and what to do there instead.
_LIVE = (
    (
        "Use one uncut recording straight from the recorder.",
        "The browser loses or repeats sound when the machine is busy: close other programs and listen again, or "
        "record with any recorder and give the file.",
    ),
    ("of sound were lost or put in by the recorder", "of sound were lost or put in by the browser"),
    (
        "Switch automatic gain and noise suppression off on the recorder, and record again.",
        "This page asks the browser for no automatic gain; switch it off in the machine's own sound settings too, "
        "and listen again.",
    ),
)
# Before this much was heard a refusal says only that it is early.
_EARLY_S = 15.0


@dataclass(frozen=True, slots=True)
class HeardShown:
    """The sentence, what stands under it, cautions, and the picture, wide and narrow (empty when there is nothing to
    draw).
    """

    accepted: bool
    sentence: str
    lines: tuple[str, ...]
    cautions: tuple[str, ...]
    picture: str


def heard_shown(listened: Listened, *, live: bool = False) -> HeardShown:
    """An answer, as the page shows it; `live` when the browser's microphone heard it."""
    if listened.heard.refusal is not None:
        picture = (
            drawn(replace(timing_shown(listened), petals_s=(), rungs=())) if listened.heard.fit is not None else ""
        )
        return HeardShown(False, on_a_page(listened.heard.refusal.sentence, live=live), (), (), picture)
    answer = listen_answer(listened)
    shown = timing_shown(listened, answer)
    unknown = answer["recorder"] is not None
    warnings = [
        on_a_page(str(one), live=live)
        for one in answer["warnings"]
        if not (unknown and str(one).startswith("Recorder clock unknown"))
    ]
    lines = [on_a_page(one, live=live) for one in listen_words({**answer, "warnings": []}).split("\n")[1:]]
    if answer["rate_s_per_day"] is not None:
        from_where = {"train": "its train", "listed": "the list of usual counts", "given": "what was written"}[
            answer["nominal_from"]
        ]
        lines.insert(
            0,
            f"{answer['beats_per_hour']:,.2f} beats an hour; by {from_where} it should be "
            f"{answer['nominal_beats_per_hour']:,.0f}.".replace(",", "\u202f"),
        )
    return HeardShown(True, shown.sentence, tuple(lines), tuple(warnings), drawn(shown))


def meanwhile(listened: Listened) -> HeardShown:
    """The answer if the recording ended now, worded as one that is not over."""
    shown = heard_shown(listened, live=True)
    if shown.accepted:
        return shown
    early = listened.heard.duration_s < _EARLY_S
    return replace(shown, sentence="Listening. A few more seconds." if early else f"No number yet. {shown.sentence}")


def loud_shown(loud: Sequence[float], span_s: float) -> str:
    """What the microphone hears, as a picture: the first thing there is to see."""
    return svg(loud_scene(loud, span_s), prefix="loud")


def lost_words(lost_s: float) -> str:
    """That sound was lost on the way, in words; nothing when none was."""
    if lost_s <= 0.0:
        return ""
    return (
        f"About {lost_s:.1f} s of sound were lost on the way: this machine is too busy. Close other programs, or "
        "record with any recorder and give the file."
    )


def drawn(shown: TimingShown, *, prefix: str = "timing") -> str:
    """The picture for a page: one sheet side by side, and one for a narrow screen.

    `prefix` keeps several on one page apart.
    """
    plain = replace(shown, notes=())
    return (
        f'<div class="wide">{without_head(timing_scene(plain), prefix)}</div><div '
        f'class="narrow">{svg(timing_scene(plain, NARROW), prefix=f"{prefix}-narrow")}</div>'
    )


def on_a_page(words: str, *, live: bool = False) -> str:
    """Words that name options of the command line, or switches of a recorder, as a page says them."""
    for ours, page in (*_ON_A_PAGE, *(_LIVE if live else ())):
        words = words.replace(ours, page)
    return words


def without_head(scene: Scene, prefix: str, *, printed: bool = False) -> str:
    """The wide picture without its head, which the page or the paper says itself."""
    whole = svg(scene, prefix=prefix, printed=printed).replace(
        f'viewBox="0 0 {scene.width:g} {scene.height:g}"',
        f'viewBox="0 {_HEAD} {scene.width:g} {scene.height - _HEAD:g}"',
        1,
    )
    return whole.replace(f'height="{scene.height:g}"', f'height="{scene.height - _HEAD:g}"', 1)
