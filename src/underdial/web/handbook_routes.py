"""The handbook (every computation, to be read and tried) and the help, which is the how-to pages themselves."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter, Request
from starlette.responses import Response

from underdial.bench.shown.handbook import compute, list_formulas, parameter_label, show_formula, told_plainly
from underdial.bench.shown.help_pages import help_page, help_titles
from underdial.errors import UnderdialError
from underdial.web.refusals import with_labels
from underdial.web.sheet import sheet

router = APIRouter(responses={status: {"description": "said in one sentence"} for status in (403, 404, 422)})


@router.get("/handbook")
def handbook(request: Request, search: str = "") -> Response:
    """Every computation by name and title."""
    wanted = search.casefold()
    found = [
        one
        for one in list_formulas()["formulas"]
        if wanted in f"{one['name']} {one['title']}".replace("_", " ").casefold()
    ]
    return sheet(request, "handbook.html", formulas=found, search=search)


@router.get("/handbook/{name}")
def formula_page(request: Request, name: str) -> Response:
    """One computation, with its range and source; computed when its values are given."""
    formula = show_formula(name)
    given = [f"{key}={value.strip()}" for key, value in request.query_params.items() if value.strip()]
    result: dict[str, Any] | None = None
    wrong = None
    if given:
        try:
            result = compute(name, given)
        except UnderdialError as refused:
            wrong = refused.message
    labels = {one["name"]: parameter_label(one) for one in formula["parameters"]}
    if wrong is not None:
        wrong = told_plainly(with_labels(wrong, labels))
    return sheet(
        request,
        "formula.html",
        formula=formula,
        labels=labels,
        given=dict(request.query_params),
        result=result,
        wrong=wrong,
    )


@router.get("/help")
def help_list(request: Request) -> Response:
    """The how-to pages by title."""
    return sheet(request, "help.html", titles=help_titles(), body=None, title="Help")


@router.get("/help/{name}")
def one_help(request: Request, name: str) -> Response:
    """One how-to page."""
    title, body = help_page(name)
    return sheet(request, "help.html", titles=help_titles(), body=body, title=title)
