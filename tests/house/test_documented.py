"""Every command, error, setting and cited source has its entry in docs/reference."""

from __future__ import annotations

import importlib.util
import re
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

from .conftest import PACKAGE, ROOT, Tree, own_modules
from .rules.documented import error_problems, setting_problems, settings_read, source_key_problems

REFERENCE = ROOT / "docs" / "reference"


def test_every_error_has_its_entry() -> None:
    assert error_problems(PACKAGE / "errors.py", REFERENCE / "errors.md") == []


def test_every_setting_has_its_entry() -> None:
    assert setting_problems(own_modules(), REFERENCE / "settings.md") == []


def test_every_source_a_docstring_cites_is_on_the_list_of_sources() -> None:
    assert source_key_problems(own_modules(), REFERENCE / "sources.md") == []


def test_the_page_of_commands_is_what_the_program_says(tmp_path: Path) -> None:
    made = subprocess.run(
        [sys.executable, ROOT / "scripts" / "make_command_reference.py", "--print"],
        capture_output=True,
        text=True,
        check=True,
        cwd=tmp_path,
    )

    same = made.stdout == (REFERENCE / "commands.md").read_text(encoding="utf-8")
    assert same, (
        "docs/reference/commands.md is older than the program: .venv/bin/python scripts/make_command_reference.py "
        "writes it anew"
    )


def test_the_page_of_commands_comes_out_the_same_twice_whatever_the_terminal(tmp_path: Path) -> None:
    pages = [
        subprocess.run(
            [sys.executable, ROOT / "scripts" / "make_command_reference.py", "--print"],
            capture_output=True,
            text=True,
            check=True,
            cwd=tmp_path,
            env={"COLUMNS": columns, "PATH": "/usr/bin", "HOME": str(tmp_path), "UNDERDIAL_SHOP": columns},
        ).stdout
        for columns in ("40", "200")
    ]

    assert pages[0] == pages[1]


def test_every_command_has_a_heading() -> None:
    from underdial.cli.frame import COMMANDS

    page = (REFERENCE / "commands.md").read_text(encoding="utf-8")
    assert [name for name in COMMANDS if f"\n## {name}\n" not in page] == []


def lines_to_type() -> list[tuple[str, str, str]]:
    """File, verb and next word of every `dev.py VERB` that a reader is told to type, on a page, in the program or in
    the documentation.
    """
    told = [
        ROOT / "README.md",
        ROOT / "CONTRIBUTING.md",
        *(ROOT / "docs").rglob("*.md"),
        *PACKAGE.rglob("*.html"),
        *PACKAGE.rglob("*.py"),
    ]
    return [
        (path.name, verb, word)
        for path in told
        for verb, word in re.findall(r"python3 dev\.py (\w+)(?: (\w+)\b)?", path.read_text(encoding="utf-8"))
    ]


def test_every_line_of_dev_that_is_told_can_be_typed() -> None:
    spec = importlib.util.spec_from_file_location("dev", ROOT / "dev.py")
    assert spec is not None
    assert spec.loader is not None
    dev = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(dev)
    groups = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]["optional-dependencies"]
    lines = lines_to_type()

    assert ("as_found.html", "setup", "dictation") in lines
    assert {verb for _, verb, _ in lines} <= set(re.findall(r"dev\.py (\w+)", dev.__doc__))
    assert {word for _, verb, word in lines if verb == "setup" and word} <= {*dev.LOCKS, *dev.EXTRAS}
    assert set(dev.EXTRAS) <= set(groups)


@pytest.mark.parametrize(
    "page",
    [
        "README.md",
        "CONTRIBUTING.md",
        *(f"docs/how-to/{path.name}" for path in sorted((ROOT / "docs" / "how-to").glob("*.md"))),
    ],
)
def test_a_command_copied_with_what_is_said_beside_it_stays_the_command(page: str) -> None:
    lines = (ROOT / page).read_text(encoding="utf-8").splitlines()

    assert [line for line in lines if re.match(r"    (underdial|python3|\.venv/bin)\b.*\S {2,}(?![ #])", line)] == []


def test_every_file_that_the_architecture_names_is_there() -> None:
    named = re.findall(r"`((?:[a-z_*]+/)+[a-z_*.]*)`", (ROOT / "ARCHITECTURE.md").read_text(encoding="utf-8"))

    assert "bench/causes/answering.py" in named
    assert [one for one in named if not any(list(place.glob(one)) for place in (ROOT, PACKAGE, ROOT / "src"))] == []


@pytest.mark.parametrize("word", ["", "nothing"])
def test_a_word_that_dev_does_not_know_is_said_and_sets_nothing_up(tmp_path: Path, word: str) -> None:
    (tmp_path / "dev.py").write_text((ROOT / "dev.py").read_text(encoding="utf-8"), encoding="utf-8")
    done = subprocess.run(
        [sys.executable, tmp_path / "dev.py", "setup" if word else "sett", *([word] if word else [])],
        capture_output=True,
        text=True,
        check=False,
    )

    assert done.returncode != 0
    assert "dictation" in done.stdout
    assert not (tmp_path / ".venv").exists()


def test_an_error_without_its_heading_is_seen(tree: Tree) -> None:
    package = tree(
        {
            "errors.py": "class Bent(Exception): ...\nclass Worn(Exception): ...\n",
            "errors.md": "## `Bent`\n\nIt is Worn.\n",
        }
    )

    assert error_problems(package / "errors.py", package / "errors.md") == ["errors.md: Worn has no heading"]
    assert len(error_problems(package / "errors.py", package / "none.md")) == len(["Bent", "Worn"])


def test_every_way_to_read_a_setting_is_seen(tree: Tree) -> None:
    package = tree({
        "store/shelf.py": """
            import os
            A = os.environ["UNDERDIAL_A"]
            B = os.environ.get("LANG_B")
            C = os.getenv("C_SETTING", "1")
            option("--shop", envvar="D_SETTING")
            NAME = "UNDERDIAL_E"
            """,
        "settings.md": "`UNDERDIAL_A` `LANG_B` `C_SETTING` `D_SETTING`",
    })  # fmt: skip

    assert settings_read(package / "store" / "shelf.py") == {
        "UNDERDIAL_A",
        "LANG_B",
        "C_SETTING",
        "D_SETTING",
        "UNDERDIAL_E",
    }
    assert setting_problems([package / "store" / "shelf.py"], package / "settings.md") == [
        "settings.md: UNDERDIAL_E is read in shelf.py and not told"
    ]


def test_a_cited_source_that_is_not_listed_is_seen(tree: Tree) -> None:
    package = tree(
        {
            "mechanics/a.py": '"""Source: [Nobody1900]_ p. 3; [Airy1830]_."""\nx = y[Z]\n',
            "sources.md": "* **Airy1830**: G. B. Airy",
        }
    )

    assert source_key_problems([package / "mechanics" / "a.py"], package / "sources.md") == [
        "sources.md: [Nobody1900] is cited in a.py and not there"
    ]
