"""The learned reading: its arithmetic against plain loops, its sayings, and what becomes of them beside the
grammar's.
"""

from __future__ import annotations

import itertools
import json
from collections.abc import Callable
from dataclasses import replace
from importlib.resources import files
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from scipy.special import erf
from teaching.encoder_graph import LARGEST_WHOLE, encoder_graph

from underdial.errors import BadInput
from underdial.telling import look_over
from underdial.telling.heard import Finding
from underdial.telling.learned import candidates, heads, network, sayings, second_reading, weighing_up
from underdial.telling.learned.heads import Reading
from underdial.telling.learned.pieces import UNKNOWN, pieces_of
from underdial.telling.learned.sayings import Saying
from underdial.telling.sentences import tags
from underdial.telling.speech import captions
from underdial.trade import learned_speech as file_of

HEADS, LAYERS = 12, 2
KNOWN = {
    name: at for at, name in enumerate((UNKNOWN, "wall", "##owed", "##o", "##wed", "w", "worn", "##n", "wor", "a"))
}
SPOKEN = """WEBVTT

00:01.000 --> 00:06.000
Right, case first. The veneer's lifting along the bottom and the door hinge is sound.

00:06.500 --> 00:12.000
Dial's been repainted at some time, hands match, minute hand is bent a little.

00:12.500 --> 00:19.000
This is private. He owes money to the man in the next street and the bell is cracked. Carry on.

00:19.500 --> 00:27.000
Now the going train. Centre wheel back hole has gone oval, bush that. Third wheel pivots are scored.

00:27.500 --> 00:36.000
No rust on the escape wheel, and its teeth are straight. I haven't looked at the strike at all yet.

00:36.500 --> 00:42.000
Suspension spring's kinked at the top and that is what stops it. The pendulum rod is good.
"""


def random_weights(width_count: int = 24, pieces_count: int = 11, layers_count: int = LAYERS) -> network.Weights:
    """Small tables with numbers of no meaning, for the arithmetic alone."""
    rng = np.random.default_rng(5)

    def table(*shape: int) -> np.ndarray:
        return rng.normal(scale=0.4, size=shape).astype(np.float32)

    packed = {
        "pieces": network.Packed(
            rng.integers(-127, 128, (pieces_count, width_count), dtype=np.int8),
            np.abs(table(pieces_count)) / np.float32(100.0),
        )
    }
    of = {"position": table(40, width_count), "norm.gain": table(width_count), "norm.shift": table(width_count)}
    for at in range(layers_count):
        name = f"layer{at}"
        for part, rows, columns in (
            *((one, width_count, width_count) for one in ("query", "key", "value", "out")),
            ("widen", 2 * width_count, width_count),
            ("narrow", width_count, 2 * width_count),
        ):
            packed[f"{name}.{part}"] = network.Packed(
                rng.integers(-LARGEST_WHOLE, LARGEST_WHOLE + 1, (rows, columns), dtype=np.int8),
                np.abs(table(rows)) / np.float32(LARGEST_WHOLE),
            )
        of |= {
            f"{name}.{part}.shift": table(rows)
            for part, rows in (
                ("attend", 3 * width_count),
                ("out", width_count),
                ("widen", 2 * width_count),
                ("narrow", width_count),
            )
        }
        for norm in ("norm1", "norm2"):
            of |= {f"{name}.{norm}.gain": table(width_count), f"{name}.{norm}.shift": table(width_count)}
    shapes = {name: array.shape for name, array in of.items()} | {name: one.whole.shape for name, one in packed.items()}
    shapes |= {f"layer{at}.attend": (3 * width_count, width_count) for at in range(layers_count)}
    return network.Weights(of, {}, packed, encoder_graph(shapes, layers_count=layers_count, heads_count=HEADS))


def on_steps(x: np.ndarray) -> np.ndarray:
    """Numbers on 256 even steps between the least and the largest, 0 being one of them.

    Source: the ONNX operator DynamicQuantizeLinear.
    """
    least, largest = min(0.0, x.min()), max(0.0, x.max())
    step = (largest - least) / 255
    zero = np.rint(-least / step)
    return (np.clip(np.rint(x / step) + zero, 0, 255) - zero) * step


