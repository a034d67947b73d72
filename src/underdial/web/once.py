"""One form sent twice makes one deed: each form of a page carries a word, and what was done by a word is done once.

A word counts with what was sent beside it: a form that is changed and sent from the same page is another deed. What was
refused is not remembered. Never here: what a form holds, or what is done with it.
"""

from __future__ import annotations

import hashlib
import re
import secrets
import threading
from collections import OrderedDict

import anyio
from fastapi import Request
from starlette.responses import RedirectResponse, Response

from underdial.errors import RuleBroken

MOST_REMEMBERED = 1000
_WAIT_S, _LONGEST_S = 0.03, 120.0
_FORM = re.compile(r'(<form\b[^>]*\bmethod="post"[^>]*>.*?)(</form>)', re.DOTALL)
_TYPES = ("application/x-www-form-urlencoded", "multipart/form-data")


class AlreadyDone(Exception):
    """This form was sent before; `to` is where its deed led."""

    def __init__(self, to: str) -> None:
        self.to = to
        super().__init__(to)


class Deeds:
    """Where each deed of the last forms led; None while it is being done."""

    def __init__(self) -> None:
        self._led: OrderedDict[str, str | None] = OrderedDict()
        self._lock = threading.Lock()

    def begin(self, key: str) -> tuple[bool, str | None]:
        """Whether the deed may be done now; if not, where it led, None while it is still being done."""
        with self._lock:
            if key in self._led:
                return False, self._led[key]
            self._led[key] = None
            return True, None

    def end(self, key: str, to: str | None) -> None:
        """The deed is done and led to `to`; None forgets one that was refused."""
        with self._lock:
            if to is None:
                self._led.pop(key, None)
                return
            self._led[key] = to
            while len(self._led) > MOST_REMEMBERED:
                self._led.popitem(last=False)


def marked(page: str) -> str:
    """A page with the word of its forms in each form that changes something."""
    word = secrets.token_urlsafe(9)
    return _FORM.sub(rf'\g<1><input type="hidden" name="once" value="{word}">\g<2>', page)


async def take_form(request: Request) -> None:
    """Read a form once for all that ask for it, as `request.state.sent`; AlreadyDone where it was sent before."""
    if request.method != "POST" or not request.headers.get("content-type", "").startswith(_TYPES):
        return
    sent: list[tuple[str, str]] = []
    picked: list[str] = []
    for name, value in (await request.form()).multi_items():
        if isinstance(value, str):
            sent.append((name, value))
        elif value.filename:
            picked.append(f"{name} {value.filename} {value.size}")
    request.state.sent, request.state.picked_files = sent, bool(picked)
    word = dict(sent).get("once", "")
    # A script of ours sends the same form again from one page on purpose, and waits for an answer of its own kind.
    if not word or not asks_for_a_page(request):
        return
    told = repr((request.url.path, sorted(sent), sorted(picked))).encode()
    key, deeds = f"{word} {hashlib.sha256(told).hexdigest()}", deeds_of(request)
    with anyio.move_on_after(_LONGEST_S):
        while True:
            mine, led = deeds.begin(key)
            if mine:
                request.state.deed = key
                return
            if led is not None:
                raise AlreadyDone(led)
            await anyio.sleep(_WAIT_S)
    raise RuleBroken(
        "form", "sent twice", "once", "This was sent twice, and the first is still being done. Look again in a minute."
    )


def asks_for_a_page(request: Request) -> bool:
    """That a reader's browser sent this, and shows what comes of it; not a script of a page that stands."""
    return "text/html" in request.headers.get("accept", "")


def deeds_of(request: Request) -> Deeds:
    """What was done by the forms of this app."""
    if not hasattr(request.app.state, "forms_done"):
        request.app.state.forms_done = Deeds()
    found = request.app.state.forms_done
    assert isinstance(found, Deeds)
    return found


def settle(request: Request, response: Response | None) -> None:
    """Remember where the deed of a request led, or forget it where it was refused or broke off."""
    key = getattr(request.state, "deed", None)
    if key is None:
        return
    done = response is not None and response.status_code < 400
    to = (response.headers.get("location") or request.headers.get("referer") or "/") if done and response else None
    deeds_of(request).end(key, to)


def nothing_done(request: Request) -> None:
    """A form was only answered by another question: sent again it is asked again."""
    key = getattr(request.state, "deed", None)
    if key is not None:
        deeds_of(request).end(key, None)
        request.state.deed = None


async def tell_already_done(request: Request, done: Exception) -> Response:
    """The answer to a form that was sent before: to where it led the first time."""
    assert isinstance(done, AlreadyDone)
    return RedirectResponse(done.to, 303)
