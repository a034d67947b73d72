"""Words that never stand on a screen or a paper.

On screens and papers: error, invalid, please, oops, insight, score (the look's own list: they blame, beg or boast).
On papers, which owners read, also: as new, safe (a promise nobody can keep), and words that blame earlier work.

Read are: text and spoken attributes of Jinja templates, text and strings of typst templates, prose in the Python of
`papers` and `web` and in our own scripts for the browser. Prose is a string with a blank in it: a key, a class or a
media type is not read by anybody. Docstrings and comments are for us.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

SCREEN = ("error", "errors", "invalid", "please", "oops", "insight", "insights", "score", "scores")
PAPER = ("as new", "safe", "bodge", "bodged", "bodger", "botched", "butchered", "cowboy", "got at")
# Terms of the trade's textbooks that hold such a word.
_TRADE_TERMS = re.compile(r"\b(?:beat|circular) errors?\b", re.IGNORECASE)
_TEMPLATE = re.compile(
    r"\{#.*?#\}|\{%.*?%\}|\{\{.*?\}\}|<!--.*?-->|<script\b.*?</script>|<style\b.*?</style>", re.DOTALL | re.IGNORECASE
)
_SPOKEN = re.compile(
    r"""\b(?:title|alt|placeholder|aria-label|aria-description|summary|label)\s*=\s*("[^"]*"|'[^']*')""", re.IGNORECASE
)
_TAG = re.compile(r"<[^>]*>", re.DOTALL)
_QUOTED = re.compile(r'"(?:\\.|[^"\\\n])*"|\'(?:\\.|[^\'\\\n])*\'|`(?:\\.|[^`\\])*`')
_TYPST_COMMENT = re.compile(r"(?<!:)//[^\n]*|/\*.*?\*/", re.DOTALL)


def word_problems(package: Path) -> list[str]:
    """One line for each forbidden word that somebody would read."""
    found = []
    for room in ("web", "papers", "cli"):
        words = SCREEN + (PAPER if room == "papers" else ())
        for path in sorted((package / room).rglob("*")):
            if not path.is_file() or "vendor" in path.parts or ".min." in path.name:
                continue
            for line, whole in _read_by_people(path):
                text = _TRADE_TERMS.sub("", whole)
                for word in words:
                    if re.search(rf"\b{word}\b", text, re.IGNORECASE):
                        found.append(
                            f"{path.relative_to(package).as_posix()}:{line}: {word!r} in "
                            f"{' '.join(text.split())[:60]!r}"
                        )
    return found


def _read_by_people(path: Path) -> Iterator[tuple[int, str]]:
    if path.suffix == ".py":
        yield from _python(path.read_text(encoding="utf-8"))
    elif path.suffix in (".html", ".jinja", ".j2", ".svg"):
        yield from _html(path.read_text(encoding="utf-8"))
    elif path.suffix == ".typ":
        text = _blanked(_TYPST_COMMENT, path.read_text(encoding="utf-8"))
        yield from ((number, line) for number, line in enumerate(text.splitlines(), 1) if _typst_prose(line))
    elif path.suffix in (".js", ".mjs"):
        text = path.read_text(encoding="utf-8")
        for match in _QUOTED.finditer(_blanked(_TYPST_COMMENT, text)):
            if " " in match[0].strip("\"'`"):
                yield text.count("\n", 0, match.start()) + 1, match[0]


def _python(text: str) -> Iterator[tuple[int, str]]:
    tree = ast.parse(text)
    docs = {
        id(node.body[0].value)
        for node in ast.walk(tree)
        if isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef | ast.AsyncFunctionDef)
        and node.body
        and isinstance(node.body[0], ast.Expr)
    }
    for node in ast.walk(tree):
        if (
            isinstance(node, ast.Constant)
            and isinstance(node.value, str)
            and id(node) not in docs
            and " " in node.value.strip()
        ):
            yield node.lineno, node.value


def _html(text: str) -> Iterator[tuple[int, str]]:
    bare = _blanked(_TEMPLATE, text)
    for part in _TEMPLATE.finditer(text):
        if part[0].startswith(("{{", "{%")):
            yield from (
                (text.count("\n", 0, part.start()) + 1, quoted)
                for quoted in _QUOTED.findall(part[0])
                if " " in quoted.strip("\"'` ")
            )
    for match in _SPOKEN.finditer(bare):
        yield bare.count("\n", 0, match.start()) + 1, match[1]
    yield from enumerate(_blanked(_TAG, bare).splitlines(), 1)


def _typst_prose(line: str) -> bool:
    """A line of typst code without a quoted sentence or content in brackets says nothing to anybody."""
    return (
        "[" in line
        or bool(re.search(r'"[^"]* [^"]*"', line))
        or not line.lstrip().startswith(("#", "let ", "set ", "show ", "if ", "for "))
    )


def _blanked(pattern: re.Pattern[str], text: str) -> str:
    return pattern.sub(lambda match: re.sub(r"[^\n]", " ", match[0]), text)
