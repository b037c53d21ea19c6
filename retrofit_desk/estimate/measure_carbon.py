"""Carbon put in by a measure: material, refrigerant, and what wood and straw store."""

from __future__ import annotations

from collections.abc import Sequence

from retrofit_desk.carbon.biogenic import stored_co2_kg, whole_life_store
from retrofit_desk.carbon.gases import leak
from retrofit_desk.carbon.materials import EndFactor, MaterialFactor, Piece, stage_sum
from retrofit_desk.estimate.measures.base import MaterialUse, RefrigerantCharge
from retrofit_desk.estimate.savings import MaterialCarbon, MaterialEnd, RefrigerantCarbon
from retrofit_desk.records.tables import NotInTable, Tables

WOOD_MOISTURE = 0.12
STORES = {
    "wood": 0.5,
    "softwood": 0.5,
    "hardwood": 0.5,
    "cedar": 0.5,
    "soft_fiberboard": 0.5,
    "cellulose": 0.45,
    "straw": 0.40,
    "hemp": 0.42,
}
"""Share of carbon in the dry mass by what a material's key starts with: 0.5 for wood is EN 16449:2014;
the others lie in the span 0.35 to 0.48 of published declarations (common practice, no source)."""
HAUL_KM, WASTE_SHARE = 300.0, 0.05
"""From the maker to the house by truck, and what is cut away: common practice, no source."""
STAGES = (
    f"Made: A1-A3 by the tables. Hauled: A4, {HAUL_KM:.0f} km by truck where the mass is known. "
    f"Cut away: A5, {WASTE_SHARE:.0%} of what is bought. Ended: C2-C4 by the table of ends, once, whenever "
    "that is. Put in again: B4, by the lives that the money counts with. Left out, not zero: the energy of "
    "the site (A5), taking out (C1: no table tells it), what lies beyond (D). Stages by EN 15978; haul and "
    "waste are common practice, no source."
)


def material_carbon(uses: Sequence[MaterialUse], tables: Tables) -> MaterialCarbon:
    """Stages A1-A5 and C of what goes in; a material without a row, or in another unit, is unknown."""
    made = low = high = stored = hauled = wasted = 0.0
    unknown: list[str] = []
    sources: list[str] = []
    for use in uses:
        factor = _factor(use, tables)
        stored += _stored_kg(use)
        if factor is None:
            unknown.append(use.name)
            continue
        stages = stage_sum([Piece(factor, use.amount, use.mass_kg, WASTE_SHARE, HAUL_KM)], 0.0)
        made, hauled, wasted = made + stages.made_kg, hauled + stages.hauled_kg, wasted + stages.wasted_kg
        low += use.amount * factor.kg_co2e_low
        high += use.amount * factor.kg_co2e_high
        sources.append(f"{factor.name}: {factor.origin.line}")
    told, ended = tuple(dict.fromkeys(sources)), _end(uses, tables)
    return MaterialCarbon(made, low, high, tuple(unknown), told, stored, hauled, wasted, ended)


def _end(uses: Sequence[MaterialUse], tables: Tables) -> MaterialEnd | None:
    """Each material's end by the table; one without a row is named, and what grew in it is not given back."""
    ended = low = high = given_back = 0.0
    unknown: list[str] = []
    sources: list[str] = []
    for use in uses:
        factor = _end_factor(use, tables)
        if factor is None:
            unknown.append(use.name)
            continue
        ended += use.amount * factor.kg_co2e
        low += use.amount * factor.kg_co2e_low
        high += use.amount * factor.kg_co2e_high
        given_back += whole_life_store(_stored_kg(use)).taken_up_kg
        sources.append(f"{use.name}, {factor.way}: {factor.origin.line}")
    if not uses:
        return None
    return MaterialEnd(ended, low, high, tuple(unknown), given_back, tuple(dict.fromkeys(sources)))


def _end_factor(use: MaterialUse, tables: Tables) -> EndFactor | None:
    if not use.carbon_key:
        return None
    try:
        factor = tables.material_end(use.carbon_key)
    except NotInTable:
        return None
    return factor if factor.unit == use.unit else None


def refrigerant_carbon(charge: RefrigerantCharge | None, tables: Tables) -> RefrigerantCarbon | None:
    """Loss at installing, each year, and at the end of the machine's life; None where nothing is known."""
    if charge is None or not charge.charge_kg:
        return None
    key = charge.refrigerant.replace("-", "").lower()
    try:
        refrigerant, row = tables.refrigerant(key), tables.leak_row(charge.machine)
    except NotInTable:
        return None
    gwp = refrigerant.gwp100(tables.potentials())
    escaped = leak(charge.charge_kg, row.shares, row.life_years)
    return RefrigerantCarbon(
        refrigerant=charge.refrigerant,
        charge_kg=charge.charge_kg,
        gwp=gwp,
        escaped_kg_co2e=escaped.total_kg * gwp,
        installing_kg_co2e=escaped.installing_kg * gwp,
        source=row.origin.line,
        in_use_kg_co2e=escaped.in_use_kg * gwp,
        at_end_kg_co2e=escaped.at_end_kg * gwp,
        life_years=row.life_years,
    )


def _factor(use: MaterialUse, tables: Tables) -> MaterialFactor | None:
    if not use.carbon_key:
        return None
    try:
        factor = tables.material_factor(use.carbon_key)
    except NotInTable:
        return None
    return factor if factor.unit == use.unit else None


def _stored_kg(use: MaterialUse) -> float:
    share = next((share for start, share in STORES.items() if use.carbon_key.startswith(start)), None)
    if share is None or not use.volume_m3:
        return 0.0
    density = use.mass_kg / use.volume_m3
    return stored_co2_kg(use.volume_m3, density, WOOD_MOISTURE, carbon_share=share)
