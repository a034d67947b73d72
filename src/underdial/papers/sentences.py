"""A finding, a measurement or a sum of money as a sentence for a paper: part first, short, the hedge as it was spoken.

Never here: bench speech word for word, blame, a guessed metal as a fact, what a thing is worth.
"""

from __future__ import annotations

from underdial.record.choice import PriceBand
from underdial.record.finding import NOTED, Finding
from underdial.record.measurement import Measurement
from underdial.record.money import Money
from underdial.record.price_parts import PricePart
from underdial.trade.faults import TRAINS
from underdial.trade.phrases import clause, part_words
from underdial.trade.vocabulary import conditions

_CURRENCY_SIGNS = {"GBP": "£", "EUR": "€", "USD": "$"}
# Least certainty, and how the sentence ends; the cuts are those of the hedges in the trade's vocabulary.
_HEDGES = ((0.88, ""), (0.65, ", it seems"), (0.45, ", perhaps"), (0.0, " (not certain)"))
_WHY = {
    "not_looked_at": "not looked at",
    "could_not_be_reached": "could not be reached",
    "not_tested_yet": "not tested yet",
    None: "not looked at",
}
MARK_WORDS = {"stops": "stops", "contributes": "contributes", "cosmetic": "cosmetic", "none": "does not matter"}
_ADJECTIVES = {"slight": "slightly ", "moderate": "", "bad": "badly "}
_MINUS = "−"


def finding_sentence(finding: Finding) -> str:
    """One sentence: `The back pivot hole of the third wheel is badly worn, it seems.`"""
    if finding.state == "not_examined":
        part = part_words(finding.component, finding.of, finding.place)
        named = f"{part[0].upper()}{part[1:]}" if finding.place in ("both", "all") else f"The {part}"
        return f"{named}: {_WHY[finding.why]}."
    if finding.condition == NOTED:
        return f"The {part_words(finding.component, finding.of, finding.place)}: {(finding.note or '').rstrip('.')}."
    hedge = next(words for least, words in _HEDGES if finding.certainty >= least)
    sentence = (
        clause(
            finding.component,
            finding.condition,
            of=finding.of,
            place=finding.place,
            absent=finding.state == "absent",
            extent=_ADJECTIVES.get(finding.extent or "", ""),
        )
        + hedge
    )
    if finding.value is not None and finding.unit:
        sentence += f" ({number_words(finding.value)} {finding.unit})"
    if finding.who == "owner":
        sentence += "; so the owner says"
    elif finding.who == "earlier-work":
        sentence += "; done by somebody before"
    return f"{sentence}."


def finding_mark(finding: Finding) -> tuple[str, str]:
    """Mark and word of a finding: its importance, or that it was found sound, or not looked at."""
    if finding.state == "not_examined":
        return "unseen", _WHY[finding.why]
    if finding.significance:
        return finding.significance, MARK_WORDS[finding.significance]
    if finding.state == "absent" or (
        finding.condition in conditions() and conditions()[finding.condition].kind == "sound"
    ):
        return "sound", "sound"
    return "none", "noted"


def measurement_words(one: Measurement) -> tuple[str, str]:
    """Name and value of a reading: (`half arc of the pendulum, 12 up`, `1.9 ± 0.1 deg`); of a balance the half arc is
    its amplitude, and a rate says its way.
    """
    name = "amplitude" if (one.quantity, one.of) == ("half_arc", "balance") else one.quantity.replace("_", " ")
    if one.of:
        name += f" of the {_measured_part(one.of, one.place)}"
    if one.position:
        name += f", {one.position.replace('_', ' ')}"
    if one.lent_parts:
        name += f" (on the shop's {', '.join(one.lent_parts)})"
    value = number_words(one.value)
    if one.u:
        value += f" ± {number_words(one.u)}"
    value = f"{value} {one.unit}".strip()
    if one.quantity == "rate" and one.value:
        return name, f"+{value}, gains" if one.value > 0.0 else f"{value}, loses"
    return name, value


def _measured_part(of: str, place: str | None) -> str:
    """The part of a reading in words: `weight:going` as `weight of the going train`."""
    part, _, belongs = of.partition(":")
    train, _, wheel = part.rpartition(".")
    if part in TRAINS and not belongs:
        return f"{part} train"
    if belongs or not train:
        return part_words(part, belongs or None, place)
    return f"{part_words(wheel, None, place)} of the {train} train"


def number_words(value: float) -> str:
    """A number with a true minus and no needless figures."""
    text = f"{value:.6g}"
    return text.replace("-", _MINUS)


def placed_words(value: float, places: int | None) -> str:
    """A number with so many decimals, and a true minus; as `number_words` where no places are given."""
    if places is None:
        return number_words(value)
    # Adding nought turns a minus nought into nought.
    return f"{round(value, places) + 0.0:.{places}f}".replace("-", _MINUS)


def clock_words(at_s: float | None) -> str:
    """Minutes and seconds of a recording, `6:14`; empty when there is no time."""
    return "" if at_s is None else f"{int(at_s) // 60}:{int(at_s) % 60:02d}"


def foreseen_words(low_h: float, likely_h: float, high_h: float) -> str:
    """Hours that were foreseen [h], to tenths: `3.2 to 5.1 hours, likely 4`; one number where they are no band."""
    low, likely, high = (f"{one:.1f}".removesuffix(".0") for one in (low_h, likely_h, high_h))
    return f"{likely} hour{'' if likely == '1' else 's'}" if low == high else f"{low} to {high} hours, likely {likely}"


def money_words(amount_minor: int, currency: str) -> str:
    """Money in whole units where there are no pence: `£205`, `£205.50`."""
    sign = _CURRENCY_SIGNS.get(currency, f"{currency} ")
    whole, rest = divmod(abs(amount_minor), 100)
    text = f"{sign}{whole:,}" + (f".{rest:02d}" if rest else "")
    return f"{_MINUS}{text}" if amount_minor < 0 else text


def price_words(price: PriceBand) -> tuple[str, str, str]:
    """`£205 likely`, `from £170 to £265` and `never over £300 without asking you`; a band that is one sum has no
    span.
    """
    low, likely, high = (
        money_words(one, price.currency) for one in (price.low_minor, price.likely_minor, price.high_minor)
    )
    if price.ceiling_minor == 0:
        return "no charge", "", "nothing is done, so nothing is owed"
    return (
        f"{likely} likely" if low != high else likely,
        f"from {low} to {high}" if low != high else "",
        f"never over {money_words(price.ceiling_minor, price.currency)} without asking you",
    )


def part_of_price_words(part: PricePart) -> str:
    """What a work takes of the price of its choice: `£45 to £70`; one sum where that is no band."""
    low, high = (money_words(one, part.currency) for one in (part.low_minor, part.high_minor))
    return "in the price" if not part.high_minor else low if low == high else f"{low} to {high}"


def sum_words(money: Money) -> str:
    """A sum as it is written on a paper."""
    return money_words(money.amount_minor, money.currency)


def ledger_words(money: Money) -> str:
    """A sum as it stands in a column of sums, always with its pence: `£150.00`."""
    words = money_words(money.amount_minor, money.currency)
    return words if money.amount_minor % 100 else f"{words}.00"