def by_loops(
    w: network.Weights, ids: list[int], marks: np.ndarray, cut: Callable[[np.ndarray], np.ndarray]
) -> np.ndarray:
    """The same encoder written out piece by piece and head by head in double precision, with the exact error
    function; what comes to a matrix is `cut`.
    """
    of = {name: table.astype(float) for name, table in w.of.items()}
    of |= {name: one.rows().astype(float) for name, one in w.packed.items()}

    def normed(name: str, row: np.ndarray) -> np.ndarray:
        return (row - row.mean()) / np.sqrt(row.var() + 1e-12) * of[f"{name}.gain"] + of[f"{name}.shift"]

    def affine(name: str, rows: np.ndarray) -> list[np.ndarray]:
        return [of[name] @ row + of[f"{name}.shift"] for row in cut(rows)]

    rows = np.array([normed("norm", of["pieces"][one] + of["position"][at] + marks[at]) for at, one in enumerate(ids)])
    width = rows.shape[1]
    head = width // HEADS
    for at in range(LAYERS):
        name = f"layer{at}"
        of[f"{name}.attend"] = np.concatenate([of[f"{name}.{one}"] for one in ("query", "key", "value")])
        mixed = affine(f"{name}.attend", rows)
        seen = []
        for mine in mixed:
            parts = []
            for h in range(HEADS):
                query = mine[h * head : (h + 1) * head]
                raised = np.exp(
                    [query @ other[width + h * head : width + (h + 1) * head] / np.sqrt(head) for other in mixed]
                )
                parts.append(
                    sum(
                        share * other[2 * width + h * head : 2 * width + (h + 1) * head]
                        for share, other in zip(raised / raised.sum(), mixed, strict=True)
                    )
                )
            seen.append(np.concatenate(parts))
        rows = np.array(
            [
                normed(f"{name}.norm1", row + one)
                for row, one in zip(rows, affine(f"{name}.out", np.array(seen)), strict=True)
            ]
        )
        wide = np.array([one * 0.5 * (1 + erf(one / np.sqrt(2))) for one in affine(f"{name}.widen", rows)])
        rows = np.array(
            [normed(f"{name}.norm2", row + one) for row, one in zip(rows, affine(f"{name}.narrow", wide), strict=True)]
        )
    return rows


def test_the_encoder_is_that_of_the_papers() -> None:
    w = random_weights()
    ids = [3, 0, 7, 7, 10, 2, 5]
    marks = np.random.default_rng(6).normal(scale=0.2, size=(len(ids), 24)).astype(np.float32)
    got = network.encode(w, np.array(ids), marks)
    # Derived: the same by loops in double precision; what is left over is single precision, the form of the error unit
    # with tanh, and a number here and there that falls on the next step.
    assert np.abs(got - by_loops(w, ids, marks, on_steps)).max() < 0.05
    # Pinned: what whole numbers of eight bits cost, in spreads of a vector; chance numbers are harder to cut than
    # taught ones.
    assert np.abs(got - by_loops(w, ids, marks, np.asarray)).mean() < 0.05


@given(st.lists(st.floats(-30, 30, width=32), min_size=1, max_size=12))
def test_shares_sum_to_one(values: list[float]) -> None:
    shares = network.softmax(np.array(values, np.float32))
    # Derived: the definition of a share.
    assert shares.sum() == pytest.approx(1.0, abs=1e-5)
    assert (shares >= 0).all()


def test_tables_in_eight_bits_come_back_within_half_a_step() -> None:
    rows = np.random.default_rng(7).normal(size=(5, 9)).astype(np.float32)
    scale = np.abs(rows).max(axis=1) / 127
    packed = np.rint(rows / scale[:, None]).astype(np.int8)
    numbers = packed.tobytes() + scale.astype(np.float32).tobytes()
    tables = {"x.int8": file_of.Table("I8", (5, 9), 0, 45), "x.scale": file_of.Table("F32", (5,), 45, 65)}
    unpacked = network.unpacked(file_of.LearnedSpeech(tables, {}, numbers)).of["x"]
    # Derived: rounding to a step errs by half a step at most.
    assert (np.abs(unpacked - rows) <= 0.5001 * scale[:, None]).all()


