"""What a user can meet has a line in docs/reference: each error, each setting, each source that a docstring names.

Settings are environment variables: any name that is read from the environment, handed to an option as `envvar`, or
written as a string of the form `UNDERDIAL_SOMETHING`.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterable
from pathlib import Path

_OWN = re.compile(r"UNDERDIAL_[A-Z][A-Z0-9_]*")
# A numpydoc citation: a name, mostly with its year, in brackets with an underscore behind.
_KEY = re.compile(r"\[([A-Z][A-Za-z0-9-]*)\]_")


def error_problems(errors: Path, page: Path) -> list[str]:
    """One line for each exception class without a heading of its name on the page."""
    told = _text(page)
    names = [one.name for one in ast.parse(_text(errors)).body if isinstance(one, ast.ClassDef)]
    return [
        f"{page.name}: {name} has no heading"
        for name in names
        if not re.search(rf"^#+ `?{name}`?$", told, re.MULTILINE)
    ]


def setting_problems(files: Iterable[Path], page: Path) -> list[str]:
    """One line for each environment variable that is read and not on the page."""
    told = _text(page)
    read = {name: path for path in files for name in settings_read(path)}
    return [
        f"{page.name}: {name} is read in {path.name} and not told"
        for name, path in sorted(read.items())
        if f"`{name}`" not in told
    ]


def settings_read(path: Path) -> set[str]:
    """Names of environment variables that a module reads."""
    found: set[str] = set()
    for node in ast.walk(ast.parse(_text(path))):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and _OWN.fullmatch(node.value):
            found.add(node.value)
        elif isinstance(node, ast.Subscript) and ast.unparse(node.value) == "os.environ":
            found |= _names([node.slice])
        elif isinstance(node, ast.Call):
            if ast.unparse(node.func) in ("os.environ.get", "os.getenv", "os.environ.setdefault", "os.environ.pop"):
                found |= _names(node.args[:1])
            found |= _names([word.value for word in node.keywords if word.arg == "envvar"])
    return found


def source_key_problems(files: Iterable[Path], page: Path) -> list[str]:
    """One line for each source that a docstring cites and the page does not have."""
    told = _text(page)
    cited = {key: path for path in files for key in _KEY.findall(_text(path))}
    return [
        f"{page.name}: [{key}] is cited in {path.name} and not there"
        for key, path in sorted(cited.items())
        if not re.search(rf"\b{re.escape(key)}\b", told)
    ]


def _names(nodes: Iterable[ast.AST]) -> set[str]:
    return {one.value for one in nodes if isinstance(one, ast.Constant) and isinstance(one.value, str)}


def _text(path: Path) -> str:
    return path.read_text(encoding="utf-8") if path.exists() else ""
