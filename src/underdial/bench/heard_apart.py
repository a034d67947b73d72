"""A recording heard in a process of its own: the pages stay quick meanwhile, and the recogniser's memory goes when it
is done.

The process is `python -m underdial.cli.heard_apart FILE`, which says line by line what is done.
"""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

from underdial import errors
from underdial.bench.filming import Progress
from underdial.errors import MachineRefused
from underdial.telling.captions import Cue, Transcript


def hear_apart(path: Path, *, progress: Progress | None = None, stop: Callable[[], bool] | None = None) -> Transcript:
    """The words of a recording as `filming.hear_words` gives them, with its refusals; no words when it was stopped."""
    command = [sys.executable, "-m", "underdial.cli.heard_apart", str(path)]
    with subprocess.Popen(
        command, stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, text=True, encoding="utf-8"
    ) as child:
        assert child.stdout is not None
        try:
            for line in child.stdout:
                if stop is not None and stop():
                    return Transcript((), ())
                told = json.loads(line)
                if "part" in told and progress is not None:
                    progress("heard", told["part"])
                elif "refused" in told:
                    kind, *facts = told["refused"]
                    raise getattr(errors, kind)(*facts)
                elif "cues" in told:
                    return Transcript(tuple(Cue(*one) for one in told["cues"]), tuple(told["warnings"]))
        finally:
            if child.poll() is None:
                child.terminate()
    raise MachineRefused(
        "speech",
        path.name,
        "a recogniser that goes on to the end",
        f"speech: the recogniser ended before {path.name} was heard to its end; hand it in again, or give captions.",
    )
