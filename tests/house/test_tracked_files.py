"""What is kept under version control names no registry and no place on a machine."""

from __future__ import annotations

import pytest

from .conftest import ROOT, Tree
from .rules.tracked_files import host_and_path_problems, tracked


def test_no_tracked_file_names_a_registry_or_a_place_on_a_machine() -> None:
    assert host_and_path_problems(tracked(ROOT), ROOT) == []


def test_the_files_of_the_project_are_found() -> None:
    names = {path.name for path in tracked(ROOT)}

    assert {"pyproject.toml", "README.md", "units.py"} <= names


# Put together from parts, so that this file does not hold what it forbids.
@pytest.mark.parametrize(
    "line",
    [
        "index = https://py" + "pi" + ".org/simple",
        "url = https://files.python" + "hosted" + ".org/x.whl",
        "resolved = https://registry.n" + "pmjs" + ".org/x",
        "path = /" + "home/anna/clocks",
        "see (/" + "work/main/x.py)",
        "C:" + "\\\\" + "Users\\\\anna",
        "read .." + "/" + "shared/notes",
    ],
)
def test_a_host_or_a_place_is_seen(tree: Tree, line: str) -> None:
    package = tree({"notes.txt": f"first\n{line}\n"})

    problems = host_and_path_problems([package / "notes.txt"], package)
    assert [one.split(":")[1] for one in problems] == ["2"]


def test_places_that_every_system_has_are_let_through(tree: Tree) -> None:
    package = tree(
        {
            "notes.txt": "/"
            + "usr/bin/chromium and /"
            + "tmp/x and papers/"
            + "work/order.typ and ~/"
            + "work/x and {shop}/"
            + "home/x\n"
        }
    )

    assert host_and_path_problems([package / "notes.txt"], package) == []
