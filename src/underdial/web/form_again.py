"""A form that was refused, again: the page it stands on with all that was typed, and the sentence at its field.

The page is asked for anew, as a reader would, and the form that was sent is filled in; so that it holds for every form
of every page. Never here: what a form means.
"""

from __future__ import annotations

import html
from collections import deque
from collections.abc import Sequence
from dataclasses import dataclass, field
from html.parser import HTMLParser
from typing import Any
from urllib.parse import quote, unquote, urlsplit

import anyio
from fastapi import Request

OK_STATUS = 200
_SENTENCE_ID = "refused"
_ASKED_LATER = ("origin", "content-type", "content-length", "transfer-encoding", "hx-request")


@dataclass
class _Piece:
    """A tag or the words between two, as they stand in the page."""

    text: str
    kind: str = "words"
    tag: str = ""
    attrs: dict[str, str] = field(default_factory=dict)

    def put(self, **attrs: str | None) -> None:
        """Give the tag attributes: an empty string stands alone, None is taken away."""
        for name, value in attrs.items():
            self.attrs.pop(name, None)
            if value is not None:
                self.attrs[name] = value
        shown = "".join(
            f" {key}" if value == "" and key in _ALONE else f' {key}="{html.escape(value)}"'
            for key, value in self.attrs.items()
        )
        self.text = f"<{self.tag}{shown}>"


_ALONE = frozenset({"checked", "selected", "open", "autofocus", "required", "multiple", "hidden", "disabled"})


class _Reader(HTMLParser):
    """A page in pieces that make the page again when they are joined."""

    def __init__(self, page: str) -> None:
        super().__init__(convert_charrefs=False)
        self.pieces: list[_Piece] = []
        self.feed(page)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        told = {name: value or "" for name, value in attrs}
        self.pieces.append(_Piece(self.get_starttag_text() or "", "start", tag, told))

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.pieces.append(_Piece(self.get_starttag_text() or "", "alone", tag, {}))

    def handle_endtag(self, tag: str) -> None:
        self.pieces.append(_Piece(f"</{tag}>", "end", tag))

    def handle_data(self, data: str) -> None:
        self.pieces.append(_Piece(data))

    def handle_entityref(self, name: str) -> None:
        self.pieces.append(_Piece(f"&{name};"))

    def handle_charref(self, name: str) -> None:
        self.pieces.append(_Piece(f"&#{name};"))

    def handle_comment(self, data: str) -> None:
        self.pieces.append(_Piece(f"<!--{data}-->"))

    def handle_decl(self, decl: str) -> None:
        self.pieces.append(_Piece(f"<!{decl}>"))


@dataclass
class _Control:
    """A field of a form: where it begins and ends among the pieces, its name, label, and what was typed into it."""

    first: int
    last: int
    name: str
    label: str
    typed: str
    ticked: bool


def filled(
    page: str, action: str, sent: Sequence[tuple[str, str]], sentence: str, asked: tuple[str, str], *, files: bool
) -> str | None:
    """The page with the form of this action as it was sent; None where no such form stands on it.

    `asked` is the field that is refused, by its name or by the first words of its label, and what stood in it. `files`:
    a file was picked, which a page cannot pick again.
    """
    pieces = _Reader(page).pieces
    place = _form_sent(pieces, action, sent)
    if place is None:
        return None
    left: dict[str, deque[str]] = {}
    for name, value in sent:
        left.setdefault(name, deque()).append(value)
    controls = _fill(pieces, *place, left)
    lost = [(name, value) for name, values in left.items() for value in values if value.strip() and name != "once"]
    found = _field_of(controls, *asked)
    said = _said(sentence, lost if controls else [], files)
    if found is None:
        _say_at_head(pieces, place[0], said, bool(controls))
    else:
        _say_at(pieces, found, said)
    _open(pieces, place[0] if found is None else found.first)
    _open(pieces, place[0])
    return "".join(one.text for one in pieces)


