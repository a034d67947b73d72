"""A spoken look-over from its captions to everything that was said in it: the way through this room.

    captions -> words -> misheard words put right -> private stretches out -> sentences -> clauses
      -> findings, measurements, the owner's story -> what was not examined

`LAYERS` names the steps that can be left out, so that a benchmark can say what each of them adds.

Never here: files, sound.
"""

from __future__ import annotations

import re

from underdial.telling import captions, clauses, part_words, words
from underdial.telling.heard import Account
from underdial.telling.reading import Reader

LAYERS = ("mishearing", "negation", "hedges", "focus", "references", "corrections", "status", "weight", "merging", "owner_story")


def read(transcript: captions.Transcript, *, layers: frozenset[str] = frozenset(LAYERS)) -> Account:
    """Everything said in a look-over. Deterministic: the same words give the same account."""
    account = Account(warnings=list(transcript.warnings))
    said = words.split(transcript.cues)
    text = " ".join(word.text for word in said)
    traits = frozenset(trait for trait, pattern in part_words.TRAIT_WORDS.items() if re.search(rf"\b(?:{pattern})\b", text))
    several = len(re.findall(r"\b(?:strike|chime|striking|chimes)\b", text)) >= 2
    sentences = clauses.sentences(said)
    reader = Reader(traits=traits, several_trains=several, layers=layers, summary_from=int(0.8 * len(sentences)))
    for index, sentence in enumerate(sentences):
        reader.read(sentence, index)
    account.findings = reader.findings
    return account
