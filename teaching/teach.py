"""Teach the second reader of look-overs on labelled bench speech, and write the file that the package ships.

    python3 -m teaching.teach --out FILE [--start FILE] [--with-look-overs] [--soften X] [--mean FILE] [--rate X]
    [--epochs N] [--only A,B,...] [--hold NN] [--seed N] [--workers N]

One file of every writer (number NN) is held out: on these the network is joined with the grammar and both are scored at
the end. Prints the parts of the loss, per saying, after each epoch. The network is kept in full beside the file, with
the ending .pt, after every epoch; a later round starts from that or from a file of the package, and may add the
labelled look-overs of tests/data/lookovers, aligned by the network it starts from. Needs torch and the sentence
encoder: docs/how-to/teach-the-reader.md.

Never here: the network, the losses.
"""

from __future__ import annotations

import argparse
import multiprocessing
import random
import sys
import time
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import torch
from benchmarks.lookover_score import Score

from teaching import aligned, checkpoint, deeper, export, joining, shipped, told
from teaching.answers import TagNumbers
from teaching.base_weights import WordPieces, base_arrays, word_pieces
from teaching.examples import Example, example_of
from teaching.exchanged import Phrases, exchanged, phrases
from teaching.first_heads import begin_heads
from teaching.lessons import Piece, Softened, losses
from teaching.network import LAYERS, Network
from teaching.reading import findings, grammar_findings, read, score_of
from teaching.stretches import lay_out, stretches
from teaching.together import LESSONS_APART, Share, together
from teaching.trimmed import with_trimmed
from teaching.varied import varied
from underdial.errors import BadInput
from underdial.telling.learned.network import unpacked
from underdial.trade.learned_speech import learned_speech

SPEECH = Path(__file__).parent / "bench_speech"
EPOCHS, HELD_OUT = 10, "03"
# An epoch goes through each labelled look-over so many times: they are few, and closest to what the reader meets.
LOOK_OVER_TIMES = 3
# Most pieces of one lesson, its stretches filled up to the longest; stretches of about one length come together, out of
# so many.
LESSON_PIECES_COUNT, SORTED_COUNT = 2400, 90
# Files whose vectors show new layers what to begin with.
SHOWN_COUNT = 4
# Rate of learning of the encoder; heads and marks begin from little and learn faster.
RATE, HEADS_FACTOR = 2.5e-4, 10.0
# The rate rises over the first tenth of the lessons, then falls to a fiftieth.
WARMING, LEAST_RATE = 0.1, 0.02
WEIGHT_DECAY = 0.01
LARGEST_GRADIENT = 5.0
# A lesson with few sayings moves the network less.
QUIET_SAYINGS = 8
# Stretches are cut elsewhere in every epoch, by up to this many pieces.
LARGEST_SHIFT = 300


@dataclass(frozen=True)
class Taught:
    """A look-over to teach on, with stops and without; what is there in one form only stands twice."""

    with_stops: Example
    without_stops: Example