async def page_again(request: Request, address: str) -> str | None:
    """What a reader would see at an address of this app; None where that is no page."""
    path, _, query = address.partition("?")
    said: dict[str, Any] = {"status": 0, "body": b"", "kind": ""}
    asked = [{"type": "http.request", "body": b"", "more_body": False}]

    async def receive() -> Any:
        if not asked:
            await anyio.sleep_forever()
        return asked.pop()

    async def send(message: Any) -> None:
        if message["type"] == "http.response.start":
            said["status"] = message["status"]
            said["kind"] = dict(message["headers"]).get(b"content-type", b"").decode("latin-1")
        elif message["type"] == "http.response.body":
            said["body"] += message.get("body", b"")

    passed = ("type", "asgi", "http_version", "scheme", "server", "client", "root_path", "extensions")
    scope = {
        **{key: request.scope[key] for key in passed if key in request.scope},
        "method": "GET",
        "path": unquote(path),
        "raw_path": quote(unquote(path)).encode(),
        "query_string": query.encode("latin-1", "replace"),
        "headers": [one for one in request.scope["headers"] if one[0].decode("latin-1") not in _ASKED_LATER],
    }
    await request.app(scope, receive, send)
    return said["body"].decode() if said["status"] == OK_STATUS and said["kind"].startswith("text/html") else None


def referred(request: Request) -> str | None:
    """Path and query of the page of ours that a form was sent from, where the browser says it."""
    split = urlsplit(request.headers.get("referer", ""))
    if not split.path.startswith("/") or split.netloc != request.headers.get("host", ""):
        return None
    return split.path + (f"?{split.query}" if split.query else "")


def _form_sent(pieces: list[_Piece], action: str, sent: Sequence[tuple[str, str]]) -> tuple[int, int] | None:
    """Where the form begins and ends: of several with one action the one whose hidden fields are likest to the sent."""
    best: tuple[int, tuple[int, int]] | None = None
    given = set(sent)
    for first, piece in enumerate(pieces):
        if piece.tag != "form" or piece.kind != "start":
            continue
        last = next(k for k in range(first, len(pieces)) if pieces[k].tag == "form" and pieces[k].kind == "end")
        inside = [one for one in pieces[first:last] if one.kind == "start"]
        led = {one.attrs[key] for one in inside for key in ("action", "formaction") if key in one.attrs}
        if action not in led:
            continue
        hidden = [one.attrs for one in inside if one.tag == "input" and one.attrs.get("type") == "hidden"]
        alike = sum(
            1 if (one.get("name", ""), one.get("value", "")) in given else -1
            for one in hidden
            if one.get("name") not in ("once", "version")
        )
        if best is None or alike > best[0]:
            best = (alike, (first, last))
    return best[1] if best else None


def _fill(pieces: list[_Piece], first: int, last: int, left: dict[str, deque[str]]) -> list[_Control]:
    """Put what was sent into the fields of a form, and take it from `left`; the fields that are seen."""
    labels = _labels(pieces, first, last)
    controls: list[_Control] = []
    for k in range(first, last):
        piece, name = pieces[k], pieces[k].attrs.get("name", "")
        if piece.kind != "start" or piece.tag not in ("input", "select", "textarea", "button") or not name:
            continue
        kind = piece.attrs.get("type", "text") if piece.tag == "input" else piece.tag
        values = left.get(name, deque())
        if kind in ("button", "submit") or name == "once":
            if piece.attrs.get("value", "") in values:
                values.remove(piece.attrs.get("value", ""))
            continue
        label, end = labels.get(piece.attrs.get("id", ""), piece.attrs.get("aria-label", "")), k
        ticked = kind in ("checkbox", "radio")
        typed = ""
        if ticked:
            on = piece.attrs.get("value", "on") in values
            piece.put(checked="" if on else None)
            if on:
                values.remove(piece.attrs.get("value", "on"))
        elif kind != "file" and values:
            typed = values.popleft()
            end = _write(pieces, k, kind, typed)
        elif kind in ("select", "textarea"):
            end = next(m for m in range(k, last) if pieces[m].tag == kind and pieces[m].kind == "end")
        if kind != "hidden":
            controls.append(_Control(k, end, name, label, typed, ticked))
    return controls


