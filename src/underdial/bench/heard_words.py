"""What was heard, as the page shows it: the answer as a sentence with its errors or why there is none, and the picture."""

from __future__ import annotations

from dataclasses import dataclass, replace

from underdial.bench.listening import Listened, listen_answer, listen_words, timing_shown
from underdial.papers.scene import svg
from underdial.papers.timing_figure import timing_scene

# The head of the picture is left out: the page itself says it.
_HEAD = 156
# What the command line calls its options, as a page says it.
_ON_A_PAGE = (
    ("and give its count with --beats-per-hour or --train", "and write its beats an hour below"), ("Give --beats-per-hour or --train to be sure", "Count its train, or write its beats an hour, to be sure"),
    ("Give --beats-per-hour or --train", "Count its train, or write its beats an hour"), ("give it with --lift", "write it beside its beats"),
)
# Before this much was heard a refusal says only that it is early.
_EARLY_S = 15.0


@dataclass(frozen=True, slots=True)
class HeardShown:
    """The sentence, what stands under it, cautions, and the picture (empty when there is no number to draw)."""

    accepted: bool
    sentence: str
    lines: tuple[str, ...]
    cautions: tuple[str, ...]
    picture: str


def heard_shown(listened: Listened) -> HeardShown:
    """An answer, as the page shows it."""
    answer = listen_answer(listened)
    if listened.heard.refusal is not None:
        return HeardShown(False, on_a_page(listened.heard.refusal.sentence), (), (), "")
    shown = timing_shown(listened)
    warnings = [on_a_page(str(one)) for one in answer["warnings"]]
    lines = [on_a_page(one) for one in listen_words({**answer, "warnings": []}).split("\n")[1:]]
    if answer["rate_s_per_day"] is not None:
        from_where = {"train": "its train", "listed": "the list of usual counts", "given": "what was written"}[answer["nominal_from"]]
        lines.insert(0, f"{answer['beats_per_hour']:,.2f} beats an hour; by {from_where} it should be {answer['nominal_beats_per_hour']:,.0f}.".replace(",", "\u202f"))
    scene = timing_scene(replace(shown, notes=()))
    drawn = svg(scene, prefix="timing").replace(f'viewBox="0 0 {scene.width:g} {scene.height:g}"', f'viewBox="0 {_HEAD} {scene.width:g} {scene.height - _HEAD:g}"', 1)
    drawn = drawn.replace(f'height="{scene.height:g}"', f'height="{scene.height - _HEAD:g}"', 1)
    return HeardShown(True, shown.sentence, tuple(lines), tuple(warnings), drawn)


def meanwhile(listened: Listened) -> HeardShown:
    """The answer if the recording ended now, worded as one that is not over."""
    shown = heard_shown(listened)
    if shown.accepted:
        return shown
    early = listened.heard.duration_s < _EARLY_S
    return replace(shown, sentence="Listening. A few more seconds." if early else f"No number yet. {shown.sentence}")


def on_a_page(words: str) -> str:
    """Words that name options of the command line, as a page says them."""
    for ours, page in _ON_A_PAGE:
        words = words.replace(ours, page)
    return words