def main(argv: Sequence[str]) -> int:
    """Read, teach, write, score."""
    given = _arguments(argv)
    # One thread: the machine's cores are shared, and small lessons gain little from more.
    torch.set_num_threads(1)
    torch.manual_seed(given.seed)
    with multiprocessing.get_context("fork").Pool(given.workers) as readers:
        taught = readers.map(read_speech, [path for path in files(given.only) if path.stem != given.hold], chunksize=8)
    held = [told.read(path) for path in files(given.only) if path.stem == given.hold]
    if not taught or not held:
        print(f"No file to teach on, or none with number {given.hold} to hold out.")
        return 2
    pieces = word_pieces()
    try:
        start = begun_from(given.start, pieces) if given.start else None
        other = begun_from(given.mean, pieces) if given.mean else None
    except BadInput as wrong:
        print(wrong.message)
        return 2
    if start is not None and given.with_look_overs:
        taught += look_overs(start, pieces, aligned.LOOK_OVERS) * LOOK_OVER_TIMES
    examples = [example for one in taught for example in (one.without_stops, one.with_stops)]
    network = first_network(start, [(word.kind, word.value) for example in examples for word in example.words], pieces)
    if len(network.layers) < LAYERS:
        network = deeper.deepened(
            network,
            LAYERS,
            base_arrays(),
            [lay_out(example, pieces, network.tags) for example in examples[:SHOWN_COUNT]],
            pieces,
        )
    print(
        f"{len(taught)} files, {sum(len(one.with_stops.sayings) for one in taught)} sayings, "
        f"{len(network.tags.values)} tags; {len(held)} files held out",
        flush=True,
    )
    softened = (
        Softened(checkpoint.grown(start, network.tags).eval(), given.soften)
        if start is not None and given.soften
        else None
    )
    if given.epochs:
        together(
            given.workers,
            lambda share: teach(
                network,
                taught,
                pieces,
                epochs=given.epochs,
                seed=given.seed,
                rate=given.rate,
                share=share,
                keep=given.out.with_suffix(checkpoint.ENDING),
                softened=softened,
            ),
        )
    if other is not None:
        network = checkpoint.mean_of(network, other)
    print_scores(network, [example_of(speech) for speech in held], pieces)
    kept = export.kept_pieces(pieces, (word.text for example in examples for word in example.words))
    ship(given.out, export.tables_of(network, kept), export.names_of(network.tags, pieces, kept), held)
    return 0


def begun_from(path: Path, pieces: WordPieces) -> Network:
    """The network of an earlier round, in full or as the package ships it."""
    return (
        shipped.read(path, pieces)
        if path.suffix == shipped.ENDING
        else checkpoint.read(path, pieces_count=len(pieces.numbers))
    )


def first_network(start: Network | None, tags: Sequence[tuple[str, str]], pieces: WordPieces) -> Network:
    """The network that teaching begins with: that of an earlier round with the tags met since, else the sentence
    encoder.
    """
    if start is not None:
        return checkpoint.grown(start, start.tags.with_met(tags))
    network = Network(TagNumbers.met(tags), pieces_count=len(pieces.numbers))
    network.take_base(base_arrays())
    begin_heads(network, pieces)
    return network


def look_overs(network: Network, pieces: WordPieces, folder: Path) -> list[Taught]:
    """The labelled look-overs of a folder, their labels laid on words by a network; says what was passed over."""
    found = aligned.read_folder(
        folder,
        lambda example: read(
            network,
            lay_out(example, pieces, network.tags),
            pieces,
            begins_probability=aligned.ALIGNED_BEGINS_PROBABILITY,
            goes_on_probability=aligned.ALIGNED_GOES_ON_PROBABILITY,
        ),
    )
    labels_count, lost_count = (
        sum(len(example.gold["findings"]) for example in found.examples),
        sum(example.lost_count for example in found.examples),
    )
    print(
        f"{len(found.examples)} look-overs, {labels_count - lost_count} of {labels_count} labels laid on words; "
        f"passed over, some words or labels without time: {', '.join(found.passed_over) or 'none'}",
        flush=True,
    )
    return [Taught(example, example) for example in map(with_trimmed, found.examples)]


def files(writers: str | None) -> list[Path]:
    """The told files of these writers (their letters with commas between), of all when None."""
    return [
        path
        for path in sorted(SPEECH.glob("*/*.told"))
        if writers is None or path.parent.name in writers.lower().split(",")
    ]


def read_speech(path: Path) -> Taught:
    """A told file with stops, and as a recogniser writes it without them."""
    speech = told.read(path)
    return Taught(
        with_trimmed(example_of(speech, stops=True)), with_trimmed(example_of(speech, stops=False, cut="anywhere"))
    )


