"""Processes that teach one network together, and the network of the package taken up again.

Skipped where torch is not installed.
"""

from __future__ import annotations

from pathlib import Path

import pytest

torch = pytest.importorskip("torch", reason="torch is wanted for teaching only: the optional group teach")

from teaching.answers import COMPONENTS  # noqa: E402
from teaching.base_weights import WordPieces  # noqa: E402
from teaching.encoder_graph import LARGEST_WHOLE  # noqa: E402
from teaching.examples import Example, example_of  # noqa: E402
from teaching.network import WIDTH, Network  # noqa: E402
from teaching.together import Share, together  # noqa: E402

from teaching import checkpoint, export, shipped, teach  # noqa: E402
from underdial.errors import BadInput  # noqa: E402
from underdial.trade import learned_speech as file_of  # noqa: E402

from .conftest import speech  # noqa: E402


def test_the_shares_of_a_list_are_the_list() -> None:
    for count in (1, 2, 3):
        # Derived: every one of ten things is in one share and in no other.
        assert sorted(one for number in range(count) for one in Share(number, count).of(list(range(10)))) == list(
            range(10)
        )


def test_processes_go_on_from_the_mean_of_their_numbers() -> None:
    own = torch.nn.Linear(3, 2)
    least = []

    def work(share: Share) -> None:
        with torch.no_grad():
            own.weight.fill_(float(share.number))
        share.bring_to_mean(own)
        least.append(share.least(5 - share.number))

    together(3, work)

    assert torch.equal(own.weight, torch.ones(2, 3))  # Derived: the mean of 0, 1 and 2
    assert least == [3]  # Derived: the least of 5, 4 and 3, told to the first process


def test_two_processes_teach_one_network_and_keep_it(
    example: Example, network: Network, pieces: WordPieces, tmp_path: Path
) -> None:
    before = network.state.weight.detach().clone()
    own = teach.Taught(example, example_of(speech(), stops=False, cut="anywhere"))
    together(
        2,
        lambda share: teach.teach(
            network, [own] * 4, pieces, epochs=1, seed=0, rate=1e-3, share=share, keep=tmp_path / "a.pt"
        ),
    )
    kept = checkpoint.read(tmp_path / "a.pt", pieces_count=network.pieces.num_embeddings)

    assert not torch.equal(network.state.weight, before)
    assert torch.equal(kept.state.weight, network.state.weight)


@pytest.fixture
def base(monkeypatch: pytest.MonkeyPatch, network: Network) -> None:
    """A sentence encoder of the network's own pieces in the place of the installed one."""
    monkeypatch.setattr(shipped, "base_arrays", dict)
    monkeypatch.setattr(Network, "take_base", lambda self, _: self.pieces.weight.data.copy_(network.pieces.weight.data))


@pytest.mark.usefixtures("base")
def test_the_network_of_the_package_is_taken_up_again(network: Network, pieces: WordPieces, tmp_path: Path) -> None:
    kept = export.kept_pieces(pieces, [])
    export.write(
        tmp_path / "a.safetensors", export.tables_of(network, kept), export.names_of(network.tags, pieces, kept)
    )
    again = teach.begun_from(tmp_path / "a.safetensors", pieces)

    assert again.tags == network.tags
    for name, numbers in network.state_dict().items():
        steps_count = LARGEST_WHOLE if name.startswith("layers.") else 127
        # Derived: whole numbers err by half a step, of which so many make the largest of a row.
        half_step = float(numbers.abs().max()) / steps_count / 2.0
        assert torch.allclose(again.state_dict()[name], numbers, atol=half_step + 1e-6), name


@pytest.mark.usefixtures("base")
def test_a_file_with_other_answers_is_refused(
    network: Network, pieces: WordPieces, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    kept = export.kept_pieces(pieces, [])
    monkeypatch.setattr(export, "COMPONENTS", COMPONENTS[:-1])
    export.write(
        tmp_path / "b.safetensors", export.tables_of(network, kept), export.names_of(network.tags, pieces, kept)
    )

    with pytest.raises(BadInput, match="answers of now"):
        shipped.read(tmp_path / "b.safetensors", pieces)
    with pytest.raises(BadInput, match=r"none\.safetensors"):
        shipped.read(tmp_path / "none.safetensors", pieces)
    assert file_of.FILE.exists()
    assert network.state.weight.shape[1] == WIDTH
