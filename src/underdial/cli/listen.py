"""`listen` and `recorder`: a recording of the ticking to rate, beat and swing, or a refusal; how fast a recorder's own
clock runs.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from underdial.cli.frame import Number, Value, answer, shared_options, shop_option
from underdial.errors import BadInput
from underdial.units import Quantity


@click.command("listen")
@click.argument("files", type=click.Path(path_type=Path), nargs=-1, required=True, metavar="FILE...")
@click.option(
    "--beats-per-hour", type=Number(), help="Beats the clock should make in an hour, such as 14400 or 9778+-20."
)
@click.option("--train", help='Counts of the train, such as "96/8 64/8 60/8", in place of --beats-per-hour.')
@click.option("--escape", "escape_count", type=click.IntRange(2, 500), help="Teeth of the escape wheel.")
@click.option(
    "--hour-arbor",
    type=int,
    default=2,
    show_default=True,
    help="Arbor that turns once an hour, the great wheel being 1.",
)
@click.option("--lift", type=Value("angle"), help="Lift of the balance, both sides together, such as 40deg.")
@click.option(
    "--oscillator", type=click.Choice(["balance", "pendulum"]), help="What swings; a pendulum's arc cannot be heard."
)
@click.option(
    "--recorder-ppm",
    type=Number(),
    help="How fast the recorder's clock runs, in parts in a million, such as 3+-1; 0+-50 without.",
)
@click.option(
    "--recorder", help="Name of the recorder; its clock is then taken from the shop's comparisons (see recorder)."
)
@click.option(
    "--temperature",
    type=Value("temperature"),
    help="Warmth of the room while recording, such as 18degC; makes a recorder's clock surer.",
)
@click.option("--position", multiple=True, help="How the clock or movement stood, such as 12_up; once for each FILE.")
@click.option(
    "--since-winding", type=Value("time"), multiple=True, help="Time since winding, such as 3h; once for each FILE."
)
@shop_option
@shared_options
def listen_command(
    files: tuple[Path, ...],
    position: tuple[str, ...],
    since_winding: tuple[Quantity, ...],
    recorder: str | None,
    temperature: Quantity | None,
    shop: Path | None,
    **given: Any,
) -> None:
    """Rate, beat error and swing from a sound FILE, with their errors, or why there is no number to sign.

    The answer is of the first FILE. With several (one clock, one recorder) all stand under `recordings`, and
    `variation` says how the rate goes with position, wind and swing.
    """
    from underdial.bench.by_ear.hearing_files import listen_files, words_of_files
    from underdial.bench.by_ear.listening import write_listen_picture
    from underdial.bench.shop import open_shop

    if recorder is not None and given["recorder_ppm"] is not None:
        raise BadInput(
            "recorder",
            recorder,
            "either --recorder or --recorder-ppm",
            "recorder: give its name or how fast it runs, not both.",
        )
    opened = open_shop(shop, must_exist=True) if recorder is not None else None
    heard, result = listen_files(
        files,
        shop=opened,
        recorder=recorder,
        temperature_deg_c=temperature.value if temperature else None,
        positions=position,
        since_winding_h=tuple(one.value / 3600.0 for one in since_winding),
        **given,
    )
    answer(result, words_of_files(result), writers={".svg": lambda path: write_listen_picture(heard, path)})


@click.command("recorder")
@click.argument("file", type=click.Path(path_type=Path), required=False)
@click.option("--device", help="Name of the recorder, as you will give it to listen --recorder.")
@click.option("--beats-per-hour", type=Number(), help="Ticks of the reference in an hour: 3600 for a quartz clock.")
@click.option(
    "--reference-ppm",
    type=Number(),
    help="How fast the reference itself is, in parts in a million; 0+-5.8 (a quartz clock good to 15 s a month) "
    "without.",
)
@click.option(
    "--ppm",
    type=Number(),
    help="How fast the recorder runs, where it is known already, such as 3+-1; in place of FILE.",
)
@click.option("--sampling", "sample_hz", type=int, help="Samples a second to which --ppm belongs, such as 48000.")
@click.option("--temperature", type=Value("temperature"), help="Warmth of the room, such as 18degC.")
@click.option("--compared-with", "words", help="What it was compared with, in your words.")
@shop_option
@shared_options
def recorder_command(
    file: Path | None,
    device: str | None,
    beats_per_hour: tuple[float, float] | None,
    reference_ppm: tuple[float, float] | None,
    ppm: tuple[float, float] | None,
    sample_hz: int | None,
    temperature: Quantity | None,
    words: str | None,
    shop: Path | None,
) -> None:
    """How fast a recorder's own clock runs: from a FILE in which a reference ticks, or as told by --ppm; kept in the
    shop.

    Without either it lists what is kept and what that is good for today. A comparison grows less sure with age and
    warmth, and is used for two years.
    """
    from underdial.bench.by_ear.recorders import (
        QUARTZ_PPM,
        compare_with_reference,
        recorder_as_told,
        recorders,
        recorders_answer,
        recorders_words,
    )
    from underdial.bench.shop import open_shop

    opened = open_shop(shop, must_exist=file is None and ppm is None)
    by, warmth = opened.settings.repairer, temperature.value if temperature else None
    if file is not None or ppm is not None:
        if not device or not device.strip():
            raise BadInput(
                "device",
                "nothing",
                "the recorder's name",
                "device: name the recorder, such as --device 'field recorder'.",
            )
        if file is not None:
            if beats_per_hour is None:
                raise BadInput(
                    "beats-per-hour",
                    "nothing",
                    "ticks of the reference in an hour",
                    "beats-per-hour: say how often the reference ticks in an hour; a quartz clock has 3600.",
                )
            kept = compare_with_reference(
                opened,
                file,
                device=device,
                beats_per_hour=beats_per_hour[0],
                reference_ppm=reference_ppm or QUARTZ_PPM,
                words=words,
                temperature_deg_c=warmth,
                by=by,
            )
        else:
            if sample_hz is None or ppm is None:
                raise BadInput(
                    "sampling",
                    "nothing",
                    "samples a second",
                    "sampling: say to which sampling this belongs, such as --sampling 48000.",
                )
            kept = recorder_as_told(
                opened, device=device, sample_hz=sample_hz, ppm=ppm, words=words, temperature_deg_c=warmth, by=by
            )
        result = recorders_answer(opened, (kept,))
    else:
        result = recorders_answer(
            opened,
            tuple(
                one for one in recorders(opened) if device is None or one.device.casefold() == device.strip().casefold()
            ),
        )
    answer(result, "\n".join([*recorders_words(result), *result["warnings"]]))
