"""`formula`: the handbook of computations, one page of it, or a value with its uncertainty."""

from __future__ import annotations

from typing import Any

import click

from underdial.cli.frame import answer, shared_options


@click.command("formula")
@click.argument("name", required=False)
@click.argument("given", nargs=-1, metavar="[PARAMETER=VALUE]...")
@shared_options
def formula_command(name: str | None, given: tuple[str, ...]) -> None:
    """Every computation by NAME; with NAME its page; with PARAMETER=VALUE its value.

    Values are in SI (angles in degrees) or carry their unit, such as length_m=250mm; lists by comma; +- gives a
    standard uncertainty, which is carried through.
    """
    from underdial.bench.shown.handbook import compute, list_formulas, show_formula

    if name is None:
        result = list_formulas()
        return answer(
            result,
            "\n".join(
                f"{one['name']}({', '.join(p['name'] for p in one['parameters'])}): {one['title']}"
                for one in result["formulas"]
            ),
        )
    if not given:
        page = show_formula(name)
        return answer(page, _page_words(page))
    result = compute(name, given)
    return answer(result, _value_words(result))


def _page_words(page: dict[str, Any]) -> str:
    lines = [f"{page['name']}: {page['title']}", *(f"  {_parameter_words(one)}" for one in page["parameters"])]
    lines += [f"  gives {one['name']}{_unit(one['unit'])}" for one in page["returns"]]
    return "\n".join([*lines, f"Source: {page['source']}"])


def _parameter_words(one: dict[str, Any]) -> str:
    span = f", {one['low']:g} to {one['high']:g}" if one["low"] is not None else ""
    default = "" if one["default"] is None else f", {one['default']} unless given"
    return f"{one['name']}{_unit(one['unit'])}{span}{default}: {one['text']}"


def _value_words(result: dict[str, Any]) -> str:
    if "value" in result:
        return f"{_with_u(result['value'], result['u'])} {result['unit']}".rstrip()
    values, us = result["values"], result["u"]
    if isinstance(values, dict):
        return "\n".join(
            f"{name} = {_with_u(values[name], us[name])} {result['unit'][name]}".rstrip() for name in values
        )
    return "\n".join(f"{_with_u(value, u)} {result['unit']}".rstrip() for value, u in zip(values, us, strict=True))


def _with_u(value: Any, u: Any) -> str:
    if isinstance(value, list):
        return ", ".join(_with_u(one, one_u) for one, one_u in zip(value, u, strict=True))
    return f"{value:.9g} ± {u:.2g}" if u else f"{value:.9g}"


def _unit(unit: str) -> str:
    return f" [{unit}]" if unit else ""