def teach(
    network: Network,
    taught: Sequence[Taught],
    pieces: WordPieces,
    *,
    epochs: int,
    seed: int,
    rate: float = RATE,
    share: Share = Share(),
    keep: Path | None = None,
    softened: Softened | None = None,
) -> None:
    """Go through all speech `epochs` times, each time in another order, cut and worded a little differently.

    `softened`: labels are softened by another network's answers. With a share of several processes each takes its part
    of every epoch; the first keeps the network in `keep` after each.
    """
    order, rng, hiding = (
        random.Random(seed),
        random.Random(f"{seed} {share.number}"),
        np.random.default_rng([seed, share.number]),
    )
    torch.manual_seed(seed * share.count + share.number)
    optimiser = _optimiser(network, rate)
    of_others = phrases(example for one in taught for example in (one.with_stops, one.without_stops))
    lessons_count = epochs * sum(
        1 for _ in lessons(share.of(taught), of_others, pieces, network.tags, random.Random(0))
    )
    schedule = torch.optim.lr_scheduler.LambdaLR(optimiser, lambda step: rate_ratio(step, lessons_count))
    began_s = time.monotonic()
    for epoch in range(epochs):
        network.train()
        total: dict[str, float] = {}
        sayings_count = 0
        own = list(lessons(share.of(order.sample(taught, len(taught))), of_others, pieces, network.tags, rng))
        for number, lesson in enumerate(own[: share.least(len(own))], 1):
            parts, count = losses(network, lesson, pieces, hiding, softened)
            optimiser.zero_grad()
            (sum(parts.values()) / (count + QUIET_SAYINGS)).backward()
            torch.nn.utils.clip_grad_norm_(network.parameters(), LARGEST_GRADIENT)
            optimiser.step()
            schedule.step()
            total |= {name: total.get(name, 0.0) + float(part.detach()) for name, part in parts.items()}
            sayings_count += count
            if number % LESSONS_APART == 0:
                share.bring_to_mean(network)
        share.bring_to_mean(network)
        if share.number:
            continue
        if keep is not None:
            checkpoint.write(keep, network)
        told_parts = ", ".join(f"{name} {part / max(1, sayings_count):.3f}" for name, part in total.items())
        print(f"epoch {epoch + 1} of {epochs}, {time.monotonic() - began_s:.0f} s: {told_parts}", flush=True)


def rate_ratio(step: int, lessons_count: float) -> float:
    """What the rate of learning is multiplied with at a step."""
    return min(1.0, (step + 1) / (WARMING * lessons_count + 1)) * max(LEAST_RATE, 1.0 - step / lessons_count)


def lessons(
    taught: Sequence[Taught], of_others: Phrases, pieces: WordPieces, tags: TagNumbers, rng: random.Random
) -> Iterator[list[Piece]]:
    """The stretches of one epoch in chance order: each file once, with stops or without, some parts under other
    names, some states told in words of others.
    """
    cut: list[Piece] = []
    for one in taught:
        said = rng.choice((one.with_stops, one.without_stops))
        laid = lay_out(exchanged(varied(said, rng), of_others, rng), pieces, tags)
        cut += [(laid, stretch) for stretch in stretches(len(laid.ids), shift_count=rng.randint(0, LARGEST_SHIFT))]
    rng.shuffle(cut)
    found = [
        lesson
        for begin in range(0, len(cut), SORTED_COUNT)
        for lesson in _of_one_length(cut[begin : begin + SORTED_COUNT])
    ]
    rng.shuffle(found)
    yield from found


def _of_one_length(cut: Sequence[Piece]) -> Iterator[list[Piece]]:
    """Lessons of stretches that need little filling up."""
    lesson: list[Piece] = []
    for piece in sorted(cut, key=lambda piece: piece[1].high - piece[1].low):
        if (len(lesson) + 1) * (piece[1].high - piece[1].low) > LESSON_PIECES_COUNT:
            yield lesson
            lesson = []
        lesson.append(piece)
    yield lesson


def _optimiser(network: Network, rate: float) -> torch.optim.Optimizer:
    slow = network.encoder_parameters()
    known = {id(one) for one in slow}
    fast = [one for one in network.parameters() if one.requires_grad and id(one) not in known]
    return torch.optim.AdamW(
        [{"params": slow, "lr": rate}, {"params": fast, "lr": rate * HEADS_FACTOR}],
        weight_decay=WEIGHT_DECAY,
        fused=True,
    )


