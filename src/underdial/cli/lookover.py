"""`lookover`: a spoken first inspection to findings."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import click

from underdial import units
from underdial.cli.frame import Value, answer, read_text, shared_options
from underdial.errors import BadInput


@click.command("lookover")
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--family", default=None, help="Kind of clock, to list what was not examined (see docs/reference).")
@click.option(
    "--counting",
    type=click.Choice(["uk", "us"]),
    default="uk",
    show_default=True,
    help="How the speaker counts and names wheels.",
)
@click.option(
    "--tenth", type=Value("length"), default="0.1mm", show_default=True, help='What this speaker\'s "a tenth" is.'
)
@click.option(
    "--stills",
    type=click.Path(path_type=Path),
    default=None,
    help="A folder for stills near each finding, from a film.",
)
@shared_options
def lookover_command(file: Path, family: str | None, counting: str, tenth: units.Quantity, stills: Path | None) -> None:
    """Turn a spoken look-over into findings, measurements and facts.

    FILE is WebVTT, SubRip or plain text (with or without times), or sound or film; `-` reads a text from standard
    input. Every finding keeps its
    words, its time and the rule that made it. Exit 1 when nothing was said about a clock.
    """
    from underdial.bench.as_found.lookover import in_words, read_look_over

    if not 0.0 < tenth.value <= 0.01:
        raise BadInput(
            "tenth",
            f"{tenth.value * 1000.0:g}mm",
            "above 0mm, up to 10mm",
            f"tenth: {tenth.value * 1000.0:g}mm is no size for a tenth; it must be above 0mm and at most 10mm.",
        )
    said = read_text("-") if str(file) == "-" else None
    with _told_how_far() as progress:
        result = read_look_over(
            file,
            said=said,
            family=family,
            counting=counting,
            tenth_mm=tenth.value * 1000.0,
            stills=stills,
            progress=progress,
        )
    answer(result, in_words(result))


@contextmanager
def _told_how_far() -> Iterator[Callable[[str, float], None] | None]:
    """Lines on the terminal that say what is done and what is left; nothing where nobody looks."""
    if not sys.stderr.isatty():
        yield None
        return
    from rich.console import Console
    from rich.progress import Progress, TaskID

    with Progress(console=Console(stderr=True), transient=True) as shown:
        lines: dict[str, TaskID] = {}

        def progress(doing: str, done_ratio: float) -> None:
            if doing not in lines:
                lines[doing] = shown.add_task({"heard": "Hearing", "stills": "Stills"}.get(doing, doing), total=1.0)
            shown.update(lines[doing], completed=done_ratio)

        yield progress