@pytest.mark.parametrize(
    ("word", "cut"),
    [("wallowed", ["wall", "##owed"]), ("worn", ["worn"]), ("a", ["a"]), ("walz", [UNKNOWN]), ("", [UNKNOWN])],
)
def test_a_word_is_cut_at_the_longest_known_piece(word: str, cut: list[str]) -> None:
    # Derived: by hand from the rule of WordPiece.
    assert pieces_of(word, KNOWN) == [KNOWN[piece] for piece in cut]


@given(st.text(alphabet="wallowednor", max_size=12))
def test_pieces_put_together_are_the_word(word: str) -> None:
    names = {at: name for name, at in KNOWN.items()}
    cut = [names[one] for one in pieces_of(word, KNOWN)]
    assert cut == [UNKNOWN] or "".join(piece.removeprefix("##") for piece in cut) == word


def read(text: str, layers: frozenset[str] = frozenset(look_over.LAYERS)) -> look_over.Account:
    return look_over.read(captions.parse(text, name="spoken.vtt"), layers=layers)


def test_the_same_words_give_the_same_account() -> None:
    assert read(SPOKEN) == read(SPOKEN)


def test_what_is_private_is_in_no_finding() -> None:
    account = read(SPOKEN)
    assert account.private
    assert not any(
        "bell" in (finding.component, finding.against) or "cracked" in finding.words for finding in account.findings
    )


def test_plain_speech_is_read_by_both() -> None:
    facts = {(finding.component, finding.of, finding.condition, finding.state) for finding in read(SPOKEN).findings}
    # Source: the words of the text; each is said outright.
    assert {
        ("pivot_hole", "centre_wheel", "oval", "present"),
        ("pivot", "third_wheel", "scored", "present"),
        ("suspension_spring", None, "twisted", "present"),
        ("veneer", None, "lifting", "present"),
    } <= facts


def test_a_word_opened_into_two_is_shown_once() -> None:
    text = SPOKEN + "\n00:43.000 --> 00:47.000\nScrew's got no slot left, it's a mess, and the middle's perfect.\n"
    shown = [finding.words for finding in read(text).findings]
    assert not any(
        first == second and "'" in first for words in shown for first, second in itertools.pairwise(words.split())
    )


def test_a_text_without_times_is_read_like_one_with_times() -> None:
    plain = "\n".join(line for line in SPOKEN.splitlines() if line and "-->" not in line and line != "WEBVTT")
    account = look_over.read(captions.parse(plain, name="spoken.txt"))
    assert account.findings
    assert all(
        finding.start_s is None and finding.end_s is None and finding.also_s == [] for finding in account.findings
    )


def test_a_line_alone_is_read_by_both_readings() -> None:
    line = "WEBVTT\n\n00:00.000 --> 00:03.000\nThe mainspring's had its day.\n"
    # Source: the words, which stand in no table of the grammar.
    assert [(one.component, one.condition, one.state) for one in read(line).findings] == [
        ("mainspring", "set", "present")
    ]
    assert read(line, look_over.GRAMMAR).findings == []


def test_what_seems_to_be_said_once_more_is_kept_where_nothing_was_said_before() -> None:
    """Between two lines that end in how it matters, the network takes the first for a summary."""
    found = read(
        "WEBVTT\n\n00:02.000 --> 00:06.000\nThird wheel, back pivot hole, worn oval, contributes.\n\n"
        "00:08.000 --> 00:12.000\nThe owner says it stops after twenty minutes.\n"
    ).findings
    # Source: the words.
    assert [(one.component, one.of, one.condition, one.state) for one in found] == [
        ("pivot_hole", "third_wheel", "oval", "present")
    ]


