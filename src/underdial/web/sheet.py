"""The frame of a page: templates, the rail of the twelve pages of a clock, lamp and holding hand."""

from __future__ import annotations

import functools
import hashlib
import re
from collections.abc import Mapping, Sequence
from datetime import date
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

from fastapi import Request
from fastapi.templating import Jinja2Templates
from starlette.responses import HTMLResponse, RedirectResponse, Response

from underdial.bench.clock.naming import as_written
from underdial.bench.shop import ClockPage, Shop
from underdial.record.visit import closed_words
from underdial.web.once import marked

HERE = Path(__file__).parent
# Letters of what is said of captions taken in: it goes with the address of the next page.
MOST_WARNED = 1000
# Address -> title, in the order of the job.
SECTIONS: dict[str, str] = {
    "received": "Received",
    "owner": "What the owner says",
    "as-found": "As found",
    "movement": "Movement",
    "findings": "Findings",
    "measurements": "Measurements",
    "wrong": "What is wrong",
    "choices": "Choices",
    "agreed": "Agreed",
    "work": "Work",
    "test": "On test",
    "papers": "Papers",
}
# Where something is asked for that has an address of its own -> the page it is asked on.
_ASKED_ON = {
    "name": "received",
    "by-mistake": "received",
    "people": "received",
    "came-with": "received",
    "custody": "received",
    "dangers": "received",
    "holds": "received",
    "aim": "owner",
    "rounds": "work",
    "sizes": "work",
    "release": "papers",
    "invoice": "papers",
    "credit": "papers",
    "send": "papers",
    "hours": "work",
    "again": "again",
    "pictures": "as-found",
    "film": "as-found",
}
_MAY_BE_KEPT = frozenset({"as-found", "movement", "findings", "measurements", "wrong", "choices", "work", "test"})
templates = Jinja2Templates(directory=HERE / "templates")
templates.env.filters["as_written"] = as_written
# A unit of two words stays on one line.
_UNBROKEN = re.compile(r"(?<=[µmn]N)[ ](?=m\b)|(?<=\bg)[ ](?=cm)")
templates.env.filters["unbroken"] = lambda words: _UNBROKEN.sub("\u00a0", words)
templates.env.filters["day"] = lambda written: f"{date.fromisoformat(written[:10]):%-d %B %Y}"


def shop_of(request: Request) -> Shop:
    """The shop this app was made for."""
    shop = request.app.state.shop
    assert isinstance(shop, Shop)
    return shop


def writer_of(request: Request) -> str:
    """Who writes when nobody else is named: the repairer of the shop."""
    return shop_of(request).settings.repairer


def back_to(tag: str, section: str) -> Response:
    """Back to a page of the clock once something was kept."""
    return RedirectResponse(f"/clock/{tag}/{section}", 303)


def sheet(request: Request, template: str, status: int = 200, **more: Any) -> Response:
    """A page from a template, in the frame of the house."""
    shop = shop_of(request)
    context = {
        "lamp": request.cookies.get("lamp") if request.cookies.get("lamp") in ("day", "night") else None,
        "hand": "left" if request.cookies.get("hand") == "left" else "right",
        "static": _static,
        "shop": shop.settings,
        "kept": f"{shop.now():%H:%M}",
        "keep": status == 200 and request.method == "GET" and may_be_kept(request.url.path, request.query_params),
        **more,
    }
    page = templates.get_template(template).render({"request": request, **context})
    return HTMLResponse(marked(page), status)


def may_be_kept(path: str, asked: Mapping[str, str]) -> bool:
    """Whether a tablet may keep a page for when the shop is not reached: what is at the bench, nothing of people.

    Never kept: the list of what was looked for, which may be a name;
    where people are reached, what they say and agreed to, papers, films and sounds
    (docs/decisions/0119-what-was-seen-is-read-without-the-shop.md).
    """
    _, first, *rest = path.split("/")
    if first == "clock":
        return len(rest) == 2 and rest[1] in _MAY_BE_KEPT
    return (path == "/" and not asked.get("search")) or first in ("handbook", "help", "bench")


def clock_sheet(request: Request, template: str, page: ClockPage, section: str, **more: Any) -> Response:
    """A page of one clock with its rail."""
    counts = {
        "findings": sum(1 for one in page.findings if one.standing != "rejected"),
        "measurements": sum(1 for one in page.measurements if one.standing != "rejected"),
        "choices": sum(1 for one in page.choices if not one.withdrawn),
        "work": len(page.works),
    }
    rail = [(address, title, counts.get(address, 0)) for address, title in SECTIONS.items()]
    return sheet(
        request,
        template,
        page=page,
        clock=page.clock,
        visit=page.visit,
        section=section,
        rail=rail,
        place=list(SECTIONS).index(section) + 1,
        title=SECTIONS[section],
        closed=closed_words(page.visit) if page.visit.stage == "gone" else "",
        **more,
    )


def refused_sheet(request: Request, sentence: str, status: int, *, typed: Sequence[tuple[str, str]] = ()) -> Response:
    """What cannot be done, in one sentence; `typed` is what was written for it, shown so that it is not lost."""
    back = asked_on(request) if request.method == "POST" else None
    return sheet(request, "refused.html", status, sentence=sentence, typed=typed, back=back)


def asked_on(request: Request) -> str | None:
    """The page on which what was sent is asked for, by the address it was sent to; None where that says nothing."""
    _, first, *rest = request.url.path.split("/")
    tag, asked, which = (*rest, "", "", "")[:3]
    if first == "clock" and asked == "picture":
        return f"/clock/{tag}/picture/{which}"
    if first == "clock":
        page = asked if asked in (*SECTIONS, "confirm", "listen") else _ASKED_ON.get(asked)
        return f"/clock/{tag}/{page}" if page else None
    if first == "bench" and tag:
        given = dict(getattr(request.state, "sent", ()))
        ticket = urlencode({"ticket": given["ticket"]}) if given.get("ticket") else ""
        query = "&".join(one for one in (given.get("typed", ""), ticket) if one)
        return f"/bench/{tag}" + (f"?{query}" if query else "")
    if first == "people" and tag:
        return f"/people/{tag}/erase"
    return f"/{first}" if first in ("receive", "recorders", "taught") else None


@functools.cache
def _static(name: str) -> str:
    """Address of a static file, with a mark of its content, so that a new release is never shown in old clothes."""
    mark = hashlib.sha256((HERE / "static" / name).read_bytes()).hexdigest()[:8]
    return f"/static/{name}?{mark}"
