"""Signs that no face at hand can print are written by their number, `[U+4E2D]`.

An archival paper holds every sign with its shape, so the typesetter refuses a whole paper for one sign without. Nothing
is lost: the number says which sign it is.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable
from typing import Any

# How the typesetter says which words it has no shape for.
_REFUSED = re.compile(r'the text `"(.+?)"` could not be displayed', re.DOTALL)
# A paper in more kinds of writing than this is refused as it was.
_MOST_KINDS = 24


def set_in_known_signs(compiled: Callable[[Any], bytes], kept: Any) -> bytes:
    """What `compiled` makes of a plain paper; of signs that it refuses, and all of their kind of writing, the numbers.

    RuntimeError when it refuses for another reason.
    """
    for _ in range(_MOST_KINDS):
        try:
            return compiled(kept)
        except RuntimeError as wrong:
            refused = _REFUSED.search(str(wrong))
            kinds = {_kind(one) for one in refused[1] if not one.isascii()} if refused else set()
            if not kinds:
                raise
            kept = _spelled(kept, kinds)
    return compiled(kept)


def _spelled(value: Any, kinds: set[str]) -> Any:
    """A plain paper with the signs of some kinds by their numbers; drawings stay as they are."""
    if isinstance(value, str):
        if value.isascii() or value.startswith("<svg "):
            return value
        return "".join(
            f"[U+{ord(one):04X}]" if not one.isascii() and _kind(one) in kinds else one
            for one in unicodedata.normalize("NFC", value)
        )
    if isinstance(value, dict):
        return {key: one if key == "svg" else _spelled(one, kinds) for key, one in value.items()}
    if isinstance(value, list | tuple):
        return [_spelled(one, kinds) for one in value]
    return value


def _kind(one: str) -> str:
    """The kind of writing a sign is of, by the first word of its name (`CJK`, `HEBREW`); a Latin letter or a sign that
    is no letter is of its own kind.
    """
    name = unicodedata.name(one, one)
    kind = name.split()[0]
    return name if kind == "LATIN" or not unicodedata.category(one).startswith("L") else kind
