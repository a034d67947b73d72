"""Which room may import which, and what is never in a room.

The table is that of ARCHITECTURE.md and is transitive: with a room come the rooms that it may import itself. For
`web` and `cli` it is not: they reach everything through `bench`, never past it. Every import counts, also one
inside a function, one for type checking only, and `importlib.import_module` with a name that stands there.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

FIRST_ROW = frozenset({"units", "spoken_values", "spoken_numbers", "errors", "uncertain", "formula"})
# What each room may import beside the first row, before the transitive step.
TABLE: dict[str, frozenset[str]] = {
    "trade": frozenset(),
    "movement": frozenset(),
    "mechanics": frozenset({"movement"}),
    "gauging": frozenset({"mechanics", "trade"}),
    "listening": frozenset({"movement"}),
    "record": frozenset({"trade"}),
    "telling": frozenset({"trade", "record"}),
    "diagnosis": frozenset({"mechanics", "record", "trade"}),
    "papers": frozenset({"record", "movement"}),
    "capture": frozenset(),
    "store": frozenset({"record"}),
    "bench": frozenset(
        {
            "trade",
            "movement",
            "mechanics",
            "gauging",
            "listening",
            "record",
            "telling",
            "diagnosis",
            "papers",
            "capture",
            "store",
        }
    ),
    "web": frozenset({"bench", "record"}),
    "cli": frozenset({"bench", "record", "web"}),
}
# The doors to the outside: with `bench` or `web` they do not get what stands behind those.
_DOORS = {"web", "cli"}

_DATABASE = frozenset({"sqlite3", "sqlalchemy", "alembic", "psycopg"})
_HTTP = frozenset({"fastapi", "starlette", "uvicorn", "http", "httpx", "requests", "urllib", "socket"})
_HTML = frozenset({"jinja2", "html"})
_FILES = frozenset({"pathlib", "os", "io", "shutil", "tempfile", "glob"})
_CLOCK = frozenset({"time", "logging", "random", "secrets"})
_SOUND = frozenset({"av", "soundfile", "soxr", "pocketsphinx"})
# Modules that a room never imports, from the last column of the table.
NEVER: dict[str, frozenset[str]] = {
    "trade": frozenset({"numpy", "scipy", "numba", "uncertainties"}) | _DATABASE | _HTTP | _HTML,
    "movement": _FILES | _CLOCK | _DATABASE | _HTTP,
    "mechanics": _FILES | _CLOCK | _DATABASE | _HTTP,
    "gauging": _FILES | _CLOCK | _DATABASE | _HTTP,
    "listening": _FILES | _CLOCK | _DATABASE | _HTTP | _SOUND,
    "record": _DATABASE | _HTTP | _HTML,
    "telling": _FILES | _SOUND | _DATABASE | _HTTP,
    "diagnosis": frozenset({"random", "secrets", "logging"}) | _DATABASE | _HTTP,
    "papers": _DATABASE | _HTTP,
    "bench": frozenset({"fastapi", "starlette", "uvicorn", "click"}),
    "web": _DATABASE | frozenset({"numpy", "scipy"}),
    "cli": _DATABASE | frozenset({"numpy", "scipy"}),
}
# Rooms that take their random numbers as an argument.
NO_RANDOM_SOURCE = frozenset({"movement", "mechanics", "gauging", "diagnosis"})
NO_OPEN = frozenset({"movement", "mechanics", "gauging", "listening", "telling"})


def may_import(room: str) -> frozenset[str]:
    """Every room that `room` may import, the first row among them."""
    if room in FIRST_ROW:
        return FIRST_ROW
    reached = set(TABLE[room])
    if room in _DOORS:
        return frozenset(reached | {"trade"} | FIRST_ROW)
    while more := {further for one in reached for further in TABLE[one]} - reached:
        reached |= more
    return frozenset(reached | FIRST_ROW)


def import_problems(package: Path) -> list[str]:
    """One line for each import that the table forbids, and for each call that a room never makes."""
    found: list[str] = []
    for path in sorted(package.rglob("*.py")):
        room = _room(path.relative_to(package))
        if room is None:
            continue
        tree = ast.parse(path.read_text(encoding="utf-8"))
        where = path.relative_to(package.parent).as_posix()
        if room not in TABLE and room not in FIRST_ROW:
            found.append(f"{where}: {room} is no room of the table")
            continue
        for line, module in _imports(tree, package.name, path.relative_to(package)):
            found += _judged(f"{where}:{line}", room, module, package.name)
        found += _calls(where, room, tree)
    return found


def _judged(where: str, room: str, module: str, package: str) -> list[str]:
    head, _, rest = module.partition(".")
    if head == package:
        target = rest.partition(".")[0]
        if not target or target.startswith("__") or target == room or target in may_import(room):
            return []
        return [f"{where}: {room} may not import {target}"]
    return [f"{where}: {head} is never in {room}"] if head in NEVER.get(room, ()) else []


def _imports(tree: ast.AST, package: str, inside: Path) -> Iterator[tuple[int, str]]:
    here = [package, *inside.with_suffix("").parts]
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from ((node.lineno, alias.name) for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            base = (
                ".".join([*here[: len(here) - node.level], *([node.module] if node.module else [])])
                if node.level
                else node.module or ""
            )
            yield from ((node.lineno, f"{base}.{alias.name}") for alias in node.names)
        elif (
            isinstance(node, ast.Call)
            and _name(node.func) in ("importlib.import_module", "import_module", "__import__")
            and node.args
        ):
            first = node.args[0]
            text = first.values[0] if isinstance(first, ast.JoinedStr) and first.values else first
            if isinstance(text, ast.Constant) and isinstance(text.value, str):
                yield node.lineno, text.value.rstrip(".")


def _calls(where: str, room: str, tree: ast.AST) -> list[str]:
    found = []
    for node in ast.walk(tree):
        if not isinstance(node, ast.Call):
            continue
        name = _name(node.func)
        if room in NO_RANDOM_SOURCE and (
            name.startswith(("np.random.", "numpy.random.")) or name.endswith("default_rng")
        ):
            found.append(f"{where}:{node.lineno}: {room} makes no random source of its own; it is handed one")
        if room in NO_OPEN and name == "open":
            found.append(f"{where}:{node.lineno}: {room} opens no file")
        if room == "bench" and name == "print":
            found.append(f"{where}:{node.lineno}: bench prints nothing")
    return found


def _name(node: ast.AST) -> str:
    if isinstance(node, ast.Attribute):
        return f"{_name(node.value)}.{node.attr}"
    return node.id if isinstance(node, ast.Name) else ""


def _room(inside: Path) -> str | None:
    """The room of a file; None for the package's own `__init__` and `__main__`."""
    if len(inside.parts) > 1:
        return inside.parts[0]
    return None if inside.stem in ("__init__", "__main__") else inside.stem