def _write(pieces: list[_Piece], k: int, kind: str, typed: str) -> int:
    """Write into the field that begins at piece `k`; the piece it ends with."""
    if kind not in ("select", "textarea"):
        pieces[k].put(value=typed)
        return k
    end = next(m for m in range(k, len(pieces)) if pieces[m].tag == kind and pieces[m].kind == "end")
    if kind == "textarea":
        for one in pieces[k + 1 : end]:
            one.text = ""
        # A line break right behind the tag is none of the text.
        pieces[end].text = f"\n{html.escape(typed)}</textarea>"
        return end
    for one in pieces[k:end]:
        if one.tag == "option" and one.kind == "start":
            one.put(selected="" if one.attrs.get("value", "") == typed else None)
    return end


def _labels(pieces: list[_Piece], first: int, last: int) -> dict[str, str]:
    """The words of each label by the id of its field."""
    out: dict[str, str] = {}
    for k in range(first, last):
        if pieces[k].tag == "label" and pieces[k].kind == "start":
            end = next(m for m in range(k, last) if pieces[m].tag == "label" and pieces[m].kind == "end")
            words = "".join(one.text for one in pieces[k:end] if one.kind == "words")
            out[pieces[k].attrs.get("for", "")] = html.unescape(words).strip()
    return out


def _field_of(controls: list[_Control], asked: str, value: str) -> _Control | None:
    """The field that a refusal names: by its name, the first words of its label, or the first word of its name."""
    named = asked.replace("_", " ").strip().casefold()
    if not named:
        return None
    names = [one.name.replace("_", " ").casefold() for one in controls]
    ways = (
        [name == named for name in names],
        [one.label.casefold().startswith(named) for one in controls],
        [name.split(" ")[0] == named for name in names],
    )
    for fits in ways:
        fitting = [one for one, fit in zip(controls, fits, strict=True) if fit]
        if fitting:
            return next((one for one in fitting if one.typed.strip() == value.strip()), fitting[0])
    return None


def _said(sentence: str, lost: Sequence[tuple[str, str]], files: bool) -> str:
    """The sentence of a refusal as it stands in a form, with what the form has no field for any more."""
    also = "; ".join(f"{name.replace('_', ' ')}: {value}" for name, value in lost)
    notes = ["Nothing was changed."]
    if also:
        notes.append(f"This page has no field any more for what you wrote: {also}")
    if files:
        notes.append("Pick the file once more: a page cannot do that by itself.")
    words = html.escape(sentence, quote=False)
    note = html.escape(" ".join(notes), quote=False)
    return f'<p class="wrong words" id="{_SENTENCE_ID}" role="alert">{words} <span class="note">{note}</span></p>'


def _say_at(pieces: list[_Piece], found: _Control, said: str) -> None:
    """Put the sentence under the label of a field, or behind a field without one, and begin there."""
    where = found.last
    wanted = pieces[found.first].attrs.get("id", "")
    for k in range(found.first - 1, max(found.first - 40, 0), -1):
        one = pieces[k]
        if (
            one.tag == "label"
            and one.kind == "start"
            and one.attrs.get("for") == wanted
            and wanted
            and not found.ticked
        ):
            where = next(m for m in range(k, found.first) if pieces[m].tag == "label" and pieces[m].kind == "end")
            break
    if found.ticked:
        legends = [k for k in range(found.first) if pieces[k].tag == "legend" and pieces[k].kind == "end"]
        where = legends[-1] if legends else where
    told = pieces[found.first].attrs.get("aria-describedby", "")
    pieces[found.first].put(
        **{"aria-invalid": "true", "aria-describedby": f"{told} {_SENTENCE_ID}".strip(), "autofocus": ""}
    )
    pieces[where].text += said


def _say_at_head(pieces: list[_Piece], form: int, said: str, has_fields: bool) -> None:
    """Put the sentence at the head of a form; at the head of the page where the form is a button alone."""
    said = said.replace(" role=", ' tabindex="-1" autofocus role=', 1)
    head = next((k for k, one in enumerate(pieces) if one.tag == "h1" and one.kind == "end"), form)
    pieces[form if has_fields else head].text += said


def _open(pieces: list[_Piece], inside: int) -> None:
    """Fold out all that a piece is folded into."""
    around: list[_Piece] = []
    for one in pieces[:inside]:
        if one.tag == "details" and one.kind == "start":
            around.append(one)
        elif one.tag == "details" and one.kind == "end" and around:
            around.pop()
    for one in around:
        one.put(open="")
