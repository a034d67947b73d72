"""The frame of the command line: commands loaded when asked for, one way to answer, one way to refuse.

An answer is one JSON object on standard output, or lines of words when a person is looking (a terminal) or
`--words` is given. Exit status: 0 done; 1 refused or a check failed (the same keys, `verdict`, `reason`);
2 the command, a file or the machine (one line on standard error); 3 a fault of ours (one line that names the
report file).
"""

from __future__ import annotations

import difflib
import importlib
import json
import math
import os
import re
import sys
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any

import click

from underdial import units
from underdial.errors import BadInput, MachineRefused, NotFound, UnderdialError

# Command -> (module of this room, one line for the list). Kept in the order of the job.
COMMANDS: dict[str, tuple[str, str]] = {
    "demo": ("serving", "Open the app on a demo shop of invented clocks."),
    "serve": ("serving", "Open the app on the shop's own folder."),
    "lookover": ("lookover", "A spoken look-over (captions, sound, film) to findings."),
    "listen": ("listen", "A recording of the ticking to rate, beat and swing, or a refusal."),
    "recorder": ("listen", "How fast a recorder's own clock runs; kept for what it records later."),
    "train": ("trains", "Counts to beats, periods, going time."),
    "strike": ("trains", "Counts of a strike train to blows; rack and snail."),
    "missing": ("trains", "Counts that are lost: every candidate, with its probability."),
    "formula": ("handbook", "Every computation by name, with units, range and source."),
    "runout": ("gauging", "Dial-gauge readings to the bend in a staff or arbor."),
    "metal": ("gauging", "Weight in air and water to the metal, and what it forbids."),
    "poise": ("gauging", "Rates in positions to the heavy spot of a balance."),
    "bush": ("gauging", "A worn hole to its true centre and the size of the bush."),
    "cone": ("gauging", "Cone pivot and cup: contact, friction, side shake."),
    "spring": ("making", "A mainspring: turns, torque, choice of another."),
    "hairspring": ("making", "A hairspring: strength, length, how much to let out."),
    "pendulum": ("making", "A pendulum: length, turns of the nut, temperature."),
    "teeth": ("making", "Wheel and pinion: form, sizes, depth, efficiency."),
    "pallets": ("making", "Pallets to size from wheel and centres."),
    "diagnose": ("diagnose", "Causes, next test, choices for a clock or a case file."),
    "papers": ("papers", "The papers of a clock as PDF."),
    "invoice": ("papers", "Issue an invoice: it takes the shop's next number."),
    "credit": ("papers", "Issue a credit note of an invoice, whole or in part."),
    "hours": ("papers", "Count the hours worked at a clock, or put them right."),
    "check": ("shop", "See that the shop's records and files are sound."),
    "backup": ("shop", "Write the whole shop to one file."),
    "erase": ("erasing", "Erase a person who asks for it, for good."),
    "restore": ("shop", "Bring a shop back from a backup into a new folder."),
    "export": ("shop", "Write one clock to an exchange file."),
    "import": ("shop", "Take clocks in from an exchange file."),
}


_ANY = "a value"