def test_a_verdict_on_a_list_is_said_of_each_part() -> None:
    text = (
        SPOKEN
        + "\n00:42.500 --> 00:47.000\nThe click, the click spring and the ratchet are good. Handle, feet and bezel "
        "are all sound.\n"
    )
    good = {
        finding.component
        for finding in read(text).findings
        if (finding.condition, finding.state) == ("good", "present")
    }
    # Source: the words; six parts, two verdicts.
    assert good >= {"click", "click_spring", "ratchet_wheel", "handle", "foot", "bezel"}


def test_sayings_lie_in_order_and_apart() -> None:
    w = network.weights()
    sentences = [[*look_over.words.split(captions.parse(SPOKEN * 6, name="spoken.txt").cues)]]
    found = sayings.find(
        sentences, [tags.tag([word.text for word in sentences[0]], frozenset())], [], rough=False
    ).sayings
    assert found
    assert all(first.end < second.begin for first, second in itertools.pairwise(found))
    assert all(
        0 <= one.begin <= one.end < len(sentences[0]) and 0 <= one.pointed_at < len(sentences[0]) for one in found
    )
    assert {component for one in found for component in one.components} <= set(w.names["components"])


def saying(
    *, state: str = "present", chance: float = 0.99, condition: str = "worn", component: str = "pivot", begin: int = 70
) -> Saying:
    rest = (1 - chance) / 2
    others = dict.fromkeys(("present", "absent", "not_examined"), rest)
    return Saying(
        begin,
        begin + 1,
        0.99,
        {component: 0.98},
        {condition: 0.98},
        others | {state: chance},
        (Reading(component, "third_wheel", "front", 0.9),),
        0.01,
        begin - 2,
        None,
        None,
        "repairer",
    )


def test_the_same_fact_from_both_is_one_candidate() -> None:
    told = Finding("pivot", "worn", "present", "third_wheel", "front", start_s=1.0, end_s=2.0)
    rows = candidates.candidates([(told, 69, 72)], [saying()])
    assert [(row.fact, row.finding is told, row.saying is not None) for row in rows] == [
        (("pivot", "worn", "present"), True, True)
    ]


def test_a_part_told_with_and_without_its_wheel_is_one_candidate() -> None:
    both = (
        Reading("arbor", "centre_wheel", None, 0.6),
        Reading("arbor", None, None, 0.2),
        Reading("arbor", "third_wheel", None, 0.1),
    )
    rows = candidates.candidates([], [replace(saying(), readings=both)])
    # Derived: two wheels are two facts; no wheel beside them is the first once more.
    assert [row.of for row in rows] == ["centre_wheel", "third_wheel"]


def test_a_hint_proposes_nothing_but_speaks_for_what_the_grammar_found() -> None:
    told = Finding("pivot", "worn", "present", "third_wheel", "front", start_s=1.0, end_s=2.0)
    hint = replace(saying(), hint=True)
    assert candidates.candidates([], [hint]) == []
    (row,) = candidates.candidates([(told, 69, 72)], [hint])
    assert (row.saying, row.best) == (None, hint)
    (without,) = candidates.candidates([(told, 69, 72)], [])
    assert weighing_up.chances_of([row], rough=False)[0] > weighing_up.chances_of([without], rough=False)[0]


@given(arrays(np.float32, (3, 12), elements=st.floats(0.0, 1.0, width=32), unique=True), st.integers(1, 12))
def test_the_likeliest_are_the_largest_in_order(shares: np.ndarray, count: int) -> None:
    assert (heads._best(shares, count) == np.argsort(-shares, axis=-1)[:, :count]).all()


def test_good_is_never_absent() -> None:
    rows = candidates.candidates([], [saying(condition="good", state="absent")])
    assert [row.state for row in rows] == ["present"]


def test_a_state_that_may_be_the_other_way_round_is_not_kept() -> None:
    for chance, kept in ((0.79, False), (0.99, True)):
        rows = candidates.candidates([], [saying(chance=chance)])
        # Pinned: 29 November 2026; 0.8 is the bound of second_reading.
        assert weighing_up.is_unsure_of_state(rows[0]) is not kept


