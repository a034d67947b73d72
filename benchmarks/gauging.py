"""Time of each bench command: as a whole process, as a call in a program that runs, and with its drawing.

    python3 dev.py bench gauging [--json] [--times N]

Each command is run with the worked example of its page. A process is started N times after one that does not count, a
call is made N times likewise; medians are printed, and whether they stay under half a second. The load of the machine
stands above. On a busy one a process waits for the processor: what it then takes is beside what it used of it (`cpu`),
which a machine at rest takes in all, or less.
"""

from __future__ import annotations

import argparse
import json
import os
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from click.testing import CliRunner

from underdial.bench.sums.forms_of_trains import SUMS
from underdial.cli.frame import underdial

LIMIT_S = 0.5
TIMES = 7
ENDINGS = (".pdf", ".dxf", ".svg")
# Sum -> the field that its command takes without an option.
FIRST = {
    "runout": "readings",
    "poise": "readings",
    "teeth": "teeth",
    "train": "train",
    "missing": "train",
    "strike": "train",
}
FORMULA = {
    "formula": ["formula"],
    "formula NAME": ["formula", "pendulum_length"],
    "formula NAME p=value": ["formula", "pendulum_length", "beats_per_hour=3600"],
}
COMPUTES = ("pallets", "teeth", "bush", "spring", "cone", "poise", "runout", "pendulum")


def main(argv: list[str]) -> int:
    parser = argparse.ArgumentParser(prog="bench gauging")
    parser.add_argument("--json", action="store_true")
    parser.add_argument("--times", type=int, default=TIMES)
    asked = parser.parse_args(argv)
    load = os.getloadavg()[0]
    with tempfile.TemporaryDirectory() as folder:
        commands = {**FORMULA, **{name: arguments(name, Path(folder)) for name in SUMS}}
        rows = [
            {
                "command": name,
                **dict(zip(("process_s", "process_cpu_s"), alone_s(line, asked.times), strict=True)),
                **dict(zip(("call_s", "call_cpu_s"), called_s(line, asked.times), strict=True)),
            }
            for name, line in commands.items()
        ]
        drawn = [
            {
                "command": name,
                "drawing": ending,
                **dict(
                    zip(
                        ("call_s", "call_cpu_s"),
                        called_s([*commands[name], "--out", f"{folder}/{name}{ending}", "--replace"], asked.times),
                        strict=True,
                    )
                ),
            }
            for name in COMPUTES
            for ending in ENDINGS
        ]
    result = {
        "load": load,
        "load_after": os.getloadavg()[0],
        "processors_count": os.cpu_count(),
        "times_count": asked.times,
        "commands": rows,
        "drawings": drawn,
        **{f"slowest_{key}": max(float(one[key]) for one in rows) for key in ("process_s", "process_cpu_s")},
        **{f"slowest_{key}": max(float(one[key]) for one in (*rows, *drawn)) for key in ("call_s", "call_cpu_s")},
    }
    if asked.json:
        print(json.dumps(result))
        return 0
    print(
        f"load {load:.1f} before and {result['load_after']:.1f} after on {result['processors_count']} processors; "
        f"medians of {asked.times}"
    )
    for one in rows:
        print(
            f"  {one['command']:22} process {one['process_s']:6.3f} s (cpu {one['process_cpu_s']:5.3f})   call "
            f"{one['call_s']:6.3f} s (cpu {one['call_cpu_s']:5.3f})   {_said(one['call_s'])} as a call"
        )
    for one in drawn:
        print(
            f"  {one['command'] + ' to ' + one['drawing']:22} {'':28}   call {one['call_s']:6.3f} s (cpu "
            f"{one['call_cpu_s']:5.3f})   {_said(one['call_s'])} as a call"
        )
    return 0


def arguments(name: str, folder: Path) -> list[str]:
    """The command line of a sum's worked example; its readings lie in a file."""
    first, options = [], []
    for field in SUMS[name].fields:
        text = SUMS[name].example.get(field.name)
        if text is None:
            continue
        if field.kind == "readings":
            path = folder / f"{name}.csv"
            path.write_text(text, encoding="utf-8")
            text = str(path)
        if field.name == FIRST.get(name):
            first.append(text)
        else:
            options.append(f"--{field.name}={text}")
    return [name, *first, *options]


def alone_s(line: list[str], times: int) -> tuple[float, float]:
    """Median seconds of the command as a process of its own, and of the processor that it used."""
    command = [sys.executable, "-c", "from underdial.cli import main; main()", *line]

    def used() -> float:
        spent = resource.getrusage(resource.RUSAGE_CHILDREN)
        return spent.ru_utime + spent.ru_stime

    return _median(lambda: subprocess.run(command, check=True, capture_output=True), used, times)


def called_s(line: list[str], times: int) -> tuple[float, float]:
    """Median seconds of the command in a program that runs already, and of the processor that it used."""

    def once() -> None:
        done = CliRunner().invoke(underdial, line, catch_exceptions=False)
        assert done.exit_code == 0, (line, done.output)

    return _median(once, time.process_time, times)


def _median(once: Callable[[], object], used: Callable[[], float], times: int) -> tuple[float, float]:
    once()
    taken, spent = [], []
    for _ in range(times):
        start, before = time.perf_counter(), used()
        once()
        taken.append(time.perf_counter() - start)
        spent.append(used() - before)
    return round(statistics.median(taken), 4), round(statistics.median(spent), 4)


def _said(seconds: float) -> str:
    return f"{'under' if seconds < LIMIT_S else 'OVER'} {LIMIT_S:g} s"


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
