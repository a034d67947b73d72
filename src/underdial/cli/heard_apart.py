"""Hears one recording for the pages, in a process of its own: `python -m underdial.cli.heard_apart FILE`.

Says on its standard output, a line of JSON each, the part that is done, then the words with their times, or why there
are none.
"""

from __future__ import annotations

import json
import os
import sys
from pathlib import Path
from typing import Any

from underdial.bench.as_found.filming import hear_words
from underdial.errors import UnderdialError

# The pages and the bench come first.
_NICE = 5


def main(argv: list[str]) -> int:
    """Hear the file that is named, and say so line by line."""
    if hasattr(os, "nice"):
        os.nice(_NICE)
    try:
        heard = hear_words(Path(argv[0]), progress=lambda doing, part: _say({"part": part}))
    except UnderdialError as wrong:
        _say({"refused": [type(wrong).__name__, wrong.field, str(wrong.value), wrong.allowed, wrong.message]})
        return 1
    _say(
        {
            "cues": [[one.text, one.start_s, one.end_s, one.speaker] for one in heard.cues],
            "warnings": list(heard.warnings),
        }
    )
    return 0


def _say(told: dict[str, Any]) -> None:
    print(json.dumps(told), flush=True)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
