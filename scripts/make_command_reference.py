#!/usr/bin/env python3
"""Write docs/reference/commands.md from the program's own help.

    .venv/bin/python scripts/make_command_reference.py            write the page
    .venv/bin/python scripts/make_command_reference.py --print    print it instead

Run it after a command, an option or a help text has changed; a house test compares the page with the program. The
page depends on nothing but the program: width, terminal and environment are fixed.
"""

from __future__ import annotations

import os
import sys
from pathlib import Path

WIDTH_COUNT = 96
PAGE = Path(__file__).resolve().parents[1] / "docs" / "reference" / "commands.md"
NOT_YET = "Not built yet.\n"
HEAD = """# Commands

Written by `scripts/make_command_reference.py` from the program's own help; change the program, not this page.

Every command answers with one JSON object when its output goes to a file or a pipe, and with words on a terminal
(`--json`, `--words` choose). Exit status: 0 done; 1 refused, with the reason; 2 the command, a file or the machine;
3 a fault of ours, with the name of the report file.
"""


def main(argv: list[str]) -> int:
    os.environ.pop("UNDERDIAL_SHOP", None)
    text = page()
    if "--print" in argv:
        sys.stdout.write(text)
        return 0
    PAGE.parent.mkdir(parents=True, exist_ok=True)
    PAGE.write_text(text, encoding="utf-8")
    return 0


def page() -> str:
    """The page of all commands, in the order of the job."""
    from underdial.cli.frame import COMMANDS, underdial

    parts = [HEAD]
    for name, (_, line) in COMMANDS.items():
        parts.append(f"## {name}\n\n{line}\n\n{_help(name, underdial)}")
    return "\n".join(parts)


def _help(name: str, group: object) -> str:
    import click

    assert isinstance(group, click.Group)
    root = click.Context(
        group, info_name="underdial", terminal_width=WIDTH_COUNT, max_content_width=WIDTH_COUNT, color=False
    )
    try:
        command = group.get_command(root, name)
    except ModuleNotFoundError as missing:
        if not str(missing.name).startswith("underdial.cli."):
            raise
        return NOT_YET
    except AttributeError as missing:
        if missing.name != f"{name}_command":
            raise
        return NOT_YET
    assert command is not None
    with click.Context(
        command, info_name=name, parent=root, terminal_width=WIDTH_COUNT, max_content_width=WIDTH_COUNT, color=False
    ) as inside:
        text = command.get_help(inside)
    return "```text\n" + "\n".join(one.rstrip() for one in text.splitlines()) + "\n```\n"


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
