"""A recording heard in a process of its own: the pages stay quick meanwhile, and the recogniser's memory goes when it
is done.

The process is `python -m underdial.cli.heard_apart FILE`, which says line by line what is done.
"""

from __future__ import annotations

import json
import signal
import subprocess
import sys
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

from underdial import errors
from underdial.bench.as_found.filming import Progress
from underdial.errors import MachineRefused
from underdial.telling.speech.captions import Cue, Transcript

# What ends a program from outside when the machine or the whole shop is closed; a fault of the recogniser ends it
# otherwise.
_ENDINGS = frozenset({-signal.SIGTERM, -signal.SIGINT})
_WAITED_S = 10.0


class HearingEnded(MachineRefused):
    """The recogniser was ended from outside before it was done, by no fault of the recording."""


def hear_apart(path: Path, *, progress: Progress | None = None, stop: Callable[[], bool] | None = None) -> Transcript:
    """The words of a recording as `filming.hear_words` gives them, with its refusals; no words when it was stopped.

    Raises HearingEnded when the recogniser was ended from outside, MachineRefused when it ended by itself.
    """
    command = [sys.executable, "-m", "underdial.cli.heard_apart", str(path)]
    # A group of its own: Ctrl-C in the window of the program is meant for the program.
    with subprocess.Popen(
        command,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        text=True,
        encoding="utf-8",
        start_new_session=True,
        creationflags=getattr(subprocess, "CREATE_NEW_PROCESS_GROUP", 0),
    ) as child:
        assert child.stdout is not None
        ended_code: int | None = None
        try:
            for line in child.stdout:
                if stop is not None and stop():
                    return Transcript((), ())
                if not line.endswith("\n"):
                    break
                told = json.loads(line)
                if "part" in told and progress is not None:
                    progress("heard", told["part"])
                elif "refused" in told:
                    kind, *facts = told["refused"]
                    raise getattr(errors, kind)(*facts)
                elif "cues" in told:
                    return Transcript(tuple(Cue(*one) for one in told["cues"]), tuple(told["warnings"]))
            with suppress(subprocess.TimeoutExpired):
                ended_code = child.wait(_WAITED_S)
        finally:
            if child.poll() is None:
                child.terminate()
    refusal = HearingEnded if ended_code in _ENDINGS else MachineRefused
    raise refusal(
        "speech",
        path.name,
        "a recogniser that goes on to the end",
        f"speech: the recogniser ended before {path.name} was heard to its end; hand it in again, or give captions.",
    )
