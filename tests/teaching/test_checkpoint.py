"""A network kept in the middle of its teaching goes on as it was. Skipped where torch is not installed."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

torch = pytest.importorskip("torch", reason="torch is wanted for teaching only: the optional group teach")

from teaching.aligned import HELD_BACK  # noqa: E402
from teaching.base_weights import WordPieces  # noqa: E402
from teaching.network import Network  # noqa: E402

from teaching import checkpoint, teach, told  # noqa: E402
from underdial.errors import BadInput  # noqa: E402

from .conftest import speech  # noqa: E402


def test_a_network_read_back_is_the_same(network: Network, tmp_path: Path) -> None:
    checkpoint.write(tmp_path / "a.pt", network)
    read = checkpoint.read(tmp_path / "a.pt", pieces_count=network.pieces.num_embeddings)

    assert read.tags == network.tags
    assert all(torch.equal(read.state_dict()[name], numbers) for name, numbers in network.state_dict().items())


def test_tags_met_later_leave_the_known_ones_as_they_are(network: Network) -> None:
    tags = network.tags.with_met([("new_kind", ""), ("part", "a_part_not_met")])
    larger = checkpoint.grown(network, tags)
    before, after = network.state_dict(), larger.state_dict()
    changed = {name for name in before if before[name].shape != after[name].shape}

    assert changed == {"tag_kind.weight", "tag_value.weight", "kind_weight"}
    assert all(
        torch.equal(after[name][: len(numbers)] if numbers.ndim else after[name], numbers)
        for name, numbers in before.items()
    )
    assert all(len(after[name]) == len(before[name]) + 1 for name in changed)


def test_a_mean_lies_halfway_and_keeps_what_was_met_since(network: Network) -> None:
    later = checkpoint.grown(network, network.tags.with_met([("new_kind", ""), ("part", "a_part_not_met")]))
    with torch.no_grad():
        for numbers in later.parameters():
            numbers.add_(1.0)
    between = checkpoint.mean_of(later, network)

    assert between.tags == later.tags
    for name, own in network.state_dict().items():
        known = between.state_dict()[name][: len(own)] if own.ndim else between.state_dict()[name]
        # Derived: half of the 1 that was added.
        assert torch.allclose(known, own + 0.5, atol=1e-6)
    assert torch.equal(between.tag_kind.weight[-1], later.tag_kind.weight[-1])


def test_a_mean_with_a_stranger_is_refused(network: Network) -> None:
    stranger = Network(network.tags.met([("word", ""), ("part", "bell")]), pieces_count=network.pieces.num_embeddings)

    with pytest.raises(BadInput, match="taught on from"):
        checkpoint.mean_of(network, stranger)


def test_a_file_of_other_answers_or_none_is_refused(network: Network, tmp_path: Path) -> None:
    with pytest.raises(BadInput, match="earlier round"):
        checkpoint.read(tmp_path / "none.pt", pieces_count=network.pieces.num_embeddings)
    torch.save({"something": 1}, tmp_path / "other.pt")
    with pytest.raises(BadInput, match="teaching wrote"):
        checkpoint.read(tmp_path / "other.pt", pieces_count=network.pieces.num_embeddings)
    network.state = torch.nn.Linear(network.state.in_features, network.state.out_features + 1)
    checkpoint.write(tmp_path / "answers.pt", network)
    with pytest.raises(BadInput, match="answers of now"):
        checkpoint.read(tmp_path / "answers.pt", pieces_count=network.pieces.num_embeddings)


def test_look_overs_are_aligned_by_the_network_and_taught_on(
    network: Network, pieces: WordPieces, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    rendered = told.render(speech())
    (tmp_path / rendered.gold["file"]).write_text(rendered.captions, encoding="utf-8")
    (tmp_path / "z01.gold.json").write_text(json.dumps(rendered.gold), encoding="utf-8")
    found = teach.look_overs(network, pieces, tmp_path)
    labels_count = len(rendered.gold["findings"])

    assert f"1 look-overs, {labels_count} of {labels_count} labels" in capsys.readouterr().out
    assert [sum(len(one.labels) for one in taught.with_stops.sayings) for taught in found] == [labels_count]
    before = network.state.weight.detach().clone()
    teach.teach(network, found, pieces, epochs=1, seed=0, rate=1e-3)
    assert not torch.equal(network.state.weight, before)


def test_the_rate_given_is_the_rate_of_the_encoder(network: Network) -> None:
    slow, fast = teach._optimiser(network, 1e-4).param_groups

    # Derived: the rate given, and the heads' multiple of it
    assert (slow["lr"], fast["lr"]) == (1e-4, 1e-4 * teach.HEADS_FACTOR)


def test_look_overs_held_back_are_not_taught_on(network: Network, pieces: WordPieces, tmp_path: Path) -> None:
    with pytest.raises(BadInput):
        teach.look_overs(network, pieces, tmp_path / HELD_BACK)


def test_look_overs_want_a_network_that_aligns_them(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit):
        teach.main(["--out", "a.safetensors", "--with-look-overs"])
    assert "wants --start" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("given", "told"),
    [(["--soften", "0.3"], "wants --start"), (["--soften", "1.5", "--start", "a.pt"], "from 0 to below 1")],
)
def test_softening_wants_a_network_and_a_share(given: list[str], told: str, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit):
        teach.main(["--out", "a.safetensors", *given])
    assert told in capsys.readouterr().err


def test_the_first_network_of_a_later_round_is_that_of_the_earlier(network: Network, pieces: WordPieces) -> None:
    first = teach.first_network(network, [("part", "a_part_not_met")], pieces)

    assert torch.equal(first.condition.weight, network.condition.weight)
    assert first.tags.of("part", "a_part_not_met")[1] > max(network.tags.values.values())
