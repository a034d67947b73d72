"""A short look-over with its labels, word pieces that know a few words whole and every letter, and a network of chance
numbers for both.
"""

from __future__ import annotations

import string
from typing import TYPE_CHECKING

import pytest
from teaching.base_weights import WordPieces
from teaching.examples import Example, example_of

from teaching import told

if TYPE_CHECKING:
    from teaching.network import Network

SPEECH = """
# clock: mantel clock
# speaker: a test
# form: vtt
# stops: yes
# cut: sentence
The mainspring isn't broken, but the click, um, looks worn.
> mainspring : no broken "isn't broken" part="mainspring"
> click : is worn "looks worn" part="click" or=condition:scored
Both hands are loose. The dial is loose too.
> hour_hand : is loose "loose" part="hands" do=tighten
> minute_hand : is loose "loose" part="hands" do=tighten
> dial : is loose "loose too" part="dial"
So the click is worn, as I said.
>> click : is worn "worn, as I said" part="click" sig=contributes
"""


def speech(text: str = SPEECH) -> told.Told:
    return told.parse(text.strip(), name="Z/01.told")


@pytest.fixture
def example() -> Example:
    return example_of(speech())


@pytest.fixture
def pieces() -> WordPieces:
    """Some words whole, all others letter by letter."""
    letters = [*string.ascii_lowercase, *string.digits, "'"]
    known = [
        "[PAD]",
        "[UNK]",
        "[CLS]",
        "[SEP]",
        "[MASK]",
        ",",
        ".",
        "?",
        ":",
        "the",
        "click",
        "dial",
        "loose",
        "worn",
        *letters,
        *(f"##{letter}" for letter in letters),
    ]
    return WordPieces({piece: number for number, piece in enumerate(known)})


@pytest.fixture
def network(example: Example, pieces: WordPieces) -> Network:
    """Skips the test where torch is not installed."""
    torch = pytest.importorskip("torch", reason="torch is wanted for teaching only: the optional group teach")
    from teaching.answers import TagNumbers
    from teaching.network import Network

    torch.set_num_threads(1)
    torch.manual_seed(1)
    return Network(TagNumbers.met((word.kind, word.value) for word in example.words), pieces_count=len(pieces.numbers))
