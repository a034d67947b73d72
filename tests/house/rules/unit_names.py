"""Units in names, and the same units in docstrings.

In the rooms that compute, a public function's plain numbers cross a boundary, so their names say their unit:
`length_m`, `rate_s_per_day`, `friction_ratio`. Held to this are

* every parameter annotated `float`, alone or in a list, of a public function of a public module;
* the return of such a function, by the name of the function, by the names of its returns in the docstring, or, where
  the name says only what it is, by the unit in brackets;
* every field annotated `float` of a public record.

A unit is the last part of a name (`_m`, `_n_m_per_rad`, `_per_k`), or the name tells a share (`_ratio`, `_count`) or
begins or ends with what is counted (`turns_wound`, `beats_per_tooth`). Where the numpydoc docstring gives a unit in
brackets, `[m]`, it has to be the same one. A number that may be in any unit, as in statistics, says `[any]` in its
docstring (for a field: in that of the record).
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

ROOMS = ("movement", "mechanics", "gauging", "listening", "units")
# Units as they stand at the end of a name, the longer first, and behind a `per`.
_UNITS = (
    "kg_m2",
    "kg_m",
    "n_m_s",
    "n_m",
    "n_s",
    "n2",
    "d2",
    "k2",
    "m2",
    "m3",
    "m4",
    "s2",
    "bit",
    "rad2",
    "rad",
    "deg",
    "ms",
    "um",
    "mm",
    "kg",
    "mg",
    "pa",
    "hz",
    "db",
    "ppm",
    "degc",
    "cst",
    "min",
    "week",
    "hour",
    "day",
    "month",
    "year",
    "m",
    "s",
    "n",
    "k",
    "h",
    "d",
    "j",
    "w",
)
_UNIT = "(?:" + "|".join(_UNITS) + ")"
# What is counted has no unit of its own: per turn, per tooth is a number of the same kind.
_COUNTED = (
    "turn",
    "turns",
    "tooth",
    "teeth",
    "leaf",
    "leaves",
    "beat",
    "beats",
    "blow",
    "blows",
    "arbor",
    "draw",
    "pins",
    "falls",
    "coils",
    "pitches",
    "modules",
    "parts",
    "swings",
    "cycles",
    "rev",
    "revs",
    "samples",
    "places",
    "nats",
)
_SHARES = (
    "ratio",
    "ratios",
    "count",
    "counts",
    "probability",
    "probabilities",
    "efficiency",
    "minor",
    "product",
    "coefficients",
)
_DIMENSIONLESS = (*_COUNTED, *_SHARES)
_PER_COUNTED = re.compile(rf"_per_(?:great_)?(?:{'|'.join(_COUNTED)})(?=_|$)")
_NAME_UNIT = re.compile(rf"(?:^|_)((?:{_UNIT})?(?:_?per_{_UNIT}(?:_{_UNIT})?)+|{_UNIT})$")
_ANY = "[any]"
_BRACKET = re.compile(r"\[([^\]\[]+)\]")
_SAME = {"hour": "h", "day": "d", "1": "", "-": "", **dict.fromkeys(_DIMENSIONLESS, "")}
# In the room of units itself a value and its unit travel as two arguments.
_UNITLESS_IN_UNITS = {"value", "u"}


def unit_of(name: str) -> str | None:
    """The unit a name ends in, written one way (`m`, `n_m_per_rad`, `` for none); None when it tells no unit."""
    lower = _PER_COUNTED.sub("", name.lower().replace("deg_c", "degc"))
    if match := _NAME_UNIT.search(lower):
        return _one_way(match[1].strip("_"))
    parts = name.lower().split("_")
    return "" if _PER_COUNTED.search(name.lower()) or parts[-1] in _DIMENSIONLESS or parts[0] in _COUNTED else None


def unit_of_bracket(text: str) -> str:
    """The unit written in a docstring (`N m/rad`, `1/K`, `s/day`) in the same way as `unit_of` writes it."""
    top, *below = text.strip().lower().replace("²", "2").replace("^", "").replace("·", " ").replace("µ", "u").split("/")
    tops = "_".join(top.split())
    return _one_way("_per_".join([tops, *("_".join(one.strip("() ").split()) for one in below)]))


def unit_name_problems(package: Path) -> list[str]:
    """One line for each plain number without a unit in its name, or with another than its docstring says."""
    found = []
    for path in sorted(one for room in ROOMS for one in _modules(package, room)):
        where = path.relative_to(package).as_posix()
        tree = ast.parse(path.read_text(encoding="utf-8"))
        for node in tree.body:
            if isinstance(node, ast.FunctionDef) and not node.name.startswith("_"):
                found += [f"{where}:{node.lineno}: {node.name}: {one}" for one in _function(node, path.stem)]
            elif isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
                found += [
                    f"{where}:{one.lineno}: {node.name}: {one.target.id} tells no unit"
                    for one in _fields(node)
                    if unit_of(one.target.id) is None
                    and _ANY not in (ast.get_docstring(node) or "")
                    and not _free(path.stem, one.target.id)
                ]
    return found


def _function(node: ast.FunctionDef, module: str) -> Iterator[str]:
    told = dict(_entries(_section(ast.get_docstring(node) or "", "Parameters")))
    arguments = [*node.args.posonlyargs, *node.args.args, *node.args.kwonlyargs]
    for one in arguments:
        unit = unit_of(one.arg)
        plain = _is_float(one.annotation)
        if plain and unit is None and _ANY not in told.get(one.arg, "") and not _free(module, one.arg):
            yield f"parameter {one.arg} tells no unit"
        elif unit is not None and one.arg in told and (plain or _BRACKET.search(told[one.arg])):
            yield from _disagreement(one.arg, unit, told[one.arg])
    if _is_float(node.returns):
        yield from _returned(node, module)


def _returned(node: ast.FunctionDef, module: str) -> Iterator[str]:
    told = _entries(_section(ast.get_docstring(node) or "", "Returns"))
    name, text = told[0] if told else (node.name, "")
    named = name if unit_of(name) is not None else node.name
    unit = unit_of(named)
    bracket = _BRACKET.search(text)
    if (
        unit is None
        and not bracket
        and not set(_DIMENSIONLESS) & set(node.name.split("_"))
        and not _free(module, node.name)
    ):
        yield "what it returns has no unit, in its name or in brackets"
    elif unit is not None and told and _ANY not in text:
        yield from _disagreement(named, unit, text)


def _disagreement(name: str, unit: str, text: str) -> Iterator[str]:
    bracket = _BRACKET.search(text)
    said = unit_of_bracket(bracket[1]) if bracket else ""
    if said != unit:
        yield f"{name} ends in {unit or 'no unit'}, its docstring says {said or 'none'}"


def _modules(package: Path, room: str) -> list[Path]:
    single = package / f"{room}.py"
    return (
        [single] if single.exists() else [one for one in (package / room).glob("*.py") if not one.name.startswith("_")]
    )


def _fields(node: ast.ClassDef) -> Iterator[ast.AnnAssign]:
    for one in node.body:
        if (
            isinstance(one, ast.AnnAssign)
            and isinstance(one.target, ast.Name)
            and not one.target.id.startswith("_")
            and _is_float(one.annotation)
        ):
            yield one


def _is_float(annotation: ast.expr | None) -> bool:
    """`float`, `float | None`, or a list or tuple of floats."""
    if annotation is None:
        return False
    text = ast.unparse(annotation).replace(" ", "")
    return bool(re.fullmatch(r"(?:Sequence|Iterable|list|tuple)?\[?float(?:,\.\.\.)?\]?(?:\|None)?", text))


def _free(module: str, name: str) -> bool:
    return module == "units" and name in {*_UNITLESS_IN_UNITS, "shown", "factor", "parse"}


def _section(doc: str, title: str) -> str:
    parts = re.split(r"^(\w[\w ]*)\n-{3,}\n", doc, flags=re.MULTILINE)
    return next((parts[at + 1] for at in range(1, len(parts) - 1, 2) if parts[at] == title), "")


def _entries(text: str) -> list[tuple[str, str]]:
    found: list[tuple[str, str]] = []
    for line in text.splitlines():
        if line.strip() and line[0] != " ":
            found.append((line.partition(" : ")[0].strip(), ""))
        elif line.strip() and found:
            found[-1] = (found[-1][0], f"{found[-1][1]} {line.strip()}".strip())
    return found


def _one_way(unit: str) -> str:
    """What stands above and below the stroke, each in order: everything behind the first `per` is below it."""
    above, _, below = (
        unit.replace("deg_c", "degc").removeprefix("per_").partition("_per_")
        if not unit.startswith("per_")
        else ("", "", unit[4:])
    )
    tops, belows = (
        [kept for one in part.replace("_per_", "_").split("_") if (kept := _SAME.get(one, one))]
        for part in (above, below)
    )
    return "_".join(sorted(tops)) + ("/" + "_".join(sorted(belows)) if belows else "")
