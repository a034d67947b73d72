"""The network as it is taught, and that the reading of the package computes the same from the written file.

Skipped where torch is not installed: it is wanted for teaching only (the optional group `teach`), and the checks of the
project run without it.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

torch = pytest.importorskip("torch", reason="torch is wanted for teaching only: the optional group teach")

from teaching.answers import COMPONENTS, CONDITIONS, STATES  # noqa: E402
from teaching.base_weights import WordPieces  # noqa: E402
from teaching.examples import Example, example_of, items_of, sentences_of  # noqa: E402
from teaching.first_heads import begin_heads, condition_forms  # noqa: E402
from teaching.network import MARK_NAMES, Network, steps  # noqa: E402
from teaching.stretches import LaidOut, lay_out, stretches  # noqa: E402

from teaching import export, lessons, reading, teach, told  # noqa: E402
from underdial.telling import look_over  # noqa: E402
from underdial.telling.learned import candidates, heads, laid_out, sayings  # noqa: E402
from underdial.telling.learned import network as package_network  # noqa: E402
from underdial.telling.speech import captions  # noqa: E402
from underdial.trade.learned_speech import learned_speech  # noqa: E402

from .conftest import speech  # noqa: E402

# Eight bits a number, half as many bits in torch's sums: what two sums of the same may be apart, in spreads of a
# vector.
ROUNDING = 0.1
# Sums of a few hundred numbers in single precision.
EXACT = 1e-4


@pytest.fixture
def laid(example: Example, pieces: WordPieces, network: Network) -> LaidOut:
    return lay_out(example, pieces, network.tags)


def test_distances_have_the_steps_of_the_reading() -> None:
    distances = np.arange(-300, 301)

    assert steps(torch.from_numpy(distances)).tolist() == heads._steps(distances).tolist()


@pytest.fixture
def weights(tmp_path: Path, network: Network, pieces: WordPieces) -> package_network.Weights:
    """The network as the package has it, written and read back; every word is taken for a saying of its own."""
    with torch.no_grad():
        network.begin.bias[:] = torch.tensor([-9.0, 9.0, -9.0])
    kept = export.kept_pieces(pieces, [])
    export.write(
        tmp_path / "a.safetensors", export.tables_of(network, kept), export.names_of(network.tags, pieces, kept)
    )
    return package_network.unpacked(learned_speech(tmp_path / "a.safetensors"))


def test_the_package_reads_the_same_vectors_out_of_the_written_file(
    weights: package_network.Weights, network: Network, laid: LaidOut, pieces: WordPieces
) -> None:
    network.eval()
    batch = lessons.batch_of([(laid, stretches(len(laid.ids))[0])], pieces)
    taught = network.encode(batch.ids, batch.marks, batch.mask)[0].detach().numpy()
    marks = sum(weights.of[name][batch.marks[0, :, column].numpy()] for column, name in enumerate(MARK_NAMES))
    read = package_network.encode(weights, batch.ids[0].numpy().astype(np.intp), marks)

    assert read.shape == taught.shape
    assert np.abs(read - taught).max() < ROUNDING


def test_the_package_reads_the_same_sayings(
    weights: package_network.Weights,
    network: Network,
    laid: LaidOut,
    pieces: WordPieces,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(package_network, "weights", lambda: weights)
    monkeypatch.setattr(
        laid_out, "numbered", lambda name: {one: at for at, one in enumerate(weights.names[name]) if one}
    )
    rendered = told.render(speech())
    transcript = captions.parse(rendered.captions, name="a.vtt")
    sentences, rough = sentences_of(transcript)
    spans = candidates.spans_of(
        look_over.read(transcript, layers=look_over.GRAMMAR).findings,
        [word for sentence in sentences for word in sentence],
    )
    found = sayings.find(sentences, items_of(sentences), spans, rough=rough).sayings
    taught = reading.read(network, laid, pieces)

    assert [(one.begin, one.end) for one in found] == [(one.first, one.last) for one in taught]
    for one, other in zip(found, taught, strict=True):
        for names, shares, listed in (
            (COMPONENTS, other.components, one.components),
            (CONDITIONS, other.conditions, one.conditions),
            (STATES, other.states, one.states),
        ):
            assert all(
                abs(np.log(share) - np.log(float(shares[names.index(name)]))) < ROUNDING
                for name, share in listed.items()
            )
        assert abs(one.again_probability - other.again_probability) < ROUNDING


def test_the_sums_of_the_pointer_count_a_named_part(network: Network, laid: LaidOut, pieces: WordPieces) -> None:
    vectors = lessons.encoded(network, lessons.batch_of([(laid, stretches(len(laid.ids))[0])], pieces))
    lesson = [(laid, stretches(len(laid.ids))[0])]
    seen = lessons.seen_of(vectors, lesson, [lessons.targets(*lesson[0])])
    said, first = seen.means(seen.sayings), torch.tensor([saying.first_word for _, saying in seen.sayings])
    rows = torch.zeros(len(said), dtype=torch.long)
    with torch.no_grad():
        plain, _, shares = network.point(said, first, rows, seen.window)
        network.copy.zero_()
        without, _, _ = network.point(said, first, rows, seen.window)
    named = {COMPONENTS[row] for row in torch.nonzero((plain - without).abs().sum(0) > 1e-6).flatten().tolist()}

    assert {"mainspring", "click", "dial"} <= named
    assert named == {COMPONENTS[row] for own in laid.named for row in own}
    assert torch.allclose(shares.exp().sum(1), torch.ones(len(said)), atol=EXACT)


def test_two_stretches_in_one_lesson_do_not_see_each_other(network: Network, laid: LaidOut, pieces: WordPieces) -> None:
    """Nothing hidden and no dropout: the loss of a lesson is the sum of the losses of its stretches."""

    class Nothing(np.random.Generator):
        def random(self, size: object = None, *_: object, **__: object) -> object:
            return np.ones(size) if size is not None else 1.0

    hiding = Nothing(np.random.PCG64(0))
    network.eval()
    piece = (laid, stretches(len(laid.ids))[0])
    short = (laid, stretches(len(laid.ids), shift_count=200)[0])
    alone = [lessons.losses(network, [one], pieces, hiding) for one in (piece, short)]
    both, count = lessons.losses(network, [piece, short], pieces, hiding)

    assert count == sum(one for _, one in alone)
    for name, part in both.items():
        # Derived: sixteen-bit sums round at 2 to the -8
        assert float(part.detach()) == pytest.approx(
            sum(float(parts[name].detach()) for parts, _ in alone if name in parts), rel=0.02
        )


def test_softened_labels_lie_between_the_label_and_the_other_networks_answers(
    network: Network, laid: LaidOut, pieces: WordPieces
) -> None:
    network.eval()
    piece = (laid, stretches(len(laid.ids))[0])

    def parts(share: float) -> dict[str, float]:
        found, _ = lessons.losses(network, [piece], pieces, np.random.default_rng(0), lessons.Softened(network, share))
        return {name: float(part.detach()) for name, part in found.items()}

    hard, half, soft = parts(0.0), parts(0.5), parts(1.0)
    for name, part in half.items():
        # Derived: half of each where labels are softened; elsewhere the label alone counts.
        assert part == pytest.approx((hard[name] + soft[name]) / 2, rel=1e-3)
        assert name in lessons.SOFTENED or soft[name] == pytest.approx(hard[name])
    assert any(soft[name] != pytest.approx(hard[name], rel=1e-2) for name in lessons.SOFTENED)


def test_what_is_hidden_is_hidden_word_by_word(laid: LaidOut, pieces: WordPieces) -> None:
    stretch = stretches(len(laid.ids))[0]
    hidden = [lessons.batch_of([(laid, stretch)], pieces, np.random.default_rng(seed)) for seed in range(20)]
    masked = [batch.ids[0, 1:-1].numpy() == pieces["[MASK]"] for batch in hidden]

    assert any(one.any() for one in masked)
    for one in masked:
        assert all(
            one[laid.owner == word].all() or not one[laid.owner == word].any() for word in set(laid.owner.tolist())
        )
    assert any((batch.marks[0, 1:-1].numpy()[:, 0] == 0).sum() > (laid.marks[:, 0] == 0).sum() for batch in hidden)


def test_teaching_on_one_look_over_lowers_its_loss(
    example: Example, network: Network, laid: LaidOut, pieces: WordPieces
) -> None:
    def loss() -> float:
        network.eval()
        parts, _ = lessons.losses(network, [(laid, stretches(len(laid.ids))[0])], pieces, np.random.default_rng(0))
        return sum(float(part.detach()) for part in parts.values())

    before = loss()
    own = teach.Taught(example, example_of(speech(), stops=False, cut="anywhere"))
    teach.teach(network, [own], pieces, epochs=6, seed=0)

    assert loss() < before


def test_a_rate_of_learning_rises_then_falls(network: Network) -> None:
    rates = [teach.rate_ratio(step, 100.0) for step in range(101)]

    # Derived: it rises over the first tenth of 100 steps
    assert rates.index(max(rates)) == pytest.approx(100.0 * teach.WARMING, abs=2)
    assert rates[-1] == teach.LEAST_RATE
    assert all(0.0 < rate <= 1.0 for rate in rates)


def test_an_epoch_goes_through_every_file_once(example: Example, pieces: WordPieces, network: Network) -> None:
    own = teach.Taught(example, example)
    cut = [
        piece
        for lesson in teach.lessons([own] * 8, {}, pieces, network.tags, teach.random.Random(0))
        for piece in lesson
    ]

    assert sum(stretch.end - stretch.begin for _, stretch in cut) == sum(
        len(laid.ids) for laid in {id(laid): laid for laid, _ in cut}.values()
    )
    assert len({id(laid) for laid, _ in cut}) == len([own] * 8)


def test_what_is_read_has_the_keys_of_the_scorer(network: Network, laid: LaidOut, pieces: WordPieces) -> None:
    with torch.no_grad():
        network.begin.bias[:] = torch.tensor([-9.0, 9.0, -9.0])
    made = reading.findings(network, laid, reading.read(network, laid, pieces))

    assert len(reading.read(network, laid, pieces)) == len(laid.example.words)
    assert {one["component"] for one in made} <= set(COMPONENTS)
    assert {one["condition"] for one in made} <= set(CONDITIONS)
    assert reading.score_of(laid.example, made).basic.made_count == len(made)


def test_the_grammars_findings_are_scored_beside(example: Example) -> None:
    made = reading.grammar_findings(example)

    assert reading.score_of(example, made).basic.right_count > 0


def test_heads_begin_near_what_a_condition_is_called(network: Network, pieces: WordPieces) -> None:
    before = network.condition.weight.detach().clone()
    begin_heads(network, pieces)

    assert not torch.equal(network.condition.weight, before)
    assert torch.allclose(network.condition.weight.mean(0), torch.zeros(network.condition.weight.shape[1]), atol=EXACT)
    assert all(condition_forms(name) for name in CONDITIONS)
    assert condition_forms("worn") == condition_forms("worn")
