"""What a bench sum leads to at the bench, and the trade's cautions that this calls for."""

from __future__ import annotations

from collections.abc import Mapping

from underdial.trade.cautions import Caution, shown

# Sum -> what is done next with its answer, by the triggers of the trade's cautions.
_LEADS_TO: Mapping[str, tuple[str, ...]] = {
    "runout": ("work:turning",),
    "poise": ("work:drilling", "work:escapement"),
    "bush": ("work:drilling",),
    "cone": ("work:re-pivot", "component:cup_bearing"),
    "spring": ("step:let-down", "step:mainspring out by hand", "step:spring clamped or taken out"),
    "hairspring": ("component:hairspring",),
    "teeth": ("work:turning",),
    "pallets": ("work:escapement", "work:heating"),
}


def sum_cautions(name: str) -> tuple[Caution, ...]:
    """At most two cautions for the work that a sum leads to, the highest rank first."""
    return shown(_LEADS_TO.get(name, ()), reader="bench")
