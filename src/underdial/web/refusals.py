"""What cannot be done, told where it was asked: as a page, or as the part of a page that waited for it; what a form
refuses in our own words.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from fastapi import Request
from starlette.responses import HTMLResponse, Response

from underdial.web.form_again import filled, page_again, referred
from underdial.web.once import asks_for_a_page
from underdial.web.sheet import SECTIONS, asked_on, refused_sheet, sheet

_MOST_SHOWN_COUNT = 60
# Kind of a form's refusal -> what is allowed; the limits come with the refusal.
_ALLOWED = {
    "string_too_long": "up to {max_length} letters",
    "string_too_short": "{min_length} letters or more",
    "string_type": "a line of words",
    "too_long": "up to {max_length} of them",
    "too_short": "{min_length} of them or more",
    "list_type": "a list",
    "int_parsing": "a whole number",
    "int_type": "a whole number",
    "int_from_float": "a whole number",
    "int_parsing_size": "a whole number",
    "float_parsing": "a number",
    "float_type": "a number",
    "finite_number": "a number",
    "bool_parsing": "yes or no",
    "bool_type": "yes or no",
    "greater_than_equal": "{ge:g} or more",
    "greater_than": "more than {gt:g}",
    "less_than_equal": "{le:g} or less",
    "less_than": "less than {lt:g}",
    "value_error": "a file",
    "date_parsing": "a day such as 2026-03-02",
    "date_from_datetime_parsing": "a day such as 2026-03-02",
}
_LIST = re.compile(r"\^\(([\w|]*)\)\$")
# Page, by the last word of its address -> the names of its fields there, where they are not the name itself.
_ON_PAGE = {
    "receive": {"name": "What it is", "words": "What they say", "owner": "Who brings it and owns it"},
    "release": {"person id": "Who collects it", "why": "Why it goes home all the same"},
    "agreed": {"person id": "Who says so", "choice id": "The choice"},
}
_NAMES = {"u": "give or take", "tag": "ticket"}
# What a case holds -> the page on which it is put right.
_PUT_RIGHT_ON = {
    "measurements": "measurements",
    "findings": "findings",
    "movement": "movement",
    "family": "movement",
    "complaint": "owner",
}


async def refused(
    request: Request, sentence: str, status: int, *, field: str = "", value: object = "", by_hand: bool = False
) -> Response:
    """The refusal told where it was asked: the form again as it was typed, with the sentence at `field`; a page of its
    own where no form asked, or where what was typed has to be taken over `by_hand`; or a part of the page that waits.
    """
    if "hx-request" not in request.headers:
        again = None if by_hand else await _form_again(request, sentence, field, value)
        return HTMLResponse(again, status) if again else refused_sheet(request, sentence, status, typed=_typed(request))
    _, first, tag, *_ = (*request.url.path.split("/"), "", "")
    section = _PUT_RIGHT_ON.get(re.split(r"[.\[]", field)[0]) if first == "clock" else None
    if section:
        sentence = sentence.replace(f"{field}:", f"{SECTIONS[section]}:", 1)
    return sheet(
        request,
        "refused_part.html",
        status,
        sentence=sentence,
        target=request.headers.get("hx-target", "refused"),
        back=f"/clock/{tag}/{section}" if section else None,
        title=SECTIONS[section] if section else "",
    )


async def _form_again(request: Request, sentence: str, field: str, value: object) -> str | None:
    """The page that a form was sent from, filled in as it was; None for what is no form of a page."""
    sent = getattr(request.state, "sent", None)
    # A script of ours tells the refusal itself, on the page that stands.
    if sent is None or not asks_for_a_page(request):
        return None
    for address in dict.fromkeys((referred(request), asked_on(request))):
        page = await page_again(request, address) if address else None
        again = page and filled(
            page, request.url.path, sent, sentence, (field, str(value)), files=request.state.picked_files
        )
        if again:
            return again
    return None


def _typed(request: Request) -> list[tuple[str, str]]:
    """What was typed for something that was not done: it is shown, to be taken over by hand."""
    sent: list[tuple[str, str]] = getattr(request.state, "sent", [])
    given = dict(sent)
    return [
        (name.replace("_", " "), words.replace("_", " "))
        for name, words in sent
        if words.strip()
        and name not in ("version", "once", "typed")
        and not (name.endswith("_unit") and not given.get(name.removesuffix("_unit"), "").strip())
    ]


def on_the_page(address: str, sentence: str) -> str:
    """A refusal with its field called what the page calls it that it was typed on."""
    word = next((one for one in reversed(address.split("/")) if one in _ON_PAGE), "")
    return with_labels(sentence, _ON_PAGE.get(word, {}))


def with_labels(sentence: str, labels: Mapping[str, str]) -> str:
    """A sentence that begins with the name of a field, with the field's label up to its unit in the place of that."""
    field, colon, rest = sentence.partition(":")
    if not colon or field not in labels:
        return sentence
    return f"{re.split('[,;]', labels[field])[0]}:{rest}"


def form_sentence(wrong: Mapping[str, Any]) -> str:
    """One refusal of a form (its `type`, `loc`, `input`, `ctx`) in one sentence: the field, what was given, what is
    allowed.
    """
    name = str(wrong["loc"][-1])
    field = _NAMES.get(name, name.replace("_", " "))
    if wrong["type"] == "missing":
        return f"{field}: nothing was given; allowed: something has to stand there."
    limits = wrong.get("ctx") or {}
    if wrong["type"] == "string_pattern_mismatch":
        listed = _LIST.fullmatch(str(limits["pattern"]))
        allowed = ", ".join(one or "nothing" for one in listed[1].split("|")) if listed else "what the page gave"
    else:
        allowed = _ALLOWED.get(str(wrong["type"]), "what the page asks for").format(**limits)
    given = " ".join(str(wrong.get("input")).split()) or "nothing"
    shown = given if len(given) <= _MOST_SHOWN_COUNT else f"{given[:_MOST_SHOWN_COUNT]}…"
    return f"{field}: {shown} will not do; allowed: {allowed}."