def print_scores(network: Network, held: Sequence[Example], pieces: WordPieces) -> None:
    """Print what network and grammar, each alone, get right on the files held out."""
    scores = {"network": Score(), "grammar": Score()}
    for example in held:
        laid = lay_out(example, pieces, network.tags)
        scores["network"] += score_of(example, findings(network, laid, read(network, laid, pieces)))
        scores["grammar"] += score_of(example, grammar_findings(example))
    for name, one in scores.items():
        print(f"{name} alone: {figures(one)}", flush=True)


def ship(out: Path, tables: export.Tables, names: Mapping[str, Sequence[str]], held: Sequence[told.Told]) -> None:
    """Write the file, join network and grammar on the look-overs held out, write it again with the joining."""
    export.write(out, tables, names)
    weights = unpacked(learned_speech(out))
    proposals = [joining.proposals_of(weights, speech) for speech in held]
    export.write(out, {**tables, **joining.fit(proposals).tables()}, names)
    print(f"{out}: {out.stat().st_size / 1e6:.1f} MB", flush=True)
    if len(held) > 1:
        print(f"both joined: {figures(joining.score_apart(weights, held, proposals))}")


def figures(one: Score) -> str:
    """The figures of findings in one line."""
    return (
        f"P {one.basic.precision_ratio:.3f}, R {one.basic.recall_ratio:.3f}, F1 {one.basic.f1_ratio:.3f}; F1 with "
        f"wheel and place {one.full.f1_ratio:.3f}; numbers F1 {one.measurements.f1_ratio:.3f}; "
        f"reversed {one.reversals_count} of {one.basic.labelled_count}"
    )


def _arguments(argv: Sequence[str]) -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="teaching.teach", description="Teach the second reader of look-overs.")
    parser.add_argument("--out", type=Path, required=True, help="the file to write")
    parser.add_argument(
        "--start",
        type=Path,
        metavar="FILE",
        help="go on from the network that an earlier round kept (.pt), or from a file of the package (.safetensors)",
    )
    parser.add_argument(
        "--with-look-overs",
        action="store_true",
        help="teach on the look-overs of tests/data/lookovers too, aligned by the network of --start",
    )
    parser.add_argument(
        "--soften",
        type=float,
        metavar="X",
        default=0.0,
        help="soften the labels by the answers of the network of --start: so much of each loss is against these",
    )
    parser.add_argument(
        "--mean",
        type=Path,
        metavar="FILE",
        help="write the mean of what was taught and of the network of FILE, an earlier round of the same teaching",
    )
    parser.add_argument(
        "--rate",
        type=float,
        metavar="X",
        default=RATE,
        help="rate of learning of the encoder; the heads learn ten times as fast",
    )
    parser.add_argument(
        "--epochs",
        type=int,
        default=EPOCHS,
        help="times to go through all speech; 0 only joins network and grammar anew",
    )
    parser.add_argument("--only", metavar="A,B,...", help="teach on these writers only")
    parser.add_argument(
        "--hold", metavar="NN", default=HELD_OUT, help="number of the file of every writer that is held out"
    )
    parser.add_argument(
        "--workers", type=int, metavar="N", default=1, help="processes that teach together, one core each"
    )
    parser.add_argument("--seed", type=int, default=0, help="beginning of all choices by chance")
    given = parser.parse_args(argv)
    if given.with_look_overs and given.start is None:
        parser.error("--with-look-overs wants --start: its network finds the words of the labels")
    if given.soften and given.start is None:
        parser.error("--soften wants --start: its network gives the answers")
    if not 0.0 <= given.soften < 1.0:
        parser.error("--soften wants a number from 0 to below 1")
    if given.rate <= 0.0:
        parser.error("--rate wants a number above 0")
    if given.workers < 1:
        parser.error("--workers wants a number from 1 on")
    return given


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
