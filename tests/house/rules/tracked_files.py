"""No tracked file names a package registry or a place on somebody's machine.

The patterns are put together from parts, so that this file does not hold what it looks for.
"""

from __future__ import annotations

import re
import subprocess
from pathlib import Path

# Each name cut in two, and its ending.
_HOSTS = (
    ("py", "pi", "org"),
    ("python", "hosted", "org"),
    ("registry.n", "pmjs", "org"),
    ("yarn", "pkg", "com"),
    ("deb.de", "bian", "org"),
    ("ana", "conda", "org"),
    ("proxy.go", "lang", "org"),
    ("gh", "cr", "io"),
    ("registry-1.do", "cker", "io"),
    ("js", "delivr", "net"),
    ("un", "pkg", "com"),
    ("cr", "ates", "io"),
)
_HOST = re.compile("|".join(re.escape(first + second + "." + end) for first, second, end in _HOSTS))
# A folder of a person, of the administrator, of a work tree; not a folder that every Debian has.
_PLACE = re.compile(
    r"(?<![\w.~}\])-])/(?:" + "|".join(("home", "root", "work", "Users", "workspace")) + r")/[\w.]|[A-Z]:\\+" + "Users"
)
_BESIDE = re.compile(re.escape("../" + "shared"))


def tracked(root: Path) -> list[Path]:
    """Files that git keeps under this folder and that are there; every file when it is no git folder."""
    try:
        listed = subprocess.run(["git", "ls-files", "-z"], cwd=root, capture_output=True, check=True).stdout.decode()
    except (OSError, subprocess.CalledProcessError):
        return sorted(path for path in root.rglob("*") if path.is_file() and ".venv" not in path.parts)
    return [root / name for name in listed.split("\0") if name and (root / name).is_file()]


def host_and_path_problems(files: list[Path], root: Path) -> list[str]:
    """One line for each line of a text file that names a registry's host or a place on a machine."""
    found = []
    for path in files:
        held = path.read_bytes()
        if b"\0" in held[:8192]:
            continue
        for number, line in enumerate(held.decode("utf-8", errors="replace").splitlines(), 1):
            for pattern, what in (
                (_HOST, "the host of a registry"),
                (_PLACE, "a place on one machine"),
                (_BESIDE, "a folder outside the project"),
            ):
                if match := pattern.search(line):
                    found.append(f"{path.relative_to(root).as_posix()}:{number}: {match[0]!r} is {what}")
    return found
