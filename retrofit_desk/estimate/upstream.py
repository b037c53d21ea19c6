"""What a line-up keeps from leaking before fuel reaches the house. It stands apart from all other carbon."""

from __future__ import annotations

from dataclasses import dataclass

from retrofit_desk.carbon.fuels import KWH_PER_MMBTU, SupplyLeak, upstream_co2e_kg_per_mmbtu
from retrofit_desk.carbon.gases import PotentialSet
from retrofit_desk.estimate.savings import YearSummary
from retrofit_desk.physics.plant_machines import Fuel
from retrofit_desk.records.tables import NotInTable, Tables
from retrofit_desk.values.origin import Origin

FOSSIL: tuple[Fuel, ...] = ("gas", "oil", "propane")
POTENTIALS = "AR6"
"""The set that tells fossil methane apart, over 100 and over 20 years."""
LEAST_KWH = 1.0


@dataclass(frozen=True)
class SpareLeak:
    """Kilograms of CO2 equivalent a year of one fuel, over 100 years with its range, and over 20 years."""

    fuel: Fuel
    kg: float
    low_kg: float
    high_kg: float
    in_20_years_kg: float | None
    origin: Origin


@dataclass(frozen=True)
class UpstreamLeaks:
    """`unknown`: fuels the line-up changes whose leaks no table tells; that is not zero."""

    known: tuple[SpareLeak, ...]
    unknown: tuple[Fuel, ...]


def upstream_leaks(before: YearSummary, after: YearSummary, tables: Tables) -> UpstreamLeaks:
    """Of the fossil fuels that are no longer burned (below zero: burned more) in a year."""
    rows, potentials = {row.fuel: row for row in tables.supply_leaks}, _potentials(tables)
    removed = {fuel: _burned_kwh(before, fuel) - _burned_kwh(after, fuel) for fuel in FOSSIL}
    changed = [fuel for fuel in FOSSIL if abs(removed[fuel]) >= LEAST_KWH]
    if potentials is None:
        return UpstreamLeaks((), tuple(changed))
    return UpstreamLeaks(
        tuple(_spared(fuel, removed[fuel], rows[fuel], potentials) for fuel in changed if fuel in rows),
        tuple(fuel for fuel in changed if fuel not in rows),
    )


def _potentials(tables: Tables) -> PotentialSet | None:
    """None where the owner's own table has no such set: then nothing can be told of leaks."""
    try:
        return tables.potentials(POTENTIALS)
    except NotInTable:
        return None


def _burned_kwh(year: YearSummary, fuel: Fuel) -> float:
    return sum(use.year_kwh for use in year.uses if use.fuel == fuel)


def _spared(fuel: Fuel, removed_kwh: float, row: SupplyLeak, potentials: PotentialSet) -> SpareLeak:
    mmbtu, gwp = removed_kwh / KWH_PER_MMBTU, potentials.of_fossil_methane()
    low, high = sorted(
        mmbtu * upstream_co2e_kg_per_mmbtu(share, gwp) for share in (row.share_low, row.share_high)
    )
    soon = potentials.of_fossil_methane_in_20_years()
    return SpareLeak(
        fuel,
        mmbtu * upstream_co2e_kg_per_mmbtu(row.share, gwp),
        low,
        high,
        None if soon is None else mmbtu * upstream_co2e_kg_per_mmbtu(row.share, soon),
        row.origin,
    )