class LazyGroup(click.Group):
    """Lists all commands without importing them; imports the one that is run."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in COMMANDS:
            return None
        module = importlib.import_module(f"underdial.cli.{COMMANDS[cmd_name][0]}")
        command = getattr(module, f"{cmd_name}_command")
        assert isinstance(command, click.Command)
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section("Commands"):
            formatter.write_dl([(name, line) for name, (_, line) in COMMANDS.items()])


class Value(click.ParamType[units.Quantity]):
    """A value with its unit and perhaps its uncertainty, such as `1.42+-0.005mm`, to a `units.Quantity` in SI."""

    name = "value"

    def __init__(self, kind: str) -> None:
        self.kind = kind

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> units.Quantity:
        if isinstance(value, units.Quantity):
            return value
        return units.parse(value, kind=self.kind, field=_field(param))


class Number(click.ParamType[tuple[float, float]]):
    """A bare number and perhaps its uncertainty, such as `9778+-20`, to a pair."""

    name = "number"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> tuple[float, float]:
        if isinstance(value, tuple):
            return value
        return units.parse_number(value, field=_field(param))


def shared_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """Give a command `--json`/`--words`, `--out FILE` and `--replace`; `answer` reads them from the context."""
    command = click.option(
        "--json/--words",
        "as_json",
        default=None,
        expose_value=False,
        callback=_keep,
        help="One JSON object, or words. Without either: words on a terminal, else JSON.",
    )(command)
    command = click.option(
        "--out",
        type=click.Path(path_type=Path),
        expose_value=False,
        callback=_keep,
        help="Write to this file, in the kind of its ending.",
    )(command)
    return click.option(
        "--replace",
        is_flag=True,
        expose_value=False,
        callback=_keep,
        help="Allow --out to write over a file that exists.",
    )(command)


def shop_option(command: Callable[..., Any]) -> Callable[..., Any]:
    """Give a command `--shop FOLDER` (environment UNDERDIAL_SHOP, else the user's data folder)."""
    return click.option(
        "--shop",
        type=click.Path(path_type=Path),
        envvar="UNDERDIAL_SHOP",
        default=None,
        help="The shop's folder; else UNDERDIAL_SHOP, else the user's data folder.",
    )(command)


def answer(result: Mapping[str, Any], words: str, *, writers: Mapping[str, Callable[..., None]] | None = None) -> None:
    """Print a result, and end with exit 1 when its verdict is `refused` or `failed`.

    `words` is what a person reads. `writers` maps an ending (`.svg`, `.dxf`, `.pdf`, `.csv`) to a function
    that writes it, a PDF by the size of its sheets too; `.json` is always known.
    """
    kept = click.get_current_context().meta
    text = json.dumps(plain(result), ensure_ascii=False, allow_nan=False)
    out: Path | None = kept.get("underdial.out")
    if out is not None:

        def write_json(path: Path) -> None:
            path.write_text(text + "\n", encoding="utf-8")

        write_out(out, {**(writers or {}), ".json": write_json}, replace=bool(kept.get("underdial.replace")))
    as_json = kept.get("underdial.as_json")
    if as_json is None:
        as_json = not sys.stdout.isatty()
    click.echo(text if as_json else words)
    if result.get("verdict") in ("refused", "failed"):
        click.get_current_context().exit(1)


def said(lines: Sequence[str], result: Mapping[str, Any]) -> str:
    """What a person reads: the lines of an answer, its warnings last."""
    return "\n".join([*lines, *result["warnings"]])


def _sheet() -> str:
    """The size of the sheets that the shop prints on, of which no command for a sum is told."""
    from underdial.bench.settings import read_settings, usual_folder

    named = os.environ.get("UNDERDIAL_SHOP")
    return read_settings((Path(named) if named else usual_folder()) / "shop.toml").sheet


def write_out(out: Path, writers: Mapping[str, Callable[..., None]], *, replace: bool) -> None:
    """Write beside the target and move into place, so that a full disk leaves nothing half written."""
    ending = out.suffix.lower()
    if ending not in writers:
        raise BadInput(
            "out",
            str(out),
            " ".join(sorted(writers)),
            f"out: {out.name} ends in {ending or 'nothing'}; this command writes {', '.join(sorted(writers))}",
        )
    if out.exists() and not replace:
        raise BadInput(
            "out", str(out), "a new file name, or --replace", f"out: {out} exists; give another name, or --replace"
        )
    part = out.with_name(f".{out.name}.part{ending}")
    try:
        if ending == ".pdf":
            writers[ending](part, _sheet())
        else:
            writers[ending](part)
        part.replace(out)
    except OSError as wrong:
        raise MachineRefused(
            "out", str(out), "a folder that can be written", f"out: {out} cannot be written ({wrong.strerror or wrong})"
        ) from wrong
    finally:
        part.unlink(missing_ok=True)


def read_text(file: str, *, field: str = "file") -> str:
    """Text of a file, or of standard input for `-`; one clear sentence when it cannot be had."""
    try:
        if file == "-":
            return sys.stdin.buffer.read().decode("utf-8-sig")
        return Path(file).read_text(encoding="utf-8-sig")
    except FileNotFoundError:
        raise NotFound(field, file, "a file that exists", f"{field}: {file} is not there") from None
    except UnicodeDecodeError:
        raise BadInput(field, file, "a text file in UTF-8", f"{field}: {file} is not text in UTF-8") from None
    except OSError as wrong:
        raise MachineRefused(
            field, file, "a file that can be read", f"{field}: {file} cannot be read ({wrong.strerror})"
        ) from wrong


def plain(value: Any) -> Any:
    """Numbers, lists and maps that JSON knows: no NaN, no numpy, no tuple."""
    if isinstance(value, Mapping):
        return {str(key): plain(one) for key, one in value.items()}
    if isinstance(value, list | tuple | set | frozenset):
        return [plain(one) for one in value]
    if hasattr(value, "tolist"):
        return plain(value.tolist())
    if isinstance(value, float) and not math.isfinite(value):
        return None
    if isinstance(value, Path):
        return str(value)
    return value


@click.group(
    cls=LazyGroup,
    invoke_without_command=True,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
)
@click.version_option(package_name=None, version=__import__("underdial").__version__, prog_name="underdial")
@click.pass_context
def underdial(ctx: click.Context) -> None:
    """One record of a clock from the counter to the counter, with a computed model of its movement behind it."""
    if ctx.invoked_subcommand is None:
        click.echo(ctx.get_help())


def main(argv: list[str] | None = None) -> None:
    """Run one command; every way it can end is one of the four exit statuses."""
    try:
        status = underdial.main(args=argv, prog_name="underdial", standalone_mode=False)
        sys.exit(status if isinstance(status, int) else 0)
    except click.exceptions.Exit as done:
        sys.exit(done.exit_code)
    except click.exceptions.Abort:
        sys.exit(130)
    except click.UsageError as wrong:
        _refuse(_from_click(wrong, sys.argv[1:] if argv is None else argv))
    except click.ClickException as wrong:
        _refuse(BadInput("command", "", "see --help", wrong.format_message()))
    except UnderdialError as wrong:
        _refuse(_as_typed(wrong, sys.argv[1:] if argv is None else argv))
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        sys.exit(0)
    except OSError as wrong:
        what = str(wrong.filename or "machine")
        _refuse(MachineRefused("machine", what, "room and permission to write", f"{what}: {wrong.strerror or wrong}"))
    except Exception as fault:
        _report(fault)


def _field(param: click.Parameter | None) -> str:
    """The option as it is typed, without its strokes."""
    return max(param.opts, key=len).lstrip("-") if param is not None and param.opts else "value"


def _keep(ctx: click.Context, param: click.Parameter, value: Any) -> Any:
    ctx.meta[f"underdial.{param.name}"] = value
    return value


def _from_click(wrong: click.UsageError, argv: Sequence[str]) -> BadInput:
    """A usage error of the command-line library in our form: field, what was typed, what is allowed."""
    command = wrong.ctx.command_path if wrong.ctx else "underdial"
    see = f"see {command} --help"
    if isinstance(wrong, click.NoSuchOption):
        near = ", ".join(one for one in wrong.possibilities or () if one != "--help")
        return BadInput(
            wrong.option_name.lstrip("-"),
            wrong.option_name,
            near or see,
            f"{command.split()[-1]}: there is no {wrong.option_name} here; {'near it: ' + near if near else see}.",
        )
    if isinstance(wrong, click.BadOptionUsage):
        field = wrong.option_name.lstrip("-")
        return BadInput(field, "(nothing)", see, f"{field}: nothing stands behind {wrong.option_name}; {see}.")
    param = wrong.param if isinstance(wrong, click.BadParameter) else None
    if param is None:
        return _not_a_command(" ".join(wrong.format_message().split()), command, see)
    field, allowed = _field(param), _allowed(param.type)
    if isinstance(wrong, click.MissingParameter):
        how = f"--{field}" if isinstance(param, click.Option) else (param.metavar or field.upper())
        tail = f"; allowed: {allowed}" if allowed != _ANY else f"; {see}"
        return BadInput(field, "(nothing)", allowed, f"{field}: {command} needs {how}{tail}.")
    return BadInput(field, _typed_for(param, argv, wrong.message), allowed)


def _not_a_command(message: str, command: str, see: str) -> BadInput:
    """A command that does not exist, a word too many, or another error that is of no one option."""
    quoted = re.search(r"'([^']*)'|\(([^)]*)\)", message)
    value = (quoted[1] or quoted[2]) if quoted else "(nothing)"
    if message.startswith("No such command"):
        near = ", ".join(difflib.get_close_matches(value, COMMANDS, n=3)) or see
        return BadInput(
            "command", value, near, f"command: there is no {value}; {near if near == see else f'near it: {near}'}."
        )
    if message.startswith("Got unexpected"):
        field = command.rsplit(maxsplit=1)[-1]
        return BadInput(field, value, see, f"{field}: {value} is more than it takes; {see}.")
    return BadInput(command, value, see, f"{message.rstrip('.')}. See {command} --help.")


def _allowed(kind: click.ParamType[Any]) -> str:
    """What an option takes, in words."""
    if isinstance(kind, Value):
        return f"a number with a unit, of {units.allowed_units(kind.kind)}"
    if isinstance(kind, click.Choice):
        return ", ".join(str(one) for one in kind.choices)
    words = {click.types.IntParamType: "a whole number", click.types.FloatParamType: "a number"}
    number = next((word for one, word in words.items() if isinstance(kind, one)), None)
    if number is not None and isinstance(kind, click.IntRange | click.FloatRange):
        if kind.min is not None and kind.max is not None:
            return f"{number}, {kind.min:g} to {kind.max:g}"
        return f"{number}, {kind.min:g} or more" if kind.min is not None else number
    return number or {"path": "a file", "filename": "a file", "number": "a number, such as 9778 or 9778+-20"}.get(
        kind.name, _ANY
    )


def _typed_for(param: click.Parameter, argv: Sequence[str], message: str) -> str:
    """What was typed for an option; of what stands without one, the first word that the library quotes."""
    for at, word in enumerate(argv):
        name, equals, value = word.partition("=")
        if name in param.opts and equals:
            return value
        if word in param.opts and at + 1 < len(argv):
            return argv[at + 1]
    quoted = re.search(r"'([^']*)'", message)
    return quoted[1] if quoted else "(nothing)"


def _as_typed(wrong: UnderdialError, argv: list[str]) -> UnderdialError:
    """A refusal that names a formula's parameter (`half_arc_rad`), said of the option that was typed (`half-arc`)."""
    typed = {word.partition("=")[0].lstrip("-") for word in argv if word.startswith("--")}
    from underdial.bench.sums.as_typed import as_typed

    return as_typed(wrong, typed)


def _refuse(wrong: UnderdialError) -> None:
    if sys.stderr.isatty():
        click.echo(wrong.message, err=True)
    else:
        body = {"field": wrong.field, "value": plain(wrong.value), "allowed": wrong.allowed, "message": wrong.message}
        click.echo(json.dumps({"error": body}, ensure_ascii=False, default=str), err=True)
    sys.exit(2)


def _report(fault: Exception) -> None:
    import tempfile
    import traceback

    with tempfile.NamedTemporaryFile(
        "w", prefix="underdial-report-", suffix=".txt", delete=False, encoding="utf-8"
    ) as report:
        report.write("".join(traceback.format_exception(fault)))
    click.echo(
        f"A fault of ours ({type(fault).__name__}). What was confirmed is safe. The report is in {report.name}",
        err=True,
    )
    sys.exit(3)
