"""Rows of group 8, materials."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from underdial import units
from underdial.mechanics import air_and_water, density, hairspring

from .convert import each, shop, si

Row = dict[str, Any]


def _read(kind: str, unit: str, into: str) -> Callable[[float], float]:
    return lambda value: shop(units.parse(f"{value}{unit}", kind=kind).value, into)


def _expansion(span_f: float) -> Callable[[float], float]:
    """Relative growth over a span of Fahrenheit degrees to growth a kelvin, through the reader of typed values."""
    return lambda growth: shop(units.parse(f"{growth / span_f!r}/degF", kind="expansion").value, "1e-6/C")


def _heavy_percent(i: Row) -> float:
    return shop(
        density.heavy_part_ratio(
            density_kg_per_m3=si(i["sp_gr"], "g/cm3"),
            light_kg_per_m3=si(i["light_sp_gr"], "g/cm3"),
            heavy_kg_per_m3=si(i["heavy_sp_gr"], "g/cm3"),
        ),
        "percent",
    )


def tin_lead(lead_percent: float, tin: float, lead: float) -> float:
    """Specific gravity of an alloy of tin and lead by mass."""
    return shop(
        density.mixture_density_kg_per_m3(si([tin, lead], "g/cm3"), mass_parts=[100 - lead_percent, lead_percent]),
        "g/cm3",
    )


def _by_weight(i: Row) -> float:
    return shop(density.mixture_density_kg_per_m3(si(i["sp_gr"], "g/cm3"), mass_parts=i["weights"]), "g/cm3")


CALLS: dict[str, Callable[[Row], Any]] = {
    "material-01": lambda i: each(_read("density", "lb/in3", "g/cm3"), i["lb_per_in3"]),
    "material-02": lambda i: each(_expansion(1000), i["per_1000F"]),
    "material-03": lambda i: each(_expansion(180), i["per_180F"]),
    "material-06": lambda i: shop(
        density.bob_mass_by_length_kg(
            bob_kg_per_m=si(i["bob_lb_per_in"], "lb/in"),
            hole_kg_per_m=si(i["hole_lb_per_in"], "lb/in"),
            length_m=si(i["length_in"], "in"),
        ),
        "lb",
    ),
    "material-11": lambda i: each(lambda p: tin_lead(p, i["tin_sp_gr"], i["lead_sp_gr"]), i["lead_percent"]),
    "material-12": lambda i: each(_read("density", "oz/in3", "g/cm3"), i["oz_per_in3"]),
    "material-15": lambda i: density.specific_gravity_ratio(air_kg=si(i["air_g"], "g"), water_kg=si(i["water_g"], "g")),
    "material-16": lambda i: shop(
        density.density_kg_per_m3(
            air_kg=si(i["air_g"], "g"),
            water_kg=si(i["water_g"], "g"),
            water_kg_per_m3=si(i["water_g_per_cm3"], "g/cm3"),
            air_kg_per_m3=si(i["air_g_per_cm3"], "g/cm3"),
        ),
        "g/cm3",
    ),
    "material-17": lambda i: shop(
        density.mixture_density_kg_per_m3(si(i["sp_gr"], "g/cm3"), volume_parts=i["volumes"]), "g/cm3"
    ),
    "material-18": _by_weight,
    "material-20": _by_weight,
    "material-21": _heavy_percent,
    "material-22": lambda i: each(
        lambda t: air_and_water.water_relative_density_ratio(temperature_deg_c=t, reference_deg_c=i["reference_C"]),
        i["temperature_C"],
    ),
    "material-23": lambda i: density.density_kg_per_m3(
        air_kg=i["air_n"], water_kg=i["water_n"], water_kg_per_m3=i["water_kg_per_m3"], air_kg_per_m3=0
    ),
    "material-26": lambda i: air_and_water.moist_air_density_kg_per_m3(
        temperature_deg_c=i["temperature_C"],
        pressure_pa=i["pressure_pa"],
        humidity_ratio=i["humidity_ratio"],
        co2_ratio=i["co2_ratio"],
    ),
    "material-27": lambda i: air_and_water.dry_air_density_kg_per_m3(
        temperature_deg_c=i["temperature_C"],
        pressure_pa=i["pressure_pa"],
        gas_constant_j_per_kg_k=i["gas_constant_j_per_kg_k"],
    ),
    "material-28": lambda i: air_and_water.oil_viscosity_cst(
        viscosity1_cst=i["viscosity_cst"][0],
        temperature1_deg_c=i["temperature_C"][0],
        viscosity2_cst=i["viscosity_cst"][1],
        temperature2_deg_c=i["temperature_C"][1],
        at_deg_c=i["at_C"],
        added_cst=i["added_cst"],
    ),
    "material-33": lambda i: each(_read("density", "lb/in3", "g/cm3"), i["lb_per_in3"]),
    "material-35": lambda i: hairspring.modulus_change_per_k(
        modulus_cold_pa=si(i["E_21C_megapsi"], "Mpsi"),
        modulus_warm_pa=si(i["E_93C_megapsi"], "Mpsi"),
        change_k=i["dT_C"],
    ),
    "material-37": lambda i: each(_read("pressure", "e6psi", "GPa"), i["megapsi"]),
}
