"""`listen`: a recording of the ticking to rate, beat and swing, or a refusal."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from underdial.cli.frame import Number, Value, answer, shared_options


@click.command("listen")
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--beats-per-hour", type=Number(), help="Beats the clock should make in an hour, such as 14400 or 9778+-20.")
@click.option("--train", help='Counts of the train, such as "96/8 64/8 60/8", in place of --beats-per-hour.')
@click.option("--escape", "escape_count", type=click.IntRange(2, 500), help="Teeth of the escape wheel.")
@click.option("--hour-arbor", type=int, default=2, show_default=True, help="Arbor that turns once an hour, the great wheel being 1.")
@click.option("--lift", type=Value("angle"), help="Lift of the balance, both sides together, such as 40deg.")
@click.option("--oscillator", type=click.Choice(["balance", "pendulum"]), help="What swings; a pendulum's arc cannot be heard.")
@click.option("--recorder-ppm", type=Number(), help="How fast the recorder's clock runs, in parts in a million, such as 3+-1; 0+-50 without.")
@click.option("--position", help="How the clock or movement stood, such as 12_up.")
@shared_options
def listen_command(file: Path, **given: Any) -> None:
    """Rate, beat error and swing from a sound FILE, with their errors, or why there is no number to sign."""
    from underdial.bench.listening import listen_answer, listen_file, listen_words, write_listen_picture

    listened = listen_file(file, **given)
    result = listen_answer(listened)
    answer(result, listen_words(result), writers={".svg": lambda path: write_listen_picture(listened, path)})