def test_what_is_taken_back_a_few_words_on_is_not_kept() -> None:
    first, later, elsewhere = saying(begin=70), saying(begin=78, state="absent"), saying(begin=140, state="absent")
    for others, taken_back in (([later], True), ([elsewhere], False)):
        rows = candidates.candidates([], [first, *others])
        # Derived: twelve words are soon; what is said the other way round much later is another matter.
        assert weighing_up.without_taken_back(rows, [0.9] * len(rows)) == [0.0 if taken_back else 0.9, 0.9]


def test_what_the_grammar_most_likely_misread_does_not_gainsay_the_learned_reading() -> None:
    """The grammar takes "it isn't sticky" for no old oil."""
    drum = files("underdial.bench") / "demo_shop" / "drum.vtt"
    found = look_over.read(captions.parse(drum.read_text(encoding="utf-8"), name="drum.vtt")).findings
    # Source: the words of the look-over, "Oil's gone brown in the sinks but it isn't sticky".
    assert [one.state for one in found if (one.component, one.condition) == ("oil_sink", "old_oil")] == ["present"]


def test_what_is_less_likely_right_than_not_must_be_sure_of_its_state() -> None:
    for chance, state_chance, doubtful in ((0.45, 0.94, True), (0.45, 0.99, False), (0.55, 0.85, False)):
        row = candidates.candidates([], [saying(chance=state_chance)])
        candidates._with_best(row, [saying(chance=state_chance)])
        # Derived: the bounds of second_reading, one half and 0.95.
        assert weighing_up.is_doubtful(row[0], chance) is doubtful


def test_the_same_finding_twice_is_one_with_both_times() -> None:
    rows = candidates.candidates([], [saying(begin=70), saying(begin=140), saying(begin=200, component="click")])
    told = [
        Finding(row.component, row.condition, row.state, start_s=float(row.begin), decision=decision)
        for row, decision in zip(rows, (None, "polish", None), strict=True)
    ]
    once = second_reading._told_once(list(zip(rows, told, strict=True)))
    # Derived: the second adds its time and its decision to the first; another part is another finding.
    assert [(finding.component, finding.start_s, finding.also_s, finding.decision) for _, finding in once] == [
        ("pivot", 70.0, [140.0], "polish"),
        ("click", 200.0, [], None),
    ]


def test_agreement_counts_for_more_than_one_reading_alone() -> None:
    told = Finding("pivot", "worn", "present", "third_wheel", "front", start_s=1.0, end_s=2.0)
    both = weighing_up.chances_of(candidates.candidates([(told, 69, 72)], [saying()]), rough=False)[0]
    alone = weighing_up.chances_of(candidates.candidates([(told, 69, 72)], []), rough=False)[0]
    assert alone < weighing_up.KEEP_PROBABILITY < both


def test_a_file_that_is_missing_or_cut_short_is_named(tmp_path: Path) -> None:
    cut = tmp_path / "learned_speech.safetensors"
    header = json.dumps({"__metadata__": {}, "x": {"dtype": "F32", "shape": [4], "data_offsets": [0, 16]}}).encode()
    for content, said in (
        (None, "can be read"),
        (b"\x05\0\0\0\0\0\0\0{not}", "safetensors"),
        (len(header).to_bytes(8, "little") + header + b"\0" * 8, "cut short"),
    ):
        if content is not None:
            cut.write_bytes(content)
        file_of.learned_speech.cache_clear()
        with pytest.raises(BadInput, match=r"learned_speech\.safetensors") as wrong:
            file_of.learned_speech(cut)
        assert said in str(wrong.value)
    file_of.learned_speech.cache_clear()


@settings(max_examples=10, deadline=None)
@given(
    st.lists(
        st.sampled_from(
            [
                "the third wheel back pivot is scored",
                "dial is clean",
                "no rust",
                "it rocks",
                "somebody has had a file to it",
                "so",
                "the strike I have not touched",
            ]
        ),
        min_size=12,
        max_size=30,
    )
)
def test_any_talk_is_read_without_harm(lines: list[str]) -> None:
    account = look_over.read(captions.parse(". ".join(lines), name="talk.txt"))
    assert all(
        finding.state in ("present", "absent", "not_examined") and 0 < finding.certainty_probability <= 1
        for finding in account.findings
    )
