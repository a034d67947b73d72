"""The settings of a shop, kept in `shop.toml` in its folder.

Every one has a default, so that the file may be missing.
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass, fields
from datetime import date
from pathlib import Path
from typing import Any

from underdial.errors import BadInput
from underdial.record.money import Day, Money

# A year: who is paid later than that says so in words of its own.
_LONGEST_CREDIT_DAYS = 366
# Sizes of paper that the papers are set for.
_SHEETS = ("A4", "Letter")


@dataclass(frozen=True, slots=True, kw_only=True)
class Settings:
    """What `shop.toml` in the shop's folder may say; see docs/reference/settings.md.

    `database` is the address of a PostgreSQL database when several benches share the shop; else the folder's own file
    is used.
    """

    name: str = "The shop"
    address: tuple[str, ...] = ()
    telephone: str = ""
    law_words: str = ""
    zone: str = "UTC"
    currency: str = "GBP"
    hour_price_minor: int = 4500
    pay_within_days: int = 0
    sheet: str = "A4"
    repairer: str = "repairer"
    database: str | None = None


def usual_folder() -> Path:
    """The folder of the shop where none is named: the user's data folder."""
    from platformdirs import user_data_path

    return user_data_path("underdial", appauthor=False)


def read_settings(file: Path) -> Settings:
    """The settings in a file, or the defaults when it is not there; BadInput names a setting that cannot be used."""
    if not file.exists():
        return Settings()
    try:
        told = tomllib.loads(file.read_text(encoding="utf-8"))
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as wrong:
        raise BadInput(
            "shop.toml", str(file), "settings in TOML", f"shop.toml: {file} cannot be read ({wrong})."
        ) from None
    known = [one.name for one in fields(Settings)]
    settings: dict[str, Any] = {}
    for name, value in told.items():
        if name not in known:
            raise BadInput(
                f"shop.toml {name}",
                value,
                ", ".join(known),
                f"shop.toml: there is no setting {name}; allowed: {', '.join(known)}.",
            )
        settings[name] = _checked(name, value)
    found = Settings(**settings)
    Money(amount_minor=found.hour_price_minor, currency=found.currency)
    Day(on=date(2000, 1, 1), zone=found.zone)
    return found


def _checked(name: str, value: Any) -> Any:
    if name == "address":
        if isinstance(value, list) and all(isinstance(line, str) for line in value):
            return tuple(value)
        raise BadInput(f"shop.toml {name}", value, "a list of lines in quotes")
    if name == "hour_price_minor":
        if type(value) is int and value >= 0:
            return value
        raise BadInput(f"shop.toml {name}", value, "a whole number of pence or cents")
    if name == "pay_within_days":
        if type(value) is int and 0 <= value <= _LONGEST_CREDIT_DAYS:
            return value
        raise BadInput(f"shop.toml {name}", value, f"a whole number of days, 0 to {_LONGEST_CREDIT_DAYS}")
    if name == "sheet" and value not in _SHEETS:
        raise BadInput(f"shop.toml {name}", value, ", ".join(_SHEETS))
    if isinstance(value, str):
        return value
    raise BadInput(f"shop.toml {name}", value, "text in quotes")
